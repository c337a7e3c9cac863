"""Sentences of a result that several readers share: written in both unit systems, read in the reader's.

A run plan is searched for once, whoever looks at it, so its sentences cannot be made for one reader. Nothing
is looked for in a text: the sentence is written twice, and a name in it stays as it is.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from fuelplan.units.reader import System, reader, written_for


class InBoth(str):
    """A sentence, in the units of whom it was first written for, that knows itself in both systems.

    Attributes
    ----------
    by_system
        The sentence in metric and in US units.
    """

    by_system: dict[System, str]


def in_both_systems(say: Callable[[], str]) -> InBoth:
    """Return a sentence in both unit systems.

    Parameters
    ----------
    say
        Writes the sentence with :func:`show_as` and its like; called for a metric reader and for one in US
        units, who both write a date as the present reader does.
    """
    texts: dict[System, str] = {}
    now = reader()
    for system in ("metric", "us"):
        with written_for(replace(now, system=system)):
            texts[system] = say()
    made = InBoth(texts[now.system])
    made.by_system = texts
    return made


def as_read(text: str) -> str:
    """Return a sentence in the units of whom is written for, where it knows itself in both systems."""
    return text.by_system[reader().system] if isinstance(text, InBoth) else text

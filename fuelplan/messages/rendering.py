"""Messages as text for a reader: the words of the language, the values in its numbers, dates and units.

Only faces call this. English is written without any other package; every other language by Babel, which is
imported when the first text in such a language is asked for.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Protocol

from fuelplan.messages import english
from fuelplan.messages.catalogue import is_english, words_of
from fuelplan.messages.chances import said_chance
from fuelplan.messages.message import Message, Said
from fuelplan.messages.rates import said_per
from fuelplan.messages.values import Chance, Listed, Own, Per, Plain, Value
from fuelplan.units import Reader, one_line, reader, written_for

if TYPE_CHECKING:
    from babel import Locale

_PLACE = re.compile(r"\{(\w+)\}")


class _Writer(Protocol):
    """Writes values in a language."""

    def shown(self, value: Plain, language: str) -> str | Message:
        """Return a value as people read it."""

    def listed(self, texts: list[str], joint: str, language: str) -> str:
        """Return texts in a row."""


def render(said: Value, whom: Reader | None = None) -> str:
    """Return the text of a message, or of a value alone, such as a cell of a table.

    Parameters
    ----------
    said
        The message or the value.
    whom
        Language, unit system and order of dates; None: for whom is written now.

    Raises
    ------
    KeyError
        A template names a value that the message has not.
    """
    if whom is None or whom == reader():
        return _shown(said, reader().language)
    with written_for(whom):
        return _shown(said, whom.language)


def as_text(said: Said | Value) -> str:
    """Return the text of what a room says, or of a value alone, for whom is written now.

    A text that is no message yet was made for its reader, or knows itself in both unit systems.
    """
    return said if isinstance(said, str) else render(said)


def _text(said: Message, language: str) -> str:
    words = words_of(said, language)
    if not said.values:
        return words
    values = dict(said.values)
    return _PLACE.sub(lambda place: _shown(values[place[1]], language), words)


def _shown(value: Value, language: str) -> str:
    if isinstance(value, Message):
        return _text(value, language)
    if isinstance(value, Own):
        return one_line(value.text)
    if isinstance(value, Chance):
        return _text(said_chance(value), language)
    if isinstance(value, Per):
        return _text(said_per(value), language)
    if isinstance(value, Listed):
        return _writer(language).listed([_shown(i, language) for i in value.items], value.joint, language)
    found = _writer(language).shown(value, language)
    return found if isinstance(found, str) else _text(found, language)


def _writer(language: str) -> _Writer:
    if is_english(language):
        return english
    from fuelplan.messages import localised

    return localised


def locale_of(language: str) -> Locale | None:
    """Return numbers, months and lands of a language, for what a face hands on to be written elsewhere, such
    as a picture; None for English, which needs none of it.
    """
    if is_english(language):
        return None
    from fuelplan.messages import localised

    return localised.locale_of(language)

"""How a page that answers one question of one house begins: the house, the work, or what is in the way."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import TypeVar

from fuelplan.pages.parts import folders, long_work, pieces
from fuelplan.pages.parts.flash import show_flash
from fuelplan.pages.parts.trouble import or_trouble
from fuelplan.pages.texts import common as texts

T = TypeVar("T")


def asked(question: str, answer: Callable[[Path, date], T]) -> tuple[folders.Chosen, T] | None:
    """Let the person choose house and day and answer the question for them.

    None where there is no house, no answer, or the work stands stopped: the page says which.

    Parameters
    ----------
    question
        Tells this work from that of other pages.
    answer
        Finds the answer for a folder and a day.
    """
    chosen = folders.choose()
    if chosen is None:
        pieces.answer(texts.NO_FOLDER_TITLE)
        pieces.say(texts.NO_FOLDER)
        return None
    show_flash()
    found = or_trouble(
        lambda: long_work.shown(f"{question}-{chosen}", lambda: answer(chosen.path, chosen.as_of))
    )
    return None if found is None else (chosen, found)

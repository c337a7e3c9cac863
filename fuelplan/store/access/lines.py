"""One line of a list: what is looked at, the guidance and its source, and an honest answer."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Answer = Literal["met", "not met", "ask"]

COMMON = "common practice"
GUIDES = "COFORD 2008 and national guides"
GUIDANCE = "guidance of pellet associations"


class AccessError(ValueError):
    """A fact that cannot be: says what is wrong and what to write instead."""


@dataclass(frozen=True)
class AccessLine:
    """One line of the list.

    Attributes
    ----------
    id
        Does not change.
    question
        What is looked at.
    guidance, source
        What is published or usual, and by whom.
    answer
        "met", "not met" or "ask".
    seen
        What is there, in words; "not seen yet" where nobody has looked.
    """

    id: str
    question: str
    guidance: str
    source: str
    answer: Answer
    seen: str


def line(id_: str, question: str, guidance: str, source: str, met: bool | None, seen: str) -> AccessLine:
    """Return a line: `met` None is "ask"; nothing seen is said to be so."""
    answer: Answer = "ask" if met is None else ("met" if met else "not met")
    return AccessLine(id_, question, guidance, source, answer, seen or "not seen yet")


def open_questions(lines: tuple[AccessLine, ...]) -> tuple[str, ...]:
    """Return what is still to be asked or looked at, one sentence each."""
    return tuple(f"{one.question}: {one.guidance} ({one.source})?" for one in lines if one.answer == "ask")

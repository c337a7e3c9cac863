"""One line of a list: what is looked at, the guidance and its source, and an honest answer."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from fuelplan.messages import Message, Refusal, message

Answer = Literal["met", "not met", "ask"]

COMMON = message("access.common_practice", "common practice")
GUIDES = message("access.national_guides", "COFORD 2008 and national guides")
GUIDANCE = message("access.guidance_of_associations", "guidance of pellet associations")


class AccessError(Refusal):
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
        What is there; "not seen yet" where nobody has looked.
    """

    id: str
    question: Message
    guidance: Message
    source: Message
    answer: Answer
    seen: Message


def line(
    id_: str, question: Message, guidance: Message, source: Message, met: bool | None, seen: Message | None
) -> AccessLine:
    """Return a line: `met` None is "ask"; nothing seen is said to be so."""
    answer: Answer = "ask" if met is None else ("met" if met else "not met")
    unseen = message("access.not_seen", "not seen yet")
    return AccessLine(id_, question, guidance, source, answer, unseen if seen is None else seen)


def open_questions(lines: tuple[AccessLine, ...]) -> tuple[Message, ...]:
    """Return what is still to be asked or looked at, one sentence each.

    Parameters
    ----------
    lines
        Of any list.

    Returns
    -------
    tuple of Message
        Those lines whose answer is "ask", in their order.
    """
    return tuple(
        message(
            "access.ask",
            "{question}: {guidance} ({source})?",
            question=one.question,
            guidance=one.guidance,
            source=one.source,
        )
        for one in lines
        if one.answer == "ask"
    )

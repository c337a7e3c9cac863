"""What an answer asks back, and which entries did not move it: plain values beside the answer itself."""

from __future__ import annotations

from dataclasses import dataclass

from fuelplan.heat import fuels
from fuelplan.messages import Message, Said, message
from fuelplan.records.schema import DELIVERIES_FILE, READINGS_FILE
from fuelplan.records.site import DeliveryRow, ReadingRow

READING_DISAGREES, SAME_DAY, ORDER_OVERDUE = "reading_disagrees", "same_day", "order_overdue"
READ_FIRST = "read_first"  # answered by a new level reading, not by a choice


@dataclass(frozen=True)
class AskedRow:
    """A row of the person's own files: the file, its line, and its words."""

    file: str
    line: int
    text: str


@dataclass(frozen=True)
class Choice:
    """One way to answer a question."""

    code: str
    label: Message


@dataclass(frozen=True)
class Question:
    """Something that only the person can tell.

    Attributes
    ----------
    code
        "reading_disagrees", "same_day", "order_overdue" or "read_first".
    headline
        The question in one short sentence.
    text
        The question, with both figures in it, in a few sentences.
    about
        The rows it is about, the one that an answer is written into first.
    choices
        How it can be answered with :func:`fuelplan.answers.settle`; none where only a new reading tells.
    """

    code: str
    headline: Message
    text: Message
    about: tuple[AskedRow, ...]
    choices: tuple[Choice, ...]


@dataclass(frozen=True)
class SetAside:
    """An entry that did not move the answer, and why."""

    file: str
    line: int
    text: str
    reason: Said


CHOICES: dict[str, tuple[Choice, ...]] = {
    READING_DISAGREES: (
        Choice("right", message("question.right", "The look is right")),
        Choice("wrong", message("question.wrong", "The look is wrong")),
        Choice("look_again", message("question.look_again", "I'll look again")),
    ),
    SAME_DAY: (
        Choice("before", message("question.before", "Before the tanker")),
        Choice("after", message("question.after", "After the tanker")),
    ),
    ORDER_OVERDUE: (
        Choice("came", message("question.came", "It came")),
        Choice("not_yet", message("question.not_yet", "Not yet")),
        Choice("cancelled", message("question.cancelled", "It was cancelled")),
    ),
    READ_FIRST: (),
}


def _of(fuel: str) -> str:
    """Return the fuel where it is not the one that is meant anyway."""
    return "" if fuel == fuels.usual().name else fuel


def reading_words(row: ReadingRow) -> str:
    """Return a reading as its row writes it, the same for every reader."""
    of = _of(row.fuel)
    return ", ".join(filter(None, [row.day.isoformat(), row.said, row.how, of]))


def delivery_words(row: DeliveryRow) -> str:
    """Return an order or delivery as its row writes it, the same for every reader."""
    ordered = f"{row.ordered_said} ordered {row.ordered_on}" if row.ordered_on else ""
    came = f"{row.delivered_said} delivered {row.delivered_on}" if row.delivered_on else ""
    of = _of(row.fuel)
    outcome = row.outcome if row.outcome in {"failed", "cancelled"} else ""
    return ", ".join(filter(None, [ordered, came, outcome, of]))


def asked_reading(row: ReadingRow) -> AskedRow:
    """Return a reading's row as a question names it."""
    return AskedRow(READINGS_FILE, row.line, reading_words(row))


def asked_delivery(row: DeliveryRow) -> AskedRow:
    """Return a delivery's row as a question names it."""
    return AskedRow(DELIVERIES_FILE, row.line, delivery_words(row))


def question(code: str, headline: Message, text: Message, about: tuple[AskedRow, ...]) -> Question:
    """Return a question with the choices of its kind."""
    return Question(code, headline, text, about, CHOICES[code])

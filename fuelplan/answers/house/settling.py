"""A person's answer to a question of `order`, written into the folder's files."""

from __future__ import annotations

from datetime import date, timedelta
from pathlib import Path

from fuelplan.answers.house.record import record_delivery, record_outcome
from fuelplan.answers.when_to_order.questions import (
    ORDER_OVERDUE,
    READING_DISAGREES,
    SAME_DAY,
    AskedRow,
    Question,
    delivery_words,
    reading_words,
)
from fuelplan.messages import Listed, Message, Own, Refusal, message
from fuelplan.records.folder import EditError, saving
from fuelplan.records.round import open_books
from fuelplan.records.schema import AFTER, BEFORE, READINGS_FILE
from fuelplan.records.site import DeliveryRow, ReadingRow, read_deliveries, read_readings

CHECKED_BY_CHOICE = {"right": "right", "wrong": "wrong", "look_again": "look again"}
WAIT_DAYS = 7  # an order that is "not yet" here is asked about again after a week (our choice)


@saving(message("saving.answer", "your answer was not saved"))
def settle(
    path: Path | str,
    question: Question,
    choice: str,
    *,
    as_of: date,
    amount: str = "",
    day: date | None = None,
    until: date | None = None,
    today: date | None = None,
) -> None:
    """Write the answer to a question into the folder.

    Parameters
    ----------
    question, choice
        A question of an answer, and the code of one of its choices.
    as_of
        The day of the answer.
    amount, day
        For an order that came: what the weigh note says, and when it came; left out: the amount ordered,
        unweighed, on `as_of`.
    until
        For an order that has not come yet: the day by which it should; left out: a week from `as_of`.
    today
        The latest day that an entry may have: see :func:`record_reading`.

    Raises
    ------
    ValueError
        Where the question has no such choice, or an amount cannot be read; nothing is written.
    EditError
        Where the row was changed since the question was asked; nothing is written.
    """
    if choice not in {c.code for c in question.choices}:
        raise Refusal(_no_such_answer(question, choice))
    folder = Path(path)
    if question.code == READING_DISAGREES:
        _write_reading(folder, question.about, {"checked": CHECKED_BY_CHOICE[choice]})
    elif question.code == SAME_DAY:
        _write_reading(folder, question.about, {"when": BEFORE if choice == "before" else AFTER})
    elif question.code == ORDER_OVERDUE:
        _write_order(folder, question.about[0], choice, as_of, amount, day, until, today)


def _no_such_answer(question: Question, choice: str) -> Message:
    if not question.choices:
        return message(
            "house.no_answers",
            '"{answer}" is not a valid answer to this question; known: none: enter a new level reading',
            answer=Own(choice),
        )
    return message(
        "house.not_an_answer", '"{answer}" is not a valid answer to this question; known: {known}',
        answer=Own(choice), known=Listed(tuple(Own(f'"{c.code}"') for c in question.choices), ", "),
    )  # fmt: skip


def _write_reading(folder: Path, about: tuple[AskedRow, ...], cells: dict[str, str]) -> None:
    asked = next(row for row in about if row.file == READINGS_FILE)
    row = _asked_reading(folder, asked)
    expected = {"date": row.day.isoformat(), "reading": row.said}
    open_books(folder).change("readings", row.line, expected, cells)


def _write_order(
    folder: Path,
    asked: AskedRow,
    choice: str,
    as_of: date,
    amount: str,
    day: date | None,
    until: date | None,
    today: date | None,
) -> None:
    row = _asked_delivery(folder, asked)
    assert row.ordered_on is not None and row.ordered is not None
    if choice == "cancelled":
        record_outcome(folder, row.ordered_on, "cancelled", fuel=row.fuel)
    elif choice == "not_yet":
        due = until or as_of + timedelta(days=WAIT_DAYS)
        expected = {"ordered_on": row.ordered_on.isoformat(), "delivered_on": "", "delivered": ""}
        open_books(folder).change("deliveries", row.line, expected, {"due_to": due.isoformat()})
    else:
        ordered = row.ordered_said if row.ordered.kg is None else f"{row.ordered.kg:g} kg"
        came = amount or ordered
        record_delivery(
            folder,
            day or as_of,
            came,
            ordered_on=row.ordered_on,
            weighed=bool(amount),
            fuel=row.fuel,
            today=today or as_of,
        )


def _asked_reading(folder: Path, asked: AskedRow) -> ReadingRow:
    rows, _ = read_readings(open_books(folder))
    same = [row for row in rows if reading_words(row) == asked.text]
    at_line = [row for row in same if row.line == asked.line]
    if len(at_line or same) != 1:
        raise EditError(_changed_meanwhile(asked))
    return (at_line or same)[0]


def _asked_delivery(folder: Path, asked: AskedRow) -> DeliveryRow:
    rows, _ = read_deliveries(open_books(folder))
    same = [row for row in rows if delivery_words(row) == asked.text]
    at_line = [row for row in same if row.line == asked.line]
    if len(at_line or same) != 1:
        raise EditError(_changed_meanwhile(asked))
    return (at_line or same)[0]


def _changed_meanwhile(asked: AskedRow) -> Message:
    return message(
        "house.row_changed", "{file} was changed meanwhile in line {line}; open the folder again",
        file=Own(asked.file), line=Own(str(asked.line)),
    )  # fmt: skip

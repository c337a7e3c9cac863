"""What an answer asks back, how it is answered, and that no entry is silently without effect."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from fuelplan import answers
from fuelplan.answers.when_to_order.questions import (
    ORDER_OVERDUE,
    READING_DISAGREES,
    SAME_DAY,
    asked_delivery,
    asked_reading,
    question,
)
from fuelplan.records.folder.text_files import EditError
from fuelplan.records.site import house_books
from fuelplan.records.site.tables import read_deliveries, read_readings
from fuelplan.records.tables import SiteFaults
from tests.site_folders import make_site

DAY = date(2020, 12, 1)
OLD = "date,reading,how\n2020-11-01,4 t,measured\n2020-12-01,10 %,by eye\n"
ORDERED = "ordered_on,due_from,due_to,ordered\n2020-11-02,2020-11-09,2020-11-20,2 t\n"


def reading_question(folder: Path, code: str = READING_DISAGREES) -> answers.Question:
    """A question about the last reading of a folder."""
    rows, _ = read_readings(house_books(folder))
    return question(code, "?", "?", (asked_reading(rows[-1]),))


def order_question(folder: Path) -> answers.Question:
    """A question about the first order of a folder."""
    rows, _ = read_deliveries(house_books(folder))
    return question(ORDER_OVERDUE, "?", "?", (asked_delivery(rows[0]),))


@pytest.mark.parametrize(
    ("code", "choice", "column", "written"),
    [
        (READING_DISAGREES, "right", "checked", "right"),
        (READING_DISAGREES, "wrong", "checked", "wrong"),
        (READING_DISAGREES, "look_again", "checked", "look again"),
        (SAME_DAY, "before", "when", "before delivery"),
        (SAME_DAY, "after", "when", "after delivery"),
    ],
)
def test_an_answer_is_written_into_its_row_alone(
    tmp_path: Path, code: str, choice: str, column: str, written: str
) -> None:
    """An older file gets the column it needs; every other row keeps its bytes."""
    folder = make_site(tmp_path / "a", readings=OLD)
    answers.settle(folder, reading_question(folder, code), choice, as_of=DAY)
    assert (folder / "readings.csv").read_text() == (
        f"date,reading,how,{column}\n2020-11-01,4 t,measured\n2020-12-01,10 %,by eye,{written}\n"
    )
    assert getattr(answers.open_site(folder).readings[-1], column) == written


def test_an_answer_to_a_row_that_is_gone_is_refused(tmp_path: Path) -> None:
    """The row was put right meanwhile: nothing is written over it, and the person is told to look again."""
    folder = make_site(tmp_path / "a", readings=OLD)
    asked = reading_question(folder)
    (folder / "readings.csv").write_text(OLD.replace("10 %", "40 %"))
    with pytest.raises(EditError, match="changed meanwhile in line 3"):
        answers.settle(folder, asked, "right", as_of=DAY)
    said = '"maybe" is not a valid answer to this question; known: "right", "wrong"'
    with pytest.raises(ValueError, match=said):
        answers.settle(folder, asked, "maybe", as_of=DAY)
    assert (folder / "readings.csv").read_text() == OLD.replace("10 %", "40 %")


def test_an_overdue_order_is_settled_in_its_row(tmp_path: Path) -> None:
    """It came (with the weigh note, or as ordered without one), it has not come yet, or it was cancelled."""
    for choice, more, row in (
        ("came", {"amount": "1.94 t", "day": date(2020, 11, 19)}, ",2020-11-19,1.94 t,yes,delivered"),
        ("came", {}, ",2020-12-01,2000 kg,no,delivered"),
        ("not_yet", {}, ""),
        ("cancelled", {}, "cancelled"),
    ):
        folder = make_site(tmp_path / f"{choice}{len(more)}", deliveries=ORDERED)
        answers.settle(folder, order_question(folder), choice, as_of=DAY, **more)  # type: ignore[arg-type]
        site = answers.open_site(folder)
        assert len(site.on_order(DAY)) == (1 if choice == "not_yet" else 0)
        found = site.deliveries[0]
        if choice == "came":
            kg, on = (1940, date(2020, 11, 19)) if more else (2000, DAY)
            assert (found.delivered and found.delivered.kg, found.delivered_on) == (kg, on)
            assert found.weighed is bool(more)
        else:
            assert found.outcome == row
            assert found.due_to == (date(2020, 12, 8) if choice == "not_yet" else date(2020, 11, 20))


@pytest.mark.parametrize(
    ("readings", "deliveries", "says"),
    [
        ("date,reading\n2020-12-02,4 t\n", None, "readings.csv:2: date: 2020-12-02 has not come yet"),
        (OLD, "delivered_on,delivered\n2020-12-02,2 t\n", "is still to come is an order: write ordered_on"),
        (OLD, "ordered_on,ordered\n2020-12-02,2 t\n", "note the order on the day it is placed"),
    ],
)
def test_rows_of_the_future_are_faults(
    tmp_path: Path, readings: str, deliveries: str | None, says: str
) -> None:
    """Nobody has read or received anything tomorrow; the day before they are faults, on the day they are
    sound.
    """
    folder = make_site(tmp_path / "a", readings=readings, deliveries=deliveries)
    _, faults = answers.check_folder(folder, lambda _: DAY)
    assert [says in str(fault) for fault in faults] == [True]
    assert answers.check_folder(folder, lambda _: date(2020, 12, 2))[1] == []


def test_nothing_of_the_future_is_written(tmp_path: Path) -> None:
    """A reading, an order and a delivery of tomorrow are refused; due dates may lie ahead."""
    folder = make_site(tmp_path / "a", readings=OLD)
    before = (folder / "readings.csv").read_bytes()
    tomorrow = date(2020, 12, 2)
    with pytest.raises(SiteFaults, match="has not come yet"):
        answers.record_reading(folder, tomorrow, "3 t", today=DAY)
    with pytest.raises(SiteFaults, match="is an order"):
        answers.record_delivery(folder, tomorrow, "2 t", today=DAY)
    with pytest.raises(SiteFaults, match="has not come yet"):
        answers.record_order(folder, tomorrow, "2 t", today=DAY)
    assert (folder / "readings.csv").read_bytes() == before
    assert not (folder / "deliveries.csv").exists()
    answers.record_order(folder, DAY, "2 t", due_to=date(2020, 12, 20), today=DAY)
    assert answers.open_site(folder).on_order(DAY)[0].due_to == date(2020, 12, 20)
    with pytest.raises(SiteFaults, match="has not come yet"):
        answers.record_reading(folder, date(2199, 1, 1), "3 t")


def test_when_is_a_word_or_a_time_of_day(tmp_path: Path) -> None:
    """Times are written in two digits each; anything else is a fault that says what to write."""
    path = tmp_path / "readings.csv"
    path.write_text("date,reading,when\n2020-11-01,4 t,7:30\n2020-11-02,4 t,Before delivery\n")
    assert [row.when for row in read_readings(house_books(tmp_path))[0]] == ["07:30", "before delivery"]
    path.write_text("date,reading,when\n2020-11-01,4 t,at noon\n")
    said = 'write "before delivery", "after delivery", or a time of day, e.g. "07:30"'
    assert said in str(read_readings(house_books(tmp_path))[1][0])

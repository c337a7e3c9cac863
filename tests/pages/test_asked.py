"""Questions back on every face: page, forms, command line, JSON, calendar."""

from __future__ import annotations

import json
from datetime import date, timedelta
from pathlib import Path

import pytest

from fuelplan import answers
from fuelplan.answers.when_to_order.events import order_events
from fuelplan.cli.order import as_text
from tests.answers.test_order_doubts import DAY, LOW, ask, demo_with
from tests.page_texts import asked
from tests.page_texts import common as texts
from tests.ui_pages import click, field_faults, heading, opened, words

OVERDUE = "pellets,2025-12-01,2025-12-08,2025-12-20,2 t,,,,,,"


def test_the_page_asks_in_its_headline_and_writes_the_answer(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A low look stands in the headline with three buttons; a click writes into its row: the plan is back."""
    folder = demo_with(tmp_path / "house", LOW)
    page = opened("when_to_order", folder, monkeypatch)
    said = heading(page)
    assert said.endswith("Your level reading of 15 January and what was expected disagree: which is wrong?")
    assert "Order 2.5 t today: it is late." in said  # what to do by the emptier of the two comes first
    labels = [b.label for b in page.button]
    assert [a for a in ("The look is right", "The look is wrong", "I'll look again") if a not in labels] == []
    click(page, "The look is wrong")
    assert (folder / "readings.csv").read_text().splitlines()[-1].endswith(",wrong")
    assert "disagree" not in heading(page)
    assert "You said that it is wrong." in words(page)


def test_the_page_asks_for_an_overdue_order(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """It came, with the amount of the weigh note: booked into its row, and no longer asked."""
    folder = demo_with(tmp_path / "house", delivered=OVERDUE)
    page = opened("when_to_order", folder, monkeypatch)
    assert "Has the order of 1 December come? It was due by 20 December." in heading(page)
    page.text_input(key="asked-0-amount").set_value("1.94 t")
    click(page, asked.CAME)
    row = answers.open_site(folder).deliveries[-1]
    assert (row.delivered_said, row.delivered_on, row.weighed) == ("1.94 t", DAY, True)
    assert "Has the order" not in heading(page)


def test_the_reading_form_asks_how_and_when(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """How it was read and whether the tanker came become cells of the row, in an old file too."""
    folder = demo_with(tmp_path / "house")
    page = opened("when_to_order", folder, monkeypatch)
    page.text_input(key="record-read-0").set_value("1.9 t")
    page.selectbox(key="record-read-how-0").set_value("measured")
    page.selectbox(key="record-read-when-0").set_value("before delivery")
    click(page, texts.SAVE)
    row = answers.open_site(folder).readings[-1]
    assert (row.said, row.how, row.when) == ("1.9 t", "measured", "before delivery")


def test_a_delivery_still_to_come_is_offered_as_an_order(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The tanker of next year has not come: refused at the form, and noted as an order by one click."""
    folder = demo_with(tmp_path / "house")
    later = answers.today_of(answers.open_site(folder)) + timedelta(days=9)
    page = opened("when_to_order", folder, monkeypatch)
    page.segmented_control(key="record-kind-0").set_value("delivery").run()
    page.text_input(key="record-delivered-0").set_value("2 t")
    page.date_input(key="record-delivered-on-0").set_value(later)
    click(page, texts.SAVE)
    assert ["note it as an order" in fault for fault in field_faults(page)] == [True]
    page.button(key="record-as-order").click().run()
    row = answers.open_site(folder).deliveries[-1]
    assert (row.ordered_said, row.ordered_on, row.due_to, row.delivered_on) == ("2 t", DAY, later, None)


def test_the_command_line_and_the_document_ask(tmp_path: Path) -> None:
    """Both hold the question with its rows and choices, and the entries that do not count with the reason."""
    answer = ask(demo_with(tmp_path / "a", LOW, "2026-01-15,8 stacked m3,measured,logs,"))
    said = " ".join(as_text(answer).split())
    assert str(answer.questions[0].text) in said
    assert 'readings.csv:12 (2026-01-15, 10 %, by eye): write "right", "wrong" or "look again"' in said
    assert "Entries that do not count: - readings.csv:13 (2026-01-15, 8 stacked m3, measured, logs)" in said
    document = json.loads(json.dumps(answer.to_json()))
    assert document["schema"] == 2
    (question,) = document["questions"]
    assert question["code"] == "reading_disagrees"
    assert question["about"] == [{"file": "readings.csv", "line": 12, "text": "2026-01-15, 10 %, by eye"}]
    right = {"code": "question.right", "text": "The look is right", "values": {}}
    assert question["choices"][0] == {"code": "right", "label": right}
    assert [entry["line"] for entry in document["set_aside"]] == [13]


def test_the_calendar_says_what_is_not_answered(tmp_path: Path) -> None:
    """The last day to order names the open question; a store nobody knows gets a day to read it, no order."""
    events = order_events(ask(demo_with(tmp_path / "a", LOW)))
    (order,) = [event for event in events if event.key == "order-pellets-1"]
    assert "Not answered yet: Your level reading of 15 January" in str(order.text)
    folder = demo_with(tmp_path / "b")
    (folder / "readings.csv").write_text("date,reading,how\n2023-10-28,90 %,by eye\n")
    unknown = order_events(ask(folder))
    assert [event.first for event in unknown if event.key == "read_first"] == [DAY]
    assert not [event for event in unknown if event.key.startswith(("order-", "delivery-"))]


def test_an_overdue_order_is_in_no_calendar(tmp_path: Path) -> None:
    """What should have come is not shown as coming."""
    found = ask(demo_with(tmp_path / "a", delivered=OVERDUE), date(2026, 1, 15))
    assert not [event for event in order_events(found) if event.key.startswith("placed-")]

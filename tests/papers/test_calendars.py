"""The calendar file: well-formed, the same bytes for the same answer, and honest about the delivery."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

from hypothesis import given, settings
from hypothesis import strategies as st
from icalendar import Calendar

from fuelplan.answers.when_to_order.events import order_events
from fuelplan.messages import render
from fuelplan.papers.calendars import order_calendar
from fuelplan.units import Reader
from tests.order_example import AS_OF, ORDER_BY, example_answer, with_placed_order


def events_of(data: bytes) -> list:
    """The events of a calendar file, as another program reads them."""
    return list(Calendar.from_ical(data).walk("VEVENT"))


def test_same_answer_gives_same_bytes() -> None:
    """Nothing of the clock gets into the file: the same answer gives the same bytes."""
    assert order_calendar(example_answer()) == order_calendar(example_answer())


def test_stamp_is_the_day_of_the_answer() -> None:
    """Every event is stamped with the day of the answer, so that a newer file is seen to be newer."""
    for event in events_of(order_calendar(example_answer())):
        assert event["DTSTAMP"].dt == datetime(AS_OF.year, AS_OF.month, AS_OF.day, tzinfo=UTC)


def test_last_day_to_order_is_one_whole_day_with_a_reminder() -> None:
    """The last day to order stands on its day, ends the day after, and reminds two days before at nine."""
    found = events_of(order_calendar(example_answer()))
    order = next(event for event in found if "Last day to order" in event["SUMMARY"])
    assert order["DTSTART"].dt == ORDER_BY
    assert order["DTEND"].dt == ORDER_BY + timedelta(days=1)
    assert "3.5 t" in order["SUMMARY"]
    (alarm,) = order.walk("VALARM")
    assert alarm["TRIGGER"].dt == timedelta(days=-2, hours=9)


def test_delivery_covers_its_window_and_says_boiler_off() -> None:
    """A delivery lasts from its first to its last day and says: boiler off first, or no filling."""
    delivery = next(e for e in events_of(order_calendar(example_answer())) if "may come" in e["SUMMARY"])
    assert (delivery["DTSTART"].dt, delivery["DTEND"].dt) == (date(2026, 2, 4), date(2026, 2, 14))
    assert "boiler off, as its manual says" in delivery["DESCRIPTION"]
    assert "not off, no filling" in delivery["DESCRIPTION"]
    assert "never enter the store" in delivery["DESCRIPTION"]
    assert not list(delivery.walk("VALARM"))


def test_an_order_on_its_way_is_in_the_calendar() -> None:
    """An order already placed is shown with its own window, also when nothing else is due."""
    (event,) = events_of(order_calendar(with_placed_order()))
    assert (event["DTSTART"].dt, event["DTEND"].dt) == (date(2026, 1, 20), date(2026, 1, 29))
    assert "3 t of pellets" in event["SUMMARY"]
    assert "10 January 2026" in event["DESCRIPTION"]
    assert "not off, no filling" in event["DESCRIPTION"]


def test_a_newer_answer_moves_the_events() -> None:
    """A later answer about the same order keeps its identifiers and has a higher sequence number."""
    old = example_answer()
    assert old.order is not None
    new = replace(
        old, as_of=AS_OF + timedelta(days=3), order=replace(old.order, order_by=ORDER_BY - timedelta(days=2))
    )
    before, after = events_of(order_calendar(old)), events_of(order_calendar(new))
    assert [e["UID"] for e in before] == [e["UID"] for e in after]
    assert all(b["SEQUENCE"] < a["SEQUENCE"] for b, a in zip(before, after, strict=True))
    assert before[0]["DTSTART"].dt - after[0]["DTSTART"].dt == timedelta(days=2)


def test_identifiers_differ_between_events_and_sites() -> None:
    """No two events share an identifier, not even those of two sites."""
    here = [e["UID"] for e in events_of(order_calendar(example_answer()))]
    there = [e["UID"] for e in events_of(order_calendar(example_answer(site="Another house")))]
    assert len(here) == 4
    assert len({*here, *there}) == 8


def test_nothing_due_gives_an_empty_calendar() -> None:
    """Without any order the file is a calendar without events."""
    data = order_calendar(example_answer(order=None, next_orders=()))
    assert data.startswith(b"BEGIN:VCALENDAR")
    assert events_of(data) == []


def test_us_units_reach_the_calendar() -> None:
    """A person who thinks in pounds reads pounds."""
    titles = [render(event.title, Reader("us")) for event in order_events(example_answer())]
    assert titles[0] == "Last day to order 7,720 lb of pellets"


@settings(max_examples=40, deadline=None)
@given(st.text(max_size=200))
def test_any_site_name_gives_a_readable_file(name: str) -> None:
    """Whatever a person calls the place, the file is well-formed, its lines at most 75 octets (RFC 5545)."""
    data = order_calendar(example_answer(site=name))
    assert len(events_of(data)) == 4
    assert max(len(line) for line in data.split(b"\r\n")) <= 75

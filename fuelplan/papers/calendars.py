"""The dates of an order answer as a calendar file (iCalendar, RFC 5545).

The same answer gives the same bytes: the time stamp is the day of the answer, not the clock's, and the
identifier of an event depends on the site and on what the event is, so that loading a newer file moves the
old event instead of adding a second one.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, time, timedelta

from fuelplan.answers import INVENTED_SAID
from fuelplan.answers.when_to_order import READ_FIRST, OrderAnswer, ProposedOrder
from fuelplan.units import System, show, show_date

REMIND_BEFORE = timedelta(days=2)  # of the last day to order, at nine in the morning

BOILER_OFF = (
    "Before filling: boiler off, as its manual says – not off, no filling. Ask the driver to write down "
    "the time. "
    "Keep children and pets away, keep doors and windows near the store shut while pellets are blown in, "
    "and never "
    "enter the store. The boiler's manual, the supplier's rules and local codes come first."
)


@dataclass(frozen=True)
class CalendarEvent:
    """An all-day event from `first` to `last`, both included; `key` says what it is, for its identifier."""

    key: str
    first: date
    last: date
    title: str
    text: str
    remind: bool = False


def order_events(answer: OrderAnswer, system: System | None = None) -> tuple[CalendarEvent, ...]:
    """Return the events of an answer: orders on their way, last days to order, deliveries, and upkeep.

    Where the weather is invented every entry says so, in its title too.
    """
    events = _events(answer, system)
    if not answer.weather.invented:
        return events
    return tuple(
        replace(e, title=f"Invented weather: {e.title}", text=f"{INVENTED_SAID} {e.text}") for e in events
    )


def _events(answer: OrderAnswer, system: System | None) -> tuple[CalendarEvent, ...]:
    events = []
    for number, placed in enumerate(answer.on_its_way, start=1):
        amount = show(placed.amount_kg, "mass", system, digits=3)
        events.append(
            CalendarEvent(
                f"placed-{placed.fuel}-{placed.ordered_on.isoformat()}-{number}",
                placed.deliver_from,
                placed.deliver_to,
                f"{amount} of {placed.fuel} may come: boiler off beforehand",
                f"Ordered on {show_date(placed.ordered_on, year=True)}. {BOILER_OFF}",
            )
        )
    if answer.order is None:
        events += [
            CalendarEvent(READ_FIRST, answer.as_of, answer.as_of, question.headline, question.text)
            for question in answer.questions
            if question.code == READ_FIRST
        ]
    proposals = [answer.order] if answer.order else []
    for number, order in enumerate([*proposals, *answer.next_orders], start=1):
        events += _order_and_delivery(order, number, answer, system)
    events += [
        CalendarEvent(
            f"upkeep-{item.key}",
            item.day,
            item.day,
            item.title,
            " ".join([item.text, *(c.text for c in item.cautions)]),
        )
        for item in answer.upkeep
        if item.kind != "question"
    ]
    return tuple(events)


def _order_and_delivery(
    order: ProposedOrder, number: int, answer: OrderAnswer, system: System | None
) -> Iterator[CalendarEvent]:
    amount = show(order.amount_kg, "mass", system, digits=3)
    asked = "".join(f" Not answered yet: {question.headline}" for question in answer.questions)
    later = "" if number == 1 else " A later order: its date will still move with the winter."
    yield CalendarEvent(
        f"order-{order.fuel}-{number}",
        order.order_by,
        order.order_by,
        f"Last day to order {amount} of {order.fuel}",
        f"Worked out on {show_date(answer.as_of, year=True)} from {answer.weather.winters} past "
        f"winters.{later} "
        f"Look again before you order.{asked}",
        remind=True,
    )
    yield CalendarEvent(
        f"delivery-{order.fuel}-{number}",
        order.deliver_from,
        order.deliver_to,
        f"{amount} of {order.fuel} may come, if ordered by {show_date(order.order_by)}: boiler off "
        f"beforehand",
        BOILER_OFF + later,
    )


def order_calendar(answer: OrderAnswer, system: System | None = None) -> bytes:
    """Return the calendar file of an answer, ready to be written or downloaded."""
    from icalendar import Alarm, Calendar, Event

    stamp = datetime.combine(answer.as_of, time(0), tzinfo=UTC)
    calendar = Calendar()
    calendar.add("prodid", "-//fuelplan//order dates//EN")
    calendar.add("version", "2.0")
    calendar.add("method", "PUBLISH")
    for item in order_events(answer, system):
        event = Event()
        event.add("uid", f"{_identifier(answer.site, item.key)}@fuelplan")
        event.add("dtstamp", stamp)
        # A later answer about the same event counts as its newer version.
        event.add("sequence", (answer.as_of - date(2000, 1, 1)).days)
        event.add("dtstart", item.first)
        event.add("dtend", item.last + timedelta(days=1))  # the end of an all-day event is the day after
        event.add("summary", item.title)
        event.add("description", item.text)
        event.add("transp", "TRANSPARENT")
        if item.remind:
            alarm = Alarm()
            alarm.add("action", "DISPLAY")
            alarm.add("description", item.title)
            alarm.add("trigger", timedelta(hours=9) - REMIND_BEFORE)
            event.add_component(alarm)
        calendar.add_component(event)
    return bytes(calendar.to_ical())


def _identifier(site: str, key: str) -> str:
    return hashlib.sha256(f"{site}\n{key}".encode()).hexdigest()[:32]

"""The dates of an order answer as a calendar file (iCalendar, RFC 5545).

The same answer gives the same bytes: the time stamp is the day of the answer, not the clock's, and the
identifier of an event depends on the site and on what the event is, so that loading a newer file moves the
old event instead of adding a second one.
"""

from __future__ import annotations

import hashlib
from datetime import UTC, date, datetime, time, timedelta

from fuelplan.answers.when_to_order import OrderAnswer, order_events
from fuelplan.messages import render
from fuelplan.units import unbroken

REMIND_BEFORE = timedelta(days=2)  # of the last day to order, at nine in the morning


@unbroken(False)
def order_calendar(answer: OrderAnswer) -> bytes:
    """Return the calendar file of an answer, ready to be written or downloaded."""
    from icalendar import Alarm, Calendar, Event

    stamp = datetime.combine(answer.as_of, time(0), tzinfo=UTC)
    calendar = Calendar()
    calendar.add("prodid", "-//fuelplan//order dates//EN")
    calendar.add("version", "2.0")
    calendar.add("method", "PUBLISH")
    for item in order_events(answer):
        event = Event()
        event.add("uid", f"{_identifier(answer.site, item.key)}@fuelplan")
        event.add("dtstamp", stamp)
        # A later answer about the same event counts as its newer version.
        event.add("sequence", (answer.as_of - date(2000, 1, 1)).days)
        event.add("dtstart", item.first)
        event.add("dtend", item.last + timedelta(days=1))  # the end of an all-day event is the day after
        event.add("summary", render(item.title))
        event.add("description", render(item.text))
        event.add("transp", "TRANSPARENT")
        if item.remind:
            alarm = Alarm()
            alarm.add("action", "DISPLAY")
            alarm.add("description", render(item.title))
            alarm.add("trigger", timedelta(hours=9) - REMIND_BEFORE)
            event.add_component(alarm)
        calendar.add_component(event)
    return bytes(calendar.to_ical())


def _identifier(site: str, key: str) -> str:
    return hashlib.sha256(f"{site}\n{key}".encode()).hexdigest()[:32]

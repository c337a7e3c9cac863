"""What every face shows of a run plan: lists with their columns, runs, stops and days."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date

from fuelplan.answers.round.noted_words import WISHES, wish_words
from fuelplan.answers.which_runs.answer import (
    ChamberLoad,
    PromiseAtRisk,
    Run,
    RunBreak,
    RunsAnswer,
    RunStop,
    ToRing,
    WishNotKept,
)
from fuelplan.messages import Day, Message, Own, Quantity, Range, TimeOfDay, Value, as_message, message

Row = tuple[Value, ...]

NOTHING = Own("–")
NO_PHONE = message("runs.no_phone", "no number known")
ON_NO_RUN = message("runs.planned_on_none", "on no run")
ANY_TANKER = message("runs.any_tanker", "any")
WEEKDAYS = (
    message("weekday.monday", "Mon"),
    message("weekday.tuesday", "Tue"),
    message("weekday.wednesday", "Wed"),
    message("weekday.thursday", "Thu"),
    message("weekday.friday", "Fri"),
    message("weekday.saturday", "Sat"),
    message("weekday.sunday", "Sun"),
)
TO_CONFIRM = message("runs.title_to_confirm", "Drops to ask about")
CUSTOMER = message("runs.head_customer", "Customer")
ORDER = message("runs.head_order", "Order")
TELEPHONE = message("runs.head_telephone", "Telephone")
WHY = message("runs.head_why", "Why")
DELIVER_BY = message("runs.head_deliver_by", "Deliver by")
WOULD_FIT = message("runs.head_would_fit", "Would fit")
DROP = message("runs.head_drop", "Drop")
PROMISED_BY = message("runs.head_promised_by", "Promised by")
PLANNED_FOR = message("runs.head_planned_for", "Planned for")
READ_ON = message("runs.head_read_on", "Read on")
READING = message("runs.head_reading", "Reading")
EXPECTED = message("runs.head_expected", "Expected")
WISH = message("runs.head_wish", "Wish")
DAY = message("runs.head_day", "Day")
TANKER = message("runs.head_tanker", "Tanker")
PUBLISHED_FOR = message("runs.head_published_for", "Published for")


@dataclass(frozen=True)
class Listing:
    """A list beside the plan.

    Attributes
    ----------
    title
        What stands over it.
    head
        The names of its columns.
    rows
        The cells of each entry, as many as there are columns.
    lines
        Each entry in one line, for a face without columns.
    """

    title: Message
    head: tuple[Message, ...]
    rows: tuple[Row, ...]
    lines: tuple[Message, ...]


def listings(answer: RunsAnswer) -> Iterator[Listing]:
    """Yield the lists that have an entry, in the order in which they are read."""
    for listing in (
        to_confirm(answer),
        doubted(answer),
        to_ring(answer),
        calls(answer),
        promises(answer),
        not_served(answer),
        changes(answer),
        wishes(answer),
    ):
        if listing.lines:
            yield listing


def named(name: str, customer: str) -> Value:
    """Return a customer's name with the number; the number alone where there is no name."""
    if not name.strip():
        return Own(customer)
    return message("runs.named", "{name} ({customer})", name=Own(name), customer=Own(customer))


def phone(number: str) -> Value:
    """Return a telephone number, or that none is known."""
    return Own(number) if number.strip() else NO_PHONE


def weighed(kg: float) -> Quantity:
    """Return an amount as a scale shows it. [kg]"""
    return Quantity(kg, "weighed_mass")


def mass(kg: float, digits: int = 2) -> Quantity:
    """Return an amount as people tell it. [kg]"""
    return Quantity(kg, "mass", digits)


def road(km: float, digits: int = 2) -> Quantity:
    """Return a way. [km]"""
    return Quantity(km, "distance", digits)


def road_for_each(km: float, kg: float) -> Quantity:
    """Return how far is driven for each tonne; none where nothing is brought. [km, kg]"""
    return Quantity(1000 * km / kg if kg > 0 else 0.0, "distance_per_mass", decimals=1)


def hose(length_m: float) -> Quantity:
    """Return how much hose a stop needs. [m]"""
    return Quantity(length_m, "length")


def level(low_kg: float, high_kg: float) -> Range:
    """Return what may be in a store. [kg]"""
    return Range(max(0.0, low_kg), max(0.0, high_kg), "mass")


def day_named(day: date) -> Message:
    """Return a day with its weekday, short: "Fri 16 January"."""
    return message("runs.day_named", "{weekday} {day}", weekday=WEEKDAYS[day.weekday()], day=Day(day))


def drop(kg: float, grade: str) -> Message:
    """Return an amount of a class: "3,000 kg A1". [kg]"""
    return message("runs.drop", "{kg} {grade}", kg=weighed(kg), grade=Own(grade))


def promises(answer: RunsAnswer) -> Listing:
    """Return the promises that may not hold."""
    return Listing(
        message("runs.title_promises", "Promised deliveries whose store may run low first"),
        (ORDER, CUSTOMER, PROMISED_BY, PLANNED_FOR, WHY),
        tuple(promise_row(p) for p in answer.promises_at_risk),
        tuple(
            message(
                "runs.line_promise", "{order}, {customer}: {why}",
                order=Own(p.order), customer=named(p.name, p.customer), why=p.why,
            )
            for p in answer.promises_at_risk
        ),
    )  # fmt: skip


def promise_row(promise: PromiseAtRisk) -> Row:
    """Return the cells of one promise that may not hold."""
    planned = ON_NO_RUN if promise.planned_on is None else Day(promise.planned_on)
    customer = named(promise.name, promise.customer)
    return (Own(promise.order), customer, Day(promise.promised_to), planned, promise.why)


def to_ring(answer: RunsAnswer) -> Listing:
    """Return whom to ring because the fuel is low, and what would fit."""
    title = message("runs.title_to_ring", "To ring")
    return _rings(title, WOULD_FIT, answer.to_ring)


def calls(answer: RunsAnswer) -> Listing:
    """Return who asks for a call before a stop, and what it brings."""
    title = message("runs.title_calls", "Call before the stop")
    return _rings(title, DROP, answer.calls)


def _rings(title: Message, amount: Message, who: Sequence[ToRing]) -> Listing:
    rows = tuple(
        (
            named(r.name, r.customer),
            phone(r.phone),
            r.why,
            NOTHING if r.deliver_by is None else Day(r.deliver_by),
            mass(r.fits_kg),
        )
        for r in who
    )
    lines = tuple(
        message(
            "runs.line_ring", "{customer}, {phone}: {why}",
            customer=named(r.name, r.customer), phone=phone(r.phone), why=r.why,
        )
        for r in who
    )  # fmt: skip
    return Listing(title, (CUSTOMER, TELEPHONE, WHY, DELIVER_BY, amount), rows, lines)


def doubted(answer: RunsAnswer) -> Listing:
    """Return whom to ask about a reading that disagrees with what was expected, with both figures."""
    found = answer.readings_doubted
    rows = tuple(
        (named(d.name, d.customer), phone(d.phone), Day(d.date), weighed(d.read_kg), weighed(d.expected_kg))
        for d in found
    )
    title = message("runs.title_readings", "Readings to ask about")
    head = (CUSTOMER, TELEPHONE, READ_ON, READING, EXPECTED)
    return Listing(title, head, rows, tuple(d.said for d in found))


def not_served(answer: RunsAnswer) -> Listing:
    """Return who is on no run, and why."""
    return Listing(
        message("runs.title_not_served", "On no run"),
        (CUSTOMER, ORDER, WHY),
        tuple(
            (named(n.name, n.customer), NOTHING if n.order is None else Own(n.order), n.reason)
            for n in answer.not_served
        ),
        tuple(
            message(
                "runs.line_not_served", "{customer}: {why}",
                customer=named(n.name, n.customer), why=n.reason,
            )
            for n in answer.not_served
        ),
    )  # fmt: skip


def changes(answer: RunsAnswer) -> Listing:
    """Return what is different from what was published."""
    title = message("runs.title_changes", "Changed against what was published")
    return Listing(title, (WHY,), tuple((one,) for one in answer.changes), answer.changes)


def wishes(answer: RunsAnswer) -> Listing:
    """Return the wishes that the plan does not keep, and why."""
    return Listing(
        message("runs.title_wishes", "Wishes that cannot be kept"),
        (CUSTOMER, WISH, DAY, TANKER, WHY),
        tuple(
            (
                named(w.name, w.customer),
                WISHES.get(w.wish) or as_message(w.wish),
                NOTHING if w.date is None else Day(w.date),
                ANY_TANKER if w.tanker is None else Own(w.tanker),
                w.reason,
            )
            for w in answer.wishes_not_kept
        ),
        tuple(_wish_line(w) for w in answer.wishes_not_kept),
    )


def _wish_line(wish: WishNotKept) -> Message:
    said = wish_words(wish.wish, named(wish.name, wish.customer), wish.date, wish.tanker)
    return message("runs.line_wish", "{wish}: {why}", wish=said, why=wish.reason)


def to_confirm(answer: RunsAnswer) -> Listing:
    """Return the published drops of past days that nobody has answered for."""
    return Listing(
        TO_CONFIRM,
        (PUBLISHED_FOR, CUSTOMER, ORDER, DROP, TANKER),
        tuple(
            (
                day_named(s.day),
                named(s.name, s.customer),
                NOTHING if s.order is None else Own(s.order),
                drop(s.kg, s.grade),
                Own(s.tanker),
            )
            for s in answer.to_confirm
        ),
        tuple(s.said for s in answer.to_confirm),
    )


def break_said(run: Run, pause: RunBreak) -> Message:
    """Return a driver's break in words."""
    at, minutes = TimeOfDay(pause.at_h), round(60 * pause.hours)
    if pause.before_stop <= len(run.stops):
        return message(
            "runs.break_before_stop", "{at} for {minutes} min before stop {stop}",
            at=at, minutes=minutes, stop=pause.before_stop,
        )  # fmt: skip
    return message("runs.break_on_way_back", "{at} for {minutes} min on the way back", at=at, minutes=minutes)


def chamber(load: ChamberLoad) -> Message:
    """Return what a chamber carries, of what it holds."""
    if load.kg <= 0:
        return message("runs.chamber_empty", "empty of {holds}", holds=weighed(load.holds_kg))
    return message(
        "runs.chamber", "{grade} {kg} of {holds}",
        grade=Own(load.grade), kg=weighed(load.kg), holds=weighed(load.holds_kg),
    )  # fmt: skip


def told(stop: RunStop) -> Message | None:
    """Return the window that a customer was told; None where none was."""
    if stop.told_from_h is None or stop.told_to_h is None:
        return None
    return message(
        "runs.told",
        "told {first} to {last}",
        first=TimeOfDay(stop.told_from_h),
        last=TimeOfDay(stop.told_to_h),
    )


def order_said(stop: RunStop) -> Message | None:
    """Return which order a stop serves, and until when it is promised; None where nobody ordered."""
    if not stop.order:
        return None
    order = Own(stop.order)
    if stop.promised_to is None:
        return message("runs.order", "order {order}", order=order)
    return message(
        "runs.order_promised", "order {order}, promised by {day}", order=order, day=Day(stop.promised_to)
    )


def ring_first(stop: RunStop) -> Message:
    """Return that a customer is to be rung before the stop."""
    return message("runs.ring_first", "ring first: {phone}", phone=phone(stop.phone))


def overtime(hours: float) -> bool:
    """Tell whether there is overtime worth naming. [h]"""
    return hours > LEAST_OVERTIME_H


LEAST_OVERTIME_H = 0.05

"""What of the orders and published stops has come: by weigh notes, by a person's word, or not known yet.

How they are matched, all for one customer, one class, and nothing dated after the day of the plan:

- A weigh note belongs to the published stop it is nearest to in days, from `EARLY_DAYS` before to `LATE_DAYS`
  after; each to one stop.
- It closes the order of that stop; without a stop, the open order whose promise ends first. That promise
  begins no later than `EARLY_DAYS` after the note; where no first day was promised, it ends at most
  `OPEN_DAYS` after it.
- Where clearly less came than was ordered and the store was not filled, the rest stays ordered.
- A stop of a past day that has neither weigh note nor a failed drop is asked about. "It came" counts as a
  delivery until the weigh note is there.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, fields, replace
from datetime import date, timedelta

import numpy as np

from fuelplan.dispatch.books import (
    Customers,
    Deliveries,
    Happening,
    Order,
    PublishedStop,
    serves,
)
from fuelplan.messages import Day, Message, Own, Quantity, message

EARLY_DAYS, LATE_DAYS = 1, 3
"""A weigh note may be dated so many days before the published day, or after it."""

OPEN_DAYS = 30
"""A note closes an order without a first day that is promised for so many days later at the most."""

ASKED_DAYS = 60
"""Published days longer ago are not asked about any more."""

REST_SHARE = 0.2
"""A rest above this share of an order, and above the smallest drop, stays ordered."""


@dataclass(frozen=True)
class _Note:
    """One thing that came: a weigh note, or a person's word. [kg]"""

    customer: str
    day: date
    grade: str
    kg: float
    full: bool


@dataclass(frozen=True)
class Reckoned:
    """What counts as come and what is still open.

    Attributes
    ----------
    orders
        Without those that have come; those that may have come are marked as asked about.
    deliveries
        With the drops that somebody said came.
    asked
        Published stops of past days of which nobody knows whether they came, by day.
    notes
        What was concluded from weigh notes, in words.
    """

    orders: tuple[Order, ...]
    deliveries: Deliveries
    asked: tuple[PublishedStop, ...]
    notes: tuple[Message, ...]


def reckon(
    customers: Customers, grades: Sequence[str], deliveries: Deliveries, orders: Sequence[Order],
    published: Sequence[PublishedStop], happenings: Sequence[Happening], as_of: date,
) -> Reckoned:  # fmt: skip
    """Return the books with what has come taken off, and the stops to ask about.

    Parameters
    ----------
    grades
        The classes of fuel by their numbers.
    """
    notes = _notes(customers, grades, deliveries, as_of)
    past = sorted(
        (s for s in published if as_of - timedelta(days=ASKED_DAYS) <= s.day <= as_of),
        key=lambda s: (s.day, s.tanker, s.trip, s.position),
    )
    of_stop = _of_stops(past, notes)
    asked: list[PublishedStop] = []
    said: list[_Note] = []
    waiting: set[str] = set()
    for n, stop in enumerate(past):
        if n in of_stop or _failed(happenings, stop):
            continue
        word = _word(happenings, stop)
        if word is None:
            asked.append(stop)
            waiting |= {o.order for o in orders if serves(stop, o)}
        else:
            of_stop[n] = len(notes) + len(said)
            said.append(_Note(stop.customer, stop.day, stop.grade, word, False))
    said += _words_alone(happenings, past, notes, as_of)
    still, texts = _open_orders(customers, orders, past, [*notes, *said], of_stop)
    still = tuple(replace(o, asked=o.order in waiting) for o in still)
    return Reckoned(still, _with(customers, grades, deliveries, said), tuple(asked), tuple(texts))


def _notes(customers: Customers, grades: Sequence[str], d: Deliveries, as_of: date) -> list[_Note]:
    """Return the weigh notes that could belong to an open order or to a stop that is asked about."""
    first = np.datetime64(as_of - timedelta(days=ASKED_DAYS + EARLY_DAYS), "D")
    which = np.flatnonzero((d.day >= first) & (d.day <= np.datetime64(as_of, "D")))
    ids = customers.id
    return sorted(
        (
            _Note(
                str(ids[d.customer[k]]), d.day[k].item(), grades[d.grade[k]] if d.grade[k] >= 0 else "",
                float(d.kg[k]), bool(d.filled_full[k]),
            )
            for k in which.tolist()
        ),
        key=lambda n: (n.day, n.customer),
    )  # fmt: skip


def _same(note: _Note, customer: str, grade: str | None) -> bool:
    return note.customer == customer and (not grade or note.grade in ("", grade))


def _of_stops(past: Sequence[PublishedStop], notes: Sequence[_Note]) -> dict[int, int]:
    """Return which note belongs to which stop: the nearest pairs first."""
    pairs = [
        (abs((note.day - stop.day).days), s, n)
        for s, stop in enumerate(past)
        for n, note in enumerate(notes)
        if _same(note, stop.customer, stop.grade) and -EARLY_DAYS <= (note.day - stop.day).days <= LATE_DAYS
    ]
    found: dict[int, int] = {}
    taken: set[int] = set()
    for _, s, n in sorted(pairs):
        if s not in found and n not in taken:
            found[s] = n
            taken.add(n)
    return found


def _failed(happenings: Sequence[Happening], stop: PublishedStop) -> bool:
    return any(
        h.what == "failed drop" and h.customer == stop.customer and h.day <= stop.day <= h.until
        for h in happenings
    )


def _word(happenings: Sequence[Happening], stop: PublishedStop) -> float | None:
    """Return what a person says came of a stop, None where nobody has said. [kg]"""
    for h in happenings:
        if h.what == "came" and h.customer == stop.customer and h.day == stop.day:
            return stop.kg if h.kg is None else h.kg
    return None


def _words_alone(
    happenings: Sequence[Happening], past: Sequence[PublishedStop], notes: Sequence[_Note], as_of: date
) -> list[_Note]:
    """Return what a person says came where nothing was published, until its weigh note is there."""
    told = {(s.customer, s.day) for s in past}
    out = []
    for h in happenings:
        if h.what != "came" or h.kg is None or h.day > as_of or (h.customer, h.day) in told:
            continue
        near = (abs((n.day - h.day).days) for n in notes if n.customer == h.customer)
        if min(near, default=LATE_DAYS + 1) > LATE_DAYS:
            out.append(_Note(h.customer or "", h.day, h.grade or "", h.kg, False))
    return out


def _open_orders(
    customers: Customers, orders: Sequence[Order], past: Sequence[PublishedStop], notes: Sequence[_Note],
    of_stop: dict[int, int],
) -> tuple[tuple[Order, ...], list[Message]]:  # fmt: skip
    """Return the orders that are still open, and in words which are closed and why."""
    of_order: dict[str, list[_Note]] = {}
    taken = set()
    for s, n in sorted(of_stop.items()):
        order = next((o for o in orders if serves(past[s], o)), None)
        if order is not None:
            of_order.setdefault(order.order, []).append(notes[n])
        if order is not None or past[s].order is not None:
            taken.add(n)
    for n, note in enumerate(notes):
        mine = [o for o in orders if n not in taken and _could_close(note, o)]
        if mine:
            first = min(mine, key=lambda o: (o.order in of_order, o.last, o.row))
            of_order.setdefault(first.order, []).append(note)
    kept, said = [], []
    for order in orders:
        came = of_order.get(order.order)
        if not came:
            kept.append(order)
            continue
        rest, text = _rest(customers, order, came)
        said.append(text)
        if rest is not None:
            kept.append(replace(order, kg=rest, already_empty=False))
    return tuple(kept), said


def _could_close(note: _Note, order: Order) -> bool:
    if not _same(note, order.customer, order.grade):
        return False
    if order.first is not None:
        return note.day >= order.first - timedelta(days=EARLY_DAYS)
    return order.last == date.max or note.day >= order.last - timedelta(days=OPEN_DAYS)


def _rest(customers: Customers, order: Order, came: Sequence[_Note]) -> tuple[float | None, Message]:
    """Return what stays ordered, None where the order is done, and the remark. [kg]"""
    kg = sum(note.kg for note in came)
    last = max(note.day for note in came)
    name, who = Own(order.order), customers.said(order.customer)
    some, day = Quantity(kg, "weighed_mass"), Day(last)
    if order.kg is None or kg >= (1 - REST_SHARE / 2) * order.kg:
        return None, message(
            "came.whole", "Order {order} of {customer} has come: {kg} on {day}.",
            order=name, customer=who, kg=some, day=day,
        )  # fmt: skip
    rest = order.kg - kg
    least = float(customers.smallest_drop_kg[customers.number_of[order.customer]])
    ordered = Quantity(order.kg, "weighed_mass")
    if any(note.full for note in came):
        return None, message(
            "came.part_and_full",
            "Order {order} of {customer}: {kg} of {ordered} came on {day} and filled the store; it counts as "
            "done.",
            order=name, customer=who, kg=some, ordered=ordered, day=day,
        )  # fmt: skip
    if rest < max(least, REST_SHARE * order.kg):
        return None, message(
            "came.part_and_done",
            "Order {order} of {customer}: {kg} of {ordered} came on {day}; it counts as done. Enter a new "
            "order if the rest is wanted.",
            order=name, customer=who, kg=some, ordered=ordered, day=day,
        )  # fmt: skip
    return rest, message(
        "came.part_and_rest",
        "Order {order} of {customer}: {kg} of {ordered} came on {day}; {rest} stay ordered. Take the order "
        "out if they are not wanted.",
        order=name, customer=who, kg=some, ordered=ordered, day=day, rest=Quantity(rest, "weighed_mass"),
    )  # fmt: skip


def _with(customers: Customers, grades: Sequence[str], d: Deliveries, said: Sequence[_Note]) -> Deliveries:
    """Return the deliveries with what somebody said came."""
    if not said:
        return d
    number = customers.number_of
    more = Deliveries(
        row=np.zeros(len(said), d.row.dtype),
        customer=np.array([number[n.customer] for n in said], d.customer.dtype),
        day=np.array([n.day for n in said], d.day.dtype),
        kg=np.array([n.kg for n in said], d.kg.dtype),
        grade=np.array([grades.index(n.grade) if n.grade else -1 for n in said], d.grade.dtype),
        tanker=np.array([""] * len(said), d.tanker.dtype),
        filled_full=np.zeros(len(said), bool),
    )
    return Deliveries(
        *(np.concatenate([getattr(d, f.name), getattr(more, f.name)]) for f in fields(Deliveries))
    )

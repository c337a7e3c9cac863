"""The years before: customers look at their store, ring when it gets low, and a tanker comes some days later.

A plain policy, played with the truth, so that the supplier's books are what such a supplier's books are.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np

from tests.demo_folders.folders import Floats
from tests.demo_folders.round_places import Told
from tests.demo_folders.round_truth import true_use_kg

SEED = 505
TICKET_KG = 10.0
LATE = 64  # looks at the store, and rings when it is too late


@dataclass(frozen=True)
class PastDelivery:
    """One weighed ticket."""

    customer: str
    day: date
    kg: float
    fuel_class: str
    filled_full: bool
    was_empty: bool


@dataclass(frozen=True)
class Ring:
    """A customer rang on a day for a delivery on another, 0 kg for "fill it up", and saw this share."""

    day: date
    due: date
    kg: float
    seen: float


@dataclass(frozen=True)
class Past:
    """What happened to one customer.

    Attributes
    ----------
    levels_kg
        Shape (days,), level each evening. [kg]
    dry_days
        Days on which fuel was missing.
    open_ring
        The order still open on the last evening; None where there is none.
    """

    deliveries: tuple[PastDelivery, ...]
    rings: tuple[Ring, ...]
    levels_kg: Floats
    dry_days: int
    open_ring: Ring | None


@dataclass(frozen=True)
class Habit:
    """How a customer orders: at which share, how well seen, which amount, and whether in summer, too."""

    ring_share: float
    eye_sd: float
    fixed_kg: float  # 0: fill it up
    summer: bool
    look_days: int
    look_on: int


def habit_of(customer: Told) -> Habit:
    """Return a customer's habit, the same each time."""
    rng = np.random.default_rng([SEED, customer.number])
    share = float(np.clip(rng.normal(0.25, 0.06), 0.12, 0.40))
    if customer.number == LATE:
        share = 0.04
    fixed = 0.0
    if customer.kind == "house" and rng.random() < 0.3:
        fixed = float(max(1000, round(customer.store_kg * rng.uniform(0.4, 0.65) / 500) * 500))
    summer = bool(customer.kind == "house" and rng.random() < 0.35)
    return Habit(share, float(rng.uniform(0.03, 0.08)), fixed, summer, 7, int(rng.integers(0, 7)))


def play(customer: Told, first_day: date, last_day: date) -> Past:
    """Return what happened from `first_day` to the evening of `last_day`."""
    use_kg = true_use_kg(customer, first_day, last_day)
    habit = habit_of(customer)
    rng = np.random.default_rng([SEED, 1, customer.number])
    level = float(rng.uniform(0.35, 0.95)) * customer.store_kg
    levels, tickets, rings, pending, dry = np.empty(len(use_kg)), [], [], None, 0
    for i, use in enumerate(use_kg):
        day = first_day + timedelta(days=i)
        if pending is not None and day == pending.due:
            ticket = _fill(customer, habit, day, level, pending, rng)
            if ticket is not None:
                tickets.append(ticket)
                level += ticket.kg
            pending = None
        level -= use
        if level < 0:
            level, dry = 0.0, dry + 1
            if pending is None or pending.due > day + timedelta(days=2):
                pending = Ring(day, _working_day(customer, day, 1, urgent=True), 0.0, 0.0)
                rings.append(pending)
        levels[i] = level
        if pending is None and (i + habit.look_on) % habit.look_days == 0:
            pending = _look(customer, habit, day, level, rng)
            rings += [pending] if pending is not None else []
    open_ring = pending if pending is not None and pending.due > last_day else None
    return Past(tuple(tickets), tuple(rings), levels, dry, open_ring)


def _look(customer: Told, habit: Habit, day: date, level_kg: float, rng: np.random.Generator) -> Ring | None:
    """Return a ring if the customer finds the store low, or fills early in a cheap month."""
    seen = float(np.clip(level_kg / customer.store_kg + rng.normal(0, habit.eye_sd), 0.0, 1.0))
    wait, patience = int(rng.integers(3, 10)), int(rng.integers(6, 22))
    if seen < habit.ring_share:
        return Ring(day, _working_day(customer, day, wait), habit.fixed_kg, seen)
    if habit.summer and day.month in (6, 7) and seen < 0.6:
        return Ring(day, _working_day(customer, day, patience), 0.0, seen)
    return None


def _working_day(customer: Told, day: date, wait: int, urgent: bool = False) -> date:
    """Return the first day, `wait` days later or more, on which the yard drives and fuel is taken."""
    due = day + timedelta(days=wait)
    while due.isoweekday() > 5 or (
        customer.weekdays and not urgent and due.isoweekday() not in customer.weekdays
    ):
        due += timedelta(days=1)
    return due


def _fill(
    customer: Told, habit: Habit, day: date, level_kg: float, ring: Ring, rng: np.random.Generator
) -> PastDelivery | None:
    """Return the ticket of a delivery; None where nothing worth a ticket went in."""
    top = customer.store_kg * float(rng.uniform(0.95, 1.0))  # a cone is never quite full
    room = top - level_kg
    wanted = ring.kg if ring.kg > 0 else room
    kg = TICKET_KG * round(min(wanted, room) / TICKET_KG)
    full = bool(min(wanted, room) >= room - 1 and rng.random() < 0.7)  # the driver does not always note it
    if kg < 300:
        return None
    return PastDelivery(customer.key, day, kg, customer.classes[0], full, ring.seen == 0.0)

"""One winter played day by day under one policy: what it decides is driven, and the truth burns."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from fuelplan.dispatch.replay.played_books import PlayedBooks
from fuelplan.dispatch.replay.rounds import DAYS_A_YEAR, Tally
from fuelplan.dispatch.replay.world import PROMISE_DAYS, World

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]


@dataclass(frozen=True)
class PlayedDrop:
    """What was blown in at one stop. [kg]"""

    day: date
    customer: int
    planned_kg: float
    kg: float


@dataclass(frozen=True)
class TankerDriven:
    """What one tanker drove on one day. [km, h, money]"""

    trips: int
    km: float
    hours: float
    overtime_h: float
    way_cost: float
    overtime_cost: float


@dataclass(frozen=True)
class DrivenStop:
    """A stop that was driven to: number of the customer, what it brings [kg], class, and whether ordered."""

    customer: int
    kg: float
    grade: int
    ordered: bool


@dataclass(frozen=True)
class DrivenDay:
    """What a policy lets drive on one day.

    Attributes
    ----------
    loss
        Cost of its plan less that of one with the full budget, where that was asked for. [money]
    """

    stops: tuple[DrivenStop, ...]
    tankers: tuple[TankerDriven, ...]
    loss: float | None = None


class RoundPolicy(Protocol):
    """Who decides what is driven.

    Attributes
    ----------
    name
        Its name in the tally.
    rings
        Shape (N,), who rings by themselves.
    by_k_factor
        Whether the supplier orders for top-up customers by what the K-factor reckons.
    """

    name: str
    rings: Bools
    by_k_factor: bool

    def drive(self, books: PlayedBooks, day: date, full_moves: int | None) -> DrivenDay | None:
        """Return what is driven on a day, as known on the evening before; None where nothing is planned."""


@dataclass(frozen=True)
class PlayedWinter:
    """A winter as it went.

    Attributes
    ----------
    drops
        Every stop, in order.
    level_kg
        Shape (N, days), each evening. [kg]
    missing_kg
        Shape (N, days). [kg]
    losses
        For the evenings asked for: cost of the plan driven less that of one with the full budget. [money]
    """

    tally: Tally
    drops: tuple[PlayedDrop, ...]
    level_kg: Floats
    missing_kg: Floats
    losses: tuple[float, ...]


class _Sums:
    """Running sums of a winter."""

    def __init__(self) -> None:
        self.run_outs = self.top_up_run_outs = self.trips = self.late = 0
        self.km = self.hours = self.overtime_h = self.cost = 0.0

    def add(self, driven: DrivenDay) -> None:
        """Add what the tankers drove, one after the other."""
        for tanker in driven.tankers:
            self.trips += tanker.trips
            self.km += tanker.km
            self.hours += tanker.hours
            self.overtime_h += tanker.overtime_h
            self.cost += tanker.way_cost
            self.cost += tanker.overtime_cost


def play(
    world: World,
    policy: RoundPolicy,
    *,
    full_moves: int | None = None,
    full_days: int = 0,
    progress: Callable[[float], None] | None = None,
) -> PlayedWinter:
    """Return the winter under one policy. The world is used up: its books and stocks go on from where it was.

    Parameters
    ----------
    full_moves, full_days
        On so many evenings spread over the winter also plan with this budget, to see what the short one
        loses.
    """
    w, sums = world, _Sums()
    days = w.winter.days
    start_kg = float(w.stocks.level_kg.sum())
    level, missing = np.zeros((len(w.served), days)), np.zeros((len(w.served), days))
    drops: list[PlayedDrop] = []
    losses: list[float] = []
    evenings = set(np.linspace(0.2 * days, 0.8 * days, full_days).astype(int).tolist())
    wanted = 0
    for d in range(days):
        day = w.winter.first_day + timedelta(days=d)
        wanted += d in evenings
        driven = None
        if w.calendar.is_working(day):
            driven = policy.drive(w.books, day, full_moves if wanted else None)
        if driven is not None and driven.loss is not None:
            wanted -= 1
            losses.append(driven.loss)
        drops += _morning(w, day, driven, sums)
        missing[:, d] = _rest_of_day(w, policy, day, sums)
        level[:, d] = w.stocks.level_kg
        if progress is not None:
            progress((d + 1) / days)
    tally = _tally(w, policy.name, sums, drops, missing, start_kg)
    return PlayedWinter(tally, tuple(drops), level, missing, tuple(losses))


def _tally(
    w: World, policy: str, sums: _Sums, drops: list[PlayedDrop], missing: Floats, start_kg: float
) -> Tally:
    burned = w.use_kg[:, w.at(w.winter.first_day) :].sum() - missing.sum()
    return Tally(
        policy=policy,
        winter=w.winter.name,
        customer_years=float(w.served.sum()) * w.winter.days / DAYS_A_YEAR,
        run_outs=sums.run_outs,
        top_up_run_outs=sums.top_up_run_outs,
        dry_days=int((missing > 0).sum()),
        missing_kg=float(missing.sum()),
        delivered_kg=float(sum(drop.kg for drop in drops)),
        burned_kg=float(burned),
        start_kg=start_kg,
        end_kg=float(w.stocks.level_kg.sum()),
        drops=sum(drop.kg > 0 for drop in drops),
        trips=sums.trips,
        km=sums.km,
        hours=sums.hours,
        overtime_h=sums.overtime_h,
        cost=sums.cost,
        late=sums.late,
    )


def _morning(w: World, day: date, driven: DrivenDay | None, sums: _Sums) -> list[PlayedDrop]:
    """Drive a day's runs, strike the orders served, and blow in what fits."""
    planned: dict[int, tuple[float, int]] = {}
    if driven is not None:
        sums.add(driven)
        for stop in driven.stops:
            planned[stop.customer] = (stop.kg, stop.grade)
            if stop.ordered:
                sums.late += day > w.books.orders.pop(stop.customer).last
    kg = w.blow_in(day, planned)
    return [PlayedDrop(day, i, wanted, float(kg[i])) for i, (wanted, _) in sorted(planned.items())]


def _rest_of_day(w: World, policy: RoundPolicy, day: date, sums: _Sums) -> Floats:
    """Burn a day; in the evening customers tell levels, ring, or are due by the K-factor."""
    missing, out = w.burn(day)
    top_up = w.customers.top_up
    sums.run_outs += int(out.sum())
    sums.top_up_run_outs += int((out & top_up).sum())
    w.evening(day)
    for i in np.flatnonzero(out):  # whoever finds the store empty rings at once, whatever the contract
        last = w.calendar.add(day, 1)
        w.books.order(int(i), w.fill_kg(int(i), 0.0, last, day, w.k), last, empty=True)
    last = w.calendar.add(day, PROMISE_DAYS)
    for i in w.ringing(policy.rings):
        w.ring(int(i), day, last)
    if policy.by_k_factor:
        due = top_up & w.served & w.k.due(w.rules.ring_at)
        for i in np.flatnonzero(due):
            if int(i) not in w.books.orders:
                kg = w.fill_kg(int(i), float(w.k.level_kg[i]), last, day, w.k)
                w.books.order(int(i), kg, last)
    return missing

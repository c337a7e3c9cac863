"""One winter played day by day under one policy: what it decides is driven, and the truth burns."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np
from numpy.typing import NDArray

from fuelplan.answers.past_winters.policies import K_FACTOR, Planner
from fuelplan.answers.past_winters.world import PROMISE_DAYS, World
from fuelplan.answers.which_runs.needs import Week
from fuelplan.answers.which_runs.plan import DayRoutesPlan
from fuelplan.dispatch.replay import DAYS_A_YEAR, Tally
from fuelplan.records.round import driver_rules

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]


@dataclass(frozen=True)
class PlayedDrop:
    """What was blown in at one stop. [kg]"""

    day: date
    customer: int
    planned_kg: float
    kg: float
    ordered: bool


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
        self.run_outs = self.top_up_run_outs = self.dry_days = self.trips = self.late = 0
        self.km = self.hours = self.overtime_h = self.cost = 0.0


def play(
    world: World,
    planner: Planner,
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
        given: dict[int, tuple[float, int]] = {}
        wanted += d in evenings
        if w.calendar.is_working(day):
            eve = day - timedelta(days=1)
            week = planner.week(w.books, eve)
            if week.rows and week.days and week.days[0] == day:
                plan = planner.plan(w.books, week, eve)
                if wanted and full_moves is not None:
                    wanted -= 1
                    losses.append(plan.solution.cost - planner.full_plan(w.books, week, full_moves))
                given = _drive(w, week, plan.days[0], day, sums)
        drops += _morning(w, day, given)
        level[:, d], missing[:, d] = _rest_of_day(w, planner, day, sums)
        if progress is not None:
            progress((d + 1) / days)
    served = w.served
    burned = w.use_kg[:, w.at(w.winter.first_day) :].sum() - missing.sum()
    tally = Tally(
        policy=planner.name,
        winter=w.winter.name,
        customer_years=float(served.sum()) * days / DAYS_A_YEAR,
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
    return PlayedWinter(tally, tuple(drops), level, missing, tuple(losses))


def _drive(w: World, week: Week, plan: DayRoutesPlan, day: date, sums: _Sums) -> dict[int, tuple[float, int]]:
    """Drive a day's runs: return {customer: (kg planned, class)} and strike the orders served."""
    given: dict[int, tuple[float, int]] = {}
    table = w.base.table
    usual = driver_rules(table).normal_work_h
    for v, tanker in enumerate(table.tankers):
        own = [r for r in plan.routes.routes if r.tanker == v]
        hours = sum(r.hours for r in own) + tanker.reload_h * max(0, len(own) - 1)
        worked = sum(r.worked_h for r in own) + tanker.reload_h * max(0, len(own) - 1)
        over = max(0.0, worked - usual)
        km = sum(r.km for r in own)
        sums.trips += len(own)
        sums.km += km
        sums.hours += hours
        sums.overtime_h += over
        extra = table.rules.overtime_per_hour
        sums.cost += km * tanker.cost_per_km[0] + hours * tanker.cost_per_hour[0]
        sums.cost += over * (extra[0] if extra is not None else 0.0)
        for r in own:
            for number in r.stops:
                stop = plan.stops[number]
                row = week.rows[stop.row]
                given[row.customer] = (float(stop.kg), row.grade)
                if row.orders:
                    order = w.books.orders.pop(row.customer)
                    sums.late += day > order.last
    return given


def _morning(w: World, day: date, given: dict[int, tuple[float, int]]) -> list[PlayedDrop]:
    """Blow in what fits."""
    w.stocks, w.k, kg = w.morning(w.books, w.stocks, w.k, day, given)
    return [PlayedDrop(day, i, planned, float(kg[i]), False) for i, (planned, _) in sorted(given.items())]


def _rest_of_day(w: World, planner: Planner, day: date, sums: _Sums) -> tuple[Floats, Floats]:
    """Burn a day; in the evening customers tell levels, ring, or are due by the K-factor."""
    at = w.at(day)
    w.stocks, missing, out = w.stocks.burned(w.use_kg[:, at])
    w.k = w.k.after_day(w.degree_days[:, at]).found_empty(out)
    top_up = w.base.customers.top_up
    sums.run_outs += int(out.sum())
    sums.top_up_run_outs += int((out & top_up).sum())
    w.evening(w.books, w.stocks, day)
    for i in np.flatnonzero(out):  # whoever finds the store empty rings at once, whatever the contract
        last = w.calendar.add(day, 1)
        kg = w.fill_kg(int(i), 0.0, last, day, w.k)
        w.books.order(int(i), kg, last, empty=True)
    last = w.calendar.add(day, PROMISE_DAYS)
    for i in w.rings(w.books, w.stocks, planner.rings):
        level = float(w.stocks.level_kg[i])
        w.books.note_seen(int(i), day, level, float(w.deviate[i, at]), True)
        w.books.order(int(i), w.fill_kg(int(i), level, last, day, w.k), last)
    if planner.name == K_FACTOR:
        due = top_up & w.served & w.k.due(w.base.table.rules.ring_at)
        for i in np.flatnonzero(due):
            if int(i) not in w.books.orders:
                kg = w.fill_kg(int(i), float(w.k.level_kg[i]), last, day, w.k)
                w.books.order(int(i), kg, last)
    return w.stocks.level_kg, missing

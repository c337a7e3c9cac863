"""Who decides in a replay: the plan, "deliver when the customer rings", and the K-factor rule.

All have the same tankers, the same roads and the same planner behind them; they differ in what they ask it
for.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np
from numpy.typing import NDArray

from fuelplan.dispatch.books import OrderRow
from fuelplan.dispatch.outlook import LevelTable
from fuelplan.dispatch.replay.play import DrivenDay, DrivenStop, TankerDriven
from fuelplan.dispatch.replay.played_books import PlayedBooks
from fuelplan.dispatch.replay.world import World
from fuelplan.dispatch.run_plan import (
    Budget,
    DayRoutesPlan,
    DispatchDesk,
    Prices,
    RunPlan,
    Solution,
    Supplier,
    Visit,
    Week,
    Yard,
    routed_week,
    week_of,
)

Floats = NDArray[np.float64]
Dates = NDArray[np.datetime64]

PLAN, RINGS, K_FACTOR = "plan", "rings", "k-factor"
POLICIES = (PLAN, RINGS, K_FACTOR)


@dataclass(frozen=True)
class PlanSettings:
    """How hard each evening's plan is searched for.

    Attributes
    ----------
    moves
        Moves of the search on an evening.
    days
        Working days planned ahead.
    draws
        Draws of each customer, raised to a multiple of the winters.
    route_iterations
        Of the routing of the one day that is driven.
    prices
        None: as the round's rules say.
    """

    moves: int = 1000
    days: int = 10
    draws: int = 250
    route_iterations: int = 100
    prices: Prices | None = None


@dataclass(frozen=True)
class Evening:
    """What a policy goes by on an evening.

    Attributes
    ----------
    levels
        Of all customers on each evening if nothing comes.
    deliver_by
        Shape (N,): last safe days, NaT for none.
    maybe_kg
        Shape (N,): what may lie in the stores besides. [kg]
    """

    desk: DispatchDesk
    levels: LevelTable
    deliver_by: Dates
    maybe_kg: Floats


Look = Callable[[PlayedBooks, date], Evening]
"""What is known on an evening from the books kept up to it."""


class Planner:
    """Asks for a plan on the evening before each working day, and drives its first day."""

    def __init__(
        self, name: str, world: World, look: Look, yard: Yard, depot_place: Sequence[int], prices: Prices,
        settings: PlanSettings, seed: int,
    ) -> None:  # fmt: skip
        """Start without a plan; `prices` count where the settings have none."""
        self.name, self.world, self.look, self.settings, self.seed = name, world, look, settings, seed
        self.yard, self.depot_place, self.prices = yard, depot_place, settings.prices or prices
        self.rings = np.ones(len(world.served), bool) if name == RINGS else ~world.customers.top_up
        """Who rings by themselves."""
        self.by_k_factor = name == K_FACTOR
        self._last: tuple[Week, Solution] | None = None

    def drive(self, books: PlayedBooks, day: date, full_moves: int | None) -> DrivenDay | None:
        """Return what is driven on a day, as known on the evening before; None where nothing is planned.

        Parameters
        ----------
        full_moves
            Moves of a full budget, to see what the short one loses; None: not looked at.
        """
        eve = day - timedelta(days=1)
        known = self.look(books, eve)
        week = week_of(
            known.desk, known.levels, self.settings.days, known.deliver_by, maybe_kg=known.maybe_kg
        )
        if not week.rows or not week.days or week.days[0] != day:
            return None
        start = None if self._last is None else shifted(*self._last, week)
        risk, days = known.desk.supplier.risk, (eve - self.world.winter.books_from).days
        plan = self._plan(week, risk, self.settings.moves, self.seed + days, start)
        self._last = (week, plan.solution)
        loss = None
        if full_moves is not None:
            loss = plan.solution.cost - self._plan(week, risk, full_moves, self.seed, None).solution.cost
        return _driven(known.desk.supplier, week, plan.days[0], loss)

    def _plan(self, week: Week, risk: float, moves: int, seed: int, start: Solution | None) -> RunPlan:
        """Return a plan, searched for from another one where there is one; only the first day is routed."""
        return routed_week(
            week, self.yard, self.depot_place, Budget(moves), seed=seed, risk=risk, prices=self.prices,
            start=start, route_iterations=self.settings.route_iterations, only_days=1,
        )  # fmt: skip


def _driven(supplier: Supplier, week: Week, plan: DayRoutesPlan, loss: float | None) -> DrivenDay:
    """Return what the tankers drive on the first day of a plan."""
    tankers, stops = [], []
    for v, tanker in enumerate(supplier.tankers):
        own = [r for r in plan.routes.routes if r.tanker == v]
        reloading = tanker.reload_h * max(0, len(own) - 1)
        hours, km = sum(r.hours for r in own) + reloading, sum(r.km for r in own)
        over = max(0.0, sum(r.worked_h for r in own) + reloading - supplier.driver.normal_work_h)
        way = km * tanker.cost_per_km + hours * tanker.cost_per_h
        tankers.append(TankerDriven(len(own), km, hours, over, way, over * supplier.overtime_per_h))
        for stop in (plan.stops[number] for r in own for number in r.stops):
            row = week.rows[stop.row]
            stops.append(DrivenStop(row.customer, float(stop.kg), row.grade, bool(row.orders)))
    return DrivenDay(tuple(stops), tuple(tankers), loss)


def shifted(old: Week, solution: Solution, new: Week) -> Solution:
    """Return yesterday's plan on today's days and rows: what has been driven and who is gone is left out."""
    slots = len(solution.routes) // max(1, len(old.days))
    row_of = {_key(row): n for n, row in enumerate(new.rows)}
    day_of = {day: t for t, day in enumerate(old.days)}
    routes: list[tuple[Visit, ...]] = []
    for day in new.days:
        t = day_of.get(day)
        for slot in range(slots):
            if t is None:
                routes.append(())
                continue
            visits: Sequence[Visit] = solution.routes[t * slots + slot]
            keys = [(row_of.get(_key(old.rows[v.customer])), v.kg) for v in visits]
            routes.append(tuple(Visit(n, kg) for n, kg in keys if n is not None))
    return Solution(tuple(routes), solution.cost, solution.broken, solution.moves)


def _key(row: OrderRow) -> tuple[int, tuple[str, ...]]:
    """Name a row: its customer and the orders it stands for."""
    return row.customer, tuple(o.order for o in row.orders)

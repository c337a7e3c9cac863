"""Who decides in a replay: the plan, "deliver when the customer rings", and the K-factor rule.

All have the same tankers, the same roads and the same planner behind them; they differ in what they ask it
for.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta

import numpy as np
from numpy.typing import NDArray

from fuelplan.answers.past_winters.books import as_round
from fuelplan.answers.past_winters.world import RoundWorld
from fuelplan.answers.round.roads import RoundRoads
from fuelplan.answers.round.rows import OrderRow
from fuelplan.answers.which_runs.needs import Week, levels_of, week_of
from fuelplan.answers.which_runs.plan import plan_week
from fuelplan.answers.who_is_due.beliefs import Beliefs, believe
from fuelplan.answers.who_is_due.deadlines import deliver_by_levels
from fuelplan.answers.who_is_due.doubts import more_kg
from fuelplan.dispatch.outlook import LevelTable
from fuelplan.dispatch.replay import DrivenDay, DrivenStop, PlayedBooks, TankerDriven
from fuelplan.dispatch.run_plan import Budget, DayRoutesPlan, Prices, RunPlan, Solution, Visit
from fuelplan.records.round import Round, driver_rules

Bools = NDArray[np.bool_]

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


class Planner:
    """Asks for a plan on the evening before each working day, and drives its first day."""

    def __init__(
        self, name: str, world: RoundWorld, roads: RoundRoads, settings: PlanSettings, seed: int
    ) -> None:
        """Start without a plan."""
        self.name, self.world, self.roads, self.settings, self.seed = name, world, roads, settings, seed
        n = len(world.served)
        self.rings = np.ones(n, bool) if name == RINGS else ~world.base.customers.top_up
        """Who rings by themselves."""
        self.by_k_factor = name == K_FACTOR
        self._known: tuple[Beliefs, LevelTable] | None = None
        self._last: tuple[Week, Solution] | None = None

    def drive(self, books: PlayedBooks, day: date, full_moves: int | None) -> DrivenDay | None:
        """Return what is driven on a day, as known on the evening before; None where nothing is planned.

        Parameters
        ----------
        full_moves
            Moves of a full budget, to see what the short one loses; None: not looked at.
        """
        eve = day - timedelta(days=1)
        week = self.week(books, eve)
        if not week.rows or not week.days or week.days[0] != day:
            return None
        plan = self.plan(books, week, eve)
        loss = None if full_moves is None else plan.solution.cost - self.full_plan(week, full_moves)
        return _driven(self.world.base, week, plan.days[0], loss)

    def week(self, books: PlayedBooks, as_of: date) -> Week:
        """Return what is to be planned as known on the evening of `as_of`."""
        if self.name == PLAN:
            beliefs, levels = self.beliefs(as_round(self.world.base, books), as_of)
        else:
            # Every row is an order with its amount: nobody looks at levels, so those of the first evening do.
            nobody = np.zeros(len(self.rings), bool)
            round_ = as_round(self.world.base, books, nobody)
            if self._known is None:
                self._known = self.beliefs(round_, as_of)
            beliefs, levels = self._known
            beliefs = replace(beliefs, round=round_, as_of=as_of)
        if self.name == PLAN:
            last = deliver_by_levels(beliefs, levels)
        else:
            last = np.full(len(self.rings), np.datetime64("NaT", "D"))
        return week_of(beliefs, levels, self.settings.days, last, maybe_kg=more_kg(beliefs, levels))

    def beliefs(self, round_: Round, as_of: date) -> tuple[Beliefs, LevelTable]:
        """Return what is believed of all customers."""
        ahead = 2 * self.settings.days + 6  # holidays and a week-end after the last planned day fit in
        found = believe(round_, self.world.weather, as_of, self.seed, ahead, self.settings.draws)
        return found, levels_of(found)

    def plan(self, books: PlayedBooks, week: Week, as_of: date) -> RunPlan:
        """Return the plan, searched for from yesterday's; only the first day is routed."""
        start = None
        if self._last is not None:
            start = shifted(*self._last, week)
        found = plan_week(
            self.world.base, week, self.roads, Budget(self.settings.moves),
            seed=self.seed + (as_of - self.world.winter.books_from).days, prices=self.settings.prices,
            start=start, route_iterations=self.settings.route_iterations, only_days=1,
        )  # fmt: skip
        self._last = (week, found.solution)
        return found

    def full_plan(self, week: Week, moves: int) -> float:
        """Return the cost of a plan searched for from nothing with a full budget."""
        found = plan_week(
            self.world.base, week, self.roads, Budget(moves), seed=self.seed, prices=self.settings.prices,
            route_iterations=self.settings.route_iterations, only_days=1,
        )  # fmt: skip
        return found.solution.cost


def _driven(base: Round, week: Week, plan: DayRoutesPlan, loss: float | None) -> DrivenDay:
    """Return what the tankers drive on the first day of a plan."""
    usual, extra = driver_rules(base.table).normal_work_h, base.table.rules.overtime_per_hour
    tankers, stops = [], []
    for v, tanker in enumerate(base.table.tankers):
        own = [r for r in plan.routes.routes if r.tanker == v]
        reloading = tanker.reload_h * max(0, len(own) - 1)
        hours, km = sum(r.hours for r in own) + reloading, sum(r.km for r in own)
        over = max(0.0, sum(r.worked_h for r in own) + reloading - usual)
        way = km * tanker.cost_per_km[0] + hours * tanker.cost_per_hour[0]
        paid = over * (extra[0] if extra is not None else 0.0)
        tankers.append(TankerDriven(len(own), km, hours, over, way, paid))
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

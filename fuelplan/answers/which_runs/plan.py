"""The run plan: search over the week, then exact routes and times of each day, and again where need be."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from fuelplan.answers.round.roads import RoundRoads
from fuelplan.answers.which_runs.needs import Week
from fuelplan.dispatch.driver_hours import Rules
from fuelplan.dispatch.roads import slow
from fuelplan.dispatch.routing import DayRoutes, Route, Stop, Tanker, route_day
from fuelplan.dispatch.run_plan import (
    TRIPS,
    Budget,
    Prices,
    Problem,
    Solution,
    search,
    week_problem,
    within_supply,
)
from fuelplan.messages import Day, Message, Said, message
from fuelplan.records.round import Round, driver_rules

Floats = NDArray[np.float64]

ROUNDS = 3
"""Times the week is planned anew without what a day could not take."""

DROP_PRIZE = 2_000.0
"""What it is worth in a day's routes to keep a stop that the week has put there. [money]"""

ROUTE_ITERATIONS = 300

SEARCHING = message("runs.searching", "searching")

PLENTY_KG = 1e12
"""A depot with more than this is not counted."""


@dataclass(frozen=True)
class StopPlan:
    """One stop of a day's routing: the row of the needs (and which of its tickets), or a published stop."""

    row: int
    ticket: int
    kg: int


@dataclass(frozen=True)
class DayRoutesPlan:
    """The routes of one planned day; `stops` are numbered as the routes number them."""

    stops: tuple[StopPlan, ...]
    routes: DayRoutes


@dataclass(frozen=True)
class RunPlan:
    """All planned days, what could not be placed (row, why), and the search's last solution."""

    days: tuple[DayRoutesPlan, ...]
    not_placed: tuple[tuple[int, Message], ...]
    solution: Solution
    stopped: bool


def plan_week(
    round_: Round,
    week: Week,
    roads: RoundRoads,
    budget: Budget,
    *,
    seed: int,
    risk: float | None = None,
    prices: Prices | None = None,
    start: Solution | None = None,
    route_iterations: int = ROUTE_ITERATIONS,
    progress: Callable[[float, Said], bool] | None = None,
    only_days: int | None = None,
) -> RunPlan:
    """Return the plan of a week.

    `progress(share, what)` is called on the way; False stops the search, and the best plan so far is routed.
    `only_days`: route the first so many days only (a replay drives but the next one).
    """
    if not week.days:  # every day is published: there is nothing to search
        return RunPlan((), (), Solution((), 0.0, 0.0, 0), False)
    prices = prices or prices_of(round_)
    problem = week_problem(
        week.needs, week.fleet, week.grid, roads.roads.km, roads.roads.hours, np.array(roads.depot_place),
        week.supply_kg, round_.table.rules.risk if risk is None else risk, prices,
    )  # fmt: skip
    stopped = False

    def told(share: float, _cost: float) -> bool:
        nonlocal stopped
        if progress is not None and not progress(0.8 * share, SEARCHING):
            stopped = True
        return not stopped

    refused: dict[int, Message] = {}
    for turn in range(ROUNDS):
        part = budget if turn == 0 else _smaller(budget)
        solution = search(problem, part, seed=seed + turn, start=start, progress=told)
        solution = within_supply(problem, solution, week.needs.ordered)
        days = []
        count = len(week.days) if only_days is None else min(only_days, len(week.days))
        failed: list[tuple[int, int, Message]] = []
        for t in range(count):
            day = route(round_, week, roads, problem, solution, t, seed, route_iterations)
            days.append(day)
            failed += [(t, day.stops[n].row, why) for n, why in day.routes.not_served]
            routing = message("runs.routing", "routing {day}", day=Day(week.days[t]))
            if progress is not None and not progress(0.8 + 0.2 * (t + 1) / count, routing):
                stopped = True
        if not failed or stopped or turn == ROUNDS - 1:
            break
        problem = _without(problem, failed)
        refused.update({row: why for _, row, why in failed})
        start = solution
    placed = {v.customer for r in solution.routes for v in r} - {row for _, row, _ in failed}
    reasons = {row: why for _, row, why in failed}
    missing = tuple(
        (row, reasons[row] if row in reasons else refused[row])
        for row in sorted({*reasons, *refused} - placed)
    )
    return RunPlan(tuple(days), missing, solution, stopped)


def prices_of(round_: Round) -> Prices:
    """Return what the round's rules charge for an empty store."""
    cost = round_.table.rules.empty_cost
    if cost is None:
        return Prices()
    usual = Prices()
    return replace(usual, empty=cost[0], over_limit=usual.over_limit * cost[0] / usual.empty)


def _smaller(budget: Budget) -> Budget:
    """Return the budget of a second try from a plan that nearly fits."""
    moves = None if budget.moves is None else max(200, budget.moves // 4)
    seconds = None if budget.seconds is None else budget.seconds / 4
    return Budget(moves, seconds)


def _without(problem: Problem, failed: Sequence[tuple[int, int, Message]]) -> Problem:
    """Return the problem with the (day, row) pairs shut that a day's routes could not take."""
    may, must = problem.may.copy(), problem.must.copy()
    slots = problem.slots
    for t, row, _ in failed:
        may[row, t * slots : (t + 1) * slots] = False
        must[row, t] = False
    return replace(problem, may=may, must=must)


def tanker_of(round_: Round, roads: RoundRoads, v: int, rules: Rules, max_trips: int) -> Tanker:
    """Return a tanker of the table for one day's routing."""
    k = round_.table.tankers[v]
    number = [d.name for d in round_.table.depots].index(k.depot)
    depot = round_.table.depots[number]
    return Tanker(
        place=roads.depot_place[number],
        payload_kg=int(k.carries_kg),
        chambers_kg=tuple(int(kg) for kg in k.chambers_kg),
        cost_per_km=k.cost_per_km[0],
        cost_per_h=k.cost_per_hour[0],
        starts_h=max(rules.shift_start_h, depot.opens_h),
        ends_h=min(rules.latest_end_h, depot.closes_h),
        max_trips=max_trips,
        reload_min=math.ceil(60 * k.reload_h - 1e-6),
        max_driving_h=rules.driving_h_per_day,
    )


def stop_of(
    round_: Round, i: int, grade: str, kg: float, allowed: frozenset[int] | None, required: bool
) -> Stop:
    """Return a drop at a customer for one day's routing; each tanker works there for as long as it takes."""
    c = round_.customers
    window = ((float(c.from_h[i]), float(c.to_h[i])),) if c.from_h[i] > 0 or c.to_h[i] < 24 else ()
    work = tuple(60 * k.stop_h(float(c.hose_m[i]), kg) for k in round_.table.tankers)
    return Stop(
        place=i, kg=max(1, round(kg)), work_min=min(work), windows=window, grade=grade,
        tankers_allowed=allowed, required=required, prize=DROP_PRIZE, work_min_by=work,
    )  # fmt: skip


def route(
    round_: Round, week: Week, roads: RoundRoads, problem: Problem, solution: Solution, t: int, seed: int,
    iterations: int,
) -> DayRoutesPlan:  # fmt: skip
    """Return one day's exact routes and times for the stops that the week has put there."""
    rules = driver_rules(round_.table)
    works = week.fleet.day_h[:, t] > 0
    tankers = [tanker_of(round_, roads, v, rules, TRIPS if on else 0) for v, on in enumerate(works)]
    stops: list[Stop] = []
    plans: list[StopPlan] = []
    start: list[Route] = []
    slots = problem.slots
    for slot in range(slots):
        numbers = []
        for visit in solution.routes[t * slots + slot]:
            for plan, stop in _stops(
                round_, week, visit.customer, visit.kg, t, int(problem.slot_depot[slot])
            ):
                numbers.append(len(stops))
                plans.append(plan)
                stops.append(stop)
        if numbers:
            place = tankers[slot // TRIPS].place
            start.append(
                Route(slot // TRIPS, slot % TRIPS, tuple(numbers), 0, 0, 0, 0, (), (), 0, place, place, ())
            )
    live = [v for v, k in enumerate(tankers) if k.max_trips > 0]
    number = {v: k for k, v in enumerate(live)}
    stops = [
        replace(
            s,
            tankers_allowed=frozenset(number[v] for v in (s.tankers_allowed or ()) if v in number),
            work_min_by=tuple(s.work_min_by[v] for v in live),
        )
        for s in stops
    ]
    start = [replace(r, tanker=number[r.tanker]) for r in start if r.tanker in number]
    tables = roads.roads if week.grid.slow[t] == 1.0 else slow(roads.roads, float(week.grid.slow[t]))
    found = route_day(
        stops, [tankers[v] for v in live], tables.km, tables.hours, seed=seed, iterations=iterations,
        start_from=start or None, rules=rules,
    )  # fmt: skip
    routes = tuple(replace(r, tanker=live[r.tanker]) for r in found.routes)
    return DayRoutesPlan(tuple(plans), replace(found, routes=routes))


def _stops(round_: Round, week: Week, row: int, kg: float, t: int, depot: int) -> list[tuple[StopPlan, Stop]]:
    """Return the stops of one visit: one, or one for each ticket of neighbours who share it."""
    need = week.rows[row]
    # The day's routing knows no stock of depots: where that is limited, the search's choice of depot stands.
    limited = bool((week.supply_kg[:, need.grade] < PLENTY_KG).any())
    loads_there = (week.fleet.depot == depot) | (not limited)
    tickets = need.orders or (None,)
    known = [o.kg for o in need.orders if o.kg is not None]
    rest = (kg - sum(known)) / max(1, len(tickets) - len(known))
    out = []
    grade = round_.table.classes[need.grade]
    allowed = frozenset(int(v) for v in np.flatnonzero(week.needs.may[row, t] & loads_there))
    for n, (i, order) in enumerate(zip(need.customers, tickets, strict=True)):
        own = kg if order is None else (order.kg if order.kg is not None else rest)
        required = order is not None or bool(week.needs.must[row, t])
        out.append((StopPlan(row, n, round(own)), stop_of(round_, i, grade, own, allowed, required)))
    return out

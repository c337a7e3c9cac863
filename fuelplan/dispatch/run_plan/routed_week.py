"""The run plan: search over the week, then exact routes and times of each day, and again where need be."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from fuelplan.dispatch.routing import DayRoutes, Route, Stop, route_day, tankers_out
from fuelplan.dispatch.run_plan.chain import Budget, search
from fuelplan.dispatch.run_plan.needs import Week
from fuelplan.dispatch.run_plan.problem import Problem, Solution
from fuelplan.dispatch.run_plan.stock import UNCOUNTED_KG
from fuelplan.dispatch.run_plan.supply import within_supply
from fuelplan.dispatch.run_plan.week import TRIPS, Prices, week_problem
from fuelplan.dispatch.run_plan.yard import Yard
from fuelplan.messages import Day, Message, Said, message

Floats = NDArray[np.float64]

ROUNDS = 3
"""Times the week is planned anew without what a day could not take."""

ROUTE_ITERATIONS = 300

SEARCHING = message("runs.searching", "searching")


@dataclass(frozen=True)
class StopPlan:
    """One stop of a day's routing: the row of the needs, which of its parties' orders, and how much. [kg]"""

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


def routed_week(
    week: Week,
    yard: Yard,
    depot_place: Sequence[int],
    budget: Budget,
    *,
    seed: int,
    risk: float,
    prices: Prices,
    start: Solution | None = None,
    route_iterations: int = ROUTE_ITERATIONS,
    progress: Callable[[float, Said], bool] | None = None,
    only_days: int | None = None,
) -> RunPlan:
    """Return the plan of a week.

    Parameters
    ----------
    depot_place
        Rows of the depots in the tables of roads.
    risk
        The share of draws in which a store may be below its reserve before a tanker comes, 0..1.
    start
        A plan to start from.
    route_iterations
        Budget of each day's routing.
    progress
        Called with (share done, what is being done); False stops the search, and the best plan so far is
        routed.
    only_days
        Route the first so many days only; None for all.

    Returns
    -------
    RunPlan
        What a day's exact routes cannot take is planned for another day, or named with the reason.

    Raises
    ------
    ProblemError
        Where the arrays do not fit together.
    """
    if not week.days:  # every day is published: there is nothing to search
        return RunPlan((), (), Solution((), 0.0, 0.0, 0), False)
    problem = week_problem(
        week.needs, week.fleet, week.grid, yard.roads.km, yard.roads.hours, np.array(depot_place),
        week.supply_kg, risk, prices,
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
            day = _route(week, yard, problem, solution, t, seed, route_iterations)
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
    return problem._replace(may=may, must=must)


def _route(
    week: Week, yard: Yard, problem: Problem, solution: Solution, t: int, seed: int, iterations: int
) -> DayRoutesPlan:
    """Return one day's exact routes and times for the stops that the week has put there."""
    tankers = yard.tankers_out([TRIPS if hours > 0 else 0 for hours in week.fleet.day_h[:, t]])
    stops: list[Stop] = []
    plans: list[StopPlan] = []
    start: list[Route] = []
    slots = problem.slots
    for slot in range(slots):
        numbers = []
        for visit in solution.routes[t * slots + slot]:
            for plan, stop in _stops(week, yard, visit.customer, visit.kg, t, int(problem.slot_depot[slot])):
                numbers.append(len(stops))
                plans.append(plan)
                stops.append(stop)
        if numbers:
            place = tankers[slot // TRIPS].place
            start.append(
                Route(slot // TRIPS, slot % TRIPS, tuple(numbers), 0, 0, 0, 0, (), (), 0, place, place, ())
            )
    live, stops = tankers_out(tankers, stops)
    start = [replace(r, tanker=live.index(r.tanker)) for r in start if r.tanker in live]
    tables = yard.roads_when(float(week.grid.slow[t]))
    found = route_day(
        stops, [tankers[v] for v in live], tables.km, tables.hours, seed=seed, iterations=iterations,
        start_from=start or None, rules=yard.rules,
    )  # fmt: skip
    routes = tuple(replace(r, tanker=live[r.tanker]) for r in found.routes)
    return DayRoutesPlan(tuple(plans), replace(found, routes=routes))


def _stops(week: Week, yard: Yard, row: int, kg: float, t: int, depot: int) -> list[tuple[StopPlan, Stop]]:
    """Return the stops of one visit: one, or one for each order of neighbours who share it."""
    own, tickets = week.rows[row], [order.kg for order in week.rows[row].orders]
    # The day's routing knows no stock of depots: where that is limited, the search's choice of depot stands.
    limited = bool((week.supply_kg[:, own.grade] < UNCOUNTED_KG).any())
    loads_there = (week.fleet.depot == depot) | (not limited)
    known = [ticket for ticket in tickets if ticket is not None]
    rest = (kg - sum(known)) / max(1, max(1, len(tickets)) - len(known))
    grade = yard.grades[own.grade]
    allowed = frozenset(int(v) for v in np.flatnonzero(week.needs.may[row, t] & loads_there))
    required = bool(tickets) or bool(week.needs.must[row, t])
    return [
        (StopPlan(row, n, round(part)), yard.stop(i, grade, part, allowed, required))
        for n, (i, ticket) in enumerate(zip(own.customers, tickets or [kg], strict=False))
        for part in [rest if ticket is None else ticket]
    ]

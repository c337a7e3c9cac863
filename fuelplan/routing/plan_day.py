"""One day's routes from stops, tankers and tables."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from fuelplan.driver_hours import Rules
from fuelplan.routing.day import DayRoutes, Route, Stop, Tanker
from fuelplan.routing.exact import TankerDay, Trip
from fuelplan.routing.reasons import alone_fault, left_out_reason
from fuelplan.routing.repair import Plan, fits_by_load, repaired
from fuelplan.routing.solver import Budget, Problem, search
from fuelplan.routing.tables import tables_of

DEFAULT_ITERATIONS = 1_000


def route_day(
    stops: Sequence[Stop],
    tankers: Sequence[Tanker],
    km: NDArray[np.floating],
    hours: NDArray[np.floating],
    *,
    seed: int,
    iterations: int | None = None,
    seconds: float | None = None,
    start_from: DayRoutes | Sequence[Route] | None = None,
    rules: Rules | None = None,
    progress: Callable[[float], None] | None = None,
) -> DayRoutes:
    """Return the cheapest routes found for one day."""
    _check(stops, tankers, iterations, seconds)
    tables = tables_of(stops, tankers, km, hours)
    reasons: dict[int, str] = {}
    for i in range(len(stops)):
        why = alone_fault(i, stops, tankers, tables, rules)
        if why is not None:
            reasons[i] = why
    wanted = [i for i in range(len(stops)) if i not in reasons]
    if seconds is None and iterations is None:
        iterations = DEFAULT_ITERATIONS
    budget = Budget(iterations, seconds, progress)
    plan = Plan(stops, tankers, tables, rules, {})
    if wanted:
        start = _start(start_from, len(stops), len(tankers))
        problem = Problem(stops, wanted, tankers, tables, {}, must=True)
        trips, sound = search(problem, seed, budget, 1.0, start)
        if not sound:
            problem = Problem(stops, wanted, tankers, tables, {}, must=False)
            trips, _ = search(problem, seed, budget, 2.0, trips, most=iterations or 1000)
        plan = repaired(Plan(stops, tankers, tables, rules, trips), wanted)
    for i in wanted:
        if i not in plan.served():
            reasons[i] = left_out_reason(stops[i], fits_by_load(plan, i))
    return _answer(plan, reasons, budget.spent)


def _check(
    stops: Sequence[Stop], tankers: Sequence[Tanker], iterations: int | None, seconds: float | None
) -> None:
    """Refuse amounts and budgets that cannot be."""
    if iterations is not None and seconds is not None:
        raise ValueError("give the budget in iterations or in seconds, not both")
    for i, s in enumerate(stops):
        if not s.kg > 0 or s.kg != int(s.kg):
            raise ValueError(f"stop {i}: {s.kg} kg cannot be; give whole kilograms above 0")
        if s.work_min < 0:
            raise ValueError(f"stop {i}: {s.work_min} minutes of work cannot be; give 0 or more")
    for t, tanker in enumerate(tankers):
        if tanker.payload_kg <= 0 or tanker.max_trips < 1 or tanker.ends_h <= tanker.starts_h:
            raise ValueError(
                f"tanker {t}: payload {tanker.payload_kg} kg, {tanker.max_trips} trips, "
                f"{tanker.starts_h:g} to {tanker.ends_h:g} o'clock cannot be; all must leave room for a trip"
            )


def _start(
    start_from: DayRoutes | Sequence[Route] | None, stops: int, tankers: int
) -> Mapping[int, Sequence[Trip]] | None:
    """Return the trips to start from, by tanker."""
    if start_from is None:
        return None
    routes = start_from.routes if isinstance(start_from, DayRoutes) else start_from
    out: dict[int, list[Trip]] = {}
    for r in sorted(routes, key=lambda r: (r.tanker, r.trip)):
        if not (0 <= r.tanker < tankers and all(0 <= i < stops for i in r.stops)):
            raise ValueError(
                f"the routes to start from name tanker {r.tanker} and stops {r.stops}, "
                f"but there are {tankers} tankers and {stops} stops"
            )
        out.setdefault(r.tanker, []).append((r.from_place, r.stops))
    return out or None


def _answer(plan: Plan, reasons: Mapping[int, str], spent: int) -> DayRoutes:
    """Return the plan as the day's routes."""
    days: list[TankerDay] = plan.days()
    return DayRoutes(
        routes=tuple(r for d in days for r in d.routes),
        not_served=tuple(sorted(reasons.items())),
        cost=sum(d.cost for d in days),
        km=sum(d.km for d in days),
        hours=sum(d.hours for d in days),
        iterations=spent,
    )

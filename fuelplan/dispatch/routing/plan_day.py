"""One day's routes from stops, tankers and tables."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from fuelplan.dispatch.driver_hours import Rules
from fuelplan.dispatch.routing.day import DayRoutes, Route, Stop, Tanker
from fuelplan.dispatch.routing.exact import TankerDay, Trip, routes_of
from fuelplan.dispatch.routing.plan import TripPlan, score
from fuelplan.dispatch.routing.reasons import alone_fault, left_out_reason
from fuelplan.dispatch.routing.repair import bettered, fits_by_load, repaired
from fuelplan.dispatch.routing.solver import RoutingProblem, SolverBudget, search
from fuelplan.dispatch.routing.tables import tables_of
from fuelplan.messages import Message

DEFAULT_ITERATIONS = 1_000

# How much of a budget in seconds goes to the solver, and to it and its second try, before our own search.
_SOLVER_SHARE = 0.6
_LOOSE_SHARE = 0.75


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
    """Return the cheapest routes found for one day.

    Parameters
    ----------
    stops
        What is to be delivered; a stop's number is its place in this sequence.
    tankers
        Who is out that day; a tanker's number is its place in this sequence.
    km, hours
        Shape (n, n), row = from, column = to, such as `Roads.km` and `Roads.hours`; inf where there is no
        road.
    seed, iterations, seconds
        The same seed and iterations give the same routes; a budget in seconds need not. 1,000 iterations
        where neither is given.
    start_from
        Routes to start from, with stops and tankers numbered as in this call. Stops that are not in them are
        put in; the result is never worse than these routes where they break no rule.
    rules
        What the driver must keep to: breaks are put into the times then. None = no breaks.
    progress
        Is called with the share of the budget that is gone, 0..1.

    Returns
    -------
    DayRoutes
        Every route is checked exactly before it is returned: access, chambers and payload, windows, the
        tanker's hours, hours at the wheel, trips, and the driver's rules. Every stop is on one route or in
        `not_served`.

    Notes
    -----
    searches with distances, times, windows, payload, reloads, access and, for tankers of a single chamber,
    stops that nobody could serve even alone. Not exact: the routes are the best that a search found. PyVRP
    searches with distances, times, windows, payload, reloads, access and, for tankers with a single chamber,
    one class per trip. It does not know about several chambers, hours at the wheel, or breaks; where its
    routes break one of these, or leave a promise out, stops are taken out and put in again in a search of our
    own that checks every step.

    Raises
    ------
    ValueError
        When an amount, a tanker, a table or the budget cannot be.
    """
    _check(stops, tankers, iterations, seconds)
    tables = tables_of(stops, tankers, km, hours)
    reasons: dict[int, Message] = {}
    for i in range(len(stops)):
        why = alone_fault(i, stops, tankers, tables, rules)
        if why is not None:
            reasons[i] = why
    wanted = [i for i in range(len(stops)) if i not in reasons]
    if seconds is None and iterations is None:
        iterations = DEFAULT_ITERATIONS
    budget = SolverBudget(iterations, seconds, progress)
    first = TripPlan(stops, tankers, tables, rules, _start(start_from, len(stops), tankers, reasons))
    plan = _searched(first, wanted, seed, budget) if wanted else TripPlan(stops, tankers, tables, rules, {})
    if progress is not None:
        progress(1.0)
    for i in wanted:
        if i not in plan.served():
            reasons[i] = left_out_reason(stops[i], fits_by_load(plan, i))
    return _answer(plan, reasons, budget.spent)


def _searched(first: TripPlan, wanted: Sequence[int], seed: int, budget: SolverBudget) -> TripPlan:
    """Return the best plan that the solver and, where needed, our own search find."""
    stops, tankers, tables, rules = first.stops, first.tankers, first.tables, first.rules
    problem = RoutingProblem(stops, wanted, tankers, tables, must=True)
    trips, sound = search(problem, seed, budget, _SOLVER_SHARE if budget.seconds else 1.0, first)
    plan = TripPlan(stops, tankers, tables, rules, trips)
    if sound and plan.sound() and budget.seconds:
        trips, _ = search(problem, seed + 1, budget, 1.0, plan)
        return _better(plan, repaired(TripPlan(stops, tankers, tables, rules, trips), wanted))
    most = None if budget.iterations is None else max(1, budget.iterations // 2)
    if not sound:  # some promise cannot be kept, or was not found to be: let leaving it out cost very much
        loose = RoutingProblem(stops, wanted, tankers, tables, must=False)
        trips, _ = search(loose, seed, budget, _LOOSE_SHARE if budget.seconds else 2.0, plan, most)
        plan = TripPlan(stops, tankers, tables, rules, trips)
    mended = repaired(plan, wanted)
    if any(d.trips for d in first.days()):
        mended = _better(mended, repaired(first, wanted))
    promised = {i for i in wanted if stops[i].required}
    if plan.sound() and promised <= plan.served():
        return mended
    return bettered(mended, wanted, seed, budget.share if budget.seconds else _never_done, most)


def _never_done() -> float:
    """Return that no time is gone: rounds alone end the search."""
    return 0.0


def _better(a: TripPlan, b: TripPlan) -> TripPlan:
    """Return the better of two plans without faults."""
    return b if score(b) < score(a) else a


def _check(
    stops: Sequence[Stop], tankers: Sequence[Tanker], iterations: int | None, seconds: float | None
) -> None:
    """Refuse amounts and budgets that cannot be."""
    if iterations is not None and seconds is not None:
        raise ValueError("give the budget in iterations or in seconds, not both")
    for i, s in enumerate(stops):
        if not s.kg > 0 or s.kg != int(s.kg):
            raise ValueError(f"stop {i}: {s.kg} kg cannot be; give whole kilograms above 0")
        least_min = min((s.work_min, *s.work_min_by))
        if least_min < 0:
            raise ValueError(f"stop {i}: {least_min} minutes of work cannot be; give 0 or more")
        if s.work_min_by and len(s.work_min_by) != len(tankers):
            raise ValueError(f"stop {i}: {len(s.work_min_by)} working times for {len(tankers)} tankers")
        before = -math.inf
        for from_h, until_h in s.windows:
            if not before <= from_h <= until_h < 48.0:
                raise ValueError(
                    f"stop {i}: the window from {from_h:g} to {until_h:g} cannot be; "
                    "give hours of the clock, each window after the one before"
                )
            before = until_h
    for t, tanker in enumerate(tankers):
        if tanker.payload_kg <= 0 or tanker.max_trips < 1 or tanker.ends_h <= tanker.starts_h:
            raise ValueError(
                f"tanker {t}: payload {tanker.payload_kg} kg, {tanker.max_trips} trips, "
                f"{tanker.starts_h:g} to {tanker.ends_h:g} o'clock cannot be; all must leave room for a trip"
            )


def _start(
    start_from: DayRoutes | Sequence[Route] | None,
    stops: int,
    tankers: Sequence[Tanker],
    reasons: Mapping[int, Message],
) -> Mapping[int, Sequence[Trip]]:
    """Return the trips to start from, by tanker, without stops that cannot be served.

    A trip from a depot that is not the tanker's begins at its own.
    """
    if start_from is None:
        return {}
    routes = start_from.routes if isinstance(start_from, DayRoutes) else start_from
    out: dict[int, list[Trip]] = {}
    seen: set[int] = set()
    for r in sorted(routes, key=lambda r: (r.tanker, r.trip)):
        if not (0 <= r.tanker < len(tankers) and all(0 <= i < stops for i in r.stops)):
            raise ValueError(
                f"the routes to start from name tanker {r.tanker} and stops {r.stops}, "
                f"but there are {len(tankers)} tankers and {stops} stops"
            )
        if seen & set(r.stops) or len(set(r.stops)) < len(r.stops):
            raise ValueError("the routes to start from name a stop twice; name every stop once")
        seen |= set(r.stops)
        tanker = tankers[r.tanker]
        start = r.from_place if r.from_place in tanker.reload_places and out.get(r.tanker) else tanker.place
        out.setdefault(r.tanker, []).append((start, tuple(i for i in r.stops if i not in reasons)))
    return out


def _answer(plan: TripPlan, reasons: Mapping[int, Message], spent: int) -> DayRoutes:
    """Return the plan as the day's routes."""
    days: list[TankerDay] = plan.days()
    return DayRoutes(
        routes=tuple(r for d in days for r in routes_of(d, plan.tankers[d.tanker], plan.stops)),
        not_served=tuple(sorted(reasons.items())),
        cost=sum(d.cost for d in days),
        km=sum(d.km for d in days),
        hours=sum(d.hours for d in days),
        iterations=spent,
    )

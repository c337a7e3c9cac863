"""The one place that talks to PyVRP: a day as its problem data, and its solution as trips.

Everything in it is a whole number: metres, seconds, kilograms, and money in parts of the currency so small
that the cost of a metre and of a second keep three digits.
"""

from __future__ import annotations

import math
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np

from fuelplan.dispatch.routing.day import Stop, Tanker, may_go
from fuelplan.dispatch.routing.exact import Trip
from fuelplan.dispatch.routing.plan import TripPlan
from fuelplan.dispatch.routing.tables import Tables

Progress = Callable[[float], None]

# A forbidden leg takes two days, so no shift has room for it.
_FORBIDDEN_S = 2 * 86_400
_END_S = 86_400 * 2


@dataclass
class SolverBudget:
    """How long the search may take: iterations, or seconds; and who is told how far it is."""

    iterations: int | None
    seconds: float | None
    progress: Progress | None = None
    spent: int = 0
    started: float = field(default_factory=time.monotonic)

    def share(self) -> float:
        """Return how much of the budget is gone, 0..1."""
        if self.seconds is not None:
            return min(1.0, (time.monotonic() - self.started) / max(self.seconds, 1e-9))
        return min(1.0, self.spent / max(1, self.iterations or 1))


class _Stop:
    """The solver's question whether to stop, asked once an iteration."""

    def __init__(self, budget: SolverBudget, until: float, most: int | None) -> None:
        self.budget = budget
        self.until = until
        self.left = most

    def __call__(self, best_cost: float) -> bool:
        """Count an iteration; stop when this round's share of the budget is used up."""
        b = self.budget
        if b.share() >= self.until or self.left == 0:
            return True
        b.spent += 1
        if self.left is not None:
            self.left -= 1
        if b.progress is not None and b.spent % 50 == 0:
            b.progress(b.share())
        return False


def _seconds(minutes: float) -> int:
    """Return minutes in whole seconds, a part of a second as a whole one."""
    return math.ceil(60.0 * minutes - 1e-6)


def money_scale(tankers: Sequence[Tanker]) -> float:
    """Return how many of the solver's money units one unit of the currency is."""
    per = [c for t in tankers for c in (t.cost_per_km / 1000.0, t.cost_per_h / 3600.0) if c > 0.0]
    # the smallest price becomes at least 100, and a route's cost stays far below 2^63
    return 10.0 ** math.ceil(math.log10(100.0 / min(per))) if per else 1.0


def big_money(stops: Sequence[Stop], tankers: Sequence[Tanker], tables: Tables) -> float:
    """Return more money than any single stop could cost to serve."""
    far_km = float(tables.metres.max(initial=0)) / 1000.0
    per_km = max(t.cost_per_km for t in tankers)
    day = max(t.cost_per_h * (t.ends_h - t.starts_h) for t in tankers)
    return 2.0 * (4.0 * far_km * per_km + day) + max((s.prize for s in stops), default=0.0) + 1.0


class RoutingProblem:
    """One day as PyVRP's problem data, with the way back from its numbers to ours.

    Every stop has a location of its own, so that two stops at one place can have different limits of access.
    """

    def __init__(
        self,
        stops: Sequence[Stop],
        wanted: Sequence[int],
        tankers: Sequence[Tanker],
        tables: Tables,
        must: bool,
    ) -> None:
        """Build the data; `must` makes promises hard, otherwise leaving one out costs very much."""
        self.stops, self.wanted, self.tankers, self.tables = stops, tuple(wanted), tankers, tables
        self.scale = money_scale(tankers)
        self.must = must
        self.big = big_money(stops, tankers, tables)
        self.depot_places = sorted({p for t in tankers for p in (t.place, *t.reload_places)})
        self.location = {i: len(self.depot_places) + n for n, i in enumerate(self.wanted)}
        self.client_stop: list[int] = []
        self.stop_clients: dict[int, list[int]] = {}
        self.depot_index: dict[tuple[int, int], int] = {}
        self.data = self._data()

    def _data(self) -> Any:
        """Return the problem data."""
        from pyvrp import Depot, Location, ProblemData

        clients, groups = self._clients()
        distances, durations, profile = self._profiles()
        vehicles = [self._vehicle(t, p) for t, p in zip(self.tankers, profile, strict=True)]
        depots = [
            Depot(self.depot_places.index(place), service_duration=seconds)
            for place, seconds in self.depot_index
        ]
        # the solver measures nearness in its tables, not by coordinates
        locations = [Location(0, 0) for _ in range(len(self.depot_places) + len(self.wanted))]
        return ProblemData(locations, clients, depots, vehicles, distances, durations, groups)

    def _clients(self) -> tuple[list[Any], list[Any]]:
        """Return clients and groups: a stop with several windows is a group with one client per window."""
        from pyvrp import Client, ClientGroup

        clients: list[Any] = []
        groups: list[Any] = []
        for i in self.wanted:
            s = self.stops[i]
            must = s.required and self.must
            prize = s.prize + (self.big if s.required and not self.must else 0.0)
            windows = s.windows or ((0.0, _END_S / 3600.0),)
            alone = len(windows) == 1
            members = []
            for from_h, until_h in windows:
                members.append(len(clients))
                clients.append(
                    Client(
                        location=self.location[i],
                        delivery=[s.kg],
                        service_duration=_seconds(self._shortest_min(i)),
                        tw_early=max(0, math.ceil(from_h * 3600.0 - 1e-6)),
                        tw_late=math.floor(until_h * 3600.0 + 1e-6),
                        required=must and alone,
                        prize=0 if must else round(prize * self.scale),
                        group=None if alone else len(groups),
                    )
                )
                self.client_stop.append(i)
            self.stop_clients[i] = members
            if not alone:
                groups.append(ClientGroup(members, required=must))
        return clients, groups

    def _shortest_min(self, stop: int) -> float:
        """Return how long the quickest tanker works at a stop. [min]"""
        return min(self.stops[stop].work_with(t) for t in range(len(self.tankers)))

    def _longer_s(self, tanker: int) -> tuple[int, ...]:
        """Return how much longer a tanker works at each wanted stop than the quickest one. [s]"""
        return tuple(
            _seconds(self.stops[i].work_with(tanker)) - _seconds(self._shortest_min(i)) for i in self.wanted
        )

    def _profiles(self) -> tuple[list[Any], list[Any], list[int]]:
        """Return the tables, and each tanker's number of them; tankers with equal limits share one pair.

        The solver knows one time of work at a stop: what a tanker works longer is part of its way from there.
        """
        row = {r: i for i, r in enumerate(self.tables.rows)}
        rows = [row[p] for p in self.depot_places] + [row[self.stops[i].place] for i in self.wanted]
        part = np.ix_(rows, rows)
        metres, seconds = self.tables.metres[part], self.tables.seconds[part]
        seconds[self.tables.no_road[part]] = _FORBIDDEN_S
        classes = np.array([""] * len(self.depot_places) + [self.stops[i].grade for i in self.wanted])
        is_stop = np.arange(len(rows)) >= len(self.depot_places)
        mixed = (classes[:, None] != classes[None, :]) & is_stop[:, None] & is_stop[None, :]
        numbers: dict[tuple[tuple[int, ...], bool, tuple[int, ...]], int] = {}
        distances: list[Any] = []
        durations: list[Any] = []
        profile: list[int] = []
        for t, tanker in enumerate(self.tankers):
            shut = tuple(self.location[i] for i in self.wanted if not may_go(self.stops[i], t))
            single = len(tanker.chambers) == 1 and bool(mixed.any())
            limits = shut, single, self._longer_s(t)
            if limits not in numbers:
                numbers[limits] = len(distances)
                table = seconds.copy()
                table[len(self.depot_places) :] += np.array(limits[2], np.int64).reshape(-1, 1)
                table[:, list(shut)] = _FORBIDDEN_S
                if single:  # a trip begins and ends at a depot, so this keeps it to one class
                    table[mixed] = _FORBIDDEN_S
                np.fill_diagonal(table, 0)
                distances.append(metres)
                durations.append(table)
            profile.append(numbers[limits])
        return distances, durations, profile

    def _depot(self, place: int, minutes: int) -> int:
        """Return the number of the depot at a place where loading takes so long."""
        return self.depot_index.setdefault((place, minutes * 60), len(self.depot_index))

    def _vehicle(self, tanker: Tanker, profile: int) -> Any:
        """Return a tanker as a vehicle type of which there is one."""
        from pyvrp import VehicleType

        start = self._depot(tanker.place, tanker.first_load_min)
        reload = [self._depot(p, tanker.reload_min) for p in (tanker.place, *tanker.reload_places)]
        return VehicleType(
            num_available=1,
            capacity=[min(tanker.payload_kg, sum(tanker.chambers))],
            start_depot=start,
            end_depot=start,
            tw_early=math.ceil(tanker.starts_h * 3600.0 - 1e-6),
            tw_late=math.floor(tanker.ends_h * 3600.0 + 1e-6),
            unit_distance_cost=round(tanker.cost_per_km / 1000.0 * self.scale),
            unit_duration_cost=round(tanker.cost_per_h / 3600.0 * self.scale),
            profile=profile,
            reload_depots=reload if tanker.max_trips > 1 else [],
            max_reloads=tanker.max_trips - 1,
        )

    def solution(self, plan: TripPlan) -> Any:
        """Return a plan as PyVRP's solution, to start from; stops that are not wanted are passed over."""
        from pyvrp import Activity, ActivityType, Route, Solution

        routes = []
        for day in plan.days():
            begins = dict(zip(day.visits, day.times.start_h, strict=True)) if day.times else {}
            visits: list[Any] = []
            for start, numbers in day.trips:
                kept = [i for i in numbers if i in self.stop_clients]
                if not kept:
                    continue
                if visits:
                    tanker = self.tankers[day.tanker]
                    depot = self.depot_index.get((start, tanker.reload_min * 60))
                    if depot is None or tanker.max_trips == 1:
                        continue
                    visits.append(Activity(ActivityType.DEPOT, depot))
                visits += [Activity(ActivityType.CLIENT, self._client(i, begins.get(i, 0.0))) for i in kept]
            if visits:
                routes.append(Route(self.data, visits, day.tanker))
        return Solution(self.data, routes)

    def _client(self, stop: int, at_h: float) -> int:
        """Return the client that stands for a stop in the window that is open at an hour of the clock."""
        members = self.stop_clients[stop]
        for member, (_, until_h) in zip(members, self.stops[stop].windows, strict=False):
            if at_h <= until_h + 1e-6:
                return member
        return members[-1]

    def trips(self, solution: Any) -> dict[int, tuple[Trip, ...]]:
        """Return a solution's trips by tanker."""
        places = [place for place, _ in self.depot_index]
        out: dict[int, tuple[Trip, ...]] = {}
        for route in solution.routes():
            trips: list[tuple[int, list[int]]] = []
            for activity in route.schedule():
                if activity.is_depot():
                    trips.append((places[activity.idx], []))
                else:
                    trips[-1][1].append(self.client_stop[activity.idx])
            kept = tuple((start, tuple(numbers)) for start, numbers in trips if numbers)
            if kept:
                out[route.vehicle_type()] = kept
        return out


def search(
    problem: RoutingProblem,
    seed: int,
    budget: SolverBudget,
    until: float,
    start: TripPlan | None = None,
    most: int | None = None,
) -> tuple[dict[int, tuple[Trip, ...]], bool]:
    """Search for routes; return the best trips by tanker, and whether the solver finds no fault in them.

    Parameters
    ----------
    seed
        With a budget in iterations the same seed gives the same routes.
    budget, until
        The search ends when this share of the budget is gone.
    start
        A plan to start from, faults and all.
    most
        Iterations of this search at most.
    """
    import warnings

    from pyvrp import solve

    initial = problem.solution(start) if start is not None and start.trips() else None
    with warnings.catch_warnings():
        # a promise that cannot be kept is told by name afterwards
        warnings.simplefilter("ignore")
        result = solve(
            problem.data,
            _Stop(budget, until, most),
            seed=seed,
            collect_stats=False,
            display=False,
            initial_solution=initial,
        )
    return problem.trips(result.best), bool(result.best.is_feasible())

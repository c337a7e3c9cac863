"""A day whose routes stand already, mended with as little change as can be: stops out, stops in."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from fuelplan.dispatch.driver_hours import Breach, Rules
from fuelplan.dispatch.routing.day import Route, Stop, Tanker, tankers_out
from fuelplan.dispatch.routing.exact import Trip
from fuelplan.dispatch.routing.fixed import fixed_day
from fuelplan.dispatch.routing.plan import TripPlan
from fuelplan.dispatch.routing.plan_day import route_day
from fuelplan.dispatch.routing.reasons import FULL, alone_fault
from fuelplan.dispatch.routing.repair import fits_by_load, put_in, put_in_together, take_one_out, without
from fuelplan.dispatch.routing.tables import tables_of
from fuelplan.messages import Message, Value, message

Table = NDArray[np.floating]

NO_TIME = message(
    "routing.no_time_told",
    "no tanker has the time that day without leaving the window that somebody was told",
)
ITERATIONS = 200
"""Budget of the search for another order of the stops, where one more finds no place between them."""


class MendedDay:
    """One day's trips by tanker, changed step by step; every step is checked exactly.

    Attributes
    ----------
    stops
        All stops, numbered as the trips number them.
    trips
        By tanker.
    """

    def __init__(
        self, tankers: Sequence[Tanker], km: Table, hours: Table, rules: Rules, stops: Sequence[Stop],
        trips: dict[int, tuple[Trip, ...]],
    ) -> None:  # fmt: skip
        """Take the trips as they stand, faults and all; a tanker that stays at home has no trips."""
        self.tankers, self.km, self.hours, self.rules = list(tankers), km, hours, rules
        self.stops, self.trips = list(stops), dict(trips)

    def _plan(self) -> TripPlan:
        tables = tables_of(self.stops, self.tankers, self.km, self.hours)
        return TripPlan(self.stops, self.tankers, tables, self.rules, self.trips)

    def loosen(self, tankers: Sequence[int]) -> list[int]:
        """Take out of some tankers' days what keeps them from being driven; return the numbers."""
        plan = self._plan()
        out: list[int] = []
        for v in tankers:
            while plan.day(v).faults and plan.day(v).trips:
                before = plan.served()
                take_one_out(plan, v)
                out += sorted(before - plan.served())
        self.trips = plan.trips()
        return out

    def put_back(self, stop: int) -> bool:
        """Put a stop that was taken out where it costs least; tell whether there is a place for it."""
        plan = self._plan()
        found = put_in(plan, stop)
        self.trips = plan.trips()
        return found

    def drop(self, gone: Sequence[int]) -> None:
        """Strike stops that are on no trip, and number the others anew."""
        kept = [n for n in range(len(self.stops)) if n not in gone]
        new = {n: k for k, n in enumerate(kept)}
        self.stops = [self.stops[n] for n in kept]
        self.trips = {
            v: tuple((place, tuple(new[n] for n in numbers)) for place, numbers in trips)
            for v, trips in self.trips.items()
        }

    def put_instead(self, more: Sequence[Stop], of: Sequence[int]) -> int | None:
        """Put stops into the day in the place of one of others, the first that makes room; return its number.

        Return None where none does; nothing was changed then.
        """
        stops, trips = list(self.stops), dict(self.trips)
        for n in of:
            self.stops = [*stops, *more]
            self.trips = {v: without(t, frozenset((n,))) for v, t in trips.items()}
            plan = self._plan()
            if put_in_together(plan, range(len(stops), len(self.stops))):
                self.trips = plan.trips()
                return n
        self.stops, self.trips = stops, trips
        return None

    def put(self, more: Sequence[Stop]) -> Message | None:
        """Put stops that belong together into the day, on one trip where they are of one group: between the
        others, else with the others in another order.

        Return None, or why that cannot be and nothing was changed: what keeps a stop from being served even
        alone, else that the tankers are full or that nobody has the time.
        """
        before = list(self.stops)
        first = len(before)
        self.stops += more
        plan = self._plan()
        new = range(first, len(self.stops))
        why = next((w for n in new if (w := self._alone(n, plan)) is not None), None)
        if why is None and put_in_together(plan, new):
            self.trips = plan.trips()
            return None
        if why is None and (found := self._reordered()) is not None:
            self.trips = found
            return None
        by_load = fits_by_load(plan, *new)
        self.stops = before
        return why or (NO_TIME if by_load else FULL)

    def _alone(self, n: int, plan: TripPlan) -> Message | None:
        """Return why nobody could serve a stop alone; tankers that stay at home serve nobody."""
        live, stops = tankers_out(self.tankers, self.stops)
        return alone_fault(n, stops, [self.tankers[v] for v in live], plan.tables, self.rules)

    def _reordered(self) -> dict[int, tuple[Trip, ...]] | None:
        """Return other trips that serve every stop in its window; None where none are found."""
        live, stops = tankers_out(self.tankers, self.stops)
        found = route_day(
            stops, [self.tankers[v] for v in live], self.km, self.hours, seed=1, iterations=ITERATIONS,
            rules=self.rules,
        )  # fmt: skip
        if found.not_served:
            return None
        trips: dict[int, tuple[Trip, ...]] = {}
        for r in found.routes:
            v = live[r.tanker]
            trips[v] = (*trips.get(v, ()), (r.from_place, r.stops))
        return trips if self._whole_groups(trips) else None

    def _whole_groups(self, trips: dict[int, tuple[Trip, ...]]) -> bool:
        """Tell whether every group is on one trip."""
        seen: dict[str, tuple[int, int]] = {}
        for v, of in trips.items():
            for k, (_, numbers) in enumerate(of):
                for group in {self.stops[n].group for n in numbers} - {""}:
                    if seen.setdefault(group, (v, k)) != (v, k):
                        return False
        return True

    def routes(self, tanker: int, names: Sequence[Value]) -> tuple[tuple[Route, ...], tuple[Breach, ...]]:
        """Return a tanker's routes with their times, and what rules they break; `names` are of all stops."""
        trips = [numbers for _, numbers in self.trips[tanker]]
        return fixed_day(
            tanker, self.tankers[tanker], trips, self.stops, self.km, self.hours, self.rules, names
        )

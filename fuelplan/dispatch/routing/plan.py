"""A plan of one day while it is being made: each tanker's trips, timed and checked once."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from fuelplan.dispatch.driver_hours import Rules
from fuelplan.dispatch.routing.day import Stop, Tanker
from fuelplan.dispatch.routing.exact import TankerDay, Trip, tanker_day
from fuelplan.dispatch.routing.tables import Tables


class TripPlan:
    """Trips by tanker."""

    def __init__(
        self,
        stops: Sequence[Stop],
        tankers: Sequence[Tanker],
        tables: Tables,
        rules: Rules | None,
        trips: Mapping[int, Sequence[Trip]],
    ) -> None:
        """Take the trips as they are, faults and all."""
        self.stops, self.tankers, self.tables, self.rules = stops, tankers, tables, rules
        self._days = [self.tried(t, trips.get(t, ())) for t in range(len(tankers))]

    def copy(self) -> TripPlan:
        """Return a plan that can be changed without changing this one."""
        other = TripPlan.__new__(TripPlan)
        other.stops, other.tankers, other.tables, other.rules = (
            self.stops,
            self.tankers,
            self.tables,
            self.rules,
        )
        other._days = list(self._days)
        return other

    def tried(self, tanker: int, trips: Sequence[Trip]) -> TankerDay:
        """Return a tanker's day with other trips, without changing the plan."""
        return tanker_day(tanker, self.tankers[tanker], trips, self.stops, self.tables, self.rules)

    def put(self, day: TankerDay) -> None:
        """Let a tanker have this day."""
        self._days[day.tanker] = day

    def day(self, tanker: int) -> TankerDay:
        """Return a tanker's day."""
        return self._days[tanker]

    def days(self) -> list[TankerDay]:
        """Return the days of the tankers, in order."""
        return list(self._days)

    def trips(self) -> dict[int, tuple[Trip, ...]]:
        """Return the trips by tanker."""
        return {d.tanker: d.trips for d in self._days if d.trips}

    def served(self) -> set[int]:
        """Return the stops that some trip goes to."""
        return {s for d in self._days for _, numbers in d.trips for s in numbers}

    def sound(self) -> bool:
        """Tell whether no tanker's day has a fault."""
        return not any(d.faults for d in self._days)


def score(plan: TripPlan) -> tuple[int, float]:
    """Return what makes one plan better than another, less is better: promises first, then money.

    Minus the number of promises kept, and the cost less the prizes of the stops that are served.
    """
    served = plan.served()
    kept = sum(plan.stops[s].required for s in served)
    return -kept, sum(d.cost for d in plan.days()) - sum(plan.stops[s].prize for s in served)

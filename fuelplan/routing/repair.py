"""Make a plan keep every rule exactly: take out what breaks one, and put it in elsewhere."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from fuelplan.driver_hours import Rules
from fuelplan.routing.chambers import pack
from fuelplan.routing.day import Stop, Tanker
from fuelplan.routing.exact import TankerDay, Trip, load_of, tanker_day
from fuelplan.routing.tables import Tables


class Plan:
    """Trips by tanker; each tanker's day is timed and checked once and kept."""

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
        self._day: dict[int, TankerDay] = {}
        for t in range(len(tankers)):
            self.put(self.tried(t, trips.get(t, ())))

    def tried(self, tanker: int, trips: Sequence[Trip]) -> TankerDay:
        """Return a tanker's day with other trips, without changing the plan."""
        return tanker_day(tanker, self.tankers[tanker], trips, self.stops, self.tables, self.rules)

    def put(self, day: TankerDay) -> None:
        """Let a tanker have this day."""
        self._day[day.tanker] = day

    def day(self, tanker: int) -> TankerDay:
        """Return a tanker's day."""
        return self._day[tanker]

    def days(self) -> list[TankerDay]:
        """Return the days of the tankers, in order."""
        return [self._day[t] for t in range(len(self.tankers))]

    def served(self) -> set[int]:
        """Return the stops that some trip goes to."""
        return {s for d in self.days() for _, numbers in d.trips for s in numbers}

    def sound(self) -> bool:
        """Tell whether no tanker's day has a fault."""
        return not any(d.faults for d in self.days())

    def worth(self) -> float:
        """Return cost less the prizes of the stops served, to compare plans that keep the same promises."""
        return sum(d.cost for d in self.days()) - sum(self.stops[s].prize for s in self.served())

    def promises(self) -> int:
        """Return how many promises are kept."""
        return sum(self.stops[s].required for s in self.served())


def _without(trips: Sequence[Trip], stop: int) -> tuple[Trip, ...]:
    """Return the trips without a stop, and without trips that are empty then."""
    cut = ((start, tuple(s for s in numbers if s != stop)) for start, numbers in trips)
    return tuple(t for t in cut if t[1])


def insertions(plan: Plan, stop: int, tanker: int) -> Iterator[tuple[Trip, ...]]:
    """Yield a tanker's trips with a stop put in at every place, and as a trip of its own."""
    t = plan.tankers[tanker]
    s = plan.stops[stop]
    if s.tankers_allowed is not None and tanker not in s.tankers_allowed:
        return
    trips = plan.day(tanker).trips
    for i, (start, numbers) in enumerate(trips):
        if pack(load_of(plan.stops, (*numbers, stop)), t.chambers, t.payload_kg) is None:
            continue
        for at in range(len(numbers) + 1):
            yield (*trips[:i], (start, (*numbers[:at], stop, *numbers[at:])), *trips[i + 1 :])
    if len(trips) < t.max_trips:
        for i in range(len(trips) + 1):
            yield (*trips[:i], (t.place, (stop,)), *trips[i:])


def put_in(plan: Plan, stop: int) -> bool:
    """Put a stop where it costs least; tell whether there was a place for it, and a reason to."""
    best: tuple[float, TankerDay] | None = None
    for t in range(len(plan.tankers)):
        before = plan.day(t).cost
        for trips in insertions(plan, stop, t):
            day = plan.tried(t, trips)
            if not day.faults and (best is None or day.cost - before < best[0] - 1e-9):
                best = (day.cost - before, day)
    s = plan.stops[stop]
    if best is None or (not s.required and best[0] >= s.prize):
        return False
    plan.put(best[1])
    return True


def _taken_out(plan: Plan, tanker: int) -> int | None:
    """Take out the one stop of a faulty day whose absence mends most for least; return it."""
    day = plan.day(tanker)
    numbers = [s for _, trip in day.trips for s in trip]
    if not numbers:
        return None

    def rank(stop: int) -> tuple[int, bool, float]:
        after = plan.tried(tanker, _without(day.trips, stop))
        s = plan.stops[stop]
        return (len(after.faults), s.required, after.cost + s.prize)

    stop = min(numbers, key=rank)
    plan.put(plan.tried(tanker, _without(day.trips, stop)))
    return stop


def repaired(plan: Plan, wanted: Sequence[int]) -> Plan:
    """Return the plan without faults, with as many of the wanted stops as could be put in again."""
    for t in range(len(plan.tankers)):
        while plan.day(t).faults and _taken_out(plan, t) is not None:
            pass
    served = plan.served()
    left = [i for i in wanted if i not in served]
    # promises first, and the large drops first: they are the hardest to place
    left.sort(key=lambda i: (not plan.stops[i].required, -plan.stops[i].kg, i))
    for stop in left:
        put_in(plan, stop)
    return plan


def fits_by_load(plan: Plan, stop: int) -> bool:
    """Tell whether some trip of a tanker that may go there has room for the stop, or a trip is free."""
    s = plan.stops[stop]
    for t, tanker in enumerate(plan.tankers):
        if s.tankers_allowed is not None and t not in s.tankers_allowed:
            continue
        trips = plan.day(t).trips
        if len(trips) < tanker.max_trips:
            return True
        if any(
            pack(load_of(plan.stops, (*n, stop)), tanker.chambers, tanker.payload_kg) is not None
            for _, n in trips
        ):
            return True
    return False

"""What one day's routing is asked, and what it answers."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from fuelplan.messages import Message

Window = tuple[float, float]


@dataclass(frozen=True)
class Stop:
    """One drop of one class at one place.

    Attributes
    ----------
    place
        Row of the tables of distances and times.
    kg
        What is blown in; a whole number of kilograms above 0.
    work_min
        Setting up, blowing, packing up; counted to the second. [min]
    work_min_by
        The same where it is not alike for all tankers: one entry each; empty = `work_min` for all. [min]
    windows
        When the work may begin: pairs of hours of the clock in order; empty = any time.
    grade
        Class of fuel; two classes never share a chamber.
    tankers_allowed
        Numbers of the tankers that may come (width, weight, hose); None = all.
    required
        A promise: left out only when it cannot be kept at all.
    group
        Where a day is mended, stops of one group are put on one trip; "" for a stop by itself.
    prize
        What serving the stop is worth, in money, where it is not required: it is served when that costs less.
    """

    place: int
    kg: int
    work_min: float
    windows: tuple[Window, ...] = ()
    grade: str = ""
    tankers_allowed: frozenset[int] | None = None
    required: bool = True
    prize: float = 0.0
    work_min_by: tuple[float, ...] = ()
    group: str = ""

    def work_with(self, tanker: int) -> float:
        """Return how long a tanker works here. [min]"""
        return self.work_min_by[tanker] if self.work_min_by else self.work_min


def may_go(stop: Stop, tanker: int) -> bool:
    """Tell whether a tanker may go to a stop."""
    return stop.tankers_allowed is None or tanker in stop.tankers_allowed


@dataclass(frozen=True)
class Tanker:
    """One tanker with its driver, for one day.

    Attributes
    ----------
    place
        Its depot: row of the tables. It begins and ends the day there and loads there.
    payload_kg
        What it may carry.
    chambers_kg
        What each chamber holds; one class per chamber. Empty = a single chamber.
    cost_per_km, cost_per_h
        Money per km driven and per hour from the first loading to being back for good.
    starts_h, ends_h
        Hours of the clock between which it may be out, loading included.
    max_trips
        Trips a day, so reloads + 1.
    reload_min, first_load_min
        Loading between two trips, and before the first one (0: loaded the evening before). [min]
    max_driving_h
        Hours at the wheel a day.
    reload_places
        Other depots where it may load between two trips, in addition to `place`.
    """

    place: int
    payload_kg: int
    chambers_kg: tuple[int, ...] = ()
    cost_per_km: float = 1.2
    cost_per_h: float = 45.0
    starts_h: float = 6.0
    ends_h: float = 18.0
    max_trips: int = 3
    reload_min: int = 30
    max_driving_h: float = 9.0
    first_load_min: int = 0
    reload_places: tuple[int, ...] = ()

    @property
    def chambers(self) -> tuple[int, ...]:
        """What each chamber holds, with at least one chamber. [kg]"""
        return self.chambers_kg or (self.payload_kg,)


@dataclass(frozen=True)
class Route:
    """One trip: out from a depot, its stops in order, and back.

    Attributes
    ----------
    tanker, trip
        Number of the tanker, and of its trip that day, from 0.
    stops
        Numbers of the stops in the order they are driven to.
    km, hours, kg
        Driven; from leaving the depot to being back; blown in. [km, h, kg]
    leave_h, arrive_h, start_h, back_h
        Hours of the clock: leaving the depot; per stop reached and work begun; back at a depot.
    from_place, to_place
        Where it was loaded, and where it ends.
    chambers
        Class and kilograms of each chamber, in the order of the tanker's chambers; ("", 0) where empty.
    breaks
        Per break of the driver: the stop it comes before (0 = the first of the trip, one beyond the last = on
        the way home or at the depot before loading), when it begins and how long it is. [h]
    done_h
        Per stop: work done. [hours of the clock]
    """

    tanker: int
    trip: int
    stops: tuple[int, ...]
    km: float
    hours: float
    kg: int
    leave_h: float
    arrive_h: tuple[float, ...]
    start_h: tuple[float, ...]
    back_h: float
    from_place: int
    to_place: int
    chambers: tuple[tuple[str, int], ...]
    breaks: tuple[tuple[int, float, float], ...] = ()

    @property
    def worked_h(self) -> float:
        """Driving and work at the stops, breaks and waiting left out. [h]"""
        gates = sum(start - arrive for arrive, start in zip(self.arrive_h, self.start_h, strict=True))
        at = (*self.arrive_h, self.back_h)
        on_the_way = sum(hours for k, at_h, hours in self.breaks if at_h < at[k] - 1e-9)
        return self.hours - gates - on_the_way

    done_h: tuple[float, ...] = ()


@dataclass(frozen=True)
class DayRoutes:
    """One day's routes.

    Attributes
    ----------
    routes
        Trips ordered by tanker and trip.
    not_served
        (number of the stop, why not) for each stop that no trip goes to.
    cost
        Kilometres and hours in money, without prizes.
    km, hours
        Driven, and of all tankers from their first loading to being back for good, waiting included. [km, h]
    iterations
        Iterations of the search that were spent.
    """

    routes: tuple[Route, ...]
    not_served: tuple[tuple[int, Message], ...]
    cost: float
    km: float
    hours: float
    iterations: int = 0


def tankers_out(tankers: Sequence[Tanker], stops: Sequence[Stop]) -> tuple[list[int], list[Stop]]:
    """Return the numbers of the tankers that are out, and the stops as these number them."""
    live = [v for v, k in enumerate(tankers) if k.max_trips > 0]
    number = {v: k for k, v in enumerate(live)}
    return live, [
        replace(
            s,
            tankers_allowed=None
            if s.tankers_allowed is None
            else frozenset(number[v] for v in s.tankers_allowed if v in number),
            work_min_by=tuple(s.work_min_by[v] for v in live) if s.work_min_by else (),
        )
        for s in stops
    ]

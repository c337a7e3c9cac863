"""Exact check and timing of one tanker's day, in the units of the question and independent of the solver."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from fuelplan.dispatch.driver_hours import NO_RULES, Breach, Rules, Timetable, timetable
from fuelplan.dispatch.routing.chambers import fits, pack
from fuelplan.dispatch.routing.day import Route, Stop, Tanker, Window, may_go
from fuelplan.dispatch.routing.tables import Tables
from fuelplan.messages import Value, message

_TINY = 1e-6

Trip = tuple[int, tuple[int, ...]]
"""Where it was loaded (row of the tables), and its stops in order."""


@dataclass(frozen=True)
class TankerDay:
    """One tanker's trips with their times, what they cost, and what cannot be.

    `times` runs over `visits`: the stop at each halt, −1 for loading; None where there is no trip or no road.
    """

    tanker: int
    trips: tuple[Trip, ...]
    km: float
    hours: float
    cost: float
    faults: tuple[Breach, ...]
    times: Timetable | None = None
    visits: tuple[int, ...] = ()
    legs_km: tuple[float, ...] = ()


def load_of(stops: Sequence[Stop], numbers: Sequence[int]) -> dict[str, int]:
    """Return the kilograms of each class that a trip carries."""
    out: dict[str, int] = {}
    for i in numbers:
        out[stops[i].grade] = out.get(stops[i].grade, 0) + stops[i].kg
    return out


def _halts(
    stops: Sequence[Stop], vehicle: int, tanker: Tanker, trips: Sequence[Trip]
) -> tuple[list[int], list[float], list[int]]:
    """Return the places of a day in order, the work at each [h], and the stop at each (−1 = loading)."""
    places, work, number = [], [], []
    for i, (start, numbers) in enumerate(trips):
        if i or tanker.first_load_min:
            places.append(start)
            work.append((tanker.reload_min if i else tanker.first_load_min) / 60.0)
            number.append(-1)
        for s in numbers:
            places.append(stops[s].place)
            work.append(stops[s].work_with(vehicle) / 60.0)
            number.append(s)
    return places, work, number


def _latest_begin_h(
    drive: Sequence[float], work: Sequence[float], windows: Sequence[tuple[Window, ...]], usual: Timetable
) -> float:
    """Return how late the tanker may leave and still be back when `usual` is. [h]"""
    latest = usual.end_h - drive[-1]
    for i in range(len(work) - 1, -1, -1):
        closes = [c for o, c in windows[i] if o - _TINY <= usual.start_h[i] <= c + _TINY]
        latest = min([latest - work[i], *closes[:1]])
        latest -= drive[i]
    return max(usual.begin_h, latest)


def _timed(
    drive: list[float],
    work: list[float],
    windows: list[tuple[Window, ...]],
    tanker: Tanker,
    rules: Rules | None,
    names: Sequence[Value] | None,
) -> Timetable:
    """Return the day's times: back as early as can be, and then leaving as late as that allows."""
    rules = rules or NO_RULES
    first = timetable(drive, work, windows, rules, tanker.starts_h, names)
    if first.late_h > _TINY or not (first.wait_h > _TINY or any(b.waiting for b in first.breaks)):
        return first
    later = timetable(drive, work, windows, rules, _latest_begin_h(drive, work, windows, first), names)
    worse = later.late_h > _TINY or len(later.faults) > len(first.faults)
    if worse or later.end_h - later.begin_h > first.end_h - first.begin_h + _TINY:
        return first
    return later


def _own_faults(
    number: int, tanker: Tanker, trips: Sequence[Trip], stops: Sequence[Stop], names: Sequence[Value] | None
) -> list[Breach]:
    """Return what is wrong before any clock is looked at: access, loads, number of trips, depots."""
    faults: list[Breach] = []
    if len(trips) > tanker.max_trips:
        most = tanker.max_trips
        faults.append(
            Breach(message("routing.trips", "makes {n} trips, {most} are allowed", n=len(trips), most=most))
        )
    for start, numbers in trips:
        faults += [
            Breach(message("routing.may_not_go", "may not go to {stop}", stop=_called(s, names)), s)
            for s in numbers
            if not may_go(stops[s], number)
        ]
        if not fits(load_of(stops, numbers), tanker.chambers, tanker.payload_kg):
            faults.append(OVERLOADED)
        if start != tanker.place and start not in tanker.reload_places:
            faults.append(
                Breach(message("routing.may_not_load", "may not load at place {place}", place=start))
            )
    return faults


def _called(stop: int, names: Sequence[Value] | None) -> Value:
    return message("routing.stop", "stop {n}", n=stop) if names is None else names[stop]


OVERLOADED = Breach(message("routing.overloaded", "is loaded with more than its chambers and payload hold"))
NO_ROAD = Breach(message("routing.no_road", "has no road to one of its stops"))
NOT_BACK = Breach(message("routing.not_back", "is not back in time"))
DRIVES_LONG = Breach(message("routing.drives_long", "drives for too long"))
LOADING = message("routing.loading", "loading")


def tanker_day(
    number: int,
    tanker: Tanker,
    trips: Sequence[Trip],
    stops: Sequence[Stop],
    tables: Tables,
    rules: Rules | None = None,
    names: Sequence[Value] | None = None,
) -> TankerDay:
    """Return one tanker's trips with times, cost and faults, which call the stops by their `names`.

    Checked: access, chambers and payload, number of trips, roads, windows, the tanker's hours, its hours at
    the wheel, and the driver's rules where they are given.
    """
    trips = tuple((start, tuple(s)) for start, s in trips if s)
    if not trips:
        return TankerDay(number, (), 0.0, 0.0, 0.0, ())
    faults = _own_faults(number, tanker, trips, stops, names)
    places, work, visits = _halts(stops, number, tanker, trips)
    rows = [tanker.place, *places, tanker.place]
    drive = [tables.h[a][b] for a, b in pairwise(rows)]
    legs_km = [tables.km[a][b] for a, b in pairwise(rows)]
    km = sum(legs_km)
    if not (sum(drive) < 1e4 and km < 1e7):
        return TankerDay(number, trips, 0.0, 0.0, 0.0, (*faults, NO_ROAD))
    windows = [stops[s].windows if s >= 0 else () for s in visits]
    called = None if names is None else [LOADING if s < 0 else names[s] for s in visits]
    times = _timed(drive, work, windows, tanker, rules, called)
    faults += [_of_stop(fault, visits) for fault in times.faults]
    if times.end_h > tanker.ends_h + _TINY:
        faults.append(NOT_BACK)
    if times.driving_h > tanker.max_driving_h + _TINY:
        faults.append(DRIVES_LONG)
    hours = times.end_h - times.begin_h
    cost = km * tanker.cost_per_km + hours * tanker.cost_per_h
    return TankerDay(number, trips, km, hours, cost, tuple(faults), times, tuple(visits), tuple(legs_km))


def _of_stop(fault: Breach, visits: Sequence[int]) -> Breach:
    """Return a fault of a timetable with the stop as the routes number it."""
    if fault.stop is None:
        return fault
    return Breach(fault.said, visits[fault.stop] if visits[fault.stop] >= 0 else None)


def routes_of(day: TankerDay, tanker: Tanker, stops: Sequence[Stop]) -> tuple[Route, ...]:
    """Return a day without faults as routes, one per trip."""
    times = day.times
    if times is None:
        return ()
    out = []
    at = 0
    leave_h = times.begin_h
    for i, (start, numbers) in enumerate(day.trips):
        if i or tanker.first_load_min:
            leave_h = times.leave_h[at]
            at += 1
        end = at + len(numbers)
        back_h = times.arrive_h[end] if end < len(day.visits) else times.end_h
        out.append(
            Route(
                tanker=day.tanker,
                trip=i,
                stops=numbers,
                km=sum(day.legs_km[at : end + 1]),
                hours=back_h - leave_h,
                kg=sum(stops[s].kg for s in numbers),
                leave_h=leave_h,
                arrive_h=times.arrive_h[at:end],
                start_h=times.start_h[at:end],
                back_h=back_h,
                from_place=start,
                to_place=day.trips[i + 1][0] if i + 1 < len(day.trips) else tanker.place,
                chambers=pack(load_of(stops, numbers), tanker.chambers, tanker.payload_kg) or (),
                breaks=tuple((b.leg - at, b.at_h, b.hours) for b in times.breaks if at <= b.leg <= end),
                done_h=times.leave_h[at:end],
            )
        )
        at = end
    return tuple(out)

"""Published days as they stand: the whole day of each tanker and its driver timed at once."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from itertools import groupby

import numpy as np

from fuelplan.answers.round_roads import RoundRoads
from fuelplan.answers.runs_plan import stop_of, tanker_of
from fuelplan.answers.runs_rows import CREDIT_STOP
from fuelplan.round_folder import Order, PublishedStop, Round, credit_stopped, driver_rules, reach_of
from fuelplan.round_folder.reach import carried
from fuelplan.routing import Route, fixed_day
from fuelplan.runs.week import TRIPS


@dataclass(frozen=True)
class FrozenTrip:
    """One published trip: its route with times, its stops in order, and what of the day breaks a rule."""

    day: date
    route: Route
    stops: tuple[PublishedStop, ...]
    faults: tuple[str, ...]


def frozen_trips(round_: Round, frozen: Sequence[PublishedStop], roads: RoundRoads) -> list[FrozenTrip]:
    """Return the published trips, with times and breaks of whole days; what breaks a rule stands with each
    trip of the day.
    """
    out = []
    ordered = sorted(frozen, key=lambda s: (s.day, s.tanker, s.trip, s.position))
    for (day, tanker), group in groupby(ordered, key=lambda s: (s.day, s.tanker)):
        out += _day(round_, roads, day, tanker, list(group))
    return out


def open_order(round_: Round, stop: PublishedStop) -> Order | None:
    """Return the order that a published stop serves, where one is open."""
    return next(
        (o for o in round_.orders if o.customer == stop.customer and o.klass in (None, stop.klass)), None
    )


def _day(
    round_: Round, roads: RoundRoads, day: date, name: str, published: Sequence[PublishedStop]
) -> list[FrozenTrip]:
    """Return the trips of one tanker's day."""
    c = round_.customers
    v = [k.name for k in round_.table.tankers].index(name)
    rules = driver_rules(round_.table)
    tanker = tanker_of(round_, roads, v, rules, max(TRIPS, len(published)))
    who = [c.number_of[s.customer] for s in published]
    stops = [
        stop_of(round_, i, s.klass, s.kg, _allowed(round_, i, s.klass), True)
        for i, s in zip(who, published, strict=True)
    ]
    trips = [
        [n for n, s in enumerate(published) if s.trip == trip] for trip in sorted({s.trip for s in published})
    ]
    names = [str(c.name[i]) or str(c.id[i]) for i in who]
    routes, faults = fixed_day(v, tanker, trips, stops, roads.roads.km, roads.roads.hours, rules, names)
    faults = (
        *faults,
        *(f for i, s, x in zip(who, published, names, strict=True) for f in _shut(round_, i, s, x)),
    )
    return [FrozenTrip(day, route, tuple(published[n] for n in route.stops), faults) for route in routes]


def _allowed(round_: Round, i: int, klass: str) -> frozenset[int]:
    """Return the numbers of the tankers that may bring a class to a customer."""
    ok = reach_of(round_.table, round_.customers.rows(np.array([i]))).ok[0]
    return frozenset(v for v in range(len(ok)) if ok[v] and klass in carried(round_.table, v))


def _shut(round_: Round, i: int, stop: PublishedStop, name: str) -> list[str]:
    """Return what has come between a published stop and its customer since."""
    faults = []
    if not round_.customers.weekdays[i, stop.day.weekday()]:
        faults.append(f"{name}: the customer takes no fuel on that weekday")
    if credit_stopped(round_.customers, i, open_order(round_, stop)):
        faults.append(f"{name}: {CREDIT_STOP}")
    return faults

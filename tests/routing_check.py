"""Days of routes made at random, and a check of routes that shares no code with what made them."""

from __future__ import annotations

import itertools

import numpy as np

from fuelplan.dispatch.driver_hours import Rules
from fuelplan.dispatch.roads import Roads, roads_by_detour
from fuelplan.dispatch.routing import DayRoutes, Stop, Tanker, route_day
from fuelplan.messages import as_message

TINY = 1e-5


def invented_day(
    n: int,
    seed: int,
    *,
    tankers: int = 2,
    depots: int = 1,
    classes: int = 1,
    chambers: tuple[int, ...] = (),
    payload_kg: int = 15_000,
    max_trips: int = 3,
    shut: float = 0.0,
    windows: float = 0.3,
    optional: float = 0.0,
) -> tuple[list[Stop], list[Tanker], Roads]:
    """A day in an invented valley: stops of 1.5 to 6 t around the depots.

    `shut`, `windows`, `optional`: shares of stops with limits of access, with windows, without a promise.
    """
    rng = np.random.default_rng(seed)
    lat = 47.0 + 0.4 * rng.random(depots + n)
    lon = 10.0 + 0.6 * rng.random(depots + n)
    roads = roads_by_detour(lat, lon)
    stops = []
    for i in range(n):
        kg = int(rng.integers(15, 60)) * 100
        open_at = ((8.0, 12.0), (13.0, 16.0)) if rng.random() < 0.5 else ((float(rng.integers(6, 10)), 14.5),)
        may = frozenset(np.flatnonzero(rng.random(tankers) < 0.6).tolist())
        stops.append(
            Stop(
                place=depots + i,
                kg=kg,
                work_min=15 + round(kg / 7_000 * 60),
                windows=open_at if rng.random() < windows else (),
                grade="ab"[int(rng.integers(classes))],
                tankers_allowed=may if rng.random() < shut else None,
                required=bool(rng.random() >= optional),
                prize=float(rng.integers(10, 120)),
            )
        )
    fleet = [Tanker(t % depots, payload_kg, chambers, max_trips=max_trips) for t in range(tankers)]
    return stops, fleet, roads


def holds(load: dict[str, int], chambers: tuple[int, ...], payload_kg: int) -> bool:
    """Whether a load fits, by trying every class in every chamber."""
    if sum(load.values()) > payload_kg:
        return False
    names = sorted(load)
    for way in itertools.product(names, repeat=len(chambers)):
        if all(
            sum(c for c, k in zip(chambers, way, strict=True) if k == name) >= load[name] for name in names
        ):
            return True
    return not names


def wrong(
    day: DayRoutes, stops: list[Stop], tankers: list[Tanker], roads: Roads, breaks: bool = False
) -> list[str]:
    """What is wrong with a day's routes; with `breaks` there may be time between leaving and arriving that is
    not driving."""
    bad: list[str] = []
    on_routes = [s for r in day.routes for s in r.stops]
    left_out = [i for i, _ in day.not_served]
    if sorted(on_routes + left_out) != list(range(len(stops))):
        bad.append(f"stops {sorted(on_routes)} are on routes, {left_out} are left out, of {len(stops)}")
    if any(not why for _, why in day.not_served):
        bad.append("a stop is left out without a reason")
    cost = km = hours = 0.0
    for t, tanker in enumerate(tankers):
        routes = [r for r in day.routes if r.tanker == t]
        if not routes:
            continue
        if [r.trip for r in routes] != list(range(len(routes))) or len(routes) > tanker.max_trips:
            bad.append(f"tanker {t}: trips {[r.trip for r in routes]}")
        begin = routes[0].leave_h - tanker.first_load_min / 60
        if begin < tanker.starts_h - TINY or routes[-1].back_h > tanker.ends_h + TINY:
            bad.append(f"tanker {t} is out from {begin} to {routes[-1].back_h}")
        if routes[0].from_place != tanker.place or routes[-1].to_place != tanker.place:
            bad.append(f"tanker {t} does not begin and end at its depot")
        at_the_wheel = 0.0
        for r, after in itertools.zip_longest(routes, routes[1:]):
            load: dict[str, int] = {}
            way = [r.from_place, *(stops[s].place for s in r.stops), r.to_place]
            ready = r.leave_h
            for n, s in enumerate(r.stops):
                stop = stops[s]
                load[stop.grade] = load.get(stop.grade, 0) + stop.kg
                if stop.tankers_allowed is not None and t not in stop.tankers_allowed:
                    bad.append(f"tanker {t} goes to stop {s}, where it may not")
                drive = float(roads.hours[way[n], way[n + 1]])
                if not (r.arrive_h[n] >= ready + drive - TINY) or (
                    not breaks and r.arrive_h[n] > ready + drive + TINY
                ):
                    bad.append(f"stop {s} is reached at {r.arrive_h[n]}, {drive} h after {ready}")
                if r.start_h[n] < r.arrive_h[n] - TINY:
                    bad.append(f"stop {s} begins before it is reached")
                if stop.windows and not any(a - TINY <= r.start_h[n] <= b + TINY for a, b in stop.windows):
                    bad.append(f"stop {s} begins at {r.start_h[n]}, outside {stop.windows}")
                ready = r.start_h[n] + stop.work_min / 60
                at_the_wheel += drive
            home = float(roads.hours[way[-2], way[-1]])
            at_the_wheel += home
            if not (r.back_h >= ready + home - TINY) or (not breaks and r.back_h > ready + home + TINY):
                bad.append(f"tanker {t} is back at {r.back_h}, {home} h after {ready}")
            if not holds(load, tanker.chambers_kg or (tanker.payload_kg,), tanker.payload_kg):
                bad.append(f"tanker {t} trip {r.trip} cannot hold {load}")
            filled: dict[str, int] = {}
            for (name, kg), most in zip(r.chambers, tanker.chambers_kg or (tanker.payload_kg,), strict=True):
                if kg > most:
                    bad.append(f"a chamber of {most} kg holds {kg}")
                if kg:
                    filled[name] = filled.get(name, 0) + kg
            if filled != load or r.kg != sum(load.values()):
                bad.append(f"the chambers hold {filled}, the stops need {load}")
            if after is not None and (
                after.leave_h < r.back_h + tanker.reload_min / 60 - TINY or after.from_place != r.to_place
            ):
                bad.append(f"tanker {t} leaves again at {after.leave_h}, back at {r.back_h}")
            trip_km = sum(float(roads.km[a, b]) for a, b in itertools.pairwise(way))
            if abs(trip_km - r.km) > 1e-3 or abs(r.hours - (r.back_h - r.leave_h)) > TINY:
                bad.append(f"tanker {t} trip {r.trip}: {r.km} km, {r.hours} h")
            km += trip_km
            cost += trip_km * tanker.cost_per_km
        if at_the_wheel > tanker.max_driving_h + TINY:
            bad.append(f"tanker {t} drives {at_the_wheel} h")
        hours += routes[-1].back_h - begin
        cost += (routes[-1].back_h - begin) * tanker.cost_per_h
    if abs(day.km - km) > 1e-2 or abs(day.hours - hours) > 1e-4 or abs(day.cost - cost) > 1e-2:
        bad.append(f"sums: {day.km} km, {day.hours} h, {day.cost}; counted {km}, {hours}, {cost}")
    return bad


def routed(
    stops: list[Stop], tankers: list[Tanker], roads: Roads, iterations: int = 100, rules: Rules | None = None
) -> DayRoutes:
    """The day's routes with a small budget."""
    return route_day(stops, tankers, roads.km, roads.hours, seed=1, iterations=iterations, rules=rules)


def line(*at_km: float) -> Roads:
    """Places on one straight road, 60 km/h."""
    x = np.array(at_km, dtype=np.float32)
    km = np.abs(x[:, None] - x[None, :])
    return Roads(km, km / np.float32(60), as_message("a straight road"))

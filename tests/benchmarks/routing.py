"""Is anything lost on the way to PyVRP and back: our day's routes beside PyVRP's own model of the same days.

Run `python -m tests.benchmarks.routing [--iterations N]`. Both get the same iterations and the same seed.
"Direct" is a day written down with PyVRP's own `Model`, as its documentation does it; it leaves out nothing
that these days hold (payload, windows, work, several tankers, reloads, two depots), and it leaves nobody
out: all stops are promises. The second table adds what PyVRP does not know (two classes in chambers, the
driver's breaks) and shows what that costs beside the same day without it, which no plan can beat by much.
"""

from __future__ import annotations

import argparse
import dataclasses
import math
import time

import numpy as np

from fuelplan.dispatch.driver_hours import Rules
from fuelplan.dispatch.roads import Roads
from fuelplan.dispatch.routing import Stop, Tanker, route_day
from tests.benchmarks.measure import Row, compared, timed, timed_many
from tests.routing_check import invented_day, wrong

SCALE = 100_000


def direct(stops: list[Stop], tankers: list[Tanker], roads: Roads, seed: int, iterations: int) -> float:
    """Cost of the day by PyVRP's own model; infinite where it finds no feasible routes."""
    from pyvrp import Model
    from pyvrp.stop import MaxIterations

    model = Model()
    places = [model.add_location(0, 0) for _ in range(len(roads))]
    for i, a in enumerate(places):
        for j, b in enumerate(places):
            if i != j:
                metres = round(float(roads.km[i, j]) * 1000)
                model.add_edge(a, b, metres, math.ceil(float(roads.hours[i, j]) * 3600))
    depots, loading = {}, {}
    for t in tankers:
        if t.place not in depots:
            depots[t.place] = model.add_depot(places[t.place])
            loading[t.place] = model.add_depot(places[t.place], service_duration=t.reload_min * 60)
    for s in stops:
        from_h, until_h = s.windows[0] if s.windows else (0.0, 24.0)
        model.add_client(
            places[s.place],
            delivery=s.kg,
            service_duration=s.work_min * 60,
            tw_early=round(from_h * 3600),
            tw_late=round(until_h * 3600),
        )
    for t in tankers:
        model.add_vehicle_type(
            capacity=t.payload_kg,
            start_depot=depots[t.place],
            end_depot=depots[t.place],
            tw_early=round(t.starts_h * 3600),
            tw_late=round(t.ends_h * 3600),
            unit_distance_cost=round(t.cost_per_km * SCALE / 1000),
            unit_duration_cost=round(t.cost_per_h * SCALE / 3600),
            reload_depots=[loading[t.place]],
            max_reloads=t.max_trips - 1,
        )
    best = model.solve(MaxIterations(iterations), seed=seed, collect_stats=False, display=False).best
    if not best.is_feasible():
        return math.inf
    return (best.distance_cost() + best.duration_cost()) / SCALE


def days() -> list[tuple[str, list[Stop], list[Tanker], Roads]]:
    """Days of 20 to 60 stops; one window a stop at most, because PyVRP's model has one."""
    out = []
    for n, tankers, depots, seed in (
        (20, 3, 1, 1), (20, 3, 2, 2), (30, 4, 1, 3), (30, 4, 2, 4), (40, 5, 1, 5),
        (40, 5, 2, 6), (50, 6, 1, 7), (50, 6, 2, 8), (60, 7, 1, 9), (60, 7, 2, 10),
    ):  # fmt: skip
        stops, fleet, roads = invented_day(n, seed, tankers=tankers, depots=depots)
        stops = [dataclasses.replace(s, windows=s.windows[:1]) for s in stops]
        out.append(
            (f"{n} stops, {tankers} tankers, {depots} depot{'s' if depots > 1 else ''}", stops, fleet, roads)
        )
    return out


def against_direct(iterations: int, seeds: int) -> None:
    """Print the table of our routes beside PyVRP's own."""
    print(f"{'day':36}{'direct':>10}{'ours':>10}{'ours / direct':>15}{'direct s':>10}{'ours s':>8}  left out")
    ratios = []
    for name, stops, fleet, roads in days():
        theirs, ours, their_s, our_s, left = [], [], 0.0, 0.0, 0
        for seed in range(1, seeds + 1):
            t0 = time.perf_counter()
            theirs.append(direct(stops, fleet, roads, seed, iterations))
            t1 = time.perf_counter()
            day = route_day(stops, fleet, roads.km, roads.hours, seed=seed, iterations=iterations)
            our_s += time.perf_counter() - t1
            their_s += t1 - t0
            assert wrong(day, stops, fleet, roads) == []
            ours.append(day.cost)
            left += len(day.not_served)
        ratio = float(np.mean(ours) / np.mean(theirs))
        ratios.append(ratio)
        print(
            f"{name:36}{np.mean(theirs):10.1f}{np.mean(ours):10.1f}{ratio:15.4f}"
            f"{their_s / seeds:10.2f}{our_s / seeds:8.2f}{left:10d}"
        )
    print(
        f"mean {np.mean(ratios):.4f}, worst {max(ratios):.4f}, over {seeds} seeds of {iterations} iterations"
    )


def beyond(iterations: int) -> None:
    """Print what chambers and breaks cost beside the same day without them."""
    print(f"\n{'day':44}{'without':>10}{'with':>10}{'ratio':>8}{'s':>7}  left out")
    for seed in range(4):
        for kind in ("two classes, 5 chambers of 3 t", "two classes, 1 chamber", "breaks"):
            chambers = (3_000,) * 5 if "5" in kind else ()
            classes = 1 if kind == "breaks" else 2
            stops, fleet, roads = invented_day(20, 50 + seed, tankers=3, classes=classes, chambers=chambers)
            bare = [dataclasses.replace(s, grade="") for s in stops]
            loose = [dataclasses.replace(t, chambers_kg=()) for t in fleet]
            without = route_day(bare, loose, roads.km, roads.hours, seed=1, iterations=iterations)
            t0 = time.perf_counter()
            day = route_day(
                stops, fleet, roads.km, roads.hours, seed=1, iterations=iterations,
                rules=Rules() if kind == "breaks" else None,
            )  # fmt: skip
            spent = time.perf_counter() - t0
            assert wrong(day, stops, fleet, roads, breaks=kind == "breaks") == []
            print(
                f"{f'20 stops, 3 tankers, {kind}':44}{without.cost:10.1f}{day.cost:10.1f}"
                f"{day.cost / without.cost:8.3f}{spent:7.2f}{len(day.not_served):10d}"
            )


def rows(quick: bool) -> list[Row]:
    """One day of 60 stops, seven tankers and two depots beside PyVRP's own model, as many iterations each."""
    iterations = 100 if quick else 1_000
    name, stops, fleet, roads = days()[0 if quick else -1]
    costs: list[float] = []

    def ours() -> None:
        costs.append(route_day(stops, fleet, roads.km, roads.hours, seed=1, iterations=iterations).cost)

    took = timed(ours, 1)
    theirs = timed(lambda: costs.append(direct(stops, fleet, roads, 1, iterations)), 1)
    return [
        compared(
            f"routes of a day: {name}, {iterations:,} iterations",
            took,
            ("PyVRP's own model of the same day", theirs, 1.0),
            ("kilometres and hours copied once", timed_many(lambda: (roads.km.copy(), roads.hours.copy()))),
            cost_against_it=costs[0] / costs[1],
        )
    ]


def main() -> None:
    """Run both tables."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--iterations", type=int, default=1_000)
    parser.add_argument("--seeds", type=int, default=2)
    given = parser.parse_args()
    against_direct(given.iterations, given.seeds)
    beyond(given.iterations)


if __name__ == "__main__":
    main()

"""One day's routes: always feasible, never silent about who is left out."""

from __future__ import annotations

import ast
import dataclasses
import itertools
import math
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fuelplan.dispatch.driver_hours import Rules, timetable
from fuelplan.dispatch.routing import DayRoutes, Stop, Tanker, route_day
from fuelplan.messages import render
from tests.routing_check import invented_day, line, routed, wrong

PACKAGE = Path(__file__).parents[2] / "fuelplan"


def reasons(day: DayRoutes) -> tuple[tuple[int, str], ...]:
    """Which stops are left out and why, as people read it."""
    return tuple((stop, render(why)) for stop, why in day.not_served)


def test_only_routing_imports_pyvrp() -> None:
    """PyVRP is used in one room, and only inside its functions, so that nothing else has to load it."""
    found = []
    for path in sorted(PACKAGE.rglob("*.py")):
        tree = ast.parse(path.read_text(encoding="utf-8"))
        for node in ast.walk(tree):
            names = [a.name for a in node.names] if isinstance(node, ast.Import) else []
            names += [node.module or ""] if isinstance(node, ast.ImportFrom) else []
            if any(n.split(".")[0] == "pyvrp" for n in names):
                found.append((path.relative_to(PACKAGE).parts[:2], node in tree.body))
    assert found, "no import was found: the test would prove nothing"
    assert set(found) == {(("dispatch", "routing"), False)}
    code = "import sys, fuelplan.dispatch.routing; sys.exit('pyvrp' in sys.modules)"
    assert subprocess.run([sys.executable, "-c", code], cwd=PACKAGE.parent, check=False).returncode == 0


@settings(max_examples=25, deadline=None)
@given(
    n=st.integers(1, 14),
    seed=st.integers(0, 10_000),
    tankers=st.integers(1, 3),
    depots=st.integers(1, 2),
    classes=st.integers(1, 2),
    chambers=st.sampled_from([(), (5_000, 5_000, 5_000), (3_000,) * 5, (9_000, 4_000, 2_000)]),
    max_trips=st.integers(1, 3),
    shut=st.sampled_from([0.0, 0.5]),
    optional=st.sampled_from([0.0, 0.4]),
    shift=st.sampled_from([12.0, 5.0]),
    driving=st.sampled_from([9.0, 1.5]),
    first_load=st.sampled_from([0, 25]),
    payload_kg=st.sampled_from([15_000, 9_000]),
    ruled=st.booleans(),
)
def test_every_day_is_feasible_or_says_why_not(
    n: int,
    seed: int,
    tankers: int,
    depots: int,
    classes: int,
    chambers: tuple[int, ...],
    max_trips: int,
    shut: float,
    optional: float,
    shift: float,
    driving: float,
    first_load: int,
    payload_kg: int,
    ruled: bool,
) -> None:
    """Whatever the day, an independent check of access, loads, chambers, windows, hours, trips and sums finds
    nothing wrong, and who is left out has a reason."""
    stops, fleet, roads = invented_day(
        n, seed, tankers=tankers, depots=depots, classes=classes, chambers=chambers, max_trips=max_trips,
        shut=shut, optional=optional, payload_kg=payload_kg,
    )  # fmt: skip
    fleet = [
        dataclasses.replace(t, ends_h=t.starts_h + shift, max_driving_h=driving, first_load_min=first_load)
        for t in fleet
    ]
    rules = Rules() if ruled else None
    day = routed(stops, fleet, roads, 40, rules)
    assert wrong(day, stops, fleet, roads, breaks=ruled) == []


def test_the_same_seed_gives_the_same_routes() -> None:
    """Seed and iterations repeat exactly, also where our own search takes over; the answer counts what was
    spent."""
    for classes in (1, 2):
        stops, fleet, roads = invented_day(14, 3, classes=classes, chambers=(5_000,) * 3)
        first = routed(stops, fleet, roads)
        assert first == routed(stops, fleet, roads)
        assert first.iterations >= 100


def test_few_stops_are_routed_as_well_as_can_be() -> None:
    """For five stops of one tanker the cost is that of the best of all 120 orders and all ways to cut them
    into trips."""
    for seed in range(4):
        stops, _, roads = invented_day(5, seed, windows=0.0)
        tanker = Tanker(0, 9_000, max_trips=5, starts_h=0.0, ends_h=24.0, max_driving_h=24.0)
        best = math.inf
        for order in itertools.permutations(range(5)):
            for cuts in itertools.product([False, True], repeat=4):
                trips, trip = [], [order[0]]
                for s, cut in zip(order[1:], cuts, strict=True):
                    if cut:
                        trips.append(trip)
                        trip = []
                    trip.append(s)
                trips.append(trip)
                if any(sum(stops[s].kg for s in t) > 9_000 for t in trips):
                    continue
                ways = [[0, *(stops[s].place for s in t), 0] for t in trips]
                legs = [leg for w in ways for leg in itertools.pairwise(w)]
                work = sum(s.work_min for s in stops) + 30 * (len(trips) - 1)
                hours = sum(float(roads.hours[a, b]) for a, b in legs) + work / 60
                best = min(best, sum(float(roads.km[a, b]) for a, b in legs) * 1.2 + hours * 45)
        assert routed(stops, [tanker], roads, 300).cost == pytest.approx(best, rel=1e-4)


def test_a_day_with_nobody_to_serve() -> None:
    """No stops: an empty plan at no cost; no tankers: every stop is left out and told why."""
    _, fleet, roads = invented_day(3, 1)
    assert routed([], fleet, roads) == DayRoutes((), (), 0.0, 0.0, 0.0, 0)
    stops, _, roads = invented_day(2, 1)
    assert reasons(routed(stops, [], roads)) == (
        (0, "no tanker is out that day"),
        (1, "no tanker is out that day"),
    )


def test_two_customers_at_one_place() -> None:
    """Two drops at one place are two stops one after the other, and may have different limits of access."""
    roads = line(0, 30, 5)
    stops = [Stop(1, 2_000, 20), Stop(1, 3_000, 25), Stop(2, 1_000, 15)]
    day = routed(stops, [Tanker(0, 15_000)], roads)
    assert wrong(day, stops, [Tanker(0, 15_000)], roads) == []
    assert day.km == pytest.approx(60)
    apart = [stops[0], dataclasses.replace(stops[1], tankers_allowed=frozenset({1}))]
    fleet = [Tanker(0, 15_000, cost_per_km=0.5), Tanker(0, 15_000, cost_per_km=5.0)]
    day = routed(apart, fleet, roads)
    assert wrong(day, apart, fleet, roads) == []
    assert day.not_served == ()


def test_reasons_before_the_search() -> None:
    """An island, a drop too large, a place where no tanker may go, a window nobody can keep and a place too
    far are each named, and the others are served."""
    roads = line(0, 10, 20, 30, 40, 500, 50)
    km, hours = roads.km.copy(), roads.hours.copy()
    km[2, :], km[:, 2], hours[2, :], hours[:, 2] = np.inf, np.inf, np.inf, np.inf
    km[2, 2] = hours[2, 2] = 0
    stops = [
        Stop(1, 2_000, 20),
        Stop(2, 2_000, 20),
        Stop(3, 16_000, 60),
        Stop(4, 2_000, 20, tankers_allowed=frozenset()),
        Stop(5, 2_000, 20),
        Stop(6, 2_000, 20, windows=((4.0, 5.0),)),
    ]
    day = route_day(stops, [Tanker(0, 15_000)], km, hours, seed=1, iterations=50)
    assert [s for r in day.routes for s in r.stops] == [0]
    assert dict(reasons(day)) == {
        1: "no road leads there",
        2: "16,000 kg are more than the largest tanker that may go there takes (15,000 kg)",
        3: "no tanker that is out that day may go there",
        4: "out and back takes longer than any tanker's day",
        5: "no tanker can be there while the customer takes fuel",
    }


def test_reasons_after_the_search() -> None:
    """More promises than the day holds: as many as fit are served, the others are told that time or room ran
    out; a stop that is worth less than its way is told so."""
    roads = line(0, *([30] * 6))
    stops = [Stop(i + 1, 2_000, 170) for i in range(6)]
    tanker = Tanker(0, 15_000, starts_h=6.0, ends_h=16.0, max_trips=1)
    day = routed(stops, [tanker], roads)
    assert wrong(day, stops, [tanker], roads) == []
    assert len(day.not_served) == 3
    assert {why for _, why in reasons(day)} == {"no tanker has the time left that day"}
    heavy = [Stop(i + 1, 7_000, 20) for i in range(4)]
    day = routed(heavy, [tanker], roads)
    assert [why for _, why in reasons(day)] == ["the tankers that may go there are full that day"] * 2
    optional = [dataclasses.replace(stops[0], required=False, prize=p) for p in (10.0, 1_000.0)]
    assert reasons(routed(optional[:1], [tanker], roads)) == ((0, "not worth its way that day"),)
    assert routed(optional[1:], [tanker], roads).not_served == ()


def test_a_promise_goes_before_a_prize() -> None:
    """Where there is room for one only, the promise is served and not the prize, however large it is."""
    roads = line(0, 30, 31)
    stops = [Stop(1, 9_000, 60), Stop(2, 9_000, 60, required=False, prize=100_000.0)]
    tanker = Tanker(0, 15_000, max_trips=1)
    day = routed(stops, [tanker], roads)
    assert [s for r in day.routes for s in r.stops] == [0]


def test_reloads() -> None:
    """Three drops of 8 t with a tanker of 10 t are three trips with 30 minutes of loading between them."""
    roads = line(0, 10, 10, 10)
    stops = [Stop(i + 1, 8_000, 60) for i in range(3)]
    tanker = Tanker(0, 10_000)
    day = routed(stops, [tanker], roads)
    assert wrong(day, stops, [tanker], roads) == []
    assert [r.trip for r in day.routes] == [0, 1, 2]
    assert day.hours == pytest.approx(3 * (20 / 60 + 1) + 2 * 0.5)


def test_reload_at_another_depot() -> None:
    """A tanker that may load at a second depot does so where that is nearer."""
    roads = line(0, 50, 48, 52)
    stops = [Stop(2, 9_000, 30), Stop(3, 9_000, 30)]
    tanker = Tanker(0, 10_000, reload_places=(1,))
    day = routed(stops, [tanker], roads)
    assert wrong(day, stops, [tanker], roads) == []
    assert day.routes[0].to_place == day.routes[1].from_place == 1
    assert day.km < 110


def test_several_depots() -> None:
    """Each customer is served from the depot beside him."""
    roads = line(0, 100, 3, 97)
    stops = [Stop(2, 4_000, 30), Stop(3, 4_000, 30)]
    fleet = [Tanker(0, 15_000), Tanker(1, 15_000)]
    day = routed(stops, fleet, roads)
    assert wrong(day, stops, fleet, roads) == []
    assert [(r.tanker, r.stops) for r in day.routes] == [(0, (0,)), (1, (1,))]


def test_one_chamber_is_one_class_a_trip() -> None:
    """A tanker with a single chamber fetches each class by itself; one with two takes both at once."""
    roads = line(0, 10, 11)
    stops = [Stop(1, 3_000, 30, grade="a"), Stop(2, 3_000, 30, grade="b")]
    one = routed(stops, [Tanker(0, 15_000)], roads)
    two = routed(stops, [Tanker(0, 15_000, (7_500, 7_500))], roads)
    assert len(one.routes) == 2 and len(two.routes) == 1
    assert set(two.routes[0].chambers) == {("a", 3_000), ("b", 3_000)}


def test_chambers_that_do_not_take_what_the_payload_would() -> None:
    """4 t of one class and 4 t of another do not fit three chambers of 3 t, though 9 t may be carried."""
    roads = line(0, 10, 11)
    stops = [Stop(1, 4_000, 30, grade="a"), Stop(2, 4_000, 30, grade="b")]
    tanker = Tanker(0, 9_000, (3_000, 3_000, 3_000))
    day = routed(stops, [tanker], roads)
    assert wrong(day, stops, [tanker], roads) == []
    assert len(day.routes) == 2


def test_the_tanker_leaves_no_earlier_than_it_must() -> None:
    """A customer 30 minutes away who opens at ten is left for at half past nine; no waiting is paid."""
    roads = line(0, 30)
    day = routed([Stop(1, 3_000, 30, windows=((10.0, 12.0),))], [Tanker(0, 15_000)], roads)
    assert day.routes[0].leave_h == pytest.approx(9.5)
    assert day.hours == pytest.approx(1.5)


def test_work_counts_to_the_second() -> None:
    """Fifteen drops of 27.23 minutes in one street are 6 h 48 min of work, not fifteen times 27 minutes."""
    stops = [Stop(1, 1_000, 27.23) for _ in range(15)]
    day = routed(stops, [Tanker(0, 15_000)], line(0, 30))
    assert wrong(day, stops, [Tanker(0, 15_000)], line(0, 30)) == []
    assert day.hours == pytest.approx(1.0 + 15 * 27.23 / 60, abs=15 / 3600)


def test_hours_at_the_wheel_are_kept() -> None:
    """With 3 h at the wheel allowed, a tour of 4 h is shared with the second tanker, though it costs more."""
    roads = line(0, 60, -60)
    stops = [Stop(1, 2_000, 30), Stop(2, 2_000, 30)]
    fleet = [Tanker(0, 15_000), Tanker(0, 15_000, cost_per_km=9.0)]
    free = routed(stops, fleet, roads)
    assert {r.tanker for r in free.routes} == {0}
    tight = [dataclasses.replace(t, max_driving_h=3.0) for t in fleet]
    day = routed(stops, tight, roads)
    assert wrong(day, stops, tight, roads) == []
    assert {r.tanker for r in day.routes} == {0, 1}


def test_breaks_are_in_the_times() -> None:
    """With the driver's rules the times hold the breaks: 5 h of driving and 1 h of work take 6 h 45 min, and
    where the day is shorter the stop is named."""
    roads = line(0, 150)
    stop = Stop(1, 5_000, 60)
    day = routed([stop], [Tanker(0, 15_000)], roads, rules=Rules())
    assert day.hours == pytest.approx(6.75)
    assert wrong(day, [stop], [Tanker(0, 15_000)], roads, breaks=True) == []
    short = Tanker(0, 15_000, starts_h=6.0, ends_h=12.5)
    assert routed([stop], [short], roads).not_served == ()
    assert reasons(routed([stop], [short], roads, rules=Rules())) == (
        (0, "out and back takes longer than any tanker's day"),
    )


def test_ruled_days_have_a_timetable_without_faults() -> None:
    """Every tanker's day planned under the rules has a timetable that keeps them, with the same end."""
    stops, fleet, roads = invented_day(14, 8, tankers=2)
    rules = Rules(driving_before_break_h=1.5)
    day = routed(stops, fleet, roads, rules=rules)
    assert any(r.stops for r in day.routes)
    for t, tanker in enumerate(fleet):
        routes = [r for r in day.routes if r.tanker == t]
        if not routes:
            continue
        places, work, windows = [tanker.place], [], []
        for i, r in enumerate(routes):
            if i:
                places.append(r.from_place)
                work.append(tanker.reload_min / 60)
                windows.append(())
            places += [stops[s].place for s in r.stops]
            work += [stops[s].work_min / 60 for s in r.stops]
            windows += [stops[s].windows for s in r.stops]
        places.append(tanker.place)
        drive = [float(roads.hours[a, b]) for a, b in itertools.pairwise(places)]
        times = timetable(drive, work, windows, rules, routes[0].leave_h)
        assert times.faults == ()
        assert times.end_h == pytest.approx(routes[-1].back_h)
        assert times.break_h > 0 or sum(drive) <= 1.5


def test_a_second_window_after_lunch() -> None:
    """A customer who takes fuel at 8 and from 13 to 14 is served after lunch when the other one is at 8."""
    roads = line(0, 30, 60)
    stops = [
        Stop(1, 2_000, 240, windows=((8.0, 8.25),)),
        Stop(2, 2_000, 20, windows=((8.0, 8.25), (13.0, 14.0))),
    ]
    tanker = Tanker(0, 15_000)
    day = routed(stops, [tanker], roads)
    assert wrong(day, stops, [tanker], roads) == []
    assert day.not_served == ()
    assert day.routes[0].start_h[1] == pytest.approx(13.0)


def test_starting_from_routes_is_never_worse() -> None:
    """Routes to start from are never made worse, also with hardly any budget and where our own search made
    them; stops that are not in them are put in."""
    for seed, classes in ((1, 1), (2, 2), (5, 2)):
        stops, fleet, roads = invented_day(14, seed, tankers=3, classes=classes, chambers=(5_000,) * 3)
        good = routed(stops, fleet, roads, 400)
        again = route_day(stops, fleet, roads.km, roads.hours, seed=9, iterations=2, start_from=good)
        assert wrong(again, stops, fleet, roads) == []
        assert (len(again.not_served), again.cost) <= (len(good.not_served), good.cost + 1e-6)
        fewer = [r for r in good.routes if r.trip == 0]
        more = route_day(stops, fleet, roads.km, roads.hours, seed=9, iterations=50, start_from=fewer)
        assert wrong(more, stops, fleet, roads) == []


def test_starting_from_yesterdays_routes() -> None:
    """Routes whose depot is another tanker's, and with a customer nobody may go to, are a start."""
    stops, fleet, roads = invented_day(8, 2, tankers=2, depots=2)
    good = routed(stops, fleet, roads)
    closed = [dataclasses.replace(stops[0], tankers_allowed=frozenset()), *stops[1:]]
    turned = [dataclasses.replace(r, from_place=5) for r in good.routes]
    day = route_day(closed, fleet, roads.km, roads.hours, seed=1, iterations=20, start_from=turned)
    assert wrong(day, closed, fleet, roads) == []
    assert reasons(day) == ((0, "no tanker that is out that day may go there"),)


def test_routes_to_start_from_must_fit() -> None:
    """Routes of another day are refused in one sentence."""
    stops, fleet, roads = invented_day(6, 1)
    good = routed(stops, fleet, roads)
    with pytest.raises(ValueError, match="but there are 2 tankers and 2 stops"):
        route_day(stops[:2], fleet, roads.km, roads.hours, seed=1, iterations=5, start_from=good)
    with pytest.raises(ValueError, match="name a stop twice"):
        twice = [*good.routes, dataclasses.replace(good.routes[0], trip=2)]
        route_day(stops, fleet, roads.km, roads.hours, seed=1, iterations=5, start_from=twice)


def test_progress_and_a_budget_in_seconds() -> None:
    """Progress rises to 1; a budget in seconds gives a feasible plan, too."""
    stops, fleet, roads = invented_day(8, 4, classes=2, chambers=(5_000,) * 3)
    told: list[float] = []
    day = route_day(stops, fleet, roads.km, roads.hours, seed=1, seconds=0.3, progress=told.append)
    assert wrong(day, stops, fleet, roads) == []
    assert told == sorted(told) and told[-1] == 1.0


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"kg": 0}, "0 kg cannot be"),
        ({"kg": 12.5}, "whole kilograms"),
        ({"work_min": -1}, "minutes of work"),
        ({"place": 99}, "place 99 is not in a table"),
        ({"windows": ((12.0, 8.0),)}, "stop 1: the window from 12 to 8"),
        ({"windows": ((8.0, 12.0), (11.0, 14.0))}, "stop 1: the window from 11 to 14"),
    ],
)
def test_stops_that_cannot_be(change: dict[str, object], said: str) -> None:
    """Stops that cannot be are refused with their number."""
    stops, fleet, roads = invented_day(2, 1)
    with pytest.raises(ValueError, match=said):
        routed([stops[0], dataclasses.replace(stops[1], **change)], fleet, roads)  # type: ignore[arg-type]


def test_tankers_tables_and_budgets_that_cannot_be() -> None:
    """A tanker without payload, a table with holes and two budgets at once are refused."""
    stops, fleet, roads = invented_day(2, 1)
    with pytest.raises(ValueError, match="tanker 1: payload 0 kg"):
        routed(stops, [fleet[0], dataclasses.replace(fleet[1], payload_kg=0)], roads)
    with pytest.raises(ValueError, match="0 or more"):
        route_day(stops, fleet, roads.km * np.nan, roads.hours, seed=1)
    with pytest.raises(ValueError, match="not both"):
        route_day(stops, fleet, roads.km, roads.hours, seed=1, iterations=1, seconds=1.0)

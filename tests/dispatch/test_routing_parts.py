"""The parts of the routing by themselves: chambers, the solver's model, mending, the order of a few stops."""

from __future__ import annotations

import dataclasses

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fuelplan.dispatch.roads import Roads
from fuelplan.dispatch.routing import Stop, Tanker, pack
from fuelplan.dispatch.routing.chambers import fits
from fuelplan.dispatch.routing.exact import Trip
from fuelplan.dispatch.routing.plan import TripPlan
from fuelplan.dispatch.routing.repair import bettered, repaired
from fuelplan.dispatch.routing.solver import RoutingProblem, SolverBudget, search
from fuelplan.dispatch.routing.tables import tables_of
from tests.routing_check import holds, invented_day, line, routed, wrong


@settings(max_examples=300, deadline=None)
@given(
    st.dictionaries(st.sampled_from("abc"), st.integers(1, 9_000), max_size=3),
    st.lists(st.integers(500, 6_000), min_size=1, max_size=5),
    st.integers(1_000, 20_000),
)
def test_packing_is_exact(load: dict[str, int], chambers: list[int], payload: int) -> None:
    """A load is packed exactly when trying every class in every chamber finds a way, and what is packed is
    the load."""
    found = pack(load, tuple(chambers), payload)
    assert fits(load, tuple(chambers), payload) == holds(load, tuple(chambers), payload)
    assert (found is not None) == holds(load, tuple(chambers), payload)
    if found is not None:
        assert all(kg <= most for (_, kg), most in zip(found, chambers, strict=True))
        assert {k: sum(kg for c, kg in found if c == k) for k in load} == load


def _bare(stops: list[Stop], fleet: list[Tanker], roads: Roads, trips: dict[int, list[Trip]]) -> TripPlan:
    """A plan of these trips, faults and all."""
    return TripPlan(stops, fleet, tables_of(stops, fleet, roads.km, roads.hours), None, trips)


@pytest.mark.parametrize("seed", range(6))
def test_the_solver_knows_what_it_is_said_to_know(seed: int) -> None:
    """Before any mending the solver's own routes keep access, windows, payload, trips, hours, several depots
    and one class a trip in a single chamber: the exact check finds no fault in them; and written back as the
    solver's solution they are feasible there, each stop in the window it is served in."""
    stops, fleet, roads = invented_day(
        12,
        70 + seed,
        tankers=3,
        depots=1 + seed % 2,
        classes=1 + seed % 2,
        max_trips=2,
        shut=0.6,
        windows=0.6,
    )
    stops = [dataclasses.replace(s, tankers_allowed=s.tankers_allowed or None) for s in stops]
    tables = tables_of(stops, fleet, roads.km, roads.hours)
    problem = RoutingProblem(stops, range(len(stops)), fleet, tables, must=True)
    trips, sound = search(problem, 1, SolverBudget(300, None), 1.0)
    assert sound
    plan = _bare(stops, fleet, roads, {t: list(v) for t, v in trips.items()})
    assert [d.faults for d in plan.days() if d.faults] == []
    assert plan.served() == set(range(12))
    assert problem.solution(plan).is_feasible()


def test_the_solver_leaves_out_as_few_promises_as_it_can() -> None:
    """Where not every promise can be kept, the solver's second try leaves out as few as it can, though a
    stop is worth nothing by itself."""
    roads = line(0, *([30] * 6))
    stops = [Stop(i + 1, 2_000, 170) for i in range(6)]
    tanker = Tanker(0, 15_000, starts_h=6.0, ends_h=16.0, max_trips=1)
    tables = tables_of(stops, [tanker], roads.km, roads.hours)
    trips, sound = search(
        RoutingProblem(stops, range(6), [tanker], tables, must=False), 1, SolverBudget(200, None), 1.0
    )
    assert sound
    assert sum(len(n) for _, n in trips[0]) == 3


@pytest.mark.parametrize(("drops", "sound"), [(2, True), (3, False)])
def test_the_solver_makes_no_more_trips_than_are_allowed(drops: int, sound: bool) -> None:
    """Drops of 7 t with a tanker of 10 t and two trips a day: two can be kept, three cannot, says the solver;
    the day's routes serve two of three."""
    roads = line(0, 10, 10, 10)
    stops = [Stop(i + 1, 7_000, 20) for i in range(drops)]
    tanker = Tanker(0, 10_000, max_trips=2)
    tables = tables_of(stops, [tanker], roads.km, roads.hours)
    found = search(
        RoutingProblem(stops, range(drops), [tanker], tables, must=True), 1, SolverBudget(200, None), 1.0
    )
    assert found[1] == sound
    assert [len(r.stops) for r in routed(stops, [tanker], roads).routes] == [1, 1]


def test_whole_seconds_are_never_too_few() -> None:
    """The solver's whole seconds are at least the driving time and less than a second more, so that what it
    finds in time is in time."""
    stops, fleet, roads = invented_day(12, 3)
    tables = tables_of(stops, fleet, roads.km, roads.hours)
    seconds = roads.hours[np.ix_(tables.rows, tables.rows)].astype(float) * 3600
    assert (tables.seconds >= seconds - 1e-5).all()
    assert (tables.seconds < seconds + 1).all()


def test_the_day_is_bettered_where_the_solver_was_broken() -> None:
    """On a day of two classes in chambers the routes cost less than the solver's routes merely mended."""
    stops, fleet, roads = invented_day(16, 52, tankers=3, classes=2, chambers=(3_000,) * 5)
    tables = tables_of(stops, fleet, roads.km, roads.hours)
    trips, _ = search(
        RoutingProblem(stops, range(16), fleet, tables, must=True), 1, SolverBudget(200, None), 1.0
    )
    broken = _bare(stops, fleet, roads, {t: list(v) for t, v in trips.items()})
    assert not broken.sound()
    mended = repaired(broken, range(16))
    day = routed(stops, fleet, roads, 200)
    assert wrong(day, stops, fleet, roads) == []
    assert len(day.not_served) <= 16 - len(mended.served())
    assert day.cost < sum(d.cost for d in mended.days()) - 1.0


def test_mending_puts_in_elsewhere_what_it_takes_out() -> None:
    """A trip with more classes than chambers is cut in two without losing a stop."""
    roads = line(0, 10, 11, 12, 13)
    stops = [Stop(i + 1, 3_000, 20, grade="ab"[i % 2]) for i in range(4)]
    fleet = [Tanker(0, 15_000)]
    plan = _bare(stops, fleet, roads, {0: [(0, (0, 1, 2, 3))]})
    assert not plan.sound()
    mended = repaired(plan, range(4))
    assert mended.sound()
    assert mended.served() == {0, 1, 2, 3}
    assert plan.day(0).trips == ((0, (0, 1, 2, 3)),)


def test_taking_out_and_putting_in_makes_better() -> None:
    """From a bad order of two classes in chambers our own search finds a plan that costs a tenth less."""
    stops, fleet, roads = invented_day(12, 5, tankers=3, classes=2, chambers=(5_000,) * 3, windows=0.0)
    bad = _bare(stops, fleet, roads, {})
    for i in range(12):
        t = i % 3
        bad.put(bad.tried(t, (*bad.day(t).trips, (0, (i,)))))
    start = repaired(bad, range(12))
    better = bettered(start, range(12), 1, lambda: 0.0, 150)
    assert better.sound()
    assert better.served() >= start.served()
    assert sum(d.cost for d in better.days()) < 0.9 * sum(d.cost for d in start.days())

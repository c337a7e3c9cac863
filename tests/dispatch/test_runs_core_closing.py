"""A trip of the best plan closed for a while: what is closed, in which turn, and what that gains."""

from dataclasses import replace

import numpy as np
import pytest

from fuelplan.dispatch.run_plan import DEFAULT_HABITS, Budget, search
from fuelplan.dispatch.run_plan.chain import Chain
from fuelplan.dispatch.run_plan.closing import Closing
from fuelplan.dispatch.run_plan.moves import anneal
from fuelplan.dispatch.run_plan.state import copy_state
from tests.benchmarks.inventory_routing.instance import Instance, problem_of
from tests.runs_core import random_problem, recount


def routes_in(chain, s):
    """Return the routes of a state as (customer, steps)."""
    slots = chain.p.slot_type.size
    return [
        [(int(i), int(s.steps[i, r // slots])) for i in s.seq[r, : s.length[r]]] for r in range(s.length.size)
    ]


@pytest.fixture
def planned():
    """A chain with a plan of which nothing must be on a certain day."""
    problem = random_problem(np.random.default_rng(3), n=14)._replace(must=np.zeros((14, 4), bool))
    chain = Chain(problem, seed=2)
    chain.run(Budget(moves=300))
    return problem, chain


@pytest.mark.parametrize("seed", range(4))
def test_the_trip_and_the_empty_ones_of_its_day_are_closed_and_its_customers_wait(planned, seed):
    """Nothing else changes: the other trips may serve whom they might, and all sums follow."""
    problem, chain = planned
    before = routes_in(chain, chain.best)
    s = copy_state(chain.best)
    less = Closing(chain.p, seed=seed).close(s)
    shut = [r for r in range(len(before)) if not less.may[:, r].any() and chain.p.may[:, r].any()]
    closed = [r for r in shut if before[r]]
    assert len(closed) == 1
    day = closed[0] // problem.slots
    trips = range(day * problem.slots, (day + 1) * problem.slots)
    assert set(shut) == {r for r in trips if r in closed or not before[r]}
    still = [r for r in range(len(before)) if r not in shut]
    assert (less.may[:, still] == chain.p.may[:, still]).all()

    waiting = {i for i, _ in before[closed[0]]}
    after = routes_in(chain, s)
    assert after == [[stop for stop in route if stop[0] not in waiting] for route in before]
    counted = recount(problem, after, unable=tuple(waiting))
    for name in ("load_kg", "day_h", "taken_kg"):
        assert getattr(s, name) == pytest.approx(counted[name], abs=1e-6)


def test_every_day_has_its_turn_before_one_comes_again(planned):
    """The same plan closed again and again: as many different days as it drives on, then anew."""
    problem, chain = planned
    days = {r // problem.slots for r, route in enumerate(routes_in(chain, chain.best)) if route}
    closing, turns = Closing(chain.p, seed=1), []
    for _ in range(2 * len(days)):
        less = closing.close(copy_state(chain.best))
        turns.append(int(np.flatnonzero((less.may != chain.p.may).any(axis=0))[0]) // problem.slots)
    assert len(days) > 1
    assert set(turns[: len(days)]) == set(turns[len(days) :]) == days


def test_a_trip_that_a_day_must_have_stays_open(planned):
    """Published and pinned stops are such; where there is nothing else, nothing is closed."""
    _, chain = planned
    must = np.ones_like(chain.p.must)
    kept = Closing(chain.p._replace(must=must), seed=1)
    s = copy_state(chain.best)
    assert kept.close(s) is None
    assert routes_in(chain, s) == routes_in(chain, chain.best)


def packed_full(seed, n=40, days=6, vehicles=2):
    """Return an instance whose tankers must go out nearly full each time."""
    rng = np.random.default_rng(seed)
    use = rng.integers(20, 90, n).astype(float)
    most = use * rng.choice([2, 3], n)
    stock = np.minimum(most, use * rng.integers(1, 3, n))
    needed = float(np.maximum(0, use * days - stock).sum())
    return Instance(
        "packed full", days, float(np.ceil(needed / days * 1.03)), vehicles, (50.0, 50.0), 9e4, 9e4, 0.0,
        [str(i + 1) for i in range(n)], rng.integers(0, 400, (n, 2)).astype(float), stock, most, np.zeros(n),
        use, np.full(n, 0.02),
    )  # fmt: skip


def test_closing_finds_a_plan_that_drives_on_other_days():
    """With the same moves: the cheaper plan has its trips on other days than the one that single moves end
    in.
    """
    problem, _ = problem_of(packed_full(0))
    days, costs = [], []
    for patience in (np.inf, 150):
        plan = search(
            problem, Budget(moves=40_000), seed=1, habits=replace(DEFAULT_HABITS, patience=patience)
        )
        assert plan.broken < 1e-9
        driven = [len(route) > 0 for route in plan.routes]
        days.append([sum(driven[2 * t : 2 * t + 2]) for t in range(6)])
        costs.append(plan.cost)
    assert days[1] != days[0]
    assert costs[1] < 0.99 * costs[0]


def test_a_short_search_closes_nothing(monkeypatch):
    """Fewer moves than a cycle is worth having for, or a plan to begin with: no trip is closed."""
    problem, _ = problem_of(packed_full(1, n=12))
    closed = []
    monkeypatch.setattr(Closing, "close", lambda self, s: closed.append(1))
    short = search(problem, Budget(moves=2_000), seed=1)
    eager = replace(DEFAULT_HABITS, patience=10)
    search(problem, Budget(moves=2_000), seed=1, start=short, habits=eager)
    assert closed == []
    search(problem, Budget(moves=2_000), seed=1, habits=eager)
    assert len(closed) == 7  # two of three cycles, of which there are 1,300 / (10 · 12) = 10


@pytest.mark.parametrize(("customers", "much"), [(12, True), (13, False)])
def test_few_customers_are_looked_at_with_more_chance_in_every_third_cycle(monkeypatch, customers, much):
    """Their plans are soon all alike: overlooking half of the places is what leads on."""
    blinks = []

    def noted(*given):
        blinks.append(given[12])
        anneal(*given)

    monkeypatch.setattr("fuelplan.dispatch.run_plan.chain.anneal", noted)
    problem, _ = problem_of(packed_full(1, n=customers))
    search(problem, Budget(moves=2_000), seed=1, habits=replace(DEFAULT_HABITS, patience=20))
    usual = DEFAULT_HABITS.blink
    assert blinks[0] == blinks[-1] == usual
    assert set(blinks) == ({usual, 0.5} if much else {usual})
    assert sum(blink == 0.5 for blink in blinks) < len(blinks) / 3

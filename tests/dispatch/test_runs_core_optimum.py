"""The whole search on small problems made here: optima of a mixed-integer programme, plans to drive."""

from itertools import combinations, permutations

import numpy as np
import pytest
from scipy.optimize import Bounds, LinearConstraint, milp

from fuelplan.dispatch.run_plan import Budget, ProblemError, Solution, search
from fuelplan.dispatch.run_plan.amounts import Amounts, rates
from fuelplan.dispatch.run_plan.chain import Chain
from tests.benchmarks.inventory_routing.__main__ import plan_of
from tests.benchmarks.inventory_routing.evaluator import evaluate
from tests.benchmarks.inventory_routing.instance import problem_of, read
from tests.runs_core import random_problem, recount, routes_of

KINDS = ("plain", "decimals", "reserve", "depot", "tight", "same place", "one", "one tanker")


def write(path, kind, seed):
    """Write an instance of one kind and return its numbers: (head, depot, customers)."""
    rng = np.random.default_rng(seed)
    n, days, vehicles = (1 if kind == "one" else 4), 3, (1 if kind == "one tanker" else 2)
    use = rng.integers(5, 15, n).astype(float)
    if kind == "decimals":
        use += rng.integers(1, 100, n) / 100
    most = use * rng.integers(2, 4, n)
    least = np.floor(use / 3) if kind == "reserve" else np.zeros(n)
    most += least
    stock = np.minimum(most, use * rng.integers(1, 3, n) + least)
    xy = rng.integers(0, 100, (n, 2)).astype(float)
    depot_xy = xy[0] if kind == "same place" else rng.integers(0, 100, 2).astype(float)
    capacity = float(np.ceil(use.sum() * 1.5 / vehicles + use.max() / 2))
    stock0, made = 3 * use.sum(), use.sum()
    if kind == "depot":  # less is made than used, and little lies there
        stock0, made = use.sum() * 0.5, use.sum() * 0.75
        stock = np.minimum(most, use * 2)
    if kind == "tight":  # two and two, nothing else
        use = np.array([10.0, 9.0, 8.0, 9.0])
        stock, most, capacity, stock0, made = use.copy(), use.copy(), 18.0, 300.0, 40.0
    holding = np.round(rng.uniform(0.01, 0.5, n), 2)
    depot = (*depot_xy, float(np.ceil(stock0)), float(np.ceil(made)), 0.3)
    rows = list(zip(*xy.T, stock, most, least, use, holding, strict=True))
    lines = [f"{n + 1} {days} {capacity} {vehicles}", "0 " + " ".join(map(str, depot))]
    lines += [f"{i + 1} " + " ".join(str(round(float(v), 4)) for v in row) for i, row in enumerate(rows)]
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")
    return (days, capacity, vehicles), depot, np.round(np.array(rows, float), 4)


def optimum(head, depot, rows, unit):
    """Return the least cost by a programme with a 0–1 number for each group of customers and day, or None.

    A visit brings at least `unit`: to drive past somebody for nothing is no visit (rounded ways can make
    that shorter).
    """
    (days, capacity, vehicles), n = head, len(rows)
    groups = [g for size in range(1, n + 1) for g in combinations(range(n), size)]

    def way(a, b):
        return np.floor(np.hypot(a[0] - b[0], a[1] - b[1]) + 0.5)

    def tour(group):
        home, stops = depot[:2], [rows[i][:2] for i in group]
        return min(
            sum(way(a, b) for a, b in zip([home, *order], [*order, home], strict=True))
            for order in permutations(stops)
        )

    drives = [(g, t) for t in range(days) for g in groups]
    gifts = [(k, i) for k, (g, _) in enumerate(drives) for i in g]
    size = len(drives) + len(gifts)
    cost = np.zeros(size)
    matrix, low, high = [], [], []

    def row(entries, lower, upper):
        line = np.zeros(size)
        for column, value in entries:
            line[column] += value
        matrix.append(line), low.append(lower), high.append(upper)

    fixed = sum(depot[4] * (depot[2] + depot[3] * (t + 1)) for t in range(days))
    fixed += sum(r[6] * (r[2] - r[5] * (t + 1)) for r in rows for t in range(days))
    given = {(i, t): [] for i in range(n) for t in range(days)}
    for k, (g, t) in enumerate(drives):
        cost[k] = tour(g)
        mine = [len(drives) + c for c, (q, _) in enumerate(gifts) if q == k]
        row([(c, 1.0) for c in mine] + [(k, -capacity)], -np.inf, 0)
        for c in mine:
            i = gifts[c - len(drives)][1]
            given[i, t].append(c)
            row([(c, 1.0), (k, -rows[i][3])], -np.inf, 0)
            row([(c, 1.0), (k, -unit)], 0, np.inf)
            cost[c] = (rows[i][6] - depot[4]) * (days - t)
    for t in range(days):
        row([(k, 1.0) for k, (_, day) in enumerate(drives) if day == t], 0, vehicles)
        all_given = [(c, 1.0) for i in range(n) for s in range(t + 1) for c in given[i, s]]
        row(all_given, -np.inf, depot[2] + depot[3] * t)
        for i, r in enumerate(rows):
            row([(k, 1.0) for k, (g, day) in enumerate(drives) if day == t and i in g], 0, 1)
            mine = [(c, 1.0) for s in range(t + 1) for c in given[i, s]]
            row(mine, r[4] - r[2] + r[5] * (t + 1), r[3] - r[2] + r[5] * t)
    whole = np.concatenate([np.ones(len(drives)), np.zeros(len(gifts))])
    upper = np.concatenate([np.ones(len(drives)), np.full(len(gifts), np.inf)])
    found = milp(
        cost,
        constraints=LinearConstraint(np.array(matrix), low, high),
        integrality=whole,
        bounds=Bounds(0, upper),
    )
    return found.fun + fixed if found.success else None


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("seed", [0, 2])
def test_small_instances_reach_the_optimum(tmp_path, kind, seed):
    """Decimals, reserves, a poor depot, one way to pack, one customer, one tanker: the better of two chains
    is optimal, as the benchmark counts.
    """
    path = tmp_path / "case.dat"
    best = optimum(*write(path, kind, seed), unit=0.01 if kind == "decimals" else 1.0)
    assert best is not None
    problem, fixed = problem_of(read(path))
    chains = [search(problem, Budget(moves=3000), seed=seed + k) for k in range(2)]
    found = min(chains, key=lambda chain: (chain.broken > 1e-9, chain.cost))
    assert found.broken < 1e-9
    cost, wrong = evaluate(path, plan_of(path, found))
    assert wrong == []
    assert cost == pytest.approx(found.cost + fixed, abs=1e-4)
    assert cost == pytest.approx(best, abs=1e-4)


def test_same_seed_same_plan_and_a_start_is_taken_over(tmp_path):
    """Moves and seed fix the plan; a plan to begin with is where the search begins, and it is never made
    worse."""
    problem = random_problem(np.random.default_rng(5), n=16)
    one, two = (search(problem, Budget(moves=600), seed=3) for _ in range(2))
    assert one == two
    assert search(problem, Budget(moves=600), seed=4).routes != one.routes
    again = search(problem, Budget(moves=0), seed=9, start=one)
    for begun, route in zip(routes_of(problem, one), routes_of(problem, again), strict=True):
        assert set(begun) <= set(route)  # and those nobody came to may have got a visit
    assert again.cost <= one.cost + 1e-9


def test_plans_of_the_full_problem_may_be_driven():
    """Depots, chambers, hours and snow: what the search calls sound is sound when it is counted again."""
    sound = 0
    for seed in range(6):
        problem = random_problem(np.random.default_rng(40 + seed), n=6)
        problem = problem._replace(must=np.zeros_like(problem.must), day_h=problem.day_h + 3)
        found = search(problem, Budget(moves=1000), seed=seed)
        if found.broken < 1e-6:
            sums = recount(problem, routes_of(problem, found))
            assert sums["over"] + sums["late"] + sums["dry"] < 1e-6
            assert sums["cost"] == pytest.approx(found.cost, abs=1e-6)
            sound += 1
    assert sound >= 4


@pytest.mark.parametrize("kind", ["plain", "depot", "reserve"])
def test_amounts_are_the_best_for_their_visits(tmp_path, kind):
    """The linear programme costs no more than what the search gave, breaks nothing, and no step elsewhere
    gains."""
    path = tmp_path / "case.dat"
    write(path, kind, 7)
    problem, _ = problem_of(read(path))
    chain = Chain(problem, 1)
    chain.amounts = None  # the amounts of the dynamic programme alone
    chain.run(Budget(moves=100))
    plan, rate = chain.best, rates(chain.p)
    assert np.isfinite(chain.found[0]) and rate is not None
    steps = Amounts(chain.p, rate).solve(plan.at)
    assert steps is not None
    before = search_sums(problem, plan, plan.steps)
    after = search_sums(problem, plan, steps)
    assert after["over"] + after["late"] + after["dry"] < 1e-9
    assert after["cost"] <= before["cost"] + 1e-9
    for i, t in np.argwhere(plan.at >= 0):  # moving any step to another visit gains nothing
        for other in np.flatnonzero((plan.at[i] >= 0) & (np.arange(problem.days) != t)):
            trial = steps.copy()
            trial[i, t] -= 1
            trial[i, other] += 1
            assert not better(problem, plan, trial, after["cost"])
        for change in (-1, 1):
            trial = steps.copy()
            trial[i, t] += change
            assert not better(problem, plan, trial, after["cost"])


def search_sums(problem, s, steps):
    slots = problem.slots
    return recount(
        problem,
        [
            [(int(i), int(steps[i, r // slots])) for i in s.seq[r, : s.length[r]]]
            for r in range(s.length.size)
        ],
    )


def better(problem, s, steps, cost):
    """Whether other amounts may be driven and cost less."""
    if ((steps < 1) & (s.at >= 0)).any():
        return False
    try:
        sums = search_sums(problem, s, steps)
    except AssertionError:
        return False
    return sums["over"] + sums["dry"] < 1e-9 and sums["cost"] < cost - 1e-9


def test_nothing_to_plan():
    """A round without customers or tankers has an empty plan."""
    problem = random_problem(np.random.default_rng(0), tankers=1, trips=1)
    nobody = problem._replace(
        **{
            name: getattr(problem, name)[:0]
            for name in (
                "step_kg",
                "start",
                "top",
                "use",
                "fit",
                "least",
                "level_at",
                "give_cost",
                "may",
                "stop_cost",
            )
        },
        **{name: getattr(problem, name)[:0] for name in ("must", "grade", "stop_h", "kg_h", "level_cost")},
        drive_cost=problem.drive_cost[:, -2:, -2:],
        drive_h=problem.drive_h[-2:, -2:],
    )
    assert search(nobody, Budget(moves=5), seed=1) == Solution(((),) * problem.days, 0.0, 0.0, 0)


@pytest.mark.parametrize(
    ("name", "array", "told"),
    [
        ("fit", np.zeros((1, 1), np.int64), "fit must have the shape"),
        ("must", np.zeros((1, 1), bool), "must must have the shape"),
        ("start", np.full(1, 10**6), "start must lie between 0 and top"),
    ],
)
def test_arrays_that_do_not_fit_together_are_refused(name, array, told):
    """A table with a column missing, a store fuller than full: nothing is searched."""
    problem = random_problem(np.random.default_rng(0), tankers=1, trips=1)
    with pytest.raises(ProblemError, match=told):
        search(problem._replace(**{name: array}), Budget(moves=5), seed=1)

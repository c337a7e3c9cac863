"""One customer's best visits over the whole horizon against every pattern there is."""

from itertools import product

import numpy as np
import pytest

from fuelplan.dispatch.run_plan import NEVER, Solution, Visit
from fuelplan.dispatch.run_plan.chain import Chain
from fuelplan.dispatch.run_plan.state import UNSERVED
from tests.runs_core import random_problem, recount


def priced(problem, pen, routes):
    """Return what the search is to pay for a plan that may be overloaded or late."""
    sums = recount(problem, routes)
    return sums["cost"] + pen[0] * sums["over"] + pen[1] * sums["late"]


def every_pattern(problem, others, i):
    """Yield the routes with each pattern of one customer: no visit or a drop on any route and place, day by
    day."""
    slots, top = problem.slots, int(problem.top[i])
    days = []
    for t in range(problem.days):
        choices = [] if problem.must[i, t] else [None]
        for r in range(t * slots, (t + 1) * slots):
            if problem.may[i, r]:
                choices += [
                    (r, pos, d)
                    for pos in range(len(others[r]) + 1)
                    for d in range(int(problem.least[i]), top + 1)
                ]
        days.append(choices)
    for pattern in product(*days):
        level, fine = int(problem.start[i]), True
        for t, choice in enumerate(pattern):
            level += choice[2] if choice else 0
            fine &= choice is None or level <= problem.fit[i, t]
            level -= int(problem.use[i, t])
            fine &= 0 <= level <= top
        if fine:
            routes = [list(route) for route in others]
            for choice in filter(None, pattern):
                routes[choice[0]].insert(choice[1], (i, choice[2]))
            yield routes


@pytest.mark.parametrize("seed", range(24))
def test_best_pattern_is_the_best_of_all(seed):
    """Two routes a day, chambers, snow, hours, overload at a price, least drops, promises, what comes
    by itself: nothing beats the pattern."""
    rng = np.random.default_rng(seed)
    problem = random_problem(
        rng, n=4, days=3, depots=1, classes=1 + seed % 2, tankers=1 + seed % 2, trips=2 - seed % 2
    )
    problem = problem._replace(
        step_kg=np.full(4, 500.0),
        kg_h=np.zeros(4),
        supply_kg=np.full(problem.supply_kg.shape, NEVER),
        chambers_kg=problem.chambers_kg[:, : 1 + seed % 3] / 2,
        day_h=problem.day_h / 3,
        give_cost=problem.give_cost - (4.0 if seed % 4 == 0 else 0.0),  # worth filling beyond what is needed
    )
    for name, value in (
        ("use", 0),
        ("start", 0),
        ("top", 9),
        ("fit", 9),
        ("least", 1),
        ("may", True),
        ("give_cost", 99.0),
    ):
        getattr(problem, name)[:3] = value  # the others take whatever they are given, and nothing unasked
    sizes = (problem.top + 1) * problem.days
    problem = problem._replace(
        must=problem.must & (np.arange(4) == 3)[:, None],
        level_at=np.concatenate([[0], np.cumsum(sizes)[:-1]]),
        level_cost=np.concatenate([np.zeros(sizes[:3].sum()), rng.choice([0.5, 1.0, 3.0, 400.0], sizes[3])]),
    )
    if seed % 3 == 0:  # a published run brings something on one of the days, and must find room for it
        problem.use[3, seed // 3 % 3] = -int(rng.integers(2, 6))
    others = [[] for _ in range(problem.days * problem.slots)]
    for i, t in product(range(3), range(problem.days)):
        r = t * problem.slots + int(rng.integers(problem.slots))
        if not others[r] and rng.random() < 0.7:  # one stop on a route, so that its order is no matter
            others[r].append((i, int(rng.integers(1, 4))))
    start = Solution(tuple(tuple(Visit(i, 500.0 * d) for i, d in route) for route in others), 0.0, 0.0, 0)
    chain = Chain(problem, seed, start=start)
    s, slots = chain.s, problem.slots
    found = [
        [(int(i), int(s.steps[i, r // slots])) for i in s.seq[r, : s.length[r]]] for r in range(s.length.size)
    ]
    assert [[stop for stop in route if stop[0] != 3] for route in found] == others
    values = [priced(problem, chain.pen, routes) for routes in every_pattern(problem, others, 3)]
    if values:
        assert priced(problem, chain.pen, found) == pytest.approx(min(values), abs=1e-7)
    else:
        assert s.level_cost[3] == UNSERVED

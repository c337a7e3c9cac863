"""The plan in the making: its running sums, undoing a move, and shorter orders of stops."""

import numpy as np
import pytest

from fuelplan.dispatch.run_plan.chain import Chain
from fuelplan.dispatch.run_plan.state import UNSERVED, copy_state, totals
from fuelplan.dispatch.run_plan.tours import tidy
from tests.runs_core import random_problem, recount


def routes(s, slots):
    return [
        [(int(i), int(s.steps[i, r // slots])) for i in s.seq[r, : s.length[r]]] for r in range(s.length.size)
    ]


@pytest.mark.parametrize("seed", range(8))
def test_running_sums_are_the_sums(seed):
    """After thousands of moves with depots, chambers, hours, snow: every running sum is what its routes add
    up to."""
    problem = random_problem(np.random.default_rng(seed))
    chain = Chain(problem, seed)
    chain.pen[:3] *= 0.01  # broken plans are passed through, too
    for heat in (5.0, 0.5):
        chain._anneal(700, heat * chain.scale)
        chain.moves += 700
    s = chain.s
    served = {(i, r // problem.slots) for r, route in enumerate(routes(s, problem.slots)) for i, _ in route}
    assert served == {(int(i), int(t)) for i, t in np.argwhere(s.at >= 0)}
    assert all(
        s.at[i, r // problem.slots] == r for r in range(s.length.size) for i in s.seq[r, : s.length[r]]
    )
    unable = tuple(np.flatnonzero(s.level_cost == UNSERVED))
    assert len(unable) <= 1
    again = recount(problem, routes(s, problem.slots), unable)
    again["level_cost"][list(unable)] = UNSERVED
    again["cost"] += len(unable) * UNSERVED
    for name in ("drive_cost", "drive_h", "stop_h", "load_kg", "day_h", "taken_kg", "level_cost"):
        np.testing.assert_allclose(getattr(s, name), again[name], atol=1e-7, err_msg=name)
    np.testing.assert_allclose(
        totals(chain.p, s), [again[k] for k in ("cost", "over", "late", "dry")], atol=1e-6
    )


@pytest.mark.parametrize("seed", range(4))
def test_undo_restores_exactly(seed):
    """A move that is not kept leaves no trace, to the last bit."""
    chain = Chain(random_problem(np.random.default_rng(100 + seed)), seed)
    before = copy_state(chain.s)
    chain._anneal(500, -1e30)  # so cold that nothing is taken
    assert chain.found[1] == 0
    for name, now, then in zip(before._fields, chain.s, before, strict=True):
        if name == "seq":
            for r in range(now.shape[0]):
                np.testing.assert_array_equal(now[r, : before.length[r]], then[r, : before.length[r]])
        else:
            np.testing.assert_array_equal(now, then, err_msg=name)
    chain._anneal(500, chain.scale)
    assert (chain.s.at != before.at).any()  # the same moves do change the plan where they are taken


@pytest.mark.parametrize("seed", range(6))
def test_tidy_shortens_and_keeps_the_stops(seed):
    """A shuffled route comes out no longer, with the same stops, and its sums follow."""
    rng = np.random.default_rng(200 + seed)
    problem = random_problem(rng, n=12, tankers=1, trips=1, hours=False)
    chain = Chain(problem, seed)
    s, p = chain.s, chain.p
    shorter = 0
    for r in range(s.length.size):
        s.seq[r, : s.length[r]] = rng.permutation(s.seq[r, : s.length[r]])
    unable = tuple(np.flatnonzero(s.level_cost == UNSERVED))
    sums = recount(problem, routes(s, problem.slots), unable)
    for name in ("drive_cost", "drive_h", "stop_h", "day_h"):
        getattr(s, name)[:] = sums[name]
    for r in range(s.length.size):
        who, was = sorted(s.seq[r, : s.length[r]]), s.drive_cost[r]
        tidy(p, s, r)
        assert sorted(s.seq[r, : s.length[r]]) == who
        assert s.drive_cost[r] <= was + 1e-9
        shorter += s.drive_cost[r] < was - 1e-9
    again = recount(problem, routes(s, problem.slots), unable)
    for name in ("drive_cost", "drive_h", "day_h"):
        np.testing.assert_allclose(getattr(s, name), again[name], atol=1e-9, err_msg=name)
    assert shorter > 0

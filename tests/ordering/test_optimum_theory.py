"""The programme in special cases: the published examples within one grid step and 0.1 % of cost."""

from __future__ import annotations

from dataclasses import replace
from statistics import NormalDist

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fuelplan.ordering.programme import (
    WAIT,
    Charges,
    Grid,
    Ordering,
    Programme,
    ProgrammeError,
    Waiting,
    solve,
)
from tests.ordering import theory as classic

MONTHS = (69, 29, 36, 61, 61, 26, 34, 67, 45, 67, 79, 56)
MONTHS_FIXED = (85, 102, 102, 101, 98, 114, 105, 86, 119, 110, 98, 114)


def programme(
    demand: np.ndarray,
    order_cost: np.ndarray,
    holding: np.ndarray,
    *,
    step: float,
    lowest: float = 0.0,
    top: float,
    unmet: float = 1e6,
    weight: np.ndarray | None = None,
    on_end: bool = True,
    backorders: bool = False,
    level_cost: np.ndarray | None = None,
) -> Programme:
    """A programme without lead time: amounts on the grid, an order is there before the period's demand.

    demand (T, K), order_cost (T, M) for the amounts step, 2·step …, holding (T,).
    """
    periods, cases = demand.shape
    nothing = np.zeros((1, periods, cases))
    grid = Grid(np.array([lowest]), np.array([step]), round((top - lowest) / step) + 1)
    amounts = step * np.arange(1, order_cost.shape[1] + 1)
    return Programme(
        grid,
        Waiting(demand[None], weight),
        Ordering(
            amounts[None],
            order_cost[None],
            nothing,
            demand[None],
            np.ones((1, periods, cases), dtype=np.int64),
            nothing,
            weight,
            level_cost=level_cost,
        ),
        Charges(holding[None], np.full((1, periods), unmet), np.zeros((1, periods)), on_end, backorders),
        terminal=np.zeros((1, grid.n)),
    )


def lots(p: Programme) -> list[float]:
    """Amounts ordered from an empty store on, for a demand that is known."""
    table = solve(p)
    level, found = 0.0, []
    for t in range(table.action.shape[1]):
        at = round((level - p.grid.low[0]) / p.grid.step[0])
        action = int(table.action[0, t, at])
        amount = 0.0 if action == WAIT else float(p.ordering.amounts[0, action])
        found.append(amount)
        level += amount - float(p.waiting.demand[0, t, 0])
    return found


@pytest.mark.parametrize(
    ("demand", "fixed", "holding", "price", "step", "cost", "amounts"),
    [
        # Snyder & Shen, example 3.9
        ((90, 120, 80, 70), 500, 2, 0, 10, 1380, (210, 0, 150, 0)),
        # Snyder & Shen, problem 3.27
        ((150, 100, 80, 200), 120, 0.8, 0, 10, 424, (150, 180, 0, 200)),
        # stockpyl instance with a price that varies, recomputed
        ((400, 500, 500, 1100, 900), 100, 0.1, (3, 1, 4, 6, 6), 100, 4940, (400, 3000, 0, 0, 0)),
        # Wagner & Whitin 1958, twelve months (data from memory)
        (MONTHS, MONTHS_FIXED, 1, 0, 1, 864, (98, 0, 97, 0, 121, 0, 0, 112, 0, 67, 135, 0)),
    ],
)
def test_known_demand_is_wagner_whitin(
    demand: tuple[int, ...],
    fixed: float | tuple[int, ...],
    holding: float,
    price: float | tuple[int, ...],
    step: float,
    cost: float,
    amounts: tuple[int, ...],
) -> None:
    """Wagner–Whitin: Snyder & Shen ex. 3.9, problem 3.27; a stockpyl instance; the 1958 paper's months."""
    d = np.array(demand, dtype=float)
    n = len(d)
    q = np.arange(step, d.sum() + step / 2, step)
    k, c = np.broadcast_to(fixed, n).astype(float), np.broadcast_to(price, n).astype(float)
    p = programme(
        d[:, None], k[:, None] + c[:, None] * q, np.full(n, float(holding)), step=step, top=float(d.sum())
    )
    assert solve(p).value[0, 0, 0] == pytest.approx(cost, rel=1e-3)
    np.testing.assert_allclose(lots(p), amounts, atol=step)


def best_cycle(
    order_cost: np.ndarray, holding: float, demand: float, step: float, level_cost: np.ndarray | None = None
) -> tuple[float, float]:
    """Lot and yearly cost of the cheapest steady cycle: least mean cost from empty to empty.

    One period is the time in which one grid step is burned, so that a horizon of n periods needs n steps.
    """
    n = order_cost.shape[0]
    periods = np.arange(1, n + 1)
    year_share = step / demand
    p = programme(
        np.full((n, 1), step),
        np.broadcast_to(order_cost, (n, n)),
        np.full(n, holding * year_share),
        step=step,
        top=n * step,
        on_end=False,
        level_cost=level_cost,
    )
    from_empty = solve(p).value[0, ::-1, 0][1:]  # periods to go: 1 … n
    mean = from_empty / (periods * year_share)
    best = int(np.argmin(mean))
    return float(periods[best] * step), float(mean[best])


def test_steady_demand_is_the_economic_order_quantity() -> None:
    """Snyder & Shen, example 3.1: Q 304.0467800 within one grid step, cost 68.4105255 within 0.1 %."""
    step = 4.0
    lot, cost = best_cycle(np.full(125, 8.0), 0.225, 1300, step)
    assert abs(lot - 304.0467800) <= step
    assert cost == pytest.approx(68.4105255, rel=1e-3)


def test_steady_demand_with_price_breaks_on_all_units() -> None:
    """Snyder & Shen, example 3.5: Q 800 within one grid step, cost 978.60 within 0.1 %.

    The holding cost is a share of the price paid, so it is booked with the order: a lot q bought onto a level
    x is burned after x, q²/2D + qx/D kilogram-years later.
    """
    step, demand = 10.0, 1300.0
    q = step * np.arange(1, 101)
    price = np.select([q < 400, q < 800], [0.75, 0.72], 0.68)
    levels = step * np.arange(101)
    years = (q[:, None] ** 2 / 2 + q[:, None] * levels) / demand
    level_cost = np.broadcast_to(0.3 * price[:, None] * years, (1, 100, 100, 101))
    lot, cost = best_cycle(8 + price * q, 0.0, demand, step, level_cost)
    assert abs(lot - 800) <= step
    assert cost == pytest.approx(978.60, rel=1e-3)


def test_one_period_is_the_newsvendor() -> None:
    """Snyder & Shen, example 4.3: S 56.6039559 within one grid step, cost 1.9976052 within 0.1 %."""
    cases, step = 500, 1.0
    demand = np.array([NormalDist(50, 8).inv_cdf((i + 0.5) / cases) for i in range(cases)])
    p = programme(
        demand[None], np.zeros((1, 80)), np.array([0.18]), step=step, top=100, unmet=0.70, backorders=True
    )
    table = solve(p)
    assert abs(p.ordering.amounts[0, table.action[0, 0, 0]] - 56.6039559) <= step
    assert table.value[0, 0, 0] == pytest.approx(1.9976052, rel=1e-3)


@pytest.mark.parametrize(
    ("mean", "fixed", "penalty", "order_at", "up_to", "cost"),
    [
        (6, 5, 4, 4, 10, 8.0341116),  # Snyder & Shen, example 4.7
        (10, 64, 9, 6, 40, 35.0216),  # Zheng & Federgruen 1991 (data from memory)
    ],
)
def test_many_periods_are_two_levels(
    mean: float, fixed: float, penalty: float, order_at: int, up_to: int, cost: float
) -> None:
    """(s, S) of Snyder & Shen ex. 4.7 and Zheng & Federgruen 1991: levels within a step, cost 0.1 %."""
    most = int(mean + 6 * mean**0.5)
    share = classic.poisson_shares(mean, most)
    periods, lowest, top = 90, -60, 70
    p = programme(
        np.broadcast_to(np.arange(most + 1.0), (periods, most + 1)),
        np.full((periods, top + 20), fixed),
        np.ones(periods),
        step=1,
        lowest=lowest,
        top=top,
        unmet=penalty,
        weight=share / share.sum(),
        backorders=True,
    )
    table = solve(p)
    orders = np.flatnonzero(table.action[0, 0] != WAIT)
    reached = p.grid.levels[0, orders] + p.ordering.amounts[0, table.action[0, 0, orders]]
    near = np.flatnonzero(p.grid.levels[0, orders] > -15)
    assert abs(p.grid.levels[0, orders].max() - order_at) <= 1
    np.testing.assert_allclose(reached[near], up_to, atol=1)
    steady = (table.value[0, 0, -lowest] - table.value[0, 40, -lowest]) / 40
    assert steady == pytest.approx(cost, rel=1e-3)


def test_a_programme_whose_parts_do_not_fit_is_refused() -> None:
    """Wrong shapes and an order that stands still are refused in words."""
    good = programme(np.ones((2, 1)), np.ones((2, 3)), np.ones(2), step=1, top=3)
    with pytest.raises(ProgrammeError, match="terminal has the shape"):
        solve(replace(good, terminal=np.zeros((1, 2))))
    with pytest.raises(ProgrammeError, match="at least one period"):
        solve(replace(good, ordering=replace(good.ordering, jump=np.zeros((1, 2, 1), dtype=np.int64))))
    with pytest.raises(ProgrammeError, match="step above zero"):
        Grid(np.zeros(1), np.zeros(1), 5)


def test_waiting_is_closed_below_the_floor_and_bound_is_said() -> None:
    """Below the floor the house orders although waiting is cheaper; where nothing fits it says so."""
    p = programme(np.zeros((1, 1)), np.array([[9.0, 9.0, 9.0]]), np.zeros(1), step=1, top=5)
    free = solve(p)
    assert np.all(free.action == WAIT)
    held = solve(replace(p, wait_floor=np.array([[5.5]])))
    np.testing.assert_array_equal(held.action[0, 0] != WAIT, [True, True, True, True, True, False])
    np.testing.assert_array_equal(held.bound[0, 0], [False, False, False, False, False, True])


def test_programmes_in_one_batch_do_not_mix() -> None:
    """Two different programmes solved together give what each gives alone."""
    d = np.array([[90.0], [120.0], [80.0], [70.0]])
    q = np.arange(10.0, 365, 10)
    one = programme(d, np.full((4, 1), 500.0) + 0 * q, np.full(4, 2.0), step=10, top=360)
    two = programme(d[::-1], np.full((4, 1), 120.0) + q, np.full(4, 0.5), step=10, top=360)
    o1, o2 = one.ordering, two.ordering

    def both(a: np.ndarray, b: np.ndarray) -> np.ndarray:
        return np.concatenate([a, b])

    joint = replace(
        one,
        grid=Grid(both(one.grid.low, two.grid.low), both(one.grid.step, two.grid.step), one.grid.n),
        waiting=Waiting(both(one.waiting.demand, two.waiting.demand)),
        ordering=Ordering(
            *(
                both(getattr(o1, f), getattr(o2, f))
                for f in ("amounts", "cost", "before", "after", "jump", "arrival")
            )
        ),
        charges=replace(
            one.charges,
            **{
                f: both(getattr(one.charges, f), getattr(two.charges, f))
                for f in ("holding", "unmet", "unmet_event")
            },
        ),
        terminal=both(one.terminal, two.terminal),
    )
    together = solve(joint)
    for i, alone in enumerate((one, two)):
        table = solve(alone)
        np.testing.assert_allclose(together.value[i], table.value[0])
        np.testing.assert_array_equal(together.action[i], table.action[0])


def random_programme(seed: int) -> Programme:
    """A small programme with random demand, lead times, bills and costs."""
    rng = np.random.default_rng(seed)
    periods, cases, amounts, n = 9, 4, 3, 21
    shape = (1, periods, cases)
    jump = rng.integers(1, 4, shape)
    total = rng.uniform(0, 3, shape) * jump
    split = rng.uniform(0, 1, shape)
    per_kg = rng.uniform(0.5, 2.0, (1, periods, 1))
    q = np.array([[3.0, 6.0, 9.0]])
    return Programme(
        Grid(np.zeros(1), np.full(1, 0.5), n),
        Waiting(rng.uniform(0, 3, shape)),
        Ordering(
            q[:, :amounts],
            2.0 + per_kg * q[:, None, :],
            total * split,
            total * (1 - split),
            jump,
            jump * split,
            least_before=(total * split).min(axis=2),
        ),
        Charges(rng.uniform(0, 0.1, (1, periods)), np.full((1, periods), 4.0), np.full((1, periods), 5.0)),
        terminal=-0.5 * np.arange(n)[None] * 0.5,
        wait_floor=rng.uniform(0, 4, (1, periods)),
    )


@settings(max_examples=25, deadline=None)
@given(st.integers(0, 10_000), st.floats(0, 3))
def test_more_freedom_never_costs_more(seed: int, lower: float) -> None:
    """Without a floor nothing costs more; one more drop on offer, or cheaper bills, never cost.

    The floor is left out where drops are compared: where nothing fits the house may wait below it, and one
    more drop would then bind it.
    """
    p = random_programme(seed)
    free = solve(replace(p, wait_floor=None)).value
    bound = solve(p)
    assert np.all(free <= bound.value + 1e-9) or bound.bound.any()
    o = p.ordering
    fewer = replace(o, amounts=o.amounts[:, :2], cost=o.cost[:, :, :2])
    assert np.all(free <= solve(replace(p, wait_floor=None, ordering=fewer)).value + 1e-9)
    cheaper = replace(o, cost=o.cost - lower)
    assert np.all(solve(replace(p, wait_floor=None, ordering=cheaper)).value <= free + 1e-9)


@settings(max_examples=25, deadline=None)
@given(st.integers(0, 10_000))
def test_values_are_those_of_a_plain_loop(seed: int) -> None:
    """The whole table against the recursion written out state by state."""
    p = random_programme(seed)
    table = solve(p)
    grid, o, c = p.grid.levels[0], p.ordering, p.charges
    value = np.zeros((10, 21))
    value[9] = p.terminal[0]

    def short(x: float, t: int) -> float:
        return 4.0 * max(-x, 0.0) + (5.0 if x < 0 else 0.0)

    for t in range(8, -1, -1):
        hold = float(c.holding[0, t])
        for i, x in enumerate(grid):
            wait = 0.0
            for d in p.waiting.demand[0, t]:
                end = max(x - d, 0.0)
                wait += short(x - d, t) + hold * (x + end) / 2 + np.interp(end, grid, value[t + 1])
            best = np.inf
            for m, q in enumerate(o.amounts[0]):
                if max(x - o.least_before[0, t], 0.0) + q > grid[-1] + 1e-9:
                    continue
                cost = 0.0
                for k in range(4):
                    j, a = int(o.jump[0, t, k]), float(o.arrival[0, t, k])
                    reached = max(x - o.before[0, t, k], 0.0)
                    full = min(reached + q, grid[-1])
                    end = max(full - o.after[0, t, k], 0.0)
                    cost += short(x - o.before[0, t, k], t) + short(full - o.after[0, t, k], t)
                    cost += hold * (a * (x + reached) / 2 + (j - a) * (full + end) / 2)
                    cost += np.interp(end, grid, value[min(t + j, 9)])
                best = min(best, cost / 4 + o.cost[0, t, m])
            may_wait = x >= p.wait_floor[0, t] or not np.isfinite(best)
            value[t, i] = min(wait / 4 if may_wait else np.inf, best)
    np.testing.assert_allclose(table.value[0], value, rtol=1e-9, atol=1e-9)

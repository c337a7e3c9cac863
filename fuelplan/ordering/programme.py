"""Dynamic programme over (period, level): wait, or order an amount and jump to its arrival.

The level lies on an even grid and values between grid points on straight lines. Nothing is on order in a
state: an order's state comes again only after its arrival, so a state needs no memory. A leading axis B holds
independent programmes (sites) that are solved together.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

WAIT = -1


class ProgrammeError(ValueError):
    """A programme whose parts do not fit together."""


@dataclass(frozen=True)
class Grid:
    """Levels `low + step·i`, i = 0 … n−1, of each of B programmes.

    Attributes
    ----------
    low, step
        Shape (B,). [kg]
    n
        Number of levels.
    """

    low: Floats
    step: Floats
    n: int

    def __post_init__(self) -> None:
        """Refuse a grid without extent."""
        if self.n < 2 or np.any(self.step <= 0):
            raise ProgrammeError("a grid needs at least two levels and a step above zero")

    @cached_property
    def levels(self) -> Floats:
        """Shape (B, n). [kg]"""
        return self.low[:, None] + self.step[:, None] * np.arange(self.n)

    def place(self, level: Floats) -> tuple[Ints, Floats]:
        """Return the lower grid index and the share of the way on; levels (B, …) are held at the ends."""
        shape = (-1,) + (1,) * (level.ndim - 1)
        at = level - self.low.reshape(shape)
        at *= 1.0 / self.step.reshape(shape)
        np.clip(at, 0.0, self.n - 1.0, out=at)
        index = at.astype(np.int64)
        np.minimum(index, self.n - 2, out=index)
        at -= index
        return index, at


@dataclass(frozen=True)
class Waiting:
    """Demand of each period when nothing is ordered: K cases of equal weight unless `weight` is given.

    Attributes
    ----------
    demand
        Shape (B, T, K). [kg]
    weight
        Shape (K,), sums to 1; None for equal weights.
    """

    demand: Floats
    weight: Floats | None = None


@dataclass(frozen=True)
class Ordering:
    """What can be ordered, and what happens from the order to the first period boundary after its arrival.

    Attributes
    ----------
    amounts
        Shape (B, M), rising. [kg]
    cost
        Shape (B, T, M): whole bill. [money]
    before, after
        Shape (B, T, K): demand before the arrival, and from it to the boundary. [kg]
    jump, arrival
        Shape (B, T, K): periods to that boundary (≥ 1) and to the arrival itself.
    weight
        Shape (K,); None for equal weights.
    least_before
        Shape (B, T): demand before arrival that is as good as sure; an amount fits where
        level − least_before + amount ≤ top of the grid. None: zero. [kg]
    level_cost
        Shape (B, T, M, n): further cost that depends on the level at the order; None for none. [money]
    """

    amounts: Floats
    cost: Floats
    before: Floats
    after: Floats
    jump: Ints
    arrival: Floats
    weight: Floats | None = None
    least_before: Floats | None = None
    level_cost: Floats | None = None

    def stage(self, t: int) -> Stage:
        """Cases of an order in period t."""
        return Stage(self.before[:, t], self.after[:, t], self.jump[:, t], self.arrival[:, t])

    def bill(self, t: int) -> Floats:
        """Bills in period t, shape (B, M, 1) or (B, M, n). [money]"""
        bills = self.cost[:, t, :, None]
        return bills if self.level_cost is None else bills + self.level_cost[:, t]


@dataclass(frozen=True)
class Stage:
    """From one order to the boundary after its arrival; shapes (B, K), as in :class:`Ordering`."""

    before: Floats
    after: Floats
    jump: Ints
    arrival: Floats


@dataclass(frozen=True)
class Charges:
    """What stock and shortage cost.

    Attributes
    ----------
    holding
        Per kilogram and period. Shape (B, T). [money/kg]
    unmet
        Per kilogram of demand not met (or, with back-orders, per kilogram owed at a period's end). (B, T)
        [money/kg]
    unmet_event
        Once for every period or lead time with a shortage. Shape (B, T). [money]
    on_end
        Holding on the stock at the end of a period (as Wagner–Whitin and newsvendor do) instead of its mean.
    backorders
        Demand waits as a level below zero instead of being met by other fuel.
    """

    holding: Floats
    unmet: Floats
    unmet_event: Floats
    on_end: bool = False
    backorders: bool = False


@dataclass(frozen=True)
class Programme:
    """All parts; `terminal` (B, n) values the last level; waiting needs `wait_floor` (B, T) or more."""

    grid: Grid
    waiting: Waiting
    ordering: Ordering
    charges: Charges
    terminal: Floats
    wait_floor: Floats | None = None


@dataclass(frozen=True)
class ValueTable:
    """Solution of a programme.

    Attributes
    ----------
    grid
        The levels.
    value
        Shape (B, T+1, n): expected cost from here on under the best actions. [money]
    action
        Shape (B, T, n): :data:`WAIT` or the index of the amount to order.
    bound
        Shape (B, T, n): True where neither waiting keeps the floor nor any amount fits.
    """

    grid: Grid
    value: Floats
    action: NDArray[np.int16]
    bound: NDArray[np.bool_]

    def at(self, period: int | Ints, level: Floats) -> Floats:
        """Return the value at levels (B, …) and a period boundary: one number, or one for each level."""
        return _between(self.value, self.grid, np.asarray(period), level)


def _between(value: Floats, grid: Grid, period: NDArray[np.int64], level: Floats) -> Floats:
    """Value on straight lines between the grid points; `value` (B, T+1, n)."""
    batch, boundaries, n = value.shape
    index, share = grid.place(level)
    base = np.arange(batch).reshape((-1,) + (1,) * (level.ndim - 1)) * (boundaries * n)
    index += base + np.minimum(period, boundaries - 1) * n
    flat = value.reshape(-1)
    low = flat.take(index)
    index += 1
    out: Floats = flat.take(index)
    out -= low
    out *= share
    out += low
    return out


def solve(programme: Programme) -> ValueTable:
    """Solve backwards from the last period.

    V[t](x) = min( E[ cost of t + V[t+1](x − d) ],  min over q of c(q) + E[ cost until t+J + V[t+J](x − before
    + q − after) ] ), where waiting is open only from `wait_floor` up, and an amount only where it fits. Where
    neither is open the house waits, and `bound` says so.

    Raises :class:`ProgrammeError` on shapes that do not fit.
    """
    _check(programme)
    batch, periods, _ = programme.waiting.demand.shape
    grid = programme.grid
    value = np.empty((batch, periods + 1, grid.n))
    value[:, periods] = programme.terminal
    action = np.empty((batch, periods, grid.n), dtype=np.int16)
    bound = np.zeros((batch, periods, grid.n), dtype=bool)
    for t in range(periods - 1, -1, -1):
        start = grid.levels[:, :, None]
        stage = programme.ordering.stage(t)
        wait = wait_cost(programme, value, t, start, programme.waiting.demand[:, t], programme.waiting.weight)
        order = order_cost(programme, value, t, start, stage, programme.ordering.weight)
        order = np.where(_fits(programme, t), order + programme.ordering.bill(t), np.inf)
        best = order.argmin(axis=1)
        cheapest = np.take_along_axis(order, best[:, None, :], axis=1)[:, 0]
        open_to_wait = np.ones_like(wait, dtype=bool)
        if programme.wait_floor is not None:
            open_to_wait = grid.levels >= programme.wait_floor[:, t, None]
        nothing = ~open_to_wait & ~np.isfinite(cheapest)
        waits = nothing | (open_to_wait & (wait <= cheapest))
        value[:, t] = np.where(waits, wait, cheapest)
        action[:, t] = np.where(waits, WAIT, best)
        bound[:, t] = nothing
    return ValueTable(grid, value, action, bound)


def _check(p: Programme) -> None:
    """Refuse shapes that do not fit and jumps that stand still."""
    batch, periods, _ = p.waiting.demand.shape
    o = p.ordering
    for name, got, want in (
        ("cost", o.cost.shape[:2], (batch, periods)),
        ("before", o.before.shape[:2], (batch, periods)),
        ("holding", p.charges.holding.shape, (batch, periods)),
        ("terminal", p.terminal.shape, (batch, p.grid.n)),
    ):
        if got != want:
            raise ProgrammeError(f"{name} has the shape {got}, {want} is needed")
    if np.any(o.jump < 1):
        raise ProgrammeError("an order must lead at least one period on")


def _shortage(charges: Charges, t: int, end: Floats) -> tuple[Floats, Floats]:
    """Cost of shortage for levels at the end of a stretch before clipping, and the level carried on."""
    if end.min() >= 0:
        return np.zeros((1,) * end.ndim), end
    shape = (-1,) + (1,) * (end.ndim - 1)
    short = np.maximum(-end, 0.0)
    cost = charges.unmet[:, t].reshape(shape) * short + charges.unmet_event[:, t].reshape(shape) * (short > 0)
    return cost, end if charges.backorders else np.maximum(end, 0.0)


def _mean(x: Floats, weight: Floats | None) -> Floats:
    """Weighted mean over the last axis."""
    out: Floats = x.mean(axis=-1) if weight is None else x @ weight
    return out


def wait_cost(
    p: Programme, value: Floats, t: int, start: Floats, demand: Floats, weight: Floats | None = None
) -> Floats:
    """Return the expected cost of waiting a period and of all after it, shape (B, X). [money]

    Parameters
    ----------
    value
        Shape (B, T+1, n), known from t+1 on. [money]
    start
        Levels, shape (B, X, K) or (B, X, 1). [kg]
    demand
        Shape (B, K). [kg]
    """
    short, end = _shortage(p.charges, t, start - demand[:, None, :])
    held = np.maximum(end, 0.0) if p.charges.on_end else (np.maximum(start, 0.0) + np.maximum(end, 0.0)) / 2
    now = short + p.charges.holding[:, t, None, None] * held
    return _mean(now + _between(value, p.grid, np.asarray(t + 1), end), weight)


def order_cost(
    p: Programme, value: Floats, t: int, start: Floats, stage: Stage, weight: Floats | None = None
) -> Floats:
    """Return the expected cost of ordering each amount without its bill, shape (B, M, X). [money]

    Parameters as in :func:`wait_cost`.
    """
    c = p.charges
    level = start[:, None]
    before, after = stage.before[:, None, None, :], stage.after[:, None, None, :]
    jump, arrival = stage.jump[:, None, None, :], stage.arrival[:, None, None, :]
    short, reached = _shortage(c, t, level - before)
    if c.backorders:
        short = np.zeros_like(short)  # what is owed is charged at the end of the stretch alone
    full = np.minimum(reached + p.ordering.amounts[:, :, None, None], p.grid.levels[:, -1, None, None, None])
    short_after, end = _shortage(c, t, full - after)
    holding = c.holding[:, t, None, None, None]
    total = _between(value, p.grid, t + jump, end)
    if c.on_end:
        total += holding * jump * np.maximum(end, 0.0)
    else:
        total += (holding * (jump - arrival) / 2) * (np.maximum(full, 0.0) + np.maximum(end, 0.0))
        short = short + (holding * arrival / 2) * (np.maximum(level, 0.0) + np.maximum(reached, 0.0))
    total += short + short_after
    return _mean(total, weight)


def _fits(p: Programme, t: int) -> NDArray[np.bool_]:
    """Whether each amount surely fits at each level, shape (B, M, n)."""
    levels = p.grid.levels
    top = levels[:, -1, None, None] + 1e-9 * p.grid.step[:, None, None]
    sure = 0.0 if p.ordering.least_before is None else p.ordering.least_before[:, t, None, None]
    lowest = np.minimum(levels[:, :1], 0.0)[:, :, None]
    out: NDArray[np.bool_] = (
        np.maximum(levels[:, None, :] - sure, lowest) + p.ordering.amounts[:, :, None] <= top
    )
    return out

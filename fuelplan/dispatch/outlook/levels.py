"""Levels to come without any delivery, as a compact table: what a planner asks again and again."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from fuelplan.dispatch.outlook.ahead import PLAIN_PIECE
from fuelplan.dispatch.outlook.draws import CustomerDraws
from fuelplan.dispatch.outlook.plain import burned_kg
from fuelplan.dispatch.outlook.tables import Floats, Ints, OutlookError, WinterTables

LEVEL_SHARES = (
    0.0, 0.005, 0.01, 0.02, 0.05, 0.1, 0.2, 0.3, 0.5, 0.6, 0.7, 0.8, 0.9, 0.95, 0.98, 0.99, 0.995, 1.0,
)  # fmt: skip
"""Shares of the draws at which levels are kept; 0 and 1 are the lowest and the highest draw."""


@dataclass(frozen=True)
class LevelTable:
    """Levels of N customers on each evening if nothing comes; below 0 is what will be missing.

    A delivery lifts all draws of a customer alike, so this one table answers for every amount.

    Attributes
    ----------
    shares
        Shape (shares,), rising.
    kg
        Shape (N, days + 1, shares), rising along the last axis; evening 0 is today. [kg]
    mean_kg
        Shape (N, days + 1). [kg]
    """

    shares: Floats
    kg: NDArray[np.float32]
    mean_kg: Floats

    def column(self, share: float) -> int:
        """Return the column of the first share that is no less than one asked for, else of the highest."""
        return min(int(self.shares.searchsorted(share - 1e-9)), self.shares.size - 1)

    def chance_below(self, bar_kg: Floats) -> Floats:
        """Return the chance that the level on each evening is below a bar.

        Parameters
        ----------
        bar_kg
            Shape (N, days + 1) or (N, days + 1, bars): the level asked about, less what will have come by
            then. [kg]

        Between the shares kept, the chance runs in a straight line. Shape as `bar_kg`.
        """
        many = np.asarray(bar_kg, dtype=float)
        if many.shape[:2] != self.kg.shape[:2]:
            raise OutlookError(f"bar_kg must begin with the shape {self.kg.shape[:2]}, not {many.shape}")
        bars = many[..., None] if many.ndim == 2 else many
        chance = np.zeros(bars.shape)
        for low, high, share in zip(
            np.moveaxis(self.kg[..., :-1], -1, 0),
            np.moveaxis(self.kg[..., 1:], -1, 0),
            np.diff(self.shares),
            strict=True,
        ):
            width = np.maximum(high - low, 1e-6)[..., None]
            chance += share * np.clip((bars - low[..., None]) / width, 0.0, 1.0)
        return chance[..., 0] if many.ndim == 2 else chance


def level_table(
    tables: WinterTables,
    area: Ints,
    draw: Callable[[slice], CustomerDraws],
    draws: int,
    shares: tuple[float, ...] = LEVEL_SHARES,
    days: int | None = None,
) -> LevelTable:
    """Return the levels of customers whose draws are made piece by piece.

    Parameters
    ----------
    area
        Shape (N,), weather area of each.
    days
        Days that are kept, where not all of them are asked for.
    """
    n, evenings = len(area), (tables.days if days is None else min(days, tables.days)) + 1
    kg, mean = np.empty((n, evenings, len(shares)), np.float32), np.empty((n, evenings))
    step = max(1, PLAIN_PIECE // (draws * (tables.days + 1)))
    for begin in range(0, n, step):
        at = slice(begin, min(n, begin + step))
        some = draw(at)
        level = some.level_kg[..., None] - burned_kg(tables, area[at], some)[..., :evenings]
        kg[at] = _quantiles(level, shares)
        mean[at] = level.mean(axis=1)
    return LevelTable(np.asarray(shares), kg, mean)


def fuller_by_kg(levels: LevelTable, fuller: LevelTable, customer: Ints, share: float) -> Floats:
    """Return how much more may lie in each store than `levels` say, if the fuller of two doubted levels is
    right.

    Parameters
    ----------
    fuller
        Levels of those with a doubted reading, the fuller of the two that are possible.
    customer
        Their numbers.
    share
        Of the draws in which a drop must fit; one of the shares that the levels are kept at.

    Returns
    -------
    Floats
        Shape (N,), 0 for those without a doubted reading. [kg]
    """
    more = np.zeros(levels.mean_kg.shape[0])
    sure = levels.column(share)
    by = fuller.kg[:, :, sure].astype(float) - levels.kg[customer][:, :, sure]
    more[customer] = np.maximum(0.0, by.max(axis=1))
    return more


def _quantiles(level_kg: Floats, shares: tuple[float, ...]) -> NDArray[np.float32]:
    """Return quantiles over the draws, (customers, evenings, shares) from (customers, draws, evenings).

    Between two draws in a straight line, as :func:`numpy.quantile` does; sorting single figures in a row of
    memory takes a tenth of its time.
    """
    rows = np.ascontiguousarray(np.moveaxis(level_kg, 1, 2), dtype=np.float32)
    rows.sort(axis=-1)
    at = np.asarray(shares) * (rows.shape[-1] - 1)
    low = np.floor(at).astype(np.int64)
    part = (at - low).astype(np.float32)
    high = np.minimum(low + 1, rows.shape[-1] - 1)
    return np.asarray(rows[..., low] + part * (rows[..., high] - rows[..., low]), np.float32)


def deliver_by_day(below_chance: NDArray[np.float32], limit: float) -> Ints:
    """Return the last day on which a delivery keeps the chance of a level below the reserve within a limit.

    Parameters
    ----------
    below_chance
        Shape (N, days + 1), chance by each evening if nothing comes.
    limit
        Accepted chance of having been below before the delivery, e.g. 0.02.

    Returns
    -------
    Ints
        Shape (N,): day 1 is the day after the levels; 0 where the limit is passed already, −1 where it is
        not within the days looked ahead.
    """
    if not 0 < limit < 1:
        raise OutlookError(f"a limit of {limit:g}; write a chance above 0 and below 1, e.g. 0.02")
    passed = below_chance > limit
    return np.where(passed[:, -1], passed.argmax(axis=1), -1).astype(np.int64)

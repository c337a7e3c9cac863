"""Every customer's run-out days, and the tonnes of a whole round added up winter by winter."""

from __future__ import annotations

import math
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from fuelplan.dispatch.outlook.draws import BASE_STEP_C, CustomerStores, Summary, deviates, draws_of_summary
from fuelplan.dispatch.outlook.plain import outlook_of_draws
from fuelplan.dispatch.outlook.tables import Floats, Ints, OutlookError, WinterTables

Days = NDArray[np.int16]
Progress = Callable[[int, int], None]

SHARES = (0.02, 0.10, 0.50, 0.90)
"""Shares of the draws at which run-out days are told."""

WEEKLY_SHARES = (0.1, 0.5, 0.9)

CHUNK = 2048
"""Customers worked on together. Kilograms are summed chunk by chunk, in the customers' order."""

PLAIN_UP_TO = 30_000_000
"""Draws times days up to which numpy alone is quicker than waking the compiler."""

PLAIN_PIECE = 2_000_000
"""Draws times days that numpy holds at once."""


@dataclass(frozen=True)
class Outlook:
    """What lies ahead of N customers.

    Evening 0 is the one the levels stand for. Weeks are of seven days from the day after it on.

    Attributes
    ----------
    shares, below_shares
        Shares of draws of the columns of `empty_day` and of `below_day`.
    empty_day, below_day
        Shape (N, shares): first evening by which that share of the draws is empty, or below the reserve;
        −1 where it is beyond the last day.
    level_kg
        Shape (N, level shares): quantiles of the level on evening 0. [kg]
    burned_kg, delivered_kg
        Shape (groups, draws, weeks), summed over the customers of each group draw by draw: what they burn,
        and what must be delivered if everybody is filled on the day the reserve is reached. [kg]
    """

    days: int
    shares: tuple[float, ...]
    below_shares: tuple[float, ...]
    empty_day: Days
    below_day: Days
    level_kg: Floats
    burned_kg: Floats
    delivered_kg: Floats

    def burned_t(self, shares: tuple[float, ...] = WEEKLY_SHARES, group: int | None = None) -> Floats:
        """Return quantiles of what is burned in each week, by a group or by all: (shares, weeks). [t]"""
        return _tonnes(self.burned_kg, shares, group)

    def delivered_t(self, shares: tuple[float, ...] = WEEKLY_SHARES, group: int | None = None) -> Floats:
        """Return quantiles of what must be delivered in each week, to a group or to all: (shares, weeks).
        [t]"""
        return _tonnes(self.delivered_kg, shares, group)


@dataclass(frozen=True)
class OutlookSettings:
    """What is asked of an outlook.

    Attributes
    ----------
    draws
        Draws of each customer, a multiple of the winters.
    seed
        Of the random numbers.
    shares, below_shares
        Rising shares of the draws at which run-out days, and days of reaching the reserve, are told.
    level_shares
        Shares at which levels of evening 0 are told; none: they are not.
    weekly
        Whether kilograms of each week are added up.
    """

    draws: int
    seed: int
    shares: tuple[float, ...] = SHARES
    below_shares: tuple[float, ...] = SHARES
    level_shares: tuple[float, ...] = ()
    weekly: bool = True


def _tonnes(kg: Floats, shares: tuple[float, ...], group: int | None) -> Floats:
    summed = kg.sum(axis=0) if group is None else kg[group]
    return np.asarray(np.quantile(summed, shares, axis=0)) / 1000.0


def week_ends(days: int) -> Ints:
    """Return the last evenings of the whole weeks within some days."""
    return np.arange(7, days + 1, 7, dtype=np.int64)


def outlook_of(
    tables: WinterTables,
    store: CustomerStores,
    summary: Summary,
    ask: OutlookSettings,
    *,
    workers: int = 2,
    compiled: bool | None = None,
    progress: Progress | None = None,
) -> Outlook:
    """Return what lies ahead of customers.

    Base temperatures drawn beyond the tables are set to their last one.

    Parameters
    ----------
    compiled
        Whether to use the compiled way; None: where it is worth it. Both ways give the same.
    progress
        Called with (customers done, customers).
    """
    _refuse(tables, store, summary, ask)
    n, ends = len(store), week_ends(tables.days) if ask.weekly else np.empty(0, np.int64)
    if compiled is None:
        compiled = n * ask.draws * tables.days > PLAIN_UP_TO
    out = Outlook(
        tables.days,
        ask.shares,
        ask.below_shares,
        np.empty((n, len(ask.shares)), np.int16),
        np.empty((n, len(ask.below_shares)), np.int16),
        np.empty((n, len(ask.level_shares))),
        *np.zeros((2, store.groups, ask.draws, len(ends))),
    )
    work = (_compiled if compiled else _plain)(tables, store, summary, ask, ends, out)
    done = 0
    with ThreadPoolExecutor(max_workers=max(1, workers)) as pool:
        parts = [np.arange(begin, min(n, begin + CHUNK)) for begin in range(0, n, CHUNK)]
        for part, (burned, delivered) in zip(parts, pool.map(work, parts), strict=True):
            np.add(out.burned_kg, burned, out=out.burned_kg)
            np.add(out.delivered_kg, delivered, out=out.delivered_kg)
            done += len(part)
            if progress:
                progress(done, n)
    return out


Work = Callable[[Ints], tuple[Floats, Floats]]
"""Fills in what lies ahead of some customers, and gives what they burn and must be brought by week. [kg]"""


def _compiled(
    tables: WinterTables,
    store: CustomerStores,
    summary: Summary,
    ask: OutlookSettings,
    ends: Ints,
    out: Outlook,
) -> Work:
    from fuelplan.dispatch.outlook.kernel import ahead

    single = tables.sum_kd.astype(np.float32).transpose(0, 3, 1, 2)
    by_day = np.ascontiguousarray(single).reshape(tables.areas, tables.days + 1, -1)
    first_base = int(np.rint(tables.base_c[0] / BASE_STEP_C))
    table = deviates(ask.seed)
    least, least_below = (
        least_draws(shares, ask.draws).astype(np.int64) for shares in (ask.shares, ask.below_shares)
    )
    level_shares = np.asarray(ask.level_shares, dtype=float)

    def work(part: Ints) -> tuple[Floats, Floats]:
        # Neighbours in area and base temperature use the same entries of the tables: those stay in the cache.
        order = part[np.lexsort((summary.mean[part, 2], store.area[part]))]
        burned, delivered = np.zeros((2, *out.burned_kg.shape))
        ahead(
            order,
            tables.sum_kd,
            by_day,
            tables.squares_k2d,
            first_base,
            summary.number,
            store.area,
            store.group_of,
            summary.mean,
            summary.root,
            summary.day_noise,
            summary.most_kg,
            store.reserve_kg,
            store.fill_kg,
            table,
            ask.draws,
            least,
            least_below,
            level_shares,
            ends,
            out.empty_day,
            out.below_day,
            out.level_kg,
            burned,
            delivered,
        )
        return burned, delivered

    return work


def _plain(
    tables: WinterTables,
    store: CustomerStores,
    summary: Summary,
    ask: OutlookSettings,
    ends: Ints,
    out: Outlook,
) -> Work:
    table = deviates(ask.seed)
    low, high = float(tables.base_c[0]), float(tables.base_c[-1])
    least, least_below = (least_draws(shares, ask.draws) for shares in (ask.shares, ask.below_shares))
    step = max(1, PLAIN_PIECE // (ask.draws * (tables.days + 1)))

    def work(part: Ints) -> tuple[Floats, Floats]:
        burned, delivered = np.zeros((2, *out.burned_kg.shape))
        for begin in range(0, len(part), step):
            some = part[begin : begin + step]
            drawn = draws_of_summary(summary.rows(some), table, ask.draws, low, high)
            empty, below, *kg = outlook_of_draws(tables, store.rows(some), drawn, ends, store.groups)
            out.empty_day[some] = quantile_days(empty, least)
            out.below_day[some] = quantile_days(below, least_below)
            if ask.level_shares:
                out.level_kg[some] = np.quantile(drawn.level_kg, ask.level_shares, axis=1).T
            burned += kg[0]
            delivered += kg[1]
        return burned, delivered

    return work


def _refuse(tables: WinterTables, store: CustomerStores, summary: Summary, ask: OutlookSettings) -> None:
    """Refuse what does not fit together."""
    if ask.draws < 1 or ask.draws % tables.winters:
        raise OutlookError(f"{ask.draws} draws: give a multiple of the {tables.winters} winters")
    if len(store) != len(summary):
        raise OutlookError(f"{len(store)} stores but {len(summary)} summaries; give one of each customer")
    if not np.allclose(np.diff(tables.base_c), BASE_STEP_C):
        raise OutlookError(f"base_c of the tables must rise in steps of {BASE_STEP_C:g} K without a gap")
    for shares in (ask.shares, ask.below_shares):
        if list(shares) != sorted(shares):
            raise OutlookError("shares must rise, e.g. (0.02, 0.1, 0.5, 0.9)")
        least_draws(shares, ask.draws)


def least_draws(shares: tuple[float, ...], draws: int) -> Floats:
    """Return how many draws make up each share."""
    if not all(0 < share <= 1 for share in shares):
        raise OutlookError("shares of draws lie above 0 and at 1 or below, e.g. 0.02")
    return np.ceil(np.asarray(shares) * draws - 1e-9)


def share_beyond(limit: float, draws: int) -> float:
    """Return the share of the draws that the first one beyond an accepted chance makes up.

    The first evening by which that share is below the reserve is the last day on which a delivery keeps the
    chance of that within the limit.

    Parameters
    ----------
    limit
        Accepted chance of having been below before the delivery, e.g. 0.02.
    """
    if not 0 < limit < 1:
        raise OutlookError(f"a limit of {limit:g}; write a chance above 0 and below 1, e.g. 0.02")
    return (math.floor(limit * draws + 1e-9) + 1) / draws


def quantile_days(counts: Ints, least: Floats) -> Days:
    """Return the first evening by which at least so many draws are there, −1 where none is.

    Parameters
    ----------
    counts
        Shape (customers, days + 2), draws that are there first on each evening; the last entry for those that
        hold out.
    least
        Shape (shares,).
    """
    reached = np.cumsum(counts, axis=1)[:, :-1]
    out = np.empty((len(reached), len(least)), np.int16)
    for q, count in enumerate(least):
        there = reached >= count
        out[:, q] = np.where(there[:, -1], there.argmax(axis=1), -1)
    return out

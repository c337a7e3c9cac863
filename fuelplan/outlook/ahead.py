"""Every customer's run-out days, and the tonnes of a whole round added up winter by winter."""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from fuelplan.outlook.draws import CustomerDraws, Store
from fuelplan.outlook.plain import outlook_of_draws
from fuelplan.outlook.tables import Floats, Ints, OutlookError, WinterTables

Days = NDArray[np.int16]
Chances = NDArray[np.float32]
Part = tuple[Ints, Ints, Floats, Floats]
Progress = Callable[[int, int], None]

SHARES = (0.02, 0.10, 0.50, 0.90)
"""Shares of the draws at which run-out days are told."""

WEEKLY_SHARES = (0.1, 0.5, 0.9)

CHUNK = 512
"""Customers worked on together."""

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
    shares
        Shares of draws of the columns of `empty_day` and `below_day`.
    empty_day, below_day
        Shape (N, shares): first evening by which that share of the draws is empty, or below the reserve;
        −1 where it is beyond the last day.
    empty_chance, below_chance
        Shape (N, days + 1): chance of having been empty, or below the reserve, by each evening, if nothing
        is delivered. None where they were not kept.
    burned_kg, delivered_kg
        Shape (groups, draws, weeks), summed over the customers of each group draw by draw: what they burn,
        and what must be delivered if everybody is filled on the day the reserve is reached. [kg]
    """

    days: int
    shares: tuple[float, ...]
    empty_day: Days
    below_day: Days
    empty_chance: Chances | None
    below_chance: Chances | None
    burned_kg: Floats
    delivered_kg: Floats

    def burned_t(self, shares: tuple[float, ...] = WEEKLY_SHARES, group: int | None = None) -> Floats:
        """Return quantiles of what is burned in each week, by a group or by all: (shares, weeks). [t]"""
        return _tonnes(self.burned_kg, shares, group)

    def delivered_t(self, shares: tuple[float, ...] = WEEKLY_SHARES, group: int | None = None) -> Floats:
        """Return quantiles of what must be delivered in each week, to a group or to all: (shares, weeks).
        [t]"""
        return _tonnes(self.delivered_kg, shares, group)


def _tonnes(kg: Floats, shares: tuple[float, ...], group: int | None) -> Floats:
    summed = kg.sum(axis=0) if group is None else kg[group]
    return np.asarray(np.quantile(summed, shares, axis=0)) / 1000.0


def week_ends(days: int) -> Ints:
    """Return the last evenings of the whole weeks within some days."""
    return np.arange(7, days + 1, 7, dtype=np.int64)


def outlook_of(
    tables: WinterTables,
    store: Store,
    draw: Callable[[slice], CustomerDraws],
    draws: int,
    *,
    shares: tuple[float, ...] = SHARES,
    keep_chances: bool = True,
    workers: int = 2,
    compiled: bool | None = None,
    progress: Progress | None = None,
) -> Outlook:
    """Return the outlook of customers whose draws are made chunk by chunk.

    Parameters
    ----------
    draw
        Gives the draws of the customers of a slice; called from several threads.
    draws
        Draws of each customer, a multiple of the winters.
    compiled
        Whether to use the compiled way; None: where it is worth it. Both ways give the same.
    progress
        Called with (customers done, customers).
    """
    if draws < 1 or draws % tables.winters:
        raise OutlookError(f"{draws} draws: give a multiple of the {tables.winters} winters")
    if compiled is None:
        compiled = len(store) * draws * tables.days > PLAIN_UP_TO
    ends = week_ends(tables.days)

    def work(part: slice) -> Part:
        drawn = draw(part)
        if drawn.level_kg.shape != (part.stop - part.start, draws):
            raise OutlookError(f"the draws must have the shape ({part.stop - part.start}, {draws})")
        way = _compiled if compiled else _piecewise
        return way(tables, store.rows(part), drawn, ends, store.groups)

    return _assemble(tables, store, draws, work, shares, keep_chances, workers, progress)


def _empty_part(customers: int, draws: int, days: int, weeks: int, groups: int) -> Part:
    return (
        np.zeros((customers, days + 2), np.int64),
        np.zeros((customers, days + 2), np.int64),
        np.zeros((groups, draws, weeks)),
        np.zeros((groups, draws, weeks)),
    )


def _compiled(tables: WinterTables, store: Store, drawn: CustomerDraws, ends: Ints, groups: int) -> Part:
    from fuelplan.outlook.kernel import of_draws

    out = _empty_part(len(store), drawn.draws, tables.days, len(ends), groups)
    of_draws(
        tables.sum_kd,
        tables.squares_k2d,
        store.area,
        store.group_of,
        tables.row_of(drawn.base_c),
        drawn.kg_per_degree_day,
        drawn.kg_per_day,
        drawn.shake,
        drawn.level_kg,
        store.reserve_kg,
        store.fill_kg,
        ends,
        *out,
    )
    return out


def _piecewise(tables: WinterTables, store: Store, drawn: CustomerDraws, ends: Ints, groups: int) -> Part:
    """Work in plain numpy, few enough customers at once for the memory."""
    step = max(1, PLAIN_PIECE // (drawn.draws * (tables.days + 1)))
    parts = []
    for begin in range(0, len(store), step):
        some = slice(begin, begin + step)
        parts.append(outlook_of_draws(tables, store.rows(some), drawn.rows(some), ends, groups))
    empty, below, burned, delivered = zip(*parts, strict=True)
    return (
        np.concatenate(empty),
        np.concatenate(below),
        sum(burned[1:], burned[0]),
        sum(delivered[1:], delivered[0]),
    )


def _assemble(
    tables: WinterTables,
    store: Store,
    draws: int,
    work: Callable[[slice], Part],
    shares: tuple[float, ...],
    keep_chances: bool,
    workers: int,
    progress: Progress | None,
) -> Outlook:
    customers, days, weeks = len(store), tables.days, len(week_ends(tables.days))
    empty_day = np.empty((customers, len(shares)), np.int16)
    below_day = np.empty((customers, len(shares)), np.int16)
    chances = (customers, days + 1) if keep_chances else (0, 0)
    empty_chance, below_chance = np.empty(chances, np.float32), np.empty(chances, np.float32)
    burned, delivered = np.zeros((2, store.groups, draws, weeks))
    least = least_draws(shares, draws)

    def whole(begin: int) -> tuple[int, Floats, Floats]:
        part = slice(begin, min(customers, begin + CHUNK))
        empty, below, burned_part, delivered_part = work(part)
        for counts, day, chance in (
            (empty, empty_day, empty_chance),
            (below, below_day, below_chance),
        ):
            reached = np.cumsum(counts, axis=1)[:, :-1]
            day[part] = quantile_days(reached, least)
            if keep_chances:
                chance[part] = reached / draws
        return part.stop - part.start, burned_part, delivered_part

    done = 0
    with ThreadPoolExecutor(max_workers=max(1, workers)) as pool:
        for count, burned_part, delivered_part in pool.map(whole, range(0, customers, CHUNK)):
            burned += burned_part
            delivered += delivered_part
            done += count
            if progress:
                progress(done, customers)
    kept = (empty_chance, below_chance) if keep_chances else (None, None)
    return Outlook(days, shares, empty_day, below_day, kept[0], kept[1], burned, delivered)


def least_draws(shares: tuple[float, ...], draws: int) -> Floats:
    """Return how many draws make up each share."""
    if not all(0 < share <= 1 for share in shares):
        raise OutlookError("shares of draws lie above 0 and at 1 or below, e.g. 0.02")
    return np.ceil(np.asarray(shares) * draws - 1e-9)


def quantile_days(reached: Ints, least: Floats) -> Days:
    """Return the first evening by which at least so many draws are there, −1 where none is.

    `reached` has the shape (customers, days + 1), `least` (shares,).
    """
    out = np.empty((len(reached), len(least)), np.int16)
    for q, count in enumerate(least):
        there = reached >= count
        out[:, q] = np.where(there[:, -1], there.argmax(axis=1), -1)
    return out

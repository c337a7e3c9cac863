"""Every customer's run-out days, and the tonnes of a whole round added up winter by winter."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from fuelplan.dispatch.outlook.draws import CustomerDraws, CustomerStores
from fuelplan.dispatch.outlook.plain import outlook_of_draws
from fuelplan.dispatch.outlook.tables import Floats, Ints, OutlookError, WinterTables

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


@dataclass(frozen=True)
class OutlookSettings:
    """How an outlook is worked out: as with :func:`outlook_of`; `groups` is the number of groups of all."""

    draws: int
    shares: tuple[float, ...]
    keep_chances: bool
    compiled: bool
    groups: int


@dataclass(frozen=True)
class ChunkOutlook:
    """What lies ahead of the customers of one chunk, from number `begin` on; the rest as in an Outlook."""

    begin: int
    empty_day: Days
    below_day: Days
    empty_chance: Chances | None
    below_chance: Chances | None
    burned_kg: Floats
    delivered_kg: Floats


def _tonnes(kg: Floats, shares: tuple[float, ...], group: int | None) -> Floats:
    summed = kg.sum(axis=0) if group is None else kg[group]
    return np.asarray(np.quantile(summed, shares, axis=0)) / 1000.0


def week_ends(days: int) -> Ints:
    """Return the last evenings of the whole weeks within some days."""
    return np.arange(7, days + 1, 7, dtype=np.int64)


def outlook_of(
    tables: WinterTables,
    store: CustomerStores,
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
    ask = asked(tables, store, draws, shares, keep_chances, compiled)
    customers = len(store)

    def whole(begin: int) -> ChunkOutlook:
        part = slice(begin, min(customers, begin + CHUNK))
        return chunk_outlook(tables, store.rows(part), draw(part), ask, begin)

    def told(chunks: Iterable[ChunkOutlook]) -> Iterator[ChunkOutlook]:
        for chunk in chunks:
            yield chunk
            if progress:
                progress(chunk.begin + len(chunk.empty_day), customers)

    with ThreadPoolExecutor(max_workers=max(1, workers)) as pool:
        return joined(tables, customers, ask, told(pool.map(whole, range(0, customers, CHUNK))))


def asked(
    tables: WinterTables,
    store: CustomerStores,
    draws: int,
    shares: tuple[float, ...] = SHARES,
    keep_chances: bool = True,
    compiled: bool | None = None,
) -> OutlookSettings:
    """Return how the outlook of some customers is worked out, the same for each of their chunks."""
    if draws < 1 or draws % tables.winters:
        raise OutlookError(f"{draws} draws: give a multiple of the {tables.winters} winters")
    least_draws(shares, draws)  # refuses shares that are none
    if compiled is None:
        compiled = len(store) * draws * tables.days > PLAIN_UP_TO
    return OutlookSettings(draws, shares, keep_chances, compiled, store.groups)


def _empty_part(customers: int, draws: int, days: int, weeks: int, groups: int) -> Part:
    return (
        np.zeros((customers, days + 2), np.int64),
        np.zeros((customers, days + 2), np.int64),
        np.zeros((groups, draws, weeks)),
        np.zeros((groups, draws, weeks)),
    )


def _compiled(
    tables: WinterTables, store: CustomerStores, drawn: CustomerDraws, ends: Ints, groups: int
) -> Part:
    from fuelplan.dispatch.outlook.kernel import of_draws

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


def _piecewise(
    tables: WinterTables, store: CustomerStores, drawn: CustomerDraws, ends: Ints, groups: int
) -> Part:
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


def chunk_outlook(
    tables: WinterTables, store: CustomerStores, drawn: CustomerDraws, ask: OutlookSettings, begin: int
) -> ChunkOutlook:
    """Return what lies ahead of the customers of one chunk, `store` and `drawn` being theirs alone.

    Parameters
    ----------
    begin
        Number of the first of them.
    """
    if drawn.level_kg.shape != (len(store), ask.draws):
        raise OutlookError(f"the draws must have the shape ({len(store)}, {ask.draws})")
    way = _compiled if ask.compiled else _piecewise
    empty, below, burned, delivered = way(tables, store, drawn, week_ends(tables.days), ask.groups)
    least = least_draws(ask.shares, ask.draws)
    days, chances = [], []
    for counts in (empty, below):
        reached = np.cumsum(counts, axis=1)[:, :-1]
        days.append(quantile_days(reached, least))
        chances.append((reached / ask.draws).astype(np.float32) if ask.keep_chances else None)
    return ChunkOutlook(begin, days[0], days[1], chances[0], chances[1], burned, delivered)


def joined(
    tables: WinterTables, customers: int, ask: OutlookSettings, chunks: Iterable[ChunkOutlook]
) -> Outlook:
    """Return the outlook of all customers from that of their chunks, which come in the customers' order.

    Sums are made chunk by chunk in that order: they have the same bits wherever the chunks were made.
    """
    days, weeks = tables.days, len(week_ends(tables.days))
    empty_day, below_day = np.empty((2, customers, len(ask.shares)), np.int16)
    size = (customers, days + 1) if ask.keep_chances else (0, 0)
    empty_chance, below_chance = np.empty(size, np.float32), np.empty(size, np.float32)
    burned, delivered = np.zeros((2, ask.groups, ask.draws, weeks))
    for chunk in chunks:
        part = slice(chunk.begin, chunk.begin + len(chunk.empty_day))
        empty_day[part], below_day[part] = chunk.empty_day, chunk.below_day
        if chunk.empty_chance is not None and chunk.below_chance is not None:
            empty_chance[part], below_chance[part] = chunk.empty_chance, chunk.below_chance
        burned += chunk.burned_kg
        delivered += chunk.delivered_kg
    kept = (empty_chance, below_chance) if ask.keep_chances else (None, None)
    return Outlook(days, ask.shares, empty_day, below_day, kept[0], kept[1], burned, delivered)


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

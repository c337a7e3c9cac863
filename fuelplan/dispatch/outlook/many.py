"""Run-out days of a hundred thousand customers and more, each known by a compact summary."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass

import numpy as np

from fuelplan.dispatch.outlook.ahead import SHARES, Days, Progress, least_draws
from fuelplan.dispatch.outlook.draws import BASE_STEP_C, CustomerStores, Summary, deviates
from fuelplan.dispatch.outlook.tables import OutlookError, WinterTables

CHUNK = 8192


@dataclass(frozen=True)
class RunOutDays:
    """First evenings by which a share of the draws is empty, or below the reserve; −1 beyond the last day.

    Attributes
    ----------
    empty_day, below_day
        Shape (N, shares).
    """

    shares: tuple[float, ...]
    empty_day: Days
    below_day: Days


def run_out_days(
    tables: WinterTables,
    store: CustomerStores,
    summary: Summary,
    draws: int,
    *,
    seed: int,
    shares: tuple[float, ...] = SHARES,
    workers: int = 2,
    progress: Progress | None = None,
) -> RunOutDays:
    """Return run-out days, equal to those of :func:`fuelplan.dispatch.outlook.outlook_of` on the same draws.

    Draws are made as :func:`fuelplan.dispatch.outlook.draws_of_summary` makes them. Base temperatures drawn
    beyond the tables are set to their last one.

    Parameters
    ----------
    draws
        Draws of each customer, a multiple of the winters.
    shares
        Rising.
    """
    from fuelplan.dispatch.outlook.kernel_days import days_of_summary

    _refuse(tables, store, summary, draws, shares)
    n = len(store)
    empty_day, below_day = np.empty((n, len(shares)), np.int16), np.empty((n, len(shares)), np.int16)
    least, table = least_draws(shares, draws).astype(np.int64), deviates(seed)
    single = tables.sum_kd.astype(np.float32).transpose(0, 3, 1, 2)
    by_day = np.ascontiguousarray(single).reshape(tables.areas, tables.days + 1, -1)
    first_base = int(np.rint(tables.base_c[0] / BASE_STEP_C))

    # Neighbours in area and base temperature use the same entries of the tables: those stay in the cache.
    order = np.lexsort((summary.mean[:, 2], store.area))

    def work(begin: int) -> int:
        some = order[begin : begin + CHUNK]
        days_of_summary(
            some,
            tables.sum_kd,
            by_day,
            tables.squares_k2d,
            first_base,
            store.area,
            summary.mean,
            summary.root,
            summary.day_noise,
            summary.most_kg,
            store.reserve_kg,
            table,
            draws,
            least,
            empty_day,
            below_day,
        )
        return len(some)

    done = 0
    with ThreadPoolExecutor(max_workers=max(1, workers)) as pool:
        for count in pool.map(work, range(0, n, CHUNK)):
            done += count
            if progress:
                progress(done, n)
    return RunOutDays(shares, empty_day, below_day)


def _refuse(
    tables: WinterTables, store: CustomerStores, summary: Summary, draws: int, shares: tuple[float, ...]
) -> None:
    """Refuse what does not fit together."""
    if draws < 1 or draws % tables.winters:
        raise OutlookError(f"{draws} draws: give a multiple of the {tables.winters} winters")
    if len(store) != len(summary):
        raise OutlookError(f"{len(store)} stores but {len(summary)} summaries; give one of each customer")
    if not np.allclose(np.diff(tables.base_c), BASE_STEP_C):
        raise OutlookError(f"base_c of the tables must rise in steps of {BASE_STEP_C:g} K without a gap")
    if list(shares) != sorted(shares):
        raise OutlookError("shares must rise, e.g. (0.02, 0.1, 0.5, 0.9)")

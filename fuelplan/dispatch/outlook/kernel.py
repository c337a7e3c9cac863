"""What lies ahead of many customers, compiled: their draws are made on the fly, and nothing of the size of
customers × draws × days is ever held.

A day's quantile is found by bisection over the days, counting the draws that are there. Counting goes through
single-precision copies of the tables, laid out so that a day's entries lie side by side; a count that
rounding could touch is made again in double precision, so that the days are those of the plain calculation.

Imported only for many customers, because numba is heavy and compiles once a machine. It lets the
interpreter go, so that threads share the work.
"""

from __future__ import annotations

import math
from typing import Any

import numba
import numpy as np
from numpy.typing import NDArray

from fuelplan.dispatch.outlook.draws import BASE_STEP_C, OFFSET, ROWS, STRIDE, TRIES

Floats = NDArray[np.float64]
Singles = NDArray[np.float32]
Ints = NDArray[np.int64]
Days = NDArray[np.int16]
Places = NDArray[np.int32]

DOUBT = np.float32(1e-5)
"""More than rounding to single precision can move a sum of two products, as a share of it."""


def jit(function: Any) -> Any:
    """Compile, and keep the result on disk where there is a place to write."""
    try:
        return numba.njit(cache=True, nogil=True)(function)
    except RuntimeError:  # neither the package's nor the user's folder can be written
        return numba.njit(nogil=True)(function)


@jit
def needed(spread: float, taken_kg: float) -> float:
    """Return the kilograms by the signature alone at which `taken_kg` is burned, noise included."""
    if taken_kg <= 0.0:
        return 0.0
    root = 0.5 * (math.sqrt(spread * spread + 4.0 * taken_kg) - spread)
    return root * root


@jit
def first_day(sums: Floats, slope: float, day_kg: float, need: float) -> int:
    """Return the first evening on which the signature reaches a need, days + 1 where none is."""
    high = sums.size - 1
    if not slope * sums[high] + day_kg * high >= need:
        return sums.size
    low = -1  # never reached there
    while high - low > 1:
        middle = (low + high) // 2
        if slope * sums[middle] + day_kg * middle >= need:
            high = middle
        else:
            low = middle
    return high


@jit
def burned(sums: Floats, slope: float, day_kg: float, spread: float, day: int) -> float:
    """Return what is burned by the evening of a day. [kg]"""
    u = slope * sums[day] + day_kg * day
    kg: float = max(0.0, u + spread * math.sqrt(u))
    return kg


@jit
def make_draws(
    sum_kd: Floats,
    squares: Floats,
    first_base: int,
    mean: Floats,
    root: Floats,
    day_noise: float,
    most_kg: float,
    reserve_kg: float,
    table: Floats,
    at_first: int,
    drawn: Floats,
    need: Floats,
    where: Places,
) -> None:
    """Draw one customer: `drawn` (4, draws) slope, daily part, spread and level, `need` (2, draws) to empty
    and to the reserve, `where` (draws,) place of its winter in a day's entries. Tables are those of its area.
    """
    bases, winters, last = sum_kd.shape[0], sum_kd.shape[1], sum_kd.shape[2] - 1
    winter, first = 0, at_first
    for k in range(where.size):
        at = first
        first = first + 1 if first + 1 < ROWS else 0
        slope, daily, base, level, shake = 0.0, 0.0, 0.0, 0.0, 0.0
        for _ in range(TRIES):
            z0, z1, z2, z3 = table[at, 0], table[at, 1], table[at, 2], table[at, 3]
            slope = mean[0] + root[0, 0] * z0
            daily = mean[1] + root[1, 0] * z0 + root[1, 1] * z1
            base = mean[2] + root[2, 0] * z0 + root[2, 1] * z1 + root[2, 2] * z2
            level = mean[3] + root[3, 0] * z0 + root[3, 1] * z1 + root[3, 2] * z2 + root[3, 3] * z3
            shake = table[at, 4] * day_noise
            if slope >= 0.0 and daily >= 0.0 and 0.0 <= level <= most_kg:
                break
            at = at + STRIDE if at + STRIDE < ROWS else at + STRIDE - ROWS
        slope, daily, level = max(slope, 0.0), max(daily, 0.0), min(max(level, 0.0), most_kg)
        row = min(max(int(np.rint(base / BASE_STEP_C)) - first_base, 0), bases - 1)
        heating = sum_kd[row, winter, last]
        total, spread = slope * heating + daily * last, 0.0
        if total > 0.0:
            square = (
                slope * slope * squares[row, winter] + 2.0 * slope * daily * heating + daily * daily * last
            )
            spread = shake * math.sqrt(square / total)
        drawn[0, k], drawn[1, k], drawn[2, k], drawn[3, k] = slope, daily, spread, level
        need[0, k], need[1, k] = needed(spread, level), needed(spread, level - reserve_kg)
        where[k] = row * winters + winter
        winter += 1
        if winter == winters:
            winter = 0


@jit
def count(
    entries: Singles, slope: Singles, daily: Singles, low: Singles, high: Singles, where: Places, day: int
) -> tuple[int, int]:
    """Return how many draws are surely there by an evening, and how many might be."""
    sure, perhaps = 0, 0
    t = np.float32(day)
    for k in range(where.size):
        kg = slope[k] * entries[where[k]] + daily[k] * t
        sure += 1 if kg >= high[k] else 0
        perhaps += 1 if kg >= low[k] else 0
    return sure, perhaps


@jit
def count_again(sum_kd: Floats, drawn: Floats, need: Floats, where: Places, day: int) -> int:
    """Return how many draws are there by an evening, in double precision."""
    winters, found = sum_kd.shape[1], 0
    for k in range(where.size):
        sums = sum_kd[where[k] // winters, where[k] % winters]
        found += 1 if drawn[0, k] * sums[day] + drawn[1, k] * day >= need[k] else 0
    return found


@jit
def bisect(
    by_day: Singles,
    sum_kd: Floats,
    singles: Singles,
    drawn: Floats,
    need: Floats,
    where: Places,
    least: Ints,
    known: Ints,
    out: Days,
) -> None:
    """Find the first evening by which `least` draws are there, for rising `least`; −1 beyond the last."""
    last = by_day.shape[0] - 1
    known[:] = -1
    low = -1
    for q in range(least.size):
        high = last + 1
        for t in range(low + 1, last + 1):  # the brackets that earlier shares have left
            if known[t] >= least[q]:
                high = t
                break
            if known[t] >= 0:
                low = t
        while high - low > 1:
            middle = last if high > last and known[last] < 0 else (low + high) // 2
            sure, perhaps = count(
                by_day[middle], singles[0], singles[1], singles[2], singles[3], where, middle
            )
            if sure != perhaps:
                sure = count_again(sum_kd, drawn, need, where, middle)
            known[middle] = sure
            if sure >= least[q]:
                high = middle
            else:
                low = middle
        out[q] = high if high <= last else -1
        low = min(high - 1, last)


@jit
def add_weeks(
    sum_kd: Floats,
    drawn: Floats,
    need: Floats,
    where: Places,
    reserve_kg: float,
    fill_kg: float,
    week_ends: Ints,
    burned_kg: Floats,
    delivered_kg: Floats,
) -> None:
    """Add what one customer burns and must be brought in each week: (draws, weeks). [kg]"""
    winters, days = sum_kd.shape[1], sum_kd.shape[2] - 1
    for k in range(where.size):
        sums = sum_kd[where[k] // winters, where[k] % winters]
        slope, day_kg, spread, level = drawn[0, k], drawn[1, k], drawn[2, k], drawn[3, k]
        before = 0.0
        for w in range(week_ends.size):
            now = burned(sums, slope, day_kg, spread, week_ends[w])
            burned_kg[k, w] += now - before
            before = now
        week, due = 0, first_day(sums, slope, day_kg, need[1, k])
        while due <= days:
            taken = burned(sums, slope, day_kg, spread, due)
            while week < week_ends.size and week_ends[week] < due:
                week += 1
            if week == week_ends.size:
                break
            delivered_kg[k, week] += fill_kg - (level - taken)
            level = fill_kg + taken
            again = first_day(sums, slope, day_kg, needed(spread, taken + (fill_kg - reserve_kg)))
            due = max(again, due + 1)


@jit
def quantiles(values: Floats, shares: Floats, out: Floats) -> None:
    """Write quantiles of some values, between two of them in a straight line, as numpy has them."""
    inorder = np.sort(values)
    for q in range(shares.size):
        at = shares[q] * (inorder.size - 1)
        low = int(at)
        high = min(low + 1, inorder.size - 1)
        out[q] = inorder[low] + (at - low) * (inorder[high] - inorder[low])


@jit
def ahead(
    which: Ints,
    sum_kd: Floats,
    by_day: Singles,
    squares: Floats,
    first_base: int,
    number: Ints,
    area: Ints,
    group: Ints,
    mean: Floats,
    root: Floats,
    day_noise: Floats,
    most_kg: Floats,
    reserve_kg: Floats,
    fill_kg: Floats,
    table: Floats,
    draws: int,
    least: Ints,
    least_below: Ints,
    level_shares: Floats,
    week_ends: Ints,
    empty_day: Days,
    below_day: Days,
    level_kg: Floats,
    burned_kg: Floats,
    delivered_kg: Floats,
) -> None:
    """Work through some customers; `by_day` has the shape (areas, days + 1, bases · winters)."""
    drawn, need = np.empty((4, draws)), np.empty((2, draws))
    singles, where = np.empty((4, draws), np.float32), np.empty(draws, np.int32)
    known = np.empty(by_day.shape[1], np.int64)
    for i in which:
        a = area[i]
        make_draws(
            sum_kd[a],
            squares[a],
            first_base,
            mean[i],
            root[i],
            day_noise[i],
            most_kg[i],
            reserve_kg[i],
            table,
            (number[i] * OFFSET) % ROWS,
            drawn,
            need,
            where,
        )
        for k in range(draws):
            singles[0, k], singles[1, k] = drawn[0, k], drawn[1, k]
        for kind in range(2):
            for k in range(draws):
                singles[2, k] = np.float32(need[kind, k]) * (1 - DOUBT)
                singles[3, k] = np.float32(need[kind, k]) * (1 + DOUBT)
            if kind == 0:
                bisect(by_day[a], sum_kd[a], singles, drawn, need[0], where, least, known, empty_day[i])
            else:
                bisect(by_day[a], sum_kd[a], singles, drawn, need[1], where, least_below, known, below_day[i])
        if level_shares.size:
            quantiles(drawn[3], level_shares, level_kg[i])
        if week_ends.size:
            g = group[i]
            add_weeks(
                sum_kd[a],
                drawn,
                need,
                where,
                reserve_kg[i],
                fill_kg[i],
                week_ends,
                burned_kg[g],
                delivered_kg[g],
            )

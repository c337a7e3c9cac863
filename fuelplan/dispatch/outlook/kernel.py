"""The outlook compiled: a bisection over the days for each draw, and no array of customers × draws × days.

Imported only for many customers, because numba is heavy and compiles once a machine. It lets the
interpreter go, so that threads share the work.
"""

from __future__ import annotations

import math
from typing import Any

import numba
import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]


def jit(function: Any) -> Any:
    """Compile, and keep the result on disk where there is a place to write."""
    try:
        return numba.njit(cache=True, nogil=True)(function)
    except RuntimeError:  # neither the package's nor the user's folder can be written
        return numba.njit(nogil=True)(function)


@jit
def first_day(sums: Floats, slope: float, day_kg: float, spread: float, taken_kg: float) -> int:
    """Return the first evening on which `taken_kg` is burned in one winter, days + 1 where none is."""
    if taken_kg <= 0.0:
        return 0
    root = 0.5 * (math.sqrt(spread * spread + 4.0 * taken_kg) - spread)
    needed = root * root
    high = sums.size - 1
    if not slope * sums[high] + day_kg * high >= needed:
        return sums.size
    low = -1  # never reached there
    while high - low > 1:
        middle = (low + high) // 2
        if slope * sums[middle] + day_kg * middle >= needed:
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
def one_draw(
    sums: Floats,
    squares: float,
    slope: float,
    day_kg: float,
    shake: float,
    level_kg: float,
    reserve_kg: float,
    fill_kg: float,
    empty: Ints,
    below: Ints,
    week_ends: Ints,
    burned_kg: Floats,
    delivered_kg: Floats,
) -> None:
    """Add one draw of one customer to the counts by evening and to the kilograms by week."""
    days = sums.size - 1
    total = slope * sums[days] + day_kg * days
    spread = 0.0
    if total > 0.0:
        square = slope * slope * squares + 2.0 * slope * day_kg * sums[days] + day_kg * day_kg * days
        spread = shake * math.sqrt(square / total)
    empty[first_day(sums, slope, day_kg, spread, level_kg)] += 1
    due = first_day(sums, slope, day_kg, spread, level_kg - reserve_kg)
    below[due] += 1
    if week_ends.size == 0:
        return
    before = 0.0
    for w in range(week_ends.size):
        now = burned(sums, slope, day_kg, spread, week_ends[w])
        burned_kg[w] += now - before
        before = now
    week = 0
    while due <= days:
        taken = burned(sums, slope, day_kg, spread, due)
        while week < week_ends.size and week_ends[week] < due:
            week += 1
        if week < week_ends.size:
            delivered_kg[week] += fill_kg - (level_kg - taken)
        level_kg = fill_kg + taken
        due = max(first_day(sums, slope, day_kg, spread, taken + (fill_kg - reserve_kg)), due + 1)


@jit
def of_draws(
    sum_kd: Floats,
    squares: Floats,
    area: Ints,
    group: Ints,
    base_row: Ints,
    slope: Floats,
    day_kg: Floats,
    shake: Floats,
    level_kg: Floats,
    reserve_kg: Floats,
    fill_kg: Floats,
    week_ends: Ints,
    empty: Ints,
    below: Ints,
    burned_kg: Floats,
    delivered_kg: Floats,
) -> None:
    """Work through customers with drawn signatures; see :func:`.plain.outlook_of_draws`."""
    winters = sum_kd.shape[2]
    for i in range(slope.shape[0]):
        for k in range(slope.shape[1]):
            row, winter = base_row[i, k], k % winters
            one_draw(
                sum_kd[area[i], row, winter],
                squares[area[i], row, winter],
                slope[i, k],
                day_kg[i, k],
                shake[i, k],
                level_kg[i, k],
                reserve_kg[i],
                fill_kg[i],
                empty[i],
                below[i],
                week_ends,
                burned_kg[group[i], k],
                delivered_kg[group[i], k],
            )

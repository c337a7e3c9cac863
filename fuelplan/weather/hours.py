"""Hourly values put into local days, with summer time, short gaps and repeated hours."""

from __future__ import annotations

from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

import numpy as np
from numpy.typing import NDArray

from fuelplan.weather.record import Floats

HOURS = 24
MOST_HOURS_INTERPOLATED = 4
LEAST_HOURS = 21
"""A day needs this many hours, after short gaps have been interpolated, to have a mean: fewer would lean it
towards
day or night."""

Ints = NDArray[np.int64]


def local_clock_hours(utc_hours: Ints, time_zone: str) -> Ints:
    """Return hours by the local clock, summer time included, from hours in UTC.

    Parameters
    ----------
    utc_hours
        Whole hours since 1970-01-01 00:00 UTC, rising, shape (n,). [h]
    time_zone
        IANA name.

    Returns
    -------
    array
        Hours since 1970-01-01 00:00 on the local clock; the hour that is repeated in autumn appears twice.
        [h]
    """
    if len(utc_hours) == 0 or time_zone == "UTC":
        return utc_hours
    changes, offsets = _offsets(int(utc_hours.min()), int(utc_hours.max()), time_zone)
    return utc_hours + offsets[np.searchsorted(changes, utc_hours, side="right") - 1]


def _offsets(first: int, last: int, time_zone: str) -> tuple[Ints, Ints]:
    """Return the hours (UTC) at which the offset changes, and the whole-hour offsets that hold from them
    on. [h, h]"""
    zone, origin = ZoneInfo(time_zone), datetime(1970, 1, 1, tzinfo=ZoneInfo("UTC"))

    def offset(hour: int) -> int:
        shift = (origin + timedelta(hours=hour)).astimezone(zone).utcoffset()
        return 0 if shift is None else round(shift.total_seconds() / 3600.0)

    changes, offsets = [first], [offset(first)]
    hour = first
    while hour < last:
        step = min(hour + 24 * 7, last)
        if offset(step) != offsets[-1]:
            low, high = hour, step
            while high - low > 1:
                middle = (low + high) // 2
                low, high = (middle, high) if offset(middle) == offsets[-1] else (low, middle)
            changes.append(high)
            offsets.append(offset(high))
        hour = step
    return np.array(changes), np.array(offsets)


def standard_offset_h(time_zone: str, hour: int) -> int:
    """Return the offset of winter time from UTC in the year of an hour since 1970, whole hours. [h]"""
    year = (datetime(1970, 1, 1) + timedelta(hours=hour)).year
    zone = ZoneInfo(time_zone)
    shifts = [datetime(year, month, 1, tzinfo=zone).utcoffset() or timedelta(0) for month in (1, 7)]
    return round(min(shifts).total_seconds() / 3600.0)


def table_of_days(clock_hours: Ints, values: Floats) -> tuple[date, Floats]:
    """Return the first day and the values as (days, 24) by clock hour, NaN where none; repeats are averaged.

    Parameters
    ----------
    clock_hours
        Whole hours since 1970-01-01 00:00 on the clock, any order, shape (n,). [h]
    values
        Shape (n,), NaN where not known.
    """
    first = int(clock_hours.min()) // HOURS
    size = (int(clock_hours.max()) // HOURS - first + 1) * HOURS
    known = np.isfinite(values)
    at = (clock_hours - first * HOURS)[known]
    count = np.bincount(at, minlength=size).astype(np.float64)
    total = np.bincount(at, weights=values[known], minlength=size)
    table = np.divide(total, count, out=np.full(size, np.nan), where=count > 0)
    return date(1970, 1, 1) + timedelta(days=first), table.reshape(-1, HOURS)


def bridge_short_gaps(table: Floats, most_hours: int = MOST_HOURS_INTERPOLATED) -> Floats:
    """Return hourly values, shape (days, 24), with gaps of up to `most_hours` interpolated along the
    clock."""
    flat = table.ravel()
    known = np.isfinite(flat)
    if known.all() or not known.any():
        return table
    at = np.arange(len(flat))
    before = np.maximum.accumulate(np.where(known, at, -1))
    after = np.minimum.accumulate(np.where(known, at, len(flat))[::-1])[::-1]
    short = ~known & (before >= 0) & (after < len(flat)) & (after - before - 1 <= most_hours)
    filled = flat.copy()
    filled[short] = np.interp(at[short], at[known], flat[known])
    return filled.reshape(table.shape)


def daily_from_hourly(table: Floats) -> tuple[Floats, Floats, Floats]:
    """Return mean, minimum and maximum of each day, NaN where fewer than 21 hours are known, shape (days,).

    Parameters
    ----------
    table
        Hourly values by clock hour, short gaps bridged, shape (days, 24).
    """
    known = np.isfinite(table)
    count = known.sum(axis=1)
    enough = count >= LEAST_HOURS
    mean = np.where(known, table, 0.0).sum(axis=1) / np.maximum(count, 1)
    low = np.where(known, table, np.inf).min(axis=1)
    high = np.where(known, table, -np.inf).max(axis=1)
    return tuple(np.where(enough, x, np.nan) for x in (mean, low, high))  # type: ignore[return-value]

"""Sums of daily degree-days over any time, with the number of days that are missing from them."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

from fuelplan.weather.degree_days.daily import Floats, _floats

Period = Literal["day", "month", "year"]
_NUMPY_UNIT: dict[str, Literal["D", "M", "Y"]] = {"day": "D", "month": "M", "year": "Y"}


@dataclass(frozen=True)
class Periods:
    """Sums by day, month or year, oldest first.

    Attributes
    ----------
    start
        First day of each calendar period, also where the record begins later in it; shape (periods,).
    values
        Sum of the known days of each; NaN where none is known; shape (periods,). [K d]
    days, missing
        Days of each period inside the record, and how many of them have no value; shape (periods,).
    """

    start: NDArray[np.datetime64]
    values: Floats
    days: NDArray[np.int64]
    missing: NDArray[np.int64]


def by_period(first_day: date, values: ArrayLike, by: Period) -> Periods:
    """Sum daily degree-days by day, month or year.

    Parameters
    ----------
    first_day
        Date of entry 0.
    values
        Shape (days,), NaN where missing. [K d]
    by
        "day", "month" or "year".

    Returns
    -------
    Periods
        Sums of the known days, with how many are missing from each. [K d]

    Raises
    ------
    ValueError
        For another period, or values of more than one axis.
    """
    if by not in _NUMPY_UNIT:
        raise ValueError(f'"{by}" is not a period; write day, month or year')
    days = _one_axis(values)
    dates = np.datetime64(first_day, "D") + np.arange(len(days))
    starts, inverse = np.unique(dates.astype(f"datetime64[{_NUMPY_UNIT[by]}]"), return_inverse=True)
    gone = np.isnan(days)
    count = np.bincount(inverse, minlength=len(starts)).astype(np.int64)
    missing = np.bincount(inverse, weights=gone, minlength=len(starts)).astype(np.int64)
    sums = np.bincount(inverse, weights=np.where(gone, 0.0, days), minlength=len(starts))
    return Periods(starts.astype("datetime64[D]"), np.where(missing == count, np.nan, sums), count, missing)


def _one_axis(values: ArrayLike) -> Floats:
    """Return the values, refusing anything but one axis of days."""
    days = _floats(values)
    if days.ndim != 1:
        raise ValueError(f"one value a day is needed, shape (days,), not {days.shape}")
    return days

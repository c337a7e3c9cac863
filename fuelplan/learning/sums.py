"""Running sums of degree-days over half-days, for many base temperatures and several places."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

import numpy as np
from numpy.typing import NDArray

from fuelplan.learning.prior import SignatureError

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

BASE_STEP_C = 0.25
"""Step of the table of base temperatures. [K]"""

LOWEST_BASE_C, HIGHEST_BASE_C = -10.0, 30.0

REACH_SD = 5.2
"""How many standard deviations of the prior base temperature the table must reach to either side."""


@dataclass(frozen=True)
class DegreeDaySums:
    """Running sums from the morning of day 0; entry 2·t is the morning of day t, 2·t + 1 its middle.

    Attributes
    ----------
    base_c
        Shape (bases,). [degC]
    degree_days, squared
        Shape (stations, bases, 2·days + 1): sums of the degree-days and of their squares. [K·d, K²·d]
    days, days_squared
        Shape (stations, 2·days + 1): sums of the days in use and of their squares. [d]
    wave
        The same of days times a yearly wave, 1 in the middle of January; see :func:`yearly_wave`. [d]
    """

    base_c: Floats
    degree_days: Floats
    squared: Floats
    days: Floats
    days_squared: Floats
    wave: Floats

    def index_of_base(self, base_c: Floats) -> Ints:
        """Return the entries of the table nearest to some base temperatures, inside the table."""
        index = np.rint((np.asarray(base_c) - self.base_c[0]) / BASE_STEP_C).astype(np.int64)
        inside: Ints = np.clip(index, 0, len(self.base_c) - 1)
        return inside


def running_sums(
    mean_c: Floats,
    activity: Floats | None = None,
    lowest_c: float = LOWEST_BASE_C,
    highest_c: float = HIGHEST_BASE_C,
    first_day: date | None = None,
) -> DegreeDaySums:
    """Return the running sums of one or several weather records.

    Parameters
    ----------
    mean_c
        Shape (stations, days), daily mean temperature without gaps. [degC]
    activity
        Shape (stations, days): 0 for a day without use, 1 for a usual one; None for all 1.
    lowest_c, highest_c
        Range of the table. [degC]
    first_day
        Date of day 0; None where the wave of the year is not wanted: it is then 0.

    Returns
    -------
    DegreeDaySums
        Of every station, for bases :data:`BASE_STEP_C` apart.

    Raises
    ------
    SignatureError
        Where a day has no temperature, or an activity is below 0.
    """
    if not np.isfinite(mean_c).all():
        raise SignatureError("the weather has days without a temperature; fill the gaps first")
    base_c = np.arange(np.floor(lowest_c / BASE_STEP_C), np.ceil(highest_c / BASE_STEP_C) + 1) * BASE_STEP_C
    share = np.ones_like(mean_c) if activity is None else np.broadcast_to(activity, mean_c.shape)
    if not (np.isfinite(share).all() and (share >= 0).all()):
        raise SignatureError("activity must be 0 or more on every day")
    daily = np.maximum(0.0, base_c[None, :, None] - mean_c[:, None, :]) * share[:, None, :]
    dates = None if first_day is None else np.datetime64(first_day, "D") + np.arange(mean_c.shape[1])
    wave = np.zeros(mean_c.shape[1]) if dates is None else yearly_wave(dates)
    return DegreeDaySums(
        base_c,
        _half_days(daily),
        _half_days(daily**2),
        _half_days(share),
        _half_days(share**2),
        _half_days(share * wave),
    )


def yearly_wave(dates: NDArray[np.datetime64]) -> Floats:
    """Return a wave that is 1 in the middle of January and −1 in the middle of July, shape (days,)."""
    day = (dates - dates.astype("datetime64[Y]")).astype("timedelta64[D]").astype(float)
    return np.asarray(np.cos(2 * np.pi * (day - 14.0) / 365.25))


def _half_days(daily: Floats) -> Floats:
    """Running sum at mornings and, half-way between them, at middays: (..., days) → (..., 2·days + 1)."""
    mornings = np.zeros((*daily.shape[:-1], daily.shape[-1] + 1))
    np.cumsum(daily, axis=-1, out=mornings[..., 1:])
    out = np.empty((*daily.shape[:-1], 2 * daily.shape[-1] + 1))
    out[..., ::2] = mornings
    out[..., 1::2] = 0.5 * (mornings[..., 1:] + mornings[..., :-1])
    return out

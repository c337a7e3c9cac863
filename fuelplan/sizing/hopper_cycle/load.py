"""Heat load at fifteen minutes or finer, from daily heat and the day's temperatures."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from fuelplan.store.hopper import HopperError

Floats = NDArray[np.float64]

# How far the temperature stands below the day's maximum, as a share of the day's range, by clock hour 0 to 23
# (ASHRAE Fundamentals, fraction of daily temperature range; value from memory).
_BELOW_MAXIMUM = np.array(
    [
        "0.82",
        "0.88",
        "0.92",
        "0.95",
        "0.98",
        "1.00",
        "0.98",
        "0.91",
        "0.74",
        "0.55",
        "0.38",
        "0.23",
        "0.13",
        "0.05",
        "0.00",
        "0.00",
        "0.06",
        "0.14",
        "0.24",
        "0.39",
        "0.50",
        "0.59",
        "0.68",
        "0.75",
    ],
    dtype=float,
)

# Daily range where neither minimum nor maximum is known (our assumption, a winter's day). [K]
USUAL_RANGE_K = 6.0

# When hot water is drawn, share of the day by clock hour (our assumption: mornings and evenings).
HOT_WATER_BY_HOUR = (
    np.array([0, 0, 0, 0, 0, 1, 3, 3, 2, 1, 1, 1, 1, 1, 0.5, 0.5, 1, 2, 3, 3, 2, 1.5, 1, 0.5]) / 29.0
)


def hourly_from_daily_c(mean_c: ArrayLike, min_c: ArrayLike, max_c: ArrayLike) -> Floats:
    """Return hourly temperatures with the given daily mean and the day's own range.

    T(h) = mean + range · (mean share − share(h)), the share by hour as in ASHRAE Fundamentals (value from
    memory): coldest at 5 o'clock, warmest at 14 to 15. Where minimum or maximum is NaN the range is 6 K
    (our assumption).

    Parameters
    ----------
    mean_c, min_c, max_c
        Shape (..., days). [degC]

    Returns
    -------
    Shape (..., days, 24). [degC]
    """
    mean, low, high = np.broadcast_arrays(
        np.asarray(mean_c, float), np.asarray(min_c, float), np.asarray(max_c, float)
    )
    range_k = high - low
    range_k = np.where(np.isnan(range_k), USUAL_RANGE_K, np.maximum(range_k, 0.0))
    swing = _BELOW_MAXIMUM.mean() - _BELOW_MAXIMUM
    return np.asarray(mean[..., None] + range_k[..., None] * swing)


def heat_by_step(
    space_kwh: Floats,
    hourly_c: Floats,
    base_c: float,
    *,
    hot_water_kwh: Floats | float = 0.0,
    by_hour: ArrayLike | None = None,
    step_min: int = 15,
) -> Floats:
    """Spread each day's heat over its steps.

    Space heat follows max(0, base − T) hour by hour, straight between the hours' middles; the day's sum
    stays what `space_kwh` says, so that this room never changes the yearly use. A day with heat but no cold
    hour is spread evenly.

    Parameters
    ----------
    space_kwh
        Shape (winters, days): heat for the building. [kWh/day]
    hourly_c
        Shape (winters, days, 24). [degC]
    base_c
        Base temperature. [degC]
    hot_water_kwh
        Shape (winters, days) or one number: drawn in the mornings and evenings. [kWh/day]
    by_hour
        Shape (24,): a weight for space heat by clock hour, for set-back and start-up; None for none. [-]
    step_min
        Minutes of a step; divides 60, at most 15. [min]

    Returns
    -------
    Shape (winters, days · steps a day). [kWh per step]
    """
    per_hour = steps_per_hour(step_min)
    space = np.asarray(space_kwh, float)
    if hourly_c.shape != (*space.shape, 24):
        raise HopperError(
            f"hourly_c has the shape {hourly_c.shape}; for this heat it must be {(*space.shape, 24)}"
        )
    if not (np.all(np.isfinite(space)) and np.all(space >= 0) and np.all(np.isfinite(hourly_c))):
        raise HopperError(
            "heat and temperatures must be known on every day; fill the gaps in the weather first"
        )
    weight = np.maximum(0.0, base_c - hourly_c)
    if by_hour is not None:
        weight = weight * np.asarray(by_hour, float)
    total = weight.sum(axis=-1, keepdims=True)
    share = np.where(total > 0, weight / np.where(total > 0, total, 1.0), 1 / 24)
    water = np.broadcast_to(np.asarray(hot_water_kwh, float), space.shape)
    hourly = share * space[..., None] + HOT_WATER_BY_HOUR * water[..., None]
    steps = _between_hours(hourly, per_hour)
    return steps.reshape(space.shape[0], -1)


def steps_per_hour(step_min: int) -> int:
    """Return steps an hour; refuses steps that do not divide it or are coarser than 15 minutes.

    Parameters
    ----------
    step_min
        Length of a step. [min]

    Raises
    ------
    HopperError
        Another step.
    """
    if step_min < 1 or step_min > 15 or 60 % step_min:
        raise HopperError(f"a step of {step_min} min: write 15, 12, 10, 6, 5, 4, 3, 2 or 1")
    return 60 // step_min


def _between_hours(hourly_kwh: Floats, per_hour: int) -> Floats:
    """Steps on straight lines between the middles of the hours, each day's sum kept: (..., 24) -> (..., 24
    n)."""
    steps = 24 * per_hour
    at = (np.arange(steps) + 0.5) / per_hour - 0.5  # in hours, from the middle of hour 0
    left = np.clip(np.floor(at).astype(int), 0, 23)
    right = np.clip(left + 1, 0, 23)
    part = np.clip(at - left, 0.0, 1.0)
    raw = hourly_kwh[..., left] * (1 - part) + hourly_kwh[..., right] * part
    total = raw.sum(axis=-1, keepdims=True)
    scale = np.where(total > 0, hourly_kwh.sum(axis=-1, keepdims=True) / np.where(total > 0, total, 1.0), 0.0)
    return np.asarray(raw * scale)

"""Degree-days of single days: from the daily mean, from hours, and from the highest and lowest temperature.

A missing temperature (NaN) gives a missing degree-day, never zero: no record does not mean no heat demand.
Every function takes arrays of any shape that broadcast with each other and with `base_c`.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]


def heating_from_mean(mean_c: ArrayLike, base_c: ArrayLike) -> Floats:
    """Degree-days from the daily mean: base less mean, where that is above 0.

    Parameters
    ----------
    mean_c
        Daily mean outdoor temperature, any shape. [degC]
    base_c
        Base temperature. [degC]

    Returns
    -------
    array
        Heating degree-days, the broadcast shape. [K d]

    References
    ----------
    ASHRAE Handbook of Fundamentals 2021, chapter 14, "Degree-Days and Degree-Hours".
    """
    return np.maximum(_floats(base_c) - _floats(mean_c), 0.0)


def heating_from_hours(hourly_c: ArrayLike, base_c: ArrayLike) -> Floats:
    """Degree-days from hours: the mean over the day of base less temperature, in the hours where that is
    above 0.

    Parameters
    ----------
    hourly_c
        Temperatures at equal steps through the day on the last axis, shape (..., steps), usually 24. [degC]
    base_c
        Base temperature, broadcast with the shape (...). [degC]

    Returns
    -------
    array
        Heating degree-days, shape (...); NaN where any step of the day is missing. [K d]

    References
    ----------
    ISO 15927-6:2007, accumulated hourly temperature differences [K h], here divided by 24.
    """
    base = _floats(base_c)[..., np.newaxis]
    return np.asarray(np.maximum(base - _floats(hourly_c), 0.0).mean(axis=-1))


def heating_from_max_min(min_c: ArrayLike, max_c: ArrayLike, base_c: ArrayLike) -> Floats:
    """Degree-days by the four rules for the day's lowest and highest temperature.

    With Tb the base and the middle M = (Tmin + Tmax)/2:

    ===========================  =================================
    Tmin >= Tb                   0
    Tmin < Tb < M                (Tb - Tmin)/4
    M <= Tb <= Tmax              (Tb - Tmin)/2 - (Tmax - Tb)/4
    Tmax < Tb                    Tb - M
    ===========================  =================================

    Parameters
    ----------
    min_c, max_c
        Lowest and highest temperature of the day. [degC]
    base_c
        Base temperature. [degC]

    Returns
    -------
    array
        Heating degree-days. [K d]

    Raises
    ------
    ValueError
        Where a lowest temperature is above the highest.

    References
    ----------
    The rules of the UK Met Office as printed by Met Éireann.
    """
    low, high, base = np.broadcast_arrays(_floats(min_c), _floats(max_c), _floats(base_c))
    _refuse_crossed(low, high)
    middle = (low + high) / 2
    partly = (base - low) / 2 - (high - base) / 4
    result = np.select(
        [low >= base, middle > base, high >= base, high < base],
        [np.zeros_like(middle), (base - low) / 4, partly, base - middle],
        default=np.nan,
    )
    return np.where(np.isnan(middle), np.nan, result)


def heating_from_middle(min_c: ArrayLike, max_c: ArrayLike, base_c: ArrayLike) -> Floats:
    """Degree-days from the middle of the day's lowest and highest temperature, taken as its mean. [K d]

    Raises ValueError where a lowest temperature is above the highest. Source: the same as
    `heating_from_mean`; the middle of highest and lowest is the daily mean of the US National Weather
    Service.

    Parameters
    ----------
    min_c, max_c
        Lowest and highest temperature of each day, NaN where missing. [degC]
    base_c
        Base temperature. [degC]

    Returns
    -------
    Floats
        Degree-days of each day. [K d]
    """
    low, high = _floats(min_c), _floats(max_c)
    _refuse_crossed(*np.broadcast_arrays(low, high))
    return heating_from_mean((low + high) / 2, base_c)


def heating_whole_fahrenheit(min_f: ArrayLike, max_f: ArrayLike, base_f: ArrayLike = 65.0) -> Floats:
    """Degree-days of the US weather service: whole degrees Fahrenheit, the mean of the day rounded half up.

    Parameters
    ----------
    min_f, max_f
        Lowest and highest temperature of the day, whole degrees. [degF]
    base_f
        Base temperature. [degF]

    Returns
    -------
    array
        Heating degree-days, whole numbers for a whole base. [degF d]

    Raises
    ------
    ValueError
        Where a temperature is not whole, or a lowest one is above the highest.

    References
    ----------
    US National Weather Service, explanation of form F-6 (preliminary monthly climate data).
    """
    low, high = _floats(min_f), _floats(max_f)
    for values in (low, high):
        if not (np.isnan(values) | (values == np.floor(values))).all():
            raise ValueError("the US rule takes whole degrees Fahrenheit; round the temperatures first")
    _refuse_crossed(*np.broadcast_arrays(low, high))
    return heating_from_mean(half_up((low + high) / 2), base_f)


def heating_us(min_c: ArrayLike, max_c: ArrayLike, base_c: ArrayLike) -> Floats:
    """Degree-days by the US rule for temperatures in Celsius: rounded to whole Fahrenheit first. [K d]

    `base_c` is used as it is (65 degF is 18.333 degC). Raises ValueError where a lowest temperature is above
    the highest. Source: as `heating_whole_fahrenheit`.

    Parameters
    ----------
    min_c, max_c
        Lowest and highest temperature of each day, NaN where missing. [degC]
    base_c
        Base temperature. [degC]

    Returns
    -------
    Floats
        Degree-days of each day. [K d]
    """
    low_f, high_f = (half_up(_floats(t) * 9 / 5 + 32) for t in (min_c, max_c))
    return heating_whole_fahrenheit(low_f, high_f, _floats(base_c) * 9 / 5 + 32) * 5 / 9


def half_up(values: ArrayLike) -> Floats:
    """Round to whole numbers, halves upwards; numpy rounds halves to the even neighbour.

    Parameters
    ----------
    values
        Any shape. [-]

    Returns
    -------
    array
        Whole numbers as floats, the same shape; NaN stays NaN. [-]
    """
    return np.floor(_floats(values) + 0.5)


def _floats(values: ArrayLike) -> Floats:
    """Return the values as float64; None and masked values are no numbers of ours."""
    return np.asarray(values, dtype=np.float64)


def _refuse_crossed(low: Floats, high: Floats) -> None:
    """Raise where the lowest temperature is above the highest."""
    crossed = low > high
    if crossed.any():
        where = int(np.argmax(crossed))
        raise ValueError(
            f"the lowest temperature {low.flat[where]:g} is above the highest {high.flat[where]:g} "
            f"(entry {where}); exchange them or mark the day as missing"
        )

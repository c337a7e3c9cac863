"""Sums that count from the indoor temperature, on heating days alone: 20/15, 20/12, 18/15."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from fuelplan.weather.degree_days.daily import Floats, _floats


def heating_day(mean_c: ArrayLike, threshold_c: ArrayLike, *, inclusive: bool = False) -> Floats:
    """Return 1 where a day is a heating day, 0 where it is not, NaN where its mean is not known.

    A day is a heating day when its mean lies below the threshold, or at it with `inclusive`.

    Parameters
    ----------
    mean_c, threshold_c
        Daily means, and the mean from which a day is no heating day. [degC]
    inclusive
        Whether a mean of just the threshold still is one.

    Returns
    -------
    array
        1, 0 or NaN, the broadcast shape. [-]
    """
    mean, threshold = np.broadcast_arrays(_floats(mean_c), _floats(threshold_c))
    heated = mean <= threshold if inclusive else mean < threshold
    return np.where(np.isnan(mean) | np.isnan(threshold), np.nan, heated.astype(np.float64))


def indoor_referenced(
    mean_c: ArrayLike, indoor_c: ArrayLike, threshold_c: ArrayLike, *, inclusive: bool = False
) -> Floats:
    """Degree-days that count from the indoor temperature on heating days: indoor less mean below the
    threshold.

    Parameters
    ----------
    mean_c
        Daily mean outdoor temperature. [degC]
    indoor_c
        Indoor temperature. [degC]
    threshold_c
        Heating threshold. [degC]
    inclusive
        Whether a day exactly at the threshold is heated.

    Returns
    -------
    array
        [K d]

    References
    ----------
    VDI 3807 (20/15), SIA 381/3 (20/12); the threshold itself is not heated there.
    """
    heated = heating_day(mean_c, threshold_c, inclusive=inclusive)
    return np.where(heated == 0.0, 0.0, (_floats(indoor_c) - _floats(mean_c)) * heated)


def indoor_20_15(mean_c: ArrayLike) -> Floats:
    """Degree-days 20/15: from 20 degC indoors on days below 15 degC. Source: VDI 3807. [K d]

    Parameters
    ----------
    mean_c
        Daily means, NaN where missing. [degC]

    Returns
    -------
    array
        Degree-days of each day, shape of `mean_c`. [K d]
    """
    return indoor_referenced(mean_c, 20.0, 15.0)


def indoor_20_12(mean_c: ArrayLike) -> Floats:
    """Degree-days 20/12: from 20 degC indoors on days below 12 degC. Source: SIA 381/3. [K d]

    Parameters
    ----------
    mean_c
        Daily means, NaN where missing. [degC]

    Returns
    -------
    array
        Degree-days of each day, shape of `mean_c`. [K d]
    """
    return indoor_referenced(mean_c, 20.0, 12.0)


def indoor_18_15(mean_c: ArrayLike) -> Floats:
    """Degree-days 18/15: from 18 degC on days of 15 degC or less. Source: Eurostat (from memory). [K d]

    Parameters
    ----------
    mean_c
        Daily means, NaN where missing. [degC]

    Returns
    -------
    array
        Degree-days of each day, shape of `mean_c`. [K d]
    """
    return indoor_referenced(mean_c, 18.0, 15.0, inclusive=True)

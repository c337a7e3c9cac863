"""Degree-days of a month from its mean temperature alone, or from its mean and the spread of its days.

A month's mean hides its cold days: base less mean misses all of them in spring and autumn. Each formula here
is a smooth version of max(0, base - mean) with a corner as wide as the days scatter. `days` is the length of
the month.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from fuelplan.weather.degree_days.daily import Floats, _floats

HITCHIN_K = 0.71
"""Constant of Hitchin's formula [1/K]."""

ERBS_A = 1.698
"""Constant of the formula of Erbs, Klein and Beckman (value from memory)."""

NO_SPREAD_K = 1e-6
"""A spread below this is none: dividing by it could only overflow [K]."""


def heating_hitchin(mean_c: ArrayLike, days: ArrayLike, base_c: ArrayLike, k: float = HITCHIN_K) -> Floats:
    """Degree-days of a month by Hitchin's formula: N x / (1 - exp(-k x)) with x = base less mean.

    Parameters
    ----------
    mean_c
        Mean temperature of the month. [degC]
    days
        Length N of the month. [days]
    base_c
        Base temperature. [degC]
    k
        Constant of the place. [1/K]

    Returns
    -------
    array
        Heating degree-days of the month; N/k where the mean is the base. [K d]

    References
    ----------
    CIBSE TM41: Degree-days: theory and application, 2006 (formula from memory).
    """
    x = _floats(base_c) - _floats(mean_c)
    return _floats(days) * _smooth_corner(x, _floats(k))


def heating_iso(mean_c: ArrayLike, sd_c: ArrayLike, days: ArrayLike, base_c: ArrayLike) -> Floats:
    """Degree-days of a month from its mean and the spread of its days, by the form of ISO 15927-6.

    N x / (1 - exp(-sqrt(2 pi) x / sd)) with x = base less mean, and N sd / sqrt(2 pi) where x is 0.

    Parameters
    ----------
    mean_c
        Mean temperature of the month. [degC]
    sd_c
        Standard deviation of its daily means; 0 gives N max(0, x). [K]
    days
        Length N of the month. [days]
    base_c
        Base temperature. [degC]

    Returns
    -------
    array
        Heating degree-days of the month. [K d]

    Raises
    ------
    ValueError
        When a standard deviation is negative.

    References
    ----------
    ISO 15927-6:2007; ASHRAE Handbook of Fundamentals 2021, chapter 14, eq. 38 and 39.
    """
    sd = _spread(sd_c)
    x, sd = np.broadcast_arrays(_floats(base_c) - _floats(mean_c), sd)
    none = sd < NO_SPREAD_K
    steepness = np.sqrt(2 * np.pi) / np.where(none, 1.0, sd)
    return _floats(days) * np.where(none, np.maximum(x, 0.0), _smooth_corner(x, steepness))


def heating_normal(mean_c: ArrayLike, sd_c: ArrayLike, days: ArrayLike, base_c: ArrayLike) -> Floats:
    """Return degree-days of a month with normal days: N sd (Z F(Z) + f(Z)) with Z = (base - mean)/sd. [K d]

    Parameters
    ----------
    mean_c
        Mean temperature of the month. [degC]
    sd_c
        Standard deviation of its daily means; 0 gives N max(0, base - mean). [K]
    days
        Length N of the month. [days]
    base_c
        Base temperature. [degC]

    Returns
    -------
    array
        Heating degree-days of the month, the broadcast shape. [K d]

    Raises
    ------
    ValueError
        When a standard deviation is negative.

    References
    ----------
    Schoenau, G. J. and Kehrig, R. A.: Method for calculating degree-days to any base temperature. Energy and
    Buildings 14 (1990); ASHRAE Handbook of Fundamentals 2021, chapter 14.
    """
    from scipy.special import ndtr

    x, sd = np.broadcast_arrays(_floats(base_c) - _floats(mean_c), _spread(sd_c))
    none = sd < NO_SPREAD_K
    divisor = np.where(none, 1.0, sd)
    z = x / divisor
    density = np.exp(-(z**2) / 2) / np.sqrt(2 * np.pi)
    share_below: Floats = ndtr(z)
    mean: Floats = np.where(none, np.maximum(x, 0.0), x * share_below + divisor * density)
    return _floats(days) * mean


def erbs_spread(mean_c: ArrayLike, sd_of_months_c: ArrayLike) -> Floats:
    """Return the spread that the formula of Erbs takes: 1.45 - 0.0290 mean + 0.0664 sd of the months. [K]

    Parameters
    ----------
    mean_c
        Mean temperature of the month. [degC]
    sd_of_months_c
        Standard deviation of the twelve monthly means about their yearly mean. [K]

    Returns
    -------
    array
        Standard deviation of the daily means of a month, the broadcast shape. [K]

    References
    ----------
    Erbs, Klein and Beckman 1983 (values from memory).
    """
    return 1.45 - 0.0290 * _floats(mean_c) + 0.0664 * _floats(sd_of_months_c)


def heating_erbs(
    mean_c: ArrayLike, days: ArrayLike, base_c: ArrayLike, *, sd_of_months_c: ArrayLike
) -> Floats:
    """Degree-days of a month from its mean alone, by Erbs, Klein and Beckman.

    s N^(3/2) (h/2 + ln cosh(1.698 h)/3.396 + 0.2041) with h = (base - mean)/(s sqrt(N)) and s from
    `erbs_spread`.

    Parameters
    ----------
    mean_c
        Mean temperature of the month. [degC]
    days
        Length N of the month. [days]
    base_c
        Base temperature. [degC]
    sd_of_months_c
        Standard deviation of the twelve monthly means about their yearly mean. [K]

    Returns
    -------
    array
        Heating degree-days of the month. [K d]

    References
    ----------
    Erbs, D. G., Klein, S. A. and Beckman, W. A.: Estimation of degree-days and ambient temperature bin data
    from monthly-average temperatures. 1983 (formula from memory).
    """
    n = _floats(days)
    width = erbs_spread(mean_c, sd_of_months_c) * np.sqrt(n)
    h = (_floats(base_c) - _floats(mean_c)) / width
    steep = ERBS_A * np.abs(h)
    # ln cosh(steep) + ln 2, written so that it cannot overflow
    corner: Floats = (steep + np.log1p(np.exp(-2 * steep))) / (2 * ERBS_A)
    return n * width * (h / 2 + corner)


def _smooth_corner(x: Floats, steepness: Floats) -> Floats:
    """Return x/(1 - exp(-steepness x)), and its limit 1/steepness at 0.

    Far below 0 the exponential grows without bound and the value goes to 0, so it is cut off before it
    overflows.
    """
    kx = np.clip(steepness * x, -700.0, None)
    near = np.abs(kx) < 1e-9
    with np.errstate(over="ignore"):
        corner = x / -np.expm1(-np.where(near, 1.0, kx))
    return np.where(near, 1.0 / steepness, corner)


def _spread(sd_c: ArrayLike) -> Floats:
    """Return a standard deviation, refusing negative ones."""
    sd = _floats(sd_c)
    if (sd < 0).any():
        raise ValueError("a standard deviation is negative; write 0 or more")
    return sd

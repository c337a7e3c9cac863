"""How fast a weather record has warmed, with an error that allows for warm years coming in rows."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from fuelplan.weather.record import DailyWeather
from fuelplan.weather.seasons import TooLittleWeather, Trend, decimal_year, fit_cycle, yearly_means

FEWEST_YEARS = 8
"""Whole years below which no warming is read off a record by itself (our choice: with fewer the error of the
error is as large as itself)."""


@dataclass(frozen=True)
class Warming:
    """The slope of a record's yearly means.

    Attributes
    ----------
    k_per_decade, se_k_per_decade
        By least squares, and its standard error by Newey & West (Econometrica 55, 1987), with the
        small-sample factor n/(n − 2). [K/decade]
    plain_se_k_per_decade
        The error as if years knew nothing of each other. [K/decade]
    years, lags
        Whole years behind it, and how many years apart they may still be alike.
    used_k_per_decade
        What past winters are corrected for: the slope drawn towards the region's
        (:func:`fuelplan.weather.seasons.shrunk_slope`). [K/decade]
    """

    k_per_decade: float
    se_k_per_decade: float
    plain_se_k_per_decade: float
    years: int
    lags: int
    used_k_per_decade: float


def record_warming(weather: DailyWeather, trend: Trend | None = None) -> Warming | None:
    """Return the warming of a record; None for a reference year, or below :data:`FEWEST_YEARS` whole years.

    The number of lags follows Newey & West (Review of Economic Studies 61, 1994): the whole part of
    4·(n/100)^(2/9).

    Parameters
    ----------
    weather
        The record; unknown days are left out.
    trend
        Belief about the warming of the region, as in
        :func:`fuelplan.weather.winters.possible_winters`.

    Returns
    -------
    Warming or None
        With a standard error that allows for warm years in rows.
    """
    if weather.reference_year:
        return None
    dates = weather.dates
    try:
        cycle = fit_cycle(weather)
    except TooLittleWeather:
        return None  # not a whole year of seasons
    at, means = yearly_means(decimal_year(dates), weather.mean_c - cycle.mean_c(dates))
    if len(at) < FEWEST_YEARS:
        return None
    from statsmodels.regression.linear_model import OLS

    line = OLS(means, np.column_stack([np.ones(len(at)), at]))
    lags = int(4 * (len(at) / 100) ** (2 / 9))
    plain, robust = line.fit(), line.fit(cov_type="HAC", cov_kwds={"maxlags": lags, "use_correction": True})
    return Warming(
        k_per_decade=10 * float(plain.params[1]),
        se_k_per_decade=10 * float(robust.bse[1]),
        plain_se_k_per_decade=10 * float(plain.bse[1]),
        years=len(at),
        lags=lags,
        used_k_per_decade=10 * fit_cycle(weather, trend or Trend()).slope_c_per_year,
    )

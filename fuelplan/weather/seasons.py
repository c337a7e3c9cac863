"""The usual year of a place: the yearly cycle of the daily mean, its spread, and the warming trend."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

import numpy as np

from fuelplan.messages import Refusal, message
from fuelplan.weather.record import DailyWeather, Dates, Floats, Origin

MONTHS = 12


class TooLittleWeather(Refusal):
    """A record cannot give a usual year, or not a single possible winter."""


@dataclass(frozen=True)
class Trend:
    """What is believed of the warming of a region before its record is read.

    Attributes
    ----------
    regional_k_per_decade, regional_sd_k_per_decade
        Warming of the region and the doubt of that figure. Values from memory: land of the northern
        mid-latitudes has warmed by about 0.3 K per decade since 1980, Europe by 0.3 to 0.5. [K/decade]
    """

    regional_k_per_decade: float = 0.3
    regional_sd_k_per_decade: float = 0.15


@dataclass(frozen=True)
class YearlyCycle:
    """Usual daily mean over the year as a sum of harmonics, with a straight trend.

    Attributes
    ----------
    coefficients
        Shape (1 + 2·harmonics,): mean, then cosine and sine of each harmonic of the year. [degC]
    spread
        Shape (3,): the standard deviation of a day about the mean, as mean, cosine and sine of the year. [K]
    slope_c_per_year, at_year
        Trend, and the decimal year in which the coefficients hold. [K/year, year]
    """

    coefficients: Floats
    spread: Floats
    slope_c_per_year: float
    at_year: float

    def mean_c(self, dates: Dates) -> Floats:
        """Return the usual daily mean of each date, trend included, shape of `dates`. [degC]"""
        trend = self.slope_c_per_year * (decimal_year(dates) - self.at_year)
        return np.asarray(
            harmonic_basis(dates, (len(self.coefficients) - 1) // 2) @ self.coefficients + trend
        )

    def sd_c(self, dates: Dates) -> Floats:
        """Return the usual standard deviation of each day about its mean, shape of `dates`. [K]"""
        return np.asarray(np.maximum(harmonic_basis(dates, 1) @ self.spread, 0.3 * self.spread[0]))


def part_of_year(dates: Dates) -> Floats:
    """Return how much of its year is over at noon of each date, 0..1; leap years are 366 days long."""
    year = dates.astype("datetime64[Y]")
    start = year.astype("datetime64[D]")
    length = ((year + 1).astype("datetime64[D]") - start).astype(np.float64)
    return np.asarray(((dates - start).astype(np.float64) + 0.5) / length)


def decimal_year(dates: Dates) -> Floats:
    """Return the date as a number of years, e.g. 2026.04 in mid-January. [year]"""
    return np.asarray(dates.astype("datetime64[Y]").astype(np.int64) + 1970 + part_of_year(dates))


def harmonic_basis(dates: Dates, harmonics: int) -> Floats:
    """Return ones, cosines and sines of the year, shape (days, 1 + 2·harmonics). [-]"""
    angle = 2.0 * np.pi * part_of_year(dates)
    step = np.exp(1j * angle)
    wave = np.ones_like(step)
    columns = [np.ones(len(dates))]
    for _ in range(harmonics):
        wave = wave * step
        columns += [wave.real, wave.imag]
    return np.stack(columns, axis=-1)


def fit_cycle(weather: DailyWeather, trend: Trend | None = None) -> YearlyCycle:
    """Fit the usual year and the trend of a record.

    Three harmonics for records of six years and more, two for shorter ones. Days not known are left out.

    Parameters
    ----------
    weather
        At least ten months of days that are known, reaching over all seasons.
    trend
        Belief about the warming; None leaves the slope at 0.

    Raises
    ------
    TooLittleWeather
        If the record does not reach over a whole year of seasons.
    """
    dates, known = weather.dates, np.isfinite(weather.mean_c)
    if not covers_the_year(weather):
        raise TooLittleWeather(
            message(
                "weather.not_a_year",
                "{days} days of weather do not show a whole year; give at least ten months of days over all "
                "seasons, or twelve monthly means",
                days=int(known.sum()),
            )
        )
    years = known.sum() / 365.25
    basis = harmonic_basis(dates, 3 if years >= 6 else 2)
    values = weather.mean_c
    slope, middle = 0.0, float(decimal_year(dates[known]).mean())
    coefficients = _least_squares(basis[known], values[known])
    if trend is not None:
        residual = values - basis @ coefficients
        slope = shrunk_slope(decimal_year(dates), residual, trend)
        straight = slope * (decimal_year(dates) - middle)
        coefficients = _least_squares(basis[known], (values - straight)[known])
    fitted = YearlyCycle(coefficients, np.array([1.0, 0.0, 0.0]), slope, middle)
    residual = (values - fitted.mean_c(dates))[known]
    lost = basis.shape[1] / max(known.sum() / 10.0, basis.shape[1] + 1.0)  # ten days: about one free value
    squares = residual**2 / (1.0 - min(lost, 0.5))
    # The standard deviation itself is given a yearly wave; E|x| of a normal is sd·√(2/π).
    sizes = np.sqrt(squares) * np.sqrt(np.pi / 2.0)
    spread = _least_squares(harmonic_basis(dates[known], 1), sizes)
    scale = np.sqrt(squares.mean() / np.mean((harmonic_basis(dates[known], 1) @ spread) ** 2))
    return YearlyCycle(coefficients, spread * scale, slope, middle)


def covers_the_year(weather: DailyWeather) -> bool:
    """Return True if at least eleven calendar months have ten known days each."""
    month = weather.dates.astype("datetime64[M]").astype(np.int64) % MONTHS
    counts = np.bincount(month[np.isfinite(weather.mean_c)], minlength=MONTHS)
    return int((counts >= 10).sum()) >= 11


def shrunk_slope(year: Floats, anomaly_c: Floats, trend: Trend) -> float:
    """Return the warming of a record, drawn towards the regional figure as far as the record is unsure.
    [K/year]

    The slope of yearly means and its standard error are weighted against the regional figure by their
    precisions (the normal–normal rule of Bayes). Four years leave the regional figure almost alone; fifty
    are almost free.

    Parameters
    ----------
    year
        Decimal year of each day, shape (days,). [year]
    anomaly_c
        Departure from the usual day, shape (days,), NaN where not known. [K]
    """
    prior, prior_sd = trend.regional_k_per_decade / 10.0, trend.regional_sd_k_per_decade / 10.0
    at, means = yearly_means(year, anomaly_c)
    if len(at) < 3:
        return prior
    spread = at - at.mean()
    slope = float(spread @ means / (spread @ spread))
    residual = means - means.mean() - slope * spread
    # Two years' worth of a 0.6 K year-to-year spread keeps a lucky straight line from looking certain.
    variance = (residual @ residual + 2.0 * 0.6**2) / len(means)
    precision, prior_precision = (spread @ spread) / variance, 1.0 / prior_sd**2
    return float((precision * slope + prior_precision * prior) / (precision + prior_precision))


def yearly_means(year: Floats, anomaly_c: Floats) -> tuple[Floats, Floats]:
    """Return the number of each year of a record that has 300 known days or more, counted from its first
    day, and its mean departure from the usual day, both of the shape (years,). [year, K]

    `year` and `anomaly_c` are those of :func:`shrunk_slope`.
    """
    block = np.floor(year - year[0]).astype(np.int64)
    known = np.isfinite(anomaly_c)
    counts = np.bincount(block[known], minlength=block[-1] + 1)
    full = counts >= 300
    sums = np.bincount(block[known], weights=anomaly_c[known], minlength=len(counts))
    return np.flatnonzero(full).astype(np.float64), np.asarray(sums[full] / counts[full])


def _least_squares(basis: Floats, values: Floats) -> Floats:
    """Solve by the normal equations, steadied by a hair so that a missing season cannot blow up a wave."""
    gram = basis.T @ basis
    gram[np.diag_indices_from(gram)] += 1e-6 * len(values)
    return np.asarray(np.linalg.solve(gram, basis.T @ values))


def month_index(dates: Dates) -> np.ndarray[tuple[int, ...], np.dtype[np.int64]]:
    """Return 0 for January … 11 for December."""
    return np.asarray(dates.astype("datetime64[M]").astype(np.int64) % MONTHS)


def monthly_means(weather: DailyWeather) -> Floats:
    """Return the mean of each calendar month over all years, shape (12,), NaN for a month with no known
    day. [degC]

    Parameters
    ----------
    weather
        Any record; unknown days are left out.

    Returns
    -------
    array
        Shape (12,), January first. [degC]
    """
    known = np.isfinite(weather.mean_c)
    month = month_index(weather.dates)[known]
    counts = np.bincount(month, minlength=MONTHS).astype(np.float64)
    sums = np.bincount(month, weights=weather.mean_c[known], minlength=MONTHS)
    return np.asarray(np.divide(sums, counts, out=np.full(MONTHS, np.nan), where=counts > 0))


def usual_year(weather: DailyWeather, trend: Trend | None = None, year: int = 2024) -> DailyWeather:
    """Return the usual year: the smoothed mean of all winters for each calendar day of a leap year, 366 days.

    Parameters
    ----------
    weather
        The record whose winters are averaged, at least a whole year.
    trend
        With a belief about warming, the year is the usual one at the end of the record; None: of its middle.
    year
        The calendar it is written on.

    Returns
    -------
    DailyWeather
        A reference year with its usual spread of days. [degC, K]

    Raises
    ------
    TooLittleWeather
        If the record does not reach over a whole year of seasons.
    """
    cycle = fit_cycle(weather, trend)
    first = date(year, 1, 1)
    dates = np.datetime64(first, "D") + np.arange((date(year + 1, 1, 1) - first).days)
    at_the_end = float(decimal_year(weather.dates[-1:])[0]) - decimal_year(dates)
    mean = cycle.mean_c(dates) + cycle.slope_c_per_year * at_the_end
    blank = np.full(len(dates), np.nan)
    return DailyWeather(
        first, mean, blank, blank, blank, np.full(len(dates), Origin.USUAL, np.uint8),
        np.zeros(len(dates), np.uint8), weather.sources[:1], weather.place, None, True, cycle.sd_c(dates),
    )  # fmt: skip


def cycle_of_reference_year(weather: DailyWeather) -> YearlyCycle:
    """Return the usual year of a record without real dates: fitted to its days, or through its own smooth
    year."""
    if weather.spread_c is None:
        return fit_cycle(weather)
    basis = harmonic_basis(weather.dates, 6)
    coefficients = np.asarray(np.linalg.lstsq(basis, weather.mean_c, rcond=None)[0], dtype=np.float64)
    wave = harmonic_basis(weather.dates, 1)
    spread = np.asarray(np.linalg.lstsq(wave, weather.spread_c, rcond=None)[0], dtype=np.float64)
    return YearlyCycle(coefficients, spread, 0.0, float(decimal_year(weather.dates[:1])[0]))


def rolling_sums(values: Floats, length: int) -> Floats:
    """Return the sum of each run of `length` values, shape (n − length + 1,), NaN where one of them is not
    known.

    Parameters
    ----------
    values
        Shape (n,), NaN where not known. [any unit]
    length
        How many to add up.

    Returns
    -------
    array
        Sums; empty where there are fewer than `length` values. [the same unit]
    """
    if len(values) < length:
        return np.empty(0)
    known = np.isfinite(values)
    total = np.concatenate([[0.0], np.cumsum(np.where(known, values, 0.0))])
    count = np.concatenate([[0], np.cumsum(known)])
    sums = total[length:] - total[:-length]
    return np.asarray(np.where(count[length:] - count[:-length] == length, sums, np.nan))

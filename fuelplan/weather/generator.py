"""Invented but lifelike weather for a place with few years on record, or with twelve monthly means alone.

A day is its usual temperature plus an anomaly. The anomaly is a sum of four first-order autoregressions
with memories from days to a season, scaled by the spread of the time of year. Autoregression on days alone
has one short memory and loses up to a third of the variance of 30- and 90-day sums, which is what empties a
store; the slow parts put it back.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from fuelplan.weather.record import DailyWeather, Dates, Floats
from fuelplan.weather.seasons import YearlyCycle, fit_cycle, rolling_sums
from fuelplan.weather.steady import steady_normals

Lengths = NDArray[np.int64]

MEMORY_DAYS = np.array([2.0, 6.0, 25.0, 120.0])
"""Time in which each part of the anomaly fades to 1/e. [days]"""

USUAL_SHARES = np.array([0.55, 0.33, 0.08, 0.04])
"""Share of the daily variance in each part where no record shows it (value from memory: monthly means of
mid-latitude
places spread about half as much as their days). [-]"""

WINDOWS = np.array([1, 2, 4, 8, 15, 30, 60, 90])
"""Lengths of the sums whose variance is matched. [days]"""

BELIEF_YEARS = 3.0
"""How many years of record the usual shares are worth when a short record is fitted. [years]"""


@dataclass(frozen=True)
class Generator:
    """A fitted weather generator.

    Attributes
    ----------
    cycle
        The usual year, its spread and trend.
    shares
        Shape (4,): variance of each part of the standardised anomaly, one per memory. [-]
    years
        Years of record behind it; the fewer, the wider the slow parts are drawn. inf: the shares are the
        truth.
    """

    cycle: YearlyCycle
    shares: Floats
    years: float

    def draw(self, dates: Dates, paths: int, rng: np.random.Generator) -> Floats:
        """Return paths of daily mean temperature, shape (paths, days). [degC]

        A record of n years leaves two things in doubt, and both widen a prediction. The mean of a season is
        uncertain by 1/n of its variance: the slow parts grow by 1 + 1/n. The spread is an estimate, too,
        with about two independent looks at a season's spread a year: all parts grow by ν/(ν − 2) = 1 + 1/n,
        the variance of Student's distribution for ν = 2·n + 2.
        """
        shape = (len(self.shares), paths)
        return self._drawn(dates, (rng.standard_normal(shape) for _ in range(len(dates) + 1)), 0)

    def draw_steady(self, dates: Dates, paths: int, seed: int) -> Floats:
        """Return paths as :meth:`draw` does, the same on the same calendar day whatever the first day is.

        They begin a year before, on the first of a month: from the one month to the next the slowest part
        changes by what a year leaves of it, which is hardly anything.
        """
        begin = (dates[0].astype("datetime64[M]") - 12).astype("datetime64[D]")
        whole = np.arange(begin, dates[-1] + 1)
        pushes = steady_normals(whole, paths, seed, len(self.shares))
        first = steady_normals(whole[:1] - 1, paths, seed, len(self.shares))
        numbers = np.concatenate([first, pushes], axis=1)
        return self._drawn(
            whole, iter(np.ascontiguousarray(numbers.transpose(1, 2, 0))), len(whole) - len(dates)
        )

    def _drawn(self, dates: Dates, numbers: Iterator[Floats], skip: int) -> Floats:
        """Let the parts run over `dates` and return the paths without the first `skip` days."""
        shares = self.shares * (1.0 + 1.0 / self.years)
        shares[2:] *= 1.0 + 1.0 / self.years
        fade = np.exp(-1.0 / MEMORY_DAYS)[:, None]
        push = np.sqrt(shares)[:, None] * np.sqrt(1.0 - fade**2)
        state = np.sqrt(shares)[:, None] * next(numbers)
        out = np.empty((len(dates), state.shape[1]))
        for j in range(len(dates)):
            out[j] = state.sum(axis=0)
            state = fade * state + push * next(numbers)
        kept = dates[skip:]
        return np.asarray(self.cycle.mean_c(kept) + self.cycle.sd_c(kept) * out[skip:].T)


def fit_generator(weather: DailyWeather, cycle: YearlyCycle | None = None) -> Generator:
    """Fit the shares of the four memories to the variances of sums of 1 to 90 days in a record.

    Taking the usual year out of a short record takes part of the slow variance with it
    (:func:`share_kept`); the variances are put up by that before the fit. With few years the shares are
    drawn towards :data:`USUAL_SHARES`.

    Raises
    ------
    ValueError
        If the record does not reach over a whole year.
    """
    cycle = fit_cycle(weather) if cycle is None else cycle
    dates, known = weather.dates, np.isfinite(weather.mean_c)
    years = float(known.sum() / 365.25)
    anomaly = (weather.mean_c - cycle.mean_c(dates)) / cycle.sd_c(dates)
    seen = sum_variances(anomaly)
    usable = WINDOWS[np.isfinite(seen)]
    seen = seen[: len(usable)]
    belief = BELIEF_YEARS / (BELIEF_YEARS + years)
    harmonics = (len(cycle.coefficients) - 1) // 2
    shares = USUAL_SHARES
    for _ in range(3):  # what is lost depends on the shares, and they on what is lost
        fitted = fit_shares(seen / share_kept(shares, usable, int(known.sum()), harmonics), usable)
        shares = belief * USUAL_SHARES * fitted.sum() + (1.0 - belief) * fitted
    return Generator(cycle, shares, years)


def sum_variances(anomaly: Floats) -> Floats:
    """Return the mean square of sums of :data:`WINDOWS` days, shape (windows,); NaN where no such run is
    known."""
    found = np.full(len(WINDOWS), np.nan)
    for i, length in enumerate(WINDOWS):
        sums = rolling_sums(anomaly, int(length))
        sums = sums[np.isfinite(sums)]
        if len(sums):
            found[i] = np.mean(sums**2)
    return found


def model_variances(windows: Lengths) -> Floats:
    """Return the variance of a sum of k days of each unit-variance part, shape (windows, parts).

    For a first-order autoregression with coefficient φ it is k + 2·Σ(k−h)·φʰ over h = 1…k−1 (textbook
    identity).
    """
    fade = np.exp(-1.0 / MEMORY_DAYS)
    rows = []
    for k in windows:
        h = np.arange(1, k)[:, None]
        rows.append(k + 2.0 * ((k - h) * fade**h).sum(axis=0))
    return np.array(rows)


def fit_shares(variances: Floats, windows: Lengths) -> Floats:
    """Return the non-negative shares that fit the variances best by relative squares, shape (parts,).

    With four parts every choice of parts can be tried, which finds the exact non-negative optimum.
    """
    rows = model_variances(windows) / variances[:, None]
    best, best_error = USUAL_SHARES, np.inf
    for size in range(1, len(MEMORY_DAYS) + 1):
        for parts in combinations(range(len(MEMORY_DAYS)), size):
            columns = rows[:, parts]
            weights = np.linalg.lstsq(columns, np.ones(len(rows)), rcond=None)[0]
            error = float(np.sum((columns @ weights - 1.0) ** 2))
            if (weights >= 0).all() and error < best_error - 1e-12:
                best, best_error = np.zeros(len(MEMORY_DAYS)), error
                best[list(parts)] = weights
    return best


def share_kept(shares: Floats, windows: Lengths, known_days: int, harmonics: int) -> Floats:
    """Return what is left of the variance of sums after the usual year has been fitted and taken out, shape
    (windows,).

    A least-squares wave of frequency f takes the variance 2·S(f)/N out of a record of N days, the mean
    S(0)/N, with S the spectral density; a sum of k days passes it with the gain (sin πfk / sin πf)²
    (textbook spectral analysis). The shorter the record, the more of the slow variance the usual year
    swallows.
    """
    fade = np.exp(-1.0 / MEMORY_DAYS)
    frequency = np.arange(1, harmonics + 1)[:, None] / 365.25
    at_zero = float(shares @ ((1.0 + fade) / (1.0 - fade)))
    density = (1.0 - fade**2) / (1.0 - 2.0 * fade * np.cos(2.0 * np.pi * frequency) + fade**2) @ shares
    gain = (np.sin(np.pi * frequency * windows) / np.sin(np.pi * frequency)) ** 2
    taken = (at_zero * windows**2 + 2.0 * density @ gain) / known_days
    return np.asarray(np.clip(1.0 - taken / (model_variances(windows) @ shares), 0.2, 1.0))

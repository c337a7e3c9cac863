"""Each year held back in turn: would its truth have lain inside the band drawn from the other years?"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import date, timedelta

import numpy as np
from numpy.typing import NDArray

from fuelplan.messages import Message
from fuelplan.weather import DailyWeather, Origin, TooLittleWeather, Winters, possible_winters
from fuelplan.weather.degree_days import heating_from_mean
from tests.forecast_check.scores import crps_ensemble, pinball

WINDOWS = (7, 30, 90, 180)
LEVELS = (0.02, 0.1, 0.5, 0.9, 0.98)
HEATING_K = 2.0
"""A window is judged if its usual sum is at least this many kelvin-days a day: in summer every forecast of
nothing is
right, which would flatter the count. [K·d per day]"""


@dataclass(frozen=True)
class Trial:
    """One window of one held-back year.

    Attributes
    ----------
    first_day, days
        The window.
    truth, quantiles, crps
        Degree-days that came, the quantiles forecast at :data:`LEVELS`, and the score. [K·d]
    """

    first_day: date
    days: int
    truth: float
    quantiles: tuple[float, ...]
    crps: float

    @property
    def in_80(self) -> bool:
        """Whether the truth lies in the 80 % band, its ends included."""
        return self.quantiles[1] <= self.truth <= self.quantiles[3]

    @property
    def in_96(self) -> bool:
        """Whether the truth lies in the 96 % band, its ends included."""
        return self.quantiles[0] <= self.truth <= self.quantiles[4]


@dataclass(frozen=True)
class Line:
    """All trials of one length of window, with the years as clusters.

    Attributes
    ----------
    n, hits_80, hits_96
        How many windows, and in how many the truth lay inside.
    years
        Years with at least one window.
    by_year
        Year → (windows, inside 80 %, inside 96 %).
    crps, pinball_98
        Means. The pinball loss of the 98 % quantile is that of the cold end. [K·d]
    """

    days: int
    n: int
    hits_80: int
    hits_96: int
    by_year: dict[int, tuple[int, int, int]]
    crps: float
    pinball_02: float
    pinball_98: float

    @property
    def years(self) -> int:
        """How many years stand behind the count."""
        return len(self.by_year)

    def interval(self, band: int) -> tuple[float, float] | None:
        """Return a 95 % interval for the share inside, years as clusters; None for fewer than three.

        Mean ± 1.96 standard errors of the yearly shares (each year one draw, weighted by its windows), cut
        to 0..1: windows of one year share its weather, so their number proves nothing.
        """
        if self.years < 3:
            return None
        n = np.array([entry[0] for entry in self.by_year.values()], dtype=np.float64)
        hits = np.array([entry[1 if band == 80 else 2] for entry in self.by_year.values()], dtype=np.float64)
        share = hits.sum() / n.sum()
        k = len(n)
        if hits.sum() == n.sum():
            # No year went wrong: up to this share of years could still (the exact binomial bound for k of k).
            return float(0.05 ** (1.0 / k)), 1.0
        error = float(np.sqrt(k / (k - 1) * np.sum((hits - share * n) ** 2)) / n.sum())
        return max(0.0, share - 1.96 * error), min(1.0, share + 1.96 * error)


@dataclass(frozen=True)
class Check:
    """What the check found: a line per length of window, every trial, and the years in the record."""

    lines: tuple[Line, ...]
    trials: tuple[Trial, ...]
    base_c: float
    notes: tuple[Message, ...] = ()


Maker = Callable[[DailyWeather, date, int], Winters]


def check_record(
    weather: DailyWeather,
    *,
    base_c: float = 15.5,
    windows: tuple[int, ...] = WINDOWS,
    every_days: int = 1,
    seed: int = 0,
    progress: Callable[[str], None] | None = None,
) -> Check:
    """Hold every year back in turn and forecast it from the others.

    The held-back year, and the days of the next one that its windows reach into, are taken out of the
    record before anything is fitted. Windows with an unknown day, and those outside of the heating season,
    are not judged.

    Parameters
    ----------
    weather
        Gaps filled where they may be; filled days of long gaps (usual days) are never a truth to be judged
        by.
    base_c
        Of the degree-days. [degC]
    windows
        Lengths of the sums. [days]
    every_days
        Start a window on every so-manieth day. [days]

    Raises
    ------
    TooLittleWeather
        If taking a year out leaves less than a whole year.
    """
    trials: list[Trial] = []
    longest = max(windows)
    notes: tuple[Message, ...] = ()
    for year in range(weather.first_day.year, weather.last_day.year + 1):
        if progress is not None:
            progress(f"holding back {year}")
        first, last = date(year, 1, 1), date(year, 12, 31)
        rest = hidden(weather, first, last + timedelta(days=longest - 1))
        starts = [first + timedelta(days=i) for i in range(0, (last - first).days + 1, every_days)]
        starts = [day for day in starts if 0 <= weather.index_of(day) < len(weather)]

        def make(_: DailyWeather, day: date, days: int, rest: DailyWeather = rest) -> Winters:
            return possible_winters(rest, day, days, seed=seed, hindsight=True)

        found, notes = check_starts(weather, starts, make, base_c=base_c, windows=windows)
        trials += found
    if not trials:
        raise TooLittleWeather("no window of the record can be judged; give at least two whole years")
    return Check(tuple(line_of(trials, days) for days in windows), tuple(trials), base_c, notes)


def hidden(weather: DailyWeather, first: date, last: date) -> DailyWeather:
    """Return the record with the days from `first` to `last` unknown."""
    a, b = max(0, weather.index_of(first)), max(0, weather.index_of(last) + 1)
    mean, origin = weather.mean_c.copy(), weather.origin.copy()
    mean[a:b], origin[a:b] = np.nan, Origin.MISSING
    return replace(weather, mean_c=mean, origin=origin)


def check_starts(
    weather: DailyWeather,
    starts: list[date],
    make: Maker,
    *,
    base_c: float = 15.5,
    windows: tuple[int, ...] = WINDOWS,
) -> tuple[list[Trial], tuple[str, ...]]:
    """Judge the windows from each start day against the paths that `make` gives for it.

    Parameters
    ----------
    weather
        The truth.
    make
        From (weather, first day, days) to the paths; it must not look at the truth.
    """
    trials: list[Trial] = []
    notes: tuple[Message, ...] = ()
    usable = (
        np.isfinite(weather.mean_c) & (weather.origin != Origin.USUAL) & (weather.origin != Origin.GENERATED)
    )
    truth = np.where(usable, heating_from_mean(np.where(usable, weather.mean_c, base_c), base_c), np.nan)
    for start in starts:
        i = weather.index_of(start)
        fitting = [
            days for days in windows if i + days <= len(weather) and np.isfinite(truth[i : i + days]).all()
        ]
        if not fitting:
            continue
        winters = make(weather, start, max(fitting))
        notes = winters.notes
        sums = np.cumsum(np.maximum(base_c - winters.mean_c, 0.0), axis=1)
        for days in fitting:
            draws = sums[:, days - 1]
            if np.median(draws) < HEATING_K * days:
                continue
            came = float(truth[i : i + days].sum())
            levels = tuple(float(x) for x in np.quantile(draws, LEVELS))
            trials.append(Trial(start, days, came, levels, float(crps_ensemble(draws, came))))
    return trials, notes


def line_of(trials: list[Trial], days: int) -> Line:
    """Sum up the trials of one length."""
    chosen = [trial for trial in trials if trial.days == days]
    by_year: dict[int, tuple[int, int, int]] = {}
    for trial in chosen:
        n, a, b = by_year.get(trial.first_day.year, (0, 0, 0))
        by_year[trial.first_day.year] = (n + 1, a + trial.in_80, b + trial.in_96)
    truth: NDArray[np.float64] = np.array([trial.truth for trial in chosen])
    quantiles = np.array([trial.quantiles for trial in chosen]).reshape(len(chosen), len(LEVELS))
    return Line(
        days,
        len(chosen),
        sum(trial.in_80 for trial in chosen),
        sum(trial.in_96 for trial in chosen),
        by_year,
        float(np.mean([trial.crps for trial in chosen])) if chosen else float("nan"),
        float(pinball(0.02, quantiles[:, 0], truth).mean()) if chosen else float("nan"),
        float(pinball(0.98, quantiles[:, 4], truth).mean()) if chosen else float("nan"),
    )

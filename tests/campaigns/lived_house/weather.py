"""An invented climate: a season, and departures from it that last for days."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np

YEARS_BEFORE = 25
HEADER = "date,mean_c,min_c,max_c\n"


@dataclass(frozen=True)
class Climate:
    """Yearly mean, half the difference of summer and winter, spread and memory of the days. [degC, 1]"""

    mean_c: float
    swing_c: float
    spread_c: float
    memory: float
    year_spread_c: float
    south: bool


@dataclass(frozen=True)
class Weather:
    """Every day's mean, from 25 years before the life on to its end. [degC]"""

    first_day: date
    mean_c: np.ndarray
    half_range_c: np.ndarray

    def on(self, day: date) -> float:
        """Return a day's mean. [degC]"""
        return float(self.mean_c[(day - self.first_day).days])

    def lines(self, first: date, last: date) -> str:
        """Return the rows of a weather file from one day to another, both included."""
        rows = []
        for i in range((first - self.first_day).days, (last - self.first_day).days + 1):
            mean, half = self.mean_c[i], self.half_range_c[i]
            day = self.first_day + timedelta(days=i)
            rows.append(f"{day.isoformat()},{mean:.1f},{mean - half:.1f},{mean + half:.1f}\n")
        return "".join(rows)


def draw_climate(rng: np.random.Generator, south: bool) -> Climate:
    """Return a climate in which a house is heated."""
    return Climate(
        mean_c=float(rng.uniform(6.5, 10.5)),
        swing_c=float(rng.uniform(8.0, 11.0)),
        spread_c=float(rng.uniform(3.0, 4.2)),
        memory=float(rng.uniform(0.72, 0.85)),
        year_spread_c=float(rng.uniform(0.4, 0.9)),
        south=south,
    )


def draw_weather(climate: Climate, first_day: date, last_day: date, rng: np.random.Generator) -> Weather:
    """Return the weather of all days: a season, a slow and a quick departure, winters livelier."""
    start = date(first_day.year - YEARS_BEFORE, 7, 1)
    n = (last_day - start).days + 1
    days = np.datetime64(start, "D") + np.arange(n)
    of_year = (days - days.astype("datetime64[Y]")).astype(int)
    coldest = 18 if not climate.south else 18 + 183
    season = -np.cos(2 * np.pi * (of_year - coldest) / 365.25)
    livelier = 1.0 - 0.25 * season
    quick = _departures(rng, n, climate.memory) * climate.spread_c * livelier
    slow = _departures(rng, n, 0.985) * climate.year_spread_c * 1.6
    mean = climate.mean_c + climate.swing_c * season + quick + slow
    half = np.clip(rng.normal(4.0 + 1.2 * season, 1.0), 0.8, 9.0)
    return Weather(start, np.round(mean, 1), np.round(half, 1))


def _departures(rng: np.random.Generator, n: int, memory: float) -> np.ndarray:
    """Return an autoregression of order one with variance 1."""
    shocks = rng.standard_normal(n) * np.sqrt(1 - memory**2)
    out = np.empty(n)
    value = rng.standard_normal()
    for i in range(n):
        value = memory * value + shocks[i]
        out[i] = value
    return out

"""Invented weather of the invented valley of Quellmark.

The generator is of another kind than the one the weather room fits to records: three layers of anomalies
(days,
weeks, a whole winter's mood) under a seasonal spread with a cold tail, so that the demo does not confirm
itself.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

VALLEY_ELEVATION_M = 520.0
VALLEY_SEED = 3
FIRST_DAY = date(2000, 7, 1)
LAPSE_K_PER_M = 0.0065
WARMING_K_PER_DECADE = 0.35  # invented, of the size seen over European land


@dataclass(frozen=True)
class InventedDays:
    """Invented daily values from `first_day` on, shape (days,) each. [degC, degC, degC, %]"""

    first_day: date
    mean_c: Floats
    min_c: Floats
    max_c: Floats
    humidity_pct: Floats


def valley_days(
    first_day: date, last_day: date, *, seed: int, elevation_m: float = VALLEY_ELEVATION_M
) -> InventedDays:
    """Return the valley's invented weather at a height.

    The same seed gives the same spells at every height, as one valley's houses share them.
    """
    days = (last_day - first_day).days + 1
    rng = np.random.default_rng(seed)
    ordinal = np.array([(first_day + timedelta(days=i)).timetuple().tm_yday for i in range(days)], float)
    angle = 2 * np.pi * (ordinal - 18.0) / 365.25  # coldest about 18 January
    winter = 0.5 * (1 + np.cos(angle))  # 1 in mid winter, 0 in mid summer
    years = np.arange(days) / 365.25
    usual = 8.4 - 9.6 * np.cos(angle) - 0.5 * np.cos(2 * angle + 0.6)
    trend = WARMING_K_PER_DECADE / 10 * (years - years.mean())
    anomaly = _layers(days, winter, rng)
    mean_c = usual + trend + anomaly - LAPSE_K_PER_M * (elevation_m - VALLEY_ELEVATION_M)
    cloud = 1 / (1 + np.exp(-(_ar1(days, 0.6, rng) + 0.25 * anomaly * (2 * winter - 1) * 0.4)))
    spread = (5.0 + 6.5 * (1 - winter)) * (1.35 - 0.75 * cloud)
    humidity = np.clip(68 + 16 * winter + 22 * (cloud - 0.5) + 3 * rng.standard_normal(days), 25, 100)
    lean = 0.52 + 0.05 * rng.standard_normal(days)  # the mean is seldom just half way between min and max
    return InventedDays(
        first_day,
        np.round(mean_c, 1),
        np.round(mean_c - spread * (1 - lean) - 0.2, 1),
        np.round(mean_c + spread * lean + 0.2, 1),
        np.round(humidity),
    )


def _layers(days: int, winter: Floats, rng: np.random.Generator) -> Floats:
    """Sum of a daily, a three-weekly and a winter-long anomaly, wider and with a cold tail in winter. [K]"""
    fast = _ar1(days, 0.72, rng)
    slow = _ar1(days, 0.955, rng)
    mood = np.repeat(rng.standard_normal(days // 365 + 2), 365)[:days]
    mood = np.convolve(np.pad(mood, 60, mode="edge"), np.ones(121) / 121, mode="valid")
    raw = 0.86 * fast + 0.36 * slow + 0.10 * mood
    cold_tail = -0.35 * np.maximum(0.0, -raw - 1.0) * winter
    return np.asarray((3.1 + 1.7 * winter) * (raw + cold_tail))


def _ar1(days: int, keep: float, rng: np.random.Generator) -> Floats:
    """A first-order autoregression of unit variance."""
    noise = rng.standard_normal(days) * np.sqrt(1 - keep**2)
    out = np.empty(days)
    value = rng.standard_normal()
    for i in range(days):
        value = keep * value + noise[i]
        out[i] = value
    return out


def as_csv(days: InventedDays) -> str:
    """Return the text of a weather file with these days."""
    lines = ["date,mean_c,min_c,max_c,humidity_pct"]
    for i in range(len(days.mean_c)):
        day = days.first_day + timedelta(days=i)
        lines.append(
            f"{day},{days.mean_c[i]:.1f},{days.min_c[i]:.1f},{days.max_c[i]:.1f},{days.humidity_pct[i]:.0f}"
        )
    return "\n".join(lines) + "\n"

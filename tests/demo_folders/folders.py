"""Writing the demo folders: `python -m tests.demo_folders demo_sites` makes them again, byte for byte."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from fuelplan.weather.valley import FIRST_DAY, VALLEY_SEED, InventedDays, as_csv, valley_days

Floats = NDArray[np.float64]

LAST_DAY = date(2026, 6, 30)


@dataclass(frozen=True)
class TrueHouse:
    """What an invented house really burns; the folder's owner does not know it."""

    kg_per_degree_day: float
    kg_per_day: float
    base_c: float
    day_noise: float  # standard deviation of a day's use, as a share


def true_use_kg(house: TrueHouse, mean_c: Floats, rng: np.random.Generator) -> Floats:
    """Return the kilograms burned each day, shape (days,)."""
    heat = house.kg_per_degree_day * np.maximum(0.0, house.base_c - mean_c)
    mood = np.repeat(rng.standard_normal(len(mean_c) // 14 + 1), 14)[
        : len(mean_c)
    ]  # habits change by the fortnight
    factor = 1 + house.day_noise * (0.7 * rng.standard_normal(len(mean_c)) + 0.7 * mood)
    return np.asarray(np.maximum(0.0, heat * factor) + house.kg_per_day * rng.uniform(0.7, 1.3, len(mean_c)))


def true_levels_kg(start_kg: float, use_kg: Floats, first: date, arrivals: dict[date, float]) -> Floats:
    """Return the level each evening; the invented history never runs empty, or this fails."""
    level, out = start_kg, np.empty(len(use_kg))
    for i, use in enumerate(use_kg):
        level += arrivals.get(first + timedelta(days=i), 0.0) - use
        if level < 0:
            raise ValueError(f"the invented history runs empty on {first + timedelta(days=i)}")
        out[i] = level
    return out


def write_weather(path: Path, days: InventedDays) -> None:
    """Write `weather.csv`."""
    path.write_text(as_csv(days), encoding="utf-8")


def weather_at(elevation_m: float) -> InventedDays:
    """Return the valley's weather at a house's height."""
    return valley_days(FIRST_DAY, LAST_DAY, seed=VALLEY_SEED, elevation_m=elevation_m)


def mean_between(days: InventedDays, first: date, last: date) -> Floats:
    """Return the daily means from `first` to `last`, both included."""
    a, b = (first - days.first_day).days, (last - days.first_day).days + 1
    return days.mean_c[a:b]

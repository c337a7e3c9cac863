"""A house as it really burns: bent, drifting and noisy, with people who go away and do not always say so."""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np

from tests.campaigns.lived_house.weather import Weather


@dataclass(frozen=True)
class Away:
    """Days on which nobody is at home; `told` ones stand in the folder."""

    first: date
    last: date
    told: bool


@dataclass(frozen=True)
class House:
    """What a day burns: heat below a temperature with a soft bend, hot water, wind, drift. [kg, degC]"""

    kg_per_kelvin: float
    bend_c: float
    softness_c: float
    water_kg: float
    weekend: float
    daily_noise: float
    wind_memory: float
    drift_per_year: float
    summer_loss: float
    away: tuple[Away, ...]

    def burned_kg(self, weather: Weather, rng: np.random.Generator) -> np.ndarray:
        """Return what every day of the weather burns, shape (days,). [kg]"""
        n = len(weather.mean_c)
        below = self.softness_c * np.log1p(np.exp((self.bend_c - weather.mean_c) / self.softness_c))
        wind = np.empty(n)
        value = 0.0
        for i in range(n):
            value = self.wind_memory * value + rng.standard_normal() * math.sqrt(1 - self.wind_memory**2)
            wind[i] = value
        years = (np.arange(n) - n) / 365.25
        heat = self.kg_per_kelvin * below * (1 + 0.06 * wind) * (1 + self.drift_per_year * years)
        weekday = (np.arange(n) + weather.first_day.weekday()) % 7
        water = self.water_kg * np.where(weekday >= 5, self.weekend, 1.0)
        # a boiler that lights up for hot water alone wastes a part of it
        water = water * (1 + self.summer_loss * np.exp(-below / 2.0))
        noise = np.exp(rng.normal(0.0, self.daily_noise, n))
        out = (heat + water) * noise
        for gone in self.away:
            a, b = (gone.first - weather.first_day).days, (gone.last - weather.first_day).days + 1
            out[a:b] = 0.75 * heat[a:b]
        return out


def draw_house(first: date, days: int, rng: np.random.Generator) -> House:
    """Return a house that burns two to nine tonnes a year, with its times away in the life."""
    gone = []
    for _ in range(int(rng.integers(0, 4))):
        start = first + timedelta(days=int(rng.integers(10, max(days - 20, 11))))
        gone.append(Away(start, start + timedelta(days=int(rng.integers(2, 11))), bool(rng.random() < 0.6)))
    gone.sort(key=lambda a: a.first)
    apart = [a for i, a in enumerate(gone) if i == 0 or a.first > gone[i - 1].last + timedelta(days=1)]
    return House(
        kg_per_kelvin=float(rng.uniform(0.9, 2.6)),
        bend_c=float(rng.uniform(13.5, 16.5)),
        softness_c=float(rng.uniform(0.6, 1.6)),
        water_kg=float(rng.uniform(1.2, 3.2)),
        weekend=float(rng.uniform(1.0, 1.25)),
        daily_noise=float(rng.uniform(0.05, 0.15)),
        wind_memory=float(rng.uniform(0.5, 0.8)),
        drift_per_year=float(rng.uniform(-0.015, 0.015)),
        summer_loss=float(rng.uniform(0.0, 0.3)),
        away=tuple(apart),
    )

"""Invented houses that are not built like the model's: thermal lag, sun, a soft limit of heating, hot water
with a season, people who differ from day to day.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tests.benchmarks.calibration.climate import Floats, day_of_year

Days = NDArray[np.int64]


@dataclass(frozen=True)
class House:
    """What a house burns.

    Attributes
    ----------
    year_kg
        Mean use of a year in the ten years before it is asked about. [kg]
    water_kg
        Hot water and standing losses, mean of the year. [kg/d]
    per_k_kg
        Fuel per kelvin below the balance point. [kg/K/d]
    balance_c
        Balance point without sun. [degC]
    sun_k
        What the summer's sun lowers it by against winter. [K]
    memory
        Share of yesterday's outdoor temperature that walls still hold.
    soft_k
        Over how many kelvin heating fades out: rooms stop one after the other. [K]
    day_sd
        Of one day's heating, as a share.
    water_season
        Winter's hot water over the mean, as a share.
    """

    year_kg: float
    water_kg: float
    per_k_kg: float
    balance_c: float
    sun_k: float
    memory: float
    soft_k: float
    day_sd: float
    water_season: float

    @staticmethod
    def invented(rng: np.random.Generator, mean_c: Floats) -> House:
        """Draw a house for a place; its size is that of its yearly use."""
        year_kg, share = rng.uniform(2500, 9000), rng.uniform(0.06, 0.25)
        house = House(
            year_kg, share * year_kg / 365.25, 1.0, rng.normal(15.3, 1.3), rng.normal(0.2, 0.4),
            rng.uniform(0.1, 0.5), rng.uniform(0.3, 1.5), rng.uniform(0.10, 0.30), rng.normal(0.10, 0.08),
        )  # fmt: skip
        asked = house.heating_kg(mean_c)[11 * 365 : 21 * 365].mean() * 365.25
        per_k = (1 - share) * year_kg / max(float(asked), 1e-6)
        return House(**{**vars(house), "per_k_kg": per_k})

    def heating_kg(self, mean_c: Floats) -> Floats:
        """Heating of each day, by the weather alone, shape (days,). [kg]"""
        before = np.concatenate([mean_c[:1], mean_c[:-1]])
        felt = (1 - self.memory) * mean_c + self.memory * before
        sun = self.sun_k * -np.cos(2 * np.pi * (day_of_year(len(mean_c)) + 10) / 365.25)
        below = self.balance_c - sun - felt
        return np.asarray(self.per_k_kg * self.soft_k * np.logaddexp(0.0, below / self.soft_k))

    def burned(
        self,
        mean_c: Floats,
        rng: np.random.Generator,
        factor: Floats | float = 1.0,
        heating_factor: Floats | float = 1.0,
    ) -> Floats:
        """Use of each day, shape (days,), times what a world puts on all of it or on heating alone.
        [kg]
        """
        days = len(mean_c)
        season = 1 + self.water_season * np.cos(2 * np.pi * (day_of_year(days) - 25) / 365.25)
        people = np.clip(1 + 0.35 * rng.standard_normal(days), 0.0, None)
        spread = np.sqrt(np.log1p(self.day_sd**2))
        weather = np.exp(spread * rng.standard_normal(days) - 0.5 * spread**2)
        heat = self.heating_kg(mean_c) * weather * heating_factor
        return np.asarray((heat + self.water_kg * season * people) * factor)

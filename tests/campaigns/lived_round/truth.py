"""What is really so: the weather, what each house burns, and how much lies in its store. Nobody in the round
knows it, and no code of the program is in it.
"""

from __future__ import annotations

import math
import random
from dataclasses import dataclass, field
from datetime import date, timedelta

HEATED_BELOW_C = 15.0
MILD_C, SWING_C, COLDEST_DAY = (
    8.5,
    10.0,
    20,
)  # a valley in the middle of Europe; 20 January (value from memory)


@dataclass
class Sky:
    """Temperatures day by day: a yearly wave, and weather that lasts some days."""

    rng: random.Random
    colder_c: float = 0.0
    _now_c: float = 0.0

    def next_c(self, day: date) -> float:
        """Return the mean of the next day. [°C]"""
        self._now_c = 0.82 * self._now_c + self.rng.gauss(0.0, 2.2)
        return round(usual_c(day) - self.colder_c + self._now_c, 1)


def usual_c(day: date) -> float:
    """Return what is usual on a day. [°C]"""
    turn = 2 * math.pi * (day.timetuple().tm_yday - COLDEST_DAY) / 365.25
    return MILD_C - SWING_C * math.cos(turn)


USUAL_DEGREE_DAYS = sum(
    max(0.0, HEATED_BELOW_C - usual_c(date(2025, 1, 1) + timedelta(days=n))) for n in range(365)
)


@dataclass
class House:
    """A store and who empties it."""

    store_kg: float
    year_kg: float
    water_share: float
    level_kg: float
    empty_days: int = 0

    def burn(self, mean_c: float) -> None:
        """Let a day go by."""
        warm = self.water_share * self.year_kg / 365
        cold = (1 - self.water_share) * self.year_kg * max(0.0, HEATED_BELOW_C - mean_c) / USUAL_DEGREE_DAYS
        self.level_kg -= warm + cold
        if self.level_kg <= 0.0:
            self.level_kg, self.empty_days = 0.0, self.empty_days + 1

    def fits_kg(self) -> float:
        """Return what still goes in. [kg]"""
        return max(0.0, 0.98 * self.store_kg - self.level_kg)


@dataclass
class Truth:
    """All houses of a round, the sky over each area, and what lies at the depots."""

    rng: random.Random
    day: date
    skies: dict[str, Sky]
    houses: dict[str, House]
    area_of: dict[str, str]
    stock_kg: dict[tuple[str, str], float] = field(default_factory=dict)

    def next_day(self) -> dict[str, float]:
        """Let one day go by; return its temperature in each area. [°C]"""
        self.day += timedelta(days=1)
        mean_c = {area: sky.next_c(self.day) for area, sky in self.skies.items()}
        for name, house in self.houses.items():
            house.burn(mean_c[self.area_of[name]])
        return mean_c

    def deliver(self, name: str, kg: float) -> tuple[float, bool]:
        """Blow in up to `kg`; return what the weigh note says and whether the store was full then. [kg]"""
        house = self.houses[name]
        wanted = kg * (1 + self.rng.gauss(0.0, 0.02))
        came = min(wanted, house.fits_kg())
        house.level_kg += came
        return max(10.0, round(came, -1)), came < wanted

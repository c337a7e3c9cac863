"""What is believed about a building before its readings are looked at, and the doubts taken for granted."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from fuelplan.messages import Refusal

NOISE = (
    (0.08, 0.04, 0.03),
    (0.10, 0.08, 0.09),
    (0.18, 0.04, 0.06),
    (0.20, 0.10, 0.12),
    (0.20, 0.20, 0.07),
    (0.35, 0.06, 0.03),
    (0.38, 0.14, 0.11),
    (0.60, 0.20, 0.16),
)
NOISE_WEIGHT = (0.08, 0.12, 0.16, 0.18, 0.08, 0.12, 0.16, 0.10)


class SignatureError(Refusal):
    """Readings, weather or a prior that cannot be used together, and what to write instead."""


@dataclass(frozen=True)
class Prior:
    """The paper heat signature with its doubt.

    Attributes
    ----------
    kg_per_degree_day
        Fuel for heating per kelvin-day below the base temperature. [kg/K/d]
    kg_per_day
        Fuel for hot water and stand-by, winter and summer. [kg/d]
    base_c
        Base temperature. [degC]
    rel_sd_slope, rel_sd_day
        Standard deviations of the first two, as shares of them. A paper heat load is often wrong by a third.
    base_sd_c
        Standard deviation of the base temperature. [K]
    year_rel_sd
        Where the yearly use is what was stated: its standard deviation as a share. Slope, daily part and base
        are then tied to it: their own doubts are those of how the year is parted. None: no year was stated.
    """

    kg_per_degree_day: float
    kg_per_day: float
    base_c: float
    rel_sd_slope: float = 0.30
    rel_sd_day: float = 0.50
    base_sd_c: float = 2.0
    year_rel_sd: float | None = None

    def __post_init__(self) -> None:
        """Refuse numbers that are no signature."""
        if not (math.isfinite(self.kg_per_degree_day) and self.kg_per_degree_day > 0):
            raise SignatureError(
                f"kg_per_degree_day is {self.kg_per_degree_day:g}; it must be above 0 kg/K/d"
            )
        if not (math.isfinite(self.kg_per_day) and self.kg_per_day >= 0):
            raise SignatureError(f"kg_per_day is {self.kg_per_day:g}; it must be 0 kg/d or more")
        if not -10 <= self.base_c <= 30:
            raise SignatureError(f"base_c is {self.base_c:g} °C; base temperatures lie between -10 and 30 °C")
        for name in ("rel_sd_slope", "rel_sd_day"):
            if not 0 < getattr(self, name) <= 2:
                raise SignatureError(f"{name} is {getattr(self, name):g}; write a share above 0, at most 2")
        if not 0 < self.base_sd_c <= 6:
            raise SignatureError(f"base_sd_c is {self.base_sd_c:g} K; write a doubt above 0, at most 6 K")
        if self.year_rel_sd is not None and not 0 < self.year_rel_sd <= 2:
            raise SignatureError(f"year_rel_sd is {self.year_rel_sd:g}; write a share above 0, at most 2")

    @property
    def sd_slope(self) -> float:
        """Standard deviation of `kg_per_degree_day`. [kg/K/d]"""
        return self.rel_sd_slope * self.kg_per_degree_day

    @property
    def sd_day_kg(self) -> float:
        """Standard deviation of `kg_per_day`, never below a quarter of a degree-day's use. [kg/d]"""
        return max(self.rel_sd_day * self.kg_per_day, 0.25 * self.kg_per_degree_day)


@dataclass(frozen=True)
class Assumptions:
    """Doubts that no single reading can show; all are assumptions of ours and can be set.

    Attributes
    ----------
    volume_rel_sd
        Shared by all readings that see a volume: bulk density (600–750 kg/m³) and shape.
    offset_share_sd
        Shared too: where the zero of a mark or an eye lies, as a share of the capacity.
    noise, noise_weight
        How much use differs from the signature, as shares of it: from day to day (wind, sun, people),
        over weeks, over a season; and how likely each of these sets is beforehand.
    water_season_sd
        How far hot water and stand-by may swing with the year, as a share of them.
    change_rel_sd
        Size a change in use per degree-day may have, as a share.
    """

    volume_rel_sd: float = 0.06
    offset_share_sd: float = 0.02
    noise: tuple[tuple[float, float, float], ...] = NOISE
    noise_weight: tuple[float, ...] = NOISE_WEIGHT
    water_season_sd: float = 0.15
    change_rel_sd: float = 0.30

    def __post_init__(self) -> None:
        """Refuse scales without weights."""
        if len(self.noise) != len(self.noise_weight) or not self.noise:
            raise SignatureError("noise and noise_weight must have the same number of entries")
        if min(min(sizes) for sizes in self.noise) < 0 or min(self.noise_weight) <= 0:
            raise SignatureError("noise must be 0 or more, noise_weight above 0")
        if min(sizes[0] for sizes in self.noise) <= 0:
            raise SignatureError("the noise from day to day must be above 0")

    @property
    def noises(self) -> NDArray[np.float64]:
        """Sizes of the noise as an array, shape (S, 3)."""
        return np.array(self.noise)

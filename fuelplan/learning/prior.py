"""What is believed about a building before its readings are looked at, and the doubts taken for granted."""

from __future__ import annotations

import math
from dataclasses import dataclass

from fuelplan.messages import Refusal


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
    """

    kg_per_degree_day: float
    kg_per_day: float
    base_c: float
    rel_sd_slope: float = 0.30
    rel_sd_day: float = 0.50
    base_sd_c: float = 2.0

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
    drift_rel_sd_per_year
        How much a counter's scale wanders in a year, as a share.
    day_noise, day_noise_weight
        How much one day's use differs from the signature (wind, sun, people), as shares of that day's
        use, and how likely each is beforehand.
    change_rel_sd
        Size a change in use per degree-day may have, as a share.
    """

    volume_rel_sd: float = 0.06
    offset_share_sd: float = 0.02
    drift_rel_sd_per_year: float = 0.03
    day_noise: tuple[float, ...] = (0.06, 0.10, 0.16, 0.25, 0.40, 0.65)
    day_noise_weight: tuple[float, ...] = (0.05, 0.15, 0.25, 0.30, 0.18, 0.07)
    change_rel_sd: float = 0.30

    def __post_init__(self) -> None:
        """Refuse scales without weights."""
        if len(self.day_noise) != len(self.day_noise_weight) or not self.day_noise:
            raise SignatureError("day_noise and day_noise_weight must have the same number of entries")
        if min(self.day_noise) <= 0 or min(self.day_noise_weight) <= 0:
            raise SignatureError("day_noise and day_noise_weight must be above 0")

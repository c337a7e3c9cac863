"""Stores as they are built: how much lies below a height, what goes in, and what never comes out."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

HEAPED_CM = 4.0  # how far the surface under the tape differs from a level one


@dataclass(frozen=True)
class TrueStore:
    """A store: its form and measures [m], what a cubic metre weighs in it [kg/m3], what stays in it [kg].

    `clear_m` stays free below the ceiling when the driver stops.
    """

    form: str
    length_m: float
    width_m: float
    height_m: float
    slope_deg: float
    dense_kg_per_m3: float
    clear_m: float
    stays_kg: float

    @property
    def holds_kg(self) -> float:
        """What it holds when the driver stops. [kg]"""
        return self.below_m3(self.height_m - self.clear_m) * self.dense_kg_per_m3

    def below_m3(self, z_m: float) -> float:
        """Volume below a height over the lowest floor. [m3]"""
        z = min(max(z_m, 0.0), self.height_m)
        if self.form == "upright tank":
            return math.pi * self.width_m**2 / 4 * z
        if self.form == "buried tank":  # the circle's part below z, times the length
            r = self.width_m / 2
            a = math.acos(max(-1.0, min(1.0, 1 - z / r)))
            return self.length_m * r * r * (a - math.sin(a) * math.cos(a))
        if self.form in {"two slopes", "one slope"}:
            sides = 2 if self.form == "two slopes" else 1
            rise = math.tan(math.radians(self.slope_deg)) * self.width_m / sides
            low = min(z, rise)
            wedge = self.length_m * self.width_m * low * low / (2 * rise)
            return wedge + self.length_m * self.width_m * max(0.0, z - rise)
        return self.length_m * self.width_m * z  # flat floor, or only a capacity

    def surface_m(self, kg: float) -> float:
        """Height of a level surface over the lowest floor. [m]"""
        want, low, high = kg / self.dense_kg_per_m3, 0.0, self.height_m
        for _ in range(50):
            middle = (low + high) / 2
            low, high = (middle, high) if self.below_m3(middle) < want else (low, middle)
        return (low + high) / 2

    def tape_cm(self, kg: float, rng: np.random.Generator) -> int:
        """What a tape from the ceiling down shows on a heaped surface. [cm]"""
        free_cm = 100 * (self.height_m - self.surface_m(kg)) + rng.normal(0.0, HEAPED_CM)
        return int(min(max(round(free_cm), 1), 100 * self.height_m - 1))

    def table(self, reserve: str, says_capacity: bool) -> str:
        """Return [store] as its owner writes it."""
        lines = ["[store]", f'reserve = "{reserve}"']
        if self.form == "capacity" or says_capacity:
            return "\n".join([*lines, f'capacity = "{round(self.holds_kg / 100) / 10:.1f} t"', ""])
        lines.append(f'shape = "{self.form}"')
        if self.form == "upright tank":
            lines += [f'diameter = "{self.width_m:.2f} m"', f'height = "{self.height_m:.2f} m"']
        elif self.form == "buried tank":
            lines += [f'diameter = "{self.width_m:.2f} m"', f'length = "{self.length_m:.2f} m"']
        else:
            lines += [
                f'length = "{self.length_m:.2f} m"',
                f'width = "{self.width_m:.2f} m"',
                f'height = "{self.height_m:.2f} m"',
            ]
        if "slope" in self.form:
            lines.append(f"slope = {self.slope_deg:.0f}")
        else:
            lines.append(f'residue = "{self.stays_kg:.0f} kg"')
        return "\n".join([*lines, ""])


def draw_store(use_kg: float, rng: np.random.Generator) -> TrueStore:
    """Return a store of 60 to 150 % of a year's use, of one form or another."""
    form = str(
        rng.choice(["two slopes", "one slope", "flat floor", "upright tank", "buried tank", "capacity"])
    )
    dense = float(rng.uniform(630.0, 690.0))
    m3 = max(float(rng.uniform(0.6, 1.5)) * use_kg, 3300.0) / dense
    clear = float(rng.uniform(0.28, 0.36))
    slope = 45.0 if rng.random() < 0.6 else 40.0
    height, width, length = 2.3, 2.0, 2.0
    if form == "buried tank":
        width = height = 2.2
        length = 1.0
        clear = 0.1
    elif form == "upright tank":
        width = 2.2
        clear = 0.2
    unit = TrueStore(form, length, width, height, slope, dense, clear, 0.0)
    per_m = unit.below_m3(height - clear)
    if form == "upright tank":
        width = round(width * math.sqrt(m3 / per_m), 2)
    else:
        length = round(length * m3 / per_m, 2)
    built = TrueStore(form, length, width, height, slope, dense, clear, 0.0)
    share = 0.01 if "slope" in form or "tank" in form else 0.04
    return TrueStore(
        form, length, width, height, slope, dense, clear, round(share * built.holds_kg / 10) * 10.0
    )

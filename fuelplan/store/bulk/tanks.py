"""Tanks: lying and upright cylinders and balls, buried or not."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import ClassVar

import numpy as np

from fuelplan.messages import Message, Quantity, message
from fuelplan.store.bulk.shapes import (
    Floats,
    FloorPlan,
    Point,
    Shape,
    StoreError,
    circle,
    disc,
    grid,
    rectangle,
)


class _Tank(Shape):
    filled_at_wall: ClassVar[bool] = False
    walk_in: ClassVar[bool] = False

    @property
    def room_m3(self) -> float:
        return float(self._below(np.asarray(self.top_m)))


@dataclass(frozen=True)
class HorizontalTank(_Tank):
    """A buried tank: a cylinder lying on its side, with flat ends. [m]"""

    kind: ClassVar[Message] = message("store.lying_cylinder", "lying cylinder")
    drawn_along_length: ClassVar[bool] = True
    diameter_m: float
    length_m: float

    def __post_init__(self) -> None:
        """Refuse lengths that are not lengths."""
        self._check_positive()

    @property
    def top_m(self) -> float:
        return self.diameter_m

    @property
    def length_y_m(self) -> float:
        return self.length_m

    @property
    def width_x_m(self) -> float:
        return self.diameter_m

    def _below(self, z_m: Floats) -> Floats:
        r = self.diameter_m / 2
        away = np.clip(1 - z_m / r, -1.0, 1.0)
        return np.asarray(self.length_m * r * r * (np.arccos(away) - away * np.sqrt(1 - away * away)))

    def plan(self, cells: int = 40) -> FloorPlan:
        r = self.diameter_m / 2
        x, y, area = grid(self.diameter_m, self.length_m, cells)
        half = np.sqrt(np.maximum(0.0, r * r - x * x))
        return FloorPlan(x, y, area, r - half, r + half)

    def outline(self) -> tuple[Point, ...]:
        """Return the inside in section across the tank (x, z). [m]

        Returns
        -------
        tuple of (x, z)
            A circle as a closed polygon. [m]
        """
        return circle(self.diameter_m / 2)

    def outline_along(self) -> tuple[Point, ...]:
        """Return the inside in section along the tank (y, z). [m]

        Returns
        -------
        tuple of (y, z)
            Corners of a closed polygon. [m]
        """
        return rectangle(self.length_m, self.diameter_m)


@dataclass(frozen=True)
class SphereTank(_Tank):
    """A buried tank in the form of a ball. [m]"""

    kind: ClassVar[Message] = message("store.ball", "ball-shaped tank")
    diameter_m: float

    def __post_init__(self) -> None:
        """Refuse lengths that are not lengths."""
        self._check_positive()

    @property
    def top_m(self) -> float:
        return self.diameter_m

    @property
    def length_y_m(self) -> float:
        return self.diameter_m

    @property
    def width_x_m(self) -> float:
        return self.diameter_m

    def _below(self, z_m: Floats) -> Floats:
        return np.asarray(math.pi * z_m**2 * (1.5 * self.diameter_m - z_m) / 3)

    def plan(self, cells: int = 40) -> FloorPlan:
        r = self.diameter_m / 2
        x, y, area = disc(r, cells)
        half = np.sqrt(np.maximum(0.0, r * r - x * x - y * y))
        return FloorPlan(x, y, area, r - half, r + half)

    def outline(self) -> tuple[Point, ...]:
        """Return the inside in section (x, z). [m]

        Returns
        -------
        tuple of (x, z)
            A circle as a closed polygon. [m]
        """
        return circle(self.diameter_m / 2)


@dataclass(frozen=True)
class UprightTank(_Tank):
    """A tank or silo: an upright cylinder, over a cone where `funnel_m` is greater than zero. [m]"""

    kind: ClassVar[Message] = message("store.upright_cylinder", "upright cylinder")
    diameter_m: float
    height_m: float
    funnel_m: float = 0.0

    def __post_init__(self) -> None:
        """Refuse what cannot be built."""
        self._check_positive("funnel_m")
        if self.funnel_m >= self.height_m:
            raise StoreError(
                message(
                    "store.funnel_reaches_top",
                    "the funnel ({funnel} deep) reaches the top at {height}; height_m is the height from the "
                    "outlet to the top",
                    funnel=Quantity.written(self.funnel_m, "m", "g"),
                    height=Quantity.written(self.height_m, "m", "g"),
                )
            )

    @property
    def top_m(self) -> float:
        return self.height_m

    @property
    def length_y_m(self) -> float:
        return self.diameter_m

    @property
    def width_x_m(self) -> float:
        return self.diameter_m

    def _below(self, z_m: Floats) -> Floats:
        base, p = math.pi * self.diameter_m**2 / 4, self.funnel_m
        low = np.minimum(z_m, p)
        cone = 0.0 if p == 0 else base * low**3 / (3 * p * p)
        return np.asarray(cone + base * (z_m - low))

    def plan(self, cells: int = 40) -> FloorPlan:
        r = self.diameter_m / 2
        x, y, area = disc(r, cells)
        return FloorPlan(x, y, area, self.funnel_m * np.hypot(x, y) / r, np.full(x.shape, self.height_m))

    def outline(self) -> tuple[Point, ...]:
        """Return the inside in section (x, z). [m]

        Returns
        -------
        tuple of (x, z)
            Corners of a closed polygon. [m]
        """
        r, p, h = self.diameter_m / 2, self.funnel_m, self.height_m
        if p == 0:
            return ((-r, 0.0), (r, 0.0), (r, h), (-r, h))
        return ((-r, p), (0.0, 0.0), (r, p), (r, h), (-r, h))

"""Shapes of a bulk store: how much lies below a height, and where floor and ceiling are in plan.

All heights are measured in metres from the lowest point of the floor.
"""

from __future__ import annotations

import math
from abc import ABC, abstractmethod
from dataclasses import dataclass, fields
from typing import ClassVar

import numpy as np
from numpy.typing import ArrayLike, NDArray

from fuelplan.messages import Message, Own, Quantity, Refusal, message

Floats = NDArray[np.float64]
Point = tuple[float, float]


class StoreError(Refusal):
    """A store, a mark or an amount that cannot be: says what is wrong and what to write instead."""


@dataclass(frozen=True)
class FloorPlan:
    """The store seen from above, cut into small cells; every array has shape (cells,).

    Attributes
    ----------
    x_m, y_m
        Middle of each cell; the middle of the store is (0, 0), `y` runs along the length. [m]
    area_m2
        Area of each cell. [m2]
    floor_m, ceiling_m
        Height of floor and ceiling over the lowest point of the floor. [m]
    """

    x_m: Floats
    y_m: Floats
    area_m2: Floats
    floor_m: Floats
    ceiling_m: Floats


class Shape(ABC):
    """What every shape can do."""

    kind: ClassVar[Message]
    # Where the fuel lands when the store is filled: against the far wall of a room, in the middle of a tank
    # or bag.
    filled_at_wall: ClassVar[bool] = True
    # Nobody ever goes into tanks and fabric stores.
    walk_in: ClassVar[bool] = True
    # Fuel is drawn along the whole length (an auger in a channel), or at one point.
    drawn_along_length: ClassVar[bool] = False

    @property
    def channel_x_m(self) -> float:
        """Where across the width fuel is drawn; the middle is 0. [m]"""
        return 0.0

    def _check_positive(self, *may_be_zero: str) -> None:
        for f in fields(self):  # type: ignore[arg-type]
            value = getattr(self, f.name)
            if not isinstance(value, int | float):
                continue
            if not math.isfinite(value) or value < 0 or (value == 0 and f.name not in may_be_zero):
                raise StoreError(
                    message(
                        "store.no_length",
                        "{kind}: {name} is {value}; it must be a length greater than zero in metres",
                        kind=self.kind,
                        name=Own(f.name),
                        value=Own(f"{value:g}"),
                    )
                )

    @property
    @abstractmethod
    def top_m(self) -> float:
        """Height of the ceiling over the lowest point of the floor. [m]"""

    @property
    @abstractmethod
    def length_y_m(self) -> float:
        """Length in plan along y. [m]"""

    @property
    @abstractmethod
    def width_x_m(self) -> float:
        """Width in plan along x. [m]"""

    @property
    @abstractmethod
    def room_m3(self) -> float:
        """Volume of the room, frame or tank that the store takes up. [m3]"""

    @abstractmethod
    def _below(self, z_m: Floats) -> Floats:
        """Volume below heights within 0..top."""

    @abstractmethod
    def plan(self, cells: int = 40) -> FloorPlan:
        """Return the store seen from above, about `cells` x `cells` cells.

        Parameters
        ----------
        cells
            How many across, and along.

        Returns
        -------
        FloorPlan
            Middle of each cell, its area, floor and ceiling above it; all of one shape. [m, m2]
        """

    @abstractmethod
    def outline(self) -> tuple[Point, ...]:
        """Return the inside of the store in section across the width, as a closed polygon (x, z). [m]

        Returns
        -------
        tuple of (x, z)
            Corners, x from the middle, z from the lowest floor. [m]
        """

    def outline_along(self) -> tuple[Point, ...]:
        """Return the inside in section along the length, through the outlet (y, z). [m]

        Returns
        -------
        tuple of (y, z)
            Corners of a closed polygon. [m]
        """
        return self.outline()

    def volume_below_m3(self, height_m: ArrayLike) -> Floats:
        """Volume between the floor and a level surface.

        Parameters
        ----------
        height_m
            Any shape; height of the surface over the lowest point of the floor. [m]

        Returns
        -------
        array
            Shape of `height_m`. [m3]

        Raises
        ------
        StoreError
            A height below the floor or above the ceiling.
        """
        z = np.asarray(height_m, dtype=np.float64)
        if not np.all((z >= -1e-9) & (z <= self.top_m + 1e-9)):
            raise StoreError(
                message(
                    "store.level_outside",
                    "a level of {level} does not lie in a store {height} high; write a height from 0 to "
                    "{height}",
                    level=Quantity.written(float(np.max(np.abs(z))), "m", ".2f"),
                    height=Quantity.written(self.top_m, "m", ".2f"),
                )
            )
        return self._below(np.clip(z, 0.0, self.top_m))  # clips rounding noise of 1e-9 only

    def height_of_m(self, volume_m3: ArrayLike) -> Floats:
        """Return the height of the level surface under which a volume lies; the inverse of `volume_below_m3`.
        [m]

        Parameters
        ----------
        volume_m3
            From zero to what the store holds up to its ceiling, any shape. [m3]

        Returns
        -------
        array
            Over the lowest point of the floor, shape of `volume_m3`. [m]

        Raises
        ------
        StoreError
            Less than nothing, or more than the store holds up to its ceiling.
        """
        v = np.asarray(volume_m3, dtype=np.float64)
        full = float(self._below(np.asarray(self.top_m)))
        if not np.all((v >= -1e-9) & (v <= full * (1 + 1e-9) + 1e-9)):
            raise StoreError(
                message(
                    "store.volume_outside",
                    "{volume} do not lie in a store of {full}",
                    volume=Quantity.written(float(np.max(v)), "m3", ".2f"),
                    full=Quantity.written(full, "m3", ".2f"),
                )
            )
        low = np.zeros_like(v)
        high = np.full_like(v, self.top_m)
        for _ in range(60):  # halving 60 times: exact to rounding for any store
            middle = 0.5 * (low + high)
            under = self._below(middle) < v
            low = np.where(under, middle, low)
            high = np.where(under, high, middle)
        return 0.5 * (low + high)


def grid(width_m: float, length_m: float, cells: int) -> tuple[Floats, Floats, Floats]:
    """Midpoints and areas of a rectangle cut into cells."""
    x = (np.arange(cells) + 0.5) / cells * width_m - width_m / 2
    y = (np.arange(cells) + 0.5) / cells * length_m - length_m / 2
    xx, yy = np.meshgrid(x, y, indexing="ij")
    return xx.ravel(), yy.ravel(), np.full(cells * cells, width_m * length_m / cells**2)


def disc(radius_m: float, cells: int) -> tuple[Floats, Floats, Floats]:
    """Midpoints and exact areas of a disc cut into rings and sectors."""
    edges = np.linspace(0.0, radius_m, cells + 1)
    angle = (np.arange(cells) + 0.5) / cells * 2 * math.pi
    # radius that halves the area of each ring, so that means over the area are right
    r = np.sqrt(0.5 * (edges[1:] ** 2 + edges[:-1] ** 2))
    area = math.pi * (edges[1:] ** 2 - edges[:-1] ** 2) / cells
    rr, aa = np.meshgrid(r, angle, indexing="ij")
    return (rr * np.cos(aa)).ravel(), (rr * np.sin(aa)).ravel(), np.repeat(area, cells)


def rectangle(width_m: float, height_m: float) -> tuple[Point, ...]:
    half = width_m / 2
    return ((-half, 0.0), (half, 0.0), (half, height_m), (-half, height_m))


def circle(radius_m: float, points: int = 72) -> tuple[Point, ...]:
    angles = [2 * math.pi * i / points for i in range(points)]
    return tuple((radius_m * math.sin(a), radius_m - radius_m * math.cos(a)) for a in angles)

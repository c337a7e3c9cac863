"""Rooms and bags with straight walls: flat, sloped and funnel-shaped floors.

Volumes follow V = L·[w·(H−h) − ((w−c)²/4)·tan α] for two sloped floors, /2 instead of /4 for one, and
s²·hp/3 for a square pyramid (geometry; w width across the channel, L length along it, H height, c flat
channel, α slope, h dead height, s side and hp depth of the pyramid).
"""

from __future__ import annotations

import math
from abc import abstractmethod
from dataclasses import dataclass
from typing import ClassVar

import numpy as np

from fuelplan.messages import Message, Quantity, message
from fuelplan.store.bulk.shapes import Floats, FloorPlan, Point, Shape, StoreError, grid, rectangle


def _m(length_m: float) -> Quantity:
    return Quantity.written(length_m, "m", "g")


def _deg(angle_deg: float) -> Quantity:
    return Quantity.written(angle_deg, "deg", "g")


class _Box(Shape):
    """A store whose plan is a rectangle."""

    length_m: float
    width_m: float
    height_m: float

    @property
    def top_m(self) -> float:
        return self.height_m

    @property
    def length_y_m(self) -> float:
        return self.length_m

    @property
    def width_x_m(self) -> float:
        return self.width_m

    @property
    def room_m3(self) -> float:
        return self.length_m * self.width_m * self.height_m

    def outline_along(self) -> tuple[Point, ...]:
        """Return the inside in section along the length (y, z). [m]"""
        return rectangle(self.length_m, self.height_m)

    @abstractmethod
    def floor_at_m(self, x_m: Floats, y_m: Floats) -> Floats:
        """Height of the floor at points of the plan. [m]"""

    def plan(self, cells: int = 40) -> FloorPlan:
        x, y, area = grid(self.width_m, self.length_m, cells)
        return FloorPlan(x, y, area, self.floor_at_m(x, y), np.full(x.shape, self.height_m))


@dataclass(frozen=True)
class FlatRoom(_Box):
    """A room with a flat floor. [m]"""

    kind: ClassVar[Message] = message("store.flat_room", "room with a flat floor")
    length_m: float
    width_m: float
    height_m: float

    def __post_init__(self) -> None:
        """Refuse lengths that are not lengths."""
        self._check_positive()

    def floor_at_m(self, x_m: Floats, y_m: Floats) -> Floats:
        """Return zeros: the floor is flat. [m]

        Parameters
        ----------
        x_m, y_m
            Points of the plan from its middle, across and along, broadcastable. [m]

        Returns
        -------
        array
            Zeros, the broadcast shape. [m]
        """
        return np.zeros(np.broadcast(x_m, y_m).shape)

    def _below(self, z_m: Floats) -> Floats:
        return np.asarray(self.length_m * self.width_m * z_m)

    def outline(self) -> tuple[Point, ...]:
        """Return the inside in section (x, z). [m]

        Returns
        -------
        tuple of (x, z)
            Corners of a closed polygon, x from the middle, z from the lowest floor. [m]
        """
        return rectangle(self.width_m, self.height_m)


@dataclass(frozen=True)
class SlopedRoom(_Box):
    """A room whose floor falls from one or two sides to a flat channel along its length.

    Attributes
    ----------
    length_m, width_m, height_m
        Along the channel, across it, floor of the channel to ceiling. [m]
    slope_deg
        Of the sloped floors, from the horizontal; 0 is a flat floor. [deg]
    channel_m
        Width of the flat channel: along the middle for two slopes, along a wall for one. [m]
    slopes
        1 or 2.
    """

    kind: ClassVar[Message] = message("store.sloped_room", "room with a sloped floor")
    drawn_along_length: ClassVar[bool] = True
    length_m: float
    width_m: float
    height_m: float
    slope_deg: float = 40.0
    channel_m: float = 0.0
    slopes: int = 2

    def __post_init__(self) -> None:
        """Refuse what cannot be built."""
        self._check_positive("slope_deg", "channel_m")
        if self.slopes not in (1, 2):
            raise StoreError(
                message(
                    "store.slopes",
                    "a room has 1 or 2 sloped floors, not {slopes}; for none, use a flat floor",
                    slopes=self.slopes,
                )
            )
        if not self.slope_deg < 80:
            raise StoreError(
                message(
                    "store.slope_is_wall",
                    "a floor slope of {slope} is a wall; write the angle from the horizontal, usually 40 to "
                    "45 deg",
                    slope=_deg(self.slope_deg),
                )
            )
        if self.channel_m > self.width_m:
            raise StoreError(
                message(
                    "store.channel_too_wide",
                    "the channel ({channel}) is wider than the room ({width} across the channel)",
                    channel=_m(self.channel_m),
                    width=_m(self.width_m),
                )
            )
        if self.slope_top_m >= self.height_m:
            raise StoreError(
                message(
                    "store.slopes_reach_ceiling",
                    "sloped floors of {slope} would rise {rise} and reach the ceiling at {height}; turn the "
                    "channel, widen it, or use two slopes in place of one",
                    slope=_deg(self.slope_deg),
                    rise=Quantity.written(self.slope_top_m, "m", ".2f"),
                    height=_m(self.height_m),
                )
            )

    @property
    def channel_x_m(self) -> float:
        """Middle of the channel across the width. [m]"""
        return 0.0 if self.slopes == 2 else (self.channel_m - self.width_m) / 2

    @property
    def _tan(self) -> float:
        return math.tan(math.radians(self.slope_deg))

    @property
    def slope_top_m(self) -> float:
        """Height at which the sloped floor meets the wall. [m]"""
        return (self.width_m - self.channel_m) / self.slopes * self._tan

    def floor_at_m(self, x_m: Floats, y_m: Floats) -> Floats:
        """Return the height of the floor at points of the plan. [m]

        Parameters
        ----------
        x_m, y_m
            Points of the plan from its middle, across and along, broadcastable. [m]

        Returns
        -------
        array
            Over the channel, the broadcast shape. [m]
        """
        if self.slopes == 2:
            away = np.abs(x_m) - self.channel_m / 2
        else:
            away = x_m + self.width_m / 2 - self.channel_m
        return np.maximum(0.0, away) * self._tan + 0.0 * y_m

    def _below(self, z_m: Floats) -> Floats:
        top = self.slope_top_m
        low = np.minimum(z_m, top)
        widening = 0.0 if top == 0 else self.slopes / (2 * self._tan)
        section = self.channel_m * low + widening * low**2 + self.width_m * (z_m - low)
        return np.asarray(self.length_m * section)

    def outline(self) -> tuple[Point, ...]:
        """Return the inside in section across the channel (x, z). [m]

        Returns
        -------
        tuple of (x, z)
            Corners of a closed polygon. [m]
        """
        half, top, h = self.width_m / 2, self.slope_top_m, self.height_m
        if self.slopes == 2:
            c = self.channel_m / 2
            return ((-half, top), (-c, 0.0), (c, 0.0), (half, top), (half, h), (-half, h))
        return ((-half, 0.0), (self.channel_m - half, 0.0), (half, top), (half, h), (-half, h))


@dataclass(frozen=True)
class PyramidBottom(_Box):
    """A room or silo with straight walls over a funnel with four sloped sides.

    Attributes
    ----------
    length_m, width_m, height_m
        In plan, and outlet to ceiling. [m]
    funnel_m
        Depth of the funnel below the straight walls. [m]
    outlet_m
        Side of the square flat outlet. [m]
    """

    kind: ClassVar[Message] = message("store.pyramid", "store with a pyramid bottom")
    length_m: float
    width_m: float
    height_m: float
    funnel_m: float
    outlet_m: float = 0.0

    def __post_init__(self) -> None:
        """Refuse what cannot be built."""
        self._check_positive("outlet_m")
        if self.funnel_m >= self.height_m:
            raise StoreError(
                message(
                    "store.funnel_reaches_ceiling",
                    "the funnel ({funnel} deep) reaches the ceiling at {height}; height_m is the height from "
                    "the outlet to the ceiling",
                    funnel=_m(self.funnel_m),
                    height=_m(self.height_m),
                )
            )
        if self.outlet_m > min(self.length_m, self.width_m):
            raise StoreError(
                message(
                    "store.outlet_too_wide",
                    "the outlet ({outlet}) is wider than the store",
                    outlet=_m(self.outlet_m),
                )
            )

    def floor_at_m(self, x_m: Floats, y_m: Floats) -> Floats:
        """Return the height of the floor at points of the plan. [m]

        Parameters
        ----------
        x_m, y_m
            Points of the plan from its middle, across and along, broadcastable. [m]

        Returns
        -------
        array
            Over the outlet, the broadcast shape. [m]
        """
        floor = np.zeros(np.broadcast(x_m, y_m).shape)
        for at, side in ((x_m, self.width_m), (y_m, self.length_m)):
            if side > self.outlet_m:
                floor = np.maximum(
                    floor, self.funnel_m * (2 * np.abs(at) - self.outlet_m) / (side - self.outlet_m)
                )
        return floor

    def _below(self, z_m: Floats) -> Floats:
        p, o = self.funnel_m, self.outlet_m
        low = np.minimum(z_m, p)
        a, b = (self.length_m - o) / p, (self.width_m - o) / p
        funnel = o * o * low + o * (a + b) * low**2 / 2 + a * b * low**3 / 3
        return np.asarray(funnel + self.length_m * self.width_m * (z_m - low))

    def outline(self) -> tuple[Point, ...]:
        """Return the inside in section across, through the outlet (x, z). [m]

        Returns
        -------
        tuple of (x, z)
            Corners of a closed polygon. [m]
        """
        return self._funnel_outline(self.width_m)

    def outline_along(self) -> tuple[Point, ...]:
        """Return the inside in section along, through the outlet (y, z). [m]

        Returns
        -------
        tuple of (y, z)
            Corners of a closed polygon. [m]
        """
        return self._funnel_outline(self.length_m)

    def _funnel_outline(self, side_m: float) -> tuple[Point, ...]:
        half, o, p, h = side_m / 2, self.outlet_m / 2, self.funnel_m, self.height_m
        return ((-half, p), (-o, 0.0), (o, 0.0), (half, p), (half, h), (-half, h))


@dataclass(frozen=True)
class FabricBag(PyramidBottom):
    """A fabric bag hung in a frame: straight sides over a funnel.

    A full bag bulges, so that it holds somewhat more than this straight-sided form: what is said to fit
    errs on the safe side. `height_m` is from the outlet to the top of the bag.
    """

    kind: ClassVar[Message] = message("store.fabric_bag", "fabric bag in a frame")
    filled_at_wall: ClassVar[bool] = False
    walk_in: ClassVar[bool] = False

"""Shapes of a bulk store: how much lies below a height, and where floor and ceiling are in plan.

All heights are measured in metres from the lowest point of the floor. Volumes of rooms with sloped floors
follow V = L·[w·(H−h) − ((w−c)²/4)·tan α] for two slopes and /2 instead of /4 for one, and s²·hp/3 for a
square pyramid (geometry; w width across the channel, L length along it, H height, c flat channel, α slope,
h dead height).
"""

from __future__ import annotations

import math
from abc import ABC, abstractmethod
from dataclasses import dataclass, fields
from typing import ClassVar

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]
Point = tuple[float, float]


class StoreError(ValueError):
    """A store, a mark or an amount that cannot be: says what is wrong and what to write instead."""


@dataclass(frozen=True)
class Plan:
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

    kind: ClassVar[str]
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
                    f"{self.kind}: {f.name} is {value:g}; it must be a length greater than zero in metres"
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
    def plan(self, cells: int = 40) -> Plan:
        """Return the store seen from above, about `cells` x `cells` cells."""

    @abstractmethod
    def outline(self) -> tuple[Point, ...]:
        """Return the inside of the store in section across the width, as a closed polygon (x, z). [m]"""

    def volume_below_m3(self, height_m: ArrayLike) -> Floats:
        """Volume between the floor and a level surface.

        Parameters
        ----------
        height_m
            Any shape; height of the surface over the lowest point of the floor. [m]

        Returns
        -------
        The same shape. [m3]

        Raises
        ------
        StoreError
            A height below the floor or above the ceiling.
        """
        z = np.asarray(height_m, dtype=np.float64)
        if not np.all((z >= -1e-9) & (z <= self.top_m + 1e-9)):
            raise StoreError(
                f"a level of {float(np.max(np.abs(z))):.2f} m does not lie in a store {self.top_m:.2f} m "
                f"high; "
                f"write a height from 0 to {self.top_m:.2f} m"
            )
        return self._below(np.clip(z, 0.0, self.top_m))  # clips rounding noise of 1e-9 only

    def height_of_m(self, volume_m3: ArrayLike) -> Floats:
        """Height of the level surface under which `volume_m3` lies; the inverse of `volume_below_m3`.

        Same shape as the argument. [m] Raises StoreError for more than the store holds up to its ceiling.
        """
        v = np.asarray(volume_m3, dtype=np.float64)
        full = float(self._below(np.asarray(self.top_m)))
        if not np.all((v >= -1e-9) & (v <= full * (1 + 1e-9) + 1e-9)):
            raise StoreError(f"{float(np.max(v)):.2f} m3 do not lie in a store of {full:.2f} m3")
        low = np.zeros_like(v)
        high = np.full_like(v, self.top_m)
        for _ in range(60):  # halving 60 times: exact to rounding for any store
            middle = 0.5 * (low + high)
            under = self._below(middle) < v
            low = np.where(under, middle, low)
            high = np.where(under, high, middle)
        return 0.5 * (low + high)


def _grid(width_m: float, length_m: float, cells: int) -> tuple[Floats, Floats, Floats]:
    """Midpoints and areas of a rectangle cut into cells."""
    x = (np.arange(cells) + 0.5) / cells * width_m - width_m / 2
    y = (np.arange(cells) + 0.5) / cells * length_m - length_m / 2
    xx, yy = np.meshgrid(x, y, indexing="ij")
    return xx.ravel(), yy.ravel(), np.full(cells * cells, width_m * length_m / cells**2)


def _disc(radius_m: float, cells: int) -> tuple[Floats, Floats, Floats]:
    """Midpoints and exact areas of a disc cut into rings and sectors."""
    edges = np.linspace(0.0, radius_m, cells + 1)
    angle = (np.arange(cells) + 0.5) / cells * 2 * math.pi
    # radius that halves the area of each ring, so that means over the area are right
    r = np.sqrt(0.5 * (edges[1:] ** 2 + edges[:-1] ** 2))
    area = math.pi * (edges[1:] ** 2 - edges[:-1] ** 2) / cells
    rr, aa = np.meshgrid(r, angle, indexing="ij")
    return (rr * np.cos(aa)).ravel(), (rr * np.sin(aa)).ravel(), np.repeat(area, cells)


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

    @abstractmethod
    def floor_at_m(self, x_m: Floats, y_m: Floats) -> Floats:
        """Height of the floor at points of the plan. [m]"""

    def plan(self, cells: int = 40) -> Plan:
        x, y, area = _grid(self.width_m, self.length_m, cells)
        return Plan(x, y, area, self.floor_at_m(x, y), np.full(x.shape, self.height_m))


@dataclass(frozen=True)
class FlatRoom(_Box):
    """A room with a flat floor. [m]"""

    kind: ClassVar[str] = "room with a flat floor"
    length_m: float
    width_m: float
    height_m: float

    def __post_init__(self) -> None:
        """Refuse lengths that are not lengths."""
        self._check_positive()

    def floor_at_m(self, x_m: Floats, y_m: Floats) -> Floats:
        """Return zeros: the floor is flat. [m]"""
        return np.zeros(np.broadcast(x_m, y_m).shape)

    def _below(self, z_m: Floats) -> Floats:
        return np.asarray(self.length_m * self.width_m * z_m)

    def outline(self) -> tuple[Point, ...]:
        """Return the inside in section (x, z). [m]"""
        half = self.width_m / 2
        return ((-half, 0.0), (half, 0.0), (half, self.height_m), (-half, self.height_m))


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

    kind: ClassVar[str] = "room with a sloped floor"
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
                f"a room has 1 or 2 sloped floors, not {self.slopes}; for none, use a flat floor"
            )
        if not self.slope_deg < 80:
            raise StoreError(
                f"a floor slope of {self.slope_deg:g} deg is a wall; write the angle from the horizontal, "
                "usually 40 to 45 deg"
            )
        if self.channel_m > self.width_m:
            raise StoreError(
                f"the channel ({self.channel_m:g} m) is wider than the room ({self.width_m:g} m across "
                f"the channel)"
            )
        if self.slope_top_m >= self.height_m:
            raise StoreError(
                f"sloped floors of {self.slope_deg:g} deg would rise {self.slope_top_m:.2f} m and reach "
                f"the ceiling at "
                f"{self.height_m:g} m; turn the channel, widen it, or use two slopes in place of one"
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
        """Height of the floor at points of the plan. [m]"""
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
        """Return the inside in section across the channel (x, z). [m]"""
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

    kind: ClassVar[str] = "store with a pyramid bottom"
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
                f"the funnel ({self.funnel_m:g} m deep) reaches the ceiling at {self.height_m:g} m; "
                f"height_m is the "
                "height from the outlet to the ceiling"
            )
        if self.outlet_m > min(self.length_m, self.width_m):
            raise StoreError(f"the outlet ({self.outlet_m:g} m) is wider than the store")

    def floor_at_m(self, x_m: Floats, y_m: Floats) -> Floats:
        """Height of the floor at points of the plan. [m]"""
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
        """Return the inside in section through the outlet (x, z). [m]"""
        half, o, p, h = self.width_m / 2, self.outlet_m / 2, self.funnel_m, self.height_m
        return ((-half, p), (-o, 0.0), (o, 0.0), (half, p), (half, h), (-half, h))


@dataclass(frozen=True)
class FabricBag(PyramidBottom):
    """A fabric bag hung in a frame: straight sides over a funnel.

    A full bag bulges, so that it holds somewhat more than this straight-sided form: what is said to fit
    errs on the safe side. `height_m` is from the outlet to the top of the bag.
    """

    kind: ClassVar[str] = "fabric bag in a frame"
    filled_at_wall: ClassVar[bool] = False
    walk_in: ClassVar[bool] = False


class _Tank(Shape):
    filled_at_wall: ClassVar[bool] = False
    walk_in: ClassVar[bool] = False

    @property
    def room_m3(self) -> float:
        return float(self._below(np.asarray(self.top_m)))


@dataclass(frozen=True)
class HorizontalTank(_Tank):
    """A buried tank: a cylinder lying on its side, with flat ends. [m]"""

    kind: ClassVar[str] = "lying cylinder"
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

    def plan(self, cells: int = 40) -> Plan:
        r = self.diameter_m / 2
        x, y, area = _grid(self.diameter_m, self.length_m, cells)
        half = np.sqrt(np.maximum(0.0, r * r - x * x))
        return Plan(x, y, area, r - half, r + half)

    def outline(self) -> tuple[Point, ...]:
        """Return the inside in section across the tank (x, z). [m]"""
        return _circle(self.diameter_m / 2)


@dataclass(frozen=True)
class SphereTank(_Tank):
    """A buried tank in the form of a ball. [m]"""

    kind: ClassVar[str] = "ball-shaped tank"
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

    def plan(self, cells: int = 40) -> Plan:
        r = self.diameter_m / 2
        x, y, area = _disc(r, cells)
        half = np.sqrt(np.maximum(0.0, r * r - x * x - y * y))
        return Plan(x, y, area, r - half, r + half)

    def outline(self) -> tuple[Point, ...]:
        """Return the inside in section (x, z). [m]"""
        return _circle(self.diameter_m / 2)


@dataclass(frozen=True)
class UprightTank(_Tank):
    """A tank or silo: an upright cylinder, over a cone where `funnel_m` is greater than zero. [m]"""

    kind: ClassVar[str] = "upright cylinder"
    diameter_m: float
    height_m: float
    funnel_m: float = 0.0

    def __post_init__(self) -> None:
        """Refuse what cannot be built."""
        self._check_positive("funnel_m")
        if self.funnel_m >= self.height_m:
            raise StoreError(
                f"the funnel ({self.funnel_m:g} m deep) reaches the top at {self.height_m:g} m; height_m "
                f"is the "
                "height from the outlet to the top"
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

    def plan(self, cells: int = 40) -> Plan:
        r = self.diameter_m / 2
        x, y, area = _disc(r, cells)
        return Plan(x, y, area, self.funnel_m * np.hypot(x, y) / r, np.full(x.shape, self.height_m))

    def outline(self) -> tuple[Point, ...]:
        """Return the inside in section (x, z). [m]"""
        r, p, h = self.diameter_m / 2, self.funnel_m, self.height_m
        if p == 0:
            return ((-r, 0.0), (r, 0.0), (r, h), (-r, h))
        return ((-r, p), (0.0, 0.0), (r, p), (r, h), (-r, h))


def _circle(radius_m: float, points: int = 72) -> tuple[Point, ...]:
    angles = [2 * math.pi * i / points for i in range(points)]
    return tuple((radius_m * math.sin(a), radius_m - radius_m * math.cos(a)) for a in angles)

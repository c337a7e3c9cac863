"""The surface of the pile: cones from filling, craters from drawing fuel off, and what lies below them.

Wood pellets at rest stand at about 35 to 40 degrees (angle of repose, value from memory); a blown-in
surface is flatter because the driver throttles the blower to fill level (common practice).
"""

from __future__ import annotations

import math
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from fuelplan.store.bulk.shapes import FloorPlan, Point, Shape

Floats = NDArray[np.float64]
Wall = Literal["end", "side"]

REPOSE_DEG = 35.0  # value from memory: published figures for wood pellets lie at about 35 to 40 degrees
CONE_DEG = 10.0  # our assumption for the surface after blowing in; correct it from own deliveries


def volume_under_m3(plan: FloorPlan, surface_m: Floats) -> Floats:
    """Volume between floor and a surface, nowhere above the ceiling.

    `surface_m` has shape (..., cells); the answer has shape (...). [m, m3]
    """
    deep = np.clip(surface_m, plan.floor_m, plan.ceiling_m) - plan.floor_m
    return np.asarray(deep @ plan.area_m2)


def filled_at(shape: Shape, inlets: int = 1, along: Wall = "end") -> tuple[Point, ...]:
    """Points of the plan under which the piles are highest after filling, one an inlet. [m]

    In a room at the wall opposite the inlets, where the deflector mats hang: the far end, or with inlets in a
    long side ("side") the other side, evenly spread. In tanks and bags evenly along the middle.
    """
    spread = (np.arange(inlets) + 0.5) / inlets - 0.5
    if not shape.filled_at_wall:
        return tuple((0.0, float(s) * shape.length_y_m) for s in spread)
    if along == "side":
        return tuple((shape.width_x_m / 2, float(s) * shape.length_y_m) for s in spread)
    return tuple((float(s) * shape.width_x_m, shape.length_y_m / 2) for s in spread)


def filled_volume_m3(
    shape: Shape,
    clearance_m: float,
    cone_deg: float,
    cells: int = 40,
    *,
    inlets: int = 1,
    along: Wall = "end",
) -> float:
    """Return the volume when each pile's peak stands `clearance_m` under the ceiling and falls at `cone_deg`.
    [m3]

    Parameters
    ----------
    shape
        The store.
    clearance_m, cone_deg
        As in `Store`. [m, deg]
    cells
        How many across, and along.
    inlets, along
        As in `Store`.

    Returns
    -------
    float
        Fuel in the store, residue included. [m3]
    """
    plan = shape.plan(cells)
    pile_m = shape.top_m - clearance_m - _rise(plan, filled_at(shape, inlets, along), cone_deg)
    return float(volume_under_m3(plan, pile_m))


def conveyed_volume_m3(
    shape: Shape,
    clearance_m: float,
    cone_deg: float,
    outlets: tuple[Point, ...],
    repose_deg: float = REPOSE_DEG,
    cells: int = 40,
    *,
    inlets: int = 1,
    along: Wall = "end",
) -> float:
    """Volume of the piles of :func:`filled_volume_m3` that slides to an outlet: what lies above the slopes
    that stay. [m3]"""
    plan = shape.plan(cells)
    pile_m = shape.top_m - clearance_m - _rise(plan, filled_at(shape, inlets, along), cone_deg)
    stays_m = np.minimum(pile_m, _rise(plan, outlets, repose_deg))
    return float(volume_under_m3(plan, pile_m) - volume_under_m3(plan, stays_m))


def _rise(plan: FloorPlan, points: tuple[Point, ...], slope_deg: float) -> Floats:
    """Height over the nearest of some points at a slope, shape (cells,). [m]"""
    away = np.min([np.hypot(plan.x_m - x, plan.y_m - y) for x, y in points], axis=0)
    return np.asarray(away * math.tan(math.radians(slope_deg)))


def outlets_along(shape: Shape, points: int = 0) -> tuple[Point, ...]:
    """Return the points of the plan from which fuel is drawn. [m]

    `points` = 0 gives what suits the shape: an auger along the whole channel or tank, the middle for a funnel
    and for a flat floor; otherwise that many suction points evenly along the length.

    Parameters
    ----------
    shape
        The store.
    points
        How many suction points; 0 for what suits the shape.

    Returns
    -------
    tuple of (x, y)
        From the middle of the plan, across and along; an auger is 40 points. [m]
    """
    x = shape.channel_x_m
    count = points or (40 if shape.drawn_along_length else 1)
    step = shape.length_y_m / count
    return tuple((x, (i + 0.5) * step - shape.length_y_m / 2) for i in range(count))


def left_behind_m3(
    shape: Shape, outlets: tuple[Point, ...], repose_deg: float = REPOSE_DEG, cells: int = 40
) -> float:
    """Return the volume that no longer slides to an outlet: it stands at the angle of repose around it. [m3]

    Parameters
    ----------
    shape
        The store.
    outlets
        Points of the plan from which fuel is drawn. [m]
    repose_deg
        Angle of repose. [deg]
    cells
        How many across, and along.

    Returns
    -------
    float
        Of a store that was full to the ceiling. [m3]
    """
    plan = shape.plan(cells)
    return float(volume_under_m3(plan, _rise(plan, outlets, repose_deg)))

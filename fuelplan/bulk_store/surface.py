"""The surface of the pile: cones from filling, craters from drawing fuel off, and what lies below them.

Wood pellets at rest stand at about 35 to 40 degrees (angle of repose, value from memory); a blown-in
surface is flatter because the driver throttles the blower to fill level (common practice).
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from .shapes import Plan, Point, Shape

Floats = NDArray[np.float64]

REPOSE_DEG = 35.0  # value from memory: published figures for wood pellets lie at about 35 to 40 degrees
CONE_DEG = 10.0  # our assumption for the surface after blowing in; correct it from own deliveries


def volume_under_m3(plan: Plan, surface_m: Floats) -> Floats:
    """Volume between floor and a surface, nowhere above the ceiling.

    `surface_m` has shape (..., cells); the answer has shape (...). [m, m3]
    """
    deep = np.clip(surface_m, plan.floor_m, plan.ceiling_m) - plan.floor_m
    return np.asarray(deep @ plan.area_m2)


def filled_at(shape: Shape) -> Point:
    """Point of the plan under which the pile is highest after filling. [m]

    The far end of a room, where the deflector mat hangs opposite the inlet; the middle of tanks and bags.
    """
    return (0.0, shape.length_y_m / 2) if shape.filled_at_wall else (0.0, 0.0)


def filled_volume_m3(shape: Shape, clearance_m: float, cone_deg: float, cells: int = 40) -> float:
    """Volume when the peak of the pile stands `clearance_m` under the ceiling and falls off at `cone_deg`.
    [m3]"""
    plan = shape.plan(cells)
    x, y = filled_at(shape)
    away = np.hypot(plan.x_m - x, plan.y_m - y)
    return float(volume_under_m3(plan, shape.top_m - clearance_m - away * math.tan(math.radians(cone_deg))))


def outlets_along(shape: Shape, points: int = 0) -> tuple[Point, ...]:
    """Points of the plan from which fuel is drawn. [m]

    `points` = 0 gives what suits the shape: an auger along the whole channel or tank, the middle for a
    funnel and for a flat floor; otherwise that many suction points evenly along the length.
    """
    x = shape.channel_x_m
    count = points or (40 if shape.drawn_along_length else 1)
    step = shape.length_y_m / count
    return tuple((x, (i + 0.5) * step - shape.length_y_m / 2) for i in range(count))


def left_behind_m3(
    shape: Shape, outlets: tuple[Point, ...], repose_deg: float = REPOSE_DEG, cells: int = 40
) -> float:
    """Volume that no longer slides to an outlet: it stands at the angle of repose around it. [m3]"""
    plan = shape.plan(cells)
    away = np.min([np.hypot(plan.x_m - x, plan.y_m - y) for x, y in outlets], axis=0)
    return float(volume_under_m3(plan, away * math.tan(math.radians(repose_deg))))

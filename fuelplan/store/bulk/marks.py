"""Level marks to kilograms: a tape held at one or several points tells little of a surface with cones and
craters.

The surface is not known; only that it is no steeper than the angle of repose. Every cone and crater up to
that angle, with its middle anywhere in the store, and a trough along the outlets, is laid through the
marks; the answer is the mean over these surfaces, weighted by how well each meets the marks (steep ones
count less beforehand), and its error their spread together with the error of the mark and of the bulk
density. The family of surfaces and the weights beforehand are our modelling choice.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from fuelplan.messages import Message, Quantity, message
from fuelplan.store.bulk.shapes import FloorPlan, Point, Shape, StoreError
from fuelplan.store.bulk.surface import REPOSE_DEG, volume_under_m3

Floats = NDArray[np.float64]
MarkedFrom = Literal["top", "bottom"]

# How far a heap departs from a smooth cone at a point (our assumption). [m]
ROUGHNESS_M = 0.05
_CELLS = 24
_ANGLES = 9
_ACROSS, _ALONG = 3, 5  # where cones and craters may have their middles


@dataclass(frozen=True)
class MarkedLevel:
    """Fuel in a store from a mark: best estimate and standard deviation. [kg]"""

    kg: float
    sd_kg: float


def level_from_marks(
    shape: Shape,
    marks_cm: tuple[float, ...],
    *,
    measured_from: MarkedFrom = "top",
    points: tuple[Point, ...] | None = None,
    bulk_kg_per_m3: float = 650.0,
    bulk_sd_kg_per_m3: float = 38.0,
    repose_deg: float = REPOSE_DEG,
    mark_sd_cm: float = 2.0,
) -> MarkedLevel:
    """Return the kilograms that level marks tell of, averaged over the surfaces that a pile may have.

    Parameters
    ----------
    shape
        The store.
    marks_cm
        From the ceiling down to the pile ("top"), or from the lowest floor up to it ("bottom"). [cm]
    measured_from
        "top" or "bottom".
    points
        Where in plan each was taken, from the middle of the store, (across, along); None for one mark in
        the middle, or several evenly along the length. [m]
    bulk_kg_per_m3, bulk_sd_kg_per_m3
        Bulk density of the fuel in the store, and its standard deviation. [kg/m3]
    repose_deg
        Steepest slope of the surface. [deg]
    mark_sd_cm
        How far a mark may be off, one standard deviation. [cm]

    Returns
    -------
    MarkedLevel
        Best estimate, and its error from surface, marks and density together. [kg]

    Raises
    ------
    StoreError
        No mark, not one point for each, a point or mark outside the store, or a mark below the floor at
        its point.
    """
    at = points if points is not None else _evenly(shape, len(marks_cm))
    if not marks_cm or len(at) != len(marks_cm):
        raise StoreError(
            f"{len(marks_cm)} marks at {len(at)} points: give one point for each mark, at least one mark"
        )
    plan = _plan(shape)
    heights_m = np.array(
        [_height_m(shape, plan, mark, measured_from, p) for mark, p in zip(marks_cm, at, strict=True)]
    )
    relief, seen = _surfaces(shape, at, repose_deg)
    base_m = (heights_m - seen).mean(axis=1)  # (surfaces,) lifts each surface through the marks
    slope_share = _slope_weights()
    misfit = ((heights_m - seen - base_m[:, None]) ** 2).sum(axis=1)
    noise_m2 = ROUGHNESS_M**2 + (mark_sd_cm / 100) ** 2
    weight = slope_share * np.exp(-0.5 * (misfit - misfit.min()) / noise_m2)
    weight /= weight.sum()
    volume = volume_under_m3(plan, base_m[:, None] + relief)
    mean_m3 = float(weight @ volume)
    shape_var = float(weight @ (volume - mean_m3) ** 2)
    # what a centimetre more on every mark would add, at the level surface of that volume
    level_m = float(shape.height_of_m(mean_m3))
    thin_m = 0.01 if level_m + 0.01 <= shape.top_m else -0.01
    per_m = (float(shape.volume_below_m3(level_m + thin_m)) - mean_m3) / thin_m
    volume_sd = math.sqrt(shape_var + per_m**2 * noise_m2 / len(marks_cm))
    kg = mean_m3 * bulk_kg_per_m3
    return MarkedLevel(kg, math.hypot(volume_sd * bulk_kg_per_m3, mean_m3 * bulk_sd_kg_per_m3))


def _evenly(shape: Shape, count: int) -> tuple[Point, ...]:
    step = shape.length_y_m / max(count, 1)
    return tuple((0.0, (i + 0.5) * step - shape.length_y_m / 2) for i in range(count))


def _height_m(
    shape: Shape, plan: FloorPlan, mark_cm: float, measured_from: MarkedFrom, point: Point
) -> float:
    """Height of a mark over the lowest floor; refuses what cannot have been measured."""
    x, y = point
    if abs(x) > shape.width_x_m / 2 or abs(y) > shape.length_y_m / 2:
        raise StoreError(f"the point ({x:g} m, {y:g} m) lies outside the store; measure from its middle")
    nearest = int(np.argmin(np.hypot(plan.x_m - x, plan.y_m - y)))
    floor, ceiling = float(plan.floor_m[nearest]), float(plan.ceiling_m[nearest])
    height = shape.top_m - mark_cm / 100 if measured_from == "top" else mark_cm / 100
    if not 0 <= mark_cm / 100 <= shape.top_m:
        raise StoreError(_outside(mark_cm, shape.top_m, measured_from))
    slack_m = 0.1  # the tape rests between cells of the plan, and boards are uneven
    if height < floor - slack_m or height > ceiling + slack_m:
        raise StoreError(_beyond(mark_cm, measured_from, None if height < floor else ceiling, floor))
    return height


def _outside(mark_cm: float, top_m: float, measured_from: MarkedFrom) -> Message:
    """Return what is said of a mark that is longer than the store is high."""
    mark, height = Quantity.written(mark_cm, "cm", "g"), Quantity.written(100 * top_m, "cm", ".0f")
    if measured_from == "top":
        return message(
            "store.mark_outside_from_top",
            "a mark at {mark} does not lie in a store {height} high; write centimetres down from the ceiling",
            mark=mark,
            height=height,
        )
    return message(
        "store.mark_outside_from_bottom",
        "a mark at {mark} does not lie in a store {height} high; write centimetres up from the lowest floor",
        mark=mark,
        height=height,
    )


def _beyond(mark_cm: float, measured_from: MarkedFrom, ceiling_m: float | None, floor_m: float) -> Message:
    """Return what is said of a mark below the floor, or above the ceiling, at its point."""
    mark = Quantity.written(mark_cm, "cm", "g")
    up = Quantity.written(100 * (floor_m if ceiling_m is None else ceiling_m), "cm", ".0f")
    if ceiling_m is None and measured_from == "top":
        return message(
            "store.mark_from_top_below_floor",
            "a mark at {mark} from the top lies below the floor there ({up} up); was it taken from the other "
            "end, or elsewhere?",
            mark=mark,
            up=up,
        )
    if ceiling_m is None:
        return message(
            "store.mark_from_bottom_below_floor",
            "a mark at {mark} from the bottom lies below the floor there ({up} up); was it taken from the "
            "other end, or elsewhere?",
            mark=mark,
            up=up,
        )
    if measured_from == "top":
        return message(
            "store.mark_from_top_above_ceiling",
            "a mark at {mark} from the top lies above the ceiling there ({up} up); was it taken from the "
            "other end, or elsewhere?",
            mark=mark,
            up=up,
        )
    return message(
        "store.mark_from_bottom_above_ceiling",
        "a mark at {mark} from the bottom lies above the ceiling there ({up} up); was it taken from the "
        "other end, or elsewhere?",
        mark=mark,
        up=up,
    )


def _slope_weights() -> Floats:
    """Weights of the surfaces beforehand: the steeper a whole surface, the rarer (triangular, our
    assumption)."""
    steepness = np.abs(np.linspace(-1.0, 1.0, _ANGLES))
    return np.tile(1.0 + 1.0 / _ANGLES - steepness, _ACROSS * _ALONG + 1)


@lru_cache(maxsize=64)
def _plan(shape: Shape) -> FloorPlan:
    return shape.plan(_CELLS)


@lru_cache(maxsize=64)
def _surfaces(shape: Shape, at: tuple[Point, ...], repose_deg: float) -> tuple[Floats, Floats]:
    """Reliefs of cones, craters and troughs: (surfaces, cells) in plan and (surfaces, marks) at the marks.
    [m]"""
    plan = _plan(shape)
    across = shape.width_x_m * np.linspace(-0.5, 0.5, _ACROSS)
    along = shape.length_y_m * np.linspace(-0.5, 0.5, _ALONG)
    middles = [(x, y) for x in across for y in along]
    tangents = np.tan(np.radians(np.linspace(-repose_deg, repose_deg, _ANGLES)))
    at_x, at_y = np.array([p[0] for p in at]), np.array([p[1] for p in at])
    away = [np.hypot(plan.x_m - x, plan.y_m - y) for x, y in middles]
    away_marks = [np.hypot(at_x - x, at_y - y) for x, y in middles]
    # a trough or ridge along the channel, as an auger draws it
    away.append(np.abs(plan.x_m - shape.channel_x_m))
    away_marks.append(np.abs(at_x - shape.channel_x_m))
    cells = np.concatenate([tangents[:, None] * a for a in away])
    marks = np.concatenate([tangents[:, None] * a for a in away_marks])
    return cells, marks

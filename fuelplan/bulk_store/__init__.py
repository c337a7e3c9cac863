"""Bulk stores: shapes, usable mass, level marks to kilograms, and what surely fits."""

from .marks import Level, MarkedFrom, level_from_marks
from .shapes import (
    FabricBag,
    FlatRoom,
    HorizontalTank,
    Plan,
    Point,
    PyramidBottom,
    Shape,
    SlopedRoom,
    SphereTank,
    StoreError,
    UprightTank,
)
from .store import Store
from .surface import CONE_DEG, REPOSE_DEG, filled_volume_m3, left_behind_m3, outlets_along

__all__ = [
    "CONE_DEG",
    "REPOSE_DEG",
    "FabricBag",
    "FlatRoom",
    "HorizontalTank",
    "Level",
    "MarkedFrom",
    "Plan",
    "Point",
    "PyramidBottom",
    "Shape",
    "SlopedRoom",
    "SphereTank",
    "Store",
    "StoreError",
    "UprightTank",
    "filled_volume_m3",
    "left_behind_m3",
    "level_from_marks",
    "outlets_along",
]

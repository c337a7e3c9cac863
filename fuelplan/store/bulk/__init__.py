"""Bulk stores: shapes, usable mass, level marks to kilograms, and what surely fits."""

from fuelplan.store.bulk.marks import MarkedFrom, MarkedLevel, level_from_marks
from fuelplan.store.bulk.rooms import FabricBag, FlatRoom, PyramidBottom, SlopedRoom
from fuelplan.store.bulk.section import Section, below, section_of
from fuelplan.store.bulk.shapes import FloorPlan, Point, Shape, StoreError
from fuelplan.store.bulk.store import Store
from fuelplan.store.bulk.surface import (
    CONE_DEG,
    REPOSE_DEG,
    Wall,
    filled_volume_m3,
    left_behind_m3,
    outlets_along,
)
from fuelplan.store.bulk.tanks import HorizontalTank, SphereTank, UprightTank

__all__ = [
    "CONE_DEG",
    "REPOSE_DEG",
    "FabricBag",
    "FlatRoom",
    "FloorPlan",
    "HorizontalTank",
    "MarkedFrom",
    "MarkedLevel",
    "Point",
    "PyramidBottom",
    "Section",
    "Shape",
    "SlopedRoom",
    "SphereTank",
    "Store",
    "StoreError",
    "UprightTank",
    "Wall",
    "below",
    "filled_volume_m3",
    "left_behind_m3",
    "level_from_marks",
    "outlets_along",
    "section_of",
]

"""Distances and driving times between places: great circle times a detour factor, or a table read elsewhere.

Pure: places go in as degrees, `Roads` come out. Files and services are read in the sub-room `sources`.
"""

from fuelplan.dispatch.roads.detour import DETOUR, DETOUR_SOURCE, NATIONAL_DETOURS, Detour, Tour, learn_detour
from fuelplan.dispatch.roads.great_circle import (
    EARTH_RADIUS_KM,
    great_circle_km,
    great_circle_table_km,
)
from fuelplan.dispatch.roads.roads import Roads, roads_between, roads_by_detour, slow
from fuelplan.dispatch.roads.speed import LORRY, Speed, driving_h

__all__ = [
    "DETOUR",
    "DETOUR_SOURCE",
    "EARTH_RADIUS_KM",
    "LORRY",
    "NATIONAL_DETOURS",
    "Detour",
    "Roads",
    "Speed",
    "Tour",
    "driving_h",
    "great_circle_km",
    "great_circle_table_km",
    "learn_detour",
    "roads_between",
    "roads_by_detour",
    "slow",
]

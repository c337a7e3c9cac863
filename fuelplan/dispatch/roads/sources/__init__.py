"""Distances from a file or from a table service: the only reading and writing of road data."""

from fuelplan.dispatch.roads.sources.faults import RoadFileFaults, RoadServiceError
from fuelplan.dispatch.roads.sources.matrix_file import NamedRoads, read_matrix
from fuelplan.dispatch.roads.sources.table_service import TableService, roads_from_service

__all__ = [
    "NamedRoads",
    "RoadFileFaults",
    "RoadServiceError",
    "TableService",
    "read_matrix",
    "roads_from_service",
]

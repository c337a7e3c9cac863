"""Distances and times of a round: by detour, from a matrix in its folder, or from a table service."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from fuelplan.dispatch.roads import LORRY, Roads, Speed, Tour, learn_detour, roads_by_detour
from fuelplan.messages import Listed, Message, Own, Said, message
from fuelplan.records.round import Round, tours_of
from fuelplan.records.tables import Fault, RoundFaults

LEAST_TOURS = 5
"""Days with an odometer reading from which on the detour is learned from them."""


MOST_NAMED = 10


@dataclass(frozen=True)
class RoundRoads:
    """Tables of a round: the places are its customers in order, then its depots. `notes` is what to know."""

    roads: Roads
    depot_place: tuple[int, ...]
    notes: tuple[Message, ...]


def roads_for_round(
    round_: Round, progress: Callable[[Said], None] | None = None, tours: Sequence[Tour] | None = None
) -> RoundRoads:
    """Return the distances as the round's `[distances]` asks for them.

    Parameters
    ----------
    tours
        Days to learn the detour from, where the round is a part of a larger one; None: those of the round.

    Raises
    ------
    RoundFaults
        For a matrix file that is missing, has faults, or lacks a customer.
    RoadServiceError
        For a table service that does not answer as it should.
    """
    table, c = round_.table, round_.customers
    lat = np.concatenate([c.latitude, [d.latitude for d in table.depots]])
    lon = np.concatenate([c.longitude, [d.longitude for d in table.depots]])
    depots = tuple(range(len(c), len(c) + len(table.depots)))
    asked = table.distances
    if asked.kind == "file":
        roads, notes = _from_file(round_)
        return RoundRoads(roads, depots, notes)
    if asked.kind == "service":
        from fuelplan.dispatch.roads.sources import TableService, roads_from_service

        if progress is not None:
            service = Own(str(asked.service))
            progress(message("roads.asking", "asking {service} for distances", service=service))
        roads = roads_from_service(TableService(str(asked.service)), lat.tolist(), lon.tolist())
        return RoundRoads(roads, depots, ())
    speed = LORRY if asked.speed_km_h is None else Speed(asked.speed_km_h, asked.speed_km_h)
    if asked.detour is not None:
        return RoundRoads(roads_by_detour(lat, lon, asked.detour, speed), depots, ())
    tours = tours_of(round_) if tours is None else tours
    if len(tours) < LEAST_TOURS:
        return RoundRoads(roads_by_detour(lat, lon, speed=speed), depots, ())
    learned = learn_detour(tours)
    return RoundRoads(roads_by_detour(lat, lon, learned, speed), depots, tuple(learned.left_out))


def distances_said(roads: RoundRoads) -> Message:
    """Return where distances and times come from."""
    return message("roads.distances", "Distances: {source}.", source=roads.roads.source)


def _from_file(round_: Round) -> tuple[Roads, tuple[Message, ...]]:
    """Return the tables of a matrix file in the order of the places, and what to know of them."""
    from fuelplan.dispatch.roads.sources import RoadFileFaults, read_matrix

    name = round_.table.distances.file or ""
    path = round_.beside / name
    if path.parent != round_.beside or path.name != name:
        said = message("roads.no_file_here", "names no file of this folder")
        raise RoundFaults([Fault("round.toml", None, "distances.file", said)])
    try:
        named = read_matrix(path)
    except RoadFileFaults as error:
        raise RoundFaults(error.faults) from error
    wanted = [*(str(i) for i in round_.customers.id), *(d.name for d in round_.table.depots)]
    at = {n: k for k, n in enumerate(named.names)}
    missing = [n for n in wanted if n not in at]
    if missing:
        raise RoundFaults([Fault(name, None, "from", _without_line(missing))])
    rows = np.array([at[n] for n in wanted])
    r = named.roads
    roads = Roads(r.km[np.ix_(rows, rows)], r.hours[np.ix_(rows, rows)], r.source, r.attribution)
    return roads, named.notes


def _without_line(missing: Sequence[str]) -> Message:
    """Return which customers and depots a table of distances lacks, the first of many."""
    names = Listed(tuple(Own(name) for name in missing[:MOST_NAMED]), ", ")
    if len(missing) > MOST_NAMED:
        return message("roads.without_line_more", "has no line for {names} …", names=names)
    return message("roads.without_line", "has no line for {names}", names=names)

"""A round in the words of the rooms that compute: tours driven."""

from __future__ import annotations

from collections import defaultdict
from datetime import date

from fuelplan.dispatch.roads import Tour
from fuelplan.records.round.folder import Round
from fuelplan.records.round.published import PublishedStop


def tours_of(round_: Round) -> list[Tour]:
    """Return the days whose kilometres and stops are both written down, each as one tour.

    A day begins and ends at the tanker's depot, and so does each of its runs.
    """
    stops: dict[tuple[date, str], list[PublishedStop]] = defaultdict(list)
    for stop in round_.published:
        stops[stop.day, stop.tanker].append(stop)
    homes = {tanker.name: tanker.depot for tanker in round_.table.tankers}
    depots = {depot.name: (depot.latitude, depot.longitude) for depot in round_.table.depots}
    customers = round_.customers
    found = []
    for driven in round_.odometer:
        day = sorted(stops.get((driven.day, driven.tanker), ()), key=lambda s: (s.trip, s.position))
        if not day:
            continue
        home = depots[homes[driven.tanker]]
        places, trip = [home], day[0].trip
        for stop in day:
            if stop.trip != trip:
                places.append(home)
                trip = stop.trip
            number = customers.number_of[stop.customer]
            places.append((float(customers.latitude[number]), float(customers.longitude[number])))
        places.append(home)
        lat, lon = zip(*places, strict=True)
        found.append(Tour(lat, lon, driven.km, f"{driven.day}, {driven.tanker}"))
    return found

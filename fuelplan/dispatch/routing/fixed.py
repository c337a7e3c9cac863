"""The times of routes that stand already: nothing is searched for, and what cannot be is said."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from fuelplan.dispatch.driver_hours import Breach, Rules
from fuelplan.dispatch.routing.day import Route, Stop, Tanker
from fuelplan.dispatch.routing.exact import load_of, routes_of, tanker_day
from fuelplan.dispatch.routing.tables import tables_of
from fuelplan.messages import Value


def fixed_day(
    number: int,
    tanker: Tanker,
    trips: Sequence[Sequence[int]],
    stops: Sequence[Stop],
    km: NDArray[np.floating],
    hours: NDArray[np.floating],
    rules: Rules | None = None,
    names: Sequence[Value] | None = None,
) -> tuple[tuple[Route, ...], tuple[Breach, ...]]:
    """Return one tanker's whole day with its times, and what rules it breaks.

    Parameters
    ----------
    number
        The tanker's number, as `Stop.tankers_allowed` and `Stop.work_min_by` count.
    trips
        The numbers of the stops of each trip, in order.
    names
        What to call the stops where something is said of them; "stop 0" … where None.
    """
    tables = tables_of(stops, [tanker], km, hours)
    asked = [(tanker.place, tuple(trip)) for trip in trips]
    day = tanker_day(number, tanker, asked, stops, tables, rules, names)
    if day.times is not None:
        return routes_of(day, tanker, stops), day.faults
    return tuple(_without_road(number, t, tanker, trip, stops) for t, trip in enumerate(trips)), day.faults


def _without_road(
    number: int, trip: int, tanker: Tanker, numbers: Sequence[int], stops: Sequence[Stop]
) -> Route:
    """Return a trip that no road leads to: it stays in sight, without kilometres or times."""
    at, kg = (tanker.starts_h,) * len(numbers), sum(load_of(stops, numbers).values())
    return Route(
        number, trip, tuple(numbers), 0.0, 0.0, kg, tanker.starts_h, at, at, tanker.starts_h, tanker.place,
        tanker.place, (), done_h=at,
    )  # fmt: skip

"""Why a stop cannot be served: named before the search, or after it."""

from __future__ import annotations

from collections.abc import Sequence

from fuelplan import units
from fuelplan.dispatch.driver_hours import Rules
from fuelplan.dispatch.routing.day import Stop, Tanker
from fuelplan.dispatch.routing.exact import tanker_day
from fuelplan.dispatch.routing.tables import Tables


def alone_fault(
    i: int, stops: Sequence[Stop], tankers: Sequence[Tanker], tables: Tables, rules: Rules | None
) -> str | None:
    """Return why no tanker could serve stop `i` even with the whole day for it; None where one could."""
    stop = stops[i]
    if not tankers:
        return "no tanker is out that day"
    able = [t for t in range(len(tankers)) if stop.tankers_allowed is None or t in stop.tankers_allowed]
    if not able:
        return "no tanker that is out that day may go there"
    big = [t for t in able if stop.kg <= min(tankers[t].payload_kg, sum(tankers[t].chambers))]
    if not big:
        most = max(min(tankers[t].payload_kg, sum(tankers[t].chambers)) for t in able)
        return units.in_both_systems(
            lambda: (
                f"{units.show_as(stop.kg, 'kg')} are more than the largest tanker that may go there takes "
                f"({units.show_as(most, 'kg')})"
            )
        )
    faults: list[str] = []
    for t in big:
        day = tanker_day(t, tankers[t], [(tankers[t].place, (i,))], stops, tables, rules)
        if not day.faults:
            return None
        faults += day.faults
    if all("no road" in f for f in faults):
        return "no road leads there"
    if any("takes fuel until" in f for f in faults):
        return "no tanker can be there while the customer takes fuel"
    return "out and back takes longer than any tanker's day"


def left_out_reason(stop: Stop, could_fit_by_load: bool) -> str:
    """Return why the search left a stop out that some tanker could serve alone."""
    if not stop.required:
        return "not worth its way that day"
    if could_fit_by_load:
        return "no tanker has the time left that day"
    return "the tankers that may go there are full that day"

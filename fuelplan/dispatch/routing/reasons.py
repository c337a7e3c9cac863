"""Why a stop cannot be served: before the search, or after it."""

from __future__ import annotations

from collections.abc import Sequence

from fuelplan.dispatch.driver_hours import LATE, Breach, Rules
from fuelplan.dispatch.routing.day import Stop, Tanker
from fuelplan.dispatch.routing.exact import NO_ROAD, tanker_day
from fuelplan.dispatch.routing.tables import Tables
from fuelplan.messages import Message, Quantity, message

NONE_OUT = message("routing.none_out", "no tanker is out that day")
NONE_MAY = message("routing.none_may_go", "no tanker that is out that day may go there")
NO_ROAD_THERE = message("routing.no_road_there", "no road leads there")
NONE_IN_WINDOW = message(
    "routing.none_in_window", "no tanker can be there while the customer takes fuel"
)
TOO_FAR = message("routing.too_far", "out and back takes longer than any tanker's day")
NOT_WORTH_IT = message("routing.not_worth_it", "not worth its way that day")
NO_TIME_LEFT = message("routing.no_time_left", "no tanker has the time left that day")
FULL = message("routing.full", "the tankers that may go there are full that day")


def alone_fault(
    i: int, stops: Sequence[Stop], tankers: Sequence[Tanker], tables: Tables, rules: Rules | None
) -> Message | None:
    """Return why no tanker could serve stop `i` even with the whole day for it; None where one could."""
    stop = stops[i]
    if not tankers:
        return NONE_OUT
    able = [t for t in range(len(tankers)) if stop.tankers_allowed is None or t in stop.tankers_allowed]
    if not able:
        return NONE_MAY
    big = [t for t in able if stop.kg <= min(tankers[t].payload_kg, sum(tankers[t].chambers))]
    if not big:
        most = max(min(tankers[t].payload_kg, sum(tankers[t].chambers)) for t in able)
        return message(
            "routing.more_than_largest",
            "{kg} are more than the largest tanker that may go there takes ({most})",
            kg=Quantity(stop.kg, "weighed_mass"), most=Quantity(most, "weighed_mass"),
        )  # fmt: skip
    faults: list[Breach] = []
    for t in big:
        day = tanker_day(t, tankers[t], [(tankers[t].place, (i,))], stops, tables, rules)
        if not day.faults:
            return None
        faults += day.faults
    if all(f == NO_ROAD for f in faults):
        return NO_ROAD_THERE
    if any(f.said.code in LATE for f in faults):
        return NONE_IN_WINDOW
    return TOO_FAR


def left_out_reason(stop: Stop, could_fit_by_load: bool) -> Message:
    """Return why the search left a stop out that some tanker could serve alone."""
    if not stop.required:
        return NOT_WORTH_IT
    if could_fit_by_load:
        return NO_TIME_LEFT
    return FULL

"""Published stops: what the customers have been told, with the run they belong to kept whole."""

from __future__ import annotations

import re
from collections.abc import Mapping
from datetime import date

import numpy as np

from fuelplan.dispatch.books import Breaks, Chambers
from fuelplan.dispatch.books import PublishedStop as PublishedStop
from fuelplan.messages import Message, message
from fuelplan.records.round.customers import Customers
from fuelplan.records.round.histories import customer_numbers
from fuelplan.records.round.lists import day_or_none, id_at, number_or_none, word_at
from fuelplan.records.schema import RoundTable
from fuelplan.records.tables import CANNOT_BE_READ, CLASS, TANKER, ColumnCells
from fuelplan.units import parse_clock

EMPTY = "empty"
_CHAMBER = re.compile(r"(?P<grade>.+?)\s+(?P<kg>\d+(?:\.\d+)?)")
_BREAK = re.compile(r"(?P<at>\d{1,2}:\d\d)\s+(?P<minutes>\d{1,3})\s*min\s+before\s+(?P<stop>\d{1,3})")


def read_published(cells: ColumnCells, table: RoundTable, customers: Customers) -> list[PublishedStop]:
    """Return all rows as they stand; the faults stay with `cells`."""
    tankers = tuple(tanker.name for tanker in table.tankers)
    day, tanker = cells.day("date"), cells.named("tanker", tankers, TANKER)
    trip, position = cells.number("trip"), cells.number("position")
    numbers = customer_numbers(cells, customers, cells.over(day))
    grade = cells.named("class", table.classes, CLASS)
    kg = cells.number("kg")
    clocks = {name: cells.clock(name) for name in CLOCKS}
    order, by = cells.text("order"), cells.text("by")
    chambers, breaks = cells.text("chambers"), cells.text("breaks")
    said = message(
        "published.chambers",
        "write a class and kilograms for each chamber, such as A1 4500; A2 1500; empty",
    )
    _faulty(cells, "chambers", [chambers_of(text, table.classes) is None for text in chambers], said)
    said = message("published.breaks", "write breaks such as 10:05 45 min before 3; 14:00 15 min before 5")
    _faulty(cells, "breaks", [breaks_of(text) is None for text in breaks], said)
    return [
        PublishedStop(
            day=day_or_none(day[i]) or date.max,
            tanker=word_at(tankers, tanker[i]) or "",
            trip=int(np.nan_to_num(trip[i], nan=1)),
            position=int(np.nan_to_num(position[i], nan=1)),
            customer=id_at(customers, numbers[i]),
            grade=word_at(table.classes, grade[i]) or "",
            kg=float(kg[i]),
            row=int(cells.sheet.row[i]),
            order=order[i] or None,
            chambers=chambers_of(chambers[i], table.classes) or (),
            breaks=breaks_of(breaks[i]) or (),
            by=by[i],
            **{field: number_or_none(clocks[name][i]) for name, field in CLOCKS.items()},
        )
        for i in range(len(cells.sheet))
    ]


CLOCKS = {
    "arrive": "arrive_h", "start": "start_h", "leave": "leave_h", "told_from": "told_from_h",
    "told_to": "told_to_h", "run_leaves": "run_leaves_h", "run_back_by": "run_back_h",
}  # fmt: skip
"""Columns that hold a time of the day, and the field of each."""


def _faulty(cells: ColumnCells, name: str, wrong: list[bool], said: Message) -> None:
    cells.fault(name, CANNOT_BE_READ, np.flatnonzero(np.array(wrong, bool)), said)


def chambers_of(text: str, classes: tuple[str, ...]) -> Chambers | None:
    """Return what stands in a cell of chambers; None where it cannot be read."""
    out: list[tuple[str, float]] = []
    for part in (p.strip() for p in text.split(";") if p.strip()):
        found = _CHAMBER.fullmatch(part)
        if part == EMPTY:
            out.append(("", 0.0))
        elif found is None or found["grade"] not in classes:
            return None
        else:
            out.append((found["grade"], float(found["kg"])))
    return tuple(out)


def breaks_of(text: str) -> Breaks | None:
    """Return what stands in a cell of breaks; None where it cannot be read."""
    out = []
    for part in (p.strip() for p in text.split(";") if p.strip()):
        found = _BREAK.fullmatch(part)
        if found is None:
            return None
        try:
            out.append((parse_clock(found["at"]), int(found["minutes"]) / 60, int(found["stop"])))
        except ValueError:
            return None
    return tuple(out)


def cells_of_stop(stop: PublishedStop) -> Mapping[str, str]:
    """Return the cells of a stop as `published.csv` has them."""
    chambers = [f"{grade} {kg:.0f}" if kg > 0 else EMPTY for grade, kg in stop.chambers]
    breaks = [f"{clock(at_h)} {round(60 * hours)} min before {n}" for at_h, hours, n in stop.breaks]
    times = {name: getattr(stop, field) for name, field in CLOCKS.items()}
    return {
        "date": stop.day.isoformat(),
        "tanker": stop.tanker,
        "trip": str(stop.trip),
        "position": str(stop.position),
        "customer": stop.customer,
        "class": stop.grade,
        "kg": f"{stop.kg:.10g}",
        "order": stop.order or "",
        "chambers": "; ".join(chambers),
        "breaks": "; ".join(breaks),
        "by": stop.by,
        **{name: "" if hours is None else clock(hours) for name, hours in times.items()},
    }


def clock(hours: float) -> str:
    """Return hours since midnight as a time of day, to the minute."""
    minutes = round(hours * 60)
    return f"{minutes // 60:02d}:{minutes % 60:02d}"

"""The books of a house: its settings, readings and deliveries."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from pathlib import Path

from fuelplan.records.folder import BookKind, Keeping, RecordBooks, as_meant_by
from fuelplan.records.opening import books_at
from fuelplan.records.schema import HOUSE_FILES, SITE_FILE

USUAL = {"weighed": "yes", "filled_full": "no", "outcome": "delivered"}
BY_DAY = {"readings": ("date",), "deliveries": ("ordered_on", "delivered_on")}

HOUSE = BookKind(
    SITE_FILE,
    {
        table: Keeping(
            tuple(column.name for column in columns),
            needed=tuple(column.name for column in columns if column.needed),
            by_day=BY_DAY[table],
            usual=USUAL,
            by_line=True,
            delimiter=",",
        )
        for table, columns in HOUSE_FILES.items()
    },
)


def usual_fuel_at(place: Path | str) -> str:
    """Return the fuel that a row of a house means which names none: that of its bulk store."""
    with as_meant_by(books_at(place, HOUSE).text(SITE_FILE)[0]) as usual:
        return usual


def house_books(place: Path | str) -> RecordBooks:
    """Return the books of a house, where a row that names no fuel is of its bulk store."""
    usual = {**USUAL, "fuel": usual_fuel_at(place)}
    tables = {table: replace(keeping, usual=usual) for table, keeping in HOUSE.tables.items()}
    return books_at(place, replace(HOUSE, tables=tables))


def iso(day: date | None) -> str:
    """Return a date as the files write it."""
    return "" if day is None else day.isoformat()

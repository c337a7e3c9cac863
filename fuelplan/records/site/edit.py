"""The books of a house in its folder: readings and deliveries."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from pathlib import Path

from fuelplan.records.folder import FolderBooks, Keeping, usual_fuel_in
from fuelplan.records.schema import SITE_FILE
from fuelplan.records.site.tables import DELIVERY_COLUMNS, READING_COLUMNS

USUAL = {"weighed": "yes", "filled_full": "no", "outcome": "delivered"}
READINGS = Keeping(
    READING_COLUMNS, needed=("date",), by_day=("date",), usual=USUAL, by_line=True, delimiter=","
)  # fmt: skip
DELIVERIES = replace(READINGS, columns=DELIVERY_COLUMNS, needed=(), by_day=("ordered_on", "delivered_on"))
HOUSE_TABLES = {"readings": READINGS, "deliveries": DELIVERIES}


def house_books(folder: Path | str) -> FolderBooks:
    """Return the books of a house, where a row that names no fuel is of its bulk store."""
    usual = {**USUAL, "fuel": usual_fuel_in(Path(folder))}
    tables = {name: replace(table, usual=usual) for name, table in HOUSE_TABLES.items()}
    return FolderBooks(folder, tables, SITE_FILE)


def iso(day: date | None) -> str:
    """Return a date as the files write it."""
    return "" if day is None else day.isoformat()

"""The books of a house in its folder: readings and deliveries."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from pathlib import Path

from fuelplan.records.folder import FolderBooks, Keeping, usual_fuel_in
from fuelplan.records.schema import HOUSE_FILES, SITE_FILE

USUAL = {"weighed": "yes", "filled_full": "no", "outcome": "delivered"}
BY_DAY = {"readings": ("date",), "deliveries": ("ordered_on", "delivered_on")}


def _keeping(kind: str, usual: Mapping[str, str]) -> Keeping:
    """Return how a table of a house is kept."""
    columns = HOUSE_FILES[kind]
    return Keeping(
        tuple(column.name for column in columns),
        needed=tuple(column.name for column in columns if column.needed),
        by_day=BY_DAY[kind],
        usual=usual,
        by_line=True,
        delimiter=",",
    )


def house_books(folder: Path | str) -> FolderBooks:
    """Return the books of a house, where a row that names no fuel is of its bulk store."""
    usual = {**USUAL, "fuel": usual_fuel_in(Path(folder))}
    return FolderBooks(folder, {kind: _keeping(kind, usual) for kind in HOUSE_FILES}, SITE_FILE)


def iso(day: date | None) -> str:
    """Return a date as the files write it."""
    return "" if day is None else day.isoformat()

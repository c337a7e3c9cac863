"""The faults of one table's text, held against the rest of the round: before anything is written."""

from __future__ import annotations

from collections.abc import Callable

from fuelplan.records.round import check_rows, lists
from fuelplan.records.round.check_customers import check_customers
from fuelplan.records.round.customers import read_customers
from fuelplan.records.round.folder import Round, today_of
from fuelplan.records.round.histories import read_deliveries, read_readings
from fuelplan.records.round.published import read_published
from fuelplan.records.schema import RoundTable
from fuelplan.records.tables import ColumnCells, Fault, all_faults, sheet_of_text


def faults_of_text(name: str, text: str, kind: str, round_: Round) -> list[Fault]:
    """Return every fault, but no warning, of a table's text, held against the rest of the round.

    Parameters
    ----------
    name
        Of the file, for the faults.
    kind
        A table of a round: "deliveries", "orders", …
    round_
        What the rows are held against: its customers, tankers and classes.
    """
    sheet, faults = sheet_of_text(name, text, kind)
    if sheet is None:
        return faults
    cells = ColumnCells(sheet, kind)
    _READ[kind](cells, round_)
    return [fault for fault in [*faults, *all_faults(cells.groups)] if not fault.warning]


def faults_of_customers(name: str, text: str, table: RoundTable) -> list[Fault]:
    """Return every fault, but no warning, of the customers' text; only the round's table is needed for it."""
    sheet, faults = sheet_of_text(name, text, "customers")
    if sheet is None:
        return faults
    cells = ColumnCells(sheet, "customers")
    check_customers(cells, table, read_customers(cells, table))
    return [fault for fault in [*faults, *all_faults(cells.groups)] if not fault.warning]


def _read_orders(cells: ColumnCells, round_: Round) -> None:
    orders = lists.read_orders(cells, round_.table, round_.customers)
    check_rows.check_orders(cells, orders, round_.table, round_.customers, today_of(round_.table))


def _read_published(cells: ColumnCells, round_: Round) -> None:
    stops = read_published(cells, round_.table, round_.customers)
    check_rows.check_published(cells, stops, round_.table, round_.customers)


def _read_wishes(cells: ColumnCells, round_: Round) -> None:
    wishes = lists.read_wishes(cells, round_.table, round_.customers)
    check_rows.check_wishes(cells, wishes, round_.table, round_.customers)


def _read_happenings(cells: ColumnCells, round_: Round) -> None:
    lists.read_happenings(cells, round_.table, round_.customers)


def _read_deliveries(cells: ColumnCells, round_: Round) -> None:
    rows = read_deliveries(cells, round_.table, round_.customers)
    check_rows.check_deliveries(cells, rows, round_.customers, today_of(round_.table))


def _read_readings(cells: ColumnCells, round_: Round) -> None:
    rows = read_readings(cells, round_.customers)
    check_rows.check_readings(cells, rows, round_.customers, today_of(round_.table))


def _read_odometer(cells: ColumnCells, round_: Round) -> None:
    lists.read_odometer(cells, round_.table)


def _read_customers(cells: ColumnCells, round_: Round) -> None:
    check_customers(cells, round_.table, read_customers(cells, round_.table))


_READ: dict[str, Callable[[ColumnCells, Round], None]] = {
    "customers": _read_customers,
    "odometer": _read_odometer,
    "orders": _read_orders,
    "published": _read_published,
    "wishes": _read_wishes,
    "happenings": _read_happenings,
    "deliveries": _read_deliveries,
    "readings": _read_readings,
}

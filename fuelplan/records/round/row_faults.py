"""The rows of one table of a round, read and held against the rest of it."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from typing import Any

from fuelplan.records.round import check_rows, histories, lists
from fuelplan.records.round.check_customers import check_customers
from fuelplan.records.round.customers import Customers, read_customers
from fuelplan.records.round.published import read_published
from fuelplan.records.schema import RoundTable
from fuelplan.records.tables import ColumnCells, Fault, all_faults, sheet_of_text

Rows = Callable[[ColumnCells, RoundTable, Customers, date], Any]


def customers_of(cells: ColumnCells, table: RoundTable) -> Customers:
    """Return all customers as they stand; the faults stay with `cells`."""
    return check_customers(cells, table, read_customers(cells, table))


def _deliveries(cells: ColumnCells, table: RoundTable, customers: Customers, today: date) -> Any:
    rows = histories.read_deliveries(cells, table, customers)
    check_rows.check_deliveries(cells, rows, customers, today)
    return rows


def _readings(cells: ColumnCells, table: RoundTable, customers: Customers, today: date) -> Any:
    rows = histories.read_readings(cells, customers)
    check_rows.check_readings(cells, rows, customers, today)
    return rows


def _orders(cells: ColumnCells, table: RoundTable, customers: Customers, today: date) -> Any:
    rows = lists.read_orders(cells, table, customers)
    check_rows.check_orders(cells, rows, table, customers, today)
    return rows


def _published(cells: ColumnCells, table: RoundTable, customers: Customers, today: date) -> Any:
    rows = read_published(cells, table, customers)
    check_rows.check_published(cells, rows, table, customers)
    return rows


def _wishes(cells: ColumnCells, table: RoundTable, customers: Customers, today: date) -> Any:
    rows = lists.read_wishes(cells, table, customers)
    if rows:
        check_rows.check_wishes(cells, rows, table, customers)
    return rows


ROWS_OF: dict[str, Rows] = {
    "deliveries": _deliveries,
    "readings": _readings,
    "orders": _orders,
    "published": _published,
    "wishes": _wishes,
    "happenings": lambda cells, table, customers, _: lists.read_happenings(cells, table, customers),
    "odometer": lambda cells, table, *_: lists.read_odometer(cells, table),
}
"""What gives all rows of a table as they stand; the faults stay with the cells."""


def faults_of_text(
    file: str, text: str, kind: str, table: RoundTable, customers: Customers | None, today: date
) -> list[Fault]:
    """Return every fault, but no warning, of a table's text, held against the rest of the round.

    Parameters
    ----------
    file
        For the faults.
    kind
        A table of a round: "deliveries", "orders", …
    customers
        Those that rows are held against; of no use for the table of the customers.
    """
    sheet, faults = sheet_of_text(file, text, kind)
    if sheet is None:
        return faults
    cells = ColumnCells(sheet, kind)
    if customers is None or kind == "customers":
        customers_of(cells, table)
    else:
        ROWS_OF[kind](cells, table, customers, today)
    return [fault for fault in [*faults, *all_faults(cells.groups)] if not fault.warning]

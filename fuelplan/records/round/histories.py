"""Deliveries and readings of a round as arrays, each with the number of its customer."""

from __future__ import annotations

import numpy as np

from fuelplan.dispatch.books import Deliveries as Deliveries
from fuelplan.dispatch.books import Readings as Readings
from fuelplan.messages import Message, Own, counted_message, message
from fuelplan.records.round.customers import Customers, find_ids
from fuelplan.records.schema import RoundTable
from fuelplan.records.tables import CLASS, MISSING, Bools, ColumnCells, Ints, Texts


def read_deliveries(cells: ColumnCells, table: RoundTable, customers: Customers) -> Deliveries:
    """Return all rows as they stand; the faults stay with `cells`."""
    return Deliveries(
        row=cells.sheet.row,
        customer=customer_numbers(cells, customers),
        day=cells.day("date"),
        kg=cells.number("kg"),
        grade=cells.named("class", table.classes, CLASS),
        tanker=cells.text("tanker"),
        filled_full=cells.yes("filled_full", False),
    )


def read_readings(cells: ColumnCells, customers: Customers) -> Readings:
    """Return all rows as they stand; the faults stay with `cells`."""
    customer = customer_numbers(cells, customers)
    kg, percent = cells.number("kg"), cells.number("percent")
    neither = np.flatnonzero(~cells.written("kg") & ~cells.written("percent"))
    cells.fault(
        "kg", MISSING, neither,
        message("readings.neither", "neither kg nor percent is written; write one of them"),
    )  # fmt: skip
    both = np.flatnonzero(cells.written("kg") & cells.written("percent"))
    cells.fault(
        "percent", message("readings.both_written", "both written"), both,
        message("readings.both", "kg and percent are both written; keep the better one"),
    )  # fmt: skip
    by_eye = np.isnan(kg)
    store = np.append(customers.store_kg, np.nan)[customer]
    checked = cells.choice("checked")
    return Readings(
        row=cells.sheet.row,
        customer=customer,
        day=cells.day("date"),
        kg=np.where(by_eye, percent / 100 * store, kg),
        by_eye=by_eye,
        right=checked == 0,
        wrong=checked == 1,
    )


UNKNOWN = message("rows.unknown_customer", "unknown customer")


def customer_numbers(cells: ColumnCells, customers: Customers, past: Bools | None = None) -> Ints:
    """Return the number of each row's customer, −1 with a fault where there is no such one.

    Rows of the past (all where `past` is None) of somebody who is not there any more are left out with one
    remark for each such customer: whoever leaves must not stop the round.
    """
    name = "customer"
    wanted = cells.ids(name)
    found = find_ids(wanted, customers.id)
    unknown = (found < 0) & (wanted != "")
    over = np.zeros(len(wanted), bool)
    if cells.today is not None:
        over = unknown if past is None else unknown & past
        _remark(cells, wanted, over)
    at = np.flatnonzero(unknown & ~over)
    cells.fault(
        name, UNKNOWN, at,
        lambda i: message(
            "rows.no_customer",
            'there is no customer "{customer}" in the customers\' file; write it as it stands there',
            customer=Own(wanted[at[i]]),
        ),
    )  # fmt: skip
    return found


def _remark(cells: ColumnCells, wanted: Texts, over: Bools) -> None:
    """Remark how many rows of whom are left out, each customer once, at the first row."""
    at = np.flatnonzero(over)
    if not len(at):
        return
    names, first, count = np.unique(wanted[at].astype(str), return_index=True, return_counts=True)
    order = np.argsort(first)

    def said(i: int) -> Message:
        n = order[i]
        return counted_message(
            "rows.of_unknown_customer",
            '{n} row of "{customer}", who is not in the customers\' file, left out; keep a customer who '
            "leaves, with the last day in left_on, and nothing is lost",
            '{n} rows of "{customer}", who is not in the customers\' file, left out; keep a customer who '
            "leaves, with the last day in left_on, and nothing is lost",
            int(count[n]), customer=Own(str(names[n])),
        )  # fmt: skip

    cells.fault("customer", UNKNOWN, at[first[order]], said, warning=True)
    cells.bad[at] = True

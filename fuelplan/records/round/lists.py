"""The short lists of a round, one small record for each row: orders, published stops, wishes, happenings."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Any

import numpy as np
from numpy.typing import NDArray

from fuelplan.dispatch.books import Happening as Happening
from fuelplan.dispatch.books import Order as Order
from fuelplan.dispatch.books import Wish as Wish
from fuelplan.dispatch.books import credit_stopped as credit_stopped
from fuelplan.messages import Own, message
from fuelplan.records.round.customers import Customers, find_ids, first_rows
from fuelplan.records.round.histories import UNKNOWN, customer_numbers
from fuelplan.records.schema import FULL, HAPPENING_KINDS, WISH_KINDS, RoundTable
from fuelplan.records.tables import CLASS, DEPOT, MISSING, NO_DAY, TANKER, ColumnCells, Days, Texts


@dataclass(frozen=True)
class OdometerDay:
    """What one tanker drove on one day. [km]"""

    day: date
    tanker: str
    km: float
    row: int = 0


def read_orders(cells: ColumnCells, table: RoundTable, customers: Customers) -> list[Order]:
    """Return all rows as they stand; the faults stay with `cells`."""
    ids = cells.ids("order")
    first = first_rows(ids)
    twice = np.flatnonzero((first < np.arange(len(ids))) & (ids != ""))
    rows = cells.sheet.row
    cells.fault(
        "order", message("orders.same", "the same order twice"), twice,
        lambda i: message(
            "orders.twice", '"{order}" stands in row {row} already', order=Own(ids[twice[i]]),
            row=Own(str(rows[first[twice[i]]])),
        ),
    )  # fmt: skip
    day_from, day_to = cells.day("from"), cells.day("to")
    numbers = customer_numbers(cells, customers, cells.over(day_to))
    kg = kg_or_full(cells)
    grade = cells.named("class", table.classes, CLASS)
    backwards(cells, "to", day_from, day_to)
    price = cells.number("price_per_t")
    neighbour = _neighbour(cells, customers)
    lifted_by = cells.text("lifted_by")
    flags = {name: cells.yes(name, False) for name in ("credit_stop", "call_ahead", "already_empty")}
    return [
        Order(
            row=int(cells.sheet.row[i]),
            order=ids[i],
            customer=id_at(customers, numbers[i]),
            kg=number_or_none(kg[i]),
            grade=word_at(table.classes, grade[i]),
            first=day_or_none(day_from[i]),
            last=day_or_none(day_to[i]) or date.max,
            price_per_t=number_or_none(price[i]),
            credit_stop=bool(flags["credit_stop"][i]),
            call_ahead=bool(flags["call_ahead"][i]),
            already_empty=bool(flags["already_empty"][i]),
            split_with=neighbour[i] or None,
            lifted_by=" ".join(str(lifted_by[i]).split()),
        )
        for i in range(len(cells.sheet))
    ]


def read_wishes(cells: ColumnCells, table: RoundTable, customers: Customers) -> list[Wish]:
    """Return all rows as they stand; the faults stay with `cells`."""
    tankers = tuple(tanker.name for tanker in table.tankers)
    day, tanker = cells.day("date"), cells.named("tanker", tankers, TANKER)
    for_good = np.isnat(day) & ~cells.written("date")
    numbers, wish = customer_numbers(cells, customers, cells.over(day) | for_good), cells.choice("wish")
    by, why = cells.text("by"), cells.text("why")
    no_day = ~cells.written("date")
    needs = np.flatnonzero(no_day & (wish >= 0) & (wish != WISH_KINDS.index("forbid")))
    cells.fault("date", MISSING, needs, message("wishes.no_day", "the day is missing, e.g. 2026-01-14"))
    nothing = np.flatnonzero(no_day & ~cells.written("tanker") & (wish == WISH_KINDS.index("forbid")))
    cells.fault(
        "date", MISSING, nothing,
        message("wishes.nothing_forbidden", "say what is forbidden: a day, a tanker, or both"),
    )  # fmt: skip
    return [
        Wish(
            customer=id_at(customers, numbers[i]),
            wish=word_at(WISH_KINDS, wish[i]) or "",
            day=day_or_none(day[i]),
            tanker=word_at(tankers, tanker[i]),
            by=by[i],
            why=why[i],
            row=int(cells.sheet.row[i]),
        )
        for i in range(len(cells.sheet))
    ]


NEEDS = {
    "failed drop": "customer",
    "tanker out": "tanker",
    "depot out of stock": "depot",
    "slow roads": "factor",
    "came": "customer",
}
"""The column that each happening cannot do without."""


def read_happenings(cells: ColumnCells, table: RoundTable, customers: Customers) -> list[Happening]:
    """Return all rows as they stand; the faults stay with `cells`."""
    tankers, depots = tuple(t.name for t in table.tankers), tuple(d.name for d in table.depots)
    day, until, what = cells.day("date"), cells.day("until"), cells.choice("what")
    backwards(cells, "until", day, until)
    last = np.where(np.isnat(until), day, until)
    customer_numbers(cells, customers, cells.over(last))
    customer = cells.text("customer")
    tanker, depot = cells.named("tanker", tankers, TANKER), cells.named("depot", depots, DEPOT)
    factor, grade = cells.number("factor"), cells.named("class", table.classes, CLASS)
    reason, kg = cells.text("reason"), cells.number("kg")
    for kind, column in NEEDS.items():
        at = np.flatnonzero((what == HAPPENING_KINDS.index(kind)) & ~cells.written(column))
        said = message("happenings.needs", '"{kind}" needs the {column}', kind=Own(kind), column=Own(column))
        cells.fault(column, MISSING, at, said)
    return [
        Happening(
            day=day_or_none(day[i]) or date.max,
            what=word_at(HAPPENING_KINDS, what[i]) or "",
            until=day_or_none(until[i]) or day_or_none(day[i]) or date.max,
            customer=customer[i] or None,
            tanker=word_at(tankers, tanker[i]),
            depot=word_at(depots, depot[i]),
            factor=number_or_none(factor[i]) or 1.0,
            grade=word_at(table.classes, grade[i]),
            reason=reason[i],
            row=int(cells.sheet.row[i]),
            kg=number_or_none(kg[i]),
        )
        for i in range(len(cells.sheet))
    ]


def read_odometer(cells: ColumnCells, table: RoundTable) -> list[OdometerDay]:
    """Return all rows as they stand; the faults stay with `cells`."""
    day, km, tanker = cells.day("date"), cells.number("km"), cells.text("tanker")
    return [
        OdometerDay(day_or_none(day[i]) or date.max, tanker[i], float(km[i]), int(cells.sheet.row[i]))
        for i in range(len(cells.sheet))
    ]


def backwards(cells: ColumnCells, name: str, first: Days, last: Days) -> None:
    """Add a fault where the last day lies before the first."""
    at = np.flatnonzero(~np.isnat(first) & ~np.isnat(last) & (last < first))
    cells.fault(
        name, message("rows.backwards", "runs backwards"), at,
        lambda i: message(
            "rows.lies_before", "{last} lies before {first}", last=Own(str(last[at[i]])),
            first=Own(str(first[at[i]])),
        ),
    )  # fmt: skip


def kg_or_full(cells: ColumnCells) -> NDArray[np.float64]:
    """Return amounts, NaN for "full"."""
    column = cells.sheet.columns.get("kg")
    if column is None:
        return cells.number("kg")
    full = (column.astype(str).str.lower() == FULL).to_numpy(bool)
    cells.sheet.columns["kg"] = column.where(~full, "1000")
    kg = np.where(full, np.nan, cells.number("kg"))
    cells.sheet.columns["kg"] = column
    return kg


def _neighbour(cells: ColumnCells, customers: Customers) -> Texts:
    """Return with whom each order shares its drop, "" where nobody of that name is there."""
    wanted = cells.text("split_with")
    at = np.flatnonzero((find_ids(wanted, customers.id) < 0) & (wanted != ""))
    told = wanted[at].copy()
    cells.fault(
        "split_with", UNKNOWN, at, lambda i: message(
"orders.no_neighbour", 'there is no customer "{customer}"; the drop is not shared',
customer=Own(told[i])),
        warning=cells.today is not None,
    )  # fmt: skip
    if cells.today is not None:
        wanted[at] = ""
    return wanted


def id_at(customers: Customers, number: Any) -> str:
    return str(customers.id[number]) if number >= 0 else ""


def word_at(words: tuple[str, ...], number: Any) -> str | None:
    return words[int(number)] if number >= 0 else None


def number_or_none(value: Any) -> float | None:
    return None if np.isnan(value) else float(value)


def day_or_none(value: Any) -> date | None:
    found = None if value == NO_DAY or np.isnat(value) else value.astype("datetime64[D]").item()
    return found if isinstance(found, date) else None

"""The customers of a round as arrays, one place in each for every customer."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

from fuelplan.dispatch.books import Customers as Customers
from fuelplan.messages import Own, message
from fuelplan.records.schema import RoundTable
from fuelplan.records.tables import AREA, DEPOT, MISSING, ColumnCells, Floats, Ints, Texts

TOLD_WINDOW_H = 2.0
"""Length of the window that a customer is told where nothing else is written. [h]"""


def read_customers(cells: ColumnCells, table: RoundTable) -> Customers:
    """Return all rows as they stand; the faults stay with `cells`."""
    sheet = cells.sheet
    rules = table.rules
    ids = cells.ids("customer")
    _unique(cells, "customer", ids)
    store = cells.number("store_kg")
    area_names = tuple(area.name for area in table.areas)
    found = Customers(
        row=sheet.row,
        id=ids,
        name=cells.text("name"),
        area=_areas(cells, area_names),
        depot=cells.named("depot", tuple(depot.name for depot in table.depots), DEPOT),
        latitude=cells.number("latitude"),
        longitude=cells.number("longitude"),
        elevation_m=cells.number("elevation_m"),
        takes=cells.classes("classes", table.classes),
        store_kg=store,
        reserve_kg=_or(cells.number("reserve_kg"), store * rules.reserve),
        top_up=cells.choice("contract") == 0,
        hose_m=_or(cells.number("hose_m"), 0.0),
        max_width_m=_or(cells.number("max_width_m"), np.inf),
        max_weight_kg=_or(cells.number("max_weight_t") * 1000, np.inf),
        trailer_ok=cells.yes("trailer_ok", True),
        weekdays=cells.weekdays("weekdays"),
        from_h=_or(cells.clock("from"), 0.0),
        to_h=_or(cells.clock("to"), 24.0),
        smallest_drop_kg=_or(cells.number("smallest_drop_kg"), rules.smallest_drop_kg),
        kg_per_year=cells.number("kg_per_year"),
        hot_water_share=cells.share("hot_water_share"),
        call_ahead=cells.yes("call_ahead", False),
        credit_stop=cells.yes("credit_stop", False),
        phone=cells.text("phone"),
        note=cells.text("note"),
        split_with=_neighbours(cells, ids),
        left_on=cells.day("left_on"),
        told_window_h=_or(cells.number("told_window_h"), TOLD_WINDOW_H),
    )
    return found


def _or(values: Floats, default: Floats | float) -> Floats:
    return np.where(np.isnan(values), default, values)


def _areas(cells: ColumnCells, names: tuple[str, ...]) -> Ints:
    if not names:
        at = np.flatnonzero(cells.written("area"))
        cells.fault(
            "area", message("customers.no_areas_rule", "no areas"), at,
            message(
                "customers.no_areas",
                "round.toml names no areas; leave the column empty, or add [[area]] with its name",
            ),
            emptied=True,
        )  # fmt: skip
        return np.zeros(len(cells.sheet), np.int64)
    found = cells.named("area", names, AREA, empty=-1)
    unsaid = np.flatnonzero((found < 0) & ~cells.written("area"))
    if len(names) > 1:
        cells.fault(
            "area", MISSING, unsaid,
            message(
                "customers.one_area", "nothing is written; write one of {areas}", areas=Own(", ".join(names))
            ),
        )  # fmt: skip
    return np.maximum(found, 0)


def _unique(cells: ColumnCells, name: str, ids: Texts) -> None:
    first = first_rows(ids)
    at = np.flatnonzero((first < np.arange(len(ids))) & (ids != ""))
    rows = cells.sheet.row
    cells.fault(
        name, message("customers.same_id", "the same id twice"), at,
        lambda i: message(
            "customers.id_twice", '"{id}" stands in row {row} already; give each its own', id=Own(ids[at[i]]),
            row=Own(str(rows[first[at[i]]])),
        ),
    )  # fmt: skip


def first_rows(values: NDArray[Any]) -> Ints:
    """Return for each value the index of its first appearance."""
    import pandas as pd

    codes, _ = pd.factorize(values)
    first = np.full(codes.max(initial=-1) + 1, len(values), np.int64)
    np.minimum.at(first, codes, np.arange(len(values)))
    return first[codes]


def _neighbours(cells: ColumnCells, ids: Texts) -> Ints:
    wanted = cells.text("split_with")
    found = find_ids(wanted, ids)
    at = np.flatnonzero((found < 0) & (wanted != ""))
    cells.fault(
        "split_with", message("customers.unknown", "unknown customer"), at,
        lambda i: message(
"customers.no_neighbour", 'there is no customer "{customer}"; no drop is shared',
customer=Own(wanted[at[i]])),
        warning=cells.today is not None,
    )  # fmt: skip
    own = np.flatnonzero((found == np.arange(len(ids))) & (wanted != ""))
    cells.fault(
        "split_with", message("customers.oneself", "oneself"), own, message(
"customers.shares_with_itself", "a customer cannot share a drop with itself; name the neighbour",
),
        emptied=True,
    )  # fmt: skip
    found[own] = -1
    return found


def find_ids(wanted: Texts, ids: Texts) -> Ints:
    """Return the first place of each wanted id among the ids, −1 where there is none."""
    import pandas as pd

    known = pd.Series(np.arange(len(ids)), index=ids)
    known = known[~known.index.duplicated()]
    place = known.index.get_indexer(pd.Index(wanted))
    numbers = known.to_numpy(np.int64)
    found = np.where(place >= 0, numbers[place] if len(numbers) else -1, -1)
    return np.where(np.asarray(wanted) == "", -1, found).astype(np.int64)

"""The customers of a round as arrays, one place in each for every customer."""

from __future__ import annotations

from dataclasses import dataclass, fields
from datetime import date
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray

from fuelplan.messages import Own, message
from fuelplan.records.schema import RoundTable
from fuelplan.records.tables import AREA, DEPOT, MISSING, Bools, ColumnCells, Days, Floats, Ints, Texts

TOLD_WINDOW_H = 2.0
"""Length of the window that a customer is told where nothing else is written. [h]"""


@dataclass(frozen=True)
class Customers:
    """N customers.

    Attributes
    ----------
    row
        Shape (N,), row of each in its file.
    id, name, phone, note
        Shape (N,), text.
    area, depot
        Shape (N,), number of the area (`Round.areas`) and of the depot (`table.depots`), depot −1 for any.
    latitude, longitude
        Shape (N,). [degrees]
    elevation_m
        Shape (N,), NaN where unknown. [m]
    takes
        Shape (N, classes), the classes of `table.classes` that each takes.
    store_kg, reserve_kg, smallest_drop_kg
        Shape (N,), with the defaults of [rules] where nothing is written. [kg]
    top_up
        Shape (N,), topped up unasked; the others order themselves (on request).
    hose_m
        Shape (N,), 0 where nothing is written. [m]
    max_width_m, max_weight_kg
        Shape (N,), inf where any tanker gets through. [m, kg]
    trailer_ok, call_ahead, credit_stop
        Shape (N,).
    weekdays
        Shape (N, 7), Monday first.
    from_h, to_h
        Shape (N,), 0 and 24 where nothing is written; the tanker arrives in between. [h]
    kg_per_year, hot_water_share
        Shape (N,), NaN where nothing is written. [kg, share]
    split_with
        Shape (N,), number of the neighbour, −1 for none.
    left_on
        Shape (N,), last day on which each is served, NaT for those who stay. [datetime64[D]]
    told_window_h
        Shape (N,), length of the window that the customer is told. [h]
    """

    row: Ints
    id: Texts
    name: Texts
    area: Ints
    depot: Ints
    latitude: Floats
    longitude: Floats
    elevation_m: Floats
    takes: Bools
    store_kg: Floats
    reserve_kg: Floats
    top_up: Bools
    hose_m: Floats
    max_width_m: Floats
    max_weight_kg: Floats
    trailer_ok: Bools
    weekdays: Bools
    from_h: Floats
    to_h: Floats
    smallest_drop_kg: Floats
    kg_per_year: Floats
    hot_water_share: Floats
    call_ahead: Bools
    credit_stop: Bools
    phone: Texts
    note: Texts
    split_with: Ints
    left_on: Days
    told_window_h: Floats

    def __len__(self) -> int:
        """Return the number of customers."""
        return len(self.id)

    def gone(self, day: date) -> Bools:
        """Return who has left before a day, shape (N,)."""
        return np.asarray(self.left_on < np.datetime64(day, "D"))

    @cached_property
    def number_of(self) -> dict[str, int]:
        """The number of each customer by id."""
        return {name: i for i, name in enumerate(self.id.tolist())}

    def rows(self, which: Ints | Bools | slice) -> Customers:
        """Return some of the customers; `split_with` follows them, −1 where the neighbour is left behind."""
        kept = Customers(*(getattr(self, f.name)[which] for f in fields(self)))
        new = np.full(len(self) + 1, -1, np.int64)
        new[np.arange(len(self))[which]] = np.arange(len(kept))
        return Customers(
            **{f.name: getattr(kept, f.name) for f in fields(kept) if f.name != "split_with"},
            split_with=new[kept.split_with],
        )


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

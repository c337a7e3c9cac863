"""The customers of a supplier as arrays, one place in each for every customer."""

from __future__ import annotations

from dataclasses import dataclass, fields
from datetime import date
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray

from fuelplan.messages import Own

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]
Dates = NDArray[np.datetime64]
Texts = NDArray[np.object_]


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
        Shape (N,), number of the area and of the depot, depot −1 for any.
    latitude, longitude
        Shape (N,). [degrees]
    elevation_m
        Shape (N,), NaN where unknown. [m]
    takes
        Shape (N, classes), the classes of fuel that each takes.
    store_kg, reserve_kg, smallest_drop_kg
        Shape (N,), the round's usual ones where nothing is written. [kg]
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
    left_on: Dates
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

    def said(self, customer: str) -> Own:
        """Return a customer with number and name."""
        number = self.number_of.get(customer)
        name = "" if number is None else str(self.name[number])
        return Own(f"{customer} {name}".strip())

    def rows(self, which: Ints | Bools | slice) -> Customers:
        """Return some of the customers; `split_with` follows them, −1 where the neighbour is left behind."""
        kept = Customers(*(getattr(self, f.name)[which] for f in fields(self)))
        new = np.full(len(self) + 1, -1, np.int64)
        new[np.arange(len(self))[which]] = np.arange(len(kept))
        return Customers(
            **{f.name: getattr(kept, f.name) for f in fields(kept) if f.name != "split_with"},
            split_with=new[kept.split_with],
        )


def day_of(value: Any) -> date | None:
    """Return a date, None for NaT."""
    found = None if np.isnat(value) else value.astype("datetime64[D]").item()
    return found if isinstance(found, date) else None

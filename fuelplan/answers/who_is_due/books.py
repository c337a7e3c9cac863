"""A round's books and what its customers say, as the outlook takes them."""

from __future__ import annotations

from datetime import date

import numpy as np
from numpy.typing import NDArray

from fuelplan.dispatch.outlook import Drops, Looks, StatedUse, base_shift_c, customer_books
from fuelplan.learning import CustomerBooks
from fuelplan.records.round import Round

Floats = NDArray[np.float64]


def customers_of(round_: Round, first_day: date, as_of: date) -> CustomerBooks:
    """Return readings and deliveries from `first_day` to `as_of`; who says "already empty" is read so.

    A reading that was taken back does not count.
    """
    c, came, seen = round_.customers, round_.deliveries, round_.readings
    empty = np.array(sorted({c.number_of[o.customer] for o in round_.orders if o.already_empty}), np.int64)
    drops = Drops(came.customer, came.day, came.kg, came.filled_full)
    looks = Looks(seen.customer, seen.day, seen.kg, seen.by_eye, seen.right, seen.wrong)
    return customer_books(c.area, c.store_kg, drops, looks, empty, first_day, as_of)


def stated_of(round_: Round) -> StatedUse:
    """Return what the customers say of themselves."""
    c = round_.customers
    return StatedUse(c.area, c.store_kg, c.kg_per_year, c.hot_water_share, higher_base_c(round_))


def higher_base_c(round_: Round) -> Floats:
    """Return by what each customer's base temperature against the area's record is higher, shape (N,). [K]"""
    heights = [a.table.place.elevation_m for a in round_.areas]
    of_record = np.array([np.nan if h is None else h for h in heights])[round_.customers.area]
    return base_shift_c(round_.customers.elevation_m, of_record)

"""A round's deliveries and readings as the arrays that learning in bulk takes."""

from __future__ import annotations

from datetime import date
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from fuelplan.learning import CONFIRMED, COUNTED, PERCENT_SD, WEIGHED_SD, CustomerBooks
from fuelplan.records.round import Round

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Number = TypeVar("Number", np.float64, np.int64, np.bool_)

KG_SD, KG_SD_LEAST = 0.02, 10.0
"""Doubt of a level told in kilograms, as :func:`fuelplan.learning.readings.weighed` has it. [share, kg]"""

EMPTY_SD = 0.01
"""Doubt of an empty store, a share of what it holds: see :func:`fuelplan.learning.readings.ran_empty`."""


def customers_of(round_: Round, first_day: date, as_of: date) -> CustomerBooks:
    """Return readings and deliveries from `first_day` to `as_of`; who says "already empty" is read so.

    A reading that was taken back does not count.
    """
    c, n = round_.customers, len(round_.customers)
    begin, end = np.datetime64(first_day, "D"), np.datetime64(as_of, "D")
    came, seen = round_.deliveries, round_.readings
    use = (came.day >= begin) & (came.day <= end)
    delivered = came.rows(use)
    look = seen.rows((seen.day >= begin) & (seen.day <= end) & ~seen.wrong)
    sd = np.where(
        look.by_eye, PERCENT_SD * c.store_kg[look.customer], np.maximum(KG_SD_LEAST, KG_SD * look.kg)
    )
    empty = np.array(sorted({c.number_of[o.customer] for o in round_.orders if o.already_empty}), np.int64)
    zero = np.zeros(len(empty))
    day = np.concatenate([_days(look.day, begin), np.full(len(empty), (as_of - first_day).days)])
    kg, sd_kg = (
        np.concatenate([look.kg, zero]),
        np.concatenate([sd, np.maximum(5.0, EMPTY_SD * c.store_kg[empty])]),
    )
    said = np.where(np.concatenate([look.right, zero == 0]), CONFIRMED, COUNTED)
    reading = _Table(np.concatenate([look.customer, empty]), n)
    delivery = _Table(delivered.customer, n)
    reading_day = reading.of(day, -1)
    delivery_kg = delivery.of(delivered.kg, 0.0)
    return CustomerBooks(
        station=c.area,
        capacity_kg=c.store_kg,
        reading_day=reading_day,
        reading_kg=reading.of(kg, 0.0),
        reading_sd_kg=reading.of(sd_kg, 1.0),
        sees_volume=reading.of(np.concatenate([look.by_eye, zero > 0]), False),
        is_count=np.zeros(reading_day.shape, bool),
        standing=reading.of(said, COUNTED),
        delivery_day=delivery.of(_days(delivered.day, begin), -1),
        delivery_kg=delivery_kg,
        delivery_sd_kg=WEIGHED_SD * delivery_kg,
        filled_full=delivery.of(delivered.filled_full, False),
    )


def last_told(round_: Round, first_day: date, books: CustomerBooks) -> NDArray[np.datetime64]:
    """Return when last a reading or a delivery told of each level, NaT for never; shape (N,)."""
    n = len(books)
    pad = np.full((n, 1), -1)
    last = np.concatenate([books.reading_day, books.delivery_day, pad], axis=1).max(axis=1)
    day = np.datetime64(first_day, "D") + last
    return np.where(last >= 0, day, np.datetime64("NaT", "D"))


def _days(day: NDArray[np.datetime64], begin: np.datetime64) -> Ints:
    return (day.astype("datetime64[D]") - begin).astype(np.int64)


class _Table:
    """Lays rows of a long list out in a table of (customers, most rows of one)."""

    def __init__(self, who: Ints, n: int) -> None:
        count = np.bincount(who, minlength=n)
        start = np.concatenate([[0], np.cumsum(count)[:-1]])
        self.order = np.argsort(who, kind="stable")
        self.who = who[self.order]
        self.nth = np.arange(len(who)) - start[self.who]
        self.shape = (n, int(count.max(initial=0)))

    def of(self, values: NDArray[Number], other: float) -> NDArray[Number]:
        """Return the values so laid out, `other` where a customer has fewer rows."""
        out = np.full(self.shape, other, dtype=values.dtype)
        out[self.who, self.nth] = values[self.order]
        return out

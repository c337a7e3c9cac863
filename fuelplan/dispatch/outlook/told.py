"""Deliveries and readings of many customers as the arrays that learning in bulk takes."""

from __future__ import annotations

from dataclasses import dataclass, fields
from datetime import date
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from fuelplan.learning import CONFIRMED, COUNTED, PERCENT_SD, WEIGHED_SD, CustomerBooks

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]
Days = NDArray[np.datetime64]
Number = TypeVar("Number", np.float64, np.int64, np.bool_)
History = TypeVar("History", "Drops", "Looks")

KG_SD, KG_SD_LEAST = 0.02, 10.0
"""Doubt of a level told in kilograms, as :func:`fuelplan.learning.readings.weighed` has it. [share, kg]"""

EMPTY_SD = 0.01
"""Doubt of an empty store, a share of what it holds: see :func:`fuelplan.learning.readings.ran_empty`."""


@dataclass(frozen=True)
class Drops:
    """M deliveries, each array of shape (M,): number of the customer, day, amount [kg], and whether the store
    was full then.
    """

    customer: Ints
    day: Days
    kg: Floats
    filled_full: Bools


@dataclass(frozen=True)
class Looks:
    """M levels that were told, each array of shape (M,).

    Attributes
    ----------
    customer, day, kg
        Number of the customer, evening, and level. [kg]
    by_eye
        Whether it was told as a share of the store.
    right, wrong
        Whether a person has confirmed it, or taken it back: that does not count.
    """

    customer: Ints
    day: Days
    kg: Floats
    by_eye: Bools
    right: Bools
    wrong: Bools


def customer_books(
    area: Ints, store_kg: Floats, drops: Drops, looks: Looks, empty: Ints, first_day: date, as_of: date
) -> CustomerBooks:
    """Return readings and deliveries from `first_day` to `as_of`.

    Parameters
    ----------
    area, store_kg
        Shape (N,), weather area of each customer and what the store holds. [kg]
    empty
        Numbers of those who say on `as_of` that their store is empty.
    """
    n = len(store_kg)
    begin, end = np.datetime64(first_day, "D"), np.datetime64(as_of, "D")
    delivered = _rows(drops, (drops.day >= begin) & (drops.day <= end))
    look = _rows(looks, (looks.day >= begin) & (looks.day <= end) & ~looks.wrong)
    sd = np.where(
        look.by_eye, PERCENT_SD * store_kg[look.customer], np.maximum(KG_SD_LEAST, KG_SD * look.kg)
    )
    zero = np.zeros(len(empty))
    day = np.concatenate([_days(look.day, begin), np.full(len(empty), (as_of - first_day).days)])
    kg = np.concatenate([look.kg, zero])
    sd_kg = np.concatenate([sd, np.maximum(5.0, EMPTY_SD * store_kg[empty])])
    said = np.where(np.concatenate([look.right, zero == 0]), CONFIRMED, COUNTED)
    reading = _Table(np.concatenate([look.customer, empty]), n)
    delivery = _Table(delivered.customer, n)
    reading_day = reading.of(day, -1)
    delivery_kg = delivery.of(delivered.kg, 0.0)
    return CustomerBooks(
        station=area,
        capacity_kg=store_kg,
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


def last_told(first_day: date, books: CustomerBooks) -> NDArray[np.datetime64]:
    """Return when last a reading or a delivery told of each level, NaT for never; shape (N,)."""
    n = len(books)
    pad = np.full((n, 1), -1)
    last = np.concatenate([books.reading_day, books.delivery_day, pad], axis=1).max(axis=1)
    day = np.datetime64(first_day, "D") + last
    return np.where(last >= 0, day, np.datetime64("NaT", "D"))


def _rows(history: History, which: Bools) -> History:
    return type(history)(**{f.name: getattr(history, f.name)[which] for f in fields(history)})


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

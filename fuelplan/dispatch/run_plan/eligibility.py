"""Which tanker may serve whom on which day, and on which days somebody is to be served."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from fuelplan.dispatch.books import OrderRow

Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]
Dates = NDArray[np.datetime64]


@dataclass(frozen=True)
class Access:
    """What tankers, customers and classes allow, whatever the day.

    Attributes
    ----------
    reach
        Shape (customers, tankers): whether the tanker gets there with a full load.
    takes
        Shape (customers, classes): whether the customer takes the class.
    carries
        Shape (tankers, classes): whether the tanker can be loaded with the class.
    home
        Shape (tankers,): the number of the tanker's depot.
    weekdays
        Shape (customers, 7), Monday first: whether the customer takes fuel.
    left_on
        Shape (customers,): the last day there, NaT for none.
    """

    reach: Bools
    takes: Bools
    carries: Bools
    home: Ints
    weekdays: Bools
    left_on: Dates


@dataclass(frozen=True)
class StopWish:
    """A person's word on a customer's stop: "pin" or "move" it to a day, or "forbid" it; None for any day or
    tanker.
    """

    customer: int
    wish: Literal["pin", "move", "forbid"] | str
    day: date | None
    tanker: int | None


@dataclass(frozen=True)
class Closure:
    """Days, both ends included, on which a customer is not served, or a depot has no fuel of a class (None:
    of any).
    """

    first: date
    last: date
    customer: int | None = None
    depot: int | None = None
    grade: int | None = None


def eligibility(
    rows: Sequence[OrderRow],
    days: Sequence[date],
    access: Access,
    closures: Sequence[Closure] = (),
    wishes: Sequence[StopWish] = (),
) -> tuple[Bools, Bools]:
    """Return who may serve whom when, and when somebody must be.

    What stands in the way of one of the customers who share a drop stands in the way of the drop. Wishes
    count in their order, those that forbid first; one that cannot be kept on any account shuts nothing: the
    row is planned without it.

    Parameters
    ----------
    days
        The days looked at, T of them.

    Returns
    -------
    may
        Shape (rows, T, tankers).
    must
        Shape (rows, T).
    """
    tankers = len(access.home)
    weekday, day = [d.weekday() for d in days], np.array(days, "datetime64[D]")
    may = np.zeros((len(rows), len(days), tankers), bool)
    must = np.zeros((len(rows), len(days)), bool)
    for n, row in enumerate(rows):
        who = list(row.customers)
        ok = access.reach[who].all(axis=0) & access.takes[who, row.grade].all() & access.carries[:, row.grade]
        takes = np.asarray(access.weekdays[who].all(axis=0))
        there = ~(day[:, None] > access.left_on[who]).any(axis=1)
        may[n] = (takes[weekday] & there)[:, None] & ok[None, :]
        mine = [w for w in wishes if w.customer in row.customers]
        for w in (w for w in mine if w.wish == "forbid"):
            _heed(may[n], must[n], w, days)
        for shut in closures:
            _close(may[n], shut, row, days, access.home)
        for w in mine:  # of what is left open
            if w.wish != "forbid" and (w.day is None or w.day >= row.first):
                _heed(may[n], must[n], w, days)
    return may, must & may.any(axis=2)


def _close(may: Bools, shut: Closure, row: OrderRow, days: Sequence[date], home: Ints) -> None:
    """Take the days of a closure out of what one row may, shape (T, tankers)."""
    hit = [shut.first <= d <= shut.last for d in days]
    if shut.customer is not None:
        if shut.customer in row.customers:
            may[hit] = False
    elif shut.depot is not None and shut.grade in (None, row.grade):
        may[np.ix_(hit, home == shut.depot)] = False


def _heed(may: Bools, must: Bools, wish: StopWish, days: Sequence[date]) -> None:
    """Let a wish count for one row: `may` has the shape (T, tankers), `must` (T,)."""
    at = [t for t, d in enumerate(days) if wish.day is None or d == wish.day]
    by = [v for v in range(may.shape[1]) if wish.tanker is None or v == wish.tanker]
    if wish.wish == "forbid":
        may[np.ix_(at, by)] = False
        return
    if not at or not may[np.ix_(at, by)].any():
        return
    keep = np.zeros(may.shape, bool)
    keep[np.ix_(at, by)] = True
    may &= keep if wish.day is not None else np.broadcast_to(keep.any(axis=0), keep.shape)
    if wish.day is not None:
        must[at] = True

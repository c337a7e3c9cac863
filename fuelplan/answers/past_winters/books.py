"""A round as it is played: without its own books, and with those that are kept while winters are played."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date

import numpy as np
from numpy.typing import NDArray

from fuelplan.dispatch.replay import PlayedBooks
from fuelplan.records.round import Deliveries, Order, Readings, Round, reach_of

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]


def emptied(round_: Round) -> Round:
    """Return the round without its books: rules, tankers and customers alone.

    Depots hold enough, and nobody is stopped for credit: what they have today says nothing of past winters.
    """
    c = round_.customers
    none = np.zeros(0, np.int64)
    depots = tuple(d.model_copy(update={"stock_kg": None, "arriving": ()}) for d in round_.table.depots)
    return replace(
        round_,
        table=round_.table.model_copy(update={"depots": depots}),
        customers=replace(c, credit_stop=np.zeros(len(c), bool)),
        deliveries=round_.deliveries.rows(none),
        readings=round_.readings.rows(none),
        orders=(), published=(), wishes=(), happenings=(), odometer=(), warnings=(), left_out=(),
    )  # fmt: skip


def reading_habits(round_: Round, as_of: date) -> tuple[Floats, Bools]:
    """Return how many levels a day each customer told up to `as_of`, and whether by eye."""
    n, r = len(round_.customers), round_.readings
    known = r.rows(r.day <= np.datetime64(as_of, "D"))
    count = np.bincount(known.customer, minlength=n).astype(float)
    if len(known) == 0:
        return count, np.zeros(n, bool)
    days = float((np.datetime64(as_of, "D") - known.day.min()).astype(np.int64)) + 1
    seen = np.bincount(known.customer, weights=known.by_eye.astype(float), minlength=n)
    return count / days, np.asarray(seen > 0.5 * count)


def largest_drop_kg(round_: Round) -> Floats:
    """Return the largest load that a tanker can bring each customer, 0 where none reaches it, shape (N,)."""
    reach = reach_of(round_.table, round_.customers).ok
    carries = np.array([k.carries_kg for k in round_.table.tankers], float)
    return np.asarray(np.where(reach, carries[None, :], 0.0).max(axis=1))


def as_round(base: Round, books: PlayedBooks, top_up: Bools | None = None) -> Round:
    """Return the round as its folder would be this evening; `top_up` for who is watched, if not as ever."""
    c, drops, levels = base.customers, books.drops, books.levels
    deliveries = Deliveries(
        row=np.arange(2, len(drops) + 2),
        customer=np.array([d.customer for d in drops], np.int64),
        day=_days([d.day for d in drops]),
        kg=np.array([d.kg for d in drops], float),
        grade=np.array([d.grade for d in drops], np.int64),
        tanker=np.full(len(drops), "", dtype=object),
        filled_full=np.array([d.filled_full for d in drops], bool),
    )
    readings = Readings(
        row=np.arange(2, len(levels) + 2),
        customer=np.array([r.customer for r in levels], np.int64),
        day=_days([r.day for r in levels]),
        kg=np.array([r.kg for r in levels], float),
        by_eye=np.array([r.by_eye for r in levels], bool),
        right=np.zeros(len(levels), bool),
        wrong=np.zeros(len(levels), bool),
    )
    orders = tuple(
        Order(f"R{o.number}", str(c.id[i]), o.kg, None, None, o.last, already_empty=o.already_empty)
        for i, o in sorted(books.orders.items())
    )
    return replace(
        base,
        customers=c if top_up is None else replace(c, top_up=top_up),
        deliveries=deliveries,
        readings=readings,
        orders=orders,
    )


def _days(days: Sequence[date]) -> NDArray[np.datetime64]:
    return np.array(days, dtype="datetime64[D]")

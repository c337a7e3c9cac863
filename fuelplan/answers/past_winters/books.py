"""A supplier's books while winters are played again: drops, readings and orders as they come in."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date

import numpy as np
from numpy.typing import NDArray

from fuelplan.learning import PERCENT_SD
from fuelplan.records.round import Deliveries, Order, Readings, Round, reach_of

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]

SCALE_SD = 0.015
"""Error of a level that is weighed, as a share (our assumption; cells are weighed better than seen)."""

WEIGHED_IN_KG = 10.0


@dataclass(frozen=True)
class ReadingHabits:
    """How customers behave, the same in every policy. Shapes (N,).

    Attributes
    ----------
    ring_share
        Share of the store at which each rings.
    readings_per_day, by_eye
        How often each tells a level unasked, and whether by eye, as the round's own books have it.
    """

    ring_share: Floats
    readings_per_day: Floats
    by_eye: Bools


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


class Books:
    """What the supplier has written down so far."""

    def __init__(self, round_: Round) -> None:
        """Begin with empty books."""
        self.base = round_
        self.ids = [str(i) for i in round_.customers.id]
        self._drops: list[tuple[int, date, float, int, bool]] = []
        self._levels: list[tuple[int, date, float, bool]] = []
        self.orders: dict[int, Order] = {}
        self._numbers = 0

    def note_drop(self, customer: int, day: date, kg: float, grade: int, full: bool) -> None:
        """Write down a delivery."""
        self._drops.append((customer, day, kg, grade, full))

    def note_level(self, customer: int, day: date, kg: float, by_eye: bool) -> None:
        """Write down a level that a customer told."""
        self._levels.append((customer, day, kg, by_eye))

    def note_seen(self, customer: int, day: date, level_kg: float, deviate: float, by_eye: bool) -> None:
        """Write down a level as it is seen or weighed, with its error."""
        store = float(self.base.customers.store_kg[customer])
        if by_eye:
            share = 0.05 * round(20 * (level_kg / store + PERCENT_SD * deviate))
            self.note_level(customer, day, store * min(1.0, max(0.0, share)), True)
        else:
            self.note_level(customer, day, max(0.0, round(level_kg * (1 + SCALE_SD * deviate), -1)), False)

    def order(self, customer: int, kg: float, last: date, empty: bool = False) -> None:
        """Write down an order for as soon as possible, until `last`; it takes the place of one still open."""
        self._numbers += 1
        self.orders[customer] = Order(
            f"R{self._numbers}", self.ids[customer], kg, None, None, last, already_empty=empty
        )

    def as_round(self, top_up: Bools | None = None) -> Round:
        """Return the folder as it would be this evening."""
        c = self.base.customers
        drops, levels = self._drops, self._levels
        who = np.array([d[0] for d in drops], np.int64)
        deliveries = Deliveries(
            row=np.arange(2, len(drops) + 2),
            customer=who,
            day=_days([d[1] for d in drops]),
            kg=np.array([d[2] for d in drops], float),
            grade=np.array([d[3] for d in drops], np.int64),
            tanker=np.full(len(drops), "", dtype=object),
            filled_full=np.array([d[4] for d in drops], bool),
        )
        readings = Readings(
            row=np.arange(2, len(levels) + 2),
            customer=np.array([r[0] for r in levels], np.int64),
            day=_days([r[1] for r in levels]),
            kg=np.array([r[2] for r in levels], float),
            by_eye=np.array([r[3] for r in levels], bool),
            right=np.zeros(len(levels), bool),
            wrong=np.zeros(len(levels), bool),
        )
        return replace(
            self.base,
            customers=c if top_up is None else replace(c, top_up=top_up),
            deliveries=deliveries,
            readings=readings,
            orders=tuple(self.orders[i] for i in sorted(self.orders)),
        )


def _days(days: Sequence[date]) -> NDArray[np.datetime64]:
    return np.array(days, dtype="datetime64[D]")

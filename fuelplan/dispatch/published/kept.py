"""Published days: kept as they were told, checked against what is known now, mended where something happened.

A stop whose tanker, fuel or day is gone is set loose and put in again, on the same day if that can be; so are
orders that a person pins to a published day, and those that cannot wait for the next open one. Nobody who was
told leaves the window he was told, unless nothing else is left on that day; then it stands among the changes.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date

import numpy as np
from numpy.typing import NDArray

from fuelplan.dispatch.books import OrderRow, PublishedStop, Wish, day_of
from fuelplan.dispatch.outlook import LevelTable
from fuelplan.dispatch.published.frozen import FrozenTrip
from fuelplan.dispatch.published.published_day import PublishedDay
from fuelplan.dispatch.run_plan import DispatchDesk, Yard, eligible, rows_of, stock_left, ticket_kg
from fuelplan.messages import Message, Own, Quantity, message

Dates = NDArray[np.datetime64]
Bools = NDArray[np.bool_]

SHARES = (1.0, 0.75, 0.5, 0.0)
"""Shares of what would fit that are tried for a watched store on a published day, the smallest drop last."""


ROUNDED_KG = 0.5  # stops and stocks are whole kilograms
NO_STOCK = message("runs.no_stock_left", "the depot has not enough of it left for that day")


@dataclass(frozen=True)
class Kept:
    """Published days as they stand now.

    Attributes
    ----------
    published
        Stops of the coming days as the file has them.
    trips
        The runs of these days after what has happened.
    refused
        Why a published day could not take somebody, by customer and day.
    """

    published: tuple[PublishedStop, ...]
    trips: tuple[FrozenTrip, ...]
    refused: Mapping[tuple[str, date], Message]

    @property
    def stops(self) -> tuple[PublishedStop, ...]:
        """All stops of the runs."""
        return tuple(s for trip in self.trips for s in trip.stops)


NOTHING = Kept((), (), {})


def keep_published(
    desk: DispatchDesk, yard: Yard, levels: LevelTable, full: LevelTable, deliver_by: Dates, overdue: Bools,
    ahead: Sequence[date],
) -> Kept:  # fmt: skip
    """Return the published days after the desk's evening, up to the last of the days `ahead`.

    Parameters
    ----------
    full
        The levels where all has come that may have come: what is put in must fit then, too.
    deliver_by, overdue
        Shape (N,): the last safe day of each customer, NaT for none, and for whom that is past.
    """
    coming = tuple(s for s in desk.published if desk.as_of < s.day <= ahead[-1]) if ahead else ()
    if not coming:
        return NOTHING
    loose = [s for s in coming if _is_loose(desk, s, coming)]
    made = {}
    for day in sorted({s.day for s in coming if s not in loose}):
        stay = [s for s in coming if s.day == day and s not in loose]
        made[day] = PublishedDay(desk, yard, day, stay, frozenset(s.tanker for s in loose if s.day == day))
    for one in made.values():
        loose += one.mend()
    refused = _Putting(desk, full, deliver_by, overdue, ahead, made, loose).refused()
    trips = [trip for day in made for trip in made[day].runs(levels)]
    return Kept(coming, tuple(_with_stock(desk, trips)), refused)


def _with_stock(desk: DispatchDesk, trips: Sequence[FrozenTrip]) -> list[FrozenTrip]:
    """Return the trips; one that loads what its depot has not got says so."""
    out = []
    loads = desk.loads([s for trip in trips for s in trip.stops])
    for trip in trips:
        depot = desk.supplier.tankers[trip.route.tanker].depot
        short = [
            _lacks(desk.supplier.depots[depot], -left, grade)
            for grade in dict.fromkeys(s.grade for s in trip.stops)
            if (left := stock_left(desk.stocks, loads, depot, grade, trip.day)) < -ROUNDED_KG
        ]
        out.append(replace(trip, faults=(*trip.faults, *short)))
    return out


def _lacks(depot: str, kg: float, grade: str) -> Message:
    return message(
        "runs.depot_lacks", "{depot} lacks {kg} {grade} by then",
        depot=Own(depot), kg=Quantity(kg, "weighed_mass"), grade=Own(grade),
    )  # fmt: skip


def _is_loose(desk: DispatchDesk, stop: PublishedStop, coming: Sequence[PublishedStop]) -> bool:
    """Tell whether a stop cannot stay where it was published: its customer, tanker, fuel or day is gone."""
    c, supplier = desk.customers, desk.supplier
    if c.gone(stop.day)[c.number_of[stop.customer]]:
        return True
    if stop.day in supplier.calendar.also_closed or desk.out_on(stop.tanker, stop.day):
        return True
    home = next((supplier.depots[k.depot] for k in supplier.tankers if k.name == stop.tanker), None)
    for h in desk.happenings:
        if h.day <= stop.day <= h.until and (
            (h.what == "failed drop" and h.customer == stop.customer)
            or (h.what == "depot out of stock" and h.depot == home and h.grade in (None, stop.grade))
        ):
            return True
    return any(_moves(w, stop, coming) for w in desk.wishes if w.customer == stop.customer)


def _moves(wish: Wish, stop: PublishedStop, coming: Sequence[PublishedStop]) -> bool:
    """Tell whether a person's word takes a stop from its place; one that the stop keeps already does not."""
    if wish.wish == "forbid":
        return wish.day in (None, stop.day) and wish.tanker in (None, stop.tanker)
    if wish.day in (None, stop.day):
        return wish.tanker not in (None, stop.tanker)
    return not any(s.customer == stop.customer and s.day == wish.day for s in coming)


class _Putting:
    """Puts into the published days what belongs there, the most urgent first."""

    def __init__(
        self, desk: DispatchDesk, levels: LevelTable, deliver_by: Dates, overdue: Bools,
        ahead: Sequence[date], made: Mapping[date, PublishedDay], loose: Sequence[PublishedStop],
    ) -> None:  # fmt: skip
        self.desk, self.levels, self.overdue = desk, levels, overdue
        self.by = [day_of(last) for last in deliver_by]
        self.made, self.loose, self.days = made, list(loose), sorted(made)
        self.wait = min((d for d in ahead if d not in made), default=date.max)

    def refused(self) -> dict[tuple[str, date], Message]:
        """Put in all that belongs there; return why something could not be, by customer and day."""
        out: dict[tuple[str, date], Message] = {}
        for t, day in enumerate(self.days):
            kept = [s for one in self.made.values() for s in one.items]
            rows, _, _ = rows_of(self.desk, kept, self.days)
            may, must = eligible(self.desk, rows, self.days)
            asked = []
            for n, row in enumerate(rows):
                told = self._told(row, day)
                if must[n, t] or told or self._cannot_wait(row, day):
                    asked.append((self._rank(row, bool(must[n, t]), bool(told)), n, told))
            for _, n, told in sorted(asked, key=lambda a: a[:2]):
                row = rows[n]
                here = {s.customer for s in self.made[day].items}
                names = [str(self.desk.customers.id[i]) for i in row.customers]
                if not here.isdisjoint(names):
                    continue
                by = frozenset(np.flatnonzero(may[n, t]).tolist())
                why = self._put(self.made[day], row, by, told)
                if why is None:
                    self.loose = [s for s in self.loose if s.customer not in names or s.day > day]
                else:
                    out.update({(name, day): why for name in names})
        return out

    def _told(self, row: OrderRow, day: date) -> list[PublishedStop]:
        """Return what was published for a row on a day and is loose."""
        names = {str(self.desk.customers.id[i]) for i in row.customers}
        return [s for s in self.loose if s.day == day and s.customer in names]

    def _cannot_wait(self, row: OrderRow, day: date) -> bool:
        """Tell whether the first open day is too late for a row."""
        if row.orders:
            return row.first <= day and any(o.already_empty or o.last < self.wait for o in row.orders)
        customer = str(self.desk.customers.id[row.customer])
        if not any(s.customer == customer and s.day <= day for s in self.loose):
            return False
        by = self.by[row.customer]
        return bool(self.overdue[row.customer]) or (by is not None and by < self.wait)

    def _rank(self, row: OrderRow, pinned: bool, told: bool) -> tuple[bool, bool, date, bool]:
        """Return what decides who is put in first: the empty, a person's word, who must be served soonest."""
        last = min((o.last for o in row.orders), default=date.max)
        for i in row.customers:
            last = min(last, date.min if self.overdue[i] else self.by[i] or date.max)
        return not any(o.already_empty for o in row.orders), not pinned, last, not told

    def _put(
        self, day: PublishedDay, row: OrderRow, by: frozenset[int], told: Sequence[PublishedStop]
    ) -> Message | None:
        """Put a row into a published day; return why that cannot be.

        Somebody who is empty and was told this day comes in the place of one who can wait, if need be.
        """
        why: Message | None = None
        for share in (1.0,) if row.orders else SHARES:
            items = self._items(row, day.day, told, share)
            stocked = frozenset(v for v in by if self._in_stock(v, items, day.day))
            why = day.put(items, stocked) if stocked or not by else NO_STOCK
            if why is None:
                return None
        if told and any(o.already_empty for o in row.orders):
            gone = day.put_instead(items, stocked, [s for s in day.items if self._can_wait(s)])
            if gone is not None:
                self.loose.append(gone)
                return None
        return why

    def _can_wait(self, stop: PublishedStop) -> bool:
        """Tell whether a stop nobody ordered may come on the first open day or later."""
        i = self.desk.customers.number_of[stop.customer]
        by = self.by[i]
        ordered = stop.order is not None or any(o.customer == stop.customer for o in self.desk.orders)
        return not ordered and not self.overdue[i] and (by is None or by >= self.wait)

    def _items(
        self, row: OrderRow, day: date, told: Sequence[PublishedStop], share: float
    ) -> list[PublishedStop]:
        """Return the stops of a row on a day, with `share` of what would fit where nobody ordered."""
        c, items = self.desk.customers, []
        for n, i in enumerate(row.customers):
            order = row.orders[n] if row.orders else None
            before = next((s for s in told if s.customer == str(c.id[i])), None)
            kg = ticket_kg(self.desk, i, order, self.levels, day)
            if order is None:
                most = kg if before is None else before.kg
                kg = max(float(c.smallest_drop_kg[i]), float(np.floor(share * most / 100) * 100))
            grade = self.desk.supplier.grades[row.grade]
            base = before or PublishedStop(day, "", 0, 0, str(c.id[i]), grade, kg)
            name = None if order is None else order.order
            items.append(replace(base, kg=kg, grade=grade, order=name))
        return items

    def _in_stock(self, v: int, items: Sequence[PublishedStop], day: date) -> bool:
        """Tell whether a tanker's depot has the fuel for stops on a day, and still for the days after."""
        grade, kg = items[0].grade, sum(s.kg for s in items)
        depot, stocks = self.desk.supplier.tankers[v].depot, self.desk.stocks
        loads = self.desk.loads([s for one in self.made.values() for s in one.now()])
        return all(
            stock_left(stocks, loads, depot, grade, later) >= kg for later in self.days if later >= day
        )

"""Who is planned, row by row: open orders, neighbours' orders together, watched stores; and who is not."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

import numpy as np
from numpy.typing import NDArray

from fuelplan.dispatch.books import Order, OrderRow, PublishedStop, credit_stopped, served_orders
from fuelplan.dispatch.run_plan.desk import DispatchDesk
from fuelplan.dispatch.run_plan.eligibility import eligibility
from fuelplan.messages import Day, Message, Own, message

Bools = NDArray[np.bool_]

CREDIT_STOP = message("rows.credit_stop", "credit stop: nothing is delivered until it is lifted")
ASKED = message("rows.asked", "it was published for a past day: say first whether it came")
NO_CLASS = message("rows.no_class", "no tanker carries a class the customer takes")
A_CREDIT_STOP = message("rows.of_credit_stop", "a credit stop")
OTHER_CLASS = message("rows.other_class", "they are not of one class")
OTHER_DAYS = message("rows.other_days", "their promised days do not meet")
OTHER_WEEKDAYS = message("rows.other_weekdays", "they take fuel on different weekdays")
NO_TANKER_FOR_BOTH = message("rows.no_tanker_for_both", "no tanker may go to both")
TOO_MUCH_TOGETHER = message("rows.too_much_together", "together they are more than a tanker carries")


@dataclass(frozen=True)
class LeftOut:
    """A customer or order that is not planned, and why."""

    customer: int
    order: Order | None
    reason: Message


def rows_of(
    desk: DispatchDesk, frozen: Sequence[PublishedStop], days: Sequence[date]
) -> tuple[tuple[OrderRow, ...], tuple[LeftOut, ...], tuple[Message, ...]]:
    """Return the rows to plan, who is left out of them, and what to know.

    Open orders come first, orders of neighbours who share a drop together, then watched stores without one.
    """
    c, usual = desk.customers, desk.usual
    done = served_orders(desk.orders, frozen)
    can = _Sharing(desk, days)
    gone = c.gone(min(days)) if days else np.zeros(len(c), bool)
    rows: list[OrderRow] = []
    left: list[LeftOut] = []
    taken: set[str] = set()
    for order in desk.orders:
        i = c.number_of[order.customer]
        if order.order in taken:
            continue
        taken.add(order.order)
        if gone[i]:
            left.append(LeftOut(i, order, left_on(c.left_on[i].item())))
            continue
        if credit_stopped(c, i, order):
            left.append(LeftOut(i, order, CREDIT_STOP))
            continue
        if order.asked:
            left.append(LeftOut(i, order, ASKED))
            continue
        grade = desk.supplier.grades.index(order.grade) if order.grade is not None else int(usual[i])
        if grade < 0:
            left.append(LeftOut(i, order, NO_CLASS))
            continue
        if order.order in done:
            continue
        other = can.partner(order, grade, taken)
        if other is None:
            rows.append(OrderRow((i,), (order,), grade))
        else:
            taken.add(other.order)
            rows.append(OrderRow((i, c.number_of[other.customer]), (order, other), grade))
    ordered = {c.number_of[o.customer] for o in desk.orders}
    for i in np.flatnonzero(c.top_up).tolist():
        if i in ordered or gone[i]:
            continue
        if credit_stopped(c, i):
            left.append(LeftOut(i, None, CREDIT_STOP))
        elif usual[i] < 0:
            left.append(LeftOut(i, None, NO_CLASS))
        else:
            rows.append(OrderRow((i,), (), int(usual[i])))
    return tuple(rows), tuple(left), tuple(can.notes)


def eligible(desk: DispatchDesk, rows: Sequence[OrderRow], days: Sequence[date]) -> tuple[Bools, Bools]:
    """Return which tankers may serve which rows on which days (N, T, V), and which days must (N, T)."""
    return eligibility(rows, days, desk.access, desk.closures, desk.stop_wishes)


def left_on(day: date) -> Message:
    """Return that a customer has left."""
    return message("rows.left_on", "the customer left on {day}", day=Day(day))


class _Sharing:
    """Which orders can come on one run: what holds for one customer must hold for the other as well."""

    def __init__(self, desk: DispatchDesk, days: Sequence[date]) -> None:
        self.desk = desk
        self.weekdays = sorted({day.weekday() for day in days})
        self.notes: list[Message] = []

    def partner(self, order: Order, grade: int, taken: set[str]) -> Order | None:
        """Return the neighbour's order that comes with this one; a note says why none of hers can."""
        c = self.desk.customers
        theirs = [
            o
            for o in self.desk.orders
            if o.order not in taken and (o.customer == order.split_with or o.split_with == order.customer)
        ]
        open_ = [o for o in theirs if not credit_stopped(c, c.number_of[o.customer], o) and not o.asked]
        why = A_CREDIT_STOP if theirs and not open_ else None
        for other in open_:
            why = self._apart(order, other, grade)
            if why is None:
                return other
        if why is not None:
            self.notes.append(
                message(
                    "rows.apart", "{order} and {other} do not come on one run: {why}.",
                    order=Own(order.order), other=Own(theirs[0].order), why=why,
                )
            )  # fmt: skip
        return None

    def _apart(self, a: Order, b: Order, grade: int) -> Message | None:
        """Return why two orders cannot come on one run; None where they can."""
        c, ok, supplier = self.desk.customers, self.desk.reach, self.desk.supplier
        i, j = c.number_of[a.customer], c.number_of[b.customer]
        if a.grade != b.grade or not c.takes[j, grade]:
            return OTHER_CLASS
        if not ((a.first or date.min) <= b.last and (b.first or date.min) <= a.last):
            return OTHER_DAYS
        both = c.weekdays[i] & c.weekdays[j]
        if self.weekdays and not both[self.weekdays].any():
            return OTHER_WEEKDAYS
        name = supplier.grades[grade]
        able = [k for v, k in enumerate(supplier.tankers) if ok[i, v] and ok[j, v] and name in k.grades]
        if not able:
            return NO_TANKER_FOR_BOTH
        if (a.kg or 0.0) + (b.kg or 0.0) > max(k.carries_kg for k in able):
            return TOO_MUCH_TOGETHER
        return None

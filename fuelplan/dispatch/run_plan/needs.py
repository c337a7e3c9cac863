"""From what lies on the desk to what the planner takes: who needs what by when, who may come, which days."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np
from numpy.typing import NDArray

from fuelplan.dispatch.books import Customers, Order, OrderRow, PublishedStop, day_of
from fuelplan.dispatch.outlook import LevelTable
from fuelplan.dispatch.run_plan.desk import DispatchDesk
from fuelplan.dispatch.run_plan.rows import LeftOut, eligible, rows_of
from fuelplan.dispatch.run_plan.stock import supply_kg
from fuelplan.dispatch.run_plan.week import FITS, Fleet, Needs, PlannedDays, ways_of_filling
from fuelplan.messages import Message

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]
Dates = NDArray[np.datetime64]


@dataclass(frozen=True)
class Week:
    """All that the planner and the writer of the answer need.

    Attributes
    ----------
    days
        The planned days.
    rows
        What each row of `needs` stands for.
    frozen
        Published stops that stay as they are.
    tankers
        Numbers of the tankers in `table.tankers`, in the order of the fleet.
    supply_kg
        Shape (depots, classes, T). [kg]
    """

    days: tuple[date, ...]
    grid: PlannedDays
    rows: tuple[OrderRow, ...]
    needs: Needs
    fleet: Fleet
    supply_kg: Floats
    frozen: tuple[PublishedStop, ...]
    left_out: tuple[LeftOut, ...]
    levels: LevelTable
    spare_h: Floats
    notes: tuple[Message, ...]


def fuller(levels: LevelTable, more_kg: Floats) -> LevelTable:
    """Return the levels with more in each customer's store. [kg]"""
    more = more_kg[:, None]
    kg = (levels.kg + more[:, :, None]).astype(levels.kg.dtype)
    return LevelTable(levels.shares, kg, (levels.mean_kg + more).astype(levels.mean_kg.dtype))


def week_of(
    desk: DispatchDesk, levels: LevelTable, count: int, deliver_by: Dates,
    frozen: Sequence[PublishedStop] = (), maybe_kg: Floats | None = None,
) -> Week:  # fmt: skip
    """Return what is to be planned for the next `count` working days beside the published stops `frozen`.

    `deliver_by` has the shape (N,): the deadlines of all customers, NaT for none. `maybe_kg` may lie in the
    customers' stores besides, without anybody having said so. [kg]
    """
    told = {s.day for s in frozen}
    days = tuple(d for d in desk.planned_days(count) if d not in told)
    grid = _grid(desk, days, levels.mean_kg.shape[1] - 1)
    rows, left_out, notes = rows_of(desk, frozen, days)
    given = _given(desk, frozen, levels.mean_kg.shape)
    fleet, spare = _fleet(desk, days)
    maybe = np.zeros(len(desk.customers)) if maybe_kg is None else maybe_kg
    needs = _needs(desk, rows, levels, given, maybe, days, deliver_by)
    supply = supply_kg(desk.stocks, desk.loads(frozen), desk.supplier.grades, days)
    return Week(days, grid, rows, needs, fleet, supply, tuple(frozen), left_out, levels, spare, notes)


def _grid(desk: DispatchDesk, days: Sequence[date], known: int) -> PlannedDays:
    """Return the planned days as evenings counted from the desk's; levels are known up to evening `known`.

    The last day's levels count until tankers drive again: over the holidays, where these follow it.
    """
    evening = np.array([(d - desk.as_of).days for d in days], np.int64)
    again = [(desk.supplier.calendar.add(days[-1], 1) - desk.as_of).days] if days else []
    following = np.minimum(np.append(evening[1:], np.array(again, np.int64)), known + 1)
    slow = np.array([desk.slow_on(day) for day in days])
    return PlannedDays(evening, following - 1, slow)


def _given(desk: DispatchDesk, frozen: Sequence[PublishedStop], shape: tuple[int, int]) -> Floats:
    """Return what published runs will have brought each customer by each evening. [kg]"""
    given = np.zeros(shape)
    for s in frozen:
        given[desk.customers.number_of[s.customer], (s.day - desk.as_of).days :] += s.kg
    return given


def _fleet(desk: DispatchDesk, days: Sequence[date]) -> tuple[Fleet, Floats]:
    """Return the tankers, and the hours a day that are kept free for those who are already empty, (V, T)."""
    supplier, rules = desk.supplier, desk.supplier.driver
    tankers, grades = supplier.tankers, supplier.grades
    whole = min(rules.normal_work_h, rules.longest_shift_h - rules.break_h)
    day_h = np.full((len(tankers), len(days)), whole)
    for v, tanker in enumerate(tankers):
        day_h[v, [desk.out_on(tanker.name, day) for day in days]] = 0.0
    spare = np.zeros_like(day_h)
    if supplier.spare_kg_a_day > 0 and len(tankers) > 1:
        for t in range(1, len(days)):
            v = int(np.argmax(day_h[:, t]))
            tanker = tankers[v]
            spare[v, t] = min(
                day_h[v, t] / 2, tanker.set_up_h + supplier.spare_kg_a_day / tanker.blow_kg_h + 0.75
            )
    carries = [[n for n, grade in enumerate(grades) if grade in k.grades] for k in tankers]
    fleet = Fleet(
        depot=np.array([k.depot for k in tankers], np.int64),
        ways_kg=tuple(
            ways_of_filling(k.chambers_kg, k.carries_kg, len(grades), some)
            for k, some in zip(tankers, carries, strict=True)
        ),
        cost_per_km=np.array([k.cost_per_km for k in tankers], float),
        cost_per_h=np.array([k.cost_per_h for k in tankers], float),
        blow_kg_h=np.array([k.blow_kg_h for k in tankers]),
        reload_h=np.array([k.reload_h for k in tankers]),
        day_h=day_h - spare,
    )
    return fleet, spare


def _needs(
    desk: DispatchDesk, rows: Sequence[OrderRow], levels: LevelTable, given: Floats, maybe: Floats,
    days: Sequence[date], deliver_by: Dates,
) -> Needs:  # fmt: skip
    """Return the needs of the rows."""
    c = desk.customers
    who = np.array([row.customer for row in rows], np.int64)
    full = fuller(levels, maybe)
    kg = np.array([_order_kg(desk, row, full) if row.orders else np.nan for row in rows])
    first = np.array([_first_day(row, days) for row in rows], np.int64)
    last = np.array([_last_day(c, row, days) for row in rows], np.int64)
    may, must = eligible(desk, rows, days)
    soon = np.array([_emptied_first(row, levels) for row in rows], np.int64)
    own = LevelTable(levels.shares, levels.kg[soon], levels.mean_kg[soon])
    return Needs(
        place=who,
        grade=np.array([row.grade for row in rows], np.int64),
        order_kg=kg,
        order_from=first,
        order_to=last,
        due=_due(rows, days, given, desk.as_of, np.where(c.top_up, deliver_by, np.datetime64("NaT", "D"))),
        empty=np.array([any(o.already_empty for o in row.orders) for row in rows], bool),
        store_kg=c.store_kg[who],
        reserve_kg=np.minimum(c.reserve_kg, 0.9 * c.store_kg)[who],
        least_kg=np.minimum(np.maximum(c.smallest_drop_kg[who], desk.supplier.step_kg), c.store_kg[who]),
        levels=own,
        given_kg=given[soon],
        maybe_kg=maybe[who],
        may=may,
        must=must,
        stop_h=np.array([desk.laying_h[list(row.customers)].sum(axis=0) for row in rows], float).reshape(
            len(rows), len(desk.supplier.tankers)
        ),
    )


def _emptied_first(row: OrderRow, levels: LevelTable) -> int:
    """Return which of a row's customers has least left in the end: a shared drop is as urgent as his."""
    return min(row.customers, key=lambda i: float(levels.mean_kg[i, -1]))


def _due(
    rows: Sequence[OrderRow], days: Sequence[date], given: Floats, as_of: date, deliver_by: Dates
) -> Ints:
    """Return the number of the last planned day up to which each row should have a tanker, T for later.

    `deliver_by` are the deadlines of watched stores. Whoever a published run goes to before the end of the
    plan has one.
    """
    out = np.full(len(rows), len(days), np.int64)
    if not days:
        return out
    told = given[:, (days[-1] - as_of).days] > 0
    all_days = np.array(days, "datetime64[D]")
    for n, row in enumerate(rows):
        last = [deliver_by[i] for i in row.customers if not told[i] and not np.isnat(deliver_by[i])]
        if last and min(last) <= all_days[-1]:
            out[n] = np.searchsorted(all_days, min(last), side="right") - 1
    return out


def _order_kg(desk: DispatchDesk, row: OrderRow, levels: LevelTable) -> float:
    """Return what the orders of a row ask for; "full" is what should fit on the last promised day. [kg]"""
    many = zip(row.customers, row.orders, strict=True)
    return sum(ticket_kg(desk, i, order, levels, order.last) for i, order in many)


def ticket_kg(desk: DispatchDesk, i: int, order: Order | None, levels: LevelTable, day: date) -> float:
    """Return what one order asks for; "full", or no order at all, is what should fit on a day. [kg]"""
    if order is not None and order.kg is not None:
        return float(order.kg)
    evening = min(max((day - desk.as_of).days - 1, 0), levels.kg.shape[1] - 1)
    share = min(int(levels.shares.searchsorted(FITS - 1e-9)), levels.shares.size - 1)
    high = max(0.0, float(levels.kg[i, evening, share]))
    high = 0.0 if order is not None and order.already_empty else high
    step = desk.supplier.step_kg
    return max(step, float(np.floor((desk.customers.store_kg[i] - high) / step) * step))


def _first_day(row: OrderRow, days: Sequence[date]) -> int:
    return sum(d < row.first for d in days)


def _last_day(customers: Customers, row: OrderRow, days: Sequence[date]) -> int:
    """Return the number of a promise's last planned day; −1 where it is past, T where beyond them all.

    Whoever leaves before it is served up to the last day there.
    """
    last = min((o.last for o in row.orders), default=date.max)
    if row.orders:
        leaves = (day_of(customers.left_on[i]) for i in row.customers)
        last = min(last, *(day or date.max for day in leaves))
    if days and last >= days[-1] + timedelta(days=1):
        return len(days)
    return sum(d <= last for d in days) - 1

"""A plan as people read it: runs with names and times, day sums, whom to ring, promises at risk, changes."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date
from itertools import pairwise

import numpy as np

from fuelplan.answers.which_runs.answer import (
    ChamberLoad,
    DayTotals,
    Run,
    RunBreak,
    RunStop,
)
from fuelplan.answers.who_is_due.answer import CustomerTable, day_of
from fuelplan.dispatch.books import OrderRow
from fuelplan.dispatch.published import FrozenTrip, Kept, open_order
from fuelplan.dispatch.roads import Roads
from fuelplan.dispatch.routing import Route
from fuelplan.dispatch.run_plan import (
    DayRoutesPlan,
    DispatchDesk,
    RunPlan,
    ToldWindow,
    Week,
    holds,
    told_window,
    window_of,
)
from fuelplan.messages import Day, Listed, Message, Own, counted_message, message
from fuelplan.records.round import Customers, Order, PublishedStop, credit_stopped

LOW, HIGH = 0.1, 0.9

PUBLISHED = message("runs.why_published", "published")
EMPTY = message("runs.why_empty", "already empty")
EMPTY_PUT_IN = message("runs.why_empty_put_in", "already empty, put into the published runs")
ASKED = message("runs.why_asked", "asked for on this day")
ASKED_PUT_IN = message("runs.why_asked_put_in", "asked for on this day, put into the published runs")
CANNOT_WAIT = message(
    "runs.why_cannot_wait", "cannot wait for the next open day, put into the published runs"
)
AT_RISK = message("runs.why_at_risk", "top-up: may fall below the reserve before delivery")
NOT_DUE = message("runs.why_not_due", "top-up: not due yet, the tanker passes anyway")
DUE_TODAY = message("runs.why_due_today", "top-up: due today")


@dataclass(frozen=True)
class Drop:
    """One stop of a run before it has its times: who gets how much of what, for which order and why; and the
    window that the customer was told, None where nothing was said yet.
    """

    customer: int
    grade: str
    kg: float
    order: Order | None
    why: Message
    told: ToldWindow | None = None


@dataclass(frozen=True)
class Drive:
    """One trip before it is told: its route, its drops in the route's order, and whether it was published."""

    day: date
    route: Route
    trip: int
    drops: tuple[Drop, ...]
    frozen: bool = False
    faults: tuple[Message, ...] = ()


def runs_of(
    desk: DispatchDesk, week: Week, plan: RunPlan, kept: Kept, roads: Roads, table: CustomerTable
) -> list[Run]:
    """Return all runs, planned and published, by day, tanker and trip."""
    drives = [
        Drive(week.days[t], route, route.trip + 1, _drops(desk, week, table, t, day, route))
        for t, day in enumerate(plan.days)
        for route in day.routes.routes
    ]
    drives += [_published(desk, kept, trip) for trip in kept.trips]
    drives.sort(key=lambda d: (d.day, d.route.tanker, d.trip))
    brought = np.zeros(len(desk.customers))
    return [_run(desk, week, roads, table, drive, brought) for drive in drives]


def _drops(
    desk: DispatchDesk, week: Week, table: CustomerTable, t: int, day: DayRoutesPlan, route: Route
) -> tuple[Drop, ...]:
    """Return the drops of a planned route."""
    out = []
    for number in route.stops:
        stop = day.stops[number]
        row = week.rows[stop.row]
        i = row.customers[stop.ticket]
        order = row.orders[stop.ticket] if row.orders else None
        why = _why(desk, week, table, row, order, i, stop.row, t)
        out.append(Drop(i, desk.supplier.grades[row.grade], stop.kg, order, why))
    return tuple(out)


def _published(desk: DispatchDesk, kept: Kept, trip: FrozenTrip) -> Drive:
    """Return a published trip as it stands, and what was put into it."""
    number_of = desk.customers.number_of
    told = {(s.day, s.customer, s.grade) for s in kept.published}
    drops = tuple(
        Drop(
            number_of[s.customer],
            s.grade,
            s.kg,
            open_order(desk.orders, s),
            PUBLISHED if (s.day, s.customer, s.grade) in told else _put_in(desk, s),
            window_of(desk, s),
        )
        for s in trip.stops
    )
    return Drive(trip.day, trip.route, trip.stops[0].trip, drops, frozen=True, faults=trip.faults)


def _put_in(desk: DispatchDesk, stop: PublishedStop) -> Message:
    """Return why somebody comes on a published day who was not published."""
    asked = any(w.customer == stop.customer and w.day == stop.day for w in desk.wishes)
    order = open_order(desk.orders, stop)
    if order is not None and order.already_empty:
        return EMPTY_PUT_IN
    if asked:
        return ASKED_PUT_IN
    return CANNOT_WAIT


def _run(
    desk: DispatchDesk, week: Week, roads: Roads, table: CustomerTable, drive: Drive,
    brought: np.ndarray,
) -> Run:  # fmt: skip
    """Return a trip as it is told; `brought` grows by what it brings each customer. [kg]"""
    route = drive.route
    tanker = desk.supplier.tankers[route.tanker]
    stops = []
    for k, drop in enumerate(drive.drops):
        times = (route.arrive_h[k], route.start_h[k], route.done_h[k])
        stop = _stop(desk, week, k + 1, drop, drive.day, times, brought[drop.customer])
        stops.append(replace(stop, deliver_by=day_of(table.deliver_by[drop.customer])))
        brought[drop.customer] += drop.kg
    places = [route.from_place, *(drop.customer for drop in drive.drops), route.to_place]
    driving_h = desk.slow_on(drive.day) * sum(float(roads.hours[a, b]) for a, b in pairwise(places))
    holds = tanker.chambers_kg
    return Run(
        day=drive.day,
        tanker=tanker.name,
        depot=desk.supplier.depots[tanker.depot],
        depot_latitude=desk.supplier.depot_at[tanker.depot][0],
        depot_longitude=desk.supplier.depot_at[tanker.depot][1],
        trip=drive.trip,
        stops=tuple(stops),
        chambers=tuple(ChamberLoad(k, float(kg), holds[n]) for n, (k, kg) in enumerate(route.chambers)),
        km=route.km,
        hours=route.hours,
        driving_h=driving_h,
        kg=float(sum(s.kg for s in stops)),
        leave_h=route.leave_h,
        back_by_h=route.back_h,
        cost=route.km * tanker.cost_per_km + route.hours * tanker.cost_per_h,
        frozen=drive.frozen,
        faults=drive.faults,
        breaks=tuple(RunBreak(at_h, long_h, k + 1) for k, at_h, long_h in route.breaks),
    )


def _stop(
    desk: DispatchDesk, week: Week, position: int, drop: Drop, day: date, times_h: tuple[float, float, float],
    brought: float,
) -> RunStop:  # fmt: skip
    c, i, order = desk.customers, drop.customer, drop.order
    evening = max(0, min((day - desk.as_of).days - 1, week.levels.kg.shape[1] - 1))
    low, high = (
        max(0.0, float(np.interp(q, week.levels.shares, week.levels.kg[i, evening])) + brought)
        for q in (LOW, HIGH)
    )
    if order is not None and order.already_empty:
        low = high = 0.0
    arrive_h, start_h, leave_h = times_h
    told = drop.told if drop.told is not None and holds(drop.told, start_h) else told_window(desk, i, start_h)
    return RunStop(
        position=position,
        customer=str(c.id[i]),
        name=str(c.name[i]),
        latitude=float(c.latitude[i]),
        longitude=float(c.longitude[i]),
        grade=drop.grade,
        kg=float(drop.kg),
        arrive_h=arrive_h,
        start_h=start_h,
        leave_h=leave_h,
        order=None if order is None else order.order,
        why=drop.why,
        promised_to=None if order is None or order.last == date.max else order.last,
        level_p10_kg=low,
        level_p90_kg=min(high, float(c.store_kg[i])),
        store_kg=float(c.store_kg[i]),
        hose_m=float(c.hose_m[i]),
        call_ahead=bool(c.call_ahead[i]) or (order is not None and order.call_ahead),
        phone=str(c.phone[i]),
        note=str(c.note[i]),
        told_from_h=told[0],
        told_to_h=told[1],
    )


def _why(
    desk: DispatchDesk, week: Week, table: CustomerTable, row: OrderRow, order: Order | None, i: int,
    number: int, t: int,
) -> Message:  # fmt: skip
    """Return why a customer is served on a day."""
    day = week.days[t]
    if order is not None:
        return EMPTY if order.already_empty else _why_ordered(desk.customers, row, order, i, day)
    if week.needs.must[number, t]:
        return ASKED
    last = day_of(table.deliver_by[i])
    if bool(table.overdue[i]):
        return AT_RISK
    if last is None:
        return NOT_DUE
    if last == day:
        return DUE_TODAY
    if last < day:
        return message("runs.why_late", "top-up: late, deliver by {day}", day=Day(last))
    return message(
        "runs.why_early", "top-up: early (deliver by {day}), the tanker passes anyway", day=Day(last)
    )


def _why_ordered(customers: Customers, row: OrderRow, order: Order, i: int, day: date) -> Message:
    """Return that somebody ordered, until when that was promised, and what else to know of the order."""
    if order.last == date.max:
        said = message("runs.why_ordered", "ordered")
    elif order.last >= day:
        said = message("runs.why_promised", "promised by {day}", day=Day(order.last))
    else:
        said = counted_message(
            "runs.why_promised_late", "promised by {day}, {n} day late", "promised by {day}, {n} days late",
            (day - order.last).days, day=Day(order.last),
        )  # fmt: skip
    others = tuple(Own(o.customer) for o in row.orders if o is not order)
    if others:
        who = Listed(others)
        said = message("runs.why_shared", "{why}, shared with {customers}", why=said, customers=who)
    if credit_stopped(customers, i, replace(order, lifted_by="")):
        by = Own(order.lifted_by)
        said = message("runs.why_lifted", "{why}, credit stop lifted by {name}", why=said, name=by)
    return said


def _worked_h(runs: Sequence[Run], reload_h: float) -> float:
    """Return a driver's working time over the runs of a day: driving, stops, loading in between. [h]"""
    stops = sum(s.leave_h - s.start_h for r in runs for s in r.stops)
    return sum(r.driving_h for r in runs) + stops + reload_h * max(0, len(runs) - 1)


def day_totals(desk: DispatchDesk, week: Week, runs: Sequence[Run]) -> list[DayTotals]:
    """Return the sums of each day that has runs or could have."""
    out = []
    usual = desk.supplier.driver.normal_work_h
    days = sorted({*week.days, *(r.day for r in runs)})
    for day in days:
        mine = [r for r in runs if r.day == day]
        overtime = 0.0
        free = 0.0
        for v, tanker in enumerate(desk.supplier.tankers):
            own = [r for r in mine if r.tanker == tanker.name]
            hours = sum(r.hours for r in own)
            overtime += max(0.0, _worked_h(own, tanker.reload_h) - usual)
            t = week.days.index(day) if day in week.days else None
            room = usual if t is None else float(week.fleet.day_h[v, t] + week.spare_h[v, t])
            left = room - hours - tanker.reload_h - tanker.set_up_h - 0.75
            if left > 0:
                free += min(tanker.carries_kg, left * tanker.blow_kg_h)
        out.append(
            DayTotals(
                day,
                len(mine),
                sum(len(r.stops) for r in mine),
                sum(r.kg for r in mine),
                free,
                sum(r.km for r in mine),
                sum(r.hours for r in mine),
                overtime,
            )
        )
    return out

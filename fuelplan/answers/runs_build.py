"""A plan as people read it: runs with names and times, day sums, whom to ring, promises at risk, changes."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from itertools import pairwise

import numpy as np

from fuelplan.answers.outlook_answer import CustomerTable, day_of
from fuelplan.answers.round_roads import RoundRoads
from fuelplan.answers.runs_answer import (
    ChamberLoad,
    DayTotals,
    Run,
    RunBreak,
    RunStop,
)
from fuelplan.answers.runs_needs import Week
from fuelplan.answers.runs_plan import DayPlan, Plan, stop_hours
from fuelplan.answers.runs_told import told_window
from fuelplan.driver_hours import timetable
from fuelplan.round_folder import Order, PublishedStop, Round, driver_rules
from fuelplan.routing import Route

LOW, HIGH = 0.1, 0.9


def runs_of(
    round_: Round, week: Week, plan: Plan, roads: RoundRoads, table: CustomerTable, as_of: date
) -> list[Run]:
    """Return all runs, planned and published, by day, tanker and trip."""
    runs: list[Run] = []
    brought = np.zeros(len(round_.customers))
    for t, day in enumerate(plan.days):
        for route in day.routes.routes:
            runs.append(_run(round_, week, roads, table, as_of, t, day, route, brought))
    runs += _frozen_runs(round_, week, roads, table, as_of)
    return sorted(runs, key=lambda r: (r.day, [k.name for k in round_.table.tankers].index(r.tanker), r.trip))


def _run(
    round_: Round,
    week: Week,
    roads: RoundRoads,
    table: CustomerTable,
    as_of: date,
    t: int,
    day: DayPlan,
    route: Route,
    brought: np.ndarray,
) -> Run:
    tanker = round_.table.tankers[route.tanker]
    depot = next(d for d in round_.table.depots if d.name == tanker.depot)
    hours = roads.roads.hours
    stops = []
    at, driving = route.from_place, 0.0
    for k, number in enumerate(route.stops):
        stop = day.stops[number]
        row = week.rows[stop.row]
        order = row.orders[stop.ticket] if row.orders else None
        i = row.customer if order is None else round_.customers.number_of[order.customer]
        driving += float(hours[at, i]) * float(week.grid.slow[t])
        at = i
        work = stop_hours(week, stop.row, stop.kg)
        stops.append(
            _stop(
                round_,
                week,
                k + 1,
                i,
                round_.table.classes[row.klass],
                stop.kg,
                order,
                as_of,
                week.days[t],
                route.arrive_h[k],
                route.start_h[k],
                route.start_h[k] + float(work),
                brought[i],
                _why(round_, week, table, row.orders, order, i, stop.row, t),
            )
        )
        brought[i] += stop.kg
    driving += float(hours[at, route.to_place]) * float(week.grid.slow[t])
    cost = route.km * tanker.cost_per_km[0] + route.hours * tanker.cost_per_hour[0]
    holds = tanker.chambers_kg
    chambers = tuple(ChamberLoad(k, float(kg), holds[n]) for n, (k, kg) in enumerate(route.chambers))
    return Run(
        week.days[t],
        tanker.name,
        depot.name,
        depot.latitude,
        depot.longitude,
        route.trip + 1,
        tuple(stops),
        chambers,
        route.km,
        route.hours,
        driving,
        float(sum(s.kg for s in stops)),
        route.leave_h,
        route.back_h,
        cost,
        False,
        (),
        tuple(RunBreak(at_h, long_h, k + 1) for k, at_h, long_h in route.breaks),
    )


def _stop(
    round_: Round,
    week: Week,
    position: int,
    i: int,
    klass: str,
    kg: float,
    order: Order | None,
    as_of: date,
    day: date,
    arrive_h: float,
    start_h: float,
    leave_h: float,
    brought: float,
    why: str,
) -> RunStop:
    c = round_.customers
    evening = max(0, min((day - as_of).days - 1, week.levels.kg.shape[1] - 1))
    low, high = (
        max(0.0, float(np.interp(q, week.levels.shares, week.levels.kg[i, evening])) + brought)
        for q in (LOW, HIGH)
    )
    if order is not None and order.already_empty:
        low = high = 0.0
    told = told_window(c, i, start_h)
    return RunStop(
        position=position,
        customer=str(c.id[i]),
        name=str(c.name[i]),
        latitude=float(c.latitude[i]),
        longitude=float(c.longitude[i]),
        klass=klass,
        kg=float(kg),
        arrive_h=arrive_h,
        start_h=start_h,
        leave_h=leave_h,
        order=None if order is None else order.order,
        why=why,
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
    round_: Round,
    week: Week,
    table: CustomerTable,
    orders: Sequence[Order],
    order: Order | None,
    i: int,
    row: int,
    t: int,
) -> str:
    """Return why a customer is served on a day, in words."""
    day = week.days[t]
    if order is not None:
        if order.already_empty:
            return "already empty"
        late = f", {(day - order.last).days} days late" if order.last < day else ""
        shared = f", shared with {order.split_with}" if len(orders) > 1 else ""
        return (
            f"promised by {order.last.isoformat()}{late}{shared}"
            if order.last != date.max
            else "ordered" + shared
        )
    if week.needs.must[row, t]:
        told = any(s.day == day and s.customer == str(round_.customers.id[i]) for s in week.pinned)
        return "published for this day" if told else "asked for on this day"
    must = day_of(table.must_go_by[i])
    if bool(table.overdue[i]):
        return "managed stock: the reserve may be reached before a tanker can come"
    if must is None:
        return "managed stock: on the way"
    if must <= day:
        return "managed stock: due today"
    return f"managed stock: due by {must.isoformat()}, on the way now"


def _frozen_runs(
    round_: Round, week: Week, roads: RoundRoads, table: CustomerTable, as_of: date
) -> list[Run]:
    """Return the published runs that stay as they are, with their times worked out."""
    groups: dict[tuple[date, str, int], list[PublishedStop]] = {}
    for s in week.frozen:
        groups.setdefault((s.day, s.tanker, s.trip), []).append(s)
    names = [k.name for k in round_.table.tankers]
    orders = {o.customer: o for o in round_.orders}
    out = []
    back_at: dict[tuple[date, str], float] = {}
    for (day, name, trip), stops in sorted(groups.items()):
        v = names.index(name)
        tanker = round_.table.tankers[v]
        d = [x.name for x in round_.table.depots].index(tanker.depot)
        depot, place = round_.table.depots[d], roads.depot_place[d]
        stops = sorted(stops, key=lambda s: s.position)
        who = [round_.customers.number_of[s.customer] for s in stops]
        path = [place, *who, place]
        legs = [float(roads.roads.hours[a, b]) for a, b in pairwise(path)]
        km = sum(float(roads.roads.km[a, b]) for a, b in pairwise(path))
        work = [
            tanker.set_up_h
            + max(0.0, float(round_.customers.hose_m[i]) - tanker.hose_included_m) * tanker.hose_h_per_m
            + s.kg / tanker.blow_rate_kg_h
            for i, s in zip(who, stops, strict=True)
        ]
        windows = [(float(round_.customers.from_h[i]), float(round_.customers.to_h[i])) for i in who]
        begin = back_at.get((day, name))
        times = timetable(
            legs,
            work,
            windows,
            driver_rules(round_.table),
            None if begin is None else begin + tanker.reload_h,
            [str(round_.customers.name[i]) for i in who],
        )
        back_at[day, name] = times.end_h
        told = [
            _stop(
                round_,
                week,
                k + 1,
                i,
                s.klass,
                s.kg,
                orders.get(s.customer),
                as_of,
                day,
                times.arrive_h[k],
                times.start_h[k],
                times.leave_h[k],
                0.0,
                "published",
            )
            for k, (i, s) in enumerate(zip(who, stops, strict=True))
        ]
        hours = times.end_h - times.begin_h
        kg = sum(s.kg for s in stops)
        cost = km * tanker.cost_per_km[0] + hours * tanker.cost_per_hour[0]
        out.append(
            Run(
                day,
                name,
                depot.name,
                depot.latitude,
                depot.longitude,
                trip,
                tuple(told),
                (),
                km,
                hours,
                times.driving_h,
                kg,
                times.begin_h,
                times.end_h,
                cost,
                True,
                tuple(times.faults),
                tuple(RunBreak(b.at_h, b.hours, b.leg + 1) for b in times.breaks),
            )
        )
    return out


def day_totals(round_: Round, week: Week, runs: Sequence[Run]) -> list[DayTotals]:
    """Return the sums of each day that has runs or could have."""
    out = []
    usual = driver_rules(round_.table).normal_work_h
    days = sorted({*week.days, *(r.day for r in runs)})
    for day in days:
        mine = [r for r in runs if r.day == day]
        overtime = 0.0
        free = 0.0
        for v, tanker in enumerate(round_.table.tankers):
            own = [r for r in mine if r.tanker == tanker.name]
            hours = sum(r.hours for r in own)
            overtime += max(0.0, hours - usual)
            t = week.days.index(day) if day in week.days else None
            room = usual if t is None else float(week.fleet.day_h[v, t] + week.spare_h[v, t])
            left = room - hours - tanker.reload_h - tanker.set_up_h - 0.75
            if left > 0:
                free += min(tanker.carries_kg, left * tanker.blow_rate_kg_h)
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

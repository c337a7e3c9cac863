"""The lists beside a run plan: whom to ring, who has no run and why, promises at risk."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

import numpy as np

from fuelplan import units
from fuelplan.answers.outlook_answer import CustomerTable, day_of
from fuelplan.answers.round_roads import RoundRoads
from fuelplan.answers.runs_answer import NotServed, PromiseAtRisk, Run, ToRing
from fuelplan.answers.runs_needs import Week
from fuelplan.answers.runs_plan import Plan
from fuelplan.round_folder import Round, credit_stopped


def to_ring(round_: Round, table: CustomerTable, runs: Sequence[Run]) -> list[ToRing]:
    """Return whom to ring: will-call customers near their limit first, then stops of the plan that ask for a
    call.
    """
    c = round_.customers
    out = []
    rows = [int(i) for i in np.flatnonzero(table.to_ring)]
    rows.sort(key=lambda i: (day_of(table.must_go_by[i]) or date.max, str(c.id[i])))
    for i in rows:
        must = day_of(table.must_go_by[i])
        why = f"must have fuel by {must.isoformat()}" if must else "low"
        if bool(table.overdue[i]):
            why = "may be at the reserve before a tanker can come"
        fits = max(0.0, float(c.store_kg[i]) - float(table.level_kg[i, 2]))
        least = float(c.smallest_drop_kg[i])
        if fits < least:
            why += f"; the smallest drop, {units.show(least, 'mass')}, may not fit yet"
        out.append(
            ToRing(
                str(c.id[i]), str(c.name[i]), str(c.phone[i]), why, must, float(table.level_kg[i, 1]), fits
            )
        )
    seen = {r.customer for r in out}
    for run in runs:
        for s in run.stops:
            if s.call_ahead and s.customer not in seen:
                seen.add(s.customer)
                why = f"asks for a call before the stop on {run.day.isoformat()}"
                i = c.number_of[s.customer]
                must = day_of(table.must_go_by[i])
                out.append(ToRing(s.customer, s.name, s.phone, why, must, float(table.level_kg[i, 1]), s.kg))
    return out


def not_served(round_: Round, week: Week, plan: Plan, roads: RoundRoads) -> list[NotServed]:
    """Return customers and orders that should have a run and have none, each with its reason."""
    c = round_.customers
    out = [
        NotServed(
            str(c.id[x.customer]), str(c.name[x.customer]), x.order.order if x.order else None, x.reason
        )
        for x in week.left_out
    ]
    planned = {v.customer for route in plan.solution.routes for v in route}
    reasons = dict(plan.not_placed)
    for n, row in enumerate(week.rows):
        reason = reasons.get(n)
        if reason is None and n in planned:
            continue
        if reason is None:
            reason = _no_run(week, n, roads)
        if not reason:
            continue
        for order in row.orders or (None,):
            i = row.customer if order is None else c.number_of[order.customer]
            out.append(NotServed(str(c.id[i]), str(c.name[i]), order.order if order else None, reason))
    return out


def _no_run(week: Week, n: int, roads: RoundRoads) -> str:
    """Return why a row that the search left out has no run; empty where it needs none."""
    if not week.needs.may[n].any():
        return "no tanker that is out on these days may go there"
    if not np.isfinite(roads.roads.km[list(roads.depot_place), week.needs.place[n]]).any():
        return "no road leads there from any depot"
    if week.rows[n].orders:
        if week.needs.order_to[n] >= len(week.days):
            return ""
        return "no run has room, time or fuel for it on these days"
    return ""


def promises_at_risk(
    round_: Round, week: Week, runs: Sequence[Run], table: CustomerTable, as_of: date
) -> list[PromiseAtRisk]:
    """Return the orders whose promise may not hold, as far as days are planned, whether driven or not."""
    c = round_.customers
    planned = {s.order: r.day for r in runs for s in r.stops if s.order is not None}
    last = max((*week.days, *(s.day for s in week.frozen)), default=as_of)
    out = []
    for order in round_.orders:
        i = c.number_of[order.customer]
        day = planned.get(order.order)
        must = day_of(table.must_go_by[i])
        why = ""
        if credit_stopped(c, i, order):
            continue
        if day is not None and day > order.last:
            why = f"planned for {day.isoformat()}, promised by {order.last.isoformat()}"
        elif day is None and order.last <= last:
            why = "on no run within the promised days"
        elif must is not None and not order.already_empty and (day or order.last) > must:
            why = f"the level may be below the reserve from {must.isoformat()} on"
        if why:
            out.append(PromiseAtRisk(order.order, order.customer, str(c.name[i]), order.last, day, why))
    return out

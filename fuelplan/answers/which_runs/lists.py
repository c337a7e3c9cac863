"""The lists beside a run plan: whom to ring, who has no run and why, promises at risk."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

import numpy as np
from numpy.typing import NDArray

from fuelplan.answers.round.roads import RoundRoads
from fuelplan.answers.which_runs.answer import DueCustomer, NotServed, PromiseAtRisk, Run, ToRing
from fuelplan.answers.who_is_due.answer import CustomerTable, day_of
from fuelplan.dispatch.run_plan import FITS, RunPlan, Week
from fuelplan.messages import Day, Message, Quantity, message
from fuelplan.records.round import Round, credit_stopped

Floats = NDArray[np.float64]


def due_customers(table: CustomerTable, days: Sequence[date], runs: Sequence[Run]) -> list[DueCustomer]:
    """Return whose watched stores must be served up to the last planned day, the most urgent first."""
    if not days:
        return []
    planned: dict[str, date] = {}
    for run in runs:
        for s in run.stops:
            planned[s.customer] = min(planned.get(s.customer, run.day), run.day)
    out = []
    for i in np.flatnonzero(table.due(max(days))).tolist():
        last, who = day_of(table.deliver_by[i]), str(table.customer[i])
        assert last is not None
        out.append(DueCustomer(who, str(table.name[i]), last, bool(table.overdue[i]), planned.get(who)))
    return sorted(out, key=lambda d: (not d.overdue, d.deliver_by, d.customer))


def to_ring(round_: Round, table: CustomerTable, maybe_kg: Floats) -> list[ToRing]:
    """Return whom to ring because their fuel is low, the most urgent first.

    `maybe_kg` may lie in the stores besides, shape (N,): it takes room. [kg]
    """
    c = round_.customers
    rows = [int(i) for i in np.flatnonzero(table.to_ring)]
    rows.sort(key=lambda i: (day_of(table.deliver_by[i]) or date.max, str(c.id[i])))
    out = []
    for i in rows:
        last = day_of(table.deliver_by[i])
        why = LOW if last is None else message("runs.ring_deliver_by", "deliver by {day}", day=Day(last))
        if bool(table.overdue[i]):
            why = AT_RISK
        fits = max(0.0, float(c.store_kg[i]) - float(table.level_kg[i, 2]) - float(maybe_kg[i]))
        least = float(c.smallest_drop_kg[i])
        if fits < least:
            why = message(
                "runs.ring_may_not_fit", "{why}; the smallest drop, {kg}, may not fit yet",
                why=why, kg=Quantity(least, "mass"),
            )  # fmt: skip
        out.append(_ring(round_, table, i, why, fits))
    return out


def calls(round_: Round, table: CustomerTable, runs: Sequence[Run]) -> list[ToRing]:
    """Return whose stops ask for a call before the tanker comes, in the order of the runs."""
    out: dict[str, ToRing] = {}
    for run in runs:
        for s in run.stops:
            if s.call_ahead and s.customer not in out:
                why = message("runs.call_first", "asks for a call before the stop on {day}", day=Day(run.day))
                i = round_.customers.number_of[s.customer]
                out[s.customer] = _ring(round_, table, i, why, s.kg)
    return list(out.values())


def _ring(round_: Round, table: CustomerTable, i: int, why: Message, kg: float) -> ToRing:
    c, last = round_.customers, day_of(table.deliver_by[i])
    level = float(table.level_kg[i, 1])
    return ToRing(str(c.id[i]), str(c.name[i]), str(c.phone[i]), why, last, level, kg)


def not_served(
    round_: Round,
    week: Week,
    plan: RunPlan,
    roads: RoundRoads,
    table: CustomerTable,
    due: Sequence[DueCustomer],
) -> list[NotServed]:
    """Return customers and orders that should have a run and have none, each with its reason."""
    c = round_.customers
    found = [(x.customer, x.order, x.reason) for x in week.left_out]
    planned = {v.customer for route in plan.solution.routes for v in route}
    failed = dict(plan.not_placed)
    unserved = {d.customer for d in due if d.planned_on is None}
    for n, row in enumerate(week.rows):
        if n in planned and n not in failed:
            continue
        wanted = bool(row.orders) or str(c.id[row.customer]) in unserved
        reason = failed.get(n) or _no_run(week, n, roads, wanted)
        if reason is not None:
            found += [(i, o, reason) for i, o in zip(row.customers, row.orders or (None,), strict=True)]
    named = {str(c.id[i]) for i, _, _ in found}
    found += [(c.number_of[who], None, NO_ROOM) for who in sorted(unserved - named)]
    return [
        NotServed(
            str(c.id[i]), str(c.name[i]), None if order is None else order.order, reason,
            day_of(table.deliver_by[i]),
        )
        for i, order, reason in found
    ]  # fmt: skip


LOW = message("runs.ring_low", "low")
AT_RISK = message("runs.ring_at_risk", "at risk: may fall below the reserve before delivery")
NO_ROOM = message("runs.no_room", "no run has room, time or fuel for it on these days")
NONE_MAY = message("runs.none_may_go", "no tanker that is out on these days may go there")
NO_ROAD = message("runs.no_road", "no road leads there from any depot")
NO_RUN_IN_TIME = message("runs.no_run_in_time", "on no run within the promised days")


def _no_run(week: Week, n: int, roads: RoundRoads, wanted: bool) -> Message | None:
    """Return why a row that the search left out has no run; None where it needs none.

    `wanted`: it is an order, or its store must be served within the plan.
    """
    needs, row = week.needs, week.rows[n]
    if not needs.may[n].any():
        return NONE_MAY
    if not np.isfinite(roads.roads.km[list(roads.depot_place), needs.place[n]]).any():
        return NO_ROAD
    if not wanted:
        return None
    if row.orders:
        if needs.order_from[n] >= len(week.days) and needs.due[n] < len(week.days):
            return message("runs.promised_from", "its order is promised from {day} on", day=Day(row.first))
        return NO_ROOM if min(needs.order_to[n], needs.due[n]) < len(week.days) else None
    morning = week.grid.evening - 1
    level = needs.levels.kg[n, morning, needs.levels.column(FITS)] + needs.given_kg[n, morning]
    level = level + needs.maybe_kg[n]
    if (needs.store_kg[n] - level[needs.may[n].any(axis=1)] < needs.least_kg[n]).all():
        return message(
            "runs.no_fit", "the smallest drop, {kg}, does not fit yet on any day a tanker may come",
            kg=Quantity(float(needs.least_kg[n]), "mass"),
        )  # fmt: skip
    return NO_ROOM


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
        last_safe = day_of(table.deliver_by[i])
        why: Message | None = None
        if credit_stopped(c, i, order):
            continue
        if day is not None and day > order.last:
            why = message(
                "runs.planned_late", "planned for {day}, promised by {promised}",
                day=Day(day), promised=Day(order.last),
            )  # fmt: skip
        elif day is None and order.last <= last:
            why = NO_RUN_IN_TIME
        elif last_safe is not None and not order.already_empty and (day or order.last) > last_safe:
            why = message(
                "runs.level_falls_first",
                "deliver by {day}: the level may fall below the reserve after that",
                day=Day(last_safe),
            )
        if why is not None:
            out.append(PromiseAtRisk(order.order, order.customer, str(c.name[i]), order.last, day, why))
    return out

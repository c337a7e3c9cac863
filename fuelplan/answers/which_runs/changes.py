"""What is different from what was published, and what a person asked for that the plan does not have."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from fuelplan.answers.which_runs.answer import Run, RunStop, WishNotKept
from fuelplan.dispatch.published import NO_FUEL_THAT_WEEKDAY, Kept
from fuelplan.dispatch.run_plan import DispatchDesk, RunPlan, ToldWindow, Week, window_of
from fuelplan.messages import Day, Listed, Message, Own, Quantity, TimeOfDay, Value, message
from fuelplan.records.round import Customers, PublishedStop, Wish

SAME_H, SAME_KG = 2.5 / 60, 1.0
"""Changes below these are none that a customer would notice."""

NOBODY_DRIVES = message("runs.nobody_drives", "no tanker drives on that day")
BEYOND_PLAN = message("runs.beyond_plan", "the day lies beyond the days that are planned")
OTHER_TIME = message("runs.published_other_time", "published for another time")
NO_ORDER = message("runs.no_order", "there is no order: the customer orders by itself")
NONE_MAY_THAT_DAY = message("runs.none_may_that_day", "no tanker that is out that day may go there")

Place = tuple[Run, RunStop]


def changes_of(desk: DispatchDesk, kept: Kept, runs: Sequence[Run]) -> list[Message]:
    """Return what is different from what was published, one sentence each: day, tanker, time, amount."""
    places = [(run, stop) for run in runs for stop in run.stops]
    there = {(run.day, stop.customer, stop.grade): (run, stop) for run, stop in places}
    told = {(s.day, s.customer, s.grade) for s in kept.published}
    out = []
    for s in kept.published:
        who, found = _who(desk.customers, s.customer), there.get((s.day, s.customer, s.grade))
        if found is not None:
            out += _same_day(who, s, found, window_of(desk, s))
        else:
            later = [
                p for p in places
                if p[1].customer == s.customer and (p[0].day, s.customer, p[1].grade) not in told
            ]  # fmt: skip
            others = any(p[1].customer == s.customer for p in places)
            out.append(_other_day(who, s, min(later, key=lambda p: p[0].day, default=None), others))
    for run, stop in places:
        if run.frozen and (run.day, stop.customer, stop.grade) not in told:
            out.append(_put_in(_who(desk.customers, stop.customer), run, stop))
    return out


def _put_in(who: Message, run: Run, stop: RunStop) -> Message:
    return message(
        "runs.put_in",
        "{customer}: put into the published run {trip} of {tanker} on {day}, {kg} at {at}.",
        customer=who, trip=run.trip, tanker=Own(run.tanker), day=Day(run.day),
        kg=Quantity(stop.kg, "weighed_mass"), at=TimeOfDay(stop.arrive_h),
    )  # fmt: skip


def _who(customers: Customers, customer: str) -> Message:
    name = Own(str(customers.name[customers.number_of[customer]]))
    return message("runs.name_and_number", "{name} ({customer})", name=name, customer=Own(customer))


def _same_day(who: Message, s: PublishedStop, found: Place, told: ToldWindow | None) -> list[Message]:
    """Return what of a stop that comes on its day is not as it was published, in one sentence."""
    run, stop = found
    changes: list[Value] = []
    if run.tanker != s.tanker:
        tanker, before = Own(run.tanker), Own(s.tanker)
        changes.append(
            message("runs.other_tanker", "with {tanker} instead of {before}", tanker=tanker, before=before)
        )
    if s.arrive_h is not None and abs(stop.arrive_h - s.arrive_h) > SAME_H:
        changes.append(_other_time(s.arrive_h, stop, told))
    if abs(stop.kg - s.kg) > SAME_KG:
        changes.append(
            message(
                "runs.other_kg", "{kg} instead of {before}",
                kg=Quantity(stop.kg, "weighed_mass"), before=Quantity(s.kg, "weighed_mass"),
            )
        )  # fmt: skip
    if not changes:
        return []
    return [
        message(
            "runs.changed", "{customer}: on {day} {changes}.",
            customer=who, day=Day(s.day), changes=Listed(tuple(changes), ", "),
        )
    ]  # fmt: skip


def _other_time(before_h: float, stop: RunStop, told: ToldWindow | None) -> Message:
    """Return that a stop comes at another time, and whether its customer must be rung."""
    at, before = TimeOfDay(stop.arrive_h), TimeOfDay(before_h)
    if told is None:
        return message("runs.other_time", "at {at} instead of {before}", at=at, before=before)
    first, last = TimeOfDay(told[0]), TimeOfDay(told[1])
    if told[0] - SAME_H <= stop.start_h <= told[1] + SAME_H:
        return message(
            "runs.other_time_told", "at {at} instead of {before} (told {first} to {last})",
            at=at, before=before, first=first, last=last,
        )  # fmt: skip
    return message(
        "runs.other_time_ring",
        "at {at} instead of {before} (told {first} to {last}: ring the customer)",
        at=at, before=before, first=first, last=last,
    )  # fmt: skip


def _other_day(who: Message, s: PublishedStop, place: Place | None, others: bool) -> Message:
    """Return where a stop has gone that does not come on its day."""
    before = message("runs.published_for", "published for {day}", day=Day(s.day))
    if s.arrive_h is not None:
        before = message(
            "runs.published_for_at", "published for {day} at {at}", day=Day(s.day), at=TimeOfDay(s.arrive_h)
        )
    if place is None and others:
        return message(
            "runs.on_no_run_then", "{customer}: {published}, on no run then.", customer=who, published=before
        )
    if place is None:
        return message(
            "runs.on_no_run", "{customer}: {published}, on no run.", customer=who, published=before
        )
    run, stop = place
    day, tanker, at = Day(run.day), Own(run.tanker), TimeOfDay(stop.arrive_h)
    if abs(stop.kg - s.kg) <= SAME_KG:
        return message(
            "runs.now_on", "{customer}: {published}, now on {day} with {tanker} at {at}.",
            customer=who, published=before, day=day, tanker=tanker, at=at,
        )  # fmt: skip
    return message(
        "runs.now_on_other_kg",
        "{customer}: {published}, now on {day} with {tanker} at {at}, {kg} instead of {before}.",
        customer=who, published=before, day=day, tanker=tanker, at=at,
        kg=Quantity(stop.kg, "weighed_mass"), before=Quantity(s.kg, "weighed_mass"),
    )  # fmt: skip


def wishes_not_kept(
    desk: DispatchDesk, week: Week, plan: RunPlan, kept: Kept, runs: Sequence[Run]
) -> list[WishNotKept]:
    """Return the wishes for days to come that the runs do not keep, each with its reason."""
    places = [(run, stop) for run in runs for stop in run.stops]
    out = []
    for wish in desk.wishes:
        if wish.day is not None and wish.day <= desk.as_of:
            continue
        mine = [(run, stop) for run, stop in places if stop.customer == wish.customer]
        hit = [run for run, _ in mine if wish.day in (None, run.day) and wish.tanker in (None, run.tanker)]
        if wish.wish == "forbid" or (hit and wish.day is not None):
            continue
        if wish.day is None and (not mine or len(hit) == len(mine)):
            continue
        why = _why_not(desk, week, plan, kept, wish, runs)
        name = str(desk.customers.name[desk.customers.number_of[wish.customer]])
        out.append(WishNotKept(wish.customer, name, wish.wish, wish.day, wish.tanker, why))
    return out


def _why_not(
    desk: DispatchDesk, week: Week, plan: RunPlan, kept: Kept, wish: Wish, runs: Sequence[Run]
) -> Message:
    """Return why a wish is not kept."""
    day, i = wish.day, desk.customers.number_of[wish.customer]
    left = next((x.reason for x in week.left_out if x.customer == i), None)
    if left is not None:
        return left
    if day is not None:
        first = max((o.first or date.min for o in desk.orders if o.customer == wish.customer), default=day)
        if first > day:
            return message("runs.wish_promised_from", "the order is promised from {day} on", day=Day(first))
        refused = kept.refused.get((wish.customer, day))
        if refused is not None:
            return refused
        if not desk.supplier.calendar.is_working(day):
            return NOBODY_DRIVES
        days = {*week.days, *(s.day for s in kept.stops)}
        if day > max(days, default=desk.as_of):
            return BEYOND_PLAN
        if not desk.customers.weekdays[i, day.weekday()]:
            return NO_FUEL_THAT_WEEKDAY
    row = next((n for n, r in enumerate(week.rows) if i in r.customers), None)
    if row is None:
        served = any(s.customer == wish.customer for run in runs for s in run.stops)
        return OTHER_TIME if served else NO_ORDER
    return dict(plan.not_placed).get(row, NONE_MAY_THAT_DAY)

"""What is different from what was published, and what a person asked for that the plan does not have."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from fuelplan import units
from fuelplan.answers.which_runs.answer import Run, RunStop, WishNotKept, clock
from fuelplan.answers.which_runs.kept import Kept
from fuelplan.answers.which_runs.needs import Week
from fuelplan.answers.which_runs.plan import RunPlan
from fuelplan.answers.which_runs.told import window_of
from fuelplan.records.round import PublishedStop, Round, Wish, working_days_of

SAME_H, SAME_KG = 2.5 / 60, 1.0
"""Changes below these are none that a customer would notice."""

Place = tuple[Run, RunStop]


def changes_of(round_: Round, kept: Kept, runs: Sequence[Run]) -> list[str]:
    """Return what is different from what was published, one sentence each: day, tanker, time, amount."""
    places = [(run, stop) for run in runs for stop in run.stops]
    there = {(run.day, stop.customer, stop.grade): (run, stop) for run, stop in places}
    told = {(s.day, s.customer, s.grade) for s in kept.published}
    out = []
    for s in kept.published:
        found = there.get((s.day, s.customer, s.grade))
        if found is not None:
            what = _same_day(round_, s, found)
        else:
            later = [
                p for p in places
                if p[1].customer == s.customer and (p[0].day, s.customer, p[1].grade) not in told
            ]  # fmt: skip
            others = any(p[1].customer == s.customer for p in places)
            what = _other_day(s, min(later, key=lambda p: p[0].day, default=None), others)
        if what:
            out.append(_of_customer(_who(round_, s.customer), what))
    for run, stop in places:
        if run.frozen and (run.day, stop.customer, stop.grade) not in told:
            out.append(_put_in(_who(round_, stop.customer), run, stop))
    return out


def _of_customer(who: str, what: str) -> str:
    return units.in_both_systems(lambda: f"{who}: {units.as_read(what)}.")


def _put_in(who: str, run: Run, stop: RunStop) -> str:
    return units.in_both_systems(
        lambda: (
            f"{who}: put into the published run {run.trip} of {run.tanker} on {run.day.isoformat()}, "
            f"{units.show_as(stop.kg, 'kg')} at {clock(stop.arrive_h)}."
        )
    )


def _who(round_: Round, customer: str) -> str:
    return f"{round_.customers.name[round_.customers.number_of[customer]]} ({customer})"


def _same_day(round_: Round, s: PublishedStop, found: Place) -> str:
    """Return what of a stop that comes on its day is not as it was published."""
    run, stop = found
    parts = []
    if run.tanker != s.tanker:
        parts.append(f"with {run.tanker} instead of {s.tanker}")
    if s.arrive_h is not None and abs(stop.arrive_h - s.arrive_h) > SAME_H:
        told = window_of(round_, s)
        parts.append(f"at {clock(stop.arrive_h)} instead of {clock(s.arrive_h)}{_told(told, stop)}")
    if abs(stop.kg - s.kg) > SAME_KG:
        parts.append(_instead(stop.kg, s.kg))
    if not parts:
        return ""
    return units.in_both_systems(lambda: f"on {s.day.isoformat()} {', '.join(map(units.as_read, parts))}")


def _instead(now_kg: float, before_kg: float) -> str:
    return units.in_both_systems(
        lambda: f"{units.show_as(now_kg, 'kg')} instead of {units.show_as(before_kg, 'kg')}"
    )


def _told(told: tuple[float, float] | None, stop: RunStop) -> str:
    if told is None:
        return ""
    span = f"{clock(told[0])} to {clock(told[1])}"
    inside = told[0] - SAME_H <= stop.start_h <= told[1] + SAME_H
    return f" (told {span})" if inside else f" (told {span}: ring the customer)"


def _other_day(s: PublishedStop, place: Place | None, others: bool) -> str:
    """Return where a stop has gone that does not come on its day."""
    before = f"published for {s.day.isoformat()}"
    if s.arrive_h is not None:
        before += f" at {clock(s.arrive_h)}"
    if place is None:
        return f"{before}, on no run then" if others else f"{before}, on no run"
    run, stop = place
    now = f"{before}, now on {run.day.isoformat()} with {run.tanker} at {clock(stop.arrive_h)}"
    if abs(stop.kg - s.kg) <= SAME_KG:
        return now
    return units.in_both_systems(lambda: f"{now}, {units.as_read(_instead(stop.kg, s.kg))}")


def wishes_not_kept(
    round_: Round, week: Week, plan: RunPlan, kept: Kept, runs: Sequence[Run], as_of: date
) -> list[WishNotKept]:
    """Return the wishes for days to come that the runs do not keep, each with its reason."""
    places = [(run, stop) for run in runs for stop in run.stops]
    out = []
    for wish in round_.wishes:
        if wish.day is not None and wish.day <= as_of:
            continue
        mine = [(run, stop) for run, stop in places if stop.customer == wish.customer]
        hit = [run for run, _ in mine if wish.day in (None, run.day) and wish.tanker in (None, run.tanker)]
        if wish.wish == "forbid" or (hit and wish.day is not None):
            continue
        if wish.day is None and (not mine or len(hit) == len(mine)):
            continue
        why = _why_not(round_, week, plan, kept, wish, runs, as_of)
        name = str(round_.customers.name[round_.customers.number_of[wish.customer]])
        out.append(WishNotKept(wish.customer, name, wish.wish, wish.day, wish.tanker, why))
    return out


def _why_not(
    round_: Round, week: Week, plan: RunPlan, kept: Kept, wish: Wish, runs: Sequence[Run], as_of: date
) -> str:
    """Return why a wish is not kept."""
    day, i = wish.day, round_.customers.number_of[wish.customer]
    left = next((x.reason for x in week.left_out if x.customer == i), None)
    if left is not None:
        return left
    if day is not None:
        first = max((o.first or date.min for o in round_.orders if o.customer == wish.customer), default=day)
        if first > day:
            return f"the order is promised from {first.isoformat()} on"
        refused = kept.refused.get((wish.customer, day))
        if refused is not None:
            return refused
        if not working_days_of(round_.table).is_working(day):
            return "no tanker drives on that day"
        days = {*week.days, *(s.day for s in kept.stops)}
        if day > max(days, default=as_of):
            return "the day lies beyond the days that are planned"
        if not round_.customers.weekdays[i, day.weekday()]:
            return "the customer takes no fuel on that weekday"
    row = next((n for n, r in enumerate(week.rows) if i in r.customers), None)
    if row is None:
        served = any(s.customer == wish.customer for run in runs for s in run.stops)
        return "published for another time" if served else "there is no order: the customer orders by itself"
    reason = dict(plan.not_placed).get(row)
    if reason:
        return reason
    return "no tanker that is out that day may go there"

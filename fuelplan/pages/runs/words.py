"""A run plan as the sentences, facts and rows of the dispatcher's page."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, timedelta

from fuelplan.answers.which_runs import ChamberLoad, DayTotals, Run, RunsAnswer, RunStop, ToRing, clock
from fuelplan.answers.who_is_due import OutlookAnswer, day_of
from fuelplan.charts.runs import day_name
from fuelplan.pages.parts.pieces import Fact
from fuelplan.pages.texts import runs as words
from fuelplan.pages.texts.runs import counted
from fuelplan.papers import break_said, dated, whole_kg
from fuelplan.units import parse, reader, show, show_date, show_range

Row = tuple[str, ...]


def headline(found: RunsAnswer) -> str:
    """Return the answer in one sentence: the next day with runs."""
    driven = [d for d in found.per_day if d.runs]
    if not driven:
        last = found.days[-1] if found.days else found.as_of
        return words.NO_RUNS.format(day=show_date(last + timedelta(days=1)))
    first = driven[0]
    stops, amount = counted(first.stops, "stop"), show(first.kg, "mass")
    if first is not found.per_day[0]:
        return words.NEXT_RUNS.format(
            first=show_date(found.per_day[0].day), day=day_name(first.day), stops=stops, amount=amount
        )
    return words.FIRST_DAY.format(
        day=day_name(first.day),
        runs=counted(first.runs, "run"),
        stops=stops,
        amount=amount,
        road=show(first.km, "distance"),
    )


def facts(found: RunsAnswer, outlook: OutlookAnswer) -> list[Fact]:
    """Return the facts under the answer: this week, who is at risk, whom to ring, what to buy."""
    totals = found.totals()
    items = []
    driven = [d for d in found.per_day if d.runs]
    if driven:
        first = driven[0]
        note = words.NOTE_NEXT.format(runs=counted(first.runs, "run"), free=show(first.free_kg, "mass"))
        items.append(Fact(words.FACT_NEXT, f"{day_name(first.day)}", note))
        road = show(totals["km"], "distance")
        note = words.NOTE_WEEK.format(road=road, each=_per_tonne(totals["km_per_t"]))
        items.append(
            Fact(
                words.FACT_WEEK.format(days=len(found.days)),
                f"{counted(int(totals['runs']), 'run')}, {show(found.kg, 'mass')}",
                note,
            )
        )
    until = show_date(found.days[-1]) if found.days else show_date(found.as_of)
    now = sum(d.overdue for d in found.due)
    note = words.NOTE_RISK.format(count=len(found.due), day=until)
    items.append(Fact(words.FACT_RISK, f"{now}" if now else words.NONE, note))
    ring = len(found.to_ring)
    items.append(Fact(words.FACT_RING, f"{ring}" if ring else words.NONE, words.NOTE_RING))
    risky = len(found.promises_at_risk)
    items.append(Fact(words.FACT_PROMISES, f"{risky}" if risky else words.NONE, words.NOTE_PROMISES))
    if outlook.weekly_t.p50:
        weekly = outlook.weekly_t
        span = show_range(1000 * weekly.p10[0], 1000 * weekly.p90[0], "mass")
        items.append(
            Fact(words.FACT_BUY, show(1000 * weekly.p50[0], "mass"), words.NOTE_BUY.format(span=span))
        )
    return items


def _per_tonne(km_per_t: float) -> str:
    if reader().system != "us":
        return words.EACH_KM.format(value=km_per_t, unit="km")
    miles = km_per_t / parse("1 mi", "distance") * parse("1 short_ton", "mass") / 1000
    return words.EACH_KM.format(value=miles, unit="miles")


def day_line(totals: DayTotals) -> str:
    """Return the sums of one day."""
    free = show(totals.free_kg, "mass")
    if not totals.runs:
        return words.DAY_EMPTY.format(free=free)
    over = words.OVERTIME.format(hours=totals.overtime_h) if totals.overtime_h > 0.05 else ""
    return words.DAY_TOTALS.format(
        stops=counted(totals.stops, "stop"),
        amount=show(totals.kg, "mass", digits=3),
        road=show(totals.km, "distance", digits=3),
        hours=totals.hours,
        overtime=over,
        free=free,
    )


def run_title(run: Run, with_day: bool) -> str:
    """Return what stands over the table of a run."""
    form = words.RUN_TITLE_DAY if with_day else words.RUN_TITLE
    return form.format(
        day=day_name(run.day),
        tanker=run.tanker,
        trip=run.trip,
        depot=run.depot,
        leave=clock(run.leave_h),
        back=clock(run.back_by_h),
    )


def run_line(run: Run) -> str:
    """Return amount, road and chambers of a run."""
    return words.RUN_LINE.format(
        amount=whole_kg(run.kg),
        road=show(run.km, "distance", digits=3),
        chambers="; ".join(_chamber(c) for c in run.chambers),
        breaks=words.RUN_BREAKS.format(breaks=", ".join(break_said(run, b) for b in run.breaks))
        if run.breaks
        else "",
        told=words.RUN_TOLD if run.frozen else "",
    )


def _chamber(chamber: ChamberLoad) -> str:
    holds = whole_kg(chamber.holds_kg)
    if chamber.kg <= 0:
        return words.CHAMBER_EMPTY.format(holds=holds)
    return words.CHAMBER.format(grade=chamber.grade, amount=whole_kg(chamber.kg, unit=False), holds=holds)


def stop_rows(run: Run) -> list[Row]:
    """Return a row for each stop of a run."""
    return [
        (
            _stop_name(stop),
            clock(stop.arrive_h),
            _together(f"{whole_kg(stop.kg)} {stop.grade}"),
            _together(_level(stop.level_p10_kg, stop.level_p90_kg)),
            dated(stop.why),
            _to_know(stop, run.frozen),
        )
        for stop in run.stops
    ]


def _stop_name(stop: RunStop) -> str:
    form = words.STOP_NAME_ID if stop.name else words.STOP_NAME
    return form.format(position=stop.position, name=stop.name or stop.customer, customer=stop.customer)


def _to_know(stop: RunStop, told: bool) -> str:
    said = [_together(words.STOP_HOSE.format(length=show(stop.hose_m, "length")))]
    if told and stop.told_from_h is not None and stop.told_to_h is not None:
        said.append(words.STOP_TOLD.format(first=clock(stop.told_from_h), last=clock(stop.told_to_h)))
    if stop.order:
        said.append(words.STOP_ORDER.format(order=stop.order))
    if stop.call_ahead:
        said.append(words.STOP_RING.format(phone=stop.phone or words.NO_PHONE))
    if stop.note:
        said.append(stop.note)
    return "; ".join(said)


def _together(text: str) -> str:
    """Return a number and its unit so that no line breaks between them."""
    return text.replace(" ", "\u00a0")


def _level(low_kg: float, high_kg: float) -> str:
    return show_range(max(0.0, low_kg), max(0.0, high_kg), "mass")


def named(name: str, customer: str) -> str:
    """Return a customer's name with the number."""
    return f"{name} ({customer})" if name else customer


def risk_rows(found: RunsAnswer, outlook: OutlookAnswer) -> list[Row]:
    """Return who is due within the days planned, the most urgent first, and on which run."""
    planned: dict[str, Run] = {}
    for run in reversed(found.runs):
        planned |= {stop.customer: run for stop in run.stops}
    table = outlook.customers
    number = {str(customer): i for i, customer in enumerate(table.customer)}
    rows: list[Row] = []
    for due in found.due:
        i, served = number[due.customer], planned.get(due.customer)
        rows.append(
            (
                named(due.name, due.customer),
                words.AT_ONCE if due.overdue else show_date(due.deliver_by),
                _level(float(table.level_kg[i, 0]), float(table.level_kg[i, 2])),
                _day(day_of(table.run_out[i, 1])),
                words.ON_NO_RUN
                if served is None
                else words.ON_RUN.format(day=day_name(served.day), tanker=served.tanker),
            )
        )
    return rows


def _day(day: date | None) -> str:
    return words.LATER if day is None else show_date(day)


def ring_rows(found: RunsAnswer) -> list[Row]:
    """Return whom to ring, and what would fit."""
    return _rings(found.to_ring)


def doubt_rows(found: RunsAnswer) -> list[Row]:
    """Return whom to ask about a reading that disagrees with what was expected, with both figures."""
    return [
        (
            named(d.name, d.customer),
            d.phone or words.NO_PHONE,
            show_date(d.date),
            whole_kg(d.read_kg),
            whole_kg(d.expected_kg),
        )
        for d in found.readings_doubted
    ]


def call_rows(found: RunsAnswer) -> list[Row]:
    """Return who asks for a call before a stop, and what it brings."""
    return _rings(found.calls)


def _rings(rows: Sequence[ToRing]) -> list[Row]:
    return [
        (
            named(r.name, r.customer),
            r.phone or words.NO_PHONE,
            dated(r.why),
            "–" if r.deliver_by is None else show_date(r.deliver_by),
            show(r.fits_kg, "mass"),
        )
        for r in rows
    ]


def promise_rows(found: RunsAnswer) -> list[Row]:
    """Return the promises in danger."""
    return [
        (
            p.order,
            named(p.name, p.customer),
            show_date(p.promised_to),
            words.ON_NO_RUN if p.planned_on is None else show_date(p.planned_on),
            dated(p.why),
        )
        for p in found.promises_at_risk
    ]


def left_rows(found: RunsAnswer) -> list[Row]:
    """Return who is on no run, and why."""
    return [(named(n.name, n.customer), n.order or "–", dated(n.reason)) for n in found.not_served]


def wish_rows(found: RunsAnswer) -> list[Row]:
    """Return the wishes that the plan does not keep, and why."""
    return [
        (
            named(w.name, w.customer),
            words.WISH_KINDS[w.wish],
            "–" if w.date is None else show_date(w.date),
            w.tanker or words.ANY_TANKER,
            dated(w.reason),
        )
        for w in found.wishes_not_kept
    ]


def came_rows(found: RunsAnswer) -> list[Row]:
    """Return the published drops of past days that nobody has answered for."""
    return [
        (
            day_name(s.day),
            named(s.name, s.customer),
            s.order or "–",
            _together(f"{whole_kg(s.kg)} {s.grade}"),
            s.tanker,
        )
        for s in found.to_confirm
    ]


def load_rows(rows: Sequence[tuple[date, str, float, float]]) -> list[Row]:
    """Return the table beside the chart of the loads."""
    return [
        (
            f"{day_name(day)}, {tanker}",
            whole_kg(kg),
            whole_kg(holds),
            f"{kg / holds:.0%}" if holds > 0 else "–",
        )
        for day, tanker, kg, holds in rows
    ]

"""A run plan as the sentences, facts and rows of the dispatcher's page."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from fuelplan.answers.which_runs import (
    Run,
    RunsAnswer,
    RunStop,
    clock,
    presented,
)
from fuelplan.answers.who_is_due import OutlookAnswer, day_of
from fuelplan.messages import (
    Day,
    Message,
    Own,
    Percent,
    Value,
    render,
)
from fuelplan.pages.parts.pieces import Fact
from fuelplan.pages.texts import runs as words
from fuelplan.pages.texts import runs_plan as of_plan

Row = tuple[str, ...]


def facts(found: RunsAnswer, outlook: OutlookAnswer) -> list[Fact]:
    """Return the facts under the answer: this week, who is at risk, whom to ring, what to buy."""
    items = []
    driven = [d for d in found.per_day if d.runs]
    if driven:
        day = presented.day_named(driven[0].day)
        items.append(Fact(words.FACT_NEXT, day, of_plan.note_next(driven[0])))
        week = words.fact_week(len(found.days))
        items.append(Fact(week, of_plan.whole(found), of_plan.note_week(found)))
    until = found.days[-1] if found.days else found.as_of
    at_risk = _number(sum(d.overdue for d in found.due))
    items.append(Fact(words.FACT_RISK, at_risk, of_plan.note_risk(len(found.due), until)))
    items.append(Fact(words.FACT_RING, _number(len(found.to_ring)), words.NOTE_RING))
    items.append(Fact(words.FACT_PROMISES, _number(len(found.promises_at_risk)), words.NOTE_PROMISES))
    weekly = outlook.weekly_t
    if weekly.p50:
        note = of_plan.note_buy(1000 * weekly.p10[0], 1000 * weekly.p90[0])
        items.append(Fact(words.FACT_BUY, render(presented.mass(1000 * weekly.p50[0])), note))
    return items


def _number(count: int) -> Message:
    return of_plan.count(count) if count else words.NONE


def stop_rows(run: Run) -> list[Row]:
    """Return a row for each stop of a run."""
    return [
        (
            render(of_plan.stop_name(stop)),
            clock(stop.arrive_h),
            _together(presented.drop(stop.kg, stop.grade)),
            _together(presented.level(stop.level_p10_kg, stop.level_p90_kg)),
            render(stop.why),
            "; ".join(_to_know(stop, run.frozen)),
        )
        for stop in run.stops
    ]


def _to_know(stop: RunStop, frozen: bool) -> list[str]:
    said: list[Value | None] = [
        presented.told(stop) if frozen else None,
        presented.order_said(stop),
        presented.ring_first(stop) if stop.call_ahead else None,
        Own(stop.note) if stop.note else None,
    ]
    return [_together(of_plan.hose(stop)), *(render(one) for one in said if one is not None)]


def _together(said: Value) -> str:
    """Return a number and its unit so that no line breaks between them."""
    return render(said).replace(" ", "\u00a0")


def shown(rows: Sequence[presented.Row]) -> list[Row]:
    """Return cells as texts."""
    return [tuple(render(cell) for cell in row) for row in rows]


def risk_rows(found: RunsAnswer, outlook: OutlookAnswer) -> list[Row]:
    """Return who is due within the days planned, the most urgent first, and on which run."""
    planned: dict[str, Run] = {}
    for run in reversed(found.runs):
        planned |= {stop.customer: run for stop in run.stops}
    table = outlook.customers
    number = {str(customer): i for i, customer in enumerate(table.customer)}
    rows: list[presented.Row] = []
    for due in found.due:
        i, served = number[due.customer], planned.get(due.customer)
        gone = day_of(table.run_out[i, 1])
        rows.append(
            (
                presented.named(due.name, due.customer),
                words.AT_ONCE if due.overdue else Day(due.deliver_by),
                presented.level(float(table.level_kg[i, 0]), float(table.level_kg[i, 2])),
                words.LATER if gone is None else Day(gone),
                presented.ON_NO_RUN if served is None else of_plan.tanker_on(served.day, served.tanker),
            )
        )
    return shown(rows)


def load_rows(rows: Sequence[tuple[date, str, float, float]]) -> list[Row]:
    """Return the table beside the chart of the loads."""
    return shown(
        [
            (
                of_plan.tanker_on(day, tanker),
                presented.weighed(kg),
                presented.weighed(holds),
                Percent(kg / holds) if holds > 0 else presented.NOTHING,
            )
            for day, tanker, kg, holds in rows
        ]
    )

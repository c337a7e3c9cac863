"""What the dispatcher's page says of a plan: sentences over and under its tables."""

from __future__ import annotations

from datetime import date, timedelta

from fuelplan.answers import invented_headline
from fuelplan.answers.which_runs import (
    DayTotals,
    Run,
    RunsAnswer,
    RunStop,
    counted_runs,
    counted_stops,
    presented,
)
from fuelplan.messages import (
    Day,
    Listed,
    Message,
    Number,
    Own,
    TimeOfDay,
    message,
    paragraph,
)
from fuelplan.pages.texts.runs import RUN_TOLD


def headline(found: RunsAnswer) -> Message:
    """Return the answer in one sentence: the next day with runs; invented weather is said before it."""
    return invented_headline(_next_day(found), found.invented)


def _next_day(found: RunsAnswer) -> Message:
    driven = [d for d in found.per_day if d.runs]
    if not driven:
        last = found.days[-1] if found.days else found.as_of
        return message(
            "runs_page.nobody", "Nobody has to be served until {day}.", day=Day(last + timedelta(days=1))
        )
    first = driven[0]
    day, stops, amount = presented.day_named(first.day), counted_stops(first.stops), presented.mass(first.kg)
    if first is not found.per_day[0]:
        return message(
            "runs_page.next", "No run on {first}. The next: {day}, {stops}, {amount}.",
            first=Day(found.per_day[0].day), day=day, stops=stops, amount=amount,
        )  # fmt: skip
    return message(
        "runs_page.first_day", "{day}: {runs}, {stops}, {amount}, about {road}.",
        day=day, runs=counted_runs(first.runs), stops=stops, amount=amount,
        road=presented.road(first.km),
    )  # fmt: skip


def day_line(totals: DayTotals) -> Message:
    """Return a day and its sums."""
    day, free = presented.day_named(totals.day), presented.mass(totals.free_kg)
    if not totals.runs:
        return message(
            "runs_page.day_empty", "{day}: No run on this day; the tankers have room for {free}.",
            day=day, free=free,
        )  # fmt: skip
    hours = message("runs_page.hours", "{hours} hours", hours=Number(totals.hours, 1))
    if presented.overtime(totals.overtime_h):
        hours = message(
            "runs_page.hours_and_over", "{hours} hours ({over} of them overtime)",
            hours=Number(totals.hours, 1), over=Number(totals.overtime_h, 1),
        )  # fmt: skip
    return message(
        "runs_page.day_sums", "{day}: {stops}, {amount}, {road}, {hours}; room for {free} more.",
        day=day, stops=counted_stops(totals.stops), amount=presented.mass(totals.kg, 3),
        road=presented.road(totals.km, 3), hours=hours, free=free,
    )  # fmt: skip


def run_title(run: Run, with_day: bool) -> Message:
    """Return what stands over the table of a run."""
    title = message(
        "runs_page.run", "{tanker}, run {trip}: leave {depot} {leave}, back by {back}",
        tanker=Own(run.tanker), trip=run.trip, depot=Own(run.depot), leave=TimeOfDay(run.leave_h),
        back=TimeOfDay(run.back_by_h),
    )  # fmt: skip
    if not with_day:
        return title
    return message("runs_page.run_on", "{day} · {run}", day=presented.day_named(run.day), run=title)


def run_line(run: Run) -> Message:
    """Return amount, road, chambers and breaks of a run, and whether its customers know of it."""
    line = message(
        "runs_page.load", "{amount}, {road}. Chambers: {chambers}.",
        amount=presented.weighed(run.kg), road=presented.road(run.km, 3),
        chambers=Listed(tuple(presented.chamber(c) for c in run.chambers), "; "),
    )  # fmt: skip
    said = [line]
    if run.breaks:
        breaks = Listed(tuple(presented.break_said(run, b) for b in run.breaks), ", ")
        said.append(message("runs_page.breaks", "Breaks: {breaks}.", breaks=breaks))
    return paragraph([*said, RUN_TOLD] if run.frozen else said)


def stop_name(stop: RunStop) -> Message:
    who = presented.named(stop.name, stop.customer)
    return message("runs_page.stop_name", "{position}. {customer}", position=stop.position, customer=who)


def note_next(first: DayTotals) -> Message:
    """Return the runs of a day, and what could be brought besides."""
    return message(
        "runs_page.note_next", "{runs}, room for {free} more",
        runs=counted_runs(first.runs), free=presented.mass(first.free_kg),
    )  # fmt: skip


def whole(found: RunsAnswer) -> Message:
    """Return all runs and what they bring."""
    return message(
        "runs_page.whole", "{runs}, {amount}",
        runs=counted_runs(len(found.runs)), amount=presented.mass(found.kg),
    )  # fmt: skip


def note_week(found: RunsAnswer) -> Message:
    """Return how far all runs are, and for each tonne."""
    return message(
        "runs_page.note_week", "{road}, {each}",
        road=presented.road(found.km),
        each=presented.road_for_each(found.km, found.kg),
    )  # fmt: skip


def note_risk(due: int, until: date) -> Message:
    """Return how many are due."""
    return message("runs_page.note_risk", "{n} due by {day}", n=due, day=Day(until))


def note_buy(low_kg: float, high_kg: float) -> Message:
    """Return between what the tonnes of the week lie. [kg]"""
    return message("runs_page.note_buy", "8 in 10: {span}", span=presented.level(low_kg, high_kg))


def count(number: int) -> Message:
    """Return a number alone."""
    return message("runs_page.count", "{count}", count=number)


def hose(stop: RunStop) -> Message:
    """Return how much hose a stop needs."""
    return message("runs_page.hose", "hose {length}", length=presented.hose(stop.hose_m))


def tanker_on(day: date, tanker: str) -> Message:
    """Return a tanker's day."""
    return message("runs_page.tanker_on", "{day}, {tanker}", day=presented.day_named(day), tanker=Own(tanker))

"""Run sheets as a PDF: a page for the office, one for each tanker and day, a delivery note for each stop."""

from __future__ import annotations

import json
import re
from collections.abc import Collection, Sequence
from dataclasses import replace
from datetime import UTC, date, datetime
from importlib.resources import files
from typing import Any, Literal

from fuelplan import units
from fuelplan.answers import INVENTED
from fuelplan.answers.which_runs import (
    DayTotals,
    Run,
    RunsAnswer,
    RunStop,
    clock,
    counted_runs,
    counted_stops,
    presented,
)
from fuelplan.messages import Day, Listed, Message, Number, Own, TimeOfDay, as_text, message, render
from fuelplan.messages.cautions import DEFER, TEXTS
from fuelplan.units import one_line, unbroken

TEMPLATE = "runs.typ"
WEEKDAYS = (
    message("run_sheet.monday", "Monday"),
    message("run_sheet.tuesday", "Tuesday"),
    message("run_sheet.wednesday", "Wednesday"),
    message("run_sheet.thursday", "Thursday"),
    message("run_sheet.friday", "Friday"),
    message("run_sheet.saturday", "Saturday"),
    message("run_sheet.sunday", "Sunday"),
)
DAYS_HEAD = (
    message("run_sheet.head_day", "day"),
    message("run_sheet.head_runs", "runs"),
    message("run_sheet.head_stops", "stops"),
    message("run_sheet.head_delivered", "delivered"),
    message("run_sheet.head_room_left", "room left"),
    message("run_sheet.head_road", "road"),
    message("run_sheet.head_hours", "hours"),
)
TOLD = message("run_sheet.told", "told to the customers")
NOT_TOLD = message("run_sheet.not_told", "not yet told to the customers")
EMPTY = message("run_sheet.empty", "empty")
WIDTHS = {presented.WHY: 2.0, presented.CUSTOMER: 1.3}
"""Columns of the lists that take more room than their words, in shares of the page."""
WORDS = {
    "run_sheets": message("run_sheet.run_sheets", "Run sheets"),
    "delivery_notes": message("run_sheet.delivery_notes", "delivery notes"),
    "planned_on": message("run_sheet.planned_on", "planned on"),
    "rung": message("run_sheet.rung", "rung"),
    "driver": message("run_sheet.driver", "driver"),
    "odometer_out": message("run_sheet.odometer_out", "odometer out"),
    "odometer_back": message("run_sheet.odometer_back", "odometer back"),
    "look": message("run_sheet.please_look", "Please look:"),
    "breaks": message("run_sheet.breaks_are", "Breaks:"),
    "at": message("run_sheet.head_at", "at"),
    "where": message("run_sheet.head_where", "where"),
    "telephone": message("run_sheet.head_telephone", "telephone"),
    "grade": message("run_sheet.head_class", "class"),
    "planned": message("run_sheet.head_planned", "planned"),
    "hose": message("run_sheet.head_hose", "hose"),
    "weigher": message("run_sheet.head_weigher", "by the weigher"),
    "boiler_off": message("run_sheet.head_boiler_off", "boiler off since"),
    "ring_first": message("run_sheet.ring_first", "ring first"),
    "ring_before": message("run_sheet.ring_before", "Ring before coming"),
    "there_at": message("run_sheet.head_there_at", "there at"),
    "who": message("run_sheet.head_who", "who"),
    "at_every_store": message("run_sheet.at_every_store", "At every store"),
    "delivery_note": message("run_sheet.delivery_note", "Delivery note"),
    "customer": message("run_sheet.customer", "customer"),
    "day": message("run_sheet.day", "day"),
    "number_place": message("run_sheet.number_place", "number, place"),
    "tanker": message("run_sheet.tanker", "tanker"),
    "order": message("run_sheet.order", "order"),
    "top_up": message("run_sheet.top_up", "top-up"),
    "expected_at": message("run_sheet.expected_at", "expected at"),
    "class_of_pellets": message("run_sheet.class_of_pellets", "class of pellets"),
    "asks_for": message("run_sheet.asks", "asks for"),
    "delivered": message("run_sheet.delivered_by_weigher", "delivered, by the weigher"),
    "seal": message("run_sheet.seal", "seal or weigh note no."),
    "begun_ended": message("run_sheet.begun_ended", "begun, ended"),
    "remarks": message("run_sheet.remarks", "remarks"),
    "boiler_was_off": message("run_sheet.boiler_was_off", "customer: boiler was off before filling"),
    "received": message("run_sheet.received", "customer: received"),
}
"""The words that stand on every sheet, by the name that the template has for them."""
DRIVER_CAUTIONS = (
    "boiler-off-before-filling",
    "vented-caps",
    "co-store",
    "store-never-enter",
    "store-entry",
    "dust",
)
NOTE_CAUTIONS = ("boiler-off-before-filling", "co-store", "dust")
MOST_CHARACTERS, MOST_OF_A_MARK = 160, 32
"""Of a text that people write, and of a number or short name: in print, more would push the rest away."""
LONGEST_WORD = 16


def run_sheets_pdf(
    answer: RunsAnswer,
    *,
    days: Collection[date] | None = None,
    tanker: str | None = None,
    notes: bool = True,
) -> bytes:
    """Return the run sheets, dated on the day of the answer.

    Parameters
    ----------
    days
        Only these days; None for all.
    tanker
        Only this tanker; None for all, with a page for the office before them.
    notes
        Whether a delivery note for each stop follows, two on a page.
    """
    made = _compiled(answer, days, tanker, notes, "pdf")
    assert isinstance(made, bytes)
    return made


def run_sheets_pages(
    answer: RunsAnswer,
    *,
    days: Collection[date] | None = None,
    tanker: str | None = None,
    notes: bool = True,
) -> list[bytes]:
    """Return each page of the run sheets as a PNG picture; parameters as with :func:`run_sheets_pdf`."""
    made = _compiled(answer, days, tanker, notes, "png")
    return [made] if isinstance(made, bytes) else list(made)


def _compiled(
    answer: RunsAnswer,
    days: Collection[date] | None,
    tanker: str | None,
    notes: bool,
    kind: Literal["pdf", "png"],
) -> bytes | list[bytes]:
    import typst

    day = answer.as_of
    made: bytes | list[bytes] = typst.compile(
        files("fuelplan.papers").joinpath(TEMPLATE).read_bytes(),
        format=kind,
        sys_inputs={"data": json.dumps(sheets_of(answer, days, tanker, notes), ensure_ascii=False)},
        timestamp=datetime(day.year, day.month, day.day, 12, tzinfo=UTC),
    )  # system fonts stay on: customers' names are written in every script
    return made


@unbroken()
def sheets_of(
    answer: RunsAnswer,
    days: Collection[date] | None = None,
    tanker: str | None = None,
    notes: bool = True,
) -> dict[str, Any]:
    """Return what stands on the sheets, as plain data for the template."""
    runs = [r for r in answer.runs if days is None or r.day in days]
    runs = [r for r in runs if tanker is None or r.tanker == tanker]
    keys = list(dict.fromkeys((r.day, r.tanker) for r in runs))
    return {
        "round": _short(answer.round),
        "day": render(Day(answer.as_of, year=True)),
        "office": _office(answer, days) if tanker is None else None,
        "sheets": [_sheet(answer, [r for r in runs if (r.day, r.tanker) == key]) for key in keys],
        "notes": [_note(run, stop) for run in runs for stop in run.stops] if notes else [],
        "cautions": [render(TEXTS[name]) for name in DRIVER_CAUTIONS],
        "note_cautions": [render(TEXTS[name]) for name in NOTE_CAUTIONS],
        "defer": render(DEFER),
        "words": {name: render(said) for name, said in WORDS.items()},
    }


def _long_date(day: date) -> str:
    """Return a day with its weekday."""
    long = message(
        "run_sheet.long_date", "{weekday}, {day}", weekday=WEEKDAYS[day.weekday()], day=Day(day, year=True)
    )
    return render(long)


def _office(answer: RunsAnswer, days: Collection[date] | None) -> dict[str, Any]:
    """Return the page of the office: totals, and every list beside the plan."""
    return {
        "title": render(
            message("run_sheet.runs_from", "Runs from {day} on", day=Day(answer.as_of, year=True))
        ),
        "sentences": [render(said) for said in answer.sentences],
        "days": {
            "title": render(message("run_sheet.days", "Days")),
            "head": [render(word) for word in DAYS_HEAD],
            "rows": [_day_row(d) for d in answer.per_day if days is None or d.day in days],
        },
        "lists": [_list(listing) for listing in presented.listings(answer)],
        "remarks": {
            "title": render(message("run_sheet.to_know", "To know")),
            "lines": [as_text(said) for said in answer.notes],
        },
    }


def _list(listing: presented.Listing) -> dict[str, Any]:
    """Return a list beside the plan: a table, with a box to tick for each telephone number."""
    return {
        "title": render(listing.title),
        "head": [render(word) for word in listing.head],
        "widths": [WIDTHS.get(word, 0.0) for word in listing.head],
        "tick": presented.TELEPHONE in listing.head,
        "rows": [[_short(render(cell)) for cell in row] for row in listing.rows],
    }


def _day_row(day: DayTotals) -> list[str]:
    free = render(presented.weighed(day.free_kg))
    if not day.runs:
        return [_long_date(day.day), "–", "–", "–", free, "–", "–"]
    hours = message("run_sheet.hours", "{hours} h", hours=Number(day.hours, 1))
    if presented.overtime(day.overtime_h):
        over = Number(day.overtime_h, 1)
        hours = message(
            "run_sheet.hours_and_over", "{hours}, {over} h of it overtime", hours=hours, over=over
        )
    return [
        _long_date(day.day),
        render(day.runs),
        render(day.stops),
        render(presented.weighed(day.kg)),
        free,
        render(presented.road(day.km, 3)),
        render(hours),
    ]


def _sheet(answer: RunsAnswer, runs: Sequence[Run]) -> dict[str, Any]:
    """Return the page of one tanker and day."""
    first = runs[0]
    orders = {s.order for run in runs for s in run.stops if s.order}
    mine = replace(answer, promises_at_risk=tuple(p for p in answer.promises_at_risk if p.order in orders))
    ring = [stop for run in runs for stop in run.stops if stop.call_ahead]
    return {
        "tanker": _mark(first.tanker),
        "day": _long_date(first.day),
        "summary": render(_summary(runs)),
        "invented": render(INVENTED) if answer.invented else "",
        "runs": [_run(run) for run in runs],
        "ring": [
            [clock(s.arrive_h), _short(render(presented.named(s.name, s.customer))), _phone(s.phone)]
            for s in ring
        ],
        "promises": _list(presented.promises(mine)),
        "faults": [_short(render(said)) for run in runs for said in run.faults],
    }


def _summary(runs: Sequence[Run]) -> Message:
    return message(
        "run_sheet.summary", "{runs}, {stops}, {kg}, {road}; leave at {leave}, back by {back}",
        runs=counted_runs(len(runs)),
        stops=counted_stops(sum(len(run.stops) for run in runs)),
        kg=presented.weighed(sum(run.kg for run in runs)),
        road=presented.road(sum(run.km for run in runs), 3),
        leave=TimeOfDay(min(run.leave_h for run in runs)),
        back=TimeOfDay(max(run.back_by_h for run in runs)),
    )  # fmt: skip


def _run(run: Run) -> dict[str, Any]:
    times = message(
        "run_sheet.run", "Run {trip}: leave {depot} at {leave}, back by {back}",
        trip=run.trip, depot=Own(_mark(run.depot)), leave=TimeOfDay(run.leave_h),
        back=TimeOfDay(run.back_by_h),
    )  # fmt: skip
    breaks = Listed(tuple(presented.break_said(run, pause) for pause in run.breaks), ", ")
    return {
        "title": render(times),
        "breaks": render(message("run_sheet.breaks", "{breaks}.", breaks=breaks)) if run.breaks else "",
        "line": render(
            message(
                "run_sheet.load",
                "{kg} in all, {road}, {told}. The rest of a chamber stays aboard; the weigher's figure "
                "counts.",
                kg=presented.weighed(run.kg), road=presented.road(run.km, 3),
                told=TOLD if run.frozen else NOT_TOLD,
            )
        ),
        "chambers": [
            {
                "title": render(
                    message(
                        "run_sheet.chamber", "chamber {n}, holds {holds}",
                        n=number, holds=presented.weighed(chamber.holds_kg),
                    )
                ),
                "grade": _mark(chamber.grade),
                "kg": render(presented.weighed(chamber.kg) if chamber.kg > 0 else EMPTY),
                "share": min(1.0, chamber.kg / chamber.holds_kg) if chamber.holds_kg > 0 else 0.0,
            }
            for number, chamber in enumerate(run.chambers, start=1)
        ],
        "stops": [_stop(stop, run.frozen) for stop in run.stops],
    }  # fmt: skip


def _stop(stop: RunStop, frozen: bool) -> dict[str, Any]:
    lines = [
        presented.told(stop) if frozen else None,
        presented.order_said(stop),
        message("run_sheet.asks_for", "asks for: {note}", note=Own(stop.note)) if stop.note.strip() else None,
    ]
    store = message(
        "run_sheet.store", "{level} in a store of {store}",
        level=presented.level(stop.level_p10_kg, stop.level_p90_kg), store=presented.mass(stop.store_kg),
    )  # fmt: skip
    return {
        "position": render(stop.position),
        "arrive": clock(stop.arrive_h),
        "leave": clock(stop.leave_h),
        "name": _short(stop.name) or _mark(stop.customer),
        "where": f"{_mark(stop.customer)} · {_place(stop)}",
        "phone": _mark(stop.phone),
        "ring": stop.call_ahead,
        "grade": _mark(stop.grade),
        "kg": render(presented.weighed(stop.kg)),
        "hose": render(presented.hose(stop.hose_m)),
        "store": render(store),
        "lines": [_short(render(line)) for line in lines if line is not None],
    }


def _note(run: Run, stop: RunStop) -> dict[str, Any]:
    """Return the delivery note of one stop."""
    number = f"{run.day:%Y%m%d}-{_mark(run.tanker)}-{run.trip}-{stop.position}"
    return {
        "number": render(message("run_sheet.note_number", "no. {number}", number=Own(number))),
        "customer": _short(stop.name) or _mark(stop.customer),
        "id": _mark(stop.customer),
        "where": _place(stop),
        "order": _mark(stop.order or ""),
        "day": _long_date(run.day),
        "tanker": render(
            message(
                "run_sheet.tanker_and_stop", "{tanker}, run {trip}, stop {position}",
                tanker=Own(_mark(run.tanker)), trip=run.trip, position=stop.position,
            )
        ),
        "arrive": render(TimeOfDay(stop.arrive_h)),
        "grade": _mark(stop.grade),
        "kg": render(presented.weighed(stop.kg)),
        "unit": "lb" if units.reader().system == "us" else "kg",
        "hose": render(presented.hose(stop.hose_m)),
        "asks": _short(stop.note),
    }  # fmt: skip


def _place(stop: RunStop) -> str:
    north, east = ("N" if stop.latitude >= 0 else "S"), ("E" if stop.longitude >= 0 else "W")
    return f"{abs(stop.latitude):.5f} {north}, {abs(stop.longitude):.5f} {east}"


def _phone(number: str) -> str:
    return _mark(render(presented.phone(number)))


def _mark(text: str) -> str:
    """Return a number or short name on one line."""
    return _short(text, MOST_OF_A_MARK)


def _short(text: str, most: int = MOST_CHARACTERS) -> str:
    """Return a person's text on one line, cut where it would fill the page."""
    line = one_line(" ".join(text.split()))
    cut = line if len(line) <= most else f"{line[: most - 1]}…"
    return re.sub(
        f"(\\S{{{LONGEST_WORD}}})(?=\\S)", "\\1\u200b", cut
    )  # where a line may break without a hyphen

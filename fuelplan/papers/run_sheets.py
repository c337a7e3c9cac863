"""Run sheets as a PDF: a page for the office, one for each tanker and day, a delivery note for each stop."""

from __future__ import annotations

import json
import re
from collections.abc import Collection, Sequence
from datetime import UTC, date, datetime
from importlib.resources import files
from typing import Any, Literal

from fuelplan import units
from fuelplan.answers.which_runs import (
    DayTotals,
    PromiseAtRisk,
    Run,
    RunsAnswer,
    RunStop,
    ToRing,
    WishNotKept,
    clock,
)
from fuelplan.messages import render
from fuelplan.messages.cautions import DEFER, TEXTS
from fuelplan.papers.run_files import break_said, dated, whole_kg
from fuelplan.units import one_line

TEMPLATE = "runs.typ"
WEEKDAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")
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
        "day": units.show_date(answer.as_of, year=True),
        "office": _office(answer, days) if tanker is None else None,
        "sheets": [_sheet(answer, [r for r in runs if (r.day, r.tanker) == key]) for key in keys],
        "notes": [_note(run, stop) for run in runs for stop in run.stops] if notes else [],
        "cautions": [render(TEXTS[name]) for name in DRIVER_CAUTIONS],
        "note_cautions": [render(TEXTS[name]) for name in NOTE_CAUTIONS],
        "defer": render(DEFER),
    }


def long_date(day: date) -> str:
    """Return a day with its weekday."""
    return f"{WEEKDAYS[day.weekday()]}, {units.show_date(day, year=True)}"


def _office(answer: RunsAnswer, days: Collection[date] | None) -> dict[str, Any]:
    """Return the page of the office: totals, whom to ring, promises at risk, who is left out."""
    return {
        "sentences": [dated(text) for text in answer.sentences],
        "totals": [_day_row(d) for d in answer.per_day if days is None or d.day in days],
        "to_ring": [_ring(r) for r in answer.to_ring],
        "calls": [_ring(r) for r in answer.calls],
        "promises": [_promise(p) for p in answer.promises_at_risk],
        "not_served": [
            [_who(n.name, n.customer), _mark(n.order or "–"), _short(dated(n.reason))]
            for n in answer.not_served
        ],
        "changes": [_short(dated(text)) for text in answer.changes],
        "wishes": [_short(dated(_wish(w))) for w in answer.wishes_not_kept],
        "to_confirm": [_short(dated(stop.text)) for stop in answer.to_confirm],
        "readings_doubted": [
            _short(dated(f"{one.text} {one.phone}".strip())) for one in answer.readings_doubted
        ],
        "remarks": [dated(text) for text in answer.notes],
    }


def _wish(wish: WishNotKept) -> str:
    day = f" {wish.date.isoformat()}" if wish.date else ""
    return f"{wish.wish} {_who(wish.name, wish.customer)}{day}: {wish.reason}"


def _ring(one: ToRing) -> list[str]:
    """Return a customer to ring, or one who asks for a call, as the office's page has it."""
    return [
        _who(one.name, one.customer),
        _mark(one.phone) or "no number known",
        _short(dated(one.why)),
        units.show_date(one.deliver_by) if one.deliver_by else "–",
        whole_kg(one.fits_kg),
    ]


def _day_row(day: DayTotals) -> list[str]:
    if not day.runs:
        return [long_date(day.day), "–", "–", "–", whole_kg(day.free_kg), "–", "–"]
    over = f", {day.overtime_h:.1f} h of it overtime" if day.overtime_h > 0.05 else ""
    return [
        long_date(day.day),
        str(day.runs),
        str(day.stops),
        whole_kg(day.kg),
        whole_kg(day.free_kg),
        units.show(day.km, "distance", digits=3),
        f"{day.hours:.1f} h{over}",
    ]


def _promise(promise: PromiseAtRisk) -> list[str]:
    planned = "on no run" if promise.planned_on is None else units.show_date(promise.planned_on)
    return [
        f"{_mark(promise.order)}, {_who(promise.name, promise.customer)}",
        units.show_date(promise.promised_to),
        planned,
        _short(dated(promise.why)),
    ]


def _sheet(answer: RunsAnswer, runs: Sequence[Run]) -> dict[str, Any]:
    """Return the page of one tanker and day."""
    first = runs[0]
    orders = {s.order for run in runs for s in run.stops if s.order}
    ring = [(run, stop) for run in runs for stop in run.stops if stop.call_ahead]
    return {
        "tanker": _mark(first.tanker),
        "day": long_date(first.day),
        "summary": _summary(runs),
        "runs": [_run(run) for run in runs],
        "ring": [
            [
                clock(stop.arrive_h),
                _who(stop.name, stop.customer),
                _mark(stop.phone) or "no number known",
            ]
            for run, stop in ring
        ],
        "promises": [_promise(p) for p in answer.promises_at_risk if p.order in orders],
        "faults": [_short(text) for run in runs for text in run.faults],
    }


def _summary(runs: Sequence[Run]) -> str:
    stops = sum(len(run.stops) for run in runs)
    trips = f"{len(runs)} run{'s' if len(runs) > 1 else ''}"
    km = units.show(sum(run.km for run in runs), "distance", digits=3)
    return (
        f"{trips}, {stops} stop{'s' if stops > 1 else ''}, {whole_kg(sum(run.kg for run in runs))}, {km}; "
        f"leave at {clock(min(run.leave_h for run in runs))}, back by "
        f"{clock(max(run.back_by_h for run in runs))}"
    )


def _run(run: Run) -> dict[str, Any]:
    return {
        "title": f"Run {run.trip}",
        "times": f"leave {_mark(run.depot)} at {clock(run.leave_h)}, back by {clock(run.back_by_h)}",
        "km": units.show(run.km, "distance", digits=3),
        "kg": whole_kg(run.kg),
        "breaks": ", ".join(break_said(run, pause) for pause in run.breaks),
        "told": "told to the customers" if run.frozen else "not yet told to the customers",
        "chambers": [
            {
                "grade": _mark(chamber.grade),
                "kg": whole_kg(chamber.kg) if chamber.kg > 0 else "empty",
                "holds": whole_kg(chamber.holds_kg),
                "share": min(1.0, chamber.kg / chamber.holds_kg) if chamber.holds_kg > 0 else 0.0,
            }
            for chamber in run.chambers
        ],
        "stops": [_stop(stop, run.frozen) for stop in run.stops],
    }


def _stop(stop: RunStop, told: bool) -> dict[str, Any]:
    lines = []
    if told and stop.told_from_h is not None and stop.told_to_h is not None:
        lines.append(f"told {clock(stop.told_from_h)} to {clock(stop.told_to_h)}")
    if stop.order:
        until = f", promised by {units.show_date(stop.promised_to)}" if stop.promised_to else ""
        lines.append(f"order {_mark(stop.order)}{until}")
    if stop.note.strip():
        lines.append(f"asks for: {_short(stop.note)}")
    return {
        "position": str(stop.position),
        "arrive": clock(stop.arrive_h),
        "leave": clock(stop.leave_h),
        "name": _short(stop.name) or _mark(stop.customer),
        "where": f"{_mark(stop.customer)} · {_place(stop)}",
        "phone": _mark(stop.phone),
        "ring": stop.call_ahead,
        "grade": _mark(stop.grade),
        "kg": whole_kg(stop.kg),
        "hose": units.show(stop.hose_m, "length"),
        "store": f"{_level(stop)} in a store of {units.show(stop.store_kg, 'mass')}",
        "lines": lines,
    }


def _note(run: Run, stop: RunStop) -> dict[str, Any]:
    """Return the delivery note of one stop."""
    return {
        "number": f"{run.day:%Y%m%d}-{_mark(run.tanker)}-{run.trip}-{stop.position}",
        "customer": _short(stop.name) or _mark(stop.customer),
        "id": _mark(stop.customer),
        "where": _place(stop),
        "order": _mark(stop.order or ""),
        "day": long_date(run.day),
        "tanker": f"{_mark(run.tanker)}, run {run.trip}, stop {stop.position}",
        "arrive": clock(stop.arrive_h),
        "grade": _mark(stop.grade),
        "kg": whole_kg(stop.kg),
        "unit": "lb" if units.reader().system == "us" else "kg",
        "hose": units.show(stop.hose_m, "length"),
        "asks": _short(stop.note),
    }


def _level(stop: RunStop) -> str:
    return units.show_range(max(stop.level_p10_kg, 0.0), max(stop.level_p90_kg, 0.0), "mass")


def _place(stop: RunStop) -> str:
    north, east = ("N" if stop.latitude >= 0 else "S"), ("E" if stop.longitude >= 0 else "W")
    return f"{abs(stop.latitude):.5f} {north}, {abs(stop.longitude):.5f} {east}"


def _who(name: str, customer: str) -> str:
    return f"{_short(name)} ({_mark(customer)})" if name.strip() else _mark(customer)


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

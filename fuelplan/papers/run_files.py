"""A run plan as files for other programs: stops as CSV, routes as GeoJSON, runs as a calendar.

The same plan gives the same bytes: nothing of the clock goes into a file.
"""

from __future__ import annotations

import csv
import hashlib
import io
import json
from collections.abc import Iterator, Sequence
from datetime import UTC, date, datetime, time, timedelta
from itertools import pairwise
from typing import Any

from fuelplan.answers import invented_title, spreadsheet_text
from fuelplan.answers.which_runs import Run, RunsAnswer, RunStop, clock, counted_stops, presented
from fuelplan.messages import Message, Own, TimeOfDay, message, render
from fuelplan.units import escaped, one_line, unbroken

CSV_HEAD = (
    "date", "tanker", "trip", "position", "customer", "name", "class", "kg", "arrive", "start", "leave",
    "order", "promised_to", "call_ahead", "phone", "hose_m", "note", "why", "level_p10_kg", "level_p90_kg",
    "store_kg", "latitude", "longitude", "depot", "run_leaves", "run_back_by", "published",
)  # fmt: skip
"""Columns of the stops; date, tanker, trip, position, customer, class, kg, arrive as in `published.csv`."""

HALF_TURN_DEG = 180.0
DECIMALS = 6  # of a degree: a tenth of a metre


@unbroken(False)
def runs_csv(answer: RunsAnswer) -> str:
    """Return one row for each stop, in order of day, tanker, trip and place.

    A cell that a spreadsheet would take for a formula begins with an apostrophe.
    """
    stream = io.StringIO()
    writer = csv.writer(stream, lineterminator="\n")
    writer.writerow(CSV_HEAD)
    for run in answer.runs:
        for stop in run.stops:
            writer.writerow(_row(run, stop))
    return stream.getvalue()


def _row(run: Run, stop: RunStop) -> list[str]:
    own = {
        "tanker": run.tanker,
        "customer": stop.customer,
        "name": stop.name,
        "class": stop.grade,
        "order": stop.order or "",
        "phone": stop.phone,
        "note": stop.note,
        "why": render(stop.why),
        "depot": run.depot,
    }
    cells = {name: spreadsheet_text(one_line(" ".join(text.split()))) for name, text in own.items()}
    cells |= {
        "date": run.day.isoformat(),
        "trip": str(run.trip),
        "position": str(stop.position),
        "kg": f"{stop.kg:.0f}",
        "arrive": clock(stop.arrive_h),
        "start": clock(stop.start_h),
        "leave": clock(stop.leave_h),
        "promised_to": stop.promised_to.isoformat() if stop.promised_to else "",
        "call_ahead": _yes(stop.call_ahead),
        "hose_m": f"{stop.hose_m:g}",
        "level_p10_kg": f"{stop.level_p10_kg:.0f}",
        "level_p90_kg": f"{stop.level_p90_kg:.0f}",
        "store_kg": f"{stop.store_kg:.0f}",
        "latitude": f"{stop.latitude:.{DECIMALS}f}",
        "longitude": f"{stop.longitude:.{DECIMALS}f}",
        "run_leaves": clock(run.leave_h),
        "run_back_by": clock(run.back_by_h),
        "published": _yes(run.frozen),
    }
    return [cells[name] for name in CSV_HEAD]


def _yes(value: bool) -> str:
    return "yes" if value else "no"


@unbroken(False)
def runs_geojson(answer: RunsAnswer) -> str:
    """Return the routes as a GeoJSON FeatureCollection (RFC 7946): longitude before latitude, WGS 84.

    A line for each run in driving order from its depot and back – straight from stop to stop, not along
    the roads –, a point for each stop and each depot. A line over the 180th meridian is cut there
    (section 3.1.9).
    """
    features = [_line(run) for run in answer.runs]
    features += [_stop_point(run, stop) for run in answer.runs for stop in run.stops]
    depots = {run.depot: (run.depot_longitude, run.depot_latitude) for run in answer.runs}
    for name, where in depots.items():
        features.append(_feature("Point", _place(*where), {"kind": "depot", "depot": name}))
    document = {"type": "FeatureCollection", "features": features}
    return escaped(json.dumps(document, ensure_ascii=False, indent=1)) + "\n"


def _line(run: Run) -> dict[str, Any]:
    depot = (run.depot_longitude, run.depot_latitude)
    places = [depot, *((s.longitude, s.latitude) for s in run.stops), depot]
    parts = [[_place(*p) for p in part] for part in cut_at_the_meridian(places)]
    told = {
        "kind": "run",
        **_of_run(run),
        "depot": run.depot,
        "leave": clock(run.leave_h),
        "back_by": clock(run.back_by_h),
        "kg": round(run.kg),
        "km": round(run.km, 1),
        "published": run.frozen,
    }
    if len(parts) == 1:
        return _feature("LineString", parts[0], told)
    return _feature("MultiLineString", parts, told)


def _stop_point(run: Run, stop: RunStop) -> dict[str, Any]:
    told = {
        "kind": "stop",
        **_of_run(run),
        "position": stop.position,
        "customer": stop.customer,
        "name": stop.name,
        "class": stop.grade,
        "kg": round(stop.kg),
        "arrive": clock(stop.arrive_h),
        "order": stop.order,
        "why": render(stop.why),
    }
    return _feature("Point", _place(stop.longitude, stop.latitude), told)


def _of_run(run: Run) -> dict[str, Any]:
    return {"date": run.day.isoformat(), "tanker": run.tanker, "trip": run.trip}


def _feature(kind: str, coordinates: Any, properties: dict[str, Any]) -> dict[str, Any]:
    return {
        "type": "Feature",
        "geometry": {"type": kind, "coordinates": coordinates},
        "properties": properties,
    }


def _place(longitude: float, latitude: float) -> list[float]:
    return [round(longitude, DECIMALS), round(latitude, DECIMALS)]


def cut_at_the_meridian(places: Sequence[tuple[float, float]]) -> list[list[tuple[float, float]]]:
    """Return a line of (longitude, latitude) in parts, none of which crosses the 180th meridian. [°]"""
    parts = [[places[0]]]
    for (x0, y0), (x1, y1) in pairwise(places):
        if abs(x1 - x0) > HALF_TURN_DEG:
            edge = HALF_TURN_DEG if x0 > 0 else -HALF_TURN_DEG
            unrolled = x1 + 2 * edge
            share = (edge - x0) / (unrolled - x0) if unrolled != x0 else 0.0
            crossing = y0 + share * (y1 - y0)
            parts[-1].append((edge, crossing))
            parts.append([(-edge, crossing)])
        parts[-1].append((x1, y1))
    return parts


@unbroken(False)
def runs_calendar(answer: RunsAnswer, tanker: str | None = None, time_zone: str | None = None) -> bytes:
    """Return the runs as an iCalendar file (RFC 5545), of one tanker or of all.

    Parameters
    ----------
    tanker
        Only its runs; None for all.
    time_zone
        Name of the zone in which the round lies, e.g. "Europe/Vienna"; None writes times of day without a
        zone ("floating", section 3.3.5), which every reader takes as his own.

    The identifier of an event rests on round, day, tanker and trip, so that loading a newer plan moves the
    old event instead of adding a second one.
    """
    from zoneinfo import ZoneInfo

    from icalendar import Calendar

    zone = ZoneInfo(time_zone) if time_zone else None
    calendar = Calendar()
    calendar.add("prodid", "-//fuelplan//runs//EN")
    calendar.add("version", "2.0")
    calendar.add("method", "PUBLISH")
    for run in answer.runs:
        if tanker is None or run.tanker == tanker:
            calendar.add_component(_event(answer, run, zone))
    if zone is not None:
        calendar.add_missing_timezones()
    return bytes(calendar.to_ical())


def _event(answer: RunsAnswer, run: Run, zone: Any) -> Any:
    from icalendar import Event

    key = f"{answer.round}\n{run.day.isoformat()}\n{run.tanker}\n{run.trip}"
    event = Event()
    event.add("uid", f"{hashlib.sha256(key.encode()).hexdigest()[:32]}@fuelplan")
    event.add("dtstamp", datetime.combine(answer.as_of, time(0), tzinfo=UTC))
    event.add("sequence", (answer.as_of - date(2000, 1, 1)).days)
    event.add("dtstart", _moment(run.day, run.leave_h, zone))
    event.add("dtend", _moment(run.day, run.back_by_h, zone))
    summary = message(
        "calendar.run", "{tanker}, run {trip}: {stops}, {kg}",
        tanker=Own(run.tanker), trip=run.trip, stops=counted_stops(len(run.stops)),
        kg=presented.weighed(run.kg),
    )  # fmt: skip
    said = invented_title(summary) if answer.invented else summary
    event.add("summary", one_line(render(said)))
    event.add("location", one_line(run.depot))
    event.add("description", "\n".join(one_line(render(line)) for line in _event_lines(run)))
    event.add("status", "CONFIRMED" if run.frozen else "TENTATIVE")
    return event


def _event_lines(run: Run) -> Iterator[Message]:
    yield message(
        "calendar.leave", "Leave {depot} at {leave}, back by {back}, {road}.",
        depot=Own(run.depot), leave=TimeOfDay(run.leave_h), back=TimeOfDay(run.back_by_h),
        road=presented.road(run.km),
    )  # fmt: skip
    for stop in run.stops:
        said = message(
            "calendar.stop", "{position}. {at} {name}: {drop}",
            position=stop.position, at=TimeOfDay(stop.arrive_h), name=Own(stop.name or stop.customer),
            drop=presented.drop(stop.kg, stop.grade),
        )  # fmt: skip
        if stop.call_ahead:
            said = message("calendar.and", "{said}; {ring}", said=said, ring=presented.ring_first(stop))
        if stop.note:
            said = message("calendar.note", "{said}; {note}", said=said, note=Own(stop.note))
        yield said


def _moment(day: date, hours: float, zone: Any) -> datetime:
    """Return a time of the clock on a day, which may lie past midnight."""
    return datetime.combine(day, time(0), tzinfo=zone) + timedelta(minutes=round(60 * hours))

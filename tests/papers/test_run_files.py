"""A run plan as files: CSV that is no formula, GeoJSON the right way round, a calendar in its time zone."""

from __future__ import annotations

import csv
import io
import json
from dataclasses import replace
from datetime import date, datetime, timedelta
from itertools import chain, pairwise
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st
from icalendar import Calendar

from fuelplan.answers.which_runs.answer import RunsAnswer
from fuelplan.messages import as_message
from fuelplan.papers.run_files import CSV_HEAD, cut_at_the_meridian, runs_calendar, runs_csv, runs_geojson
from tests.runs_answers import FORMULA, LONG_NAME, TAG, YARD, empty_runs, example_runs, run, stop

VIENNA = "Europe/Vienna"


def rows_of(answer: RunsAnswer) -> list[dict[str, str]]:
    """The stops as another program reads them."""
    return list(csv.DictReader(io.StringIO(runs_csv(answer))))


def features_of(answer: RunsAnswer, kind: str) -> list[dict]:
    """The features of a kind."""
    found = json.loads(runs_geojson(answer))["features"]
    return [f for f in found if f["properties"]["kind"] == kind]


def events_of(data: bytes) -> list:
    """The events of a calendar file."""
    return list(Calendar.from_ical(data).walk("VEVENT"))


def renamed(name: str) -> RunsAnswer:
    """A plan of one stop with the given text wherever a person wrote something."""
    one = stop(1, name, name, phone=name, note=name, why=as_message(name), order=name, grade=name)
    answer = example_runs()
    return replace(answer, runs=(run(answer.days[0], name, 1, (one,), depot=name),))


def test_csv_holds_every_stop_in_order() -> None:
    """One row for each stop, in order of day, tanker, trip and place, with what the driver needs."""
    answer = example_runs()
    rows = rows_of(answer)
    assert list(rows[0]) == list(CSV_HEAD)
    assert [(r["date"], r["tanker"], r["trip"], r["customer"]) for r in rows] == [
        (run.day.isoformat(), run.tanker, str(run.trip), s.customer) for run in answer.runs for s in run.stops
    ]
    second = rows[1]
    assert (second["class"], second["kg"], second["arrive"], second["hose_m"]) == (
        "A2",
        "4200",
        "08:00",
        "38",
    )
    assert (second["order"], second["promised_to"], second["published"]) == ("B003", "2026-01-16", "yes")
    assert (second["name"], rows[5]["name"]) == (TAG, LONG_NAME)
    assert sum(float(r["kg"]) for r in rows) == answer.kg


def test_csv_of_an_empty_plan_has_its_head() -> None:
    """Where nobody is served there is a head and no row."""
    assert runs_csv(empty_runs()) == ",".join(CSV_HEAD) + "\n"


@pytest.mark.parametrize("text", [FORMULA, "+1+1", "-2", "@SUM(A1)", "'=1", "=cmd|' /C calc'!A0"])
def test_no_cell_of_a_person_is_a_formula(text: str) -> None:
    """No spreadsheet takes a name, a note or a number to ring for a formula."""
    for row in rows_of(renamed(text)):
        for name in ("customer", "name", "tanker", "phone", "note", "why", "order", "class", "depot"):
            assert row[name].startswith("'"), name
            assert row[name].endswith(text)


def test_lines_go_from_the_depot_through_the_stops_and_back() -> None:
    """RFC 7946, section 3.1.1: a position is longitude, then latitude; the line keeps the driving order."""
    answer = example_runs()
    lines = features_of(answer, "run")
    assert len(lines) == len(answer.runs)
    line = lines[0]["geometry"]
    assert line["type"] == "LineString"
    assert line["coordinates"][0] == line["coordinates"][-1] == [YARD[2], YARD[1]]
    assert line["coordinates"][1:-1] == [[s.longitude, s.latitude] for s in answer.runs[0].stops]
    assert lines[0]["properties"]["tanker"] == "Heron"
    assert lines[0]["properties"]["km"] == 41.3


def test_every_stop_and_depot_is_a_point() -> None:
    """Each stop is a point with its kilograms; each depot is one once."""
    answer = example_runs()
    points = features_of(answer, "stop")
    assert [p["properties"]["kg"] for p in points] == [s.kg for run in answer.runs for s in run.stops]
    assert points[1]["geometry"] == {"type": "Point", "coordinates": [-29.81, 47.022]}
    assert points[1]["properties"]["name"] == TAG
    assert [d["properties"]["depot"] for d in features_of(answer, "depot")] == ["yard", "small"]


def test_a_line_over_the_180th_meridian_is_cut() -> None:
    """RFC 7946, section 3.1.9: a line over the antimeridian is given in parts on either side of it."""
    assert cut_at_the_meridian([(179.0, 0.0), (-179.0, 10.0)]) == [
        [(179.0, 0.0), (180.0, 5.0)],
        [(-180.0, 5.0), (-179.0, 10.0)],
    ]
    there_and_back = cut_at_the_meridian([(-179.5, 1.0), (179.5, 3.0), (-179.5, 1.0)])
    assert [len(part) for part in there_and_back] == [2, 3, 2]
    assert there_and_back[0][-1] == (-180.0, 2.0)


@given(st.lists(st.tuples(st.floats(-180, 180), st.floats(-80, 80)), min_size=2, max_size=9))
def test_no_part_of_a_line_jumps(places: list[tuple[float, float]]) -> None:
    """Wherever the stops lie, no part spans more than half the globe, and none of them is lost."""
    parts = cut_at_the_meridian(places)
    for part in parts:
        assert all(abs(b[0] - a[0]) <= 180 for a, b in pairwise(part))
    assert set(places) <= set(chain.from_iterable(parts))


def test_runs_stand_in_the_calendar_at_their_times() -> None:
    """A run is an event from leaving to being back, in the time of the place, in summer as in winter."""
    answer = example_runs()
    summer = replace(answer.runs[0], day=date(2026, 7, 6))
    events = events_of(runs_calendar(replace(answer, runs=(answer.runs[0], summer)), time_zone=VIENNA))
    starts = [e["DTSTART"].dt for e in events]
    assert starts == [
        datetime(2026, 1, 16, 6, 30, tzinfo=ZoneInfo(VIENNA)),
        datetime(2026, 7, 6, 6, 30, tzinfo=ZoneInfo(VIENNA)),
    ]
    assert [s.utcoffset() for s in starts] == [timedelta(hours=1), timedelta(hours=2)]
    assert events[0]["DTEND"].dt - starts[0] == timedelta(hours=answer.runs[0].back_by_h - 6.5)
    assert "ring first: 000 0001" in events[0]["DESCRIPTION"]
    assert (events[0]["STATUS"], "10" in events[0]["SUMMARY"]) == ("CONFIRMED", False)


def test_the_calendar_brings_its_time_zone() -> None:
    """RFC 5545, section 3.6.5: a zone that is named must be defined in the file."""
    found = Calendar.from_ical(runs_calendar(example_runs(), time_zone=VIENNA))
    assert [str(z["TZID"]) for z in found.walk("VTIMEZONE")] == [VIENNA]


def test_without_a_zone_times_are_those_of_the_clock() -> None:
    """Where no zone is said, times are of the clock alone."""
    (start, *_) = [e["DTSTART"].dt for e in events_of(runs_calendar(example_runs()))]
    assert start == datetime(2026, 1, 16, 6, 30)


def test_one_tanker_has_its_own_calendar() -> None:
    """Only the runs of the tanker asked for."""
    events = events_of(runs_calendar(example_runs(), "Heron"))
    assert len(events) == 2
    assert all(e["SUMMARY"].startswith("Heron, run ") for e in events)


def test_a_newer_plan_moves_the_event() -> None:
    """The same run of a later answer keeps its identifier and counts as the newer version."""
    old = example_runs()
    later = replace(old.runs[0], leave_h=7.5, back_by_h=13.0, kg=1.0)
    new = replace(old, as_of=date(2026, 1, 16), runs=(later, *old.runs[1:]))
    before, after = events_of(runs_calendar(old)), events_of(runs_calendar(new))
    assert [e["UID"] for e in before] == [e["UID"] for e in after]
    assert len({e["UID"] for e in before}) == len(before)
    assert after[0]["SEQUENCE"] > before[0]["SEQUENCE"]


def test_a_run_past_midnight_ends_on_the_next_day() -> None:
    """Hours beyond 24 lie on the day after."""
    late = replace(example_runs().runs[0], leave_h=22.0, back_by_h=25.5)
    (event,) = events_of(runs_calendar(replace(example_runs(), runs=(late,)), time_zone=VIENNA))
    assert event["DTEND"].dt == datetime(2026, 1, 17, 1, 30, tzinfo=ZoneInfo(VIENNA))


def test_same_plan_same_bytes() -> None:
    """Nothing of the clock gets into a file."""
    assert runs_csv(example_runs()) == runs_csv(example_runs())
    assert runs_geojson(example_runs()) == runs_geojson(example_runs())
    assert runs_calendar(example_runs(), time_zone=VIENNA) == runs_calendar(example_runs(), time_zone=VIENNA)

"""Run sheets: a page for each tanker and day, all a driver needs, and no word that a store may be entered."""

from __future__ import annotations

import io
import re
from collections.abc import Iterator
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from PIL import Image

from fuelplan import units
from fuelplan.answers.which_runs.answer import RunsAnswer
from fuelplan.messages.cautions import DEFER, TEXTS
from fuelplan.papers import run_sheets_pages, run_sheets_pdf
from fuelplan.papers.run_sheets import MOST_CHARACTERS, sheets_of
from tests.runs_answers import DAYS, EMOJI, FORMULA, LONG_NAME, TAG, empty_runs, example_runs, run, stop


def texts_in(data: Any) -> Iterator[str]:
    """Every text that goes into the template."""
    if isinstance(data, str):
        yield data
    for part in data.values() if isinstance(data, dict) else data if isinstance(data, list) else ():
        yield from texts_in(part)


def many_stops(stops: int, runs: int) -> RunsAnswer:
    """A tanker's day with many stops in several runs."""
    answer = example_runs()
    made = tuple(
        run(
            DAYS[0], "Heron", t + 1, tuple(stop(i + 1, f"K{i}", f"House {i}", kg=900.0) for i in range(stops))
        )
        for t in range(runs)
    )
    return replace(answer, runs=made, promises_at_risk=())


def test_a_page_for_the_office_and_one_for_each_tanker_and_day() -> None:
    """The example has four tanker days: five pages with the office's, and half as many as stops for notes."""
    answer = example_runs()
    assert len(run_sheets_pages(answer, notes=False)) == 1 + 4
    stops = sum(len(r.stops) for r in answer.runs)
    assert len(run_sheets_pages(answer)) == 1 + 4 + stops // 2


def test_a_full_day_still_fits_on_its_page() -> None:
    """Three runs of four stops, more than most tankers make in a day, stay on one page."""
    assert len(run_sheets_pages(many_stops(4, 3), tanker="Heron", notes=False)) == 1


def test_invented_weather_is_printed_on_the_drivers_page() -> None:
    """In the colour of what needs a look, above the runs; a page of real weather has none of it."""
    answer = many_stops(3, 1)
    for invented in (True, False):
        sheet = replace(answer, invented=invented)
        (page,) = run_sheets_pages(sheet, tanker="Heron", notes=False)
        colour = np.asarray(Image.open(io.BytesIO(page)).convert("RGB")).astype(int)
        ember = np.abs(colour - (0xB8, 0x47, 0x0F)).max(axis=2) < 8
        assert bool(ember[: len(ember) // 4].any()) is invented
        assert not ember[len(ember) // 4 :].any()


def test_cautions_stand_in_two_columns_of_about_one_height() -> None:
    """Under a short day's stops there is as much room to the right as to the left, and both are used."""
    (page,) = run_sheets_pages(many_stops(3, 1), tanker="Heron", notes=False)
    dark = np.asarray(Image.open(io.BytesIO(page)).convert("L")) < 128
    height, width = dark.shape
    inked = dark[: int(0.93 * height)]  # without what stands at the foot
    halves = inked[:, : width // 2], inked[:, width // 2 :]
    lowest = [int(np.flatnonzero(half.any(axis=1)).max()) for half in halves]
    assert abs(lowest[0] - lowest[1]) < 0.08 * height
    assert min(lowest) > 0.4 * height


def test_an_overfull_day_goes_on_on_the_next_page() -> None:
    """Nothing is cut off where a day has more stops than a page holds."""
    assert len(run_sheets_pages(many_stops(30, 1), tanker="Heron", notes=False)) == 2


def test_one_tanker_and_one_day_alone() -> None:
    """For a driver there is his own page and no other, without the office's."""
    sheets = sheets_of(example_runs(), days=[DAYS[0]], tanker="Wren", notes=False)
    assert sheets["office"] is None and sheets["notes"] == []
    assert [s["tanker"] for s in sheets["sheets"]] == ["Wren"]
    assert [s["day"] for s in sheets["sheets"]] == ["Friday, 16 January 2026"]


def test_the_sheet_tells_loads_times_and_stops() -> None:
    """What is in which chamber, when to leave and be back, and each stop in order with all it needs."""
    sheet = sheets_of(example_runs())["sheets"][0]
    first, second = sheet["runs"]
    assert first["title"] == "Run 1: leave yard at 06:30, back by 10:00"
    assert [(c["grade"], c["kg"]) for c in first["chambers"]] == [
        ("A1", "5,000 kg"), ("A1", "400 kg"), ("A2", "4,200 kg"),
    ]  # fmt: skip
    assert [s["position"] for s in first["stops"]] == ["1", "2", "3"]
    bold = first["stops"][1]
    assert (bold["arrive"], bold["name"], bold["grade"], bold["kg"], bold["hose"]) == (
        "08:00", TAG, "A2", "4,200 kg", "38 m",
    )  # fmt: skip
    assert bold["lines"] == ["order B003, promised by 16 January"]
    assert first["stops"][0]["lines"] == ["asks for: boiler off an hour before"]
    assert (
        ", told to the customers." in first["line"] and ", not yet told to the customers." in second["line"]
    )
    third = {"title": "chamber 3, holds 5,000 kg", "grade": "A2", "kg": "600 kg", "share": 0.12}
    assert second["chambers"][2] == third


def test_who_asks_to_be_rung_is_listed_with_the_number() -> None:
    """Before coming: time, name and telephone; where there is no number it says so."""
    sheets = sheets_of(example_runs())
    assert sheets["sheets"][0]["ring"] == [["07:00", "Lime tree house (Q001)", "000 0001"]]
    (calls,) = [x for x in sheets["office"]["lists"] if x["title"] == "Call before the stop"]
    assert calls["tick"] and calls["rows"][0][:3] == [
        f"{TAG} (Q052)", "no number known", "asks to be rung before a delivery",
    ]  # fmt: skip


def test_promises_in_danger_stand_on_the_page_of_their_tanker() -> None:
    """The office sees all of them, a driver those of his own stops."""
    sheets = sheets_of(example_runs())
    assert [p[:2] for p in sheets["sheets"][0]["promises"]["rows"]] == [["B003", f"{TAG} (Q002)"]]
    assert [s["promises"]["rows"] for s in sheets["sheets"][1:]] == [[], [], []]
    title = "Promised deliveries whose store may run low first"
    (all_,) = [x for x in sheets["office"]["lists"] if x["title"] == title]
    assert [p[3] for p in all_["rows"]] == ["16 January", "on no run"]


def test_every_stop_has_its_delivery_note() -> None:
    """Customer, day, class and planned kilograms stand on it, in the order of the runs."""
    answer = example_runs()
    notes = sheets_of(answer)["notes"]
    assert [n["id"] for n in notes] == [s.customer for r in answer.runs for s in r.stops]
    assert len({n["number"] for n in notes}) == len(notes)
    formula = notes[2]
    assert (formula["customer"], formula["grade"], formula["kg"]) == (FORMULA, "A1", "2,400 kg")
    assert formula["day"] == "Friday, 16 January 2026"
    assert formula["order"] == "" and notes[1]["order"] == "B003"


def test_cautions_stand_on_sheets_and_notes() -> None:
    """Boiler off, carbon monoxide and dust, deferring to manual, codes and trades."""
    sheets = sheets_of(example_runs())
    for name in ("boiler-off-before-filling", "co-store", "dust"):
        text = str(TEXTS[name])
        assert text in sheets["cautions"] and text in sheets["note_cautions"]
    assert str(TEXTS["store-entry"]) in sheets["cautions"]
    assert sheets["defer"] == str(DEFER)


def test_no_text_says_that_a_store_may_be_entered() -> None:
    """Nothing on the sheets calls a store safe."""
    said = " ".join(texts_in(sheets_of(example_runs()))).lower()
    assert "carbon monoxide" in said
    assert not re.search(r"\bsafe(ly)?\b|harmless to|without danger", said)


@pytest.mark.parametrize(
    "name",
    [TAG, FORMULA, EMOJI, LONG_NAME, "#panic() $x$ *b* [x] \\ `r` @a <a>", "x" * 5000, "Ж 木 ع", " \n"],
)
def test_names_stay_text(name: str) -> None:
    """Whatever people write is printed as they wrote it, on one line, and the page is made."""
    one = stop(1, name, name, phone=name, note=name, order=name, grade=name, call_ahead=True)
    answer = replace(example_runs(), round=name, runs=(run(DAYS[0], name, 1, (one,), depot=name),))
    assert len(run_sheets_pages(answer)) >= 3
    longest = max(len(t) for t in texts_in(sheets_of(answer)["notes"]))
    assert longest <= MOST_CHARACTERS * 1.05 + 60


def test_a_plan_without_runs_is_the_office_page_alone() -> None:
    """Where nobody is served there is still a page that says so."""
    assert len(run_sheets_pages(empty_runs())) == 1
    assert sheets_of(empty_runs())["office"]["sentences"] == ["Nobody has to be served before 21 January."]


def test_us_units_in_print() -> None:
    """In US units every mass is in pounds, every length in feet and miles."""
    with units.written_for(units.reader_in("US")):
        sheets = sheets_of(example_runs())
    said = " ".join(t for t in texts_in(sheets["sheets"] + sheets["notes"]))
    assert "6,614 lb" in said and "25.7 miles" in said and "January 16, 2026" in said
    assert not re.search(r"\d kg\b|\d m\b|\d km\b", said)


def test_same_plan_same_bytes() -> None:
    """Dated on the day of the answer, not by the clock."""
    made = run_sheets_pdf(example_runs())
    assert made == run_sheets_pdf(example_runs())
    assert made.startswith(b"%PDF-") and b"D:20260115" in made

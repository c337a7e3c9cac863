"""A name that breaks or turns a line prints none: on the command line, PDF, calendar, CSV, GeoJSON, page."""

from __future__ import annotations

import json
import re
from dataclasses import replace
from datetime import date
from html import unescape
from pathlib import Path
from typing import Any

import pytest
from icalendar import Calendar

from fuelplan import answers
from fuelplan.answers.round.check import check_round_folder
from fuelplan.cli import main
from fuelplan.messages import as_message
from fuelplan.pages.parts import pieces
from fuelplan.papers.run_files import runs_calendar, runs_csv, runs_geojson
from fuelplan.papers.run_sheets import sheets_of
from fuelplan.records.round import open_round
from fuelplan.units.plain_text import escaped, is_one_line, one_line
from tests.round_folders import make_round
from tests.runs_answers import example_runs, run, stop
from tests.site_folders import make_site

ODD = {
    "newline": "\n", "return": "\r", "line separator": "\u2028", "paragraph separator": "\u2029",
    "next line": "\x85", "form feed": "\x0c", "vertical tab": "\x0b", "right-to-left mark": "\u200f",
    "left-to-right mark": "\u200e", "Arabic letter mark": "\u061c", "override": "\u202e",
    "embedding": "\u202b", "isolate": "\u2067", "escape": "\x1b", "C1": "\x9b", "delete": "\x7f",
    "swapping": "\u206b",
}  # fmt: skip
BAD = re.compile(
    "[^\n\x20-\x7e\xa0-\u061b\u061d-\u200d\u2010-\u2027\u202f-\u2065\u2070-\ufff8\U00010000-\U0010ffff]"
)


def lines_are_sound(text: str) -> bool:
    """Tell whether a text holds nothing that steers or turns, and no line that a name has forged."""
    return BAD.search(text) is None and not any(line.startswith("forged") for line in text.splitlines())


@pytest.mark.parametrize("mark", ODD.values(), ids=ODD.keys())
def test_a_name_becomes_one_line(mark: str) -> None:
    """A person's words stay one line; what means nothing is shown as "?", and means the same in JSON."""
    found = one_line(f"Hofer{mark}forged")
    assert lines_are_sound(found) and found in {"Hofer forged", "Hofer?forged"}
    assert not is_one_line(f"Hofer{mark}forged") and is_one_line(found)
    assert json.loads(escaped(json.dumps([mark], ensure_ascii=False))) == [mark]


def test_letters_of_every_script_stay() -> None:
    """Right-to-left letters, joiners and marks on letters are no steering: they stay."""
    for text in ("בית ליד העץ", "می\u200cخواهم", "Č́ 1\u202f200 kg – ½", "क्\u200dष", "🏡"):
        assert one_line(text) == text


@pytest.mark.parametrize("mark", ODD.values(), ids=ODD.keys())
def test_a_site_with_such_a_name_is_refused_in_one_line(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], mark: str
) -> None:
    """Written as an escape of TOML, the character is a fault at its key; the fault itself is one line."""
    name = f"Test house\\u{ord(mark):04x}forged: sound"
    folder = make_site(tmp_path / "house", mean_c=[3.0] * 30, changes=[("Test house", name)])
    with pytest.raises(SystemExit):
        main(["check", str(folder)])
    said = capsys.readouterr()
    assert "name: a control character or a line break" in said.out
    assert said.out.count("\n") == 1 and lines_are_sound(said.out + said.err)


@pytest.mark.parametrize("mark", ODD.values(), ids=ODD.keys())
def test_a_row_with_such_a_cell_forges_no_line(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], mark: str
) -> None:
    """A fault quotes the cell in one line; a note is read as one."""
    rows = f'date,reading,how,note\n2020-11-01,4 t,"by{mark}forged eye",\n2020-11-02,4 t,,"a{mark}forged"\n'
    folder = make_site(tmp_path / "house", mean_c=[3.0] * 30, readings=rows)
    with pytest.raises(SystemExit):
        main(["check", str(folder)])
    said = capsys.readouterr()
    assert "readings.csv:" in said.out and lines_are_sound(said.out + said.err)
    site, _ = answers.check_folder(folder)
    assert site is not None and [lines_are_sound(r.note) for r in site.readings] == [True]


@pytest.mark.parametrize("mark", ODD.values(), ids=ODD.keys())
def test_a_round_reads_names_as_one_line_and_refuses_such_ids(tmp_path: Path, mark: str) -> None:
    """Name, phone and note of a customer are one line each; an id with such a character is a fault."""
    text = "name", f'"Hofer{mark}forged"'
    folder = make_round(tmp_path / "round", weather_days=10)
    table = (folder / "customers.csv").read_text()
    first = table.splitlines()[1]
    cells = dict(zip(table.splitlines()[0].split(","), first.split(","), strict=False))
    (folder / "customers.csv").write_text(table.replace(f",{cells['name']},", f",{text[1]},", 1), newline="")
    found = open_round(folder)
    assert is_one_line(found.customers.name[0]) and "forged" in found.customers.name[0]
    odd_id = f'"{cells["customer"]}{mark}x"'
    (folder / "customers.csv").write_text(table.replace(cells["customer"], odd_id, 1), newline="")
    faults = [str(f) for f in check_round_folder(folder).faults]
    assert any("control character" in fault for fault in faults)
    assert all(map(is_one_line, faults))


@pytest.mark.parametrize("mark", ODD.values(), ids=ODD.keys())
def test_no_file_for_others_and_no_page_holds_such_a_line(mark: str) -> None:
    """Whatever brought the name there: run sheets, calendar, CSV, GeoJSON and page show one sound line."""
    name = f"Hofer{mark}forged"
    one = stop(1, "Q001", name, phone=name, note=name, why=as_message(name), order=name)
    answer = example_runs()
    answer = replace(answer, runs=(run(answer.days[0], name, 1, (one,), depot=name),), round=name)
    assert lines_are_sound("\n".join(texts_of(sheets_of(answer))))
    event = Calendar.from_ical(runs_calendar(answer, time_zone="Europe/Vienna")).walk("VEVENT")[0]
    assert lines_are_sound("\n".join(str(event[key]) for key in ("summary", "location", "description")))
    assert lines_are_sound(runs_csv(answer)) and runs_csv(answer).count("\n") == 2
    assert lines_are_sound(runs_geojson(answer))
    assert json.loads(runs_geojson(answer))["features"][1]["properties"]["name"] == name
    assert is_one_line(unescape(pieces._html(name)))
    assert is_one_line(pieces.plain_label(name))


def texts_of(value: Any) -> list[str]:
    """Every text of a document for the template, blanks for where a word may break taken out."""
    if isinstance(value, str):
        return [value.replace("\u200b", "")]
    inner = value.values() if isinstance(value, dict) else value if isinstance(value, list | tuple) else ()
    return [text for part in inner for text in texts_of(part)]


def test_the_order_calendar_and_the_json_of_a_demo_hold_no_such_character() -> None:
    """What the demo prints passes the same look: it would find what a name had brought in."""
    from fuelplan.papers.calendars import order_calendar

    folder = Path(__file__).parent.parent / "demo_sites" / "family_house"
    site, day = answers.open_site(folder), date(2026, 1, 15)
    answer = answers.order(site, answers.weather_for(site, day), day)
    assert lines_are_sound(order_calendar(answer).decode().replace("\r\n", "\n"))
    assert lines_are_sound(json.dumps(answer.to_json(), ensure_ascii=False))

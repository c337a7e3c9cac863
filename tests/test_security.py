"""A stranger's folder does no harm: no code runs from it, nothing outside is read, nobody is called."""

from __future__ import annotations

import ast
import re
import socket
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from icalendar import Calendar

import fuelplan
from fuelplan import answers
from fuelplan.answers.round.roads import roads_for_round
from fuelplan.messages import as_message
from fuelplan.papers.run_files import runs_calendar, runs_csv, runs_geojson
from fuelplan.papers.run_sheets import run_sheets_pdf
from fuelplan.records.round import check_round, open_round
from tests.round_folders import make_round
from tests.runs_answers import example_runs, run, stop
from tests.site_folders import make_site

PACKAGE = Path(fuelplan.__file__).parent
DEMO = PACKAGE.parent / "demo_sites"
RUNS_CODE = {"eval", "exec", "compile", "__import__", "execfile"}
RUNS_CODE_OF = {
    ("pickle", "load"), ("pickle", "loads"), ("marshal", "loads"), ("os", "system"), ("os", "popen"),
    ("yaml", "load"), ("shelve", "open"), ("runpy", "run_path"), ("np", "load"),
}  # fmt: skip


def calls_in(path: Path) -> set[str]:
    """The calls of a file that could run code which stands in data."""
    found = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if not isinstance(node, ast.Call):
            continue
        target = node.func
        if isinstance(target, ast.Name) and target.id in RUNS_CODE:
            found.add(target.id)
        if isinstance(target, ast.Attribute) and isinstance(target.value, ast.Name):
            name = (target.value.id, target.attr)
            found |= {".".join(name)} & {".".join(known) for known in RUNS_CODE_OF}
        if any(k.arg == "shell" and not (isinstance(k.value, ast.Constant) and not k.value.value)
               for k in node.keywords):  # fmt: skip
            found.add("shell")
    return found


def test_nothing_in_the_program_runs_what_stands_in_data(tmp_path: Path) -> None:
    """No file of the package evaluates text, unpickles, or starts a shell; the search would find them."""
    files = sorted(PACKAGE.rglob("*.py"))
    assert len(files) > 200
    assert {str(path): calls_in(path) for path in files if calls_in(path)} == {}
    assert not [path for path in PACKAGE.rglob("*.typ") if re.search(r"\beval\(", path.read_text())]
    bad = tmp_path / "bad.py"
    bad.write_text("eval(x)\npickle.loads(y)\nsubprocess.run(z, shell=True)\n")
    assert calls_in(bad) == {"eval", "pickle.loads", "shell"}


@pytest.mark.parametrize("way", ["../secret.csv", "link.csv", "folder/../../secret.csv", "absolute"])
def test_a_site_names_no_file_outside_its_folder(tmp_path: Path, way: str) -> None:
    """Neither a path nor a link leads to a file elsewhere, and no line of that file is shown."""
    secret = tmp_path / "secret.csv"
    secret.write_text("date,mean_c\nMY SECRET,1\n")
    name = str(secret) if way == "absolute" else way
    for key in ('file = "weather.csv"', 'smallest_drop = "1.5 t"'):
        new = f'file = "{name}"' if key.startswith("file") else f'{key}\nprice_history = "{name}"'
        folder = make_site(tmp_path / key[:4], mean_c=[3.0] * 30, changes=[(key, new)])
        if not (folder / "link.csv").exists():
            (folder / "link.csv").symlink_to(secret)
        with pytest.raises(answers.SiteFaults, match="lies outside the folder") as refused:
            answers.open_site(folder)
        assert "SECRET" not in str(refused.value.faults)


@pytest.mark.parametrize("way", ["../secret.csv", "link.csv"])
def test_a_round_names_no_file_outside_its_folder(tmp_path: Path, way: str) -> None:
    """Weather, the weather of an area and the table of distances lie in the folder, or are refused."""
    secret = tmp_path / "secret.csv"
    secret.write_text("from,to,km\nMY SECRET,B,x\n")
    changes = [
        ("round.toml", '"weather.csv"', f'"{way}"'),
        ("round.toml", '"weather_upland.csv"', f'"{way}"'),
        ("round.toml", "[rules]", f'[distances]\nkind = "file"\nfile = "{way}"\n[rules]'),
    ]
    folder = make_round(tmp_path / "round", weather_days=10, changes=changes)
    (folder / "link.csv").symlink_to(secret)
    said = [fault for fault in check_round(folder) if "lies outside the folder" in fault.message]
    assert {fault.key for fault in said} == {"weather.file", "area.1.file", "distances.file"}
    assert "SECRET" not in str(check_round(folder))


def test_a_demo_and_a_round_call_nobody(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """Without station weather and without a service's address in the folder no connection is made."""

    def refuse(*_: Any) -> None:
        raise AssertionError("a connection was about to be made")

    monkeypatch.setattr(socket.socket, "connect", refuse)
    monkeypatch.setattr(socket, "getaddrinfo", refuse)
    site = answers.open_site(DEMO / "family_house")
    day = date(2026, 1, 15)
    assert answers.order(site, answers.weather_for(site, day), day).sentence
    found = open_round(make_round(tmp_path / "round", weather_days=10))
    assert roads_for_round(found).roads.km.shape == (14, 14)
    asked = '[distances]\nkind = "service"\nservice = "http://127.0.0.1:9"\n[rules]'
    service = make_round(tmp_path / "service", weather_days=10, changes=[("round.toml", "[rules]", asked)])
    with pytest.raises(AssertionError, match="a connection"):  # the guard is a guard
        roads_for_round(open_round(service))


HOSTILE = (
    '#panic("it ran")',
    "<script>alert(1)</script>",
    "x\r\nEND:VEVENT\r\nBEGIN:VEVENT\r\nSUMMARY:mine",
    '","y":"z',
    "=HYPERLINK(1)",
    "*bold* `code` $x$ @ref",
)


@pytest.mark.parametrize("name", HOSTILE)
def test_what_a_person_wrote_stays_text_in_every_file(name: str) -> None:
    """In run sheets, calendar, GeoJSON and CSV a name is never markup, code, another entry or a formula."""
    one = stop(1, "Q001", name, phone=name, note=name, why=as_message(name), order=name)
    answer = example_runs()
    answer = replace(answer, runs=(run(answer.days[0], name, 1, (one,), depot=name),), round=name)
    assert run_sheets_pdf(answer).startswith(b"%PDF-")  # had the name been code, it would have stopped here
    calendar = Calendar.from_ical(runs_calendar(answer, time_zone="Europe/Vienna"))
    assert len(calendar.walk("VEVENT")) == 1
    points = [f for f in answers_of(runs_geojson(answer)) if f["properties"]["kind"] == "stop"]
    assert [f["properties"]["name"] for f in points] == [name]
    rows = runs_csv(answer).splitlines()
    assert len(rows) == 2
    assert not re.search(r'(^|,)"?[=+@-][A-Za-z(]', rows[1])


def answers_of(text: str) -> list[dict[str, Any]]:
    """The features of a GeoJSON document."""
    import json

    found: list[dict[str, Any]] = json.loads(text)["features"]
    return found

"""What the page about run sheets and files says is true."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest
from icalendar import Calendar

from fuelplan.papers.run_files import CSV_HEAD
from fuelplan.papers.run_sheets import MOST_CHARACTERS, MOST_OF_A_MARK

PAGE = Path(__file__).parents[2] / "fuelplan" / "docs" / "run_sheets.md"
TEXT = PAGE.read_text(encoding="utf-8")


def test_the_example_runs(monkeypatch: pytest.MonkeyPatch) -> None:
    """The page's own lines run from the project's folder and give a PDF, rows, routes and events."""
    (block,) = re.findall(r"```python\n(.*?)```", TEXT, re.DOTALL)
    monkeypatch.chdir(PAGE.parents[2])
    found: dict[str, object] = {}
    exec(compile(block, "page", "exec"), found)
    plan, sheets = found["plan"], found["sheets"]
    assert isinstance(sheets, bytes) and sheets.startswith(b"%PDF-")
    stops = sum(len(run.stops) for run in plan.runs)  # type: ignore[attr-defined]
    assert stops > 0 and len(str(found["table"]).splitlines()) == 1 + stops
    kinds = [f["properties"]["kind"] for f in json.loads(str(found["routes"]))["features"]]
    assert kinds.count("stop") == stops
    calendar = found["calendar"]
    assert isinstance(calendar, bytes)
    runs = [run for run in plan.runs if run.tanker == "Heron"]  # type: ignore[attr-defined]
    assert len(Calendar.from_ical(calendar).walk("VEVENT")) == len(runs)


def test_every_column_is_explained() -> None:
    """The table of columns names each column of the CSV file, and no other."""
    table = TEXT.split("| column | what |")[1].split("\n\n")[0]
    named = [name for row in table.splitlines() for name in re.findall(r"`(\w+)`", row.split(" | ")[0])]
    assert sorted(named) == sorted(CSV_HEAD)


def test_the_limits_of_print_are_those_of_the_program() -> None:
    """Where texts are cut."""
    cut = re.search(r"cut at (\d+) characters, numbers and short names at (\d+)", TEXT)
    assert cut is not None
    assert (int(cut[1]), int(cut[2])) == (MOST_CHARACTERS, MOST_OF_A_MARK)

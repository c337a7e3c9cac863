"""The reference page of a round, its schema, and `fuelplan check` on a round."""

from __future__ import annotations

import json
import subprocess
import sys
from importlib.resources import files
from pathlib import Path

import pytest

from fuelplan.records.schema.columns import FILES
from fuelplan.records.schema.round import RoundTable
from tests.reference_pages import round as reference
from tests.round_folders import make_round


@pytest.mark.parametrize(
    ("name", "made"), [(reference.PAGE, reference.page), (reference.SCHEMA, reference.schema)]
)
def test_the_kept_documents_are_those_of_the_program(name: str, made: object) -> None:
    """Page and schema are what the program gives;
    `python -m tests.reference_pages.round fuelplan/docs` renews them.
    """
    assert callable(made)
    kept = files("fuelplan").joinpath("docs", name).read_text(encoding="utf-8")
    assert kept == made()


def test_every_key_and_column_stands_on_the_page() -> None:
    """No key and no column is left out of the page."""
    page = reference.page()
    keys = [field.alias or name for name, field in RoundTable.model_fields.items()]
    assert sorted(json.loads(reference.schema())["properties"]) == sorted(keys)
    assert [key for key in keys if f"`{key}`" not in page and f"[{key}]" not in page] == []
    for name, columns in FILES.items():
        part = page.split(f"## {name}.", 1)[1].split("\n## ", 1)[0]
        assert [c.name for c in columns if f"| `{c.name}` | `{c.example}` |" not in part] == []


def check(folder: Path, *options: str) -> subprocess.CompletedProcess[str]:
    """Run `fuelplan check`."""
    command = [sys.executable, "-m", "fuelplan", "check", str(folder), *options]
    return subprocess.run(command, capture_output=True, text=True, timeout=120)


def test_check_takes_a_round(tmp_path: Path) -> None:
    """A sound round is told with its numbers; exit 0."""
    done = check(make_round(tmp_path / "round", weather_days=30))
    assert (done.returncode, done.stderr) == (0, "")
    assert done.stdout == (
        "Test round: sound. 12 customers, 2 tankers, 2 depots, 13 deliveries, 3 readings, 2 orders.\n"
    )


def test_warnings_alone_leave_a_round_sound(tmp_path: Path) -> None:
    """A customer nobody reaches is told as a warning; exit 0."""
    folder = make_round(tmp_path / "round", changes=[("customers.csv", "400,top-up,15", "400,top-up,55")])
    done = check(folder)
    assert done.returncode == 0 and "1 warning" in done.stderr
    first, last = done.stdout.splitlines()
    assert first.startswith("customers.csv:13: customer: no tanker") and first.endswith("used all the same)")
    assert last.startswith("Test round: sound.")


def test_faults_of_a_round_leave_with_2_and_one_document(tmp_path: Path) -> None:
    """Rows, weather files and warnings are in one JSON document; exit 2."""
    folder = make_round(
        tmp_path / "round", changes=[("deliveries.csv", "K-11,2025-10-01", "K-11,2025-10-32")]
    )
    (folder / "weather_upland.csv").write_text("date,mean_c\n2025-01-01,warm\n", encoding="utf-8")
    done = check(folder, "--json")
    document = json.loads(done.stdout)
    assert (done.returncode, document["schema"], document["round"]) == (2, 2, "Test round")
    assert [(f["file"], f["line"], f["key"], f["warning"]) for f in document["faults"]] == [
        ("deliveries.csv", 14, "date", False),
        ("weather_upland.csv", 2, "mean_c", False),
    ]
    assert {(c["file"], c["count"]) for c in document["counts"]} == {
        ("deliveries.csv", 1),
        ("weather_upland.csv", 1),
    }


def test_very_many_faults_are_counted_by_kind(tmp_path: Path) -> None:
    """On the screen the first 200 faults stand, then how many there are of each kind."""
    rows = "".join(f"K-01,2025-13-01,{n}\n" for n in range(2000, 2500))
    folder = make_round(tmp_path / "round", files={"deliveries.csv": "customer,date,kg\n" + rows})
    done = check(folder)
    lines = done.stdout.splitlines()
    assert done.returncode == 2 and done.stderr == "500 faults\n"
    assert lines[200:] == ["… and 300 more. In all:", "  500 × deliveries.csv: date: not a date"]

"""The one command for all benchmarks: its table, document and picture; speeds themselves are not tested."""

from __future__ import annotations

import json
import os
import socket
import subprocess
import sys
import time
from importlib import import_module
from pathlib import Path
from typing import Any

import pytest

from tests.benchmarks.as_markdown import page_of
from tests.benchmarks.catalogue import MODULES
from tests.benchmarks.growth import AXES, FLOOR, OURS, PLAIN, exponent, words_of
from tests.benchmarks.growth_chart import png, tidy
from tests.benchmarks.measure import ROOT, Time, compared, machine, table, timed


def points(power: float) -> list[dict[str, Any]]:
    """Made-up growth: time goes with a power of the size."""
    return [
        {
            "axis": axis, "size": n, "peak_mb": 100.0 + n, "start_mb": 100.0,
            "ways": {w: {"seconds": n**power, "busy_s": n**power * (k + 1)} for k, w in enumerate(WAYS)},
        }
        for axis in AXES
        for n in (10, 100, 1000)
    ]  # fmt: skip


WAYS = (OURS, PLAIN, FLOOR)


@pytest.mark.parametrize("name", MODULES)
def test_every_benchmark_has_rows(name: str) -> None:
    """Whatever the command lists can be asked for its rows."""
    assert callable(import_module(f"tests.benchmarks.{MODULES[name]}").rows)


def test_ratios_are_of_processor_time() -> None:
    """A plain way that did a tenth of the work in 3 s is 15 times slower than our 2 s; the floor took 1/4."""
    row = compared("x", Time(9.0, 2.0), ("loop", Time(1.0, 3.0), 10.0), ("copy", Time(7.0, 0.5)), kg=3.0)
    assert (row.seconds, row.busy_s, row.times_quicker, row.times_floor) == (9.0, 2.0, 15.0, 4.0)
    assert compared("x", Time(1.0, 1.0)).times_quicker is None
    lines = table([{**row.as_dict(), "peak_mb": 1234}])
    assert lines[1].split() == ["x", "9", "2", "15", "4", "1,234"]
    assert lines[2:] == ["    plain: loop", "    floor: copy", "    kg 3"]


def test_the_page_names_the_machine_and_holds_every_figure() -> None:
    """Rows with what they were held against, each said once, and growth with its power."""
    row = compared("x", Time(9.0, 2.0), ("a loop", Time(1.0, 3.0), 10.0), ("a copy", Time(7.0, 0.5)), kg=3.0)
    alone = compared("y", Time(1.0, 1.0))
    rows = [{"benchmark": "b", **one.as_dict(), "peak_mb": 1234} for one in (row, row, alone)]
    page = page_of({"machine": machine(), "rows": rows, "growth": points(2.0)})
    assert f"{os.cpu_count()} processors" in page and "numpy " in page
    assert page.count("| x (kg 3) | 9 | 2 | 15 | 4 | 1,234 |") == 2
    assert "| y | 1 | 1 | – | – | 1,234 |" in page
    assert page.count("- b: plain is a loop; floor is a copy") == 1 and page.count("\n- ") == 1
    assert f"with {next(iter(AXES))} as n^2.00" in page
    assert f"| {next(iter(AXES))} | 1,000 | 1e+06 | 2e+06 | 3e+06 | 1,100 |" in page
    assert "Growth" not in page_of({"machine": machine(), "rows": rows})


def test_time_is_that_of_own_processes_too() -> None:
    """What a child process burns counts; what is slept does not."""
    asleep = timed(lambda: time.sleep(0.3), 1)
    assert asleep.clock >= 0.3 and asleep.busy < 0.5 * asleep.clock
    call = [sys.executable, "-c", "import time\nwhile time.process_time() < 0.3: pass"]
    assert timed(lambda: subprocess.run(call, check=True), 1).busy >= 0.25


@pytest.mark.parametrize("power", [1.0, 0.5])
def test_growth_is_told_as_a_power(power: float) -> None:
    """The slope in the log-log picture is the power that was put in, in the words as well."""
    many = points(power)
    assert exponent(many, "customers") == pytest.approx(power)
    assert words_of(many)[-1] == f"processor time grows with winters as n^{power:.2f}"
    rows = tidy(many)
    assert len(rows) == 4 * 3 * 3 and set(rows["way"]) == set(WAYS)
    assert png(many).startswith(b"\x89PNG")


def test_one_command_measures_and_writes(tmp_path: Path) -> None:
    """A real benchmark with small sizes: ratios above 0, a document with the machine's kind, not its name."""
    file = tmp_path / "out.json"
    call = [sys.executable, "-m", "tests.benchmarks", "--quick", "--json", str(file), "sizing"]
    done = subprocess.run(call, cwd=ROOT, capture_output=True, text=True, check=True)
    document = json.loads(file.read_text(encoding="utf-8"))
    assert [row["benchmark"] for row in document["rows"]] == ["sizing"]
    for row in document["rows"]:
        assert row["what"] in done.stdout
        assert row["times_quicker"] > 0 and row["times_floor"] > 0 and row["peak_mb"] > 20
    assert document["machine"]["processors"] == os.cpu_count() and document["quick"] is True
    assert socket.gethostname() not in document["machine"].values()
    assert str(ROOT) not in json.dumps(document)


def test_a_benchmark_that_there_is_not_is_told(tmp_path: Path) -> None:
    """A wrong name ends the command before anything is measured."""
    call = [sys.executable, "-m", "tests.benchmarks", "page-turning"]
    done = subprocess.run(call, cwd=ROOT, capture_output=True, text=True)
    assert done.returncode == 2 and 'there is no "page-turning"' in done.stderr and not done.stdout

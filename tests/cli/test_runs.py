"""`fuelplan runs`: the plan as text, as JSON and as files; what happened and what is wished, in one
command."""

from __future__ import annotations

import json
import re
import signal
from collections.abc import Iterator
from pathlib import Path

import pytest

from fuelplan.cli.main import main
from tests.round_folders import make_round

FEW = ["--days", "4", "--moves", "300"]


def called(capsys: pytest.CaptureFixture[str], *arguments: str) -> tuple[int, str]:
    """Run the command line; return its status and what it printed."""
    capsys.readouterr()
    with pytest.raises(SystemExit) as ended:
        main(["runs", *arguments])
    return int(ended.value.code or 0), capsys.readouterr().out


def test_text_answers_first_and_names_every_stop(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """After the round and its day the next day's runs come first; each stop has its time and reason, and days
    are written as people write them.
    """
    last = "K-12,2026-01-10,2600,\n"
    low = ("readings.csv", last, f"{last}K-05,2026-01-10,,14\n")
    folder = make_round(tmp_path / "r", changes=[low])
    status, text = called(capsys, str(folder), *FEW)
    assert status == 0
    head, empty, first = text.splitlines()[:3]
    assert head.endswith(", 12 January 2026") and empty == ""
    assert first.startswith(("On 13 January:", "Nobody needs a tanker on 13 January"))
    assert "promised by 16 January" in text
    assert re.search(r"^Tue 13 January  |^Wed 14 January  ", text, re.MULTILINE)
    assert not re.search(r"\d{4}-\d\d-\d\d", text)
    assert "To ring:" in text and "555 0103" in text


def test_json_and_files(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """One document on stdout, and every file asked for holds what its kind begins with."""
    folder = make_round(tmp_path / "r")
    kinds = {"pdf": b"%PDF", "csv": b"", "geojson": b"{", "calendar": b"BEGIN:VCALENDAR"}
    wanted = [part for kind in kinds for part in (f"--{kind}", str(tmp_path / f"out.{kind}"))]
    status, text = called(capsys, str(folder), *FEW, "--json", *wanted)
    document = json.loads(text)
    assert status == 0 and document["schema"] == 2
    assert {"runs", "to_ring", "not_served", "totals"} <= set(document)
    for kind, begins in kinds.items():
        content = (tmp_path / f"out.{kind}").read_bytes()
        assert content.startswith(begins) and len(content) > 100, kind
    stops = sum(len(r["stops"]) for r in document["runs"])
    lines = (tmp_path / "out.csv").read_text(encoding="utf-8-sig").strip().splitlines()
    assert len(lines) == stops + 1


def test_publish_keeps_days(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """After --publish the same stops are frozen in the next plan."""
    folder = make_round(tmp_path / "r")
    first = json.loads(called(capsys, str(folder), *FEW, "--json", "--publish", "3")[1])
    assert first["published_stops"] > 0
    again = json.loads(called(capsys, str(folder), *FEW, "--json", "--seed", "5")[1])
    days = first["days"][:3]
    names = [
        [(r["date"], s["customer"], s["kg"]) for r in d if r["date"] in days for s in r["stops"]]
        for d in (first["runs"], [r for r in again["runs"] if r["frozen"]])
    ]
    assert names[0] == names[1] and len(names[0]) == first["published_stops"]


def test_plan_again_after_something_happened(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A tanker that is out drives nothing tomorrow; the folder remembers it."""
    folder = make_round(tmp_path / "r")
    _, text = called(capsys, str(folder), *FEW, "--json", "--happened", "tanker out: T1: 2026-01-16")
    assert not [r for r in json.loads(text)["runs"] if r["tanker"] == "T1" and r["date"] <= "2026-01-16"]
    assert "tanker out" in (folder / "happenings.csv").read_text(encoding="utf-8")


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        (["--days", "99"], "1 to 15"),
        (["--seconds", "-1"], "seconds above 0"),
        (["--happened", "aliens landed"], "write one of"),
        (["--happened", "slow roads: much"], "slow roads: 2"),
        (["--happened", "tanker out: T9"], "T9"),
        (["--happened", "tanker out: T1: soon"], "is not a valid day"),
        (["--pin", "K-01"], "write the day"),
        (["--pin", "K-99:2026-01-14"], "K-99"),
        (["--move", "K-01:tomorrow"], "is not a valid day"),
        (["--pdf", "no/such/folder/x.pdf"], "is not a valid place"),
        (["--as-of", "yesterday"], "yesterday"),
    ],
)
def test_wrong_input_is_told(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], arguments: list[str], says: str
) -> None:
    """Exit status 2 and a sentence that says what to write; nothing is written to the folder."""
    folder = make_round(tmp_path / "r")
    before = {p.name: p.read_bytes() for p in folder.iterdir()}
    status, text = called(capsys, str(folder), *FEW, "--json", *arguments)
    assert status == 2
    assert says in json.loads(text)["error"]["message"]
    after = {p.name: p.read_bytes() for p in folder.iterdir() if not p.name.startswith(".")}
    assert {k: v for k, v in after.items() if k in before} == before
    assert set(after) - set(before) <= {"happenings.csv", "wishes.csv"}


def test_a_site_is_no_round(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A folder without round.toml is told apart."""
    status, text = called(capsys, str(tmp_path), "--json")
    assert status == 2 and "round.toml" in json.loads(text)["error"]["message"]


@pytest.fixture
def interrupts(monkeypatch: pytest.MonkeyPatch) -> Iterator[list[int]]:
    """A list: as many Ctrl-C as its first number says come as soon as the search is under way."""
    left = [0]

    def told(text: str) -> None:
        while "searching" in text and left[0] > 0:
            left[0] -= 1
            signal.raise_signal(signal.SIGINT)

    monkeypatch.setattr("fuelplan.cli.runs.progress", told)
    before = signal.getsignal(signal.SIGINT)
    yield left
    assert signal.getsignal(signal.SIGINT) is before


def test_an_interrupted_search_gives_the_best_plan_so_far(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], interrupts: list[int]
) -> None:
    """The plan is whole, says that it was stopped, and nothing is published; the status tells of it."""
    folder = make_round(tmp_path / "round")
    interrupts[0] = 1
    long = [str(folder), "--days", "4", "--seconds", "30", "--publish", "1"]
    status, said = called(capsys, *long, "--json")
    document = json.loads(said)
    assert status == 130
    assert document["stopped"] is True and document["reproducible"] is False
    assert document["runs"] and document["notes"][0]["code"] == "runs.stopped"
    assert document["published_stops"] == 0 and not (folder / "published.csv").exists()
    interrupts[0] = 1
    status, said = called(capsys, *long)
    assert status == 130 and said.splitlines()[-1].startswith("nothing was published")


def test_a_second_interrupt_ends_at_once(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], interrupts: list[int]
) -> None:
    """There is no plan, and the status is that of a program that was interrupted."""
    interrupts[0] = 2
    assert called(capsys, str(make_round(tmp_path / "round")), *FEW) == (130, "")


def test_a_plan_that_ends_by_itself_is_not_stopped(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], interrupts: list[int]
) -> None:
    """Status 0, and no word of stopping."""
    status, said = called(capsys, str(make_round(tmp_path / "round")), *FEW, "--json")
    document = json.loads(said)
    assert status == 0 and document["stopped"] is False
    assert not any("Stopped" in note for note in document["notes"])


def test_with_us_units_a_plan_is_read_in_pounds_and_miles(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The same plan, the month before the day."""
    folder = make_round(tmp_path / "r")
    status, text = called(capsys, str(folder), *FEW, "--us")
    assert status == 0 and "January 12, 2026" in text and " lb " in text and " miles" in text
    assert not re.search(r"\d (kg|t|km)\b", text)

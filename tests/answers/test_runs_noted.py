"""Wishes and happenings: any of them can be taken out again, and nothing else goes with it."""

from __future__ import annotations

import json
from datetime import date
from pathlib import Path

import pytest

from fuelplan import answers
from fuelplan.answers.which_runs.record import RecordError
from fuelplan.cli.main import main
from fuelplan.messages import as_text
from fuelplan.records.round import open_round
from tests.round_folders import make_round

FEW = ["--days", "3", "--moves", "50"]
WISHES = """\
customer,wish,date,tanker,by,why
K-01,pin,2026-01-14,,Anna,"needs help, with the hose"

K-02,forbid,,T1,,
K-01,move,2026-01-15,T2,,
"""
HAPPENINGS = """\
date,what,customer,tanker,depot,until,factor,class,reason
2026-01-12,failed drop,K-03,,,,,,boiler on
2026-01-13,slow roads,,,,2026-01-14,2,,snow
2026-01-13,tanker out,,T2,,2026-01-14,,,
"""


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A round with three wishes, a blank line among them, and three happenings."""
    return make_round(tmp_path / "round", files={"wishes.csv": WISHES, "happenings.csv": HAPPENINGS})


def without(text: str, row: int) -> str:
    """The text without one of its rows, counted as a spreadsheet does."""
    lines = text.splitlines(keepends=True)
    return "".join(lines[: row - 1] + lines[row:])


def name_of(folder: Path, short: str) -> str:
    """The whole name of the line that stands in a row now: "wish 2" → "wish 2-…"."""
    (found,) = [e.name for e in answers.noted(open_round(folder)) if f"{e.kind} {e.row}" == short]
    return found


def test_every_line_is_listed_in_words(folder: Path) -> None:
    """Each line by the name that takes it back, with its customer, days, tanker and reason."""
    said = [(e.name.split("-")[0], as_text(e.said)) for e in answers.noted(open_round(folder))]
    names = open_round(folder).customers
    one, two, three = (f"{c} {names.name[names.number_of[c]]}".strip() for c in ("K-01", "K-02", "K-03"))
    assert said == [
        ("wish 2", f"pin {one} on 14 January (needs help, with the hose)"),
        ("wish 4", f"forbid {two} with T1"),
        ("wish 5", f"move {one} to 15 January with T2"),
        ("happening 2", f"failed drop: {three}, 12 January (boiler on)"),
        ("happening 3", "slow roads: × 2, 13 January to 14 January (snow)"),
        ("happening 4", "tanker out: T2, 13 January to 14 January"),
    ]


@pytest.mark.parametrize("name", ["wish 2", "wish 4", "wish 5", "happening 2", "happening 3", "happening 4"])
def test_any_one_goes_and_the_rest_stays_byte_for_byte(folder: Path, name: str) -> None:
    """The oldest as well as the last: its own line goes, and undo puts it back."""
    round_ = open_round(folder)
    answers.take_out(round_, answers.noted_by_name(round_, [name_of(folder, name)]))
    kind, row = name.split()
    file, old = ("wishes.csv", WISHES) if kind == "wish" else ("happenings.csv", HAPPENINGS)
    assert (folder / file).read_text(encoding="utf-8") == without(old, int(row))
    left = open_round(folder)
    assert len(left.wishes) + len(left.happenings) == 5
    answers.undo_change(folder, answers.last_change(folder))
    assert (folder / file).read_text(encoding="utf-8") == old


def test_several_at_once_hit_their_own_rows(folder: Path) -> None:
    """Rows move up when one above goes; each name still means the line that it was listed for."""
    round_ = open_round(folder)
    wish, happening = name_of(folder, "wish 2"), name_of(folder, "happening 4")
    other = name_of(folder, "wish 5").replace("wish ", "WISH  ")
    answers.take_out(round_, answers.noted_by_name(round_, [wish, happening, other]))
    left = open_round(folder)
    assert [(w.customer, w.wish) for w in left.wishes] == [("K-02", "forbid")]
    assert [h.what for h in left.happenings] == ["failed drop", "slow roads"]


def test_a_line_changed_meanwhile_stays(folder: Path) -> None:
    """Where somebody else wrote into the row, nothing is taken out of the file."""
    round_ = open_round(folder)
    name = name_of(folder, "wish 2")
    changed = WISHES.replace("2026-01-14", "2026-01-16")
    (folder / "wishes.csv").write_text(changed, encoding="utf-8")
    with pytest.raises(answers.EditError, match="changed meanwhile"):
        answers.take_out(round_, answers.noted_by_name(round_, [name]))
    assert (folder / "wishes.csv").read_text(encoding="utf-8") == changed


def test_a_name_that_is_none_says_what_there_is(folder: Path, tmp_path: Path) -> None:
    """A wrong name lists the right ones; an empty folder says so."""
    with pytest.raises(RecordError, match=r'no "wish 3".*wish 2-[0-9a-f]{6} \(pin K-01.*happening 4-'):
        answers.noted_by_name(open_round(folder), ["wish 3"])
    empty = open_round(make_round(tmp_path / "empty"))
    with pytest.raises(RecordError, match="Nothing is noted"):
        answers.noted_by_name(empty, ["wish 2"])


def test_taken_back_on_the_command_line(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """`--take-back` takes an old line out before planning; what stays noted is listed."""
    tanker, wish, first = (name_of(folder, short) for short in ("happening 4", "wish 5", "wish 2"))
    status, text = called(capsys, str(folder), *FEW, "--take-back", tanker, "--take-back", wish)
    assert status == 0
    assert f"taken back: {tanker}, tanker out: T2, 13 January to 14 January" in text
    assert f'Noted (take one back with --take-back "{first}"):' in text
    assert "  wish 4-" in text and ": forbid K-02" in text and ": move" not in text
    status, text = called(capsys, str(folder), *FEW, "--json")
    found = json.loads(text)
    assert [(e["kind"], e["row"]) for e in found["noted"]] == [
        ("wish", 2), ("wish", 4), ("happening", 2), ("happening", 3),
    ]  # fmt: skip
    assert found["noted"][0]["name"] == first
    assert found["noted"][0]["date"] == "2026-01-14" and "14 January" in found["noted"][0]["text"]
    assert found["taken_back"] == []
    before = (folder / "wishes.csv").read_bytes()
    status, text = called(capsys, str(folder), *FEW, "--json", "--take-back", "wish 9")
    assert status == 2 and "There is wish 2-" in json.loads(text)["error"]["message"]
    assert (folder / "wishes.csv").read_bytes() == before


def test_a_taken_back_tanker_drives_again(folder: Path) -> None:
    """What was taken back no longer counts: the round knows the tanker as in service."""
    round_ = open_round(folder)
    assert [h.tanker for h in round_.happenings if h.day == date(2026, 1, 13)] == [None, "T2"]
    answers.take_out(round_, answers.noted_by_name(round_, [name_of(folder, "happening 4")]))
    assert not [h for h in open_round(folder).happenings if h.tanker == "T2"]


def called(capsys: pytest.CaptureFixture[str], *arguments: str) -> tuple[int, str]:
    """Run `fuelplan runs`; return its status and what it printed."""
    capsys.readouterr()
    with pytest.raises(SystemExit) as ended:
        main(["runs", *arguments])
    return int(ended.value.code or 0), capsys.readouterr().out

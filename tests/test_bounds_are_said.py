"""Numbers and days beyond what can be answered are refused with their bounds; what is sound is answered."""

from __future__ import annotations

import json
import math
from collections.abc import Collection
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import pytest

from fuelplan import answers
from fuelplan.cli import main
from fuelplan.cli.outcome import BAD_INPUT, OK
from tests.round_folders import make_round
from tests.site_folders import make_site

ROUND = str(Path(__file__).parent.parent / "demo_sites" / "round_quellmark")
EVERY_VERB = (
    ["order", "x"], ["learn", "x"], ["size", "x"], ["report", "x", "--pdf", "x.pdf"], ["outlook", "x"],
    ["runs", "x"], ["replay", "x"],
)  # fmt: skip


def said(arguments: list[str], capsys: pytest.CaptureFixture[str]) -> tuple[Any, str, str]:
    """Status, stdout and stderr of a command."""
    with pytest.raises(SystemExit) as left:
        main(arguments)
    found = capsys.readouterr()
    return left.value.code, found.out, found.err


@pytest.mark.parametrize("verb", EVERY_VERB, ids=lambda a: a[0])
@pytest.mark.parametrize("seed", ["99999999999999999999", "-1", "2147483648", "1.5", "nan", ""])
def test_every_verb_bounds_its_seed(capsys: pytest.CaptureFixture[str], verb: list[str], seed: str) -> None:
    """A seed beyond the random numbers' own is refused as usage, with what may be written."""
    status, out, err = said([*verb, "--seed", seed], capsys)
    assert (status, out) == (BAD_INPUT, "")
    assert "'--seed'" in err and ("0<=x<=2147483647" in err or "integer" in err)


BOUNDED = (
    (["runs", ROUND, "--moves", "-1"], "0<=x<="), (["runs", ROUND, "--moves", "9" * 20], "0<=x<="),
    (["runs", ROUND, "--days", "0"], "1 to 15"), (["runs", ROUND, "--days", "99"], "1 to 15"),
    (["runs", ROUND, "--publish", "99"], "0<=x<=15"), (["runs", ROUND, "--publish", "-1"], "0<=x<=15"),
    *((["runs", ROUND, "--seconds", odd], "seconds above 0") for odd in ("0", "-1", "nan", "inf", "1e9")),
    (["runs", ROUND, "--workers", "0"], "1<=x<=64"), (["runs", ROUND, "--workers", "65"], "1<=x<=64"),
    (["outlook", ROUND, "--days", "0"], "1<=x<=730"), (["outlook", ROUND, "--days", "9999"], "1<=x<=730"),
    (["outlook", ROUND, "--workers", "9999"], "1<=x<=64"), (["replay", ROUND, "--winters", "1"], "2<=x<=60"),
    (["replay", ROUND, "--winters", "61"], "2<=x<=60"), (["replay", ROUND, "--iterations", "0"], "1<=x<="),
    (["replay", ROUND, "--iterations", "99999999999999999999"], "1<=x<="),
    (["replay", ROUND, "--workers", "0"], "1<=x<=64"),
    (["app", "--port", "0"], "1<=x<=65535"), (["app", "--port", "65536"], "1<=x<=65535"),
    (["degree-days", "x", "--base", "nan"], "-60 to 130"),
    (["degree-days", "x", "--base", "inf"], "-60 to 130"),
    (["degree-days", "x", "--base", "1e300"], "-60 to 130"),
)  # fmt: skip


@pytest.mark.parametrize(("arguments", "bounds"), BOUNDED)
def test_every_number_of_the_command_line_has_bounds_that_are_said(
    capsys: pytest.CaptureFixture[str], arguments: list[str], bounds: str
) -> None:
    """One step beyond either end, and what is no number, is refused as usage before anything is read."""
    status, out, err = said(arguments, capsys)
    assert (status, out) == (BAD_INPUT, "")
    assert bounds in err


def test_more_days_to_publish_than_are_planned_are_refused(capsys: pytest.CaptureFixture[str]) -> None:
    """Nothing is planned or noted; the sentence says how many days there are."""
    status, _, err = said(["runs", ROUND, "--days", "2", "--publish", "3", "--pin", "x:2026-01-20"], capsys)
    assert status == BAD_INPUT
    assert "2 working days are planned" in err


@pytest.mark.parametrize("seconds", [math.nan, 0.0, -1.0, math.inf])
def test_the_library_refuses_such_budgets_too(seconds: float) -> None:
    """What the command line refuses is no answer of the library either."""
    from fuelplan.answers.which_runs.runs import refuse

    round_ = answers.open_round(ROUND)
    with pytest.raises(ValueError, match="a budget of"):
        refuse(round_, None, seconds)
    with pytest.raises(ValueError, match="a budget of"):
        refuse(round_, None, None, -1)


@pytest.mark.parametrize(
    "day", ["9999-12-31", "0001-01-01", "1849-12-31", "2201-01-01", "2026-01-15T10:00:00"]
)
def test_a_day_beyond_the_calendar_of_people_is_a_fault(tmp_path: Path, day: str) -> None:
    """`example_date = 9999-12-31` was sound, and `order` ended in an OverflowError: each day has bounds."""
    away = f'[[away]]\nfrom = {day}\nto = {day}\nindoor = "12 degC"\n[store]'
    for change in (("format = 1\n", f"format = 1\nexample_date = {day}\n"), ("[store]", away)):
        folder = make_site(tmp_path / change[0].strip("[]\n"), mean_c=[3.0] * 30, changes=[change])
        _, faults = answers.check_folder(folder)
        assert faults and all("year must lie" in f.message or "time of day" in f.message for f in faults)
    example = ("round.toml", "example_date = 2026-01-12", f"example_date = {day}")
    folder = make_round(tmp_path / "round", weather_days=10, changes=[example])
    from fuelplan.records.round import check_round

    assert [f.key for f in check_round(folder)] == ["example_date"]


def epw(missing: Collection[tuple[int, int]], years: tuple[int, ...]) -> str:
    """An EPW file without some days; its months come from several years where `years` are several."""
    rows = ["LOCATION,Mill,-,-,-,0,47.0,9.0,1.0,500.0", *["HEAD"] * 7]
    for day in (date(2001, 1, 1) + timedelta(days=i) for i in range(365)):
        mean = 8 - 10 * math.cos(2 * math.pi * day.timetuple().tm_yday / 365)
        if (day.month, day.day) not in missing:
            year = years[day.month % len(years)]
            rows += [f"{year},{day.month},{day.day},{h},0,?,{mean:.1f},1.0,80,98000" for h in range(1, 25)]
    return "\n".join(rows) + "\n"


SPRING = {(m, d) for m in (1, 2) for d in range(1, 32)}
SUMMER = {(7, d) for d in range(1, 32)}


@pytest.mark.parametrize("missing", [{(2, 28)}, SPRING, SUMMER, {(1, 1)}, {(12, 31)}], ids=len)
def test_a_reference_year_without_some_days_is_a_fault(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], missing: set[tuple[int, int]]
) -> None:
    """An EPW file without 28 February was sound, and `order` ended in a KeyError: both name what lacks."""
    example = ("format = 1\n", "format = 1\nexample_date = 2020-12-01\n")
    folder = make_site(tmp_path / "house", mean_c=[3.0], changes=[('"weather.csv"', '"w.epw"'), example])
    (folder / "w.epw").write_text(epw(missing, (2001, 2002)))
    for arguments in (["check"], ["order"], ["size"]):
        status, out, err = said([arguments[0], str(folder)], capsys)
        assert status == BAD_INPUT
        assert "a reference year needs all of its days" in out + err


def test_a_whole_reference_year_is_answered(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The same file with all of its days has an answer."""
    example = ("format = 1\n", "format = 1\nexample_date = 2020-12-01\n")
    folder = make_site(tmp_path / "house", mean_c=[3.0], changes=[('"weather.csv"', '"w.epw"'), example])
    (folder / "w.epw").write_text(epw((), (2001, 2002)))
    assert said(["check", str(folder)], capsys)[0] == OK
    assert said(["order", str(folder)], capsys)[0] == OK


def test_check_says_where_order_has_no_answer(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Thirty days of weather are too few for an answer: `check` says what `order` says, as a warning."""
    example = ("format = 1\n", "format = 1\nexample_date = 2020-12-01\n")
    folder = make_site(tmp_path / "house", mean_c=[3.0] * 30, changes=[example])
    status, out, _ = said(["check", str(folder), "--json"], capsys)
    faults = json.loads(out)["faults"]
    assert (status, [fault["warning"] for fault in faults]) == (OK, [True])
    assert faults[0]["message"].startswith("for 1 December 2020 there is no order answer: ")
    _, _, err = said(["order", str(folder)], capsys)
    assert err.removeprefix("fuelplan: ").strip() in faults[0]["message"]

"""However many rows and faults there are: so many are read, so many listed, and the rest is counted."""

from __future__ import annotations

import json
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import pytest

from fuelplan import answers
from fuelplan.cli import main
from fuelplan.cli.outcome import BAD_INPUT, LISTED
from fuelplan.learning import readings
from fuelplan.learning.evidence import MOST_READINGS, NEWEST_READINGS, Record, thinned
from fuelplan.records.site import tables
from fuelplan.weather import Place
from fuelplan.weather.sources import FileRequest, WeatherFault, load, text_rows
from tests.round_folders import make_round
from tests.site_folders import make_site


def said(arguments: list[str], capsys: pytest.CaptureFixture[str]) -> tuple[Any, str, str]:
    """Status, stdout and stderr of a command."""
    with pytest.raises(SystemExit) as left:
        main(arguments)
    found = capsys.readouterr()
    return left.value.code, found.out, found.err


def unsorted_site(folder: Path, n: int) -> Path:
    """A site with n readings, each earlier than the one before."""
    rows = [f"{date(2020, 11, 1) - timedelta(days=i)},{2000 + i} kg" for i in range(n)]
    return make_site(folder, mean_c=[3.0] * 30, readings="\n".join(["date,reading", *rows]) + "\n")


def test_a_site_lists_a_thousand_faults_and_counts_the_rest(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """2,501 readings in the wrong order: `check --json` and the error of `order` hold 1,000 and the number of
    others; for a person the first 200 are shown, and how many there are of each kind.
    """
    folder = str(unsorted_site(tmp_path / "house", 2_501))
    status, out, _ = said(["check", folder, "--json"], capsys)
    document = json.loads(out)
    assert (status, len(document["faults"]), document["more_faults"]) == (BAD_INPUT, 1_000, 1_500)
    kinds = {c["what"]["text"]: c["count"] for c in document["counts"]}
    assert kinds == {"the rows are not sorted by date": 2_500}
    status, out, _ = said(["order", folder, "--json"], capsys)
    error = json.loads(out)["error"]
    assert (status, len(error["faults"]), error["more_faults"]) == (BAD_INPUT, 1_000, 1_500)
    _, out, err = said(["check", folder], capsys)
    assert out.count("\n") == 202
    assert "… and 2,300 more. In all:\n  2,500 × readings.csv: date: the rows" in out
    assert err == "2,500 faults\n"
    assert said(["order", folder], capsys)[2].count("\n") == 202


def test_a_round_lists_a_thousand_faults_and_counts_the_rest(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """1,500 deliveries without a date: 1,000 in the documents of `check` and `outlook`, the rest counted."""
    folder = make_round(tmp_path / "round", weather_days=10)
    rows = "".join(f"K-01,soon,{1000 + i},A1,T1\n" for i in range(1_500))
    (folder / "deliveries.csv").write_text("customer,date,kg,class,tanker\n" + rows)
    document = json.loads(said(["check", str(folder), "--json"], capsys)[1])
    assert (len(document["faults"]), document["more_faults"]) == (LISTED, 500)
    assert [c["count"] for c in document["counts"]] == [1_500]
    error = json.loads(said(["outlook", str(folder), "--json"], capsys)[1])["error"]
    assert (len(error["faults"]), error["more_faults"]) == (LISTED, 500)


def test_more_rows_than_a_house_has_are_one_fault(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A file of too many rows is told in one sentence, and none of its rows is read."""

    def read(row: Any) -> Any:
        raise AssertionError("a row was read")

    folder = unsorted_site(tmp_path / "house", tables.MOST_ROWS)
    (folder / "deliveries.csv").write_text("note\r" * (tables.MOST_ROWS + 1))
    with (folder / "readings.csv").open("a") as stream:
        stream.write("2020-11-01,4 t\n")
    monkeypatch.setattr(tables, "_readings", read)
    monkeypatch.setattr(tables, "_deliveries", read)
    _, faults = answers.check_folder(folder)
    assert [f.message for f in faults] == [
        f"the file has {n:,} rows; 50,000 are the most that are read for one house" for n in (50_001, 50_002)
    ]


def twice(path: Path, n: int) -> Path:
    """A weather file with n days, each twice with other values."""
    days = [date(2000, 1, 1) + timedelta(days=i) for i in range(n)]
    lines = ["date,mean_c", *(f"{day},{value}" for value in (3.0, 4.0) for day in days)]
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")
    return path


def test_a_weather_file_lists_a_thousand_faults(tmp_path: Path) -> None:
    """1,700 days that differ from their first row, 1,700 odd rows of an EPW file: 1,000 and how many more."""
    epw = tmp_path / "w.epw"
    head = "LOCATION,Mill,-,-,-,0,47.0,9.0,1.0,500.0\n" + "HEAD\n" * 7
    epw.write_text(head + "2001,1,1,25,0,?,3,1,80,98000\n2001,x\n" * 850)
    for path in (twice(tmp_path / "w.csv", 1_700), epw):
        with pytest.raises(WeatherFault) as refused:
            load(FileRequest(path), Place())
        assert len(refused.value.faults) == 1_001
        assert refused.value.faults[-1].message == "and 700 more faults of this kind"


def test_a_day_that_is_there_twice_is_found_without_a_search(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Comparing a day with its first row looks at that row alone: no list is gone through for each."""
    from fuelplan.weather.sources import csv_file

    class Keys(list[int]):
        def index(self, *given: Any) -> int:
            raise AssertionError("the list was searched")

        def __contains__(self, key: object) -> bool:
            raise AssertionError("the list was searched")

    class Rows(csv_file._Rows):
        def __init__(self, *given: Any) -> None:
            super().__init__(*given)
            self.keys = Keys()

    monkeypatch.setattr(csv_file, "_Rows", Rows)
    with pytest.raises(WeatherFault, match="is in line 2 already"):
        load(FileRequest(twice(tmp_path / "w.csv", 5)), Place())


@pytest.mark.parametrize("name", ["w.csv", "w.epw"])
def test_a_weather_file_of_too_many_lines_is_left(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, name: str
) -> None:
    """Beyond so many lines no further one is read: one sentence."""
    monkeypatch.setattr(text_rows, "MOST_LINES", 50)
    path = tmp_path / name
    line = "LOCATION,Mill,-,-,-,0,47.0,9.0,1.0,500.0\n" if name == "w.epw" else "date,mean_c\n"
    path.write_text(line * 60)
    with pytest.raises(WeatherFault, match="more than 50 lines"):
        load(FileRequest(path), Place())


def test_learning_takes_a_bounded_number_of_readings_and_all_of_the_newest() -> None:
    """However many readings there are: at most 421 are learned from, the first and the last 60 among them."""
    first = date(1940, 1, 1)
    for n in (100, 421, 1_000, 30_000):
        seen = tuple(readings.weighed(first + timedelta(days=i), 1000.0) for i in range(n))
        record = Record(first, seen, (), seen[-1].day, None, (False,) * n)
        kept = thinned(record).observations
        assert len(kept) <= MOST_READINGS + 1
        assert kept[-NEWEST_READINGS:] == seen[-NEWEST_READINGS:] and kept[0] == seen[0]
        assert len(kept) == n or len(kept) > MOST_READINGS / 2

"""`fuelplan outlook` as a person and a program meet it."""

from __future__ import annotations

import csv
import io
import json
import shutil
from pathlib import Path
from typing import Any

import pandas as pd
import pytest

from fuelplan.cli.main import main
from tests.round_example import FOLDER, ROUND


def told(capsys: pytest.CaptureFixture[str], *arguments: str) -> tuple[int, str, str]:
    """Exit status, stdout and stderr of the command."""
    with pytest.raises(SystemExit) as left:
        main(["outlook", *arguments])
    out, err = capsys.readouterr()
    return int(left.value.code or 0), out, err


def test_the_first_sentence_answers_the_question(capsys: pytest.CaptureFixture[str]) -> None:
    """That the weather is invented, how many tonnes in the coming weeks, then who must be served and rung;
    lists and weeks below.
    """
    status, out, err = told(capsys, str(FOLDER), "--days", "60")
    assert status == 0 and not err
    lines = out.splitlines()
    assert lines[0] == "Quellmark fuel yard, 15 January 2026"
    assert lines[2] == "Worked out with invented weather: do not act on it."
    assert lines[3].startswith("Customers will need about ") and " t in the week from 16 January" in lines[3]
    assert "top-up customers are due by 29 January" in out and "should be rung" in out
    assert "to deliver, t" in out and out.count(" to ") > 20
    assert "On-request customers to ring" in out and "at once" in out
    assert "draws over 25 real winters" in out
    assert all(len(line) <= 110 for line in lines)


def test_the_document_holds_what_is_promised(capsys: pytest.CaptureFixture[str]) -> None:
    """Every customer with its run-out dates, weeks with p10, p50 and p90, and the same bytes again."""
    status, out, _ = told(capsys, str(FOLDER), "--json", "--days", "40")
    document = json.loads(out)
    assert status == 0 and document["schema"] == 2 and document["horizon_days"] == 40
    assert document["reproducible"] is True and document["as_of"] == "2026-01-15"
    assert [c["customer"] for c in document["customers"]] == ROUND.customers.id.tolist()
    for one in document["customers"]:
        assert set(one["run_out"]) == {"p02", "p10", "p50", "p90"}
        assert set(one["level_kg"]) == {"p10", "p50", "p90"}
        dates = [d for d in one["run_out"].values() if d is not None]
        assert dates == sorted(dates) and one["contract"] in ("top-up", "on request")
    weeks = document["weekly_t"]
    assert len(weeks["p10"]) == len(weeks["p50"]) == len(weeks["p90"]) == len(weeks["first_day"]) == 5
    assert weeks["first_day"][0] == "2026-01-16"
    classes = document["weekly_t_by_class"]
    assert set(classes) == {"A1", "A2"}
    for a1, a2, whole in zip(classes["A1"]["p50"], classes["A2"]["p50"], weeks["p90"], strict=True):
        assert 0 <= a1 <= whole and 0 <= a2 <= whole
    known = {c["customer"] for c in document["customers"]}
    assert set(document["must_go"]) | set(document["to_ring"]) <= known
    assert document["weather"]["winters"] == 25 and document["weather"]["attribution"]
    assert told(capsys, str(FOLDER), "--json", "--days", "40")[1] == out
    assert told(capsys, str(FOLDER), "--json", "--days", "40", "--seed", "2")[1] != out


def test_customers_go_to_a_file(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """CSV and Parquet hold the same rows; the document then names the file in place of them."""
    for name in ("a.csv", "a.parquet"):
        status, out, _ = told(capsys, str(FOLDER), "--days", "30", "--json", "--out", str(tmp_path / name))
        document = json.loads(out)
        assert status == 0 and document["customers"] is None
        assert document["customers_file"].endswith(name)
    table = pd.read_parquet(tmp_path / "a.parquet")
    rows = list(csv.DictReader(io.StringIO((tmp_path / "a.csv").read_text(encoding="utf-8"))))
    assert len(table) == len(rows) == 120 and list(table.columns) == list(rows[0])
    assert table["customer"].tolist() == [row["customer"] for row in rows]
    written = table["run_out_p10"].dt.strftime("%Y-%m-%d").fillna("").tolist()
    assert written == [row["run_out_p10"] for row in rows]
    assert table["overdue"].sum() == sum(row["overdue"] == "True" for row in rows) > 0
    status, out, _ = told(capsys, str(FOLDER), "--days", "30", "--out", str(tmp_path / "b.csv"))
    assert status == 0 and out.rstrip().endswith("b.csv") and (tmp_path / "b.csv").is_file()


def test_no_name_is_a_formula_for_a_spreadsheet(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A customer called =1+1 leaves as text."""
    folder = tmp_path / "round"
    shutil.copytree(FOLDER, folder)
    text = (folder / "customers.csv").read_text(encoding="utf-8")
    changed = text.replace('"Lime tree house, Quellmark"', '"=1+1"')
    assert changed != text
    (folder / "customers.csv").write_text(changed, encoding="utf-8")
    status, _, _ = told(capsys, str(folder), "--days", "14", "--out", str(tmp_path / "a.csv"))
    assert status == 0
    rows = list(csv.DictReader(io.StringIO((tmp_path / "a.csv").read_text(encoding="utf-8"))))
    assert rows[0]["name"] == "'=1+1"


@pytest.mark.parametrize(
    ("more", "words"),
    [
        (("--out", "a.txt"), "must end in .csv or .parquet"),
        (("--out", "no_such_folder/a.csv"), "not a valid place for a file"),
        (("--days", "0"), "1<=x<=730"),
        (("--as-of", "yesterday"), "yesterday"),
        (("--as-of", "1990-01-01"), "weather record begins"),
    ],
)
def test_what_cannot_be_asked_is_said(
    more: tuple[str, ...], words: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """A wrong option ends with status 2 and a sentence, and as a document where one was asked for."""
    status, out, err = told(capsys, str(FOLDER), *more)
    assert status == 2 and words in err and not out
    status, out, _ = told(capsys, str(FOLDER), "--json", *more)
    assert status == 2 and words in json.loads(out)["error"]["message"]


def test_a_faulty_folder_is_refused_with_all_its_faults(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Faults of two files come at once, with their rows."""
    folder = tmp_path / "round"
    shutil.copytree(FOLDER, folder)
    for name, old, new in (
        ("customers.csv", "Q002,", "Q001,"),
        ("readings.csv", "customer,date,kg,percent\n", "customer,date,kg,percent\nQ001,2025-13-01,,50\n"),
    ):
        text = (folder / name).read_text(encoding="utf-8")
        assert old in text
        (folder / name).write_text(text.replace(old, new, 1), encoding="utf-8")
    status, _, err = told(capsys, str(folder))
    assert status == 2 and "customers.csv:3" in err and "readings.csv:2" in err
    status, out, _ = told(capsys, str(folder), "--sound-only", "--days", "14")
    assert status == 0 and "faulty rows are left out, such as customers.csv:3" in out
    status, out, _ = told(capsys, str(folder), "--json")
    assert status == 2 and len(json.loads(out)["error"]["faults"]) >= 2
    assert told(capsys, str(tmp_path))[0] == 2


def test_with_us_units_people_read_pounds_and_programs_the_same_figures(
    capsys: pytest.CaptureFixture[str],
) -> None:
    """Sentences and customers in tons and pounds, the month first; in the document texts alone differ."""
    status, out, _ = told(capsys, str(FOLDER), "--days", "30", "--us")
    assert status == 0 and "January 15, 2026" in out and " short tons in the week from January 16" in out
    customers = out.split("Top-up customers, deliver by")[1].split("Readings to ask about")[0]
    assert customers.count(" lb ") > 20 and " kg" not in customers
    metric, us = (told(capsys, str(FOLDER), "--days", "30", "--json", *more)[1] for more in ((), ("--us",)))
    assert metric != us and _figures(json.loads(metric)) == _figures(json.loads(us))


def _figures(document: Any) -> Any:
    """A document without its texts."""
    if isinstance(document, dict):
        return {key: _figures(value) for key, value in document.items() if key != "text"}
    return [_figures(value) for value in document] if isinstance(document, list) else document

"""`fuelplan import`: a supplier's spreadsheet looked at, refused with every fault at once, or taken in."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from fuelplan import answers
from fuelplan.cli import main
from fuelplan.records.folder import FolderBooks
from fuelplan.records.folder.table_text import TableText
from fuelplan.records.round import open_round
from fuelplan.records.tables import RoundFaults
from tests.records.test_round_import import OWN_CUSTOMERS, OWN_DELIVERIES
from tests.round_folders import CUSTOMERS, DELIVERIES, make_round

DELIVERY_COLUMNS = ("customer=Kunde", "date=Datum [%d.%m.%Y]", "kg=Menge [t]", "class=Sorte")
CUSTOMER_COLUMNS = (
    "customer=Kundennr", "name=Ort", "latitude=Breite", "longitude=Länge", "store_kg=Silo (t) [t]",
    "hose_m=Schlauch", "contract=Vertrag [Betreuung=top-up; Abruf=on request]",
    "trailer_ok=Anhänger [J=yes; N=no]",
)  # fmt: skip


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A sound round."""
    return make_round(tmp_path / "round")


def take(
    capsys: pytest.CaptureFixture[str], folder: Path, text: str, *options: str, columns: tuple[str, ...] = ()
) -> tuple[int, str, str]:
    """Import a text as the supplier's file; return exit status, stdout and stderr."""
    file = folder.parent / "own.csv"
    file.write_text(text, encoding="utf-8")
    given = [part for column in columns for part in ("--column", column)]
    with pytest.raises(SystemExit) as left:
        main(["import", str(folder), str(file), *given, *options])
    out, err = capsys.readouterr()
    assert "Traceback" not in out + err
    return int(left.value.code or 0), out, err


def files_of(folder: Path) -> dict[str, bytes]:
    """The files of a folder, the lock left out."""
    return {f.name: f.read_bytes() for f in folder.iterdir() if not f.name.startswith(".")}


def test_every_fault_at_once_and_nothing_written(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A date that is none, a customer nobody knows and a word for a number: row, own column, words."""
    before = files_of(folder)
    args = ("--as", "deliveries")
    status, out, err = take(capsys, folder, OWN_DELIVERIES, *args, columns=DELIVERY_COLUMNS)
    assert (status, out) == (2, "")
    lines = err.splitlines()
    assert [line.split(": ")[:2] for line in lines[:3]] == [
        ["own.csv:4", "Datum"], ["own.csv:5", "Kunde"], ["own.csv:6", "Menge"],
    ]  # fmt: skip
    assert "write year-month-day" in lines[0] and "K-77" in lines[1] and 'e.g. "' in lines[2]
    assert "3 of 5 rows" in lines[3] and "--sound-only" in lines[3]
    status, out, _ = take(capsys, folder, OWN_DELIVERIES, *args, "--json", columns=DELIVERY_COLUMNS)
    found = json.loads(out)
    assert status == 2 and found["schema"] == 2 and found["error"]["kind"] == "import"
    assert [(f["line"], f["key"]) for f in found["error"]["faults"]] == [
        (4, "Datum"), (5, "Kunde"), (6, "Menge"),
    ]  # fmt: skip
    assert files_of(folder) == before


def test_sound_rows_alone_are_taken_once(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """With --sound-only the two sound rows count: one is new, one stood there; again, both stand there."""
    args = ("--as", "deliveries", "--sound-only", "--json")
    status, out, _ = take(capsys, folder, OWN_DELIVERIES, *args, columns=DELIVERY_COLUMNS)
    found: dict[str, Any] = json.loads(out)
    assert status == 0 and found["written"] is True
    counts = [found[key] for key in ("rows", "added", "already_there", "left_out")]
    assert counts == [5, 1, 1, 3]
    assert [fault["line"] for fault in found["faults"]] == [4, 5, 6]
    assert found["not_taken"] == ["Fahrer"]
    text = (folder / "deliveries.csv").read_text(encoding="utf-8")
    assert text == DELIVERIES + "K-02,2025-11-03,5100,A1,,\n"
    status, out, err = take(
        capsys, folder, OWN_DELIVERIES, "--as", "deliveries", "--sound-only", columns=DELIVERY_COLUMNS
    )
    assert status == 0 and "0 rows were added; 2 stood there already" in out
    assert "3 rows with faults are left out" in out and "own.csv:4" in err
    assert (folder / "deliveries.csv").read_text(encoding="utf-8") == text


def test_a_preview_writes_nothing(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The rows are shown as they would be, in our units; the folder stays as it is, byte for byte."""
    before = files_of(folder)
    sound = OWN_CUSTOMERS.replace("1.200,5", "4,5")
    args = ("--as", "customers", "--preview")
    status, out, _ = take(capsys, folder, sound, *args, columns=(*CUSTOMER_COLUMNS,))
    assert status == 2  # the round has areas: it must be known whose weather counts
    sound = sound.replace("Anhänger\n", "Anhänger;Area\n").replace(";N\n", ";N;valley\n")
    sound = sound.replace(";J\n", ";J;valley\n")
    status, out, _ = take(capsys, folder, sound, *args, columns=CUSTOMER_COLUMNS)
    assert status == 0, out
    assert "Silo (t) → store_kg [t]" in out and "Area → area" in out
    assert "row 2: customer 0017, name Hof am Berg, area valley" in out and "store_kg 9500" in out
    assert "2 rows would be added; 0 stood there already" in out and "Nothing was written." in out
    assert files_of(folder) == before


def test_a_row_that_needs_a_faulty_one_is_left_out_with_it(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A neighbour named in a row that is left out is no neighbour: the row that names it is told of, too."""
    text = (
        "customer,name,area,latitude,longitude,store_kg,split_with\n"
        "N-1,A,valley,47.2,11.3,5000,N-2\nN-2,B,valley,47.2,11.3,much,\nN-3,C,valley,47.2,11.3,5000,\n"
    )
    status, out, _ = take(capsys, folder, text, "--as", "customers", "--sound-only", "--json")
    found = json.loads(out)
    assert status == 0 and found["added"] == 1
    assert [(f["line"], f["key"]) for f in found["faults"]] == [(2, "split_with"), (3, "store_kg")]
    assert (folder / "customers.csv").read_text(encoding="utf-8").startswith(CUSTOMERS)
    assert open_round(folder).customers.id.tolist()[-1] == "N-3"


def test_customers_are_held_against_the_round(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """What is wrong only beside other cells or the round is told, too; it needs no customers yet."""
    (folder / "customers.csv").unlink()
    text = (
        "customer,area,latitude,longitude,store_kg,reserve_kg\n"
        "N-1,valley,47.2,11.3,5000,6000\nN-2,moon,47.2,11.3,5000,\nN-2,valley,47.2,11.3,5000,\n"
    )
    status, _, err = take(capsys, folder, text, "--as", "customers")
    assert status == 2
    keys = [line.split(": ")[:2] for line in err.splitlines()[:3]]
    assert keys == [["own.csv:2", "reserve_kg"], ["own.csv:3", "area"], ["own.csv:4", "customer"]]


def test_in_the_place_of_the_file_the_old_one_is_kept(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """With --instead the table is the import alone; what was there lies beside it."""
    text = "customer;date;kg\nK-01;2025-12-24;3000\n"
    status, _, _ = take(capsys, folder, text, "--as", "deliveries", "--instead")
    assert status == 0
    assert (folder / "deliveries.csv").read_text(
        encoding="utf-8"
    ) == "customer,date,kg,class,tanker,filled_full\nK-01,2025-12-24,3000,,,\n"
    assert (folder / "deliveries.before_import.csv").read_text(encoding="utf-8") == DELIVERIES


def test_the_past_in_parquet_counts(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Deliveries that stand in the Parquet file are not added to the CSV file beside it."""
    import pandas as pd

    past = pd.DataFrame(
        {
            "customer": ["K-01", "K-02"],
            "date": pd.to_datetime(["2025-10-06", "2025-11-03"]),
            "kg": [4120.0, 5100.0],
            "class": ["A1", "A1"],
        }
    )
    past.to_parquet(folder / "deliveries.parquet")
    (folder / "deliveries.csv").unlink()
    text = "customer,date,kg,class\nK-01,2025-10-06,4120,A1\nK-02,2025-11-03,5100.0,A1\n"
    text += "K-02,2025-12-03,5100,A1\n"
    status, out, _ = take(capsys, folder, text, "--as", "deliveries", "--json")
    found = json.loads(out)
    assert (status, found["added"], found["already_there"]) == (0, 1, 2)
    text = (folder / "deliveries.csv").read_text(encoding="utf-8")
    assert text == "customer,date,kg,class,tanker,filled_full\nK-02,2025-12-03,5100,A1,,\n"
    readings = pd.DataFrame({"customer": ["K-01"], "date": ["2026-01-04"], "kg": [None], "percent": [40.0]})
    readings.astype({"kg": float}).to_parquet(folder / "readings.parquet")
    (folder / "readings.csv").unlink(missing_ok=True)
    text = "customer,date,percent\nK-01,2026-01-04,40\nK-01,2026-01-05,40\n"
    status, out, _ = take(capsys, folder, text, "--as", "readings", "--json")
    assert (status, json.loads(out)["added"]) == (0, 1)


def test_what_somebody_writes_meanwhile_is_not_lost(
    folder: Path, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    """Where the file is changed between looking and writing, the import gives way and says so."""
    file = tmp_path / "own.csv"
    file.write_text("customer,date,kg,class\nK-02,2025-11-03,5100,A1\n", encoding="utf-8")
    look = answers.look_at_import(folder, file, "deliveries", {})
    real = FolderBooks.read
    theirs = DELIVERIES + "K-05,2025-12-12,3000,A1,,\n"

    def and_then_changed(*given: Any, **more: Any) -> TableText:
        read = real(*given, **more)
        (folder / "deliveries.csv").write_text(theirs, encoding="utf-8")
        return read

    monkeypatch.setattr(FolderBooks, "read", and_then_changed)
    with pytest.raises(answers.EditError, match="changed meanwhile"):
        answers.take_import(look)
    assert (folder / "deliveries.csv").read_text(encoding="utf-8") == theirs


def test_a_file_keeps_its_line_ends_and_its_mark(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Rows join a file as a spreadsheet on Windows left it: byte order mark, line ends and all."""
    old = b"\xef\xbb\xbf" + DELIVERIES.replace("\n", "\r\n").encode()
    (folder / "deliveries.csv").write_bytes(old)
    status, _, _ = take(
        capsys, folder, "customer,date,kg,class\nK-02,2025-11-03,5100,A1\n", "--as", "deliveries"
    )
    assert status == 0
    assert (folder / "deliveries.csv").read_bytes() == old + b"K-02,2025-11-03,5100,A1,,\r\n"


@pytest.mark.parametrize(
    ("columns", "words"),
    [
        (("Kunde",), "write our column, then yours"),
        (("customer=Kunde", "name=Kunde"), "given twice"),
        (("customer=Kunde", "date=Tag"), "no such column"),
        (("customer=Kunde",), "no own column becomes date"),
    ],
)
def test_columns_that_cannot_be_are_refused(
    folder: Path, capsys: pytest.CaptureFixture[str], columns: tuple[str, ...], words: str
) -> None:
    """A column written wrongly says how to write it; the file's own names are told."""
    status, _, err = take(capsys, folder, OWN_DELIVERIES, "--as", "deliveries", columns=columns)
    assert status == 2 and words in err


def test_brackets_in_a_name_of_ones_own() -> None:
    """A column whose own name ends in brackets is meant by giving brackets once more."""
    assert answers.column_pairs(["store_kg=Silo [t] [t]", "contract = Art [B=top-up; A=on request]"]) == {
        "Silo [t]": "store_kg [t]",
        "Art": "contract [B=top-up; A=on request]",
    }


def test_faulty_rows_are_never_written(folder: Path) -> None:
    """The library refuses to write what was looked at with faults, and a round that is none."""
    file = folder.parent / "own.csv"
    file.write_text("customer,date,kg\nK-99,2025-11-03,5100\n", encoding="utf-8")
    before = files_of(folder)
    look = answers.look_at_import(folder, file, "deliveries", {})
    with pytest.raises(RoundFaults, match="K-99"):
        answers.take_import(look)
    assert files_of(folder) == before
    with pytest.raises(RoundFaults, match=r"round\.toml"):
        answers.look_at_import(folder.parent, file, "deliveries", {})

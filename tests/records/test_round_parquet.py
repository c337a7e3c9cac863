"""Parquet files of a round: the same arrays as from CSV, typed or as text, and never a traceback."""

from __future__ import annotations

import subprocess
import sys
from dataclasses import fields
from pathlib import Path

import numpy as np
import pandas as pd
import pyarrow as pa
import pyarrow.parquet as pq
import pytest

from fuelplan.records.round import check_round, open_round
from fuelplan.records.tables import parquet
from tests.round_folders import make_round


def as_parquet(folder: Path, name: str, frame: pd.DataFrame) -> None:
    """Put a table in the place of its CSV file."""
    frame.to_parquet(folder / f"{name}.parquet", index=False)
    (folder / f"{name}.csv").unlink()


@pytest.mark.parametrize("typed", [False, True])
def test_parquet_gives_what_csv_gives(tmp_path: Path, typed: bool) -> None:
    """Text cells and typed ones (numbers, dates, yes-no, categories) give the arrays of the CSV files."""
    folder = make_round(tmp_path / "round")
    usual = open_round(folder)
    for name in ("customers", "deliveries", "readings"):
        frame = pd.read_csv(folder / f"{name}.csv", dtype=None if typed else str, keep_default_na=typed)
        if typed and "date" in frame:
            frame["date"] = pd.to_datetime(frame["date"])
        if typed and name == "deliveries":
            frame["filled_full"] = frame["filled_full"] == "yes"
        if typed and name == "customers":
            frame["area"] = frame["area"].astype("category")
        as_parquet(folder, name, frame)
    assert check_round(folder) == []
    found = open_round(folder)
    for part in ("customers", "deliveries", "readings"):
        one, other = getattr(found, part), getattr(usual, part)
        for field in fields(one):
            if field.name != "row":
                wanted = getattr(other, field.name)
                np.testing.assert_array_equal(getattr(one, field.name), wanted, f"{part}.{field.name}")
        assert one.row.tolist() == list(range(1, len(one) + 1))


def test_faults_of_typed_cells_are_named(tmp_path: Path) -> None:
    """Missing and impossible typed cells are faults at their row, counted from 1."""
    folder = make_round(tmp_path / "round")
    days = pd.to_datetime(["2025-10-01", None, "1700-01-01", "2025-10-02"]).astype("datetime64[s]")
    frame = pd.DataFrame(
        {"customer": ["K-01", "K-02", "K-03", None], "date": days, "kg": [3000, 3100, np.nan, -5.0]}
    )
    as_parquet(folder, "deliveries", frame)
    assert [(f.line, f.key, str(f.rule)) for f in check_round(folder)] == [
        (2, "date", "missing"),
        (3, "date", "cannot be meant"),
        (3, "kg", "missing"),
        (4, "customer", "missing"),
        (4, "kg", "cannot be meant"),
    ]
    assert open_round(folder, sound_only=True).deliveries.kg.tolist() == [3000]


def test_lists_and_numbers_as_ids(tmp_path: Path) -> None:
    """Ids kept as whole numbers are text; classes and weekdays may be lists."""
    none = {"deliveries.csv": None, "readings.csv": None, "orders.csv": None}
    folder = make_round(tmp_path / "round", files=none)
    frame = pd.DataFrame({"customer": [17, 18], "area": "valley", "latitude": 47.2, "longitude": 11.4})
    lists = {"classes": [["A1", "A2"], ["A2"]], "weekdays": [["Mon"], None], "store_kg": [5000, 6000]}
    frame = frame.assign(**lists)
    as_parquet(folder, "customers", frame)
    customers = open_round(folder).customers
    assert customers.id.tolist() == ["17", "18"]
    assert customers.takes.tolist() == [[True, True], [False, True]]
    assert customers.weekdays.sum(axis=1).tolist() == [1, 7]


def test_both_files_of_deliveries_count_and_both_of_customers_contradict(tmp_path: Path) -> None:
    """The past may lie in Parquet and the rest in CSV; two files of customers are a fault."""
    folder = make_round(tmp_path / "round")
    frame = pd.read_csv(folder / "deliveries.csv", dtype=str)
    frame.assign(date="2023-05-05").to_parquet(folder / "deliveries.parquet", index=False)
    assert len(open_round(folder).deliveries) == 26
    pd.read_csv(folder / "customers.csv").to_parquet(folder / "customers.parquet", index=False)
    assert any("keep one of them" in f.message for f in check_round(folder))


def test_a_broken_or_foreign_parquet_file_is_a_fault(tmp_path: Path) -> None:
    """Bytes that are no Parquet, and columns that are none of ours, are told."""
    folder = make_round(tmp_path / "round")
    (folder / "readings.parquet").write_bytes(b"PAR1 not really PAR1")
    assert any(f.file == "readings.parquet" and "as Parquet" in f.message for f in check_round(folder))
    pd.DataFrame({"customer": ["K-01"], "when": ["2026-01-01"]}).to_parquet(folder / "readings.parquet")
    keys = {f.key for f in check_round(folder) if f.file == "readings.parquet"}
    assert keys == {"when", "date"}


def test_no_more_is_unpacked_than_fits(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The size is looked at before anything is unpacked: a small file may hold a great deal."""
    folder = make_round(tmp_path / "round")
    column = pa.array(["K-01"] * 200_000)
    pq.write_table(pa.table({"customer": column, "date": column}), folder / "readings.parquet")
    assert (folder / "readings.parquet").stat().st_size < 20_000
    monkeypatch.setattr(parquet, "MAX_ROWS", 100_000)
    assert any("200,000 rows; 100,000 is the most" in f.message for f in check_round(folder))
    monkeypatch.setattr(parquet, "MAX_ROWS", 1_000_000)
    monkeypatch.setattr(parquet, "MAX_UNPACKED_BYTES", 10)
    assert any("unpacked the file has" in f.message for f in check_round(folder))


WITHOUT = """
import sys
sys.modules["pyarrow"] = None  # as if it were not installed
from fuelplan.records.round import check_round, open_round
print([str(fault) for fault in check_round(sys.argv[1])])
print(open_round(sys.argv[1], sound_only=True).customers.latitude.tolist())
"""


def test_without_pyarrow_it_says_what_to_install(tmp_path: Path) -> None:
    """A missing package is one sentence, not a traceback; CSV files are read to the last digit."""
    folder = make_round(tmp_path / "round", weather_days=30)
    usual = open_round(folder).customers.latitude.tolist()
    (folder / "readings.parquet").write_bytes(b"")
    command = [sys.executable, "-c", WITHOUT, str(folder)]
    done = subprocess.run(command, capture_output=True, text=True, timeout=120, check=True)
    said = "Parquet files need the package pyarrow: pip install pyarrow; or save the table as CSV"
    assert done.stdout.splitlines() == [str([f"readings.parquet: {said}"]), str(usual)]

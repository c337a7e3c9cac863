"""Whatever keeps the records: the same house and the same round are read of them, with the same faults."""

from __future__ import annotations

from dataclasses import fields, replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from fuelplan.records.folder import BookKind
from fuelplan.records.opening import books_at
from fuelplan.records.round.folder import ROUND, open_round, read_round, round_of_books
from fuelplan.records.site import HOUSE
from fuelplan.records.site.folder import read_folder, site_of_books
from tests.memory_books import Kept, MemoryBooks
from tests.round_folders import make_round
from tests.site_folders import make_site

UNREADABLE = "date,reading,how\n2020-11-01,4 t,measured\n2020-13-01,3 t,\n2020-12-01,3 shovels,by ear\n"


def in_memory(folder: Path, kind: BookKind) -> MemoryBooks:
    """Keep in memory what a folder keeps; files that the settings name stay where they are."""
    books, kept = books_at(folder, kind), Kept(*kind.tables)
    kept.settings = books.settings()
    for table in kind.tables:
        kept.tables[table] = [dict(row.cells) for row in books.rows(table)]
    return MemoryBooks(kept, kind, folder)


def same(one: Any, other: Any) -> bool:
    """Tell whether two records hold the same, their arrays too."""
    if isinstance(one, np.ndarray):
        return one.dtype == other.dtype and (
            np.array_equal(one, other, equal_nan=one.dtype.kind in "fM") if one.ndim else bool(one == other)
        )
    if hasattr(one, "__dataclass_fields__") and type(one) is type(other):
        return all(same(getattr(one, f.name), getattr(other, f.name)) for f in fields(one))
    return bool(one == other)


@pytest.mark.parametrize("readings", [UNREADABLE, "date,reading\n2020-11-01,4 t\n", "date,reading\n"])
def test_a_house_in_memory_is_read_as_from_its_folder(tmp_path: Path, readings: str) -> None:
    """Rows, settings and every fault at its line; the sound rows are kept beside the others."""
    folder = make_site(
        tmp_path, readings=readings, deliveries="ordered_on,ordered,fuel\n2020-12-09,2 t,\n2020-12-10,x,\n"
    )
    site, faults = read_folder(folder)
    found, told = site_of_books(in_memory(folder, HOUSE))
    assert site is not None and found is not None
    assert replace(found, path=folder) == site and site.deliveries
    assert told == faults and {f.line for f in faults if f.file == "deliveries.csv"} == {3}
    assert {f.line for f in told if f.file == "readings.csv"} == ({3, 4} if readings == UNREADABLE else set())


def test_settings_that_cannot_be_used_are_told_with_the_faults_of_the_rows(tmp_path: Path) -> None:
    """All at once, each at its line, from whatever keeps them."""
    ells = ('residue = "100 kg"', 'residue = "100 ells"')
    folder = make_site(tmp_path, readings=UNREADABLE, changes=[ells])
    site, faults = read_folder(folder)
    assert site is None and {f.file for f in faults} == {"site.toml", "readings.csv"}
    assert site_of_books(in_memory(folder, HOUSE)) == (None, faults)
    assert all(fault.line for fault in faults)


def test_a_round_in_memory_is_read_as_from_its_folder(tmp_path: Path) -> None:
    """Arrays, lists, warnings, what was left out, and every fault at its row."""
    folder = make_round(tmp_path / "round")
    sound = open_round(folder)
    assert same(round_of_books(in_memory(folder, ROUND))[0], replace(sound, path=folder / "memory"))
    for table in ("customers", "deliveries", "orders"):
        file = folder / f"{table}.csv"
        lines = file.read_text(encoding="utf-8").splitlines()
        wide = len(lines[0].split(","))
        file.write_text("\n".join([*lines, ",".join(["?"] * wide)]) + "\n", encoding="utf-8")
    found, faults = read_round(folder)
    kept, told = round_of_books(in_memory(folder, ROUND))
    assert told == faults and {f.file for f in faults if not f.warning} == {
        "customers.csv", "deliveries.csv", "orders.csv",
    }  # fmt: skip
    assert found is not None and found.left_out
    assert same(kept, replace(found, path=folder / "memory"))


def test_rows_behind_the_others_can_be_tried_before_they_are_kept(tmp_path: Path) -> None:
    """The text they would make is the one that is kept afterwards, so that faults of it name its lines."""
    folder = make_round(tmp_path / "round")
    row = {"customer": "K-02", "wish": "pin", "date": "2026-01-14", "why": "=stairs"}
    for books in (in_memory(folder, ROUND), books_at(folder, ROUND)):
        tried = books.with_rows("wishes", [row])
        assert books.text("wishes")[0] != tried and tried.splitlines()[-1].startswith("K-02,pin")
        books.append("wishes", [row])
        assert books.text("wishes") == (tried, [])


def test_a_file_that_the_settings_name_is_looked_for_beside_the_books(tmp_path: Path) -> None:
    """A store of records is no folder: weather and past prices lie in the folder that it names."""
    folder = make_site(tmp_path / "house")
    found, _ = site_of_books(in_memory(folder, HOUSE))
    assert found is not None and found.path == folder / "memory" and found.beside == folder
    area = round_of_books(in_memory(make_round(tmp_path / "round"), ROUND))[0]
    assert area is not None and {a.beside for a in area.areas} == {tmp_path / "round"}

"""Whatever stands in a round's files: faults with their place, never a traceback; what is written is read."""

from __future__ import annotations

import csv
import io
import tempfile
from datetime import date
from functools import lru_cache
from pathlib import Path

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from fuelplan.records.folder.toml_file import toml_of_text
from fuelplan.records.round import Round, Wish, add_wish, open_round
from fuelplan.records.round.check_table import table_faults
from fuelplan.records.round.edit import RoundRules
from fuelplan.records.round.folder import NEEDS, read_round
from fuelplan.records.schema import RoundTable
from fuelplan.records.schema.columns import FILES
from fuelplan.records.schema.formats import ROUND_STEPS
from fuelplan.records.tables import escape_formula, own_text, text_of
from fuelplan.units.plain_text import one_line
from tests.round_folders import FILES as SOUND
from tests.round_folders import make_round

ODD = st.one_of(
    st.text(max_size=30),
    st.sampled_from(
        ["", "nan", "inf", "-0", "1e999", "1,5", "1.000,5", "9" * 400, "0x10", "٣", "½", "=1+1", "'", '"',
         "A1;;A2", "2026-02-30", "0000-00-00", "24:01", "true", "full", "K-01", "valley", "north", "T1",
         "12 kg", "3 t", "7 kWh", "\x0b", "\u2028", "\ufeff", "a\nb", "Mon;Mon", "1 in 0", "‰", "-5 %",
         "100000000000000 t"]
    ),
)  # fmt: skip


@pytest.fixture(scope="module")
def sound(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A sound round whose files the tests of this module change and mend again."""
    return make_round(tmp_path_factory.mktemp("rounds") / "round", weather_days=30)


def csv_of(rows: list[list[str]], delimiter: str = ",") -> str:
    """Return rows as CSV."""
    stream = io.StringIO()
    csv.writer(stream, delimiter=delimiter, lineterminator="\n").writerows(rows)
    return stream.getvalue()


@st.composite
def damaged_tables(draw: st.DrawFn) -> tuple[str, str]:
    """Draw a kind of table and its text with odd cells in some of its rows, and odd rows after them."""
    kind = draw(st.sampled_from(sorted(FILES)))
    names = [column.name for column in FILES[kind]]
    rows = list(csv.reader(io.StringIO(SOUND.get(f"{kind}.csv", ",".join(names)))))
    width = len(rows[0])
    for _ in range(draw(st.integers(0, 3))):
        row = draw(st.integers(0, len(rows) - 1))
        rows[row][draw(st.integers(0, width - 1))] = draw(ODD)
    rows += draw(st.lists(st.lists(ODD, min_size=width, max_size=width), min_size=1, max_size=3))
    return kind, csv_of(rows, draw(st.sampled_from([",", ";", "\t"])))


@settings(max_examples=150, deadline=None)
@given(table=damaged_tables())
@example(table=("published", f"date,tanker,trip,position,customer,class,kg\n,,,,,,{'9' * 400}\n"))
def test_any_cells_give_faults_not_tracebacks(sound: Path, table: tuple[str, str]) -> None:
    """A table whose cells hold anything is read; each fault has its row and a sentence."""
    kind, text = table
    faults = RoundRules(sound, known(sound))(kind, text)
    rows = text.count("\n") + text.count("\r")
    assert all(f.message and (f.line is None or 1 <= f.line <= rows + 1) for f in faults)


@lru_cache
def known(folder: Path) -> Round:
    """Return the sound round."""
    return open_round(folder)


def checked_with(folder: Path, name: str, data: bytes) -> None:
    """Check the folder with one file changed: faults tell their file, and what is left is sound."""
    path = folder / name
    before = path.read_bytes() if path.exists() else None
    try:
        path.write_bytes(data)
        found, faults = read_round(folder)
        assert all(f.file and f.message and (f.line is None or f.line >= 1) for f in faults)
        if found is None:
            assert any(not f.warning for f in faults)
        else:
            assert {*found.left_out, *found.emptied, *found.warnings} == set(faults)
            numbers = found.deliveries.customer
            assert ((numbers >= 0) & (numbers < len(found.customers))).all()
    finally:
        path.unlink() if before is None else path.write_bytes(before)


@settings(max_examples=10, deadline=None)
@given(table=damaged_tables())
def test_a_damaged_table_leaves_the_rest_of_the_folder_sound(sound: Path, table: tuple[str, str]) -> None:
    """With one table damaged the folder is read all the same, and every row left fits the others."""
    checked_with(sound, f"{table[0]}.csv", table[1].encode("utf-8", "replace"))


@settings(max_examples=15, deadline=None)
@given(
    name=st.sampled_from(["round.toml", "customers.csv", "orders.csv", "readings.parquet"]),
    data=st.binary(max_size=300),
)
def test_any_bytes_give_faults_not_tracebacks(sound: Path, name: str, data: bytes) -> None:
    """A file of any bytes at all is told as faulty, or read."""
    checked_with(sound, name, data)


@settings(max_examples=100, deadline=None)
@given(at=st.integers(0, 4000), piece=st.text(max_size=12), cut=st.integers(0, 20))
def test_a_damaged_round_toml_gives_faults_not_tracebacks(sound: Path, at: int, piece: str, cut: int) -> None:
    """A piece put anywhere into `round.toml`, or cut out of it, leads to faults or to a table."""
    text = SOUND["round.toml"]
    at %= len(text)
    damaged = (text[:at] + piece + text[at + cut :]).encode("utf-8", "replace")
    read, faults = text_of("damaged.toml", damaged)
    table = None
    if read is not None and not faults:
        table, faults = toml_of_text("damaged.toml", read, RoundTable, steps=ROUND_STEPS, needs=NEEDS)
    assert (table is None) == bool(faults)
    if table is not None:
        faults = table_faults(sound, table)
    assert all(f.message for f in faults)


@settings(max_examples=300, deadline=None)
@given(text=st.text(max_size=60))
def test_a_guarded_cell_is_no_formula_and_reads_back(text: str) -> None:
    """For every text: no formula when written, itself when read."""
    assert not escape_formula(text).startswith(("=", "+", "-", "@"))
    assert own_text(escape_formula(text)) == text


ANY_TEXT = st.text(st.characters(codec="utf-8", exclude_characters="\x00"), max_size=60)


@settings(max_examples=8, deadline=None)
@given(why=ANY_TEXT, by=st.text(st.characters(codec="ascii", min_codepoint=32), max_size=10))
def test_any_text_is_written_and_read_back(why: str, by: str) -> None:
    """A wish with any text comes back with it, its white space made single spaces, on one row."""
    with tempfile.TemporaryDirectory() as place:
        folder = make_round(Path(place) / "round", weather_days=2)
        opened = open_round(folder)
        add_wish(folder, Wish("K-04", "pin", date(2026, 1, 15), "T1", by, why), known=opened)
        add_wish(folder, Wish("K-01", "pin", date(2026, 1, 15), None, by, why), known=opened)
        wishes = open_round(folder).wishes
    by, why = (one_line(" ".join(text.split())) for text in (by, why))
    assert [(w.customer, w.by, w.why) for w in wishes] == [("K-04", by, why), ("K-01", by, why)]

"""Faults that odd files brought to light (`python -m tests.campaigns.fuzz`), and files made to do harm.

Each is read or refused with a sentence, whatever stands in it.
"""

from __future__ import annotations

import io
import os
import tracemalloc
import zipfile
from datetime import date
from pathlib import Path

import numpy as np
import pyarrow as pa
import pyarrow.parquet as pq
import pytest

from fuelplan import answers
from fuelplan.cli import main
from fuelplan.cli.outcome import report_errors
from fuelplan.dispatch.roads.sources import RoadFileFaults, RoadServiceError, read_matrix
from fuelplan.dispatch.roads.sources.leg_store import LegStore
from fuelplan.ordering.prices.season import HistoryError, history_from_csv
from fuelplan.records.folder import archive
from fuelplan.records.folder.new_folder import FolderError
from fuelplan.records.folder.text_files import EditError
from fuelplan.records.round import Wish, add_wish, check_round, open_round
from fuelplan.records.tables import RoundFaults, SiteFaults, spreadsheet
from fuelplan.records.tables.parquet import read_parquet
from fuelplan.records.tables.sheet import read_sheet
from fuelplan.records.tables.text import SheetError
from fuelplan.weather import Place
from fuelplan.weather.sources import FileRequest, WeatherFault, load
from tests.round_folders import make_round
from tests.site_folders import make_site
from tests.xlsx_files import xlsx, xlsx_of

HERE = Place(time_zone="Europe/Zurich")
MAIN = 'xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"'


def test_a_number_of_thousands_of_digits_in_toml_is_told(tmp_path: Path) -> None:
    """Python refuses to read such a number in its own words; the person is told in ours."""
    folder = make_site(tmp_path / "house", mean_c=[3.0] * 30)
    path = folder / "site.toml"
    for odd in (f"x = {'9' * 5000}\n", f"x = {'[' * 3000}\n"):
        path.write_text(odd + path.read_text())
        with pytest.raises(SiteFaults, match=r"too many|not TOML"):
            answers.open_site(folder)


def test_price_histories_of_old_and_odd_line_ends(tmp_path: Path) -> None:
    """Line ends of old kind are read; what is no CSV at all is a fault with its line."""
    assert len(history_from_csv("date,price_per_t\r2020-01-01,251\r2020-02-01,252\r")) == 2
    with pytest.raises(HistoryError, match="not CSV"):
        history_from_csv(f'date,price_per_t\n2020-01-01,"{"x" * 200_000}"\n')


EPW_HEAD = "LOCATION,Mill,-,-,-,0,47.0,9.0,1.0,500.0\n" + "HEAD\n" * 7


@pytest.mark.parametrize(
    ("text", "said"),
    [
        (EPW_HEAD + f"2023,1,{'9' * 30},1,0,?,0.5,1.0,80,98000\n", "no EPW row"),
        ("# nothing but a remark\n", "LOCATION"),
        ("LOCATION,Mill,-,-,-,0,47.0,9.0,inf,500.0\n", "LOCATION"),
    ],
)
def test_an_odd_epw_file_is_refused_in_words(tmp_path: Path, text: str, said: str) -> None:
    """Numbers beyond a calendar or a clock, and a file of remarks, were met with an error of the language."""
    path = tmp_path / "weather.epw"
    path.write_text(text)
    with pytest.raises(WeatherFault, match=said):
        load(FileRequest(path), HERE)


def test_a_form_of_dates_that_names_a_part_twice_is_a_fault(tmp_path: Path) -> None:
    """`date_format = "%Y%Y"` is told at the rows it cannot read."""
    path = tmp_path / "weather.csv"
    path.write_text("date,mean_c\n2020,3.5\n")
    with pytest.raises(WeatherFault, match="give its date format"):
        load(FileRequest(path, date_format="%Y%Y"), HERE)


@pytest.mark.parametrize("text", ['date,mean_c\n2020-01-01,"3.5\r"x"\n', 'date,mean_c\r"2020-01-01",3.5\r'])
def test_line_ends_of_old_kind_within_quotes_are_no_traceback(tmp_path: Path, text: str) -> None:
    """A carriage return between quotes stopped the reader of cells; the file is refused with its line."""
    path = tmp_path / "weather.csv"
    path.write_bytes(text.encode())
    with pytest.raises(WeatherFault):
        load(FileRequest(path), HERE)
    with pytest.raises(RoadFileFaults):
        read_matrix(path)


def test_a_pipe_is_no_file(tmp_path: Path) -> None:
    """A pipe in the place of a file would keep the program waiting for ever: it is refused at once."""
    folder = make_round(tmp_path / "round", weather_days=10)
    for name in ("weather.csv", "roads.csv", "deliveries.parquet", "orders.csv"):
        (folder / name).unlink(missing_ok=True)
        os.mkfifo(folder / name)
    with pytest.raises(WeatherFault, match="not a file"):
        load(FileRequest(folder / "weather.csv"), HERE)
    with pytest.raises(RoadFileFaults, match="not a file"):
        read_matrix(folder / "roads.csv")
    said = [str(fault) for fault in check_round(folder)]
    assert "deliveries.parquet: this is not a file" in said
    assert "orders.csv: this is not a file" in said


@pytest.mark.parametrize(
    "content", [b"SQL", b"no database at all" * 100, b"SQLite format 3\x00" + b"\x01" * 4000]
)
def test_a_damaged_store_of_distances_is_named(tmp_path: Path, content: bytes) -> None:
    """A store that is no database is left alone, and the sentence says what to do with it."""
    path = tmp_path / "roads.sqlite"
    path.write_bytes(content)
    with pytest.raises(RoadServiceError, match="move it away"):
        LegStore(path, "http://localhost:5000", "driving").read([47.0], [9.0])
    assert path.read_bytes() == content


def test_a_store_of_distances_without_room_or_place_is_named(tmp_path: Path) -> None:
    """Where its folder cannot be made, the sentence names the variable that puts it elsewhere."""
    (tmp_path / "a").write_text("a file, no folder")
    with pytest.raises(RoadServiceError, match="FUELPLAN_ROAD_STORE"):
        LegStore(tmp_path / "a" / "roads.sqlite", "http://localhost:5000", "driving").read([47.0], [9.0])


def test_a_number_that_is_none_is_asked_for_again(tmp_path: Path) -> None:
    """Text in the place of a distance in the store counts as never asked."""
    import sqlite3

    store = LegStore(tmp_path / "roads.sqlite", "http://localhost:5000", "driving")
    ones = np.ones((2, 2), np.float32)
    store.write([47.0, 47.1], [9.0, 9.1], [47.0, 47.1], [9.0, 9.1], ones, ones)
    db = sqlite3.connect(store.path)
    db.execute("UPDATE leg SET metres = 'far' WHERE start = 1 AND finish = 2")
    db.commit()
    db.close()
    metres, _ = store.read([47.0, 47.1], [9.0, 9.1])
    assert np.isnan(metres[0, 1]) and metres[1, 0] == 1.0


def test_a_file_without_a_row_of_columns_takes_no_wish(tmp_path: Path) -> None:
    """A file of nothing but an odd space is refused, and stays."""
    folder = make_round(tmp_path / "round", weather_days=10)
    known = open_round(folder)
    (folder / "wishes.csv").write_bytes(b"\xe2\x80\xa8")
    with pytest.raises((EditError, RoundFaults)):
        add_wish(folder, Wish("K-04", "pin", date(2026, 1, 15), "T1"), known=known)
    assert (folder / "wishes.csv").read_bytes() == b"\xe2\x80\xa8"


@pytest.mark.parametrize("method", [zipfile.ZIP_BZIP2, zipfile.ZIP_LZMA])
def test_zip_files_of_unusual_kinds_are_refused(method: int) -> None:
    """Other ways of packing may want much memory to unpack, and broke with errors of their own."""
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w", method) as made:
        made.writestr("house/site.toml", "format = 1\n")
    with pytest.raises(FolderError, match="packed in an unusual way"):
        archive.unpack(stream.getvalue())
    with pytest.raises(SheetError, match="packed in an unusual way"):
        read_sheet("a.xlsx", xlsx_of(b"<worksheet/>", compress=method))


def test_a_zip_file_whose_parts_lie_before_its_beginning_is_refused(tmp_path: Path) -> None:
    """With some bytes missing in the middle its list points before the first byte."""
    whole = archive.pack(make_site(tmp_path / "house", mean_c=[3.0] * 30))
    with pytest.raises(FolderError, match="no sound zip file"):
        archive.unpack(whole[:60] + whole[400:])


def test_a_spreadsheet_that_unpacks_to_millions_of_cells_takes_little_memory(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Tiny cells are counted and not kept: ten times the limit costs no more memory than the limit."""
    content = xlsx_of(
        f"<worksheet {MAIN}><sheetData><row>{'<c/>' * 200_000}</row></sheetData></worksheet>".encode()
    )
    assert len(content) < 6_000
    monkeypatch.setattr(spreadsheet, "MOST_ELEMENTS", 20_000)
    tracemalloc.start()
    try:
        with pytest.raises(SheetError, match="too large once unpacked"):
            read_sheet("a.xlsx", content)
        assert tracemalloc.get_traced_memory()[1] < 2_000_000
    finally:
        tracemalloc.stop()


@pytest.mark.parametrize("encoding", ["utf-8", "utf-16", "cp037"])
def test_texts_that_define_one_another_are_refused_in_any_encoding(encoding: str) -> None:
    """A document type is refused where the parser meets it, not by the look of the bytes."""
    head = f'<?xml version="1.0" encoding="{encoding}"?>'
    rest = (
        f'<!DOCTYPE w [<!ENTITY a "3 t"><!ENTITY b "&a;&a;&a;">]><worksheet {MAIN}><sheetData><row><c '
        't="inlineStr"><is><t>Date</t></is></c></row><row><c t="inlineStr"><is><t>&b;</t></is></c></row>'
        "</sheetData></worksheet>"
    )
    whole = (head + rest).encode("utf-16") if encoding == "utf-16" else head.encode() + rest.encode(encoding)
    with pytest.raises(SheetError, match=r"usual kind|cannot be read"):
        read_sheet("a.xlsx", xlsx_of(whole))


def test_one_long_text_in_a_million_cells_is_kept_once() -> None:
    """Shared texts are cut before they are handed to the cells, so that no cell has a copy of its own."""
    rows = '<row><c t="s"><v>0</v></c></row>' * 4000
    sheet = read_sheet("a.xlsx", xlsx(rows, f"<si><t>{'x' * 1_000_000}</t></si>"))
    assert {len(cell) for row in sheet.rows for cell in row} == {2000}
    assert len({id(cell) for row in sheet.rows for cell in row}) == 1


def _parquet(path: Path, text: str, rows: int) -> None:
    same = pa.DictionaryArray.from_arrays(pa.array([0] * rows, pa.int32()), pa.array([text]))
    days = pa.array(["2026-01-01"] * rows)
    pq.write_table(pa.table({"customer": same, "date": days, "kg": pa.array([3000.0] * rows)}), path)


def test_a_parquet_file_that_unpacks_to_gigabytes_is_refused(tmp_path: Path) -> None:
    """A text that stands in each of many rows is counted before every row gets a copy: 6 kB were 2 GB."""
    path = tmp_path / "deliveries.parquet"
    _parquet(path, "x" * 100_000, 20_000)
    assert path.stat().st_size < 10_000
    sheet, faults = read_parquet(path, "deliveries")
    assert sheet is None and "holds a text of 100,000 bytes" in faults[0].message
    _parquet(path, "x" * 9_000, 120_000)
    sheet, faults = read_parquet(path, "deliveries")
    assert sheet is None and "1,081,200,000 bytes of text" in faults[0].message
    _parquet(path, "K-01", 1000)
    sheet, faults = read_parquet(path, "deliveries")
    assert faults == [] and sheet is not None and len(sheet) == 1000


ESCAPE = "\x1b]0;mine\x07\x1b[2J"


def test_no_text_of_a_folder_steers_the_terminal(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Names with control characters, written out or as TOML's escapes, are faults, and faults show none."""
    changes = [('"Test house"', '"Test \\u001b[2J house"')]
    site = make_site(tmp_path / "a", mean_c=[3.0] * 30, changes=changes)
    with pytest.raises(SiteFaults, match="name: a control character or a line break"):
        answers.open_site(site)
    weather = tmp_path / "weather.csv"
    weather.write_text(f"date,mean_c\n{ESCAPE},{ESCAPE}\n")
    for given in (["check", str(site)], ["degree-days", str(weather)]):
        with pytest.raises(SystemExit) as left:
            main(given)
        assert left.value.code == 2
        out, err = capsys.readouterr()
        assert "\x1b" not in out + err and "\x07" not in out + err
        assert out + err


def test_no_name_that_is_printed_steers_the_terminal(capsys: pytest.CaptureFixture[str]) -> None:
    """A customer's name is data and stays as it is in the files; printed, its control characters are not."""

    def act() -> int:
        print(f"Hofer{ESCAPE} é 1\u202f200 kg")
        return 0

    assert report_errors(act, as_json=False) == 0
    assert capsys.readouterr().out == "Hofer?]0;mine??[2J é 1\u202f200 kg\n"


def test_right_to_left_marks_do_not_hide_what_a_name_says(tmp_path: Path) -> None:
    """A mark that turns the order of letters round is refused, right-to-left letters themselves are not."""
    make_site(tmp_path / "a", mean_c=[3.0] * 30, changes=[("Test house", "בית ליד העץ")])
    assert answers.open_site(tmp_path / "a").name == "בית ליד העץ"
    make_site(tmp_path / "b", mean_c=[3.0] * 30, changes=[("Test house", "Test\u202esuoh")])
    with pytest.raises(SiteFaults, match="name: a control character or a line break"):
        answers.open_site(tmp_path / "b")

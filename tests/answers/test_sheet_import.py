"""Spreadsheets come in column by column, each row looked at first; what comes from elsewhere is bounded."""

from __future__ import annotations

import io
import zipfile
from datetime import date
from pathlib import Path

import pytest

from fuelplan import answers
from fuelplan.answers import FolderError, SheetError, SheetPlan
from fuelplan.messages import as_text
from fuelplan.records.folder import archive
from fuelplan.records.tables.sheet import read_sheet
from tests.site_folders import make_site
from tests.xlsx_files import xlsx, xlsx_of

GERMAN = """\
Lieferdatum;Menge (kg);Gewogen;Bemerkung
15.10.2019;2.480,5;ja;"zwei; Fahrten"
03.09.2020;1.800;nein;=HYPERLINK("x")
;;;
31.02.2020;1.000;ja;
04.11.2020;99.000;ja;
"""


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A sound folder with one reading and one delivery."""
    return make_site(
        tmp_path / "house",
        readings="date,reading,how,fuel,note\n2020-11-01,4 t,measured,,\n",
        deliveries="fuel,ordered_on,due_from,due_to,ordered,delivered_on,delivered,weighed,filled_full,outcome,note\n"
        "pellets,,,,,2020-03-01,2 t,yes,no,delivered,\n",
    )


def test_a_german_sheet_is_understood(folder: Path) -> None:
    """Semicolons, decimal commas, points of thousands, days first are found; the faulty rows are named."""
    sheet = read_sheet("a.csv", GERMAN.encode("cp1252"))
    plan = answers.guess_plan(sheet, "deliveries")
    assert plan == SheetPlan(
        "deliveries", {0: "delivered_on", 1: "delivered", 2: "weighed", 3: "note"}, "day first", ",", "kg"
    )
    rows = answers.preview_sheet(folder, sheet, plan)
    assert [row.line for row in rows] == [2, 3, 5, 6]
    assert rows[0].cells["delivered_on"] == "2019-10-15"
    assert rows[0].cells["delivered"] == "2480.5 kg"
    assert [row.sound for row in rows] == [True, True, False, False]
    assert "not a day of the calendar" in as_text(rows[2].faults[0])
    assert "cannot fit" in as_text(rows[3].faults[0])


def test_rows_that_were_written_since_the_look_are_not_written_twice(folder: Path) -> None:
    """Two who press the button on one look, or one who does so twice: each row stands there once."""
    sheet = read_sheet("a.csv", GERMAN.encode())
    rows = answers.preview_sheet(folder, sheet, answers.guess_plan(sheet, "deliveries"))
    assert answers.import_sheet(folder, "deliveries", rows) == 2
    before = (folder / "deliveries.csv").read_bytes()
    assert answers.import_sheet(folder, "deliveries", rows) == 0
    assert (folder / "deliveries.csv").read_bytes() == before


def test_nothing_is_written_before_it_is_asked_for(folder: Path) -> None:
    """Looking changes no file; importing writes the sound rows at their dates, one step undoes it."""
    before = {f.name: f.read_bytes() for f in folder.iterdir()}
    sheet = read_sheet("a.csv", GERMAN.encode())
    rows = answers.preview_sheet(folder, sheet, answers.guess_plan(sheet, "deliveries"))
    assert {f.name: f.read_bytes() for f in folder.iterdir()} == before
    assert answers.import_sheet(folder, "deliveries", rows) == 2
    site = answers.open_site(folder)
    assert [str(r.delivered_on) for r in site.deliveries] == ["2019-10-15", "2020-03-01", "2020-09-03"]
    text = (folder / "deliveries.csv").read_text()
    assert "'=HYPERLINK" in text, "a formula stays text in every spreadsheet"
    again = answers.preview_sheet(folder, sheet, answers.guess_plan(sheet, "deliveries"))
    assert [row.known for row in again[:2]] == [True, True], "the same file a second time adds nothing"
    assert answers.import_sheet(folder, "deliveries", again) == 0
    answers.undo_change(folder, answers.last_change(folder))
    assert (folder / "deliveries.csv").read_bytes() == before["deliveries.csv"]


@pytest.mark.parametrize(
    ("days", "order", "iso"),
    [
        (["31/12/2020", "01/02/2020"], "day first", ["2020-12-31", "2020-02-01"]),
        (["12/31/2020", "01/02/2020"], "month first", ["2020-12-31", "2020-01-02"]),
        (["2020-12-31", "2020-01-02 00:00"], "year first", ["2020-12-31", "2020-01-02"]),
        (["44196", "43832"], "year first", ["2020-12-31", "2020-01-02"]),
    ],
)
def test_dates_are_read_in_their_order(folder: Path, days: list[str], order: str, iso: list[str]) -> None:
    """Day first, month first, year first, and the numbers that spreadsheets keep dates as."""
    text = "Date,Level\n" + "".join(f"{day},{3 - i} t\n" for i, day in enumerate(days))
    sheet = read_sheet("a.csv", text.encode())
    plan = answers.guess_plan(sheet, "readings")
    assert plan.dates == order
    assert [row.cells["date"] for row in answers.preview_sheet(folder, sheet, plan)] == iso


def test_numbers_without_a_unit_ask_for_one(folder: Path) -> None:
    """No unit is guessed for a bare number; with one chosen, it is written out."""
    sheet = read_sheet("a.csv", b"Date,Level\n2020-12-01,110\n")
    plan = answers.guess_plan(sheet, "readings")
    (row,) = answers.preview_sheet(folder, sheet, plan)
    assert "no unit" in as_text(row.faults[0])
    (row,) = answers.preview_sheet(folder, sheet, SheetPlan("readings", plan.columns, unit="%"))
    assert "110" in as_text(row.faults[0])
    (row,) = answers.preview_sheet(folder, sheet, SheetPlan("readings", plan.columns, unit="bags"))
    assert row.sound and row.cells["reading"] == "110 bags"


def test_what_is_missing_in_the_plan_is_said(folder: Path) -> None:
    """Without a date or an amount, or with one column taken twice, there is a sentence and no preview."""
    sheet = read_sheet("a.csv", b"a,b\n2020-12-01,3 t\n")
    with pytest.raises(ValueError, match="which column holds date"):
        answers.preview_sheet(folder, sheet, SheetPlan("readings", {1: "reading"}))
    with pytest.raises(ValueError, match="two columns"):
        answers.preview_sheet(folder, sheet, SheetPlan("readings", {0: "date", 1: "date", 2: "reading"}))


def test_a_spreadsheet_file_is_read(folder: Path) -> None:
    """Shared texts, numbers, dates as numbers and a gap in a row of an .xlsx file."""
    content = xlsx(
        '<row r="1"><c r="A1" t="s"><v>0</v></c><c r="B1" t="s"><v>1</v></c><c r="C1" '
        't="inlineStr"><is><t>Note</t>'
        '</is></c></row><row r="3"><c r="A3"><v>44166</v></c><c r="C3" '
        't="inlineStr"><is><t>ok</t></is></c></row>'
        '<row r="4"><c r="A4"><v>44180</v></c><c r="B4"><v>2.4500000000000002</v></c></row>',
        "<si><t>Date</t></si><si><r><t>Level </t></r><r><t>(t)</t></r></si>",
    )
    sheet = read_sheet("a.xlsx", content)
    assert sheet.header == ("Date", "Level (t)", "Note")
    plan = answers.guess_plan(sheet, "readings")
    assert plan.unit == "t"
    rows = answers.preview_sheet(folder, sheet, plan)
    assert [(r.line, r.cells["date"], r.cells["reading"], r.sound) for r in rows] == [
        (3, "2020-12-01", "", False),
        (4, "2020-12-15", "2.45 t", True),
    ]


HUGE = "<row>" + "<c><v>1</v></c>" * 50 + "</row>"


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"", "empty"),
        (b"date,reading\n", "empty"),
        (b"\x00\x01\x02", "no text"),
        (b"x" * 6_000_000, "most that is read"),
        (b"a,b\n" + b"1,2\n" * 6000, "rows"),
        (b",".join([b"c"] * 70) + b"\n1\n", "columns"),
        (b'a,b\n"' + b"x" * 200_000 + b'",2\n', "not CSV"),
        (b"PK\x03\x04 broken", "cannot be read"),
        (xlsx(HUGE * 6000), "rows"),
        (xlsx("<row><c><v>" + " " * 70_000_000 + "</v></c></row>"), "too large"),
    ],
    ids=["nothing", "head", "binary", "large", "rows", "columns", "cell", "zip", "sheet rows", "bomb"],
)
def test_files_that_are_no_table_are_refused_in_words(content: bytes, said: str) -> None:
    """Empty, binary, too large, or a small file that unpacks to a huge one: one sentence each."""
    with pytest.raises(SheetError, match=said):
        read_sheet("a", content)


def test_entities_in_a_spreadsheet_file_are_refused() -> None:
    """A file that would define texts by one another is not parsed."""
    content = xlsx_of('<!DOCTYPE a [<!ENTITY b "c">]><worksheet>&b;</worksheet>')
    with pytest.raises(SheetError, match="not of the usual kind"):
        read_sheet("a.xlsx", content)


# The folder as one file ------------------------------------------------------------------------------------


def test_a_house_taken_along_is_the_same_house(folder: Path, tmp_path: Path) -> None:
    """Packed and unpacked, all files are there to the byte; the program's own are left out."""
    answers.record_reading(folder, date(2020, 11, 20), "3.5 t")
    packed = answers.pack_house(folder)
    assert packed == answers.pack_house(folder), "the same folder gives the same bytes"
    again = answers.unpack_house(packed, tmp_path / "other")
    assert again.name == folder.name

    def files(place: Path) -> dict[str, bytes]:
        return {f.name: f.read_bytes() for f in place.iterdir() if not f.name.startswith(".")}

    assert files(again) == files(folder)
    assert not any(f.name.startswith(".") for f in again.iterdir())


def zipped(*entries: tuple[str, bytes], mode: int = 0o644) -> bytes:
    """A zip file with these entries."""
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w", zipfile.ZIP_DEFLATED) as made:
        for name, content in entries:
            info = zipfile.ZipInfo(name)
            info.external_attr = mode << 16
            made.writestr(info, content, zipfile.ZIP_DEFLATED)
    return stream.getvalue()


SITE = ("house/site.toml", b"format = 1\n")


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"no zip at all", "no sound zip"),
        (zipped(SITE)[:-30], "no sound zip"),
        (zipped(SITE, ("../../evil.txt", b"x")), "leads out"),
        (zipped(SITE, ("/etc/evil", b"x")), "leads out"),
        (zipped(SITE, ("house\\..\\evil", b"x")), "leads out"),
        (zipped(SITE, ("C:/evil", b"x")), "leads out"),
        (zipped(SITE, mode=0o120777), "is a link"),
        (zipped(("house/readings.csv", b"x")), "holds none"),
        (zipped(SITE, ("other/site.toml", b"x")), "holds 2"),
        (zipped(("a/b/c/site.toml", b"x")), "too deep"),
        (zipped(SITE, *((f"house/{i}.csv", b"") for i in range(100))), "holds 101 files"),
        (zipped(SITE, ("house/bomb.csv", b"0" * (archive.MOST_BYTES + 1))), "the most that is read"),
    ],
)
def test_strange_zip_files_are_refused(content: bytes, said: str, tmp_path: Path) -> None:
    """No sound one, leading elsewhere, links, no house or several, a bomb: refused, nothing written."""
    with pytest.raises(FolderError, match=said):
        answers.unpack_house(content, tmp_path / "houses")
    assert not (tmp_path / "houses").exists()


def test_a_zip_file_that_lies_about_its_size_is_refused(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    """What counts is what comes out, not what the entry says."""
    monkeypatch.setattr(archive, "MOST_BYTES", 1000)
    content = bytearray(zipped(SITE, ("house/weather.csv", b"0" * 100_000)))
    at = content.rindex(b"PK\x01\x02") + 24  # uncompressed size in the directory's last entry
    content[at : at + 4] = (10).to_bytes(4, "little")
    with pytest.raises(FolderError):
        answers.unpack_house(bytes(content), tmp_path / "houses")

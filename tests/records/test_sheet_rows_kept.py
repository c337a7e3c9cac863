"""A spreadsheet comes in whole: no row is swallowed, no day turned round, no letter changed in silence."""

from __future__ import annotations

import io
import warnings
import zipfile
from datetime import date
from pathlib import Path

import pytest

from fuelplan import answers
from fuelplan.answers import FolderError, SheetError
from fuelplan.answers.house.sheet_import import SheetRow
from fuelplan.messages import as_text
from fuelplan.records.folder.archive import pack, unpack
from fuelplan.records.tables.sheet import read_sheet
from tests.site_folders import make_site
from tests.xlsx_files import xlsx

HEADER = "fuel,ordered_on,due_from,due_to,ordered,delivered_on,delivered,weighed,filled_full,outcome,note\n"


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A sound folder in Germany."""
    return make_site(tmp_path / "house", deliveries=HEADER + "pellets,,,,,2020-03-01,2 t,yes,no,delivered,\n")


def looked_at(folder: Path, text: str | bytes, into: str = "deliveries", **more: str) -> tuple[SheetRow, ...]:
    """The rows of a table as they would be written, by the first plan."""
    content = text if isinstance(text, bytes) else text.encode()
    sheet = read_sheet("a.csv", content, **more)
    plan = answers.guess_plan(sheet, into)  # type: ignore[arg-type]
    return answers.preview_sheet(folder, sheet, plan, date(2026, 1, 15))


OPEN = [
    'Date,Amount,Note\n2020-10-15,2 t,"two trips\n2020-11-03,1.8 t,\n',
    'Date,Amount,Note\n2020-10-15,2 t,"two trips\n2020-11-03,1.8 t,"\n2020-12-03,1.8 t,\n',
    'Date,Amount,Note\n2020-10-15,2 t,"two trips\n2020-11-03,1.8 t,"late"\n2020-12-03,1.8 t,\n',
    'Date,Amount\n2020-10-15,"2 t\n2020-11-03,"1.8 t\n',
]


@pytest.mark.parametrize("text", OPEN)
def test_an_open_quotation_mark_swallows_no_row(text: str) -> None:
    """Wherever it closes again: refused, with the line that it stands in."""
    with pytest.raises(SheetError, match=r"line 2: a quotation mark is opened"):
        read_sheet("a.csv", text.encode())


def test_a_line_break_in_a_note_is_no_open_mark(folder: Path) -> None:
    """Notes of several lines, also with commas in them, are one row."""
    text = 'Date,Amount,Note\n2020-10-15,2 t,"two trips,\nthe second late, at 5"\n2020-11-03,1.8 t,\n'
    assert [row.sound for row in looked_at(folder, text)] == [True, True]


def test_the_same_mark_in_a_file_of_the_folder_is_a_fault(tmp_path: Path) -> None:
    """Written by hand into `readings.csv`, an open mark would hide the next reading: `check` names it."""
    readings = 'date,reading,how,fuel,note\n2020-11-01,4 t,,,"late\n2020-11-20,3 t,by eye,,"\n'
    _, faults = answers.check_folder(make_site(tmp_path / "house", readings=readings))
    assert any("quotation mark" in fault.message and fault.file == "readings.csv" for fault in faults)


def test_a_row_with_a_cell_too_many_is_not_shortened(folder: Path) -> None:
    """A decimal comma in a table with commas moves the cells: the row is a fault, not another amount."""
    text = "Date,Amount,Note\n2020-10-15,3,5 t,\n2020-11-03,1.8 t,late\n"
    first, second = looked_at(folder, text)
    assert not first.sound and "4 cells" in as_text(first.faults[0]) and second.sound
    (row,) = looked_at(folder, "Date,Amount,Note,,\n2020-11-03,1.8 t,late,,\n")
    assert row.sound, "empty columns at the end are none too many"


def test_every_row_is_counted(folder: Path) -> None:
    """Rows in: those to be written, those known, those with a fault; one that writes nothing is a fault."""
    text = "Date,Amount,Who\n2020-10-15,2 t,a\n,,b\n\n2020-03-01,2 t,c\nnever,1 t,d\n2020-11-03,1.8 t,e\n"
    rows = looked_at(folder, text)
    assert [(row.line, row.sound, row.known) for row in rows] == [
        (2, True, False), (3, False, False), (5, False, True), (6, False, False), (7, True, False),
    ]  # fmt: skip
    assert "nothing" in as_text(rows[1].faults[0])
    before = len(answers.open_site(folder).deliveries)
    assert answers.import_sheet(folder, "deliveries", rows) == 2
    assert len(answers.open_site(folder).deliveries) == before + 2


@pytest.mark.parametrize(
    ("country", "days", "read"),
    [
        ("AT", ["03/04/2025"], ["2025-04-03"]),
        ("AT", ["03/04/2025", "31/12/2024"], ["2025-04-03", "2024-12-31"]),
        ("AT", ["03/04/2025", "12/31/2024"], ["2025-03-04", "2024-12-31"]),
        ("US", ["03/04/2025"], ["2025-03-04"]),
        ("US", ["03.04.2025"], ["2025-04-03"]),
        ("DE", ["3-4-25", "2024-12-31"], ["2025-04-03", "2024-12-31"]),
    ],
)
def test_day_and_month_by_the_column_and_the_country(
    tmp_path: Path, country: str, days: list[str], read: list[str]
) -> None:
    """The whole column decides, then the country of the house; points always have the day first."""
    folder = make_site(tmp_path / "house", changes=[('country = "DE"', f'country = "{country}"')])
    text = "Date,Level\n" + "".join(f"{d},{2 - i} t\n" for i, d in enumerate(days))
    rows = looked_at(folder, text, "readings")
    assert [row.cells["date"] for row in rows] == read and all(row.sound for row in rows)


@pytest.mark.parametrize(
    ("country", "days"), [("CA", ["03/04/2025"]), ("AT", ["31/12/2024", "12/31/2024", "03/04/2025"])]
)
def test_day_and_month_are_asked_where_neither_decides(tmp_path: Path, country: str, days: list[str]) -> None:
    """Where both are usual, or the column holds both: no row is read before a person has said which."""
    place = ('country = "DE"', f'country = "{country}"')
    folder = make_site(tmp_path / "house", changes=[place])
    sheet = read_sheet("a.csv", ("Date,Level\n" + "".join(f"{d},2 t\n" for d in days)).encode())
    plan = answers.guess_plan(sheet, "readings", country)
    assert plan.dates == ""
    with pytest.raises(ValueError, match=r"03/04/2025.*3 April.*4 March"):
        answers.preview_sheet(folder, sheet, plan)


def test_years_that_nobody_means_are_faults(folder: Path) -> None:
    """The year 0001 is not 2001, and three figures are no year; two are of this century."""
    text = "Date,Amount\n0001-05-04,2 t\n4.5.0001,2 t\n4.5.201,2 t\n4.5.20,2 t\n"
    rows = looked_at(folder, text)
    assert [row.sound for row in rows] == [False, False, False, True]
    assert rows[3].cells["delivered_on"] == "2020-05-04"


@pytest.mark.parametrize("into", ["deliveries", "readings"])
def test_what_has_not_come_yet_is_not_written(folder: Path, into: str) -> None:
    """A delivery or reading of 2099, or of tomorrow, is a fault of its row; today's is sound."""
    text = "Date,Amount,Level\n2099-01-01,2 t,2 t\n2026-01-16,2 t,2 t\n2026-01-15,2 t,2 t\n"
    rows = looked_at(folder, text, into)
    assert [row.sound for row in rows] == [False, False, True]
    assert all("has not come yet" in as_text(row.faults[0]) for row in rows[:2])


@pytest.mark.parametrize("sign", ["\x1b[2J", "\u202e", "\x00", "\x9b"])
def test_signs_that_nobody_sees_are_faults(folder: Path, sign: str) -> None:
    """What steers a terminal or turns letters round is not written, in whatever column it stands."""
    content = xlsx(
        '<row r="1"><c t="inlineStr"><is><t>Date</t></is></c><c t="inlineStr"><is><t>Amount</t></is></c>'
        '<c t="inlineStr"><is><t>Note</t></is></c></row>'
        '<row r="2"><c t="s"><v>0</v></c><c t="s"><v>1</v></c><c t="s"><v>2</v></c></row>',
        f"<si><t>2020-05-04</t></si><si><t>2 t</t></si><si><t>a{sign}b</t></si>",
    ) if sign == "\u202e" else f"Date,Amount,Note\n2020-05-04,2 t,a{sign}b\n".encode()  # fmt: skip
    if sign == "\x00":
        with pytest.raises(SheetError, match="no text"):
            read_sheet("a", content)
        return
    (row,) = looked_at(folder, content)
    assert not row.sound and "cannot be seen" in as_text(row.faults[0])


CZECH = "Datum;Množství;Poznámka\n15.10.2019;2480 kg;Žďár, příští týden\n"
POLISH = "Data;Ilość;Uwagi\n15.10.2019;2480 kg;łódź, późno\n"
GERMAN = "Datum;Menge;Notiz\n15.10.2019;2480 kg;für Müller, Straße\n"


@pytest.mark.parametrize(
    ("text", "encoding", "country"),
    [
        (CZECH, "cp1250", "CZ"),
        (POLISH, "cp1250", "AT"),
        (GERMAN, "cp1252", "AT"),
        (GERMAN, "utf-8", "AT"),
        (CZECH, "utf-16", "AT"),
        (GERMAN, "utf-16-le", "AT"),
        (GERMAN, "utf-16-be", "AT"),
    ],
)
def test_letters_are_those_that_were_written(text: str, encoding: str, country: str) -> None:
    """Central and Western European letters of one byte, and all of two, with or without their mark."""
    sheet = read_sheet("a.csv", text.encode(encoding), country=country)
    assert (sheet.header, *sheet.rows) == tuple(tuple(line.split(";")) for line in text.splitlines())
    assert sheet.encoding == encoding


def test_letters_that_can_be_read_in_two_ways_can_be_chosen() -> None:
    """A Czech table at a house in Austria: both readings are offered, and the person's word decides."""
    sheet = read_sheet("a.csv", CZECH.encode("cp1250"), country="AT")
    assert list(sheet.encodings)[:2] == ["cp1252", "cp1250"] and sheet.encoding == "cp1252"
    assert sheet.encodings["cp1250"] == "Množství"
    assert read_sheet("a.csv", CZECH.encode("cp1250"), encoding="cp1250").rows[0][2] == "Žďár, příští týden"
    with pytest.raises(SheetError, match="no text in utf-8"):
        read_sheet("a.csv", CZECH.encode("cp1250"), encoding="utf-8")


def test_a_line_that_says_what_parts_the_cells(folder: Path) -> None:
    """`sep=;` is no header; the lines are counted with it."""
    (row,) = looked_at(folder, "sep=;\r\nDatum;Menge, etwa\r\n15.10.2019;2480 kg\r\n")
    assert row.sound and row.line == 3 and row.cells["delivered"] == "2480 kg"


USUAL = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
STRICT = "http://purl.oclc.org/ooxml/spreadsheetml/main"
ROWS = (
    '<row r="1"><c t="inlineStr"><is><t>Date</t></is></c><c t="inlineStr"><is><t>Level</t></is></c></row>'
    '<row r="2"><c t="d"><v>2020-12-01T00:00:00</v></c><c t="inlineStr"><is><t>2 t</t></is></c></row>'
)


def test_strict_files_are_read(folder: Path) -> None:
    """The strict form of .xlsx has other names and writes days as text."""
    plain = xlsx(ROWS)
    stream = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(plain)) as old, zipfile.ZipFile(stream, "w") as new:
        for name in old.namelist():
            text = old.read(name).decode()
            new.writestr(name, text.replace(USUAL, STRICT))
    (row,) = looked_at(folder, stream.getvalue(), "readings")
    assert row.sound and row.cells["date"] == "2020-12-01"


def _zip(**files: str) -> bytes:
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w") as archive:
        for name, text in files.items():
            archive.writestr(name.replace("__", "/").replace("_", "."), text)
    return stream.getvalue()


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"\xd0\xcf\x11\xe0" + b"\x00" * 600, r"old kind \(\.xls\)"),
        (b"%PDF-1.7\n\x00", "a PDF"),
        (b"<html><table><tr><td>Date</td></tr></table></html>", "a web page"),
        (_zip(mimetype="application/vnd.oasis.opendocument.text", content_xml="<a/>"), r"\.odt"),
        (_zip(xl__workbook_bin="x"), r"\.xlsb"),
        (_zip(word__document_xml="x"), "a text document"),
    ],
)
def test_other_files_are_named_as_what_they_are(content: bytes, said: str) -> None:
    """An old spreadsheet, a PDF, a web page, another office file: its own name, and what to save instead."""
    with pytest.raises(SheetError, match=said):
        read_sheet("a.xlsx", content)


def test_a_file_that_a_zip_holds_twice_is_refused(folder: Path) -> None:
    """Which of two it would be is chance: in a spreadsheet file and in a packed house alike."""
    twice = io.BytesIO(xlsx(ROWS))
    house = io.BytesIO(pack(folder))
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        for stream, name in ((twice, "xl/worksheets/sheet1.xml"), (house, "house/readings.csv")):
            with zipfile.ZipFile(stream, "a") as archive:
                archive.writestr(name, "other")
    with pytest.raises(SheetError, match="twice"):
        read_sheet("a.xlsx", twice.getvalue())
    with pytest.raises(FolderError, match="twice"):
        unpack(house.getvalue())


def test_long_cells_and_columns_are_not_cut(folder: Path) -> None:
    """A note of more letters than are kept is a fault, and so is a row wider than is read."""
    (row,) = looked_at(folder, f"Date,Amount,Note\n2020-05-04,2 t,{'x' * 2001}\n")
    assert not row.sound and "letters" in as_text(row.faults[0])
    wide = "".join('<c t="inlineStr"><is><t>a</t></is></c>' for _ in range(61))
    with pytest.raises(SheetError, match="columns"):
        read_sheet("a.xlsx", xlsx(f"{ROWS}<row r='3'>{wide}</row>"))

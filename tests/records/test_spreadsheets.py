"""Spreadsheet files: what a cell says, which sheet is read, and that a small file stays small."""

from __future__ import annotations

import tracemalloc
from datetime import date
from pathlib import Path

import pytest

from fuelplan.records.importing.rows import import_table
from fuelplan.records.tables import spreadsheet
from fuelplan.records.tables.sheet import day_of_cell, read_sheet
from fuelplan.records.tables.spreadsheet import spreadsheet_rows
from fuelplan.records.tables.text import SheetError
from tests.xlsx_files import MAIN, ods, xlsx, xlsx_of

DAY = date(2026, 1, 4)
CELL = '<table:table-cell office:value-type="{kind}" {given}><text:p>{text}</text:p></table:table-cell>'


def ods_cell(kind: str, given: str, text: str) -> str:
    """A cell of the open format."""
    return CELL.format(kind=kind, given=given, text=text)


def ods_row(*cells: str, times: int = 1) -> str:
    """A row of the open format."""
    return f'<table:table-row table:number-rows-repeated="{times}">{"".join(cells)}</table:table-row>'


def number(times: int = 1) -> str:
    """A cell that stands for many."""
    return ods_cell("float", f'office:value="1" table:number-columns-repeated="{times}"', "1")


XLSX = xlsx(
    '<row r="3"><c r="B3" t="inlineStr"><is><t>Day &amp; night</t></is></c><c r="C3" s="1"><v>46026</v></c>'
    '<c r="D3" s="2"><v>0.3125</v></c><c r="E3" s="1"><v>46026.5</v></c><c r="F3"><v>2.4500000000000002</v>'
    '</c><c r="G3" t="b"><v>1</v></c><c r="H3" t="e"><f>1/0</f><v>#DIV/0!</v></c><c r="I3" t="s"><v>0</v></c>'
    '<c r="J3" t="str"><f>B3</f><v>3 t</v></c><c r="K3" s="1"/></row><row r="5"><c><v>7</v></c></row>',
    "<si><r><t>two </t></r><r><t>parts</t></r></si>",
)
ODS = ods(
    ods_row("<table:table-cell/>", times=2)
    + ods_row(
        "<table:table-cell/>",
        ods_cell("string", "", "Day &amp; night"),
        ods_cell("date", 'office:date-value="2026-01-04"', "04.01.26"),
        ods_cell("time", 'office:time-value="PT07H30M00S"', "7:30"),
        ods_cell("date", 'office:date-value="2026-01-04T12:00:00"', "x"),
        ods_cell("float", 'office:value="2.45"', "2,45"),
        ods_cell("boolean", 'office:boolean-value="true"', "WAHR"),
        ods_cell("string", 'office:string-value="" calcext:value-type="error"', "#DIV/0!"),
        ods_cell("string", "", "two <text:span>parts</text:span>"),
        ods_cell("string", 'table:formula="of:=[.B3]"', "3 t"),
        '<table:table-cell table:number-columns-repeated="16374"/>',
    )
    + ods_row("<table:table-cell/>")
    + ods_row(ods_cell("float", 'office:value="7"', "7"))
    + ods_row('<table:table-cell table:number-columns-repeated="16384"/>', times=1_048_571)
)


@pytest.mark.parametrize("content", [XLSX, ODS], ids=["xlsx", "ods"])
def test_a_cell_says_what_a_person_would_write(content: bytes) -> None:
    """Days and times by the style of their cell, yes and no, the value of a formula, its error."""
    said = ["", "Day & night", "2026-01-04", "07:30", "2026-01-04 12:00", "2.45", "yes", "#error"]
    rows = [(line, cells) for line, cells in spreadsheet_rows(content) if any(cells)]
    assert rows == [(3, [*said, "two parts", "3 t"]), (5, ["7"])]


def test_a_day_with_a_time_is_that_day() -> None:
    """As a spreadsheet keeps it: a number with a fraction, or a day with a time; a bare year is none."""
    assert [day_of_cell(text) for text in ("46026.5", "2026-01-04 12:00", "2026")] == [DAY, DAY, None]


def test_the_first_sheet_that_is_shown_is_read() -> None:
    """By the order a person sees, whatever the parts are called; one that is hidden only where all are."""
    first, second = (
        f'<worksheet xmlns="{MAIN}"><sheetData><row><c><v>{n}</v></c></row></sheetData></worksheet>'
        for n in (1, 2)
    )
    assert spreadsheet_rows(xlsx_of(first, second)) == [(1, ["1"])]
    assert spreadsheet_rows(xlsx_of(first, second, first='state="hidden"')) == [(1, ["2"])]
    assert spreadsheet_rows(xlsx_of(first, first='state="hidden"')) == [(1, ["1"])]


def test_a_second_sheet_may_be_large() -> None:
    """Sheets of an .xlsx file that are not read are not unpacked."""
    small = f'<worksheet xmlns="{MAIN}"><sheetData><row><c><v>1</v></c></row></sheetData></worksheet>'
    assert spreadsheet_rows(xlsx_of(small, " " * 61_000_000)) == [(1, ["1"])]


FAR = '<row r="1"><c r="A1"><v>1</v></c></row><row r="{row}"><c r="{cell}{row}">{value}</c></row>'


@pytest.mark.parametrize(
    "content",
    [
        xlsx(FAR.format(row=1_048_576, cell="XFD", value="<v>1</v>")),
        xlsx(FAR.format(row=999_999_999, cell="A", value="<v>1</v>")),
        xlsx(FAR.format(row=1_048_576, cell="XFD", value="<is><t/></is>")),
        xlsx(FAR.format(row=1_048_576, cell="XFD", value="<v>1</v>").replace("<row", "<row xmlns='urn:x'")),
        ods(ods_row(number(16_384), times=1_000)),
        ods(ods_row(number(60), times=4_000_000_000)),
        ods(ods_row(number()), ods_row(number(), times=4_000_000_000)),
        ods(ods_row(number()) + ods_row("<table:table-cell/>", times=1_048_000) + ods_row(number())),
        xlsx('<row><c t="s"><v>0</v></c></row>' * 40_000, f"<si><t>{'x' * 2000}</t></si>"),
        ods(ods_row(ods_cell("string", 'table:number-columns-repeated="60"', "x" * 2000), times=5000)),
    ],
    ids=["corner", "row", "nothing", "space", "columns", "rows", "sheet", "gap", "letters", "texts"],
)  # fmt: skip
def test_cells_far_off_or_repeated_make_no_huge_table(content: bytes) -> None:
    """A few hundred bytes that would be millions of cells, or gigabytes of letters, are refused unread."""
    assert len(content) < 20_000
    tracemalloc.start()
    try:
        with pytest.raises(SheetError, match="too large once unpacked"):
            read_sheet("a", content)
        assert tracemalloc.get_traced_memory()[1] < 8_000_000
    finally:
        tracemalloc.stop()


def test_what_was_looked_at_is_what_is_read(monkeypatch: pytest.MonkeyPatch) -> None:
    """The library gets only parts that were looked through: nothing else of the file reaches it."""
    handed: list[str] = []

    class Book:
        sheets_metadata = ()

        @classmethod
        def from_filelike(cls, small: object) -> Book:
            import zipfile

            handed.extend(zipfile.ZipFile(small).namelist())  # type: ignore[call-overload]
            return cls()

    monkeypatch.setattr("python_calamine.CalamineWorkbook", Book)
    sheet = f'<worksheet xmlns="{MAIN}"/>'
    with pytest.raises(SheetError, match="no sheet"):
        spreadsheet_rows(xlsx_of(sheet, sheet))
    assert "xl/worksheets/sheet1.xml" in handed and "xl/worksheets/sheet2.xml" not in handed


@pytest.mark.parametrize("head", ["", '<?xml version="1.0" encoding="utf-8"?>'])
def test_texts_that_define_one_another_are_refused_in_the_open_format(head: str) -> None:
    """A document type in the part that holds the cells."""
    with pytest.raises(SheetError, match="usual kind"):
        read_sheet("a", ods(ods_row(number()), head=f'{head}<!DOCTYPE a [<!ENTITY b "c">]>'))


def test_a_supplier_is_told_of_the_rows_of_a_spreadsheet_that_would_lose_something(tmp_path: Path) -> None:
    """A cell beyond the named columns, or one too long to be kept: a fault at its row, as with one house."""
    rows = [
        ods_row(*(ods_cell("string", "", text) for text in row))
        for row in (("Kunde", "Datum", "Menge"), ("K-01", "2025-10-06", "4120", "x"))
    ]
    (tmp_path / "own.ods").write_bytes(ods("".join(rows)))
    mapping = {"Kunde": "customer", "Datum": "date", "Menge": "kg"}
    _, faults = import_table(tmp_path / "own.ods", mapping, "deliveries")
    assert [(fault.line, "first line names 3 columns" in fault.message) for fault in faults] == [(2, True)]


def test_a_bound_is_that_of_each_part(monkeypatch: pytest.MonkeyPatch) -> None:
    """What a part of the open format unpacks to is bounded, too."""
    monkeypatch.setattr(spreadsheet, "MOST_XML_BYTES", 1_000)
    with pytest.raises(SheetError, match="too large once unpacked"):
        read_sheet("a", ods(ods_row(number()) + " " * 1_000))

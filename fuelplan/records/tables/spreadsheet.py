"""The first sheet of a spreadsheet file (.xlsx, .ods) as rows of text, bounded by what it would unpack to.

The cells are read by a library that makes room for every cell between the first and the last of a sheet, and
for a text once for each cell that holds it. So each part is looked through first, piece by piece: only what
was seen to be small, without document types, and is needed is handed on.
"""

from __future__ import annotations

import io
import re
import struct
import zipfile
import zlib
from collections.abc import Mapping
from datetime import date, datetime, time
from pathlib import PurePosixPath
from typing import IO, Any
from xml.etree import ElementTree
from xml.sax.saxutils import escape

from fuelplan.messages import Own, message
from fuelplan.records.tables.text import LONGEST_CELL, SheetError

MOST_XML_BYTES = 60_000_000  # of one part
MOST_ELEMENTS = 2_000_000
MOST_TEXTS = 400_000
MOST_CELLS = 1_000_000  # between the first and the last that hold anything
MOST_LETTERS = 60_000_000  # a text counts in each cell that holds it
MOST_COLUMNS = 60
CHUNK = 1 << 16
METHODS = (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED)  # what spreadsheet programs use
BROKEN = (
    zipfile.BadZipFile, zlib.error, ElementTree.ParseError, RuntimeError, ValueError, KeyError, EOFError,
    OSError, LookupError, OverflowError, struct.error,
)  # fmt: skip
PACKED = b"PK"  # with which such a file begins
CALC = b"application/vnd.oasis.opendocument.spreadsheet"
OF_XLSX = ("[Content_Types].xml", "_rels/.rels", "xl/workbook.xml", "xl/_rels/workbook.xml.rels",
           "xl/styles.xml", "xl/sharedStrings.xml")  # fmt: skip
ERROR = "#error"  # a cell that its formula could not fill
_KINDS = {
    "word/": message("spreadsheet.document", "a text document"),
    "ppt/": message("spreadsheet.slides", "slides"),
    "xl/workbook.bin": message("spreadsheet.xlsb", "a spreadsheet of the kind .xlsb"),
}
_CELL = re.compile(r"([A-Z]{1,3})([0-9]+)")
_UNREADABLE = message("spreadsheet.unreadable", "this spreadsheet file cannot be read; save the sheet as CSV")
_NO_SHEET = message("spreadsheet.no_sheet", "this file holds no sheet; save it as CSV, .xlsx or .ods")

Row = tuple[int, list[str]]


def spreadsheet_rows(content: bytes) -> list[Row]:
    """Return number and cells of each row of the first sheet that is shown.

    Days are written as 2026-01-04, times as 07:30, numbers with a point, yes and no as such.

    Raises
    ------
    SheetError
        Where the file is of another kind, broken, or too large once unpacked.
    """
    try:
        with zipfile.ZipFile(io.BytesIO(content)) as archive:
            names = set(archive.namelist())
            _refuse_others(archive, names)
            small = io.BytesIO()
            with zipfile.ZipFile(small, "w") as made:
                is_calc = "mimetype" in names
                looked = _look_through_ods(archive, made) if is_calc else _look_through_xlsx(archive, made)
        small.seek(0)
        return _rows_of(small, looked)
    except SheetError:
        raise
    except BROKEN as error:
        raise SheetError(_UNREADABLE) from error


def _refuse_others(archive: zipfile.ZipFile, names: set[str]) -> None:
    """Refuse a file that holds a part twice, and name what is no spreadsheet."""
    if len(names) != len(archive.namelist()):
        raise SheetError.because(
            "spreadsheet.part_twice",
            "this spreadsheet file holds a part twice; save it again as .xlsx or CSV",
        )
    for start, what in _KINDS.items():
        if any(name.startswith(start) for name in names):
            raise SheetError.because(
                "spreadsheet.another_kind", "this is {what}; save the sheet as .xlsx or CSV", what=what
            )
    if "mimetype" in names:
        with _opened(archive, "mimetype") as stream:
            if stream.read(len(CALC) + 1).strip() != CALC:
                raise SheetError.because(
                    "spreadsheet.odt",
                    "this is a file of the kind .odt or .odp; save the sheet as .ods or CSV",
                )


def _opened(archive: zipfile.ZipFile, name: str) -> IO[bytes]:
    if archive.getinfo(name).compress_type not in METHODS:
        raise SheetError.because(
            "spreadsheet.packed",
            "this spreadsheet file is packed in an unusual way; save the sheet as CSV",
        )
    return archive.open(name)


def _look_through_xlsx(archive: zipfile.ZipFile, made: zipfile.ZipFile) -> _Cells:
    """Hand on the first sheet and what its cells need; return what was seen of them."""
    names = set(archive.namelist())
    texts = _Texts()
    for name in OF_XLSX:
        if name == "xl/sharedStrings.xml" and name in names:
            _look(archive, name, texts)
            made.writestr(name, texts.part())
        elif name in names:
            _look(archive, name, _Target(), made)
    sheet = _first_sheet(made)
    if sheet not in names:
        raise SheetError(_NO_SHEET)
    cells = _CellsOfXlsx([len(text) for text in texts.found])
    _look(archive, sheet, cells, made)
    return cells


def _look_through_ods(archive: zipfile.ZipFile, made: zipfile.ZipFile) -> _Cells:
    """Hand on the cells of a file of the open format; return what was seen of them."""
    cells = _CellsOfOds()
    made.writestr("mimetype", CALC)
    _look(archive, "META-INF/manifest.xml", _Target(), made)
    _look(archive, "content.xml", cells, made)
    return cells


def _first_sheet(made: zipfile.ZipFile) -> str:
    """Return the name of the part that holds the first sheet that is shown, "" for none."""
    parts = {}
    for relation in ElementTree.fromstring(made.read("xl/_rels/workbook.xml.rels")):
        if relation.get("Type", "").endswith("/worksheet"):
            target = relation.get("Target", "")
            parts[relation.get("Id")] = target.lstrip("/") if target.startswith("/") else f"xl/{target}"
    shown = []
    for sheet in ElementTree.fromstring(made.read("xl/workbook.xml")).iter():
        if _local(sheet.tag) == "sheet":
            part = next((parts[v] for k, v in sheet.items() if _local(k) == "id" and v in parts), "")
            shown += [(sheet.get("state", "visible") != "visible", part)] if part else []
    return str(PurePosixPath(min(shown, key=lambda one: one[0])[1])) if shown else ""


def _rows_of(small: io.BytesIO, looked: _Cells) -> list[Row]:
    from python_calamine import CalamineError, CalamineWorkbook, SheetTypeEnum, SheetVisibleEnum

    try:
        book = CalamineWorkbook.from_filelike(small)
        sheets = [one for one in book.sheets_metadata if one.typ == SheetTypeEnum.WorkSheet]
        if not sheets:
            raise SheetError(_NO_SHEET)
        first = next((one for one in sheets if one.visible == SheetVisibleEnum.Visible), sheets[0])
        sheet = book.get_sheet_by_name(first.name)
        down, right = sheet.start or (0, 0)
        rows = []
        for number, values in enumerate(sheet.to_python(skip_empty_area=True), 1 + down):
            cells = [""] * right + [_text(value) for value in values]
            for column in looked.errors.get(number, ()):
                cells += [""] * (column + 1 - len(cells))
                cells[column] = ERROR
            while cells and not cells[-1]:
                cells.pop()
            if any(cells[MOST_COLUMNS:]):
                raise SheetError.because(
                    "spreadsheet.wide_row",
                    "row {row} has more than {most} columns, the most that is read", row=Own(str(number)),
                    most=MOST_COLUMNS,
                )  # fmt: skip
            rows.append((number, cells))
        return rows
    except CalamineError as error:
        raise SheetError(_UNREADABLE) from error


def _text(value: Any) -> str:
    """Return a cell as a person would write it."""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float | int):
        return f"{value:.10g}"
    if isinstance(value, datetime):
        return value.isoformat(" ", timespec="auto" if value.second or value.microsecond else "minutes")
    if isinstance(value, time):
        return value.isoformat(timespec="auto" if value.second or value.microsecond else "minutes")
    return value.isoformat() if isinstance(value, date) else str(value)


def _local(name: str) -> str:
    """Return the name of a tag or attribute without that of its space: the strict form has others."""
    return name.rpartition("}")[2]


def _look(archive: zipfile.ZipFile, name: str, target: _Target, made: zipfile.ZipFile | None = None) -> None:
    """Look through a part piece by piece, bounded by what it really unpacks to, and hand on its bytes."""
    parser = ElementTree.XMLParser(target=target)
    left = MOST_XML_BYTES
    with _opened(archive, name) as stream, made.open(name, "w") if made else io.BytesIO() as copy:
        while piece := stream.read(CHUNK):
            left -= len(piece)
            if left < 0:
                raise _too_large()
            parser.feed(piece)
            copy.write(piece)
    parser.close()


def _too_large() -> SheetError:
    return SheetError.because(
        "spreadsheet.too_large", "this spreadsheet file is too large once unpacked; save the sheet as CSV"
    )


class _Target:
    """What listens to a part of the file, and counts its elements: tiny ones without end take for ever.

    A part that defines texts by one another (a document type) is refused, in whatever encoding it is written.
    """

    elements = 0

    def start(self, tag: str, given: Mapping[str, str]) -> None:
        """Count an element."""
        self.elements += 1
        if self.elements > MOST_ELEMENTS:
            raise _too_large()

    def doctype(self, name: str, public: str, system: str) -> None:
        """Refuse what no spreadsheet program writes."""
        raise SheetError.because(
            "spreadsheet.unusual", "this spreadsheet file is not of the usual kind; save the sheet as CSV"
        )

    def close(self) -> None:
        """End; there is nothing to hand over."""


class _Texts(_Target):
    """The texts that cells of an .xlsx file name by their number, none longer than is read."""

    def __init__(self) -> None:
        self.found: list[str] = []
        self._pieces: list[str] = []
        self._inside = False

    def start(self, tag: str, given: Mapping[str, str]) -> None:
        super().start(tag, given)
        tag = _local(tag)
        self._inside = tag == "t"
        if tag == "si":
            self._pieces = []

    def data(self, text: str) -> None:
        if self._inside:
            self._pieces.append(text)

    def end(self, tag: str) -> None:
        self._inside = False
        if _local(tag) == "si":
            if len(self.found) >= MOST_TEXTS:
                raise SheetError.because(
                    "spreadsheet.texts", "the file holds more than {most} texts, the most that is read",
                    most=MOST_TEXTS,
                )  # fmt: skip
            self.found.append("".join(self._pieces)[: LONGEST_CELL + 1])

    def part(self) -> str:
        """Return the part anew."""
        texts = (escape(text, {"\r": "&#13;"}) for text in self.found)
        made = "".join(f'<si><t xml:space="preserve">{text}</t></si>' for text in texts)
        return f'<sst xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main">{made}</sst>'


class _Cells(_Target):
    """How far the cells reach, how many letters they hold, and which hold an error of their formula.

    `errors` has the columns, from 0, by the number of the row, from 1.
    """

    def __init__(self) -> None:
        self.errors: dict[int, set[int]] = {}
        self._letters = 0

    def _hold(self, cells: int, letters: int = 0) -> None:
        self._letters += letters
        if cells > MOST_CELLS or self._letters > MOST_LETTERS:
            raise _too_large()


class _CellsOfXlsx(_Cells):
    """The cells of a sheet of an .xlsx file, each with its place or behind the one before."""

    def __init__(self, lengths: list[int]) -> None:
        super().__init__()
        self._lengths = lengths
        self._row = self._column = -1
        self._top, self._bottom, self._width = 1 << 40, 0, 0
        self._kind = self._number = ""
        self._inside = False

    def start(self, tag: str, given: Mapping[str, str]) -> None:
        super().start(tag, given)
        tag = _local(tag)
        if tag == "row":
            self._row = int(given["r"]) - 1 if "r" in given else self._row + 1
            self._column = -1
        elif tag == "c":
            self._column += 1
            if place := _CELL.fullmatch(given.get("r", "")):
                self._column, self._row = _column(place[1]), int(place[2]) - 1
            self._kind, self._number = given.get("t", ""), ""
            if self._kind == "e":
                self.errors.setdefault(self._row + 1, set()).add(self._column)
        elif tag in {"v", "is", "f"}:
            self._top, self._bottom = min(self._top, self._row), max(self._bottom, self._row)
            self._width = max(self._width, self._column + 1)
            self._hold((self._bottom - self._top + 1) * self._width)
        self._inside = tag == "v" and self._kind == "s"

    def data(self, text: str) -> None:
        if self._inside and len(self._number) < len(str(MOST_TEXTS)):
            self._number += text

    def end(self, tag: str) -> None:
        self._inside = False
        if _local(tag) == "c" and self._number.strip().isdecimal():
            at = int(self._number)
            self._hold(0, self._lengths[at] if at < len(self._lengths) else 0)


class _CellsOfOds(_Cells):
    """The cells of all sheets of an .ods file, of which one may stand for many."""

    def __init__(self) -> None:
        super().__init__()
        self._sheets = self._rows = self._width = self._before = 0
        self._sheet_begins = self._column = self._many_rows = self._many = 0
        self._filled = self._inside = False
        self._text = 0

    def start(self, tag: str, given: Mapping[str, str]) -> None:
        super().start(tag, given)
        tag, given = _local(tag), {_local(name): value for name, value in given.items()}
        if tag == "table":
            self._sheets += 1
            self._sheet_begins = self._rows
        elif tag == "table-row":
            self._many_rows = int(given.get("number-rows-repeated", 1))
            self._column, self._filled = 0, False
        elif tag in {"table-cell", "covered-table-cell"}:
            self._many = int(given.get("number-columns-repeated", 1))
            self._text = sum(len(value) for value in given.values()) if "value-type" in given else 0
            self._inside = True
            if self._sheets == 1 and "error" in given.values():
                self._error()

    def _error(self) -> None:
        self._hold(self._many * self._many_rows)
        for row in range(self._rows - self._sheet_begins, self._rows - self._sheet_begins + self._many_rows):
            self.errors.setdefault(row + 1, set()).update(range(self._column, self._column + self._many))

    def data(self, text: str) -> None:
        if self._inside:
            self._text += len(text)

    def end(self, tag: str) -> None:
        tag = _local(tag)
        if tag in {"table-cell", "covered-table-cell"}:
            self._inside = False
            self._column += self._many
            if self._text:
                self._filled = True
                self._width = max(self._width, self._column)
                self._hold(0, self._text * self._many * self._many_rows)
        elif tag == "table-row":
            self._rows += self._many_rows
            if self._filled:  # empty rows count once one with something stands behind them
                self._before = self._rows
                self._hold(self._before * self._width)
        elif tag == "table":
            self._rows = self._before  # empty rows at the end of a sheet are none


def _column(letters: str) -> int:
    number = 0
    for letter in letters:
        number = number * 26 + ord(letter) - 64
    return number - 1

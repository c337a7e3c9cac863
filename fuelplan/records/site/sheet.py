"""A table from a spreadsheet, as text: CSV as spreadsheets write it, or the first sheet of an .xlsx file."""

from __future__ import annotations

import io
import re
import struct
import zipfile
import zlib
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from datetime import date, timedelta
from xml.etree import ElementTree

from fuelplan.records.site.sheet_text import TextError, csv_rows, decoded, guesses, sample_of, separator_of

MOST_ROWS = 5000
MOST_COLUMNS = 60
MOST_BYTES = 5_000_000
MOST_XML_BYTES = 60_000_000
MOST_TEXTS = 400_000
MOST_ELEMENTS = 2_000_000
LONGEST_CELL = 2000
CHUNK = 1 << 16
METHODS = (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED)  # what spreadsheet programs use
BROKEN = (
    zipfile.BadZipFile, zlib.error, ElementTree.ParseError, RuntimeError, ValueError, KeyError, EOFError,
    OSError, LookupError, OverflowError, struct.error,
)  # fmt: skip
FIRST_SERIAL, LAST_SERIAL = 15_000, 80_000  # days from 1941 to 2119: no year, and hardly an amount
PACKED = b"PK"  # with which an .xlsx file begins
_EPOCH = date(1899, 12, 30)  # day 0 of spreadsheets
_MAIN = "{http://schemas.openxmlformats.org/spreadsheetml/2006/main}"
_STRICT = "{http://purl.oclc.org/ooxml/spreadsheetml/main}"  # the strict form has the same parts
_KINDS = {"word/": "a text document", "ppt/": "slides", "xl/workbook.bin": "a spreadsheet of the kind .xlsb"}
_CELL = re.compile(r"([A-Z]{1,3})[0-9]+")


class SheetError(ValueError):
    """A file that is no table of ours, and what to hand in instead."""


@dataclass(frozen=True)
class Sheet:
    """A table: its first line names the columns.

    Attributes
    ----------
    header
        Names of the columns.
    rows
        Cells as text, each row as long as the header.
    lines
        Number of each row in the file, counted from 1.
    separator
        What parts the cells: "," ";" or a tab; empty for a spreadsheet file.
    header_line
        Number of the first line.
    encoding, encodings
        In what encoding the letters were read, and those they may be in, each with the first words that show
        it; empty for a spreadsheet file.
    faults
        What is wrong with a row as such, by its number.
    """

    header: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    lines: tuple[int, ...]
    separator: str
    header_line: int = 1
    encoding: str = ""
    encodings: Mapping[str, str] = field(default_factory=dict)
    faults: Mapping[int, str] = field(default_factory=dict)


def read_sheet(name: str, content: bytes, *, country: str = "", encoding: str = "") -> Sheet:
    """Return the table of a file; .xlsx by the file's own first bytes, anything else is read as CSV.

    Parameters
    ----------
    country, encoding
        Where a CSV file comes from, and in what encoding it is, where a person has said so; see
        :func:`fuelplan.records.site.sheet_text.decoded`.

    Raises
    ------
    SheetError
        In one sentence.
    """
    if len(content) > MOST_BYTES:
        raise SheetError(f"the file has {len(content):,} bytes; {MOST_BYTES:,} is the most that is read")
    if content.startswith(PACKED):
        return _sheet(_xlsx(content), "")
    try:
        text, encoding = decoded(content, country, encoding)
        separator, rest = separator_of(text)
        hint = text[: len(text) - len(rest)]
        rows = csv_rows(rest, separator, MOST_ROWS + 100, 1 + bool(hint))
    except TextError as error:
        raise SheetError(str(error)) from error
    one_byte = encoding not in {"utf-8", "utf-16", "utf-16-le", "utf-16-be"}
    others = [name for name in guesses(content, country) if name != encoding] if one_byte else []
    samples = {name: sample_of(content, name) for name in (encoding, *others)}
    return replace(_sheet(rows, separator), encoding=encoding, encodings=samples)


def day_of_serial(text: str) -> date | None:
    """Return the day that a spreadsheet keeps as a number, None where the text is no such number."""
    if not re.fullmatch(r"[0-9]{5}(?:\.[0-9]+)?", text) or not FIRST_SERIAL <= float(text) <= LAST_SERIAL:
        return None
    return _EPOCH + timedelta(days=int(float(text)))


def _sheet(rows: list[tuple[int, list[str]]], separator: str) -> Sheet:
    rows = [(line, cells) for line, cells in rows if any(cell.strip() for cell in cells)]
    if len(rows) < 2:
        raise SheetError(
            "the table is empty: its first line names the columns, each further line is one entry"
        )
    if len(rows) - 1 > MOST_ROWS:
        raise SheetError(f"the table has {len(rows) - 1:,} rows; {MOST_ROWS:,} is the most that is read")
    header = [cell.strip()[:80] for cell in rows[0][1]]
    while header and not header[-1]:
        header.pop()
    if not header or len(header) > MOST_COLUMNS:
        raise SheetError(f"the first line names {len(header)} columns; 1 to {MOST_COLUMNS} can be read")
    width = len(header)
    named = tuple(cell or f"column {i + 1}" for i, cell in enumerate(header))
    kept: dict[str, str] = {}  # a text that stands in many cells is cut once, not copied for each

    def cut(cell: str) -> str:
        plain = cell.strip()
        return plain if len(plain) <= LONGEST_CELL else kept.setdefault(plain, plain[:LONGEST_CELL])

    cells = tuple(tuple(cut(row[i]) if i < len(row) else "" for i in range(width)) for _, row in rows[1:])
    lines = tuple(line for line, _ in rows[1:])
    # A spreadsheet's cells have their place; those of a text have moved where there are too many.
    most = max(width, len(rows[0][1])) if separator else MOST_COLUMNS
    faults = {line: fault for line, row in rows[1:] if (fault := _row_fault(row, width, most))}
    return Sheet(named, cells, lines, separator, rows[0][0], faults=faults)


def _row_fault(row: list[str], width: int, most: int) -> str:
    """Say what of a row would be lost, or stand in a column that it does not belong to."""
    if len(row) > most or any(cell.strip() for cell in row[width:]):
        return (
            f"the row has {len(row)} cells, the first line names {width} columns; is a comma or semicolon "
            "part of a text or of a number? Put it in quotation marks"
        )
    if any(len(cell.strip()) > LONGEST_CELL for cell in row):
        return f"a cell has more than {LONGEST_CELL:,} letters; shorten it"
    return ""


def _xlsx(content: bytes) -> list[tuple[int, list[str]]]:
    try:
        with zipfile.ZipFile(io.BytesIO(content)) as archive:
            _refuse_others(archive)
            names = set(archive.namelist())
            shared = _Texts()
            if "xl/sharedStrings.xml" in names:
                _parse(archive, "xl/sharedStrings.xml", shared)
            sheet = min(
                (n for n in names if re.fullmatch(r"xl/worksheets/sheet\d+\.xml", n)), key=_number, default=""
            )
            if not sheet:
                raise SheetError("this file holds no sheet; save it as CSV or .xlsx")
            found = _Rows(shared.found)
            _parse(archive, sheet, found)
            return found.found
    except SheetError:
        raise
    except BROKEN as error:
        raise SheetError("this spreadsheet file cannot be read; save the sheet as CSV") from error


def _refuse_others(archive: zipfile.ZipFile) -> None:
    """Refuse a file that holds a part twice, and name what is no .xlsx file."""
    names = archive.namelist()
    if len(set(names)) != len(names):
        raise SheetError("this spreadsheet file holds a part twice; save it again as .xlsx or CSV")
    if "mimetype" in names:
        raise SheetError("this is a file of the kind .ods or .odt; save the sheet as .xlsx or CSV")
    for start, what in _KINDS.items():
        if any(name.startswith(start) for name in names):
            raise SheetError(f"this is {what}; save the sheet as .xlsx or CSV")


def _tag(tag: str) -> str:
    """Return a tag by the name it has in the usual form."""
    return f"{_MAIN}{tag.removeprefix(_STRICT)}" if tag.startswith(_STRICT) else tag


def _number(name: str) -> int:
    return int("".join(c for c in name if c.isdigit()))


class _Target:
    """What listens to a part of the file; nothing of it is kept but the texts that a cell needs.

    A part that defines texts by one another (a document type) is refused, in whatever encoding it is written.
    """

    elements = 0

    def start(self, tag: str, given: Mapping[str, str]) -> None:
        """Count the elements: tiny ones without end would take for ever."""
        self.elements += 1
        if self.elements > MOST_ELEMENTS:
            raise SheetError("this spreadsheet file is too large once unpacked; save the sheet as CSV")

    def doctype(self, name: str, public: str, system: str) -> None:
        """Refuse what no spreadsheet program writes."""
        raise SheetError("this spreadsheet file is not of the usual kind; save the sheet as CSV")

    def close(self) -> None:
        """End; there is nothing to hand over."""


class _Texts(_Target):
    """The texts that cells name by their number."""

    def __init__(self) -> None:
        self.found: list[str] = []
        self._pieces: list[str] = []
        self._inside = False

    def start(self, tag: str, given: Mapping[str, str]) -> None:
        super().start(tag, given)
        tag = _tag(tag)
        self._inside = tag == f"{_MAIN}t"
        if tag == f"{_MAIN}si":
            self._pieces = []

    def data(self, text: str) -> None:
        if self._inside:
            self._pieces.append(text)

    def end(self, tag: str) -> None:
        self._inside = False
        if _tag(tag) == f"{_MAIN}si":
            if len(self.found) >= MOST_TEXTS:
                raise SheetError(f"the file holds more than {MOST_TEXTS:,} texts, the most that is read")
            self.found.append("".join(self._pieces)[: LONGEST_CELL + 1])


class _Rows(_Target):
    """The rows of a sheet: number and cells."""

    def __init__(self, shared: list[str]) -> None:
        self.found: list[tuple[int, list[str]]] = []
        self._shared = shared
        self._row: tuple[int, dict[int, str]] | None = None
        self._cell: tuple[int, str] | None = None  # column and kind
        self._cells = 0
        self._wanted = ""  # the tag whose text is the cell's
        self._inside = False
        self._pieces: list[str] = []

    def start(self, tag: str, given: Mapping[str, str]) -> None:
        super().start(tag, given)
        tag = _tag(tag)
        if tag == f"{_MAIN}row":
            self._row, self._cells = (int(given.get("r", len(self.found) + 1)), {}), 0
        elif tag == f"{_MAIN}c" and self._row is not None:
            place = _CELL.fullmatch(given.get("r", ""))
            kind = given.get("t", "")
            self._cell = (_column(place[1]) if place else self._cells), kind
            self._cells, self._pieces = self._cells + 1, []
            self._wanted = f"{_MAIN}t" if kind == "inlineStr" else f"{_MAIN}v"
        self._inside = self._cell is not None and tag == self._wanted

    def data(self, text: str) -> None:
        if self._inside:
            self._pieces.append(text)

    def end(self, tag: str) -> None:
        self._inside = False
        tag = _tag(tag)
        if tag == f"{_MAIN}c" and self._row is not None and self._cell is not None:
            column, kind = self._cell
            text = _cell_text(kind, "".join(self._pieces)[: LONGEST_CELL + 1], self._shared)
            if column < MOST_COLUMNS:
                self._row[1][column] = text
            elif text:
                said = f"row {self._row[0]} has more than {MOST_COLUMNS} columns, the most that is read"
                raise SheetError(said)
            self._cell = None
        elif tag == f"{_MAIN}row" and self._row is not None:
            number, cells = self._row
            self.found.append((number, [cells.get(i, "") for i in range(max(cells, default=-1) + 1)]))
            self._row = None
            if len(self.found) > MOST_ROWS + 100:
                raise SheetError(f"the table has more than {MOST_ROWS:,} rows, the most that is read")


def _parse(archive: zipfile.ZipFile, name: str, target: _Target) -> None:
    """Read a part of the file piece by piece, bounded by what it really unpacks to."""
    if archive.getinfo(name).compress_type not in METHODS:
        raise SheetError("this spreadsheet file is packed in an unusual way; save the sheet as CSV")
    parser = ElementTree.XMLParser(target=target)
    left = MOST_XML_BYTES
    with archive.open(name) as stream:
        while piece := stream.read(CHUNK):
            left -= len(piece)
            if left < 0:
                raise SheetError("this spreadsheet file is too large once unpacked; save the sheet as CSV")
            parser.feed(piece)
    parser.close()


def _column(letters: str) -> int:
    number = 0
    for letter in letters:
        number = number * 26 + ord(letter) - 64
    return number - 1


def _cell_text(kind: str, text: str, shared: list[str]) -> str:
    if kind == "s":
        return shared[int(text)] if text.isdecimal() and int(text) < len(shared) else ""
    if kind == "b":
        return "yes" if text == "1" else "no"
    if not kind or kind == "n":
        try:
            return f"{float(text):.10g}" if text else ""
        except ValueError:
            return text
    return text

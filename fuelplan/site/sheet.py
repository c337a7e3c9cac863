"""A table from a spreadsheet, as text: CSV as spreadsheets write it, or the first sheet of an .xlsx file."""

from __future__ import annotations

import csv
import io
import re
import zipfile
import zlib
from dataclasses import dataclass
from xml.etree import ElementTree

MOST_ROWS = 5000
MOST_COLUMNS = 60
MOST_BYTES = 5_000_000
MOST_XML_BYTES = 60_000_000
LONGEST_CELL = 2000
BROKEN = (
    zipfile.BadZipFile, zlib.error, ElementTree.ParseError, RuntimeError, ValueError, KeyError, EOFError
)  # fmt: skip
_MAIN = "{http://schemas.openxmlformats.org/spreadsheetml/2006/main}"
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
    """

    header: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    lines: tuple[int, ...]
    separator: str


def read_sheet(name: str, content: bytes) -> Sheet:
    """Return the table of a file; .xlsx by the file's own first bytes, anything else is read as CSV.

    Raises
    ------
    SheetError
        In one sentence.
    """
    if len(content) > MOST_BYTES:
        raise SheetError(f"the file has {len(content):,} bytes; {MOST_BYTES:,} is the most that is read")
    if content.startswith(b"PK"):
        rows, separator = _xlsx(content), ""
    else:
        rows, separator = _csv(content)
    return _sheet(rows, separator)


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
    cells = tuple(
        tuple((row[i] if i < len(row) else "").strip()[:LONGEST_CELL] for i in range(width))
        for _, row in rows[1:]
    )
    return Sheet(named, cells, tuple(line for line, _ in rows[1:]), separator)


def _csv(content: bytes) -> tuple[list[tuple[int, list[str]]], str]:
    if b"\x00" in content:
        raise SheetError("this is no text; save the sheet as CSV or .xlsx")
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError:
        text = content.decode("cp1252", errors="replace")  # what spreadsheets on Windows write
    first = text.lstrip().split("\n", 1)[0]
    separator = max(";\t,", key=first.count)
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=separator)
    rows = []
    try:
        for cells in reader:
            rows.append((reader.line_num, cells))
            if len(rows) > MOST_ROWS + 100:
                raise SheetError(f"the table has more than {MOST_ROWS:,} rows, the most that is read")
    except csv.Error as error:
        raise SheetError(f"line {reader.line_num} is not CSV: {error}") from error
    return rows, separator


def _xlsx(content: bytes) -> list[tuple[int, list[str]]]:
    try:
        with zipfile.ZipFile(io.BytesIO(content)) as archive:
            names = set(archive.namelist())
            shared = _shared(archive) if "xl/sharedStrings.xml" in names else []
            sheet = min(
                (n for n in names if re.fullmatch(r"xl/worksheets/sheet\d+\.xml", n)), key=_number, default=""
            )
            if not sheet:
                raise SheetError("this file holds no sheet; save it as CSV or .xlsx")
            return _rows(_xml(archive, sheet), shared)
    except SheetError:
        raise
    except BROKEN as error:
        raise SheetError("this spreadsheet file cannot be read; save the sheet as CSV") from error


def _number(name: str) -> int:
    return int("".join(c for c in name if c.isdigit()))


def _xml(archive: zipfile.ZipFile, name: str) -> ElementTree.Element:
    """Return a part of the file, bounded by what it really unpacks to; one with entities is refused."""
    with archive.open(name) as stream:
        text = stream.read(MOST_XML_BYTES + 1)
    if len(text) > MOST_XML_BYTES or b"<!DOCTYPE" in text or b"<!ENTITY" in text:
        raise SheetError("this spreadsheet file is too large or not of the usual kind; save the sheet as CSV")
    return ElementTree.fromstring(text)


def _shared(archive: zipfile.ZipFile) -> list[str]:
    root = _xml(archive, "xl/sharedStrings.xml")
    return ["".join(t.text or "" for t in item.iter(f"{_MAIN}t")) for item in root.iter(f"{_MAIN}si")]


def _rows(root: ElementTree.Element, shared: list[str]) -> list[tuple[int, list[str]]]:
    rows = []
    for at, row in enumerate(root.iter(f"{_MAIN}row"), 1):
        cells: dict[int, str] = {}
        for i, cell in enumerate(row.iter(f"{_MAIN}c")):
            place = _CELL.fullmatch(cell.get("r", ""))
            column = _column(place[1]) if place else i
            if column < MOST_COLUMNS:
                cells[column] = _cell_text(cell, shared)
        rows.append((int(row.get("r", at)), [cells.get(i, "") for i in range(max(cells, default=-1) + 1)]))
        if len(rows) > MOST_ROWS + 100:
            raise SheetError(f"the table has more than {MOST_ROWS:,} rows, the most that is read")
    return rows


def _column(letters: str) -> int:
    number = 0
    for letter in letters:
        number = number * 26 + ord(letter) - 64
    return number - 1


def _cell_text(cell: ElementTree.Element, shared: list[str]) -> str:
    kind = cell.get("t", "")
    if kind == "inlineStr":
        return "".join(t.text or "" for t in cell.iter(f"{_MAIN}t"))
    value = cell.find(f"{_MAIN}v")
    text = "" if value is None else value.text or ""
    if kind == "s":
        return shared[int(text)] if text.isdigit() and int(text) < len(shared) else ""
    if kind == "b":
        return "yes" if text == "1" else "no"
    if not kind or kind == "n":
        try:
            return f"{float(text):.10g}" if text else ""
        except ValueError:
            return text
    return text

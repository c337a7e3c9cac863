"""A table from elsewhere as text: CSV as spreadsheets write it, or the first sheet of a spreadsheet file."""

from __future__ import annotations

import itertools
import re
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from datetime import date, timedelta

from fuelplan.messages import Message, Own, as_message, message
from fuelplan.records.tables.delimited import delimiter_of, whole_rows
from fuelplan.records.tables.faults import Fault
from fuelplan.records.tables.spreadsheet import MOST_COLUMNS, PACKED, spreadsheet_rows
from fuelplan.records.tables.text import LONGEST_CELL, SheetError, decoded, guesses, sample_of

MOST_ROWS = 5000
MOST_BYTES = 5_000_000
FIRST_SERIAL, LAST_SERIAL = 15_000, 80_000  # days from 1941 to 2119: no year, and hardly an amount
_EPOCH = date(1899, 12, 30)  # day 0 of spreadsheets


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
    faults: Mapping[int, Message] = field(default_factory=dict)


def read_sheet(name: str, content: bytes, *, country: str = "", encoding: str = "") -> Sheet:
    """Return the table of a file; .xlsx and .ods by the file's own first bytes, anything else is read as CSV.

    Parameters
    ----------
    country, encoding
        Where a CSV file comes from, and in what encoding it is, where a person has said so; see
        :func:`fuelplan.records.tables.text.decoded`.

    Raises
    ------
    SheetError
        In one sentence.
    """
    if len(content) > MOST_BYTES:
        raise SheetError.because(
            "sheet.too_large", "the file has {bytes} bytes; {most} is the most that is read",
            bytes=len(content), most=MOST_BYTES,
        )  # fmt: skip
    if content.startswith(PACKED):
        return _sheet(spreadsheet_rows(content), "")
    text, encoding = decoded(content, country, encoding)
    separator = delimiter_of(text)
    lost: list[Fault] = []
    spans = whole_rows(name, text, separator, lost, by_line=True)
    rows = [(span.last_line, span.cells) for span in itertools.islice(spans, MOST_ROWS + 2)]
    if lost:
        raise SheetError.because(
            "sheet.lost", "line {line}: {fault}", line=Own(str(lost[0].line)),
            fault=as_message(lost[0].said),
        )  # fmt: skip
    one_byte = encoding not in {"utf-8", "utf-16", "utf-16-le", "utf-16-be"}
    others = [name for name in guesses(content, country) if name != encoding] if one_byte else []
    samples = {name: sample_of(content, name) for name in (encoding, *others)}
    return replace(_sheet(rows, separator), encoding=encoding, encodings=samples)


def day_of_cell(text: str) -> date | None:
    """Return the day of a spreadsheet's cell, kept as a number or with a time; None where it is none."""
    if re.fullmatch(r"[0-9]{4}-[0-9]{2}-[0-9]{2} [0-9:.]+", text):
        return date.fromisoformat(text[:10])
    if not re.fullmatch(r"[0-9]{5}(?:\.[0-9]+)?", text) or not FIRST_SERIAL <= float(text) <= LAST_SERIAL:
        return None
    return _EPOCH + timedelta(days=int(float(text)))


def without_thousands(text: str, decimal: str) -> str:
    """Return a number, with a unit or without, less the marks that part its thousands.

    Parameters
    ----------
    decimal
        Sign of decimals: "." or ",".
    """
    marks = ". '" if decimal == "," else ",'"
    return re.sub(rf"(?<=[0-9])[{marks}](?=[0-9]{{3}}(?![0-9]))", "", text)


def _sheet(rows: list[tuple[int, list[str]]], separator: str) -> Sheet:
    rows = [(line, cells) for line, cells in rows if any(cell.strip() for cell in cells)]
    if len(rows) < 2:
        raise SheetError.because(
            "sheet.empty",
            "the table is empty: its first line names the columns, each further line is one entry",
        )
    if len(rows) - 1 > MOST_ROWS:
        raise SheetError.because(
            "sheet.too_many_rows", "the table has more than {most} rows, the most that is read",
            most=MOST_ROWS,
        )  # fmt: skip
    header = [cell.strip()[:80] for cell in rows[0][1]]
    while header and not header[-1]:
        header.pop()
    if not header or len(header) > MOST_COLUMNS:
        raise SheetError.because(
            "sheet.columns", "the first line names {n} columns; 1 to {most} can be read", n=len(header),
            most=MOST_COLUMNS,
        )  # fmt: skip
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


def _row_fault(row: list[str], width: int, most: int) -> Message | None:
    """Return what of a row would be lost, or stand in a column that it does not belong to."""
    if len(row) > most or any(cell.strip() for cell in row[width:]):
        return message(
            "sheet.more_cells",
            "the row has {n} cells, the first line names {columns} columns; is a comma or "
            "semicolon part of a text or of a number? Put it in quotation marks", n=len(row), columns=width,
        )  # fmt: skip
    if any(len(cell.strip()) > LONGEST_CELL for cell in row):
        return message(
            "sheet.long_cell", "a cell has more than {most} letters; shorten it", most=LONGEST_CELL
        )
    return None

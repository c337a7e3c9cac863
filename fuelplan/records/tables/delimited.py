"""The rows of a delimited text: what parts its cells, where each row stands, what is wrong with others."""

from __future__ import annotations

import csv
import io
import itertools
import re
from collections.abc import Iterator, Sequence
from difflib import get_close_matches
from typing import NamedTuple

from fuelplan.messages import Message, Own, message
from fuelplan.records.tables.faults import Fault

DELIMITERS = (",", ";", "\t")
LOST = message("table.rows_lost", "rows lost")  # the rule of faults behind which rows are hidden
HINT = re.compile(r"sep=([^\w\s\"]|\t)[ \t]*(?:\r\n|\n|\r|$)", re.IGNORECASE)
OWN_COLUMN = "x_"  # columns of a person's own begin so and are kept as they are
OPEN_QUOTE = message(
    "table.open_quote",
    "a quotation mark is opened and not closed in its cell, so that the rows after it "
    "would be lost; close it, or take it out",
)
FORMULA_STARTS = ("=", "+", "-", "@")
_BEGINS_AS_ROW = re.compile(r"\s*\"?[0-9]{1,4}[./-][0-9]{1,2}[./-][0-9]{1,4}\"?\s*")


class RowSpan(NamedTuple):
    """One row: its cells, where it stands in the text, the line it ends in, and its number as a row."""

    cells: list[str]
    start: int
    end: int
    last_line: int
    number: int


def hint_of(text: str) -> str:
    """Return the line "sep=;" with its end, which some spreadsheets write before all others; else ""."""
    found = HINT.match(text)
    return found[0] if found else ""


def delimiter_of(text: str) -> str:
    """Return what parts the columns, by the line that says so or the first line that holds anything."""
    if hint := HINT.match(text):
        return hint[1]
    rest = text.lstrip()[:20_000]
    line = rest.splitlines()[0] if rest else ""
    outside = "".join(line.split('"')[::2])
    return max(DELIMITERS, key=lambda mark: (outside.count(mark), -DELIMITERS.index(mark)))


def row_spans(text: str, delimiter: str = ",") -> Iterator[RowSpan]:
    """Yield every row of a CSV text that holds anything, the one that names the columns too.

    Raises
    ------
    csv.Error
        Where the text is no CSV, e.g. an open quote at its end.
    """
    taken = 0

    def lines() -> Iterator[str]:
        nonlocal taken
        for line in io.StringIO(text, newline=""):
            taken += len(line)
            yield line

    reader = csv.reader(lines(), delimiter=delimiter, strict=True)
    start, first = 0, len(hint_of(text))
    for number, cells in enumerate(reader, 1):
        if start >= first and any(map(str.strip, cells)):
            yield RowSpan(cells, start, taken, reader.line_num, number)
        start = taken


def whole_rows(
    file: str, text: str, delimiter: str, faults: list[Fault], *, by_line: bool = False
) -> Iterator[RowSpan]:
    """Yield the rows that hide no others behind an open quotation mark; the faults of those are added.

    `by_line` counts faults by the line a row begins in, else by the row's number as a spreadsheet has it.
    """
    line = number = 0
    try:
        for span in row_spans(text, delimiter):
            in_lines = span.last_line > line + 1
            line, number = span.last_line, span.number
            if in_lines and swallowed(span.cells, delimiter):
                begun = line + 1 - len(text[span.start : span.end].splitlines())
                faults.append(Fault(file, begun if by_line else number, "", OPEN_QUOTE, rule=LOST))
            else:
                yield span
    except csv.Error as error:
        quote = "end of data" in str(error) or "expected after" in str(error)
        said = message(
            "table.not_csv", "this row is not CSV: {why}; the rest was not read", why=Own(str(error))
        )
        if quote:
            said = message("table.not_csv_by_quote", "{open} ({not_csv})", open=OPEN_QUOTE, not_csv=said)
        faults.append(Fault(file, 1 + (line if by_line else number), "", said, rule=LOST))


def fitting_rows(
    file: str, text: str, delimiter: str, faults: list[Fault], *, by_line: bool = False, strict: bool = False
) -> Iterator[RowSpan]:
    """Yield the row that names the columns, and each that has no more cells than it; see
    :func:`whole_rows`. Empty cells too many are let pass, unless `strict`.

    Parameters
    ----------
    faults
        Rows that are left out are added to it.
    by_line
        Whether faults are at the line a row ends in, else at its number as a spreadsheet has it.
    """
    header: list[str] = []
    for span in whole_rows(file, text, delimiter, faults, by_line=by_line):
        header = header or span.cells
        more = span.cells[len(header) :]
        if more and (strict or any(map(str.strip, more))):
            said = too_many(span.cells, header)
            at = span.last_line if by_line else span.number
            faults.append(Fault(file, at, "", said, rule=message("table.too_many_cells", "too many cells")))
        else:
            yield span


def swallowed(cells: Sequence[str], separator: str) -> bool:
    """Tell whether a cell holds, after a line break, what looks like another row: an open quotation mark."""
    return any("\n" in cell and holds_row(cell, separator, len(cells)) for cell in cells)


def holds_row(cell: str, separator: str, width: int) -> bool:
    """Tell whether a line of a cell after the first looks like a row of a table of some columns.

    Parameters
    ----------
    width
        How many columns the table has.
    """
    for line in cell.split("\n")[1:]:
        begins = _BEGINS_AS_ROW.match(line)
        if begins and line[begins.end() :].startswith(separator):
            return True
        if line.count(separator) >= max(width - 1, 2):
            return True
    return False


def empty_fault(file: str, columns: Sequence[str]) -> Fault:
    """Return the fault of a table without a line."""
    said = message(
        "table.empty", "the file is empty; its first line must name the columns: {columns}",
        columns=Own(",".join(columns)),
    )  # fmt: skip
    return Fault(file, None, "", said)


def header_faults(
    file: str, line: int, header: Sequence[str], columns: Sequence[str], needed: Sequence[str]
) -> list[Fault]:
    """Return the faults of a first line that names the columns: unknown, twice, missing.

    Parameters
    ----------
    line
        Number of the line that names the columns.
    header
        Its names in small letters.
    columns, needed
        Those that are known, and those that no file may lack; columns of a person's own begin with `x_`.
    """
    faults = []
    for name in header:
        if name in columns or name.startswith(OWN_COLUMN):
            continue
        close = get_close_matches(name, columns, n=1)
        if close:
            said = message(
                "table.column_meant", 'unknown column; did you mean "{column}"?', column=Own(close[0])
            )
        else:
            said = message(
                "table.column_unknown",
                "unknown column; known: {columns}; columns of your own begin with {own}",
                columns=Own(", ".join(columns)), own=Own(OWN_COLUMN),
            )  # fmt: skip
        faults.append(Fault(file, line, name[:40], said))
    for name in sorted({n for n in header if header.count(n) > 1}):
        faults.append(Fault(file, line, name, message("table.column_twice", "this column is named twice")))
    for name in needed:
        if name not in header:
            faults.append(Fault(file, line, name, message("table.column_missing", "this column is missing")))
    return faults


def too_many(cells: Sequence[str], header: Sequence[str]) -> Message:
    """Return what to do about a row with more cells than the header has columns."""
    for left, right in itertools.pairwise(cells):
        if re.search(r"\d$", left.strip()) and re.match(r"^\d+(\s*[A-Za-z%]|$)", right.strip()):
            return message(
                "table.decimal_comma",
                '{n} cells, but the header names {columns} columns; is "{comma}" a decimal comma? Write a '
                'point: "{point}"',
                n=len(cells), columns=len(header), comma=Own(f"{left.strip()},{right.strip()}"),
                point=Own(f"{left.strip()}.{right.strip()}"),
            )  # fmt: skip
    return message(
        "table.more_cells",
        "{n} cells, but the header names {columns} columns; put text that holds a comma in double quotes",
        n=len(cells), columns=len(header),
    )  # fmt: skip


def escape_formula(cell: str) -> str:
    """Return a cell that no spreadsheet takes for a formula; :func:`own_text` gives the same text again."""
    return f"'{cell}" if cell.lstrip("'").startswith(FORMULA_STARTS) else cell


def own_text(text: str) -> str:
    """Return a cell as meant: without the apostrophe that keeps spreadsheets from seeing a formula."""
    return text[1:] if text[:1] == "'" and text.lstrip("'")[:1] in FORMULA_STARTS else text

"""A table's text about to be changed: rows put in, changed and taken out, every other byte kept."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path

from fuelplan.files import is_there
from fuelplan.messages import Listed, Message, Own
from fuelplan.records.folder.text_files import EditError, as_it_stands, replace_text
from fuelplan.records.folder.undo import write_remembered
from fuelplan.records.tables import (
    MAX_FILE_BYTES,
    RowSpan,
    delimiter_of,
    escape_formula,
    own_text,
    read_bytes,
    row_spans,
    text_of,
)

Row = Mapping[str, str]


@dataclass(frozen=True)
class Keeping:
    """How a table is kept in its file.

    Attributes
    ----------
    columns, needed
        What a new file's first line names; what no file may lack.
    numbers
        Columns of plain numbers: they are written with the file's decimal sign, and are no formulas.
    by_day
        Rows stand by the first of these columns that is filled; none: a new one comes last.
    usual
        What an absent column means anyway: such a cell need not be written.
    remembered
        Whether a change can be taken back. Books of many years would be kept whole for each row added.
    widened
        Whether columns that an older file lacks are added to its first line.
    key
        What names a row, so that a person's own columns stay with it when all rows are replaced.
    by_line
        Whether a row is named by the line it ends in, as its faults are, else by its number as a row.
    delimiter
        What parts the columns; "": found by the file's first line.
    most_bytes
        The largest file that is changed.
    """

    columns: tuple[str, ...]
    needed: tuple[str, ...] = ()
    numbers: frozenset[str] = frozenset()
    by_day: tuple[str, ...] = ()
    usual: Mapping[str, str] = field(default_factory=dict)
    remembered: bool = True
    widened: bool = True
    key: tuple[str, ...] = ()
    by_line: bool = False
    delimiter: str = ""
    most_bytes: int = MAX_FILE_BYTES

    def lost(self, cells: Row, header: Sequence[str]) -> list[str]:
        """Return the columns that a row needs and a file does not have."""
        return [n for n, v in cells.items() if v and self.usual.get(n) != v and n not in header]


@dataclass(frozen=True)
class TableText:
    """A table's text, how it is written, and its rows without the first that names the columns."""

    keeping: Keeping
    text: str
    header: list[str]
    rows: list[RowSpan]
    delimiter: str = ","
    decimal_comma: bool = False

    @property
    def line_end(self) -> str:
        """What ends a line of it."""
        return "\r\n" if "\r\n" in self.text else "\n"

    @property
    def head(self) -> str:
        """Everything up to the first row after the one that names the columns."""
        return self.text[: self.rows[0].start] if self.rows else self.text

    def cells(self, row: RowSpan) -> dict[str, str]:
        """Return a row's cells by the names of their columns."""
        return {n: own_text(cell.strip()) for n, cell in zip(self.header, row.cells, strict=False)}

    def row_text(self, row: Row) -> str:
        """Return a row as this file writes it, with its line end; no cell is a formula for a spreadsheet."""
        cells = []
        for name in self.header:
            cell = " ".join(row.get(name, "").split())
            if name in self.keeping.numbers:
                cells.append(cell.replace(".", ",") if self.decimal_comma else cell)
            else:
                cells.append(escape_formula(cell))
        return csv_row(cells, self.delimiter, self.line_end)

    def widened(self, names: Iterable[str]) -> TableText:
        """Return the table with columns that its first line does not name yet; rows may be shorter."""
        more = [name for name in dict.fromkeys(names) if name not in self.header]
        if not more:
            return self
        line = self.head.rstrip("\r\n")
        added = "".join(f"{self.delimiter}{name}" for name in more)
        text = line + added + (self.head[len(line) :] or self.line_end) + self.text[len(self.head) :]
        by = len(added) if self.rows else 0
        rows = [row._replace(start=row.start + by, end=row.end + by) for row in self.rows]
        return replace(self, text=text, header=[*self.header, *more], rows=rows)

    def ended(self, text: str) -> str:
        """Return a text that ends with a line end, empty or not."""
        return text if not text or text.endswith(("\n", "\r")) else text + self.line_end

    def with_rows(self, new: Sequence[Row]) -> str:
        """Return the text with more rows, each at its day or at the end."""
        text = self.ended(self.text)
        put: dict[int, list[str]] = {}
        at_days = [self.header.index(name) for name in self.keeping.by_day if name in self.header]
        places = [(_first_of(row.cells, at_days), row.start) for row in self.rows] if at_days else []
        for cells in sorted(new, key=self._day):
            day = self._day(cells)
            at = next((start for other, start in places if other > day), len(text))
            put.setdefault(at, []).append(self.row_text(cells))
        pieces, done = [], 0
        for at in sorted(put):
            pieces += [text[done:at], *put[at]]
            done = at
        return "".join([*pieces, text[done:]])

    def with_changed(self, row: RowSpan, cells: Row) -> str:
        """Return the text with some cells of a row changed."""
        changed = self.row_text({**self.cells(row), **cells})
        return self.text[: row.start] + changed + self.text[row.end :]

    def without(self, row: RowSpan) -> str:
        """Return the text without a row."""
        return self.text[: row.start] + self.text[row.end :]

    def _day(self, cells: Row) -> str:
        names = self.keeping.by_day
        return next((cells[name].strip() for name in names if cells.get(name, "").strip()), "")


def _first_of(cells: Sequence[str], columns: Sequence[int]) -> str:
    return next((cells[i].strip() for i in columns if i < len(cells) and cells[i].strip()), "")


def csv_row(cells: Sequence[str], delimiter: str = ",", line_end: str = "") -> str:
    """Return a row of cells as CSV writes it."""
    stream = io.StringIO()
    csv.writer(stream, delimiter=delimiter, lineterminator=line_end).writerow(cells)
    return stream.getvalue()


def table_at(path: Path, keeping: Keeping) -> TableText:
    """Return a table's file as it stands; a missing or empty one is one with the names of the columns alone.

    Raises
    ------
    EditError
        Where it cannot be read to its end, or lacks a column that is needed.
    """
    raw, faults = read_bytes(path, max_bytes=keeping.most_bytes) if is_there(path) else (b"", [])
    found, faults = (None, faults) if raw is None else text_of(path.name, raw)
    if raw is None or found is None:
        raise EditError(str(faults[0]))
    text = found if raw.strip() else ",".join(keeping.columns) + "\n"
    delimiter = keeping.delimiter or delimiter_of(text)
    try:
        spans = list(row_spans(text, delimiter))
    except csv.Error as error:
        raise EditError.because(
            "edit.not_csv", "{file} is not CSV to its end ({why}); run fuelplan check",
            file=Own(path.name), why=Own(str(error)),
        ) from None  # fmt: skip
    header = [cell.strip().lower() for cell in spans[0].cells] if spans else []
    missing = [name for name in keeping.needed if name not in header]
    if missing:
        raise EditError.because(
            "edit.no_column", "{file} has no column {columns}; run fuelplan check", file=Own(path.name),
            columns=Listed(tuple(map(Own, missing)), " or "),
        )  # fmt: skip
    return TableText(keeping, text, header, spans[1:], delimiter)


def write_table(path: Path, read: TableText, text: str, what: Message) -> None:
    """Write a table's file, if it still is as it was read; so that it can be taken back where its table's
    changes are remembered. The caller holds the folder's lock.

    Parameters
    ----------
    read, text
        The table as :func:`table_at` gave it, and its whole text as it is to be.
    what
        What is done, for who takes it back.

    Raises
    ------
    EditError
        Where another program has changed it since it was read; nothing is written.
    """
    before, mark = as_it_stands(path, read.text)
    if read.keeping.remembered:
        write_remembered(path, before, mark + text, what)
    else:
        replace_text(path, before, mark + text)


def text_of_rows(keeping: Keeping, rows: Iterable[Row]) -> str:
    """Return rows as a table's text, to be read as the file would be.

    Parameters
    ----------
    keeping
        How the table is kept; cells of other columns than its own are left out.
    """
    columns = keeping.columns
    table = TableText(keeping, ",".join(columns) + "\n", list(columns), [])
    return table.text + "".join(map(table.row_text, rows))

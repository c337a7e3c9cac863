"""Books kept as a folder of text files."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

from fuelplan.files import is_there, read_file
from fuelplan.messages import Listed, Message, Own, as_message, counted_message, message
from fuelplan.records.folder.country import MAX_TOML_BYTES
from fuelplan.records.folder.lock import locked
from fuelplan.records.folder.protocol import BookKind, BookRow, Make, RecordBooks
from fuelplan.records.folder.table_text import Row, TableText, table_at, text_of_rows, write_table
from fuelplan.records.folder.text_files import EditError, refuse_changed, write_bytes
from fuelplan.records.folder.undo import (
    Change,
    last_change,
    mark_of,
    take_back,
    way_of_changes,
    write_remembered,
)
from fuelplan.records.tables import (
    OWN_COLUMN,
    CellSheet,
    ColumnCells,
    Fault,
    RoundFaults,
    RowSpan,
    read_parquet,
    read_text,
    sheet_of_text,
)

LONGEST_SHOWN = 160
"""As much of a line is kept to say what was added."""


class FolderBooks(RecordBooks):
    """Books kept as one text file a table, in a folder that people edit with other programs, too.

    Parameters
    ----------
    folder
        Where the files lie.
    kind
        What they are of; a table's name is also its file's.
    """

    def __init__(self, folder: Path | str, kind: BookKind) -> None:
        """Look at nothing yet."""
        self.place = self.beside = Path(folder)
        self.kind = kind

    def is_there(self) -> bool:
        """See :meth:`RecordBooks.is_there`: the folder has the file of the settings."""
        return (self.place / self.kind.settings_file).is_file()

    def text(self, name: str) -> tuple[str | None, list[Fault]]:
        """See :meth:`RecordBooks.text`: of the file as it stands."""
        if name != self.kind.settings_file:
            most, path = self.kind.tables[name].most_bytes, self.file(name)
            return read_text(path, max_bytes=most) if is_there(path) else (None, [])
        said = None
        if not self.place.exists():
            said = message("books.no_such_folder", "there is no such folder")
        elif not self.place.is_dir():
            said = message(
                "books.a_file", "this is a file; give the folder that holds {file}", file=Own(name)
            )
        if said is not None:
            return None, [Fault(str(self.place), None, "", said)]
        return read_text(self.place / name, max_bytes=MAX_TOML_BYTES)

    def typed(self, table: str) -> tuple[list[CellSheet], list[Fault]]:
        """See :meth:`RecordBooks.typed`: what stands in Parquet."""
        path = self.place / f"{table}.parquet"
        if table not in self.kind.typed or not is_there(path):
            return [], []
        sheet, faults = read_parquet(path, table)
        return [] if sheet is None else [sheet], faults

    def with_rows(self, table: str, rows: Sequence[Row]) -> str:
        """See :meth:`RecordBooks.with_rows`."""
        return self.widened(table, self.read(table), rows).with_rows(rows)

    def rows(self, table: str) -> tuple[BookRow, ...]:
        """See :meth:`RecordBooks.rows`; the number is that of the line a row ends in, or of the row."""
        return self._rows(self.read(table))

    def append(self, table: str, rows: Sequence[Row] | Make) -> int:
        """See :meth:`RecordBooks.append`."""
        with locked(self.place):
            read = self.read(table)
            new = list(rows(self._rows(read)) if callable(rows) else rows)
            if not new:
                return 0
            wide = self.widened(table, read, new)
            text = wide.with_rows(new)
            self.refuse(table, text, 1 + max((row.number for row in read.rows), default=1))
            file = Own(self.file(table).name)
            what = counted_message(
                "change.rows_added", "{n} row was added to {file}", "{n} rows were added to {file}", len(new),
                file=file,
            )  # fmt: skip
            if len(new) == 1:
                line = Own(_shortened(wide.row_text(new[0]).rstrip()))
                what = message(
                    "change.row_added", "the line {line} was added to {file}", line=line, file=file
                )
            write_table(self.file(table), read, text, what)
            return len(new)

    def change(self, table: str, number: int, expected: Row, cells: Row | None) -> None:
        """See :meth:`RecordBooks.change`."""
        with locked(self.place):
            read = self.read(table)
            wide = read if cells is None else self.widened(table, read, [cells])
            row = self._meant(table, wide, number, expected)
            text = wide.without(row) if cells is None else wide.with_changed(row, cells)
            line, file = Own(str(row.last_line)), Own(self.file(table).name)
            what = message("change.row_changed", "line {line} of {file} was changed", line=line, file=file)
            if cells is None:
                what = message("change.row_out", "line {line} of {file} was taken out", line=line, file=file)
            write_table(self.file(table), read, text, what)

    def settings(self) -> str:
        """See :meth:`RecordBooks.settings`; a mark before the first letter is a part of it."""
        try:
            return read_file(self.place / self.kind.settings_file).decode("utf-8")
        except (OSError, UnicodeDecodeError) as error:
            raise EditError.because(
                "books.unreadable", "{file} cannot be read: {why}", file=Own(self.kind.settings_file),
                why=as_message(str(error)),
            ) from error  # fmt: skip

    def change_settings(self, expected: str, text: str, what: Message) -> None:
        """See :meth:`RecordBooks.change_settings`."""
        with locked(self.place):
            if self.settings() != expected:
                raise EditError.because(
                    "books.settings_changed",
                    "{file} was changed meanwhile; open the page again and look at it anew",
                    file=Own(self.kind.settings_file),
                )
            write_remembered(self.place / self.kind.settings_file, expected, text, what)

    def publish(self, table: str, make: Make, *, afresh: bool = False) -> int:
        """See :meth:`RecordBooks.publish`."""
        with locked(self.place):
            if afresh:
                return self._begin_afresh(table, list(make(())))
            read = self.read(table)
            rows = list(make(self._rows(read)))
            lost = {f.line for f in self.kind.wrong(table, read.text) if f.line is not None}
            wide = read.widened(name for cells in rows for name in read.keeping.lost(cells, read.header))
            own = _own_cells(wide, lost)
            body = [wide.row_text({**own.get(_key(wide, cells), {}), **cells}) for cells in rows]
            kept = [wide.text[row.start : row.end] for row in wide.rows if row.number in lost]
            text = wide.ended(wide.head) + "".join(body)
            self.refuse(table, text, 2)
            what = counted_message(
                "change.published", "{file} now has {n} row", "{file} now has {n} rows", len(rows),
                file=Own(self.file(table).name),
            )  # fmt: skip
            write_table(self.file(table), read, text + wide.ended("".join(kept)), what)
            return len(rows)

    def last_change(self) -> Change | None:
        """See :meth:`RecordBooks.last_change`."""
        return last_change(self.place)

    def take_back(self, shown: Change | None) -> Change:
        """See :meth:`RecordBooks.take_back`."""
        with locked(self.place):
            return take_back(self.place, shown)

    def version(self) -> str:
        """See :meth:`RecordBooks.version`: a mark for each file."""
        return ";".join(f"{name}={self._mark(name)}" for name in self._names())

    def changes_since(self, version: str) -> tuple[Message, ...]:
        """See :meth:`RecordBooks.changes_since`: by the journal of changes, where it reaches so far back."""
        before = dict(part.split("=", 1) for part in version.split(";") if "=" in part)
        found: list[tuple[int, Message]] = []
        for name in self._names():
            old, now = before.get(name, ""), self._mark(name)
            if old != now:
                way = way_of_changes(self.place, name, old, now)
                found += way or [(-1, _by_another(name))]
        return tuple(what for _, what in sorted(found, key=lambda one: one[0]))

    def _begin_afresh(self, table: str, rows: list[Row]) -> int:
        """Put these rows in the place of a table's file, which is kept beside them."""
        path, text = self.file(table), text_of_rows(self.kind.tables[table], rows)
        self.refuse(table, text, 2)
        before = read_file(path) if is_there(path) else None
        if before is not None and before.strip():
            write_bytes(path.with_name(f"{table}.before_import.csv"), before)
        write_bytes(path, text.encode("utf-8"), last_look=lambda: refuse_changed(path, before))
        return len(rows)

    def read(self, table: str) -> TableText:
        """Return a table's text as it stands, and whether its numbers have decimal commas."""
        if table not in self.kind.tables:
            raise EditError.because(
                "books.no_table", 'there is no table "{table}"; one of {tables}', table=Own(table[:40]),
                tables=Own(", ".join(self.kind.tables)),
            )  # fmt: skip
        read = table_at(self.file(table), self.kind.tables[table])
        sheet = None
        if read.keeping.numbers:
            sheet, _ = sheet_of_text(f"{table}.csv", read.text, table)
        return replace(read, decimal_comma=sheet is not None and ColumnCells(sheet, table).decimal_comma)

    def refuse(self, table: str, text: str, first: int) -> None:
        """Raise :class:`RoundFaults` where a row from number `first` on has a fault."""
        found = self.kind.wrong(table, text)
        faults = [fault for fault in found if fault.line is None or fault.line >= first]
        if faults:
            raise RoundFaults(faults)

    def file(self, table: str) -> Path:
        """Return the file of a table."""
        return self.place / f"{table}.csv"

    def _rows(self, read: TableText) -> tuple[BookRow, ...]:
        return tuple(BookRow(_number(read, row), read.cells(row)) for row in read.rows)

    def widened(self, table: str, read: TableText, rows: Sequence[Row]) -> TableText:
        """Return a table's text with the columns that rows need and it lacks, or say how to add them."""
        lost = list(dict.fromkeys(n for cells in rows for n in read.keeping.lost(cells, read.header)))
        if lost and not read.keeping.widened:
            more = read.delimiter.join([*read.header, *lost])
            said = message(
                "books.no_column", "{file} has no column {columns}; its first line should read {names}",
                file=Own(f"{table}.csv"), columns=Listed(tuple(map(Own, lost)), " or "), names=Own(more),
            )  # fmt: skip
            raise EditError(said)
        return read.widened(lost)

    def _meant(self, table: str, read: TableText, number: int, expected: Row) -> RowSpan:
        cells = {row.start: read.cells(row) for row in read.rows}
        meant = [r for r in read.rows if all(cells[r.start].get(n, "") == v for n, v in expected.items())]
        there = [row for row in meant if _number(read, row) == number]
        if len(there or meant) != 1:
            gone = all(_number(read, row) != number for row in read.rows)
            file, line = Own(f"{table}.csv"), Own(str(number))
            if gone:
                raise EditError.because(
                    "books.row_gone", "{file} has no row in line {line} any more; open the folder again",
                    file=file, line=line,
                )  # fmt: skip
            raise EditError.because(
                "books.row_changed", "{file} was changed meanwhile in line {line}; open the folder again",
                file=file, line=line,
            )  # fmt: skip
        return (there or meant)[0]

    def _names(self) -> list[str]:
        """Return the names of the files, that of the settings first."""
        return [self.kind.settings_file, *(self.file(table).name for table in self.kind.tables)]

    def _mark(self, name: str) -> str:
        path = self.place / name
        return mark_of(read_file(path)) if is_there(path) else ""


def _shortened(line: str) -> str:
    return line if len(line) <= LONGEST_SHOWN else f"{line[: LONGEST_SHOWN - 1]}…"


def _by_another(file: str) -> Message:
    return message(
        "change.by_another", "{file} was changed by another program, or a change was undone", file=Own(file)
    )


def _number(read: TableText, row: RowSpan) -> int:
    return row.last_line if read.keeping.by_line else row.number


def _key(read: TableText, cells: Row) -> tuple[str, ...]:
    return tuple(cells.get(name, "") for name in read.keeping.key)


def _own_cells(read: TableText, lost: set[int]) -> dict[tuple[str, ...], dict[str, str]]:
    """Return the cells of a person's own columns by what names their row."""
    found = {}
    for row in read.rows:
        cells = read.cells(row)
        own = {name: cell for name, cell in cells.items() if name.startswith(OWN_COLUMN) and cell}
        if own and row.number not in lost:
            found[_key(read, cells)] = own
    return found

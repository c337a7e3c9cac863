"""The books of a house or a supplier: a protocol between what is kept and everything that asks or writes.

A folder is one way to keep books; whatever else keeps them does the same under the same names.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Protocol

from fuelplan.files import is_there, read_file
from fuelplan.records.folder.lock import locked
from fuelplan.records.folder.table_text import Keeping, Row, TableText, table_at, write_table
from fuelplan.records.folder.text_files import EditError
from fuelplan.records.folder.undo import Change, last_change, mark_of, take_back, way_of_changes
from fuelplan.records.tables import OWN_COLUMN, RowSpan

Make = Callable[[tuple["BookRow", ...]], Iterable[Row]]


@dataclass(frozen=True)
class BookRow:
    """One row of a table, by the number that names it until the table changes, and its cells as texts."""

    number: int
    cells: Mapping[str, str]


class RecordBooks(Protocol):
    """Tables of texts that several people write to at once.

    Every change is made in one step: afterwards all of it is kept, or nothing, whatever happens meanwhile.
    Where a method raises, nothing has changed. Texts are kept as they were written; what they mean, and
    whether a row can be right, is asked of the rooms that know the house or the round.
    """

    def rows(self, table: str) -> tuple[BookRow, ...]:
        """Return every row of a table, also those that nobody can make sense of; none for a new table.

        Parameters
        ----------
        table
            Its name, e.g. "deliveries".

        Raises
        ------
        EditError
            Where the table cannot be read to its end.
        """

    def append(self, table: str, rows: Sequence[Row]) -> None:
        """Add rows, each at its place; all of them are taken back together.

        Parameters
        ----------
        rows
            Cells by the names of their columns; columns that are missing are empty.

        Raises
        ------
        EditError
            Where the table cannot be changed.
        """

    def change(self, table: str, number: int, expected: Row, cells: Row | None) -> None:
        """Change cells of one row, or take the row out.

        Parameters
        ----------
        number
            The row's, as :meth:`rows` gave it.
        expected
            Cells that must still read so. Where those of that number do not, somebody may have put a row
            before it: then the one row that does read so is meant.
        cells
            The cells that change; None takes the row out.

        Raises
        ------
        EditError
            Where no row reads so, or several do.
        """

    def publish(self, table: str, make: Make) -> int:
        """Replace the rows of a table by what `make` makes of them as they are now; return how many.

        Nobody else writes between the look and the writing. Rows that nobody can make sense of stay behind
        the others, and a person's own columns with their row.
        """

    def last_change(self) -> Change | None:
        """Return what :meth:`take_back` would take back; None where there is nothing."""

    def take_back(self, shown: Change | None) -> Change:
        """Take back the change that a person was shown, and return it.

        Raises
        ------
        UndoError
            Where another followed it, or the table has been changed since by something else.
        """

    def version(self) -> str:
        """Return a mark of all tables as they are: the same for the same rows, another after any change."""

    def changes_since(self, version: str) -> tuple[str, ...]:
        """Return in words what was changed since a version, oldest first; empty where nothing was.

        A table that was changed by something that does not say what it did is named as such.
        """


class FolderBooks:
    """Books kept as one text file a table, in a folder that people edit with other programs, too.

    Parameters
    ----------
    folder
        Where the files lie.
    tables
        How each table is kept, by its name, which is also its file's.
    """

    def __init__(self, folder: Path | str, tables: Mapping[str, Keeping]) -> None:
        """Look at nothing yet."""
        self.folder, self.tables = Path(folder), tables

    def rows(self, table: str) -> tuple[BookRow, ...]:
        """See :meth:`RecordBooks.rows`; the number is that of the line a row ends in, or of the row."""
        return self._rows(self.read(table))

    def append(self, table: str, rows: Sequence[Row]) -> None:
        """See :meth:`RecordBooks.append`."""
        with locked(self.folder):
            read = self.read(table)
            wide = self._widened(table, read, rows)
            text = wide.with_rows(rows)
            self.refuse(table, text, 1 + max((row.number for row in read.rows), default=1))
            what = f"{len(rows)} rows were added to {table}.csv"
            if len(rows) == 1:
                what = f"the line {wide.row_text(rows[0]).rstrip()} was added to {table}.csv"
            write_table(self.file(table), read, text, what)

    def change(self, table: str, number: int, expected: Row, cells: Row | None) -> None:
        """See :meth:`RecordBooks.change`."""
        with locked(self.folder):
            read = self.read(table)
            wide = read if cells is None else self._widened(table, read, [cells])
            row = self._meant(table, wide, number, expected)
            text = wide.without(row) if cells is None else wide.with_changed(row, cells)
            done = "taken out" if cells is None else "changed"
            write_table(self.file(table), read, text, f"line {row.last_line} of {table}.csv was {done}")

    def publish(self, table: str, make: Make) -> int:
        """See :meth:`RecordBooks.publish`."""
        with locked(self.folder):
            read = self.read(table)
            rows = list(make(self._rows(read)))
            lost = self.unsound(table, read.text)
            wide = read.widened(name for cells in rows for name in read.keeping.lost(cells, read.header))
            own = _own_cells(wide, lost)
            body = [wide.row_text({**own.get(_key(wide, cells), {}), **cells}) for cells in rows]
            kept = [wide.text[row.start : row.end] for row in wide.rows if row.number in lost]
            text = wide.ended(wide.head) + "".join(body)
            self.refuse(table, text, 2)
            what = f"{len(rows)} rows now stand in {table}.csv"
            write_table(self.file(table), read, text + wide.ended("".join(kept)), what)
            return len(rows)

    def last_change(self) -> Change | None:
        """See :meth:`RecordBooks.last_change`."""
        return last_change(self.folder)

    def take_back(self, shown: Change | None) -> Change:
        """See :meth:`RecordBooks.take_back`."""
        with locked(self.folder):
            return take_back(self.folder, shown)

    def version(self) -> str:
        """See :meth:`RecordBooks.version`: a mark for each file."""
        return ";".join(f"{table}={self._mark(table)}" for table in self.tables)

    def changes_since(self, version: str) -> tuple[str, ...]:
        """See :meth:`RecordBooks.changes_since`: by the journal of changes, where it reaches so far back."""
        before = dict(part.split("=", 1) for part in version.split(";") if "=" in part)
        found: list[tuple[str, str]] = []
        for table in self.tables:
            old, now = before.get(table, ""), self._mark(table)
            if old != now:
                way = way_of_changes(self.folder, f"{table}.csv", old, now)
                found += way or [("", f"{table}.csv was changed by another program, or a change was undone")]
        return tuple(what for _, what in sorted(found, key=lambda one: one[0]))

    def read(self, table: str) -> TableText:
        """Return a table's text as it stands."""
        if table not in self.tables:
            raise EditError(f'there is no table "{table[:40]}"; one of {", ".join(self.tables)}')
        return table_at(self.file(table), self.tables[table])

    def refuse(self, table: str, text: str, first: int) -> None:
        """Raise where a row from number `first` on cannot be right; here any text can."""

    def unsound(self, table: str, text: str) -> set[int]:
        """Return the numbers of the rows that nobody can make sense of; here there are none."""
        return set()

    def file(self, table: str) -> Path:
        """Return the file of a table."""
        return self.folder / f"{table}.csv"

    def _rows(self, read: TableText) -> tuple[BookRow, ...]:
        return tuple(BookRow(_number(read, row), read.cells(row)) for row in read.rows)

    def _widened(self, table: str, read: TableText, rows: Sequence[Row]) -> TableText:
        lost = list(dict.fromkeys(n for cells in rows for n in read.keeping.lost(cells, read.header)))
        if lost and not read.keeping.widened:
            more = read.delimiter.join([*read.header, *lost])
            said = f"{table}.csv has no column {' or '.join(lost)}; its first line should read {more}"
            raise EditError(said)
        return read.widened(lost)

    def _meant(self, table: str, read: TableText, number: int, expected: Row) -> RowSpan:
        cells = {row.start: read.cells(row) for row in read.rows}
        meant = [r for r in read.rows if all(cells[r.start].get(n, "") == v for n, v in expected.items())]
        there = [row for row in meant if _number(read, row) == number]
        if len(there or meant) != 1:
            gone = all(_number(read, row) != number for row in read.rows)
            said = "has no row in line {} any more" if gone else "was changed meanwhile in line {}"
            raise EditError(f"{table}.csv {said.format(number)}; open the folder again")
        return (there or meant)[0]

    def _mark(self, table: str) -> str:
        path = self.file(table)
        return mark_of(read_file(path)) if is_there(path) else ""


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

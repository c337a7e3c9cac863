"""The books of a house or a supplier: a protocol between what is kept and everything that asks or writes.

A folder is one way to keep books; whatever else keeps them does the same under the same names.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Protocol

from fuelplan.files import is_there, read_file
from fuelplan.messages import Listed, Own, as_message, message
from fuelplan.records.folder.lock import locked
from fuelplan.records.folder.table_text import Keeping, Row, TableText, table_at, text_of_rows, write_table
from fuelplan.records.folder.text_files import EditError, refuse_changed, write_bytes
from fuelplan.records.folder.undo import (
    Change,
    last_change,
    mark_of,
    take_back,
    way_of_changes,
    write_remembered,
)
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

    def append(self, table: str, rows: Sequence[Row] | Make) -> int:
        """Add rows, each at its place, and return how many; all of them are taken back together.

        Parameters
        ----------
        rows
            Cells by the names of their columns; columns that are missing are empty. Or what makes them of
            the rows as they are now: nobody else writes between that look and the writing.

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

    def settings(self) -> str:
        """Return the text of the settings, in TOML, as it stands.

        Raises
        ------
        EditError
            Where it cannot be read as text.
        """

    def change_settings(self, expected: str, text: str, what: str) -> None:
        """Replace the text of the settings.

        Parameters
        ----------
        expected
            What it must still read, as a person has seen it.
        what
            What is done, in words: for who takes it back.

        Raises
        ------
        EditError
            Where somebody else has changed it meanwhile.
        """

    def publish(self, table: str, make: Make, *, afresh: bool = False) -> int:
        """Replace the rows of a table by what `make` makes of them as they are now; return how many.

        Nobody else writes between the look and the writing. Rows that nobody can make sense of stay behind
        the others, and a person's own columns with their row.

        Parameters
        ----------
        afresh
            Begin with an empty table, whatever the old one is: that is kept aside, for a person to find.
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
        """Return a mark of settings and tables: the same for the same, another after any change."""

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
    settings_file
        Name of the file with the settings.
    """

    def __init__(self, folder: Path | str, tables: Mapping[str, Keeping], settings_file: str) -> None:
        """Look at nothing yet."""
        self.folder, self.tables, self.settings_file = Path(folder), tables, settings_file

    def rows(self, table: str) -> tuple[BookRow, ...]:
        """See :meth:`RecordBooks.rows`; the number is that of the line a row ends in, or of the row."""
        return self._rows(self.read(table))

    def append(self, table: str, rows: Sequence[Row] | Make) -> int:
        """See :meth:`RecordBooks.append`."""
        with locked(self.folder):
            read = self.read(table)
            new = list(rows(self._rows(read)) if callable(rows) else rows)
            if not new:
                return 0
            wide = self.widened(table, read, new)
            text = wide.with_rows(new)
            self.refuse(table, text, 1 + max((row.number for row in read.rows), default=1))
            what = f"{len(new)} rows were added to {table}.csv"
            if len(new) == 1:
                what = f"the line {wide.row_text(new[0]).rstrip()} was added to {table}.csv"
            write_table(self.file(table), read, text, what)
            return len(new)

    def change(self, table: str, number: int, expected: Row, cells: Row | None) -> None:
        """See :meth:`RecordBooks.change`."""
        with locked(self.folder):
            read = self.read(table)
            wide = read if cells is None else self.widened(table, read, [cells])
            row = self._meant(table, wide, number, expected)
            text = wide.without(row) if cells is None else wide.with_changed(row, cells)
            done = "taken out" if cells is None else "changed"
            write_table(self.file(table), read, text, f"line {row.last_line} of {table}.csv was {done}")

    def settings(self) -> str:
        """See :meth:`RecordBooks.settings`; a mark before the first letter is a part of it."""
        try:
            return read_file(self.folder / self.settings_file).decode("utf-8")
        except (OSError, UnicodeDecodeError) as error:
            raise EditError(
                message(
                    "books.unreadable", "{file} cannot be read: {why}", file=Own(self.settings_file),
                    why=as_message(str(error)),
                )
            ) from error  # fmt: skip

    def change_settings(self, expected: str, text: str, what: str) -> None:
        """See :meth:`RecordBooks.change_settings`."""
        with locked(self.folder):
            if self.settings() != expected:
                raise EditError(
                    message(
                        "books.settings_changed",
                        "{file} was changed meanwhile; open the page again and look at it anew",
                        file=Own(self.settings_file),
                    )
                )
            write_remembered(self.folder / self.settings_file, expected, text, what)

    def publish(self, table: str, make: Make, *, afresh: bool = False) -> int:
        """See :meth:`RecordBooks.publish`."""
        with locked(self.folder):
            if afresh:
                return self._begin_afresh(table, list(make(())))
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
        return ";".join(f"{name}={self._mark(name)}" for name in self._names())

    def changes_since(self, version: str) -> tuple[str, ...]:
        """See :meth:`RecordBooks.changes_since`: by the journal of changes, where it reaches so far back."""
        before = dict(part.split("=", 1) for part in version.split(";") if "=" in part)
        found: list[tuple[int, str]] = []
        for name in self._names():
            old, now = before.get(name, ""), self._mark(name)
            if old != now:
                way = way_of_changes(self.folder, name, old, now)
                found += way or [(-1, f"{name} was changed by another program, or a change was undone")]
        return tuple(what for _, what in sorted(found, key=lambda one: one[0]))

    def _begin_afresh(self, table: str, rows: list[Row]) -> int:
        """Put these rows in the place of a table's file, which is kept beside them."""
        path, text = self.file(table), text_of_rows(self.tables[table].columns, rows)
        self.refuse(table, text, 2)
        before = read_file(path) if is_there(path) else None
        if before is not None and before.strip():
            write_bytes(path.with_name(f"{table}.before_import.csv"), before)
        write_bytes(path, text.encode("utf-8"), last_look=lambda: refuse_changed(path, before))
        return len(rows)

    def read(self, table: str) -> TableText:
        """Return a table's text as it stands."""
        if table not in self.tables:
            raise EditError(
                message(
                    "books.no_table", 'there is no table "{table}"; one of {tables}', table=Own(table[:40]),
                    tables=Own(", ".join(self.tables)),
                )
            )  # fmt: skip
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
                raise EditError(
                    message(
                        "books.row_gone", "{file} has no row in line {line} any more; open the folder again",
                        file=file, line=line,
                    )
                )  # fmt: skip
            raise EditError(
                message(
                    "books.row_changed", "{file} was changed meanwhile in line {line}; open the folder again",
                    file=file, line=line,
                )
            )  # fmt: skip
        return (there or meant)[0]

    def _names(self) -> list[str]:
        """Return the names of the files, that of the settings first."""
        return [self.settings_file, *(self.file(table).name for table in self.tables)]

    def _mark(self, name: str) -> str:
        path = self.folder / name
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

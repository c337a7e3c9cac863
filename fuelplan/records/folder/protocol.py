"""The books of a house or a supplier: a protocol between what is kept and everything that asks or writes.

A folder is one way to keep books; whatever else keeps them does the same under the same names.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Protocol

from fuelplan.messages import Message
from fuelplan.records.folder.table_text import Keeping, Row, text_of_rows
from fuelplan.records.folder.undo import Change
from fuelplan.records.tables import CellSheet, Fault, text_of

Make = Callable[[tuple["BookRow", ...]], Iterable[Row]]


@dataclass(frozen=True)
class BookRow:
    """One row of a table, by the number that names it until the table changes, and its cells as texts."""

    number: int
    cells: Mapping[str, str]


def _nothing(table: str, text: str) -> list[Fault]:
    """Find no fault: any text can stand."""
    return []


@dataclass(frozen=True)
class BookKind:
    """What books are of: a house or a round.

    Attributes
    ----------
    settings_file
        Name of the settings, by which their faults are told: "site.toml".
    tables
        How each table is kept, by its name; its faults are those of "name.csv".
    typed
        Tables that may also be kept as columns of numbers and dates, see :meth:`RecordBooks.typed`.
    wrong
        Gives the faults of a table's whole text: rows that have one are not taken.
    """

    settings_file: str
    tables: Mapping[str, Keeping]
    typed: tuple[str, ...] = ()
    wrong: Callable[[str, str], list[Fault]] = _nothing


class RecordBooks(Protocol):
    """Tables of texts that several people write to at once.

    A class that names this one as its base has what can be told from the rest: `text`, `typed`, `with_rows`.

    Every change is made in one step: afterwards all of it is kept, or nothing, whatever happens meanwhile.
    Where a method raises, nothing has changed. Texts are kept as they were written; what they mean, and
    whether a row can be right, is asked of the rooms that know the house or the round.
    """

    place: Path
    """Where they lie: what they are opened by."""
    beside: Path
    """The folder of the files that the settings name: weather, past prices, distances."""
    kind: BookKind
    """What they are of."""

    def is_there(self) -> bool:
        """Tell whether books of this kind are kept at the place."""

    def text(self, name: str) -> tuple[str | None, list[Fault]]:
        """Return the whole of a table as CSV, or the settings by the name of their file, to be read.

        Faults count the lines of this text. None without a fault where a table has not begun yet; None with
        the reason where it cannot be read.
        """
        if name == self.kind.settings_file:
            return text_of(name, self.settings().encode("utf-8"))
        return self.with_rows(name, ()), []

    def typed(self, table: str) -> tuple[list[CellSheet], list[Fault]]:
        """Return rows of a table that are kept as columns of numbers and dates, and why others cannot be."""
        return [], []

    def with_rows(self, table: str, rows: Sequence[Row]) -> str:
        """Return the whole text of a table as it would be with rows added behind the others.

        Raises
        ------
        EditError
            Where none can be added.
        """
        every = [*(row.cells for row in self.rows(table)), *rows]
        keeping = self.kind.tables[table]
        names = dict.fromkeys([*keeping.columns, *(name for cells in every for name in cells)])
        return text_of_rows(replace(keeping, columns=tuple(names)), every)

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

    def change_settings(self, expected: str, text: str, what: Message) -> None:
        """Replace the text of the settings.

        Parameters
        ----------
        expected
            What it must still read, as a person has seen it.
        what
            What is done, for who takes it back.

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

    def changes_since(self, version: str) -> tuple[Message, ...]:
        """Return what was changed since a version, oldest first; empty where nothing was.

        A table that was changed by something that does not say what it did is named as such.
        """

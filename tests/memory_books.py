"""Books kept in memory: the smallest thing that does what the protocol of books asks for."""

from __future__ import annotations

import threading
from collections.abc import Sequence
from pathlib import Path

from fuelplan.messages import Message, as_message
from fuelplan.records.folder import BookKind, BookRow, EditError, RecordBooks, UndoError
from fuelplan.records.folder.protocol import Make
from fuelplan.records.folder.table_text import Row
from fuelplan.records.folder.undo import Change


class MemoryBooks(RecordBooks):
    """Tables as lists of rows, and every state they had: several may open the same `kept`."""

    def __init__(self, kept: Kept, kind: BookKind, beside: Path = Path()) -> None:
        """Open what is kept; files that the settings name lie in the folder `beside`."""
        self.kept, self.kind, self.place, self.beside = kept, kind, beside / "memory", beside

    def is_there(self) -> bool:
        """See the protocol."""
        return True

    def rows(self, table: str) -> tuple[BookRow, ...]:
        """See the protocol."""
        found = self.kept.tables.get(table)
        if found is None:
            raise EditError(f'there is no table "{table}"')
        return tuple(BookRow(number, dict(cells)) for number, cells in enumerate(found, 2))

    def append(self, table: str, rows: Sequence[Row] | Make) -> int:
        """See the protocol; here a row comes last."""
        with self.kept.lock:
            now = self.rows(table)
            new = list(rows(now) if callable(rows) else rows)
            if new:
                self._put(table, [*(r.cells for r in now), *new], f"{list(new[0].values())} added")
            return len(new)

    def change(self, table: str, number: int, expected: Row, cells: Row | None) -> None:
        """See the protocol."""
        with self.kept.lock:
            now = self.rows(table)
            meant = [r for r in now if all(r.cells.get(n, "") == v for n, v in expected.items())]
            there = [row for row in meant if row.number == number] or meant
            if len(there) != 1:
                raise EditError(f"{table} was changed meanwhile in line {number}")
            changed = [] if cells is None else [{**there[0].cells, **cells}]
            at = there[0].number - 2
            rows = [row.cells for row in now]
            self._put(table, [*rows[:at], *changed, *rows[at + 1 :]], f"line {number} changed")

    def settings(self) -> str:
        """See the protocol."""
        return self.kept.settings

    def change_settings(self, expected: str, text: str, what: Message) -> None:
        """See the protocol."""
        with self.kept.lock:
            if self.kept.settings != expected:
                raise EditError("the settings were changed meanwhile")
            self._done(what, "", self.kept.settings)
            self.kept.settings = text

    def publish(self, table: str, make: Make, *, afresh: bool = False) -> int:
        """See the protocol."""
        with self.kept.lock:
            rows = list(make(() if afresh else self.rows(table)))
            self._put(table, rows, f"{len(rows)} rows now stand in {table}")
            return len(rows)

    def last_change(self) -> Change | None:
        """See the protocol."""
        return self.kept.changes[-1][0] if self.kept.changes else None

    def take_back(self, shown: Change | None) -> Change:
        """See the protocol."""
        with self.kept.lock:
            if shown is None or shown != self.last_change():
                raise UndoError("since then something else was written")
            change, before = self.kept.changes.pop()
            if isinstance(before, str):
                self.kept.settings = before
            else:
                self.kept.tables[change.file] = before
            self.kept.taken_back += 1
            return change

    def version(self) -> str:
        """See the protocol."""
        return f"{len(self.kept.changes)}.{self.kept.taken_back}"

    def changes_since(self, version: str) -> tuple[Message, ...]:
        """See the protocol."""
        known, taken_back = map(int, version.split("."))
        if taken_back != self.kept.taken_back:
            return (as_message("something was undone"),)
        return tuple(change.what for change, _ in self.kept.changes[known:])

    def _put(self, table: str, rows: Sequence[Row], what: str) -> None:
        self._done(as_message(what), table, self.kept.tables[table])
        self.kept.tables[table] = [dict(row) for row in rows]

    def _done(self, what: Message, table: str, before: list[dict[str, str]] | str) -> None:
        number = len(self.kept.changes) + self.kept.taken_back
        self.kept.changes.append((Change(what, f"{number}", table, None, f"{number}"), before))


class Kept:
    """What is kept, whoever opens it."""

    def __init__(self, *tables: str) -> None:
        """Start with empty tables."""
        self.tables: dict[str, list[dict[str, str]]] = {table: [] for table in tables}
        self.settings = 'format = 1\nname = "Test"\n'
        self.changes: list[tuple[Change, list[dict[str, str]] | str]] = []
        self.taken_back = 0
        self.lock = threading.RLock()

"""Rows that come from elsewhere, written: each once, whoever writes at the same time."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Mapping, Sequence

from fuelplan.records.folder import BookRow, RecordBooks

Cells = Mapping[str, str]
Keys = Callable[[Sequence[Cells]], Sequence[Hashable]]


def add_new_rows(
    books: RecordBooks, table: str, rows: Sequence[Cells], keys_of: Keys, *, afresh: bool = False
) -> int:
    """Add the rows that do not stand in a table yet, in one step, and return how many.

    Parameters
    ----------
    keys_of
        What tells rows from one another; None for one that is like no other.
    afresh
        Put them in the place of the table instead; what was there is kept aside.

    Raises
    ------
    EditError, Faults
        Where the table cannot be added to, or a row cannot be right; nothing is written.
    """

    def new(now: Sequence[BookRow]) -> list[Cells]:
        known = set(keys_of([row.cells for row in now])) - {None}
        return [row for row, key in zip(rows, keys_of(rows), strict=True) if key not in known]

    return books.publish(table, new, afresh=True) if afresh else books.append(table, new)

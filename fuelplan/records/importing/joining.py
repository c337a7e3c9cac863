"""An imported table joined to the file of a round: what would stand there, its faults, and writing it."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from fuelplan.records.folder import EditError, RecordBooks, text_of_rows
from fuelplan.records.importing.writing import add_new_rows
from fuelplan.records.round import ROUND, RoundRules, round_books
from fuelplan.records.tables import Fault, in_order, own_text, table_of_text

if TYPE_CHECKING:
    import pandas as pd

KEYS = {
    "customers": ("customer",),
    "deliveries": ("customer", "date", "kg", "class"),
    "readings": ("customer", "date", "kg", "percent"),
    "orders": ("order",),
}
"""What tells one row from another, so that importing the same file twice adds nothing twice."""


@dataclass(frozen=True)
class Joined:
    """A file of the round as an import would make it.

    Attributes
    ----------
    text
        The file as it would become, without a mark before its first letter.
    added
        The rows that it would get, by their row in the source.
    already
        How many rows of the import stand there already.
    """

    text: str
    added: pd.DataFrame
    already: int


def write_import(
    path: Path | str, frame: pd.DataFrame, kind: str, *, instead: bool = False
) -> tuple[int, int]:
    """Write a table made by :func:`import_table` into the folder and return how many rows were added, and how
    many stood there already.

    Parameters
    ----------
    frame
        Drop the rows you do not want first, e.g. those with faults: ``frame.drop(rows)``.
    instead
        Put the table in the place of the file; the old one is kept beside it as `….before_import.csv`.

    Raises
    ------
    RoundFaults
        Where a row cannot be right; nothing is written.
    EditError
        Where the file cannot be added to; nothing is written.
    """
    books = round_books(path)
    rows = _rows_of(_not_in(frame, _keys_beside(books, kind), kind))
    added = add_new_rows(books, kind, rows, lambda cells: _keys(cells, kind), afresh=instead)
    return added, len(frame) - added


def joined(path: Path | str, frame: pd.DataFrame, kind: str, *, instead: bool = False) -> Joined:
    """Return the file as :func:`write_import` would make it; writes nothing.

    Parameters
    ----------
    frame
        As :func:`import_table` gives it.
    kind
        "customers", "deliveries", "readings" or "orders".
    instead
        In the place of the file, not joined to it.

    Raises
    ------
    EditError
        Where the file cannot be added to.
    """
    books = round_books(path)
    known = _keys_beside(books, kind)
    if not instead:
        known |= set(_keys([row.cells for row in books.rows(kind)], kind))
    new = _not_in(frame, known, kind)
    rows = _rows_of(new)
    text = text_of_rows(ROUND.tables[kind], rows) if instead else books.with_rows(kind, rows)
    return Joined(text, new, len(frame) - len(new))


def faults_of_import(made: Joined, kind: str, folder: Path | str, source: str) -> list[Fault]:
    """Return the faults of the rows an import would add, held against the round, at their rows of the source.

    Parameters
    ----------
    source
        Name of the table from elsewhere, for the faults.

    Raises
    ------
    RoundFaults
        Where the round itself cannot be opened; customers may be imported into one that has none yet.
    """
    if not len(made.added):
        return []
    table, _ = table_of_text(source, made.text)
    assert table is not None  # it was made of rows that were read
    rows = table.row[-len(made.added) :].tolist()
    of_source = dict(zip(rows, made.added.index.tolist(), strict=True))
    found = RoundRules(folder)(kind, made.text)
    return in_order(replace(f, file=source, line=of_source[f.line]) for f in found if f.line in of_source)


def _rows_of(frame: pd.DataFrame) -> list[dict[str, str]]:
    return [{str(name): str(cell) for name, cell in row.items()} for row in frame.to_dict("records")]


def _keys(rows: Sequence[Mapping[str, str]], kind: str) -> list[tuple[str, ...]]:
    """Return what tells each row from others."""
    import pandas as pd

    made = [_comparable(k, pd.Series([row.get(k, "") for row in rows], dtype=str)) for k in KEYS[kind]]
    return list(zip(*made, strict=True))


def _keys_beside(books: RecordBooks, kind: str) -> set[tuple[str, ...]]:
    """Return the same of the rows that stand in Parquet beside the table."""
    sheets, faults = books.typed(kind)
    if kind == "customers" and (sheets or faults):
        raise EditError.because(
            "import.parquet",
            "the customers are kept in customers.parquet; write them there, or remove it first",
        )
    if faults:
        raise EditError(str(faults[0]))
    known: set[tuple[str, ...]] = set()
    for sheet in sheets:
        none = [""] * len(sheet)
        made = [_comparable(k, sheet.columns[k]) if k in sheet.columns else none for k in KEYS[kind]]
        known |= set(zip(*made, strict=True))
    return known


def _not_in(frame: pd.DataFrame, known: set[tuple[str, ...]], kind: str) -> pd.DataFrame:
    return frame[np.array([key not in known for key in _keys(_rows_of(frame), kind)], bool)]


def _comparable(name: str, cells: pd.Series) -> list[str]:
    """Return cells as they are compared: amounts as numbers (4120 is 4120.0), everything else as it is."""
    if cells.dtype.kind == "M":
        return [
            "" if cell != cell else str(cell)[:10] for cell in cells
        ]  # a day that is none is unlike itself
    if name not in {"kg", "percent"}:
        return [own_text(str(cell)) for cell in cells]
    found = []
    for cell in cells:
        try:
            number = float(str(cell).replace(",", "."))
            found.append("" if math.isnan(number) else f"{number:.10g}")
        except ValueError:
            found.append(str(cell))
    return found

"""An imported table joined to the file of a round: what would stand there, its faults, and writing it."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from fuelplan.files import is_there, read_file
from fuelplan.records.folder import EditError, locked, replace_text, write_text
from fuelplan.records.round import faults_of_customers, faults_of_text, open_round, table_of_round
from fuelplan.records.schema import FILES, WITH_PARQUET
from fuelplan.records.tables import (
    MAX_CSV_BYTES,
    CellSheet,
    ColumnCells,
    Fault,
    escape_formula,
    in_order,
    own_text,
    read_table,
    read_text,
    sheet_of_text,
    table_of_text,
)

if TYPE_CHECKING:
    import pandas as pd

KEYS = {
    "customers": ("customer",),
    "deliveries": ("customer", "date", "kg", "class"),
    "readings": ("customer", "date", "kg", "percent"),
    "orders": ("order",),
}
"""What tells one row from another, so that importing the same file twice adds nothing twice."""
BYTE_ORDER_MARK = "\ufeff"


@dataclass(frozen=True)
class Joined:
    """A file of the round as an import would make it.

    Attributes
    ----------
    before, text
        The file as it stands, None where there is none, and as it would become.
    added
        The rows that it would get, by their row in the source.
    already
        How many rows of the import stand there already.
    """

    before: str | None
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
    EditError
        Where the file cannot be added to; nothing is written.
    """
    folder = Path(path)
    with locked(folder):
        made = joined(folder, frame, kind, instead=instead)
        file = folder / f"{kind}.csv"
        if instead and (made.before or "").strip():
            write_text(file.with_name(f"{kind}.before_import.csv"), str(made.before))
        if made.text != made.before:
            replace_text(file, made.before, made.text)
    return len(made.added), made.already


def joined(path: Path | str, frame: pd.DataFrame, kind: str, *, instead: bool = False) -> Joined:
    """Return the file as :func:`write_import` would make it; writes nothing.

    Raises
    ------
    EditError
        Where the file cannot be added to.
    """
    folder = Path(path)
    file = folder / f"{kind}.csv"
    if kind == "customers" and is_there(folder / "customers.parquet"):
        raise EditError("the customers are kept in customers.parquet; write them there, or remove it first")
    before = _text(file) if is_there(file) else None
    beside = _beside(folder, kind)
    if instead or before is None or not before.removeprefix(BYTE_ORDER_MARK).strip():
        new = frame[~_there_already(frame, beside, KEYS[kind])]
        text = _csv_of(new, list(frame.columns), ",", header=True)
        return Joined(before, text, new, len(frame) - len(new))
    text = before.removeprefix(BYTE_ORDER_MARK)
    sheet, faults = sheet_of_text(file.name, text, kind)
    if sheet is None:
        raise EditError(str(faults[0]))
    lost = [str(name) for name in frame if name not in sheet.columns and bool((frame[name] != "").any())]
    if lost:
        raise EditError(f"{file.name} has no column {' or '.join(lost)}; add it to its first line")
    new = frame[~_there_already(frame, [sheet, *beside], KEYS[kind])]
    line_end = "\r\n" if "\r\n" in before else "\n"
    end = "" if text.endswith(("\n", "\r")) else line_end
    comma = ColumnCells(sheet, kind).decimal_comma
    rows = _csv_of(new, _header_of(text, file.name), sheet.delimiter, header=False, comma=comma)
    after = before + end + rows.replace("\n", line_end) if len(new) else before
    return Joined(before, after, new, len(frame) - len(new))


def faults_of_import(made: Joined, kind: str, folder: Path | str, source: str) -> list[Fault]:
    """Return the faults of the rows an import would add, held against the round, at their rows of the source.

    Raises
    ------
    RoundFaults
        Where the round itself cannot be opened; customers may be imported into one that has none yet.
    """
    if not len(made.added):
        return []
    text = made.text.removeprefix(BYTE_ORDER_MARK)
    table, _ = table_of_text(source, text)
    assert table is not None  # it was made of rows that were read
    rows = table.row[-len(made.added) :].tolist()
    of_source = dict(zip(rows, made.added.index.tolist(), strict=True))
    if kind == "customers":
        found = faults_of_customers(source, text, table_of_round(folder))
    else:
        found = faults_of_text(source, text, kind, open_round(folder, sound_only=True))
    return in_order(replace(f, line=of_source[f.line]) for f in found if f.line in of_source)


def _text(file: Path) -> str:
    """Return the text of a file as it stands, a byte order mark and all."""
    text, faults = read_text(file, max_bytes=MAX_CSV_BYTES)
    if text is None:
        raise EditError(str(faults[0]))
    marked = read_file(file).startswith(BYTE_ORDER_MARK.encode("utf-8"))
    return BYTE_ORDER_MARK + text if marked else text


def _beside(folder: Path, kind: str) -> list[CellSheet]:
    """Return what of the same kind stands in Parquet beside the CSV file."""
    path = folder / f"{kind}.parquet"
    if kind not in WITH_PARQUET or not is_there(path):
        return []
    sheet, faults = read_table(path, kind)
    if sheet is None:
        raise EditError(str(faults[0]))
    return [sheet]


def _header_of(text: str, name: str) -> list[str]:
    table, _ = table_of_text(name, text)
    assert table is not None  # it was read as a sheet before
    return [cell.lower() for cell in table.header]


def _there_already(frame: pd.DataFrame, sheets: Sequence[CellSheet], keys: tuple[str, ...]) -> np.ndarray:
    """Return which rows stand in the files already."""

    def key_rows(columns: Mapping[str, pd.Series], n: int) -> list[tuple[str, ...]]:
        made = [_comparable(k, columns[k]) if k in columns else [""] * n for k in keys]
        return list(zip(*made, strict=True))

    known = {key for sheet in sheets for key in key_rows(sheet.columns, len(sheet))}
    new = key_rows({str(name): frame[name] for name in frame}, len(frame))
    return np.array([key in known for key in new], bool)


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


def _csv_of(
    frame: pd.DataFrame, names: list[str], delimiter: str, *, header: bool, comma: bool = False
) -> str:
    """Return rows as CSV; no cell of text is a formula for a spreadsheet."""
    numbers = {column.name for columns in FILES.values() for column in columns if column.kind == "number"}
    made = frame.reindex(columns=names, fill_value="")
    for name in names:
        if name not in numbers:
            made[name] = made[name].map(lambda cell: escape_formula(" ".join(str(cell).split())))
        elif comma:
            made[name] = made[name].str.replace(".", ",", regex=False)
    return str(made.to_csv(index=False, header=header, sep=delimiter, lineterminator="\n"))

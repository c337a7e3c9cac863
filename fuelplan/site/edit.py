"""Changing the files of a folder: one row at a time, in one step, keeping every other byte as it stands."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from datetime import date
from pathlib import Path
from typing import Literal

from fuelplan.site.row_spans import RowSpan, row_spans
from fuelplan.site.tables import DELIVERY_COLUMNS, READING_COLUMNS
from fuelplan.site.text_files import read_text
from fuelplan.site.undo import Change, take_back, write_remembered

LOCK_FILE = ".fuelplan.lock"
# What an absent column means anyway: such a cell need not be written.
USUAL = {"fuel": "pellets", "weighed": "yes", "filled_full": "no", "outcome": "delivered"}
DELIVERY_KEYS = ("ordered_on", "delivered_on")
FORMULA_STARTS = ("=", "+", "-", "@", "\t", "\r")


class EditError(ValueError):
    """A change that cannot be made, and why; nothing was written."""


@contextmanager
def locked(folder: Path) -> Iterator[None]:
    """Hold the folder against other programs of this kind while files are read and written."""
    with (folder / LOCK_FILE).open("a+b") as stream:
        _lock(stream.fileno())
        yield  # closing the file lets go


def _lock(handle: int) -> None:
    try:
        import fcntl
    except ImportError:  # Windows
        import msvcrt

        msvcrt.locking(handle, msvcrt.LK_LOCK, 1)  # type: ignore[attr-defined,unused-ignore]
        return
    fcntl.flock(handle, fcntl.LOCK_EX)


def add_reading(folder: Path, cells: Mapping[str, str]) -> None:
    """Add a row to `readings.csv`, at its date."""
    _insert(folder / "readings.csv", READING_COLUMNS, [cells], ("date",))


def add_delivery_row(folder: Path, cells: Mapping[str, str]) -> None:
    """Add a row to `deliveries.csv`, at its date."""
    _insert(folder / "deliveries.csv", DELIVERY_COLUMNS, [cells], DELIVERY_KEYS)


def change_delivery_row(
    folder: Path, line: int, expected: Mapping[str, str], cells: Mapping[str, str]
) -> None:
    """Change cells of the row that ends in `line` of `deliveries.csv`.

    `expected` names cells that must still read so; if they do not, somebody else has changed the file.
    """
    path = folder / "deliveries.csv"
    with locked(folder):
        text, header, rows = _table(path, DELIVERY_COLUMNS)
        row = next((r for r in rows if r.last_line == line), None)
        if row is None:
            raise EditError(f"deliveries.csv has no row in line {line} any more; open the folder again")
        found = dict(zip(header, row.cells, strict=False))
        for name, value in expected.items():
            if found.get(name, "").strip() != value:
                raise EditError(f"line {line} of deliveries.csv was changed meanwhile; open the folder again")
        found.update(cells)
        new = _row_text(header, found)
        after = text[: row.start] + new + _line_end(text) + text[row.end :]
        write_remembered(path, _as_it_stands(path), after, f"line {line} of deliveries.csv was changed")


def undo(folder: Path) -> Change:
    """Take back the last change made to the folder; :class:`undo.UndoError` where that cannot be."""
    with locked(folder):
        return take_back(folder)


def _as_it_stands(path: Path) -> str | None:
    return path.read_bytes().decode("utf-8") if path.exists() else None


def _table(path: Path, columns: tuple[str, ...]) -> tuple[str, list[str], list[RowSpan]]:
    """Return text, header and row spans; a missing file is one with a header alone."""
    if not path.exists() or not path.read_bytes().strip():
        text = ",".join(columns) + "\n"
    else:
        found, faults = read_text(path)
        if found is None:
            raise EditError(str(faults[0]))
        text = found
    try:
        spans = [row for row in row_spans(text) if any(cell.strip() for cell in row.cells)]
    except csv.Error as error:
        raise EditError(f"{path.name} is not CSV to its end ({error}); run fuelplan check") from None
    header = [cell.strip().lower() for cell in spans[0].cells] if spans else []
    rows = spans[1:]
    missing = [name for name in columns[:1] if name not in header and columns is READING_COLUMNS]
    if missing:
        raise EditError(f"{path.name} has no column {missing[0]}; run fuelplan check")
    return text, header, rows


def add_rows(
    folder: Path, table: Literal["readings", "deliveries"], rows: Sequence[Mapping[str, str]]
) -> None:
    """Add rows to one of the tables in one step, each at its date; all of them are taken back together."""
    columns, keys = (READING_COLUMNS, ("date",)) if table == "readings" else (DELIVERY_COLUMNS, DELIVERY_KEYS)
    path = folder / f"{table}.csv"
    _insert(path, columns, rows, keys, f"{len(rows)} rows were added to {path.name}")


def _insert(
    path: Path,
    columns: tuple[str, ...],
    new: Sequence[Mapping[str, str]],
    key_columns: tuple[str, ...],
    what: str = "",
) -> None:
    with locked(path.parent):
        text, header, rows = _table(path, columns)
        names = dict.fromkeys(n for cells in new for n, v in cells.items() if v and USUAL.get(n) != v)
        lost = [name for name in names if name not in header]
        if lost:
            more = ",".join([*header, *lost])
            raise EditError(
                f"{path.name} has no column {' or '.join(lost)}; its first line should read {more}"
            )
        end = _line_end(text)
        if not text.endswith(("\n", "\r")):
            text += end
        places = [(_key(dict(zip(header, row.cells, strict=False)), key_columns), row.start) for row in rows]
        put: dict[int, list[str]] = {}
        for cells in sorted(new, key=lambda cells: _key(cells, key_columns)):
            key = _key(cells, key_columns)
            at = next((start for other, start in places if other > key), len(text))
            put.setdefault(at, []).append(_row_text(header, cells) + end)
        pieces, done = [], 0
        for at in sorted(put):
            pieces += [text[done:at], *put[at]]
            done = at
        after = "".join([*pieces, text[done:]])
        what = what or f"the line {_row_text(header, new[0])} was added to {path.name}"
        write_remembered(path, _as_it_stands(path), after, what)


def _key(cells: Mapping[str, str], names: tuple[str, ...]) -> str:
    return next((cells[name].strip() for name in names if cells.get(name, "").strip()), "")


def csv_line(columns: Sequence[str], cells: Mapping[str, str]) -> str:
    """Return one row of a CSV file without its line end; no cell of it is a formula for a spreadsheet."""
    return _row_text(list(columns), cells)


def _row_text(header: list[str], cells: Mapping[str, str]) -> str:
    stream = io.StringIO()
    csv.writer(stream, lineterminator="").writerow([_safe(cells.get(name, "")) for name in header])
    return stream.getvalue()


def _safe(cell: str) -> str:
    """Return a cell that no spreadsheet takes for a formula."""
    clean = " ".join(cell.split())
    return f"'{clean}" if clean.startswith(FORMULA_STARTS) else clean


def _line_end(text: str) -> str:
    return "\r\n" if "\r\n" in text else "\n"


def iso(day: date | None) -> str:
    """Return a date as the files write it."""
    return "" if day is None else day.isoformat()

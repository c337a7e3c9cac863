"""Changing the files of a folder: one row at a time, in one step, keeping every other byte as it stands."""

from __future__ import annotations

import csv
import errno
import io
import time
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from datetime import date
from pathlib import Path
from typing import Literal

from fuelplan.files import is_there, refuse_to_replace
from fuelplan.heat import fuels
from fuelplan.records.site.tables import DELIVERY_COLUMNS, READING_COLUMNS
from fuelplan.records.site.text_files import (
    MAX_FILE_BYTES,
    NotWritten,
    as_it_stands,
    read_bytes,
    reason,
    sweep,
    text_of,
)
from fuelplan.records.site.text_files import EditError as EditError
from fuelplan.records.site.undo import UNDO_FILE, Change, take_back, write_remembered
from fuelplan.records.tables import RowSpan, row_spans

LOCK_FILE = ".fuelplan.lock"
WRITTEN = (
    "site.toml", "deliveries.csv", "readings.csv", "orders.csv", "published.csv", "wishes.csv",
    "happenings.csv", "customers.csv", "odometer.csv", UNDO_FILE,
)  # fmt: skip
"""Files that are written by holders of the lock alone."""
# What an absent column means anyway: such a cell need not be written.
USUAL = {"fuel": fuels.usual().name, "weighed": "yes", "filled_full": "no", "outcome": "delivered"}
DELIVERY_KEYS = ("ordered_on", "delivered_on")
LONGEST_WAIT_S = 30.0  # for another program that writes; a row takes a few milliseconds
BETWEEN_TRIES_S = 0.005
TAKEN = {errno.EAGAIN, errno.EWOULDBLOCK, errno.EACCES, errno.EDEADLK}
FORMULA_STARTS = ("=", "+", "-", "@", "\t", "\r")


@contextmanager
def locked(folder: Path) -> Iterator[None]:
    """Hold the folder against other programs of this kind while files are read and written.

    Raises
    ------
    NotWritten, EditError
        Where the folder cannot be written to; where another program holds it for longer than half a minute.
    """
    try:
        refuse_to_replace(folder / LOCK_FILE)
        stream = (folder / LOCK_FILE).open("a+b")
    except OSError as error:
        raise NotWritten(f"nothing can be written in {folder.name}", reason(error)) from error
    with stream:
        _lock(stream.fileno(), folder.name)
        sweep(folder, WRITTEN)
        yield  # closing the file lets go


def _lock(handle: int, name: str) -> None:
    end = time.monotonic() + LONGEST_WAIT_S
    while True:
        try:
            _take(handle)
            return
        except OSError as error:
            if error.errno not in TAKEN:
                raise EditError(f"{name} cannot be locked: {error.strerror or error}") from error
            if time.monotonic() > end:
                said = f"another program has been writing into {name} for {LONGEST_WAIT_S:.0f} s"
                raise EditError(f"{said}; end it, and do this again") from None
        time.sleep(BETWEEN_TRIES_S)


def _take(handle: int) -> None:
    """Take the lock, or raise at once."""
    try:
        import fcntl
    except ImportError:  # Windows
        import msvcrt

        msvcrt.locking(handle, msvcrt.LK_NBLCK, 1)  # type: ignore[attr-defined,unused-ignore]
        return
    fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)


def add_reading(folder: Path, cells: Mapping[str, str]) -> None:
    """Add a row to `readings.csv`, at its date."""
    _insert(folder / "readings.csv", READING_COLUMNS, [cells], ("date",))


def add_delivery_row(folder: Path, cells: Mapping[str, str]) -> None:
    """Add a row to `deliveries.csv`, at its date."""
    _insert(folder / "deliveries.csv", DELIVERY_COLUMNS, [cells], DELIVERY_KEYS)


def change_delivery_row(
    folder: Path, line: int, expected: Mapping[str, str], cells: Mapping[str, str]
) -> None:
    """Change cells of a row of `deliveries.csv`: see :func:`change_row`."""
    change_row(folder, "deliveries", line, expected, cells)


def change_row(
    folder: Path,
    table: Literal["readings", "deliveries"],
    line: int,
    expected: Mapping[str, str],
    cells: Mapping[str, str],
) -> None:
    """Change cells of the row that ends in `line` of one of the tables.

    `expected` names cells that must still read so. Where they do not, another program may have put a row
    before it: then the one row that does read so is changed, and where there is none or are several, nothing.
    """
    path = folder / f"{table}.csv"
    columns = READING_COLUMNS if table == "readings" else DELIVERY_COLUMNS
    with locked(folder):
        text, header, rows = _table(path, columns)
        row = _row_meant(path.name, header, rows, line, expected)
        found = dict(zip(header, row.cells, strict=False))
        found.update(cells)
        before, mark = as_it_stands(path, text)
        body, header, by = _widened(text, header, cells)
        start, end = row.start + by, row.end + by
        after = mark + body[:start] + _row_text(header, found) + _line_end(text) + body[end:]
        write_remembered(path, before, after, f"line {row.last_line} of {path.name} was changed")


def _widened(text: str, header: list[str], cells: Mapping[str, str]) -> tuple[str, list[str], int]:
    """Return a table's text and header with the columns that `cells` need and an older file does not have.

    Only the first line changes: it grows by the number of characters returned, and rows may be shorter.
    """
    lost = [n for n, v in cells.items() if v and USUAL.get(n) != v and n not in header]
    if not lost:
        return text, header, 0
    first = next(row_spans(text))
    end = first.start + len(text[first.start : first.end].rstrip("\r\n"))
    more = "".join(f",{name}" for name in lost)
    return text[:end] + more + text[end:], [*header, *lost], len(more)


def _row_meant(
    file: str, header: list[str], rows: Sequence[RowSpan], line: int, expected: Mapping[str, str]
) -> RowSpan:
    def reads_so(row: RowSpan) -> bool:
        found = dict(zip(header, row.cells, strict=False))
        return all(found.get(name, "").strip() == value for name, value in expected.items())

    meant = [row for row in rows if reads_so(row)]
    at_line = [row for row in meant if row.last_line == line]
    if len(at_line or meant) != 1:
        gone = all(row.last_line != line for row in rows)
        said = f"has no row in line {line} any more" if gone else f"was changed meanwhile in line {line}"
        raise EditError(f"{file} {said}; open the folder again")
    return (at_line or meant)[0]


def undo(folder: Path, shown: Change | None) -> Change:
    """Take back the change that was shown; :class:`undo.UndoError` where it is no longer the last one."""
    with locked(folder):
        return take_back(folder, shown)


def text_to_change(path: Path, columns: Sequence[str], *, max_bytes: int = MAX_FILE_BYTES) -> str:
    """Return a table's text as it stands; that of a missing or empty file names the columns alone."""
    raw, faults = read_bytes(path, max_bytes=max_bytes) if is_there(path) else (b"", [])
    found, faults = (None, faults) if raw is None else text_of(path.name, raw)
    if raw is None or found is None:
        raise EditError(str(faults[0]))
    return found if raw.strip() else ",".join(columns) + "\n"


def _table(path: Path, columns: tuple[str, ...]) -> tuple[str, list[str], list[RowSpan]]:
    """Return text, header and row spans; a missing file is one with a header alone."""
    text = text_to_change(path, columns)
    try:
        spans = list(row_spans(text))
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
        end, read = _line_end(text), text
        wanted = {n: v for cells in new for n, v in cells.items() if v and USUAL.get(n) != v}
        text, header, by = _widened(text, header, wanted)
        if not text.endswith(("\n", "\r")):
            text += end
        places = [
            (_key(dict(zip(header, row.cells, strict=False)), key_columns), row.start + by) for row in rows
        ]
        put: dict[int, list[str]] = {}
        for cells in sorted(new, key=lambda cells: _key(cells, key_columns)):
            key = _key(cells, key_columns)
            at = next((start for other, start in places if other > key), len(text))
            put.setdefault(at, []).append(_row_text(header, cells) + end)
        pieces, done = [], 0
        for at in sorted(put):
            pieces += [text[done:at], *put[at]]
            done = at
        before, mark = as_it_stands(path, read)
        after = "".join([mark, *pieces, text[done:]])
        what = what or f"the line {_row_text(header, new[0])} was added to {path.name}"
        write_remembered(path, before, after, what)


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

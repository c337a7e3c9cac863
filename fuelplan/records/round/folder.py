"""A round read whole from its books: the table and the arrays, with all faults of all tables at once."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from functools import cached_property
from pathlib import Path
from typing import Any, TypeVar
from zoneinfo import ZoneInfo

import numpy as np

from fuelplan.messages import message
from fuelplan.records.folder import BookKind, Keeping, RecordBooks, toml_of_text, with_lines
from fuelplan.records.opening import books_at
from fuelplan.records.round.check_table import table_faults
from fuelplan.records.round.customers import Customers
from fuelplan.records.round.histories import Deliveries, Readings
from fuelplan.records.round.lists import Happening, OdometerDay, Order, Wish
from fuelplan.records.round.published import PublishedStop
from fuelplan.records.round.row_faults import ROWS_OF, customers_of
from fuelplan.records.schema import (
    FILES,
    ROUND_FILE,
    ROUND_STEPS,
    WITH_PARQUET,
    AreaOfWeather,
    RoundTable,
    areas_of,
    names_of,
)
from fuelplan.records.tables import (
    MAX_CSV_BYTES,
    Bools,
    CellSheet,
    ColumnCells,
    Fault,
    RoundFaults,
    all_faults,
    everything_kept,
    in_order,
    sheet_of_text,
)
from fuelplan.units import bought_in

NEEDS = message("round.needs", "format, name, [place], [weather], one [[depot]] and one [[tanker]]")
REMEMBERED = ("orders", "published", "wishes", "happenings")
"""Tables whose last changes can be undone; columns that an older one lacks are added to its first line."""
H = TypeVar("H", Deliveries, Readings)


@dataclass(frozen=True)
class AreaFolder:
    """One area of a round, as its weather is asked for: where the weather files lie, place and weather."""

    beside: Path
    table: AreaOfWeather

    @property
    def name(self) -> str:
        """Name of the area; "" where the round names none."""
        return self.table.name


@dataclass(frozen=True)
class Round:
    """A round as read.

    Attributes
    ----------
    path
        What it is opened by.
    beside
        The folder of the files that its settings name: weather, distances.
    table
        `round.toml`.
    customers, deliveries, readings
        Arrays; deliveries and readings name their customer by its number.
    orders, published, wishes, happenings, odometer
        Short lists of records; they name their customer by its id.
    warnings
        What is odd but used all the same.
    left_out, emptied
        The faults of the rows that were left out, and those of cells that were read as empty, where only
        sound ones were asked for.
    """

    path: Path
    table: RoundTable
    customers: Customers
    deliveries: Deliveries
    readings: Readings
    orders: tuple[Order, ...]
    published: tuple[PublishedStop, ...]
    wishes: tuple[Wish, ...]
    happenings: tuple[Happening, ...]
    beside: Path
    odometer: tuple[OdometerDay, ...] = ()
    warnings: tuple[Fault, ...] = ()
    left_out: tuple[Fault, ...] = ()
    emptied: tuple[Fault, ...] = ()

    @property
    def name(self) -> str:
        """What the supplier calls the round."""
        return self.table.name

    @cached_property
    def areas(self) -> tuple[AreaFolder, ...]:
        """The areas that `customers.area` counts, each as the weather is asked for; always one at least."""
        return tuple(AreaFolder(self.beside, area) for area in areas_of(self.table))


def _keeping(table: str) -> Keeping:
    """Return how a table of a round is kept."""
    return Keeping(
        names_of(table),
        needed=tuple(column.name for column in FILES[table] if column.needed),
        numbers=frozenset(column.name for column in FILES[table] if column.kind == "number"),
        usual=dict.fromkeys(names_of(table), "no"),
        remembered=table in REMEMBERED,
        widened=table in REMEMBERED,
        key=("date", "customer", "class") if table == "published" else (),
        most_bytes=MAX_CSV_BYTES,
    )


ROUND = BookKind(ROUND_FILE, {table: _keeping(table) for table in FILES}, WITH_PARQUET)


def is_round(path: Path | str) -> bool:
    """Tell whether a round is kept at a place: a folder is one that holds `round.toml`."""
    return books_at(path, ROUND).is_there()


def open_round(path: Path | str, *, sound_only: bool = False) -> Round:
    """Return the round that is kept at a place.

    Parameters
    ----------
    sound_only
        Read a faulty cell that may be empty as empty, leave out rows that cannot be used, and tell of both in
        `Round.emptied` and `Round.left_out`, instead of refusing the round.

    Raises
    ------
    RoundFaults
        With every fault of every table, where the settings or the customers cannot be used at all, or any row
        is faulty and not only the sound ones were asked for.
    """
    found, faults = read_round(path)
    grave = [fault for fault in faults if not fault.warning]
    if found is None or (grave and not sound_only) or len(found.customers) == 0:
        raise RoundFaults(grave)
    return found


def table_of_round(path: Path | str) -> RoundTable:
    """Return `round.toml` alone; :class:`RoundFaults` where it cannot be used."""
    table, faults, _ = _settings(books_at(path, ROUND))
    if table is None:
        raise RoundFaults(faults)
    return table


def check_round(path: Path | str) -> list[Fault]:
    """Return every fault and every warning of a round, by table and row."""
    return read_round(path)[1]


def read_round(path: Path | str) -> tuple[Round | None, list[Fault]]:
    """Return what :func:`round_of_books` does of whatever keeps the round at a place."""
    return round_of_books(books_at(path, ROUND))


def round_of_books(books: RecordBooks) -> tuple[Round | None, list[Fault]]:
    """Return the sound rows of a round, or None where it cannot be used at all, and all faults."""
    table, faults, text = _settings(books)
    if table is None:
        return None, faults
    wrong = table_faults(books.beside, table)
    reading = _Reading(books, table)
    with bought_in(table.place.country), everything_kept():
        found = reading.round()
    faults = [*with_lines(ROUND_FILE, text, wrong), *reading.faults]
    if found is None or any(not fault.warning for fault in wrong):
        return None, in_order(faults)
    return found, in_order(faults)


def _settings(books: RecordBooks) -> tuple[RoundTable | None, list[Fault], str | None]:
    text, faults = books.text(ROUND_FILE)
    if text is None or faults:
        return None, faults, text
    return *toml_of_text(ROUND_FILE, text, RoundTable, steps=ROUND_STEPS, needs=NEEDS), text


class _Reading:
    """Reads the tables of one round, one after the other."""

    def __init__(self, books: RecordBooks, table: RoundTable) -> None:
        self.books, self.table, self.today = books, table, today_of(table)
        self.faults: list[Fault] = []
        self.emptied: list[Fault] = []

    def sheets(self, kind: str) -> list[CellSheet]:
        """Return the sheets of one kind; an empty one where nothing is kept yet."""
        found, faults = self.books.typed(kind)
        text, more = self.books.text(kind)
        kept = bool(found or faults) + bool(text is not None or more)
        if kind == "customers" and kept != 1:
            said = (
                message(
                    "round.no_customers_file", "there is no customers.csv or customers.parquet in this folder"
                )
                if not kept
                else message(
                    "round.two_customers_files",
                    "customers.csv and customers.parquet are both there; keep one of them",
                )
            )
            self.faults.append(Fault(f"{kind}.csv", None, "", said))
            return []
        self.faults += [*faults, *more]
        if text is not None and not more:
            sheet, wrong = sheet_of_text(f"{kind}.csv", text, kind)
            self.faults += wrong
            found = found if sheet is None else [*found, sheet]
        if not found and kind != "customers":
            empty, _ = sheet_of_text(f"{kind}.csv", ",".join(names_of(kind)) + "\n", kind)
            assert empty is not None  # a header of known columns alone
            found = [empty]
        return found

    def round(self) -> Round | None:
        """Return the round of the sound rows."""
        sheets = self.sheets("customers")
        if not sheets:
            for kind in FILES:
                if kind != "customers":
                    self.sheets(kind)
            return None
        cells = ColumnCells(sheets[0], "customers", self.today)
        everyone = customers_of(cells, self.table)
        sound = ~cells.bad
        parts = {kind: self._rows(kind, everyone) for kind in ROWS_OF}
        if len(everyone) == 0:
            said = message("round.no_customer", "there is no customer yet; add a row for each")
            self.faults.append(Fault(sheets[0].file, None, "", said))
        self._sound(cells)
        emptied = {id(fault) for fault in self.emptied}
        new = np.where(sound, np.cumsum(sound) - 1, -1)
        kept_ids = {None, *everyone.id[sound].tolist()}  # some happenings are of no customer
        lists = {
            kind: tuple(row for row in parts[kind][0] if row.customer in kept_ids)
            for kind in ("orders", "published", "wishes", "happenings")
        }
        return Round(
            path=self.books.place,
            beside=self.books.beside,
            table=self.table,
            customers=everyone.rows(sound),
            deliveries=_joined(parts["deliveries"]).renumbered(new),
            readings=_joined(parts["readings"]).renumbered(new),
            odometer=tuple(parts["odometer"][0]),
            warnings=tuple(in_order(f for f in self.faults if f.warning)),
            left_out=tuple(in_order(f for f in self.faults if not f.warning and id(f) not in emptied)),
            emptied=tuple(in_order(self.emptied)),
            **lists,
        )

    def _rows(self, kind: str, customers: Customers) -> list[Any]:
        """Return the sound rows of each sheet of a table."""
        parts = []
        for sheet in self.sheets(kind):
            cells = ColumnCells(sheet, kind, self.today)
            rows, sound = ROWS_OF[kind](cells, self.table, customers, self.today), self._sound(cells)
            if isinstance(rows, list):
                parts.append([row for row, kept in zip(rows, sound.tolist(), strict=True) if kept])
            else:
                parts.append(rows.rows(sound))
        return parts

    def _sound(self, cells: ColumnCells) -> Bools:
        """Keep the faults of a sheet, and which of them leave their row in; return its sound rows."""
        found = all_faults(cells.groups)
        bad = set(cells.sheet.row[cells.bad].tolist())
        self.faults += found
        self.emptied += [f for f in found if not f.warning and f.line is not None and f.line not in bad]
        return ~cells.bad


def today_of(table: RoundTable) -> date:
    """Return the day taken as today: the example's own, or today where the round lies."""
    if table.example_date is not None:
        return table.example_date
    try:
        zone = ZoneInfo(table.place.time_zone)
    except (KeyError, ValueError, OSError):  # a fault of its own tells of it
        zone = ZoneInfo("UTC")
    return datetime.now(zone).date()


def _joined(parts: list[H]) -> H:
    if len(parts) == 1:
        return parts[0]
    names = list(vars(parts[0]))
    return type(parts[0])(*(np.concatenate([getattr(part, name) for part in parts]) for name in names))

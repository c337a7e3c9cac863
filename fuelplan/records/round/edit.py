"""Changing the files of a round: one row added or taken out, in one step, every other byte kept."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from datetime import date
from pathlib import Path

from fuelplan.messages import Own, message
from fuelplan.records.folder import EditError, FolderBooks, Keeping, RecordBooks, TableText
from fuelplan.records.round.folder import Round, is_round, open_round, table_of_round
from fuelplan.records.round.lists import Happening, Order, Wish
from fuelplan.records.round.row_faults import faults_of_customers, faults_of_text
from fuelplan.records.schema import FILES, FULL, ROUND_FILE, names_of
from fuelplan.records.site import house_books, iso
from fuelplan.records.tables import MAX_CSV_BYTES, ColumnCells, RoundFaults, sheet_of_text

Row = Mapping[str, str]
REMEMBERED = ("orders", "published", "wishes", "happenings")
"""Files whose last changes can be undone; columns that an older one lacks are added to its first line."""


class RoundBooks(FolderBooks):
    """The books of a round in its folder; a row that cannot be right, held against the round, is refused.

    Attributes
    ----------
    known
        The round, where it is open already: saves reading all customers again.
    """

    def __init__(self, folder: Path | str, known: Round | None = None) -> None:
        """Look at nothing yet."""
        super().__init__(folder, {kind: keeping(kind) for kind in FILES}, ROUND_FILE)
        self.known = known

    def round(self) -> Round:
        """Return the round that rows are held against."""
        self.known = open_round(self.folder, sound_only=True) if self.known is None else self.known
        return self.known

    def read(self, table: str) -> TableText:
        """Return a table's text as it stands, and whether its numbers have decimal commas."""
        read = super().read(table)
        sheet, _ = sheet_of_text(f"{table}.csv", read.text, table)
        return replace(read, decimal_comma=sheet is not None and ColumnCells(sheet, table).decimal_comma)

    def refuse(self, table: str, text: str, first: int) -> None:
        """Raise :class:`RoundFaults` where a row from number `first` on has a fault."""
        if table == "customers":  # of which a round that begins has none yet
            found = faults_of_customers(f"{table}.csv", text, table_of_round(self.folder))
        else:
            found = faults_of_text(f"{table}.csv", text, table, self.round())
        faults = [fault for fault in found if fault.line is None or fault.line >= first]
        if faults:
            raise RoundFaults(faults)

    def unsound(self, table: str, text: str) -> set[int]:
        """Return the numbers of the rows with a fault."""
        found = faults_of_text(f"{table}.csv", text, table, self.round())
        return {fault.line for fault in found if fault.line is not None}


def keeping(kind: str) -> Keeping:
    """Return how a table of a round is kept."""
    return Keeping(
        names_of(kind),
        needed=tuple(column.name for column in FILES[kind] if column.needed),
        numbers=frozenset(column.name for column in FILES[kind] if column.kind == "number"),
        usual=dict.fromkeys(names_of(kind), "no"),
        remembered=kind in REMEMBERED,
        widened=kind in REMEMBERED,
        key=("date", "customer", "class") if kind == "published" else (),
        most_bytes=MAX_CSV_BYTES,
    )


def add_reading(
    path: Path | str,
    customer: str,
    day: date,
    *,
    kg: float | None = None,
    percent: float | None = None,
    known: Round | None = None,
) -> None:
    """Add a reading to `readings.csv`.

    Parameters
    ----------
    kg, percent
        What lay in the store, or how full it was by eye: one of them. [kg, %]
    known
        The round, where it is open already: saves reading all customers again.

    Raises
    ------
    RoundFaults
        Where the row cannot be right; nothing is written.
    EditError
        Where the file cannot be changed; nothing is written.
    """
    row = {"customer": customer, "date": iso(day), "kg": _shown(kg), "percent": _shown(percent)}
    RoundBooks(path, known).append("readings", [row])


def add_delivery(
    path: Path | str,
    customer: str,
    day: date,
    kg: float,
    *,
    grade: str = "",
    tanker: str = "",
    filled_full: bool = False,
    known: Round | None = None,
) -> None:
    """Add a delivery to `deliveries.csv`; parameters and errors as with :func:`add_reading`. An order that it
    fulfils is taken out with :func:`remove_row`.
    """
    row = {
        "customer": customer,
        "date": iso(day),
        "kg": _shown(kg),
        "class": grade,
        "tanker": tanker,
        "filled_full": _yes(filled_full),
    }
    RoundBooks(path, known).append("deliveries", [row])


def remove_row(path: Path | str, kind: str, row: int, expected: Row) -> None:
    """Take one row out of "orders", "wishes" or "happenings", e.g. an order that has been delivered.

    Parameters
    ----------
    row
        Its number, as the record has it.
    expected
        Cells that must still read so; if they do not, somebody else has changed the file.

    Raises
    ------
    EditError
        Where the row is not there any more; nothing is written.
    """
    if kind not in {"orders", "wishes", "happenings"}:
        raise EditError(
            message(
                "books.kept_rows", 'no row is taken out of "{table}"; only of orders, wishes and happenings',
                table=Own(kind),
            )
        )  # fmt: skip
    RoundBooks(path).change(kind, row, expected, None)


def add_order(path: Path | str, order: Order, *, known: Round | None = None) -> None:
    """Add an order to `orders.csv`; parameters and errors as with :func:`add_reading`."""
    row = {
        "order": order.order,
        "customer": order.customer,
        "kg": FULL if order.kg is None else _shown(order.kg),
        "class": order.grade or "",
        "from": iso(order.first),
        "to": iso(order.last),
        "price_per_t": _shown(order.price_per_t),
        "credit_stop": _yes(order.credit_stop),
        "call_ahead": _yes(order.call_ahead),
        "already_empty": _yes(order.already_empty),
        "split_with": order.split_with or "",
        "lifted_by": order.lifted_by,
    }
    RoundBooks(path, known).append("orders", [row])


def add_wish(path: Path | str, wish: Wish, *, known: Round | None = None) -> None:
    """Add a person's wish to `wishes.csv`; parameters and errors as with :func:`add_reading`."""
    row = {
        "customer": wish.customer,
        "wish": wish.wish,
        "date": iso(wish.day),
        "tanker": wish.tanker or "",
        "by": wish.by,
        "why": wish.why,
    }
    RoundBooks(path, known).append("wishes", [row])


def add_happening(path: Path | str, happening: Happening, *, known: Round | None = None) -> None:
    """Add what happened to `happenings.csv`; parameters and errors as with :func:`add_reading`."""
    row = {
        "date": iso(happening.day),
        "what": happening.what,
        "customer": happening.customer or "",
        "tanker": happening.tanker or "",
        "depot": happening.depot or "",
        "until": iso(happening.until) if happening.until != happening.day else "",
        "factor": _shown(happening.factor) if happening.what == "slow roads" else "",
        "class": happening.grade or "",
        "kg": _shown(happening.kg),
        "reason": happening.reason,
    }
    RoundBooks(path, known).append("happenings", [row])


def _shown(value: float | None) -> str:
    return "" if value is None else f"{value:.10g}"


def _yes(value: bool) -> str:
    return "yes" if value else "no"


def open_books(place: Path | str) -> RecordBooks:
    """Return the books of a house or of a round, by what lies at their place: the way in for whoever writes.

    Raises
    ------
    EditError
        Where there is no such folder.
    """
    if not Path(place).is_dir():
        raise EditError(
            message(
                "books.no_folder", "{folder}: there is no such folder; give that of a house or a round",
                folder=Own(str(place)),
            )
        )  # fmt: skip
    return RoundBooks(place) if is_round(place) else house_books(place)

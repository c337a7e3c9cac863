"""Changing the files of a round: one row added or taken out, in one step, every other byte kept."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from datetime import date
from pathlib import Path

from fuelplan.messages import Own
from fuelplan.records.folder import EditError, RecordBooks
from fuelplan.records.opening import books_at
from fuelplan.records.round.folder import ROUND, Round, is_round, open_round, table_of_round, today_of
from fuelplan.records.round.lists import Happening, Order, Wish
from fuelplan.records.round.row_faults import faults_of_text
from fuelplan.records.schema import FULL, names_of
from fuelplan.records.site import house_books, iso
from fuelplan.records.tables import Fault

Row = Mapping[str, str]


class RoundRules:
    """What the rows of a round are held against: the round itself.

    Attributes
    ----------
    known
        The round, where it is open already: saves reading all customers again.
    """

    def __init__(self, place: Path | str, known: Round | None = None) -> None:
        """Look at nothing yet."""
        self.place, self.known = place, known

    def __call__(self, table: str, text: str) -> list[Fault]:
        """Return the faults of a table's whole text."""
        customers = None
        if table != "customers":  # of which a round that begins has none yet
            self.known = open_round(self.place, sound_only=True) if self.known is None else self.known
            customers = self.known.customers
        settings = table_of_round(self.place) if self.known is None else self.known.table
        return faults_of_text(f"{table}.csv", text, table, settings, customers, today_of(settings))

    def books(self) -> RecordBooks:
        """Return the books of the round, which take no row that cannot be right."""
        return books_at(self.place, replace(ROUND, wrong=self))


def round_books(place: Path | str, known: Round | None = None) -> RecordBooks:
    """Return the books of a round; a row that cannot be right, held against the round, is refused."""
    return RoundRules(place, known).books()


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
    round_books(path, known).append("readings", [row])


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
        "filled_full": _shown(filled_full),
    }
    round_books(path, known).append("deliveries", [row])


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
        raise EditError.because(
            "books.kept_rows", 'no row is taken out of "{table}"; only of orders, wishes and happenings',
            table=Own(kind),
        )  # fmt: skip
    round_books(path).change(kind, row, expected, None)


def add_order(path: Path | str, order: Order, *, known: Round | None = None) -> None:
    """Add an order to `orders.csv`; parameters and errors as with :func:`add_reading`."""
    row = _cells("orders", order, kg=FULL if order.kg is None else _shown(order.kg))
    round_books(path, known).append("orders", [row])


def add_wish(path: Path | str, wish: Wish, *, known: Round | None = None) -> None:
    """Add a person's wish to `wishes.csv`; parameters and errors as with :func:`add_reading`."""
    round_books(path, known).append("wishes", [_cells("wishes", wish)])


def add_happening(path: Path | str, happening: Happening, *, known: Round | None = None) -> None:
    """Add what happened to `happenings.csv`; parameters and errors as with :func:`add_reading`."""
    until = "" if happening.until == happening.day else iso(happening.until)
    factor = _shown(happening.factor) if happening.what == "slow roads" else ""
    row = _cells("happenings", happening, until=until, factor=factor)
    round_books(path, known).append("happenings", [row])


FIELDS = {
    "orders": {"class": "grade", "from": "first", "to": "last"},
    "wishes": {"date": "day"},
    "happenings": {"date": "day", "class": "grade"},
}
"""The fields of a record that bear another name than their column."""


def _cells(table: str, record: Order | Wish | Happening, **written: str) -> Row:
    """Return a record as its table has it; `written` are cells that say something else than their field."""
    fields = FIELDS[table]
    return {
        name: written[name] if name in written else _shown(getattr(record, fields.get(name, name)))
        for name in names_of(table)
    }


def _shown(value: bool | float | str | date | None) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, date):
        return iso(value)
    return "" if value is None else value if isinstance(value, str) else f"{value:.10g}"


def open_books(place: Path | str) -> RecordBooks:
    """Return the books of a house or of a round, by what lies at their place: the way in for whoever writes.

    Raises
    ------
    EditError
        Where there is no such folder.
    """
    if is_round(place):
        return round_books(place)
    books = house_books(place)
    if not Path(place).is_dir() and not books.is_there():
        raise EditError.because(
            "books.no_folder", "{folder}: there is no such folder; give that of a house or a round",
            folder=Own(str(place)),
        )  # fmt: skip
    return books

"""Changing the files of a round: one row added or taken out, in one step, every other byte kept."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from fuelplan.records.round.cell_words import escape_formula, own_text
from fuelplan.records.round.cells import ColumnCells
from fuelplan.records.round.fault_groups import RoundFaults
from fuelplan.records.round.folder import Round, open_round
from fuelplan.records.round.lists import Happening, Order, Wish
from fuelplan.records.round.row_faults import faults_of_text
from fuelplan.records.round.schema.columns import FILES, FULL, names_of
from fuelplan.records.round.sheets import MAX_CSV_BYTES, sheet_of_text
from fuelplan.records.site import (
    EditError,
    as_it_stands,
    iso,
    locked,
    replace_text,
    text_to_change,
    write_remembered,
)
from fuelplan.records.tables import RowSpan, delimiter_of, row_spans

Row = Mapping[str, str]
REMEMBERED = ("orders", "published", "wishes", "happenings")
"""Files whose last changes can be undone; columns that an older one lacks are added to its first line."""


@dataclass(frozen=True)
class TableText:
    """A CSV file about to be changed: its text, how it is written, and its rows without the first."""

    text: str
    header: list[str]
    rows: list[RowSpan]
    delimiter: str
    decimal_comma: bool

    @property
    def line_end(self) -> str:
        """What ends a line of it."""
        return "\r\n" if "\r\n" in self.text else "\n"

    def row_text(self, row: Row, kind: str) -> str:
        """Return a row as this file writes it, with its line end; no cell is a formula for a spreadsheet."""
        kinds = {column.name: column.kind for column in FILES[kind]}
        cells = []
        for name in self.header:
            cell = " ".join(row.get(name, "").split())
            if kinds.get(name) == "number":
                cells.append(cell.replace(".", ",") if self.decimal_comma else cell)
            else:
                cells.append(escape_formula(cell))
        stream = io.StringIO()
        csv.writer(stream, delimiter=self.delimiter, lineterminator=self.line_end).writerow(cells)
        return stream.getvalue()


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
    _add(Path(path), "readings", row, known)


def add_delivery(
    path: Path | str,
    customer: str,
    day: date,
    kg: float,
    *,
    klass: str = "",
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
        "class": klass,
        "tanker": tanker,
        "filled_full": _yes(filled_full),
    }
    _add(Path(path), "deliveries", row, known)


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
        raise EditError(f'no row is taken out of "{kind}"; only of orders, wishes and happenings')
    with locked(Path(path)):
        file = Path(path) / f"{kind}.csv"
        table = text_of_table(file, kind)
        found = next((span for span in table.rows if span.number == row), None)
        cells = {} if found is None else dict(zip(table.header, found.cells, strict=False))
        wrong = [name for name, value in expected.items() if own_text(cells.get(name, "").strip()) != value]
        if found is None or wrong:
            raise EditError(f"row {row} of {file.name} was changed meanwhile; open the folder again")
        left = table.text[: found.start] + table.text[found.end :]
        write(file, kind, table, left, f"a row was taken out of {file.name}")


def add_order(path: Path | str, order: Order, *, known: Round | None = None) -> None:
    """Add an order to `orders.csv`; parameters and errors as with :func:`add_reading`."""
    row = {
        "order": order.order,
        "customer": order.customer,
        "kg": FULL if order.kg is None else _shown(order.kg),
        "class": order.klass or "",
        "from": iso(order.first),
        "to": iso(order.last),
        "price_per_t": _shown(order.price_per_t),
        "credit_stop": _yes(order.credit_stop),
        "call_ahead": _yes(order.call_ahead),
        "already_empty": _yes(order.already_empty),
        "split_with": order.split_with or "",
        "lifted_by": order.lifted_by,
    }
    _add(Path(path), "orders", row, known)


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
    _add(Path(path), "wishes", row, known)


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
        "class": happening.klass or "",
        "kg": _shown(happening.kg),
        "reason": happening.reason,
    }
    _add(Path(path), "happenings", row, known)


def head(table: TableText) -> str:
    """Return everything up to the first row after the one that names the columns."""
    return ended(table.text[: table.rows[0].start] if table.rows else table.text, table)


def widened(table: TableText, names: Iterable[str]) -> TableText:
    """Return the table with columns that its first line does not name yet; rows keep their cells."""
    more = [name for name in names if name not in table.header]
    if not more:
        return table
    first = table.text[: table.rows[0].start] if table.rows else table.text
    line = first.rstrip("\r\n")
    text = line + table.delimiter + table.delimiter.join(more) + (first[len(line) :] or table.line_end)
    rows = _spans("", text + table.text[len(first) :], table.delimiter)
    return TableText(text + table.text[len(first) :], [*table.header, *more], rows, table.delimiter,
                     table.decimal_comma)  # fmt: skip


def ended(text: str, table: TableText) -> str:
    """Return a text that ends with a line end, empty or not."""
    return text if not text or text.endswith(("\n", "\r")) else text + table.line_end


def _add(folder: Path, kind: str, row: Row, known: Round | None) -> None:
    """Add a row at the end of a file."""
    round_ = opened(folder, known)
    with locked(folder):
        file = folder / f"{kind}.csv"
        table = text_of_table(file, kind)
        lost = [name for name, cell in row.items() if cell and cell != "no" and name not in table.header]
        if lost and kind not in REMEMBERED:
            more = table.delimiter.join([*table.header, *lost])
            raise EditError(
                f"{file.name} has no column {' or '.join(lost)}; its first line should read {more}"
            )
        before, table = table, widened(table, lost)
        text = ended(table.text, table) + table.row_text(row, kind)
        spans = _spans(file.name, text, table.delimiter)
        refuse_faulty(file.name, text, kind, round_, first=spans[-1].number)
        said = ", ".join(cell for cell in row.values() if cell and cell != "no")
        write(file, kind, before, text, f"added to {file.name}: {said}")


def write(file: Path, kind: str, read: TableText, text: str, what: str) -> None:
    """Write a file, if it still is as it was read; that of a short list so that it can be taken back.

    Books of many years would be kept whole for each row added: they are written as they are.
    """
    before, mark = as_it_stands(file, read.text)
    if kind in REMEMBERED:
        write_remembered(file, before, mark + text, what)
    else:
        replace_text(file, before, mark + text)


def opened(folder: Path, known: Round | None) -> Round:
    return open_round(folder, sound_only=True) if known is None else known


def text_of_table(path: Path, kind: str) -> TableText:
    """Return a file as it stands; a missing or empty one is one with the names of the columns alone."""
    text = text_to_change(path, names_of(kind), max_bytes=MAX_CSV_BYTES)
    delimiter = delimiter_of(text)
    spans = _spans(path.name, text, delimiter, with_header=True)
    header = [cell.strip().lower() for cell in spans[0].cells] if spans else []
    needed = [column.name for column in FILES[kind] if column.needed and column.name not in header]
    if needed:
        raise EditError(f"{path.name} has no column {' or '.join(needed)}; run fuelplan check")
    sheet, _ = sheet_of_text(path.name, text, kind)
    comma = sheet is not None and ColumnCells(sheet, kind).decimal_comma
    return TableText(text, header, spans[1:], delimiter, comma)


def _spans(name: str, text: str, delimiter: str, *, with_header: bool = False) -> list[RowSpan]:
    """Return the rows that hold anything, with or without the one that names the columns."""
    try:
        spans = list(row_spans(text, delimiter))
    except csv.Error as error:
        raise EditError(f"{name} is not CSV to its end ({error}); run fuelplan check") from None
    return spans if with_header else spans[1:]


def unsound_rows(table: TableText, kind: str, round_: Round) -> set[int]:
    """Return the numbers of the rows with a fault."""
    found = faults_of_text(f"{kind}.csv", table.text, kind, round_)
    return {fault.line for fault in found if fault.line is not None}


def refuse_faulty(name: str, text: str, kind: str, round_: Round, *, first: int) -> None:
    """Raise where a row from number `first` on has a fault."""
    faults = [f for f in faults_of_text(name, text, kind, round_) if f.line is None or f.line >= first]
    if faults:
        raise RoundFaults(faults)


def _shown(value: float | None) -> str:
    return "" if value is None else f"{value:.10g}"


def _yes(value: bool) -> str:
    return "yes" if value else "no"

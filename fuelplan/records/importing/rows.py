"""A supplier's own spreadsheet into a table of the round: columns by other names, in other units and words.

What each own column becomes is one text: the name of our column and, in brackets, how the cells are written –
a unit ("store_kg [t]", "percent [%]"), a form of dates ("date [%d.%m.%Y]"), or words
("contract [J=top-up; N=on request]").
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from datetime import date, datetime
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from fuelplan import units
from fuelplan.messages import Message, Own, as_message, message, said_by
from fuelplan.records.round import kg_or_full
from fuelplan.records.schema import FILES, Column, names_of
from fuelplan.records.tables import (
    LOST,
    MAX_CSV_BYTES,
    PACKED,
    CellSheet,
    ColumnCells,
    Fault,
    RoundFaults,
    SheetError,
    TextTable,
    all_faults,
    day_of_cell,
    decoded,
    guesses,
    in_order,
    long_lines,
    read_bytes,
    read_sheet,
    sample_of,
    table_of_text,
    without_thousands,
)
from fuelplan.units import STEERING, shortened

if TYPE_CHECKING:
    import pandas as pd

TARGET = re.compile(r"\s*([a-z_]+)\s*(?:\[(.*)\])?\s*", re.DOTALL)
COMMA_NUMBER = r"[+-]?[0-9]{1,3}(?:[.' ][0-9]{3})*,[0-9]+|[+-]?[0-9]+,[0-9]+"
SHARE = "share"  # in brackets: 0.35 for 35 %, as spreadsheets keep what they show as a percentage
KINDS = ("customers", "deliveries", "readings", "orders")


@dataclass(frozen=True)
class Target:
    """What one own column becomes."""

    own: str
    column: Column
    how: str


def import_table(
    source: Path | str, mapping: Mapping[str, str], kind: str
) -> tuple[pd.DataFrame, list[Fault]]:
    """Return a supplier's own table as one of ours would be written, and what is wrong with its cells.

    Parameters
    ----------
    source
        The spreadsheet, as .xlsx, .ods or saved as CSV; see :func:`own_table`.
    mapping
        Own column → our column with how it is written; see the module. Own columns left out are not taken.
    kind
        "customers", "deliveries", "readings" or "orders".

    Returns
    -------
    (DataFrame, list of Fault)
        Text cells under our names in our units, by the row number of the source. A cell that cannot be read
        stays as it was written, and its fault tells of it; whether areas, depots, classes and customers are
        known to the round is told when the folder is checked.

    Raises
    ------
    RoundFaults
        Where the file or the mapping cannot be used at all.
    """
    path = Path(source)
    return import_own_table(path.name, own_table(path), mapping, kind)


def import_own_table(
    name: str,
    own: tuple[TextTable, list[Fault]],
    mapping: Mapping[str, str],
    kind: str,
    today: date | None = None,
) -> tuple[pd.DataFrame, list[Fault]]:
    """Return what :func:`import_table` does of a table that :func:`own_table` has read; with `today`
    deliveries and readings dated after it are faults, too.
    """
    import pandas as pd

    table, faults = own
    targets = targets_of(name, table, mapping, kind)
    columns: dict[str, pd.Series] = {}
    for target in targets:
        cells = table.frame[table.header.index(target.own)]
        columns[target.column.name] = _converted(cells, target, not table.delimiter)
    sheet = CellSheet(name, {ours: columns[ours] for ours in names_of(kind) if ours in columns}, table.row)
    faults = in_order([*faults, *_unseen(sheet), *_cell_faults(sheet, kind), *_to_come(sheet, kind, today)])
    frame = pd.DataFrame({ours: column.to_numpy(object) for ours, column in sheet.columns.items()})
    frame.index = pd.Index(table.row, name="row")
    return frame, faults


def own_table(path: Path, country: str = "", encoding: str = "") -> tuple[TextTable, list[Fault]]:
    """Return a supplier's own table as text, and the rows of it that cannot be read.

    CSV has commas, semicolons or tabs between columns, decimal points or commas; its letters are found by
    :func:`fuelplan.records.tables.text.decoded`. Of an .xlsx or .ods file, known by its first
    bytes, the first sheet is read.

    Parameters
    ----------
    country
        Two letters, where the table comes from: decides between encodings that fit equally well.
    encoding
        Of a CSV file, where a person has said which; "" where it is to be found.

    Returns
    -------
    The table with its columns as they are named there, and the faults of rows that are left out.

    Raises
    ------
    RoundFaults
        Where the file cannot be used at all.
    """
    raw, faults = read_bytes(path, max_bytes=MAX_CSV_BYTES, anywhere=True)
    if raw is None:
        raise RoundFaults(faults)
    try:
        if raw.startswith(PACKED):
            return _spreadsheet(path.name, raw)
        text, encoding = decoded(raw, country, encoding)
    except SheetError as error:
        raise RoundFaults([Fault(path.name, None, "", said_by(error))]) from error
    faults = long_lines(path.name, text)
    if faults:
        raise RoundFaults(faults)
    if not text.strip():
        raise RoundFaults([Fault(path.name, None, "", message("import.empty", "the file is empty"))])
    table, faults = table_of_text(path.name, text)
    lost = [fault for fault in faults if fault.rule == LOST]
    if table is None or lost:
        raise RoundFaults(lost or faults)
    others = () if encoding.startswith("utf") else guesses(raw, country)
    samples = {name: sample_of(raw, name) for name in dict.fromkeys((encoding, *others))}
    return replace(table, encoding=encoding, encodings=samples), faults


def _spreadsheet(name: str, content: bytes) -> tuple[TextTable, list[Fault]]:
    import pandas as pd

    sheet = read_sheet(name, content)
    frame = pd.DataFrame(list(sheet.rows), columns=range(len(sheet.header)), dtype=str)
    faults = [Fault(name, line, "", said) for line, said in sheet.faults.items()]
    lines = np.array(sheet.lines, np.int64)
    return TextTable(list(sheet.header), sheet.header_line, frame, lines, ""), faults


def targets_of(name: str, table: TextTable, mapping: Mapping[str, str], kind: str) -> list[Target]:
    """Return what each own column becomes; every fault of the mapping at once."""
    if kind not in KINDS:
        raise RoundFaults(
            [
                Fault(
                    name, None, "",
                    message(
                        "import.kind", '"{kind}" cannot be imported; one of {kinds}', kind=Own(kind),
                        kinds=Own(", ".join(KINDS)),
                    ),
                )
            ]
        )  # fmt: skip
    ours = {column.name: column for column in FILES[kind]}
    faults, found = [], list[Target]()
    for own, written in mapping.items():
        match = TARGET.fullmatch(written)
        if own not in table.header:
            said = message(
                "import.no_such_column", "the file has no such column; it has {columns}",
                columns=Own(", ".join(table.header[:30])),
            )  # fmt: skip
            faults.append(Fault(name, table.header_row, own, said))
        elif match is None or match[1] not in ours:
            said = message(
                "import.no_column_of", '"{written}" names no column of {kind}; write one of {columns}',
                written=Own(shortened(written)), kind=Own(kind), columns=Own(", ".join(ours)),
            )  # fmt: skip
            faults.append(Fault(name, None, own, said))
        else:
            target = Target(own, ours[match[1]], (match[2] or "").strip())
            wrong = _how_fault(target)
            if wrong is not None:
                faults.append(Fault(name, None, own, wrong))
            found.append(target)
    taken = [target.column.name for target in found]
    for twice in sorted({one for one in taken if taken.count(one) > 1}):
        faults.append(
            Fault(
                name, None, twice,
                message("import.two_columns", "two own columns become this one; keep one of them"),
            )
        )  # fmt: skip
    for column in FILES[kind]:
        if column.needed and column.name not in taken:
            said = message(
                "import.nothing_becomes", "no own column becomes {column}: {what}", column=Own(column.name),
                what=as_message(column.what),
            )  # fmt: skip
            faults.append(Fault(name, None, column.name, said))
    if faults:
        raise RoundFaults(faults)
    return found


def _how_fault(target: Target) -> Message | None:
    """Return what is wrong with the brackets of a target."""
    column, how = target.column, target.how
    if not how:
        return None
    written = Own(how)
    if column.kind in {"number", "share"}:
        quantity = column.quantity or ("share" if column.kind == "share" else "")
        if not quantity:
            return message(
                "import.no_unit", "{column} has no unit; leave out [{how}]",
                column=Own(column.name), how=written,
            )  # fmt: skip
        if quantity == "share" and how == SHARE:
            return None
        try:
            units.parse(f"1 {how}", quantity)
        except ValueError as error:
            return message("import.how", "[{how}]: {why}", how=written, why=said_by(error))
        return None
    if column.kind == "date":
        if "%" in how:
            return None
        return message(
            "import.form_of_date", '[{how}] is not a valid form of a date; write e.g. "{example}"',
            how=written, example=Own(f"{column.name} [%d.%m.%Y]"),
        )  # fmt: skip
    if "=" in how:
        return None
    return message(
        "import.list_of_words", '[{how}] is not a valid list of words; write e.g. "{example}"',
        how=written, example=Own(f"{column.name} [J=yes; N=no]"),
    )  # fmt: skip


def _converted(cells: pd.Series, target: Target, is_spreadsheet: bool) -> pd.Series:
    """Return the cells of one own column as ours would be written."""
    import pandas as pd

    kind = target.column.kind
    change: Callable[[str], str]
    if kind in {"number", "share"}:
        commas = bool(cells.str.fullmatch(COMMA_NUMBER).any())
        change = lambda text: _number(text, target, commas)  # noqa: E731
    elif kind == "date" and (target.how or is_spreadsheet):
        change = lambda text: _date(text, target.how, is_spreadsheet)  # noqa: E731
    elif target.how:
        words = dict(pair.split("=", 1) for pair in target.how.split(";") if "=" in pair)
        words = {own.strip().lower(): ours.strip() for own, ours in words.items()}
        change = lambda text: target.column.word(words.get(text.lower(), text))  # noqa: E731
    elif kind == "choice":
        change = target.column.word
    else:
        return cells
    codes, texts = pd.factorize(cells)
    made = [change(str(text)) if text else "" for text in texts]
    return pd.Series([made[code] for code in codes.tolist()], dtype=str)


def _number(text: str, target: Target, commas: bool) -> str:
    """Return a number in the column's own unit; as it was where it cannot be read.

    In a column with decimal commas a point parts thousands; elsewhere it is the decimal point.
    """
    plain = text.replace("\u00a0", " ").replace("\u202f", " ")
    if commas:
        plain = without_thousands(plain, ",").replace(",", ".")
    if not re.fullmatch(r"[+-]?[0-9]*\.?[0-9]+", plain):
        return text
    column = target.column
    quantity = column.quantity or "share"
    if not target.how:
        return plain
    written = plain if target.how == SHARE else f"{plain} {target.how}"
    try:
        return f"{units.parse(written, quantity) / column.unit_factor:.10g}"
    except ValueError:
        return text


def _date(text: str, form: str, is_spreadsheet: bool) -> str:
    """Return a day as ours would be written; spreadsheets keep days as numbers, whatever they show."""
    serial = day_of_cell(text) if is_spreadsheet else None
    if serial is not None:
        return serial.isoformat()
    try:
        return datetime.strptime(text, form).date().isoformat()
    except ValueError:
        return text


def _unseen(sheet: CellSheet) -> list[Fault]:
    """Return the cells with signs that steer a terminal or turn letters round."""
    found = []
    for name, cells in sheet.columns.items():
        for at in np.flatnonzero(cells.str.contains(STEERING, regex=True).to_numpy(bool)).tolist():
            said = message("import.unseen_sign_there", "it holds a sign that cannot be seen; write it anew")
            found.append(
                Fault(
                    sheet.file, int(sheet.row[at]), name, said,
                    rule=message("import.unseen_sign", "unseen sign"),
                )
            )  # fmt: skip
    return found


def _to_come(sheet: CellSheet, kind: str, today: date | None) -> list[Fault]:
    """Return the deliveries and readings that have not come yet; an order may be for later."""
    if today is None or kind not in {"deliveries", "readings"} or "date" not in sheet.columns:
        return []
    days = ColumnCells(sheet, kind).day("date")
    late = np.flatnonzero(~np.isnat(days) & (days > np.datetime64(today))).tolist()
    return [
        Fault(
            sheet.file, int(sheet.row[at]), "date",
            message(
                "import.to_come", "{day} has not come yet; write the day it was", day=Own(str(days[at]))
            ),
            rule=message("import.not_yet", "has not come yet"),
        )
        for at in late
    ]  # fmt: skip


def _cell_faults(sheet: CellSheet, kind: str) -> list[Fault]:
    """Return the cells that cannot be read, whatever the round knows."""
    cells = ColumnCells(sheet, kind)
    read: dict[str, Callable[[str], object]] = {
        "number": cells.number, "id": cells.ids, "date": cells.day, "clock": cells.clock,
        "choice": cells.choice, "weekdays": cells.weekdays, "share": cells.share,
        "yes": lambda name: cells.yes(name, False),
    }  # fmt: skip
    for column in FILES[kind]:
        if column.name == "kg" and kind == "orders":
            kg_or_full(cells)
        elif column.kind in read:
            read[column.kind](column.name)
    return all_faults(cells.groups)

"""Columns of text into arrays, every bad cell with its row and what to write instead.

A column is read by its different texts: each is parsed once, however many rows hold it. Plain numbers, which
are nearly all different, go through pandas at once.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import date
from typing import TYPE_CHECKING, Any, TypeVar

import numpy as np
from numpy.typing import NDArray

from fuelplan.messages import Message, Own, message, said_by
from fuelplan.records.schema import FILES, Column
from fuelplan.records.tables.cell_sheet import CellSheet, RowSheet, as_text, is_text
from fuelplan.records.tables.cell_words import (
    CLASS,
    CellFault,
    Named,
    NumberReader,
    choice_of,
    clock_of,
    date_of,
    named_of,
    outside,
    parts_of,
    weekdays_of,
    yes_of,
)
from fuelplan.records.tables.delimited import own_text
from fuelplan.records.tables.fault_groups import FaultGroup, Ints, Says, group
from fuelplan.units import FIRST_YEAR, LAST_YEAR, NOT_ONE_LINE, one_line, shortened

if TYPE_CHECKING:
    import pandas as pd

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]
Days = NDArray[np.datetime64]
Texts = NDArray[np.object_]
T = TypeVar("T")

TWO_READINGS = r"[+-]?[0-9]{1,3}\.[0-9]{3}"  # in a file with decimal commas
NO_DAY = np.datetime64("NaT", "D")
EMPTIED = ("customers", "deliveries", "orders")
"""Tables in which a faulty cell that may be empty is read as empty; in others its row means nothing."""
NEVER_EMPTIED = {("customers", "area"), ("orders", "kg")}
"""Cells that a row cannot do without, though their column may be left out."""

MAX_ID = 80
MISSING = message("cell.missing", "missing")
CANNOT_BE_READ = message("cell.cannot_be_read", "cannot be read")
CANNOT_BE_MEANT = message("cell.cannot_be_meant", "cannot be meant")


class Cells:
    """The cells of one sheet being read by the columns of their table: values out, faults collected.

    `bad` has shape (n,): rows that cannot be used.
    """

    def __init__(self, sheet: CellSheet | RowSheet, columns: Sequence[Column]) -> None:
        """Start with a sheet and what its columns are."""
        self.source = sheet
        self.specs = {column.name: column for column in columns}
        self.groups: list[FaultGroup] = []
        self.bad = np.zeros(len(sheet), bool)

    def fault(
        self, key: str, rule: Message, at: Ints, say: Says, *, warning: bool = False, emptied: bool = False
    ) -> None:
        """Add the faults of some rows; `emptied` where the cell is read as empty and its row stays."""
        if len(at) == 0:
            return
        self.groups.append(group(self.source.file, key, rule, at, self.source.row, say, warning=warning))
        if not (warning or emptied):
            self.bad[at] = True

    def may_be_empty(self, name: str) -> bool:
        """Tell whether a faulty cell of a column is read as empty."""
        return False

    def written(self, name: str) -> Bools:
        """Return where anything is written in a column, shape (n,)."""
        return self.source.written(name)

    def _missing(self, spec: Column, written: Bools) -> None:
        if spec.needed:
            said = message("cell.empty", 'nothing is written; e.g. "{example}"', example=Own(spec.example))
            self.fault(spec.name, MISSING, np.flatnonzero(~written), spec.unwritten or said)

    def parsed(self, name: str, read: Callable[[str], T], empty: T | None, dtype: Any) -> NDArray[Any]:
        """Return one value for each row; each different text is read once."""
        self._missing(self.specs[name], self.written(name))
        found = self.source.different(name)
        if found is None or len(self.source) == 0:
            return _filled(len(self.source), empty, dtype)
        return self.values(name, *found, read, _filled(len(found[1]), empty, dtype))

    def values(
        self, name: str, codes: Ints, texts: Sequence[str], read: Callable[[str], T], values: NDArray[Any],
        at: Ints | None = None,
    ) -> NDArray[Any]:  # fmt: skip
        """Return what each cell means by the number of its text; `values` are what empty ones mean, `at` the
        rows of the cells where they are not all.
        """
        wrong: dict[int, tuple[Message, Message]] = {}
        for i, text in enumerate(texts):
            if text == "":
                continue
            try:
                values[i] = read(text)
            except CellFault as error:
                wrong[i] = error.rule, error.said
            except ValueError as error:
                wrong[i] = CANNOT_BE_READ, said_by(error)
        for rule in dict.fromkeys(rule for rule, _ in wrong.values()):
            of_rule = [i for i, (broken, _) in wrong.items() if broken == rule]
            bad = np.flatnonzero(np.isin(codes, of_rule))
            said = [wrong[i][1] for i in of_rule], np.searchsorted(of_rule, codes[bad])
            self.fault(name, rule, bad if at is None else at[bad], said, emptied=self.may_be_empty(name))
        made: NDArray[Any] = values[codes]
        return made


class ColumnCells(Cells):
    """The cells of one sheet being read: arrays out, faults collected.

    `bad` has shape (n,): rows that cannot be used, which are left out when only sound rows are asked for. A
    faulty cell that may be empty is read as empty: its row is none of them.
    `today` is the day on which a folder is read; None for rows that are about to be written, among which a
    customer nobody knows is always a fault.
    """

    def __init__(self, sheet: CellSheet, kind: str, today: date | None = None) -> None:
        """Start with a sheet of one kind of table."""
        super().__init__(sheet, FILES[kind])
        self.sheet, self.kind, self.today = sheet, kind, today
        self.decimal_comma = self._writes_decimal_commas()

    def _writes_decimal_commas(self) -> bool:
        """Tell whether the file's numbers are written with a decimal comma: only where none parts columns."""
        if self.sheet.delimiter not in {";", "\t"}:
            return False
        for name, spec in self.specs.items():
            column = self.sheet.columns.get(name)
            if spec.kind != "number" or column is None or not is_text(column):
                continue
            if bool(column.str.contains(r"^[+-]?[0-9]+,[0-9]+$", regex=True).any()):
                return True
        return False

    def may_be_empty(self, name: str) -> bool:
        """Tell whether a faulty cell of a column is read as empty."""
        return self.kind in EMPTIED and not self.specs[name].needed and (self.kind, name) not in NEVER_EMPTIED

    def over(self, days: Days) -> Bools:
        """Return which days lie before today, shape as `days`; none for rows that are about to be written."""
        if self.today is None:
            return np.zeros(len(days), bool)
        return np.asarray(days < np.datetime64(self.today, "D"))

    def number(self, name: str) -> Floats:
        """Return the numbers of a column in its own unit, NaN where nothing is written."""
        spec, n = self.specs[name], len(self.sheet)
        column = self.sheet.columns.get(name)
        if column is None:
            self._missing(spec, np.zeros(n, bool))
            return np.full(n, np.nan)
        if not is_text(column):
            values = np.array(column.to_numpy(np.float64, na_value=np.nan), copy=True)
            self._missing(spec, ~np.isnan(values))
        else:
            values = plain_numbers(self._with_points(column) if self.decimal_comma else column)
            odd = self.parsed_rest(name, column, np.isnan(values), spec)
            values = np.where(np.isnan(values), odd, values)
        self._within(spec, values)
        return values

    def _within(self, spec: Column, values: Floats) -> None:
        with np.errstate(invalid="ignore"):
            at = np.flatnonzero((values < spec.low) | (values > spec.high))
        told, emptied = values[at].copy(), self.may_be_empty(spec.name)
        self.fault(spec.name, CANNOT_BE_MEANT, at, lambda i: outside(spec, float(told[i])), emptied=emptied)
        values[at[np.isinf(told)] if not emptied else at] = np.nan  # nobody reckons with endless ones

    def _with_points(self, column: pd.Series) -> pd.Series:
        """Return numbers with decimal commas as numbers with points; those of two readings as nothing."""
        return column.where(~column.str.fullmatch(TWO_READINGS), "").str.replace(",", ".", regex=False)

    def parsed_rest(self, name: str, column: pd.Series, rest: Bools, spec: Column) -> Floats:
        """Return the cells that are no plain numbers: with a unit, empty, or faulty."""
        import pandas as pd

        values = np.full(len(column), np.nan)
        written = (column != "").to_numpy(bool)
        self._missing(spec, written)
        at = np.flatnonzero(rest & written)
        if len(at) == 0:
            return values
        codes, texts = pd.factorize(column.iloc[at])
        read, empty = NumberReader(spec, self.decimal_comma), np.full(len(texts), np.nan)
        values[at] = self.values(name, codes, list(map(str, texts)), read, empty, at)
        return values

    def text(self, name: str) -> Texts:
        """Return the texts of a column."""
        column = self.sheet.columns.get(name)
        self._missing(self.specs[name], self.written(name))
        if column is None:
            return _filled(len(self.sheet), "", object)
        found = np.array(own_texts(as_text(column)).to_numpy(object), copy=True)
        for i in np.flatnonzero(_in_lines(as_text(column))):
            found[i] = one_line(found[i])
        return found

    def ids(self, name: str) -> Texts:
        """Return the ids of a column, "" where it is missing or faulty."""
        found = self.text(name)
        column = self.sheet.columns.get(name)
        if column is None:
            return found
        text = as_text(column)
        long = np.flatnonzero((text.str.len() > MAX_ID).to_numpy(bool))
        odd = np.flatnonzero(_in_lines(text))
        self.fault(
            name, message("cell.too_long", "too long"), long,
            lambda i: message(
                "cell.long_id", '"{written}" is too long for an id; use at most {most} letters',
                written=Own(shortened(found[long[i]])), most=MAX_ID,
            ),
        )  # fmt: skip
        self.fault(
            name, message("cell.control_characters", "control characters"), odd,
            lambda i: message(
                "cell.control", '"{written}" holds a line break or a control character; write it anew',
                written=Own(shortened(found[odd[i]])),
            ),
        )  # fmt: skip
        found[np.concatenate([long, odd])] = ""
        return found

    def day(self, name: str) -> Days:
        """Return dates, NaT where nothing is written. [datetime64[D]]"""
        column = self.sheet.columns.get(name)
        if column is not None and not is_text(column):
            days = column.to_numpy().astype("datetime64[D]")
            self._missing(self.specs[name], ~np.isnat(days))
            years = days.astype("datetime64[Y]").astype(np.int64) + 1970
            odd = np.flatnonzero(~np.isnat(days) & ((years < FIRST_YEAR) | (years > LAST_YEAR)))
            told, emptied = days[odd].copy(), self.may_be_empty(name)
            self.fault(
                name, CANNOT_BE_MEANT, odd,
                lambda i: message(
                    "cell.date_of_our_time", '"{day}": write a date of our time', day=Own(str(told[i]))
                ),
                emptied=emptied,
            )  # fmt: skip
            return np.where(np.isin(np.arange(len(days)), odd) & emptied, NO_DAY, days)
        return self.parsed(name, date_of, None, "datetime64[D]")

    def clock(self, name: str) -> Floats:
        """Return hours since midnight, NaN where nothing is written."""
        return self.parsed(name, clock_of, np.nan, np.float64)

    def yes(self, name: str, default: bool) -> Bools:
        """Return answers to a yes-or-no column."""
        return self.parsed(name, yes_of, default, np.bool_)

    def choice(self, name: str, default: int = -1) -> Ints:
        """Return the number of the word among the column's choices, `default` where nothing is written."""
        return self.parsed(name, lambda text: choice_of(text, self.specs[name]), default, np.int64)

    def named(self, name: str, known: tuple[str, ...], what: Named, empty: int = -1) -> Ints:
        """Return the number of a name among those of `round.toml`, `empty` where nothing is written."""
        return self.parsed(name, lambda text: named_of(own_text(text), known, what), empty, np.int64)

    def share(self, name: str) -> Floats:
        """Return shares of 0 to 1, NaN where nothing is written."""
        column = self.sheet.columns.get(name)
        if column is not None and not is_text(column):
            return self.number(name)
        shares = self.parsed(name, NumberReader(self.specs[name], self.decimal_comma), np.nan, np.float64)
        self._within(self.specs[name], shares)
        return shares

    def classes(self, name: str, known: tuple[str, ...]) -> Bools:
        """Return which classes each row names, shape (n, len(known)); the first where nothing is written."""
        patterns: dict[frozenset[int], int] = {frozenset({0}): 0}

        def read(text: str) -> int:
            wanted = frozenset(named_of(part, known, CLASS) for part in parts_of(text))
            return patterns.setdefault(wanted, len(patterns))

        code = self.parsed(name, read, 0, np.int64)
        return np.asarray(_rows_of(patterns, len(known))[code])

    def weekdays(self, name: str) -> Bools:
        """Return which weekdays each row names, Monday first, shape (n, 7); all where nothing is written."""
        patterns: dict[frozenset[int], int] = {frozenset(range(7)): 0}
        code = self.parsed(name, lambda t: patterns.setdefault(weekdays_of(t), len(patterns)), 0, np.int64)
        return np.asarray(_rows_of(patterns, 7)[code])


def _filled(n: int, value: Any, dtype: Any) -> NDArray[Any]:
    made = np.empty(n, dtype)
    made[:] = value
    return made


def _in_lines(text: pd.Series) -> Bools:
    """Return which cells hold a line break, or what steers or turns."""
    return np.asarray(text.str.contains(NOT_ONE_LINE, regex=True).to_numpy(bool))


PLAIN_NUMBER = r"[+-]?(?:[0-9]+(?:\.[0-9]+)?|\.[0-9]+)"


def plain_numbers(text: pd.Series) -> Floats:
    """Return the plain decimal numbers of a column, NaN for anything else ("1e9", "inf", words)."""
    numbers = text.where(text.str.fullmatch(PLAIN_NUMBER).fillna(False).astype(bool))
    try:
        import pyarrow as pa
    except ImportError:
        return np.asarray(numbers.astype(object).astype(np.float64), np.float64)
    found = pa.array(numbers, from_pandas=True)
    found = found.cast(pa.string()) if pa.types.is_null(found.type) else found
    return np.asarray(found.cast(pa.float64()).to_numpy(zero_copy_only=False), np.float64)


def _rows_of(patterns: dict[frozenset[int], int], width: int) -> Bools:
    rows = np.zeros((len(patterns), width), bool)
    for wanted, code in patterns.items():
        rows[code, list(wanted)] = True
    return rows


def own_texts(text: pd.Series) -> pd.Series:
    """Return the cells of a column as meant; see :func:`own_text`."""
    marked = text.str.startswith("'")
    return text.where(~marked, text.map(own_text)) if bool(marked.any()) else text

"""`deliveries.csv` and `readings.csv`: rows as people write them, with every fault at its line."""

from __future__ import annotations

import re
from collections.abc import Callable
from contextlib import nullcontext
from dataclasses import dataclass
from datetime import date
from typing import Any, Literal, TypeVar

import numpy as np

from fuelplan import units
from fuelplan.heat import fuels
from fuelplan.messages import Message, Own, Refusal, message
from fuelplan.records.folder import RecordBooks, as_meant_by
from fuelplan.records.schema import HOUSE_FILES, HOW, SITE_FILE
from fuelplan.records.site.rows import DeliveryRow, ReadingRow, delivery_sense
from fuelplan.records.tables import (
    Cells,
    Fault,
    RowSheet,
    all_faults,
    empty_fault,
    fitting_rows,
    header_faults,
    in_order,
    in_quotes,
    own_text,
    word_of,
    yes_of,
)
from fuelplan.units import one_line

_SIDE = re.compile(r"\s*(?:from|below|above)?\s*(?:the\s+)?(top|ceiling|bottom|floor)\s*$")
_CLOCK = re.compile(r"([01]?[0-9]|2[0-3]):([0-5][0-9])")


T = TypeVar("T")
MOST_ROWS = 50_000  # five a day for 27 years


NO_SENSE = message("site.no_sense", "the row contradicts itself")


class _HouseCells(Cells):
    """The cells of a house's table; `usual_fuel` is meant where a row names none.

    A cell is read without what keeps a spreadsheet from taking it for a formula, in one harmless line.
    """

    def __init__(self, sheet: RowSheet, kind: str, usual_fuel: str) -> None:
        super().__init__(sheet, HOUSE_FILES[kind])
        self.usual_fuel = usual_fuel

    def cell(self, column: str, read: Callable[[str], T], empty: T) -> list[T]:
        """Return what each cell of a column means, `empty` where nothing is written or can be read."""

        found: list[T] = self.parsed(
            column, lambda text: read(one_line(own_text(text))), empty, object
        ).tolist()
        return found

    def text(self, column: str) -> list[str]:
        return self.cell(column, str, "")

    def plain(self, column: str) -> list[str]:
        """Return texts as they were written, with single spaces."""
        return self.cell(column, lambda text: " ".join(text.split()), "")

    def day(self, column: str) -> list[date | None]:
        return self.cell(column, units.parse_date, None)

    def choice(self, column: str) -> list[str]:
        known = self.specs[column].choices
        return self.cell(column, lambda text: word_of(text, known), "")

    def yes(self, column: str, default: bool) -> list[bool]:
        return self.cell(column, yes_of, default)

    def clock(self, column: str) -> list[str]:
        """Return one of the column's words, or a clock time in two digits each."""
        words = self.specs[column].choices
        return self.cell(column, lambda text: _clock(text, words), "")

    def amount(self, column: str) -> list[units.Amount | None]:
        return self.cell(column, _amount, None)

    def fuel(self) -> list[str]:
        return self.cell("fuel", _fuel, self.usual_fuel)

    def wrong(self, row: int, column: str, said: Message) -> None:
        """Add what is wrong with one row."""
        self.fault(column, NO_SENSE, np.array([row], np.int64), said)


def _clock(text: str, words: tuple[str, ...]) -> str:
    text = text.lower()
    if text in words:
        return text
    if match := _CLOCK.fullmatch(text):
        return f"{int(match[1]):02d}:{match[2]}"
    written = Own(text[:40])
    if not words:
        raise Refusal.because(
            "site.clock", '"{written}" is not known; write a time of day, e.g. "07:30"', written=written
        )
    raise Refusal.because(
        "site.clock_or_word",
        '"{written}" is not known; write {words}, or a time of day, e.g. "07:30"',
        written=written, words=in_quotes(words),
    )  # fmt: skip


def _amount(text: str) -> units.Amount:
    amount = units.parse_amount(text)
    if amount.value < 0:
        raise Refusal.because(
            "site.negative",
            '"{written}" is negative; write what came or what is there, e.g. "3.2 t"',
            written=Own(text),
        )
    return amount


def _fuel(text: str) -> str:
    planned = tuple(f.name for f in fuels.planned())
    if text.lower() in fuels.names() and text.lower() not in planned:
        raise Refusal.because(
            "site.not_planned", "only {fuels} are planned for; leave rows of {other} out of this file",
            fuels=Own(" and ".join(planned)), other=Own(text.lower()),
        )  # fmt: skip
    return word_of(text, planned)


def _water_or_green(text: str) -> fuels.Moisture | Literal["green"]:
    return "green" if text.lower() == "green" else fuels.parse_moisture(text)


def _how(text: str) -> str:
    if text.lower() == "tipped in":
        raise Refusal.because(
            "site.tipped", "bags that were tipped in are no level; write them as a row of deliveries.csv",
        )  # fmt: skip
    return word_of(text, HOW)


def read_deliveries(
    books: RecordBooks, usual_fuel: str | None = None
) -> tuple[list[DeliveryRow], list[Fault]]:
    """Return the sound rows of a house's deliveries and the faults of the others.

    Parameters
    ----------
    usual_fuel
        Meant where a row names none; amounts are then read as its caller says. None: both as the settings
        of the house have it.
    """
    return _read(books, "deliveries", _deliveries, usual_fuel)


def read_readings(books: RecordBooks, usual_fuel: str | None = None) -> tuple[list[ReadingRow], list[Fault]]:
    """Return the sound rows of a house's readings and the faults of others, as :func:`read_deliveries`."""
    return _read(books, "readings", _readings, usual_fuel)


def deliveries_of_text(file: str, text: str, usual_fuel: str) -> tuple[list[DeliveryRow], list[Fault]]:
    """Return the same from a file's text; `usual_fuel` is meant where a row names none.

    Parameters
    ----------
    file
        For the faults.
    text
        The whole table, with the line that names its columns; amounts are read as its caller says.
    """
    return _of_text(file, text, "deliveries", _deliveries, usual_fuel)


def readings_of_text(file: str, text: str, usual_fuel: str) -> tuple[list[ReadingRow], list[Fault]]:
    """Return the same from a file's text; `usual_fuel` is meant where a row names none."""
    return _of_text(file, text, "readings", _readings, usual_fuel)


def _deliveries(cells: _HouseCells) -> list[DeliveryRow]:
    """Return every row as it stands; what is wrong stays with `cells`."""
    columns: dict[str, list[Any]] = {
        "fuel": cells.fuel(),
        "ordered_on": cells.day("ordered_on"),
        "due_from": cells.day("due_from"),
        "due_to": cells.day("due_to"),
        "ordered": cells.amount("ordered"),
        "delivered_on": cells.day("delivered_on"),
        "delivered": cells.amount("delivered"),
        "weighed": cells.yes("weighed", True),
        "filled_full": cells.yes("filled_full", False),
        "outcome": cells.choice("outcome"),
        "note": cells.text("note"),
        "when": cells.clock("when"),
        "stack": cells.text("stack"),
        "wood": cells.cell("wood", lambda text: fuels.species(text).name, ""),
        "water": cells.cell("water", _water_or_green, None),
        "ordered_said": cells.plain("ordered"),
        "delivered_said": cells.plain("delivered"),
    }
    lines = cells.source.row.tolist()
    found = [
        DeliveryRow(line=line, **{name: column[i] for name, column in columns.items()})
        for i, line in enumerate(lines)
    ]
    for i in np.flatnonzero(~cells.bad).tolist():
        delivery_sense(found[i], lambda column, said, i=i: cells.wrong(i, column, said))  # type: ignore[misc]
    return found


@dataclass(frozen=True)
class _Seen:
    """What a cell of the column `reading` means."""

    reading: units.Amount | None = None
    word: str = ""
    side: Literal["top", "bottom"] = "top"


def _seen(text: str) -> _Seen:
    word, side = text.lower(), "top"
    if match := _SIDE.search(word):
        word, side = word[: match.start()], "bottom" if match[1] in {"bottom", "floor"} else "top"
    if not word:
        raise Refusal(_unwritten())
    if word in {"empty", "full"}:
        return _Seen(None, word, side)  # type: ignore[arg-type]
    return _Seen(_amount(word), "", side)  # type: ignore[arg-type]


def _unwritten() -> Message:
    return message(
        "site.reading_missing",
        'the reading is missing, e.g. "2.4 t", "45 %", "110 cm from top", "empty" or "full"',
    )


def _readings(cells: _HouseCells) -> list[ReadingRow]:
    """Return every row as it stands; what is wrong stays with `cells`."""
    day, seen = cells.day("date"), cells.cell("reading", _seen, _Seen())
    for i in np.flatnonzero(~cells.written("reading")).tolist():
        cells.wrong(i, "reading", _unwritten())
    columns: dict[str, list[Any]] = {
        "how": cells.cell("how", _how, ""),
        "fuel": cells.fuel(),
        "note": cells.text("note"),
        "when": cells.clock("when"),
        "checked": cells.choice("checked"),
        "stack": cells.text("stack"),
        "water": cells.cell("water", fuels.parse_moisture, None),
        "said": cells.plain("reading"),
    }
    return [
        ReadingRow(
            line=line,
            day=day[i] or date.min,
            reading=seen[i].reading,
            word=seen[i].word,
            side=seen[i].side,
            **{name: column[i] for name, column in columns.items()},
        )
        for i, line in enumerate(cells.source.row.tolist())
    ]


def _read(
    books: RecordBooks, table: str, read: Callable[[_HouseCells], list[T]], usual_fuel: str | None
) -> tuple[list[T], list[Fault]]:
    text, faults = books.text(table)
    if text is None or faults:
        return [], faults
    with as_meant_by(books.text(SITE_FILE)[0]) if usual_fuel is None else nullcontext(usual_fuel) as usual:
        return _of_text(f"{table}.csv", text, table, read, usual)


def _of_text(
    file: str, text: str, kind: str, read: Callable[[_HouseCells], list[T]], usual_fuel: str
) -> tuple[list[T], list[Fault]]:
    lines = max(text.count("\n"), text.count("\r"))
    if lines > MOST_ROWS:
        said = message(
            "site.too_many_rows", "the file has {n} rows; {most} are the most that are read for one house",
            n=lines, most=MOST_ROWS,
        )  # fmt: skip
        return [], [Fault(file, None, "", said)]
    sheet, faults = _sheet(file, text, kind)
    if sheet is None:
        return [], faults
    cells = _HouseCells(sheet, kind, usual_fuel)
    rows = read(cells)
    sound = [row for row, bad in zip(rows, cells.bad.tolist(), strict=True) if not bad]
    return sound, in_order([*faults, *all_faults(cells.groups)])


def _sheet(file: str, text: str, kind: str) -> tuple[RowSheet | None, list[Fault]]:
    """Return the cells of a table, or None and why it cannot be read; rows of a wrong length are faults."""
    columns = [column.name for column in HOUSE_FILES[kind]]
    if not text.strip():
        return None, [empty_fault(file, columns)]
    faults: list[Fault] = []
    rows = fitting_rows(file, text, ",", faults, by_line=True, strict=True)
    first = next(rows, None)
    if first is None:
        return None, faults
    header = [cell.strip().lower() for cell in first.cells]
    while len(header) > 1 and not header[-1]:
        header.pop()  # spreadsheets write empty columns at the end
    needed = [column.name for column in HOUSE_FILES[kind] if column.needed]
    wrong = _semicolons(file, first.last_line, header)
    wrong = wrong or header_faults(file, first.last_line, header, columns, needed)
    if wrong:
        return None, [*faults, *wrong]
    return RowSheet(file, header, [(row.last_line, row.cells) for row in rows]), faults


def _semicolons(file: str, line: int, header: list[str]) -> list[Fault]:
    if len(header) > 1 or ";" not in header[0]:
        return []
    said = message(
        "site.semicolons",
        "the columns are parted by semicolons; save the file with commas between them",
    )
    return [Fault(file, line, "", said)]

"""`deliveries.csv` and `readings.csv`: rows as people write them, with every fault at its line."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from contextlib import nullcontext
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Literal, TypeVar

from fuelplan import units
from fuelplan.files import is_there
from fuelplan.heat import fuels
from fuelplan.messages import Message, Own, message, said_by
from fuelplan.records.folder import read_as_in
from fuelplan.records.tables import (
    Fault,
    empty_fault,
    fitting_rows,
    header_faults,
    in_quotes,
    own_text,
    read_text,
)
from fuelplan.units import one_line

DELIVERY_COLUMNS = (
    "fuel", "ordered_on", "due_from", "due_to", "ordered", "delivered_on", "delivered", "weighed",
    "filled_full", "outcome", "note", "when",
)  # fmt: skip
READING_COLUMNS = ("date", "reading", "how", "fuel", "note", "when", "checked")
OUTCOMES = ("", "delivered", "failed", "cancelled")
BEFORE, AFTER = "before delivery", "after delivery"
CHECKED = ("", "right", "wrong", "look again")
HOW = ("", "measured", "by eye", "estimated", "boiler counter", "heat meter")
_SIDE = re.compile(r"\s*(?:from|below|above)?\s*(?:the\s+)?(top|ceiling|bottom|floor)\s*$")
_CLOCK = re.compile(r"([01]?[0-9]|2[0-3]):([0-5][0-9])")


@dataclass(frozen=True)
class DeliveryRow:
    """One row of `deliveries.csv`: an order, what came of it, or both. Ordered never stands for delivered."""

    line: int
    fuel: str
    ordered_on: date | None
    due_from: date | None
    due_to: date | None
    ordered: units.Amount | None
    delivered_on: date | None
    delivered: units.Amount | None
    weighed: bool
    filled_full: bool
    outcome: str
    note: str
    when: str = ""  # a clock time, "07:30", or empty
    ordered_said: str = ""  # the cells `ordered` and `delivered` as they were written
    delivered_said: str = ""


@dataclass(frozen=True)
class ReadingRow:
    """One row of `readings.csv`.

    `reading` is None for the words "empty" and "full", which `word` then holds; `side` says from where a mark
    in cm is
    measured: down from the ceiling ("top"), or up from the lowest floor. `when` is "before delivery", "after
    delivery", a clock time such as "07:30", or empty where nobody said; `checked` is what the person answered
    when
    asked about it: "right", "wrong" (taken back, but kept in the file), "look again", or empty.
    """

    line: int
    day: date
    reading: units.Amount | None
    word: str
    side: Literal["top", "bottom"]
    how: str
    fuel: str
    note: str
    when: str = ""
    checked: str = ""
    said: str = ""  # the cell `reading` as it was written


T = TypeVar("T")
MOST_ROWS = 50_000  # five a day for 27 years


class _Row:
    """One row being read: collects its faults under the name of the column."""

    def __init__(self, file: str, line: int, cells: dict[str, str], usual_fuel: str) -> None:
        self.file, self.line, self.cells, self.faults = file, line, cells, list[Fault]()
        self.usual_fuel = usual_fuel

    def fault(self, column: str, said: Message) -> None:
        self.faults.append(Fault(self.file, self.line, column, said))

    def text(self, column: str) -> str:
        return one_line(own_text(self.cells.get(column, "").strip()))

    def day(self, column: str) -> date | None:
        text = self.text(column)
        if not text:
            return None
        try:
            return units.parse_date(text)
        except ValueError as error:
            self.fault(column, said_by(error))
            return None

    def choice(self, column: str, known: tuple[str, ...], default: str) -> str:
        text = self.text(column).lower() or default
        if text in known:
            return text
        self.fault(
            column,
            message(
                "site.one_of", '"{written}" is not known; write one of {words}', written=Own(text[:40]),
                words=in_quotes(k for k in known if k),
            ),
        )  # fmt: skip
        return default

    def yes(self, column: str, default: bool) -> bool:
        text = self.text(column).lower()
        if text in {"yes", "no", ""}:
            return default if not text else text == "yes"
        self.fault(
            column,
            message("site.yes_or_no", '"{written}" is not known; write yes or no', written=Own(text[:40])),
        )
        return default

    def clock(self, column: str, words: tuple[str, ...] = ()) -> str:
        """Return one of the words, or a clock time in two digits each."""
        text = self.text(column).lower()
        if not text or text in words:
            return text
        if match := _CLOCK.fullmatch(text):
            return f"{int(match[1]):02d}:{match[2]}"
        written = Own(text[:40])
        if not words:
            said = message(
                "site.clock", '"{written}" is not known; write a time of day, e.g. "07:30"',
                written=written,
            )  # fmt: skip
        else:
            said = message(
                "site.clock_or_word",
                '"{written}" is not known; write {words}, or a time of day, e.g. "07:30"',
                written=written, words=in_quotes(words),
            )  # fmt: skip
        self.fault(column, said)
        return ""

    def amount(self, column: str, text: str | None = None) -> units.Amount | None:
        text = self.text(column) if text is None else text
        if not text:
            return None
        try:
            amount = units.parse_amount(text)
        except ValueError as error:
            self.fault(column, said_by(error))
            return None
        if amount.value < 0:
            self.fault(
                column,
                message(
                    "site.negative",
                    '"{written}" is negative; write what came or what is there, e.g. "3.2 t"',
                    written=Own(text),
                ),
            )
            return None
        return amount


def read_deliveries(path: Path, usual_fuel: str | None = None) -> tuple[list[DeliveryRow], list[Fault]]:
    """Return the sound rows of `deliveries.csv` and the faults of the others.

    Parameters
    ----------
    usual_fuel
        Meant where a row names none; amounts are then read as its caller says. None: both as the folder's
        `site.toml` has it.
    """
    return _read(path, DELIVERY_COLUMNS, _delivery, usual_fuel)


def read_readings(path: Path, usual_fuel: str | None = None) -> tuple[list[ReadingRow], list[Fault]]:
    """Return the sound rows of `readings.csv` and the faults of the others, as :func:`read_deliveries`."""
    return _read(path, READING_COLUMNS, _reading, usual_fuel)


def deliveries_of_text(file: str, text: str, usual_fuel: str) -> tuple[list[DeliveryRow], list[Fault]]:
    """Return the same from a file's text; `usual_fuel` is meant where a row names none."""
    return _of_text(file, text, DELIVERY_COLUMNS, _delivery, usual_fuel)


def readings_of_text(file: str, text: str, usual_fuel: str) -> tuple[list[ReadingRow], list[Fault]]:
    """Return the same from a file's text; `usual_fuel` is meant where a row names none."""
    return _of_text(file, text, READING_COLUMNS, _reading, usual_fuel)


def _delivery(row: _Row) -> DeliveryRow:
    found = DeliveryRow(
        line=row.line,
        fuel=_fuel(row),
        ordered_on=row.day("ordered_on"),
        due_from=row.day("due_from"),
        due_to=row.day("due_to"),
        ordered=row.amount("ordered"),
        delivered_on=row.day("delivered_on"),
        delivered=row.amount("delivered"),
        weighed=row.yes("weighed", True),
        filled_full=row.yes("filled_full", False),
        outcome=row.choice("outcome", OUTCOMES, ""),
        note=row.text("note"),
        when=row.clock("when"),
        ordered_said=" ".join(row.text("ordered").split()),
        delivered_said=" ".join(row.text("delivered").split()),
    )
    if not row.faults:
        _delivery_sense(row, found)
    return found


def _delivery_sense(row: _Row, found: DeliveryRow) -> None:
    if found.ordered_on is None and found.delivered_on is None:
        row.fault(
            "ordered_on",
            message(
                "site.row_without_date",
                "the row has no date; write when it was ordered or delivered, e.g. 2025-10-08",
            ),
        )
    if found.delivered_on is not None and found.delivered is None:
        row.fault(
            "delivered",
            message(
                "site.no_amount",
                "delivered_on has a date but the amount is missing; write what the weigh note says, "
                'e.g. "4.1 t"',
            ),
        )
    for column, amount in (("ordered", found.ordered), ("delivered", found.delivered)):
        if amount is not None and amount.value == 0:
            row.fault(
                column,
                message(
                    "site.nothing_came",
                    'nothing is no amount; for a tanker that could not unload write outcome "failed"',
                ),
            )
    if found.delivered is not None and found.delivered_on is None:
        row.fault(
            "delivered_on",
            message("site.no_day", "an amount was delivered but the date is missing, e.g. 2025-10-15"),
        )
    if found.ordered_on is not None and found.delivered_on is None and found.ordered is None:
        row.fault("ordered", message("site.order_without_amount", 'an order needs its amount, e.g. "4 t"'))
    if found.ordered_on and found.delivered_on and found.delivered_on < found.ordered_on:
        row.fault("delivered_on", _before_order(found.delivered_on, found.ordered_on))
    if found.due_from and found.due_to and found.due_to < found.due_from:
        row.fault(
            "due_to",
            message(
                "site.due_backwards", "{last} lies before due_from {first}", last=Own(str(found.due_to)),
                first=Own(str(found.due_from)),
            ),
        )  # fmt: skip
    if found.ordered_on and found.due_from and found.due_from < found.ordered_on:
        row.fault("due_from", _before_order(found.due_from, found.ordered_on))
    if found.ordered_on and found.due_to and found.due_to < found.ordered_on:
        row.fault("due_to", _before_order(found.due_to, found.ordered_on))
    _outcome_sense(row, found)


def _before_order(day: date, ordered_on: date) -> Message:
    return message(
        "site.before_order", "{day} lies before the order of {ordered_on}",
        day=Own(str(day)), ordered_on=Own(str(ordered_on)),
    )  # fmt: skip


def _outcome_sense(row: _Row, found: DeliveryRow) -> None:
    """Find what contradicts itself: an outcome or a "full" that would have no effect."""
    if found.outcome in {"failed", "cancelled"} and found.delivered_on is not None:
        said = message(
            "site.did_not_come",
            "a {outcome} delivery has no delivered_on; leave both delivered columns empty",
            outcome=Own(found.outcome),
        )
        row.fault("outcome", said)
    if found.outcome == "delivered" and found.delivered_on is None:
        row.fault(
            "outcome",
            message(
                "site.came_without",
                "a delivery that came has its date and amount in delivered_on and delivered",
            ),
        )
    if found.filled_full and found.delivered_on is None:
        row.fault(
            "filled_full",
            message(
                "site.full_without",
                "only a delivery that came fills a store; write delivered_on and delivered",
            ),
        )
    if found.when and found.delivered_on is None:
        row.fault(
            "when",
            message(
                "site.time_without",
                "a time of day belongs to a delivery that came; write delivered_on and delivered",
            ),
        )


def _reading(row: _Row) -> ReadingRow:
    day, word = row.day("date"), row.text("reading").lower()
    if not row.text("date"):
        row.fault("date", message("site.reading_without_date", "the date is missing, e.g. 2026-01-04"))
    amount: units.Amount | None = None
    side: Literal["top", "bottom"] = "top"
    if match := _SIDE.search(word):
        word, side = word[: match.start()], "bottom" if match[1] in {"bottom", "floor"} else "top"
    if not word:
        row.fault(
            "reading",
            message(
                "site.reading_missing",
                'the reading is missing, e.g. "2.4 t", "45 %", "110 cm from top", "empty" or "full"',
            ),
        )
    elif word in {"empty", "full"}:
        pass
    else:
        amount, word = row.amount("reading", word), ""
    return ReadingRow(
        line=row.line,
        day=day or date.min,
        reading=amount,
        word=word,
        side=side,
        how=_how(row),
        fuel=_fuel(row),
        note=row.text("note"),
        when=row.clock("when", (BEFORE, AFTER)),
        checked=row.choice("checked", CHECKED, ""),
        said=" ".join(row.text("reading").split()),
    )


def _fuel(row: _Row) -> str:
    usual, written = row.usual_fuel, row.text("fuel").lower()
    planned = tuple(f.name for f in fuels.planned())
    if written in fuels.names() and written not in planned:
        known = " and ".join(planned)
        row.fault(
            "fuel",
            message(
                "site.not_planned", "only {fuels} are planned for; leave rows of {other} out of this file",
                fuels=Own(known), other=Own(written),
            ),
        )  # fmt: skip
        return usual
    return row.choice("fuel", planned, usual)


def _how(row: _Row) -> str:
    if row.text("how").lower() == "tipped in":
        row.fault(
            "how",
            message(
                "site.tipped", "bags that were tipped in are no level; write them as a row of deliveries.csv",
            ),
        )  # fmt: skip
        return ""
    return row.choice("how", HOW, "")


def _read(
    path: Path, columns: tuple[str, ...], read_row: Callable[[_Row], T], usual_fuel: str | None
) -> tuple[list[T], list[Fault]]:
    if not is_there(path):
        return [], []
    text, faults = read_text(path)
    if text is None or faults:
        return [], faults
    with read_as_in(path.parent) if usual_fuel is None else nullcontext(usual_fuel) as usual:
        return _of_text(path.name, text, columns, read_row, usual)


def _of_text(
    file: str, text: str, columns: tuple[str, ...], read_row: Callable[[_Row], T], usual_fuel: str
) -> tuple[list[T], list[Fault]]:
    lines = max(text.count("\n"), text.count("\r"))
    if lines > MOST_ROWS:
        said = message(
            "site.too_many_rows", "the file has {n} rows; {most} are the most that are read for one house",
            n=lines, most=MOST_ROWS,
        )  # fmt: skip
        return [], [Fault(file, None, "", said)]
    rows: list[T] = []
    faults: list[Fault] = []
    for row in _rows(file, text, columns, faults, usual_fuel):
        found = read_row(row)
        faults += row.faults
        if not row.faults:
            rows.append(found)
    return rows, faults


def _rows(
    file: str, text: str, columns: tuple[str, ...], faults: list[Fault], usual_fuel: str
) -> Iterator[_Row]:
    """Yield the data rows; header faults and rows of a wrong length go to `faults`."""
    if not text.strip():
        faults.append(empty_fault(file, columns))
        return
    rows = fitting_rows(file, text, ",", faults, by_line=True, strict=True)
    first = next(rows, None)
    if first is None:
        return
    header = [cell.strip().lower() for cell in first.cells]
    while len(header) > 1 and not header[-1]:
        header.pop()  # spreadsheets write empty columns at the end
    needed = columns[:1] if columns is READING_COLUMNS else ()
    wrong = _semicolons(file, first.last_line, header)
    wrong = wrong or header_faults(file, first.last_line, header, columns, needed)
    faults += wrong
    if not wrong:
        for row in rows:
            yield _Row(file, row.last_line, dict(zip(header, row.cells, strict=False)), usual_fuel)


def _semicolons(file: str, line: int, header: list[str]) -> list[Fault]:
    if len(header) > 1 or ";" not in header[0]:
        return []
    said = message(
        "site.semicolons",
        "the columns are parted by semicolons; save the file with commas between them",
    )
    return [Fault(file, line, "", said)]

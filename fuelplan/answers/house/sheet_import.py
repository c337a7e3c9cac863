"""Readings and deliveries from a spreadsheet: column by column, each row looked at before any is written."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path
from typing import Literal

from fuelplan import units
from fuelplan.answers.house.record import no_site_folder
from fuelplan.messages import Day, Message, Own, Refusal, Said, as_message, message, said_by
from fuelplan.records.folder import saving, text_of_rows
from fuelplan.records.round import open_books
from fuelplan.records.site import (
    DELIVERY_COLUMNS,
    READING_COLUMNS,
    Site,
    amounts_against_store,
    check_folder,
    deliveries_of_text,
    future_rows,
    readings_of_text,
    today_of,
)
from fuelplan.records.tables import Sheet as Sheet
from fuelplan.records.tables import SheetError as SheetError
from fuelplan.records.tables import SiteFaults, day_of_cell
from fuelplan.records.tables import read_sheet as read_sheet
from fuelplan.units import STEERING

Into = Literal["readings", "deliveries"]
Dates = Literal["", "year first", "day first", "month first"]
BOTH_USUAL = ("", "CA", "PH")  # day first and month first are both written there; common practice
COLUMNS: dict[Into, tuple[str, ...]] = {
    "readings": tuple(name for name in READING_COLUMNS if name != "checked"),  # an answer of the person's own
    "deliveries": DELIVERY_COLUMNS,
}
DATE_COLUMNS = {"date", "ordered_on", "due_from", "due_to", "delivered_on"}
AMOUNT_COLUMNS = {"reading", "ordered", "delivered"}
IN_COLUMN = "sheet.in_column"
"""Code of what is said of one cell of a row."""

YES_COLUMNS = {"weighed", "filled_full"}
NEEDED: dict[Into, tuple[str, ...]] = {
    "readings": ("date", "reading"),
    "deliveries": ("delivered_on", "delivered"),
}
UNITS = ("kg", "t", "%", "cm", "lb", "short_ton", "bags", "pallets", "litre", "m3", "kWh")
"""Units that a bare number of a column may be in."""

_NUMBER = re.compile(r"[+-]?[0-9]+(?:\.[0-9]+)?")
_PARTS = re.compile(r"([0-9]{1,4})[./ -]\s?([0-9]{1,2})[./ -]\s?([0-9]{1,4})(?:[ T][0-9:.Z+]*)?")
_YES = {"yes", "y", "true", "x", "1", "ja", "oui", "si", "sì", "sí", "da", "ano", "tak", "kyllä"}
_NO = {"no", "n", "false", "0", "", "nein", "non", "ne", "nie", "nej", "ei"}
_NAMES: dict[str, tuple[str, ...]] = {
    "date": ("date", "day", "read on", "datum", "tag", "giorno", "data", "jour"),
    "reading": (
        "reading",
        "level",
        "stock",
        "amount",
        "stand",
        "menge",
        "bestand",
        "livello",
        "niveau",
        "mark",
    ),
    "how": ("how", "method"),
    "fuel": ("fuel", "product", "brennstoff"),
    "note": ("note", "notes", "remark", "comment", "bemerkung", "nota"),
    "ordered_on": ("ordered on", "order date", "ordered", "bestellt am", "bestelldatum"),
    "due_from": ("due from", "from"),
    "due_to": ("due to", "to", "until"),
    "ordered": ("ordered amount", "ordered quantity", "bestellmenge"),
    "delivered_on": (
        "delivered on",
        "delivery date",
        "date",
        "day",
        "lieferdatum",
        "datum",
        "geliefert am",
        "data",
    ),
    "delivered": (
        "delivered",
        "amount",
        "quantity",
        "weight",
        "menge",
        "liefermenge",
        "kg",
        "tonnes",
        "quantita",
    ),
    "weighed": ("weighed", "gewogen"),
    "filled_full": ("filled full", "full", "voll"),
    "outcome": ("outcome", "status"),
    "when": ("when", "time", "clock", "uhrzeit"),
}


@dataclass(frozen=True)
class SheetPlan:
    """How a sheet is read.

    Attributes
    ----------
    into
        "readings" or "deliveries".
    columns
        Our column by the number of the sheet's column; columns that are not named are left out.
    dates
        Order of the parts of a date; "" where the folder's country decides.
    decimal
        Sign of decimals in numbers.
    unit
        Unit of numbers that have none of their own; empty where all have one.
    """

    into: Into
    columns: Mapping[int, str]
    dates: Dates = "year first"
    decimal: Literal[".", ","] = "."
    unit: str = ""


@dataclass(frozen=True)
class SheetRow:
    """One row as it would be written, what is wrong with it, and whether the folder has it already."""

    line: int
    cells: Mapping[str, str]
    faults: tuple[Message, ...]
    known: bool

    @property
    def sound(self) -> bool:
        """Whether the row would be written."""
        return not self.faults and not self.known


def guess_plan(sheet: Sheet, into: Into, country: str = "") -> SheetPlan:
    """Return a first plan by the names of the columns and the look of the cells; a person looks at it.

    Parameters
    ----------
    sheet
        A table as :func:`read_sheet` gives it.
    into
        "readings" or "deliveries".
    country
        Two letters, where the table comes from; without it dates that can be read in two ways are left to the
        folder that they are to go into.
    """
    taken: dict[int, str] = {}
    for exact in (True, False):
        for column in COLUMNS[into]:
            if column in taken.values():
                continue
            at = next(
                (i for i, n in enumerate(sheet.header) if i not in taken and _named(n, column, exact)), None
            )
            if at is not None:
                taken[at] = column
    numbers = [row[i] for row in sheet.rows[:200] for i, c in taken.items() if c in AMOUNT_COLUMNS]
    comma = sum(bool(re.search(r"[0-9],[0-9]{1,2}(?![0-9])", n)) for n in numbers)
    if sheet.separator == ";":
        comma += 1  # where the comma parts decimals, the semicolon parts cells
    heads = " ".join(sheet.header[i] for i, c in taken.items() if c in AMOUNT_COLUMNS)
    unit = next((u for u in UNITS if re.search(rf"(?<![A-Za-z]){re.escape(u)}(?![A-Za-z0-9])", heads)), "")
    return SheetPlan(
        into,
        taken,
        order_of_dates(dates_of(sheet, taken), country),
        "," if comma > len(numbers) / 10 or (comma and sheet.separator == ";") else ".",
        unit,
    )


def _named(header: str, column: str, exact: bool) -> bool:
    plain = re.sub(r"[^a-zà-ž]+", " ", header.casefold().replace("_", " ")).strip()
    if exact:
        return header.strip().casefold() == column
    return any(plain == name or plain.startswith(f"{name} ") for name in _NAMES[column])


def order_of_dates(days: Sequence[str], country: str) -> Dates:
    """Return in which order dates are written: by all of them together, else by what is usual in a country;
    "" where neither decides and a person must.
    """
    parts = [m for m in map(_PARTS.fullmatch, days) if m and len(m[1]) != 4]
    if not parts:
        return "year first"
    day_first = any(int(m[1]) > 12 for m in parts)
    month_first = any(int(m[2]) > 12 for m in parts)
    if day_first or month_first:
        return "" if day_first and month_first else "day first" if day_first else "month first"
    if all("." in m[0] for m in parts):
        return "day first"
    return "" if country[:2] in BOTH_USUAL else "month first" if country[:2] == "US" else "day first"


def example_of_order(days: Sequence[str]) -> str:
    """Return a date that reads differently by day and by month; "" where there is none."""
    for day in days:
        m = _PARTS.fullmatch(day)
        if m and len(m[1]) != 4 and int(m[1]) <= 12 and int(m[2]) <= 12 and int(m[1]) != int(m[2]):
            return day
    return ""


def dates_of(sheet: Sheet, columns: Mapping[int, str]) -> list[str]:
    """Return every cell of the columns that hold dates."""
    at = [i for i, column in columns.items() if column in DATE_COLUMNS]
    return [" ".join(row[i].split()) for row in sheet.rows for i in at]


def preview_sheet(
    folder: Path, sheet: Sheet, plan: SheetPlan, today: date | None = None
) -> tuple[SheetRow, ...]:
    """Return every row as it would be written, with its faults; nothing is written.

    Parameters
    ----------
    today
        What is dated after it has not come yet, and is a fault; None: today where the house stands.

    Raises
    ------
    SiteFaults
        Where the folder's own settings cannot be read.
    ValueError
        Where the plan names no column that is needed, or dates can be read in two ways and nothing decides.
    """
    site, _ = check_folder(folder)
    if site is None:
        raise SiteFaults([no_site_folder(folder)])
    missing = [c for c in NEEDED[plan.into] if c not in plan.columns.values()]
    if plan.into == "deliveries" and {"ordered_on", "ordered"} <= set(plan.columns.values()):
        missing = []
    if missing:
        raise Refusal(_no_column(missing))
    twice = {c for c in plan.columns.values() if list(plan.columns.values()).count(c) > 1}
    if twice:
        raise Refusal(
            message(
                "sheet.twice",
                "two columns are to be {column}; choose one of them",
                column=Own(sorted(twice)[0]),
            )
        )
    days = dates_of(sheet, plan.columns)
    dates = plan.dates or order_of_dates(days, site.table.place.country or "")
    if not dates:
        raise Refusal(two_ways(example_of_order(days)))
    plan = replace(plan, dates=dates)
    read = [
        _cells(row, plan, sheet.faults.get(line)) for row, line in zip(sheet.rows, sheet.lines, strict=True)
    ]
    return tuple(_looked_at(site, sheet.lines, read, plan.into, today or today_of(site)))


def _no_column(missing: Sequence[str]) -> Message:
    first, *second = (Own(column) for column in missing)
    if not second:
        return message("sheet.no_column", "say which column holds {column}", column=first)
    return message(
        "sheet.no_columns",
        "say which column holds {column} and which holds {other}",
        column=first,
        other=second[0],
    )


def two_ways(example: str) -> Message:
    """Return the question for dates that can be read in two ways."""
    if not example:
        return message(
            "sheet.mixed_dates",
            "some dates have the day first, others the month; say which, and the other rows stay out",
        )
    first, second = (date.fromisoformat(day_of(example, order)) for order in ("day first", "month first"))
    return message(
        "sheet.two_ways",
        "{example} can be {first} or {second}; say whether the day or the month comes first",
        example=Own(example),
        first=Day(first, year=True),
        second=Day(second, year=True),
    )


@saving("your rows were")
def import_sheet(folder: Path, into: Into, rows: Sequence[SheetRow]) -> int:
    """Write the sound rows into the folder in one step, each at its date; return how many.

    Parameters
    ----------
    rows
        As :func:`preview_sheet` gives them; those with faults, and those that are there already, stay out.

    Raises
    ------
    EditError
        Where the file cannot be changed; nothing is written then.
    """
    cells = [row.cells for row in rows if row.sound]
    if cells:
        open_books(folder).append(into, cells)
    return len(cells)


def _cells(row: Sequence[str], plan: SheetPlan, fault: Said | None) -> tuple[dict[str, str], list[Message]]:
    found, faults = {}, [] if fault is None else [as_message(fault)]
    for at, column in plan.columns.items():
        if STEERING.search(row[at]):
            hidden = message("sheet.hidden_sign", "it holds a sign that cannot be seen; write it anew")
            faults.append(of_column(column, hidden))
        text = " ".join(STEERING.sub("", row[at]).split())
        try:
            found[column] = _cell(text, column, plan)
        except ValueError as error:
            found[column] = text
            faults.append(of_column(column, said_by(error)))
    if not any(found.values()):
        faults.append(
            message(
                "sheet.empty_row",
                "nothing of this row would be written: none of the columns taken has anything in it",
            )
        )
    return found, faults


def _cell(text: str, column: str, plan: SheetPlan) -> str:
    if column in DATE_COLUMNS:
        return day_of(text, plan.dates) if text else ""
    if column in AMOUNT_COLUMNS:
        return _amount(text, plan)
    if column in YES_COLUMNS:
        folded = text.casefold()
        if folded in _YES or folded in _NO:
            return "yes" if folded in _YES else "no"
        raise Refusal(
            message("sheet.not_yes_or_no", '"{written}" is neither yes nor no', written=_short(text))
        )
    return text


def day_of(text: str, order: Dates) -> str:
    """Return a date of a sheet as the folder writes it; ValueError where it is none."""
    serial = day_of_cell(text)
    if serial is not None:
        return serial.isoformat()
    parts = _PARTS.fullmatch(text)
    if parts is None:
        raise Refusal(message("sheet.not_a_date", '"{written}" is not a valid date', written=_short(text)))
    a, b, c = (int(part) for part in parts.groups())
    if len(parts[1]) == 4:
        year, month, day = a, b, c
    elif order == "year first":
        raise Refusal(
            message(
                "sheet.year_not_first",
                '"{written}" does not have the year first, as the other dates do',
                written=_short(text),
            )
        )
    elif len(parts[3]) not in {2, 4}:
        raise Refusal(
            message("sheet.no_year", '"{written}" has no year of two or four figures', written=_short(text))
        )
    else:
        year, month, day = (c, b, a) if order == "day first" else (c, a, b)
        year += 2000 if len(parts[3]) == 2 else 0
    try:
        return date(year, month, day).isoformat()
    except ValueError:
        raise Refusal(_no_such_day(text, order)) from None


def _no_such_day(text: str, order: Dates) -> Message:
    written = _short(text)
    if order == "day first":
        return message(
            "sheet.no_day_day_first",
            '"{written}" is not a day of the calendar, read day first',
            written=written,
        )
    if order == "month first":
        return message(
            "sheet.no_day_month_first",
            '"{written}" is not a day of the calendar, read month first',
            written=written,
        )
    return message(
        "sheet.no_day", '"{written}" is not a day of the calendar, read year first', written=written
    )


def _short(text: str) -> Own:
    """Return what was written, cut to what a person recognises."""
    return Own(text[:40])


def of_column(column: str, said: Message) -> Message:
    """Return what is said of a cell with its column."""
    return message("sheet.in_column", "{column}: {said}", column=Own(column), said=said)


def _amount(text: str, plan: SheetPlan) -> str:
    if plan.decimal == ",":
        text = re.sub(r"(?<=[0-9])[. '](?=[0-9]{3}(?![0-9]))", "", text)
        text = re.sub(r"(?<=[0-9]),(?=[0-9])", ".", text)
    else:
        text = re.sub(r"(?<=[0-9])[,'](?=[0-9]{3}(?![0-9]))", "", text)
    if not _NUMBER.fullmatch(text):
        return text
    if not plan.unit:
        raise Refusal(
            message(
                "sheet.no_unit",
                '"{written}" has no unit; choose the unit of such numbers above',
                written=_short(text),
            )
        )
    return f"{text} {plan.unit}" if plan.unit != "cm" else f"{text} cm from top"


def _looked_at(
    site: Site,
    lines: Sequence[int],
    read: Sequence[tuple[dict[str, str], list[Message]]],
    into: Into,
    today: date,
) -> list[SheetRow]:
    """Return the rows with what the folder's own rules say of each."""
    by_row: dict[int, list[Message]] = {}
    keys: dict[int, tuple[object, ...]] = {}
    known: set[tuple[object, ...]]
    text = text_of_rows(COLUMNS[into], [cells for cells, _ in read])
    with units.bought_in(site.table.place.country):
        if into == "readings":
            readings, faults = readings_of_text(f"{into}.csv", text, site.table.boiler.bulk.name)
            new = Site(site.path, site.table, (), tuple(readings))
            keys = {r.line: (r.fuel, r.day, r.reading, r.word) for r in readings}
            known = {(r.fuel, r.day, r.reading, r.word) for r in site.readings}
        else:
            found, faults = deliveries_of_text(f"{into}.csv", text, site.table.boiler.bulk.name)
            new = Site(site.path, site.table, tuple(found), ())
            keys = {r.line: (r.fuel, r.ordered_on, r.delivered_on, r.delivered) for r in found}
            known = {(r.fuel, r.ordered_on, r.delivered_on, r.delivered) for r in site.deliveries}
    for fault in [*faults, *amounts_against_store(new), *future_rows(new, today)]:
        said = as_message(fault.said)
        by_row.setdefault(fault.line or 0, []).append(of_column(fault.key, said) if fault.key else said)
    rows, seen = [], set(known)
    for i, (cells, own) in enumerate(read):
        line = i + 2
        wrong = own or by_row.get(line, [])
        if not wrong and line not in keys:
            wrong = [
                message("sheet.lost_row", "this row would be lost on the way; look at its quotation marks")
            ]
        rows.append(SheetRow(lines[i], cells, tuple(wrong), line in keys and keys[line] in seen))
        if line in keys:
            seen.add(keys[line])
    return rows

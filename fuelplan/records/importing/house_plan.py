"""How a spreadsheet of a house is read: which columns are ours, how dates and numbers are written."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Literal

from fuelplan.messages import Day, Message, Own, Refusal, message
from fuelplan.records.schema import HOUSE_FILES, CellKind
from fuelplan.records.site import HOUSE
from fuelplan.records.tables import Sheet, day_of_cell

Into = Literal["readings", "deliveries"]
Dates = Literal["", "year first", "day first", "month first"]
BOTH_USUAL = ("", "CA", "PH")  # day first and month first are both written there; common practice
COLUMNS: dict[Into, tuple[str, ...]] = {
    # "checked" is a person's own answer
    "readings": tuple(name for name in HOUSE.tables["readings"].columns if name != "checked"),
    "deliveries": HOUSE.tables["deliveries"].columns,
}


def _of_kind(kind: CellKind) -> frozenset[str]:
    return frozenset(c.name for columns in HOUSE_FILES.values() for c in columns if c.kind == kind)


DATE_COLUMNS, AMOUNT_COLUMNS, YES_COLUMNS = _of_kind("date"), _of_kind("amount"), _of_kind("yes")
NEEDED: dict[Into, tuple[str, ...]] = {
    "readings": ("date", "reading"),
    "deliveries": ("delivered_on", "delivered"),
}
UNITS = (
    "kg", "t", "%", "cm", "lb", "short_ton", "bags", "pallets", "litre", "stacked m3", "solid m3", "m3",
    "kWh",
)  # fmt: skip
"""Units that a bare number of a column may be in."""

_PARTS = re.compile(r"([0-9]{1,4})[./ -]\s?([0-9]{1,2})[./ -]\s?([0-9]{1,4})(?:[ T][0-9:.Z+]*)?")
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
    "stack": ("stack", "pile", "place", "stapel", "lagerplatz", "ort"),
    "wood": ("wood", "species", "kind of wood", "holzart"),
    "water": ("water", "moisture", "wassergehalt"),
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


def day_of(text: str, order: Dates) -> str:
    """Return a date of a sheet as the folder writes it; ValueError where it is none.

    Parameters
    ----------
    order
        Of the parts of a date: "year first", "day first" or "month first".
    """
    serial = day_of_cell(text)
    if serial is not None:
        return serial.isoformat()
    parts = _PARTS.fullmatch(text)
    if parts is None:
        raise Refusal.because("sheet.not_a_date", '"{written}" is not a valid date', written=short(text))
    a, b, c = (int(part) for part in parts.groups())
    if len(parts[1]) == 4:
        year, month, day = a, b, c
    elif order == "year first":
        raise Refusal.because(
            "sheet.year_not_first",
            '"{written}" does not have the year first, as the other dates do',
            written=short(text),
        )
    elif len(parts[3]) not in {2, 4}:
        raise Refusal.because(
            "sheet.no_year", '"{written}" has no year of two or four figures', written=short(text)
        )
    else:
        year, month, day = (c, b, a) if order == "day first" else (c, a, b)
        year += 2000 if len(parts[3]) == 2 else 0
    try:
        return date(year, month, day).isoformat()
    except ValueError:
        raise Refusal(_no_such_day(text, order)) from None


def _no_such_day(text: str, order: Dates) -> Message:
    written = short(text)
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


def short(text: str) -> Own:
    """Return what was written, cut to what a person recognises."""
    return Own(text[:40])

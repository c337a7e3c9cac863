"""Readings and deliveries from a spreadsheet: column by column, each row looked at before any is written."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path

from fuelplan import units
from fuelplan.messages import Message, Own, Refusal, Said, as_message, message, said_by
from fuelplan.records.folder import saving, text_of_rows
from fuelplan.records.importing.house_plan import (
    AMOUNT_COLUMNS,
    DATE_COLUMNS,
    NEEDED,
    YES_COLUMNS,
    Into,
    SheetPlan,
    dates_of,
    day_of,
    example_of_order,
    order_of_dates,
    short,
    two_ways,
)
from fuelplan.records.importing.writing import add_new_rows
from fuelplan.records.round import open_books
from fuelplan.records.site import (
    HOUSE,
    Site,
    amounts_against_store,
    check_folder,
    deliveries_of_text,
    future_rows,
    no_site_folder,
    readings_of_text,
    stack_doubts,
    today_of,
)
from fuelplan.records.tables import Fault, Sheet, SiteFaults, without_thousands
from fuelplan.units import STEERING

IN_COLUMN = "sheet.in_column"
"""Code of what is said of one cell of a row."""

_NUMBER = re.compile(r"[+-]?[0-9]+(?:\.[0-9]+)?")
_YES = {"yes", "y", "true", "x", "1", "ja", "oui", "si", "sì", "sí", "da", "ano", "tak", "kyllä"}
_NO = {"no", "n", "false", "0", "", "nein", "non", "ne", "nie", "nej", "ei"}

Key = tuple[object, ...]


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
        raise Refusal.because(
            "sheet.twice", "two columns are to be {column}; choose one of them",
            column=Own(sorted(twice)[0]),
        )  # fmt: skip
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
        "sheet.no_columns", "say which column holds {column} and which holds {other}", column=first,
        other=second[0],
    )  # fmt: skip


@saving(message("saving.your_rows", "your rows were not saved"))
def import_sheet(folder: Path, into: Into, rows: Sequence[SheetRow]) -> int:
    """Write the sound rows into the folder in one step, each at its date; return how many were not there yet.

    Parameters
    ----------
    rows
        As :func:`preview_sheet` gives them; those with faults, and those that are there already, stay out.

    Raises
    ------
    EditError
        Where the file cannot be changed; nothing is written then.
    """
    site, _ = check_folder(folder)
    if site is None:
        raise SiteFaults([no_site_folder(folder)])

    def keys(cells: Sequence[Mapping[str, str]]) -> list[Key | None]:
        read = _read(site, into, cells)
        return [read.keys.get(i + 2) for i in range(len(cells))]

    sound = [row.cells for row in rows if row.sound]
    return add_new_rows(open_books(folder), into, sound, keys)


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
        raise Refusal.because("sheet.not_yes_or_no", '"{written}" is neither yes nor no', written=short(text))
    return text


def of_column(column: str, said: Message) -> Message:
    """Return what is said of a cell with its column."""
    return message("sheet.in_column", "{column}: {said}", column=Own(column), said=said)


def _amount(text: str, plan: SheetPlan) -> str:
    text = without_thousands(text, plan.decimal)
    if plan.decimal == ",":
        text = re.sub(r"(?<=[0-9]),(?=[0-9])", ".", text)
    if not _NUMBER.fullmatch(text):
        return text
    if not plan.unit:
        raise Refusal.because(
            "sheet.no_unit", '"{written}" has no unit; choose the unit of such numbers above',
            written=short(text),
        )  # fmt: skip
    return f"{text} {plan.unit}" if plan.unit != "cm" else f"{text} cm from top"


@dataclass(frozen=True)
class _Read:
    """Rows as the folder would read them: a site of them alone, what names each by its line, and faults."""

    site: Site
    keys: dict[int, Key]
    faults: list[Fault]


def _read(site: Site, into: Into, rows: Sequence[Mapping[str, str]]) -> _Read:
    """Return rows as they would be read beside the site's others."""
    text, usual = text_of_rows(HOUSE.tables[into], rows), site.table.boiler.bulk.name
    with units.bought_in(site.table.place.country):
        if into == "readings":
            readings, faults = readings_of_text(f"{into}.csv", text, usual)
            new = replace(site, deliveries=(), readings=tuple(readings))
        else:
            found, faults = deliveries_of_text(f"{into}.csv", text, usual)
            new = replace(site, deliveries=tuple(found), readings=())
    return _Read(new, _keys(new), faults)


def _keys(site: Site) -> dict[int, Key]:
    """Return what tells each row from others, by its line."""
    readings: dict[int, Key] = {r.line: (r.fuel, r.day, r.reading, r.word, r.stack) for r in site.readings}
    return readings | {
        r.line: (r.fuel, r.ordered_on, r.delivered_on, r.delivered, r.stack, r.wood) for r in site.deliveries
    }


def _looked_at(
    site: Site,
    lines: Sequence[int],
    read: Sequence[tuple[dict[str, str], list[Message]]],
    into: Into,
    today: date,
) -> list[SheetRow]:
    """Return the rows with what the folder's own rules say of each."""
    by_row: dict[int, list[Message]] = {}
    new = _read(site, into, [cells for cells, _ in read])
    beside = replace(site, deliveries=()) if into == "readings" else replace(site, readings=())
    own_faults = [*amounts_against_store(new.site), *stack_doubts(new.site), *future_rows(new.site, today)]
    for fault in [*new.faults, *own_faults]:
        said = as_message(fault.said)
        by_row.setdefault(fault.line or 0, []).append(of_column(fault.key, said) if fault.key else said)
    rows, seen, keys = [], set(_keys(beside).values()), new.keys
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

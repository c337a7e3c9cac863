"""What a person did or saw, written into the folder: readings, orders, deliveries."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from datetime import date
from pathlib import Path

from fuelplan.heat import fuels
from fuelplan.messages import Day, Own, Refusal, message
from fuelplan.records.folder import saving, text_of_rows
from fuelplan.records.round import open_books
from fuelplan.records.schema import DELIVERIES_FILE, READINGS_FILE
from fuelplan.records.site import (
    HOUSE,
    DeliveryRow,
    amounts_against_store,
    check_folder,
    deliveries_of_text,
    future_rows,
    iso,
    no_site_folder,
    read_deliveries,
    readings_of_text,
    same_rows,
    stack_doubts,
    today_of,
    usual_fuel_at,
)
from fuelplan.records.tables import Fault, SiteFaults
from fuelplan.units import bought_in


@saving(message("saving.reading", "your reading was not saved"))
def record_reading(
    path: Path | str,
    day: date,
    reading: str,
    *,
    how: str = "",
    fuel: str = "",
    note: str = "",
    when: str = "",
    stack: str = "",
    water: str = "",
    today: date | None = None,
) -> None:
    """Add a reading to the folder.

    Parameters
    ----------
    reading
        As a person writes it: "2.4 t", "45 %", "110 cm from top", "empty", "full".
    path
        The folder of a house.
    day
        When the store was looked at.
    note
        Anything; it stays in the row.
    fuel
        Left out: that of the house's bulk store, or logs where a stack is named.
    how
        "measured", "by eye", "estimated", "boiler counter", "heat meter", or empty.
    when
        "before delivery", "after delivery", a time of day such as "07:30", or empty.
    stack
        Of logs: the stack that was counted, by its name; may be left out where there is only one.
    water
        Of logs: their water, measured that day in a freshly split face: "18 % wet"; left out: not measured.
    today
        The latest day that an entry may have; left out: today where the house stands, or the example's day
        where that is later.

    Raises
    ------
    SiteFaults
        Where the reading itself cannot be right; nothing is written.
    EditError
        Where the file cannot be changed; nothing is written.
    """
    cells = {
        "date": day.isoformat(),
        "reading": reading,
        "how": how,
        "fuel": fuel or _meant_fuel(path, stack),
        "note": note,
        "when": when,
        **_said(stack=stack, water=water),
    }
    _refuse_faulty(Path(path), READINGS_FILE, cells, today)
    open_books(path).append("readings", [cells])


@saving(message("saving.order", "your order was not saved"))
def record_order(
    path: Path | str,
    ordered_on: date,
    amount: str,
    *,
    due_from: date | None = None,
    due_to: date | None = None,
    fuel: str = "",
    note: str = "",
    today: date | None = None,
) -> None:
    """Remember an order that was placed; it stays "on order" until it is booked as delivered, failed or
    cancelled.

    Parameters
    ----------
    path, fuel, note, today
        As with :func:`record_reading`.
    amount
        As a person writes it: "3.5 t", "4000 kg", "6 cord".
    due_from, due_to
        First and last day on which it was promised; None where nothing was.

    Raises
    ------
    SiteFaults
        Where the order itself cannot be right; nothing is written.
    EditError
        Where the file cannot be changed; nothing is written.
    """
    cells = {
        "fuel": fuel or usual_fuel_at(path),
        "ordered_on": ordered_on.isoformat(),
        "due_from": iso(due_from),
        "due_to": iso(due_to),
        "ordered": amount,
        "note": note,
    }
    _refuse_faulty(Path(path), DELIVERIES_FILE, cells, today)
    open_books(path).append("deliveries", [cells])


@saving(message("saving.delivery", "your delivery was not saved"))
def record_delivery(
    path: Path | str,
    delivered_on: date,
    amount: str,
    *,
    ordered_on: date | None = None,
    weighed: bool = True,
    filled_full: bool = False,
    fuel: str = "",
    note: str = "",
    when: str = "",
    stack: str = "",
    wood: str = "",
    water: str = "",
    today: date | None = None,
) -> None:
    """Book a delivery that came: into the row of its order where `ordered_on` names one, else as a row of its
    own.

    Parameters
    ----------
    path, fuel, note, when, stack, today
        As with :func:`record_reading`; the stack is where the logs went.
    wood, water
        Of logs: kind of wood, left out where it is that of the stack, and "18 % wet" or "green".
    amount
        As the weigh note has it: "3480 kg".
    weighed
        Whether it was weighed by the tanker; else it is taken to be a little uncertain.
    filled_full
        Whether the store was full to the top afterwards: its level is then known without a reading.

    Raises
    ------
    SiteFaults
        Where the delivery itself cannot be right; nothing is written.
    EditError
        Where the file cannot be changed, or the row of the order has changed; nothing is written.
    Refusal
        Where there is no open order of that day.
    """
    folder = Path(path)
    cells = {
        "fuel": fuel or _meant_fuel(path, stack),
        "delivered_on": delivered_on.isoformat(),
        "delivered": amount,
        "weighed": "yes" if weighed else "no",
        "filled_full": "yes" if filled_full else "no",
        "outcome": "delivered",
        "when": when,
        **_said(stack=stack, wood=wood, water=water),
    }
    if ordered_on is None:
        cells["note"] = note
        _refuse_faulty(folder, DELIVERIES_FILE, cells, today)
        open_books(folder).append("deliveries", [cells])
        return
    row = _open_order(folder, cells["fuel"], ordered_on)
    if note:
        cells["note"] = note
    _refuse_faulty(folder, DELIVERIES_FILE, {"ordered_on": ordered_on.isoformat(), **cells}, today)
    open_books(folder).change("deliveries", row.line, _still_open(ordered_on), cells)


@saving(message("saving.came_of_your_order", "what came of your order was not saved"))
def record_outcome(
    path: Path | str, ordered_on: date, outcome: str, *, fuel: str = "", note: str = ""
) -> None:
    """Book that an order failed or was cancelled; it then no longer counts as on order.

    Parameters
    ----------
    path, fuel, note
        As with :func:`record_reading`.
    outcome
        "failed" (the supplier could not deliver) or "cancelled".

    Raises
    ------
    Refusal
        Where there is no open order of that day, or the outcome is another word; nothing is written.
    EditError
        Where the file cannot be changed; nothing is written.
    """
    if outcome not in {"failed", "cancelled"}:
        raise Refusal.because(
            "house.unknown_outcome", '"{outcome}" is not known; write "failed" or "cancelled"',
            outcome=Own(outcome),
        )  # fmt: skip
    row = _open_order(Path(path), fuel or usual_fuel_at(path), ordered_on)
    cells = {"outcome": outcome, **({"note": note} if note else {})}
    open_books(path).change("deliveries", row.line, _still_open(ordered_on), cells)


def _meant_fuel(path: Path | str, stack: str) -> str:
    return fuels.stacked().name if stack else usual_fuel_at(path)


def _said(**cells: str) -> dict[str, str]:
    """Return the cells that say something: columns of logs alone are added to no file without need."""
    return {column: text for column, text in cells.items() if text}


def _still_open(ordered_on: date) -> dict[str, str]:
    """Return what the row of an order must still read when it is changed: nobody has booked it since."""
    return {"ordered_on": ordered_on.isoformat(), "delivered_on": "", "delivered": "", "outcome": ""}


def _open_order(folder: Path, fuel: str, ordered_on: date) -> DeliveryRow:
    rows, _ = read_deliveries(open_books(folder))
    for row in rows:
        if (
            row.fuel == fuel
            and row.ordered_on == ordered_on
            and row.delivered_on is None
            and row.outcome == ""
        ):
            return row
    raise Refusal.because(
        "house.no_open_order", "there is no open order of {day} for {fuel} in deliveries.csv",
        day=Day(ordered_on, year=True), fuel=Own(fuel),
    )  # fmt: skip


def _refuse_faulty(folder: Path, file: str, cells: Mapping[str, str], today: date | None) -> None:
    """Raise the faults that the new row alone would bring, before anything is written."""
    site, _ = check_folder(folder)
    if site is None:
        raise SiteFaults([no_site_folder(folder)])
    table = HOUSE.tables[file.removesuffix(".csv")]
    with bought_in(site.table.place.country):
        if file == READINGS_FILE:
            rows, faults = readings_of_text(file, text_of_rows(table, [cells]), cells["fuel"])
            new = replace(site, deliveries=(), readings=tuple(rows))
            beside = replace(new, readings=(*site.readings, *rows))
        else:
            found, faults = deliveries_of_text(file, text_of_rows(table, [cells]), cells["fuel"])
            new = replace(site, deliveries=tuple(found), readings=())
            beside = replace(new, deliveries=(*site.deliveries, *found))
    faults = [
        *faults,
        *amounts_against_store(new),
        *stack_doubts(new),
        *future_rows(new, today or today_of(site)),
        *same_rows(beside)[-1:],
    ]
    if faults:
        raise SiteFaults([Fault(f.file, None, f.key, f.said) for f in faults])

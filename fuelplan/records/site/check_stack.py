"""Rows about what lies in a stack: it is counted in its own measures, and no meter sees it."""

from __future__ import annotations

from collections.abc import Iterator

from fuelplan.heat import fuels
from fuelplan.messages import Message, Own, message, said_by
from fuelplan.records.schema import DELIVERIES_FILE, READINGS_FILE
from fuelplan.records.site.folder import Site
from fuelplan.records.site.rows import ReadingRow
from fuelplan.records.site.to_domain import METERS
from fuelplan.records.tables import Fault
from fuelplan.units import Amount


def stack_faults(site: Site) -> list[Fault]:
    """Return the readings and deliveries of stacked fuel whose amount nobody could reckon with.

    They are faults in every house: a stack that is not burned today may be burned tomorrow.
    """
    found = []
    for reading in site.readings:
        burned = fuels.fuel(reading.fuel)
        said = _reading(burned, reading) if burned.is_stacked else None
        if said is not None:
            found.append(Fault(READINGS_FILE, reading.line, "reading", said))
    for row in site.deliveries:
        burned = fuels.fuel(row.fuel)
        amounts = (("ordered", row.ordered), ("delivered", row.delivered)) if burned.is_stacked else ()
        for column, amount in amounts:
            for said in _wrong_measure(burned, amount):
                found.append(Fault(DELIVERIES_FILE, row.line, column, said))
    return found


def _reading(burned: fuels.Fuel, row: ReadingRow) -> Message | None:
    """Return what is wrong with a reading of a stack."""
    if row.how in METERS:
        return message(
            "reading.stack_by_meter",
            "a {meter} sees no stack of {fuel}; count what lies there, and leave the column how empty",
            meter=Own(row.how),
            fuel=burned.word,
        )
    if row.word == "full":
        return message(
            "reading.stack_full",
            'a stack of {fuel} is never just "full"; write how much lies there, e.g. "{example}"',
            fuel=burned.word,
            example=Own(burned.example),
        )
    return next(_wrong_measure(burned, row.reading), None)


def _wrong_measure(burned: fuels.Fuel, amount: Amount | None) -> Iterator[Message]:
    """Yield what is wrong with the measure of an amount."""
    try:
        if amount is not None:
            burned.check_measure(amount)
    except ValueError as error:
        yield said_by(error)

"""Rows about what lies in a stack: which one it is, in its own measures; no meter sees it."""

from __future__ import annotations

from collections.abc import Iterator

from fuelplan.heat import fuels
from fuelplan.messages import Day, Message, Own, message, said_by
from fuelplan.records.schema import DELIVERIES_FILE, READINGS_FILE, SiteTable
from fuelplan.records.site.folder import Site
from fuelplan.records.site.rows import DeliveryRow, ReadingRow
from fuelplan.records.site.to_domain import METERS
from fuelplan.records.tables import Fault, in_quotes
from fuelplan.units import Amount


def stack_names(table: SiteTable) -> tuple[str, ...]:
    """Return the stacks of the settings by their names, each once."""
    return tuple(dict.fromkeys(row.name for row in table.log_pile))


def stack_of(table: SiteTable, row: ReadingRow | DeliveryRow) -> str | None:
    """Return the stack that a row is about: the one it names, or the only one; "" where the settings have
    none, None where they have several and the row names none of them.
    """
    names = stack_names(table)
    if not row.stack:
        return names[0] if len(names) == 1 else None if names else ""
    return next((name for name in names if _same(name, row.stack)), None)


def _same(name: str, written: str) -> bool:
    return " ".join(name.split()).casefold() == " ".join(written.split()).casefold()


def stack_faults(site: Site) -> list[Fault]:
    """Return the readings and deliveries of stacked fuel that nobody could reckon with, and rows of other
    fuel that name a stack.

    They are faults in every house: a stack that is not burned today may be burned tomorrow.
    """
    found = []
    for reading in site.readings:
        burned = fuels.fuel(reading.fuel)
        said = _reading(burned, reading) if burned.is_stacked else None
        if said is not None:
            found.append(Fault(READINGS_FILE, reading.line, "reading", said))
        found += _of_stack(site, READINGS_FILE, reading, burned)
    for row in site.deliveries:
        burned = fuels.fuel(row.fuel)
        found += _of_stack(site, DELIVERIES_FILE, row, burned)
        amounts = (("ordered", row.ordered), ("delivered", row.delivered)) if burned.is_stacked else ()
        for column, amount in amounts:
            for said in _wrong_measure(burned, amount):
                found.append(Fault(DELIVERIES_FILE, row.line, column, said))
    return found


def stack_doubts(site: Site) -> list[Fault]:
    """Return, as warnings, the rows that leave open which stack they are about, or how wet the wood was."""
    found, names = list[Fault](), stack_names(site.table)
    for reading in site.readings:
        if _is_open(site.table, reading) and reading.checked != "wrong":
            said = message(
                "reading.which_stack",
                "which stack was counted on {day}? Until you say it, the count does not count; write {names} "
                "in the column stack",
                day=Day(reading.day, year=True),
                names=in_quotes(names),
            )
            found.append(Fault(READINGS_FILE, reading.line, "stack", said, warning=True))
    for row in site.deliveries:
        if row.delivered_on is None or not fuels.fuel(row.fuel).is_stacked:
            continue
        day = Day(row.delivered_on, year=True)
        if _is_open(site.table, row):
            said = message(
                "delivery.which_stack",
                "which stack did the logs of {day} go to? Until you say it, they count as a stack of their "
                "own; write {names} in the column stack",
                day=day,
                names=in_quotes(names),
            )
            found.append(Fault(DELIVERIES_FILE, row.line, "stack", said, warning=True))
        if row.water is None:
            said = message(
                "delivery.how_wet",
                "how wet were the logs of {day} when they came? Until you say it, they are counted as green; "
                'write e.g. "18 % wet", or "green", in the column water',
                day=day,
            )
            found.append(Fault(DELIVERIES_FILE, row.line, "water", said, warning=True))
    return found


def _is_open(table: SiteTable, row: ReadingRow | DeliveryRow) -> bool:
    return fuels.fuel(row.fuel).is_stacked and not row.stack and stack_of(table, row) is None


def _of_stack(
    site: Site, file: str, row: ReadingRow | DeliveryRow, burned: fuels.Fuel
) -> Iterator[Fault]:
    """Yield what is wrong with the stack, and the wood, that a row names."""
    if not burned.is_stacked:
        for column in ("stack", "wood", "water"):
            if getattr(row, column, None):
                said = message(
                    "row.only_logs_in_stacks",
                    "only logs lie in stacks and have a wood and a water of their own; leave {column} empty, "
                    "or write logs under fuel",
                    column=Own(column),
                )
                yield Fault(file, row.line, column, said)
    elif row.stack and stack_of(site.table, row) is None:
        names = stack_names(site.table)
        written = Own(row.stack)
        said = (
            message(
                "row.unknown_stack",
                '"{written}" is not the name of a stack; write {names}, or add a [[log_pile]] of that name',
                written=written,
                names=in_quotes(names),
            )
            if names
            else message(
                "row.no_stacks",
                'the settings have no stacks, so "{written}" is not known; add a [[log_pile]] of that name',
                written=written,
            )
        )
        yield Fault(file, row.line, "stack", said)


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

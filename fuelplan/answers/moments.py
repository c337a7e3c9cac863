"""When on its day a level reading was taken: before or after the tanker, as said, as it must be, or unknown.

A level says nothing until it is known which deliveries it holds. "Empty" is what a store is before the
tanker comes. Otherwise the amounts decide where they can: a level below what came cannot be one after it, a
level that leaves no room for what came cannot be one before it. What is left can only be asked.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from fuelplan.learning import Delivery, Moment, Observation
from fuelplan.messages import Day, Message, Quantity, message
from fuelplan.records.schema import AFTER, BEFORE
from fuelplan.records.site import DeliveryRow, ReadingRow

CERTAIN_SD = 2.0  # standard deviations beyond which an amount rules an order of things out (our choice)


@dataclass(frozen=True)
class Taken:
    """Readings and deliveries in the order of each day.

    Attributes
    ----------
    observations, deliveries
        As the rooms need them.
    open_lines
        Lines of the readings of which nobody can say whether they hold the delivery of their day.
    said
        A sentence for each reading whose order followed from the amounts.
    """

    observations: tuple[Observation, ...]
    deliveries: tuple[Delivery, ...]
    open_lines: tuple[int, ...]
    said: tuple[Message, ...]


def in_order_of_day(
    rows: Sequence[ReadingRow],
    observations: Sequence[Observation],
    came: Sequence[DeliveryRow],
    deliveries: Sequence[Delivery],
    capacity_kg: float,
) -> Taken:
    """Return readings and deliveries of pellets with their order within each day.

    Parameters
    ----------
    rows, observations
        Readings as written and as amounts, one for one.
    came, deliveries
        Deliveries as written and as amounts, one for one.
    capacity_kg
        Of the store. [kg]
    """
    seen: list[Observation] = []
    late: set[int] = set()
    open_lines: list[int] = []
    said: list[Message] = []
    for row, observation in zip(rows, observations, strict=True):
        of_day = [(r, d) for r, d in zip(came, deliveries, strict=True) if d.day == observation.day]
        if not of_day or not observation.is_level:
            seen.append(observation)
            continue
        moment = _moment_said(row, of_day, late)
        if moment is None and row.word != "empty":
            moment = _moment_by_amount(observation, [d for _, d in of_day], capacity_kg)
            if moment is None:
                open_lines.append(row.line)
            elif moment == "before_delivery":
                said.append(_by_amount(observation, [d for _, d in of_day]))
        seen.append(observation if moment is None else replace(observation, moment=moment))
    by_clock = sorted(zip(rows, seen, strict=True), key=lambda pair: (pair[1].day, _clock(pair[0])))
    return Taken(
        tuple(o for _, o in by_clock),
        tuple(replace(d, late=True) if d.line in late else d for d in deliveries),
        tuple(open_lines),
        tuple(said),
    )


def _clock(row: ReadingRow) -> str:
    """Return what readings of one day are sorted by; those without a time keep their place."""
    return row.when if ":" in row.when else ""


def _moment_said(
    row: ReadingRow, of_day: Sequence[tuple[DeliveryRow, Delivery]], late: set[int]
) -> Moment | None:
    """Return the moment that somebody said; deliveries after a reading between two are put into `late`."""
    if row.when == BEFORE:
        return "before_delivery"
    if row.when == AFTER:
        return "after_delivery"
    if not row.when or any(not r.when for r, _ in of_day):
        return None
    later = [d.line for r, d in of_day if r.when > row.when]
    if len(later) == len(of_day):
        return "before_delivery"
    late.update(later)
    return "after_delivery"


def _moment_by_amount(
    observation: Observation, of_day: Sequence[Delivery], capacity_kg: float
) -> Moment | None:
    """Return the only moment that the amounts leave, None where they leave both."""
    came_kg = sum(d.kg or 0.0 for d in of_day)
    sd_kg = math.sqrt(observation.sd_kg**2 + sum(d.sd_kg**2 for d in of_day))
    least_kg = capacity_kg if any(d.filled_full for d in of_day) else came_kg
    after = observation.kg + CERTAIN_SD * sd_kg >= least_kg
    before = observation.kg + came_kg <= capacity_kg + CERTAIN_SD * sd_kg
    if after == before:
        return None
    return "after_delivery" if after else "before_delivery"


def _by_amount(observation: Observation, of_day: Sequence[Delivery]) -> Message:
    came_kg = sum(d.kg or 0.0 for d in of_day)
    return message(
        "reading.before_tanker_by_amount",
        "The reading of {day} is taken as before the tanker of that day: {came} came, and {read} cannot be "
        "the level after it.",
        day=Day(observation.day),
        came=Quantity(came_kg, "mass"),
        read=Quantity(observation.kg, "mass"),
    )

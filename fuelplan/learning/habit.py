"""What is said of how a house has its store filled."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from fuelplan.learning.evidence import Record
from fuelplan.learning.filling import HABITS, Filling
from fuelplan.messages import Message, Range, message

FEWEST = 3
"""Deliveries from which a habit is spoken of."""

SURE = 0.75
"""Chance from which a habit is said to be that of the house; below, that it is not known yet."""


@dataclass(frozen=True)
class FoundFilling:
    """How a house has its store filled, by deliveries that nobody marked as filling it.

    Attributes
    ----------
    habit
        "top", "fixed", "part", "mixed", or "unknown".
    chance
        How sure that is; that of the likeliest where it is unknown.
    deliveries, filled
        How many there were, and how many of them probably filled the store.
    sentence
        The same in words, with what speaks for it.
    """

    habit: str
    chance: float
    deliveries: int
    filled: int
    sentence: Message


def filling_of(record: Record, filling: Filling) -> FoundFilling | None:
    """Return how one house has its store filled; None where too few deliveries tell.

    Parameters
    ----------
    record
        Of the house.
    filling
        What was found of it, one row.
    """
    rooms = [i for i, o in enumerate(record.observations) if o.kind == "room"]
    if len(rooms) < FEWEST or record.capacity_kg is None:
        return None
    best = int(np.argmax(filling.chance[0]))
    chance = float(filling.chance[0, best])
    habit = HABITS[best] if chance >= SURE else "unknown"
    filled = int((filling.part[0, rooms] < 0.5).sum())
    amounts = [record.capacity_kg - record.observations[i].kg for i in rooms]
    came = Range(min(amounts), max(amounts), "mass")
    return FoundFilling(habit, chance, len(rooms), filled, _said(habit, len(rooms), filled, came))


def _said(habit: str, deliveries: int, filled: int, came: Range) -> Message:
    if habit == "top":
        return message(
            "filling.top",
            "Your deliveries seem to fill the store: {came} came at a time, about as much as had been "
            "burned since "
            "the delivery before. Judged by {deliveries} deliveries not marked as filling it.",
            came=came,
            deliveries=deliveries,
        )
    if habit == "fixed":
        return message(
            "filling.fixed",
            "You seem to order a fixed amount: {came} came at a time in {deliveries} deliveries. So a "
            "delivery "
            "does not say how full the store is.",
            came=came,
            deliveries=deliveries,
        )
    if habit == "part":
        return message(
            "filling.part",
            "Your deliveries seem to leave part of the store empty: the {deliveries} deliveries ({came} "
            "each) do "
            "not follow what had been burned since the one before.",
            came=came,
            deliveries=deliveries,
        )
    if habit == "mixed":
        return message(
            "filling.mixed",
            "Some of your deliveries seem to fill the store and others not: probably {filled} of "
            "{deliveries} did.",
            filled=filled,
            deliveries=deliveries,
        )
    return message(
        "filling.unknown",
        "It is not clear whether your deliveries fill the store: probably {filled} of {deliveries} did. "
        "Mark a "
        "delivery that does as “filled full”; then the level is known better.",
        filled=filled,
        deliveries=deliveries,
    )

"""A supplier's books while winters are played again: drops, levels and orders as they come in."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

import numpy as np
from numpy.typing import NDArray

from fuelplan.learning import PERCENT_SD

Floats = NDArray[np.float64]

SCALE_SD = 0.015
"""Error of a level that is weighed, as a share (our assumption; cells are weighed better than seen)."""

WEIGHED_IN_KG = 10.0
"""Step in which a tanker's scale weighs a drop. [kg]"""


@dataclass(frozen=True)
class NotedDrop:
    """A delivery as the supplier writes it down: number of the customer and of the class of fuel. [kg]"""

    customer: int
    day: date
    kg: float
    grade: int
    filled_full: bool


@dataclass(frozen=True)
class NotedLevel:
    """A level that a customer told on an evening. [kg]"""

    customer: int
    day: date
    kg: float
    by_eye: bool


@dataclass(frozen=True)
class PlayedOrder:
    """An order that has not come yet: its number, the amount [kg] and the last day promised."""

    number: int
    kg: float
    last: date
    already_empty: bool


class PlayedBooks:
    """What the supplier has written down so far.

    Attributes
    ----------
    drops, levels
        In the order in which they came.
    orders
        The open order of each customer, by the customer's number.
    """

    def __init__(self, store_kg: Floats) -> None:
        """Begin with empty books.

        Parameters
        ----------
        store_kg
            Shape (N,), what each store holds. [kg]
        """
        self.store_kg = store_kg
        self.drops: list[NotedDrop] = []
        self.levels: list[NotedLevel] = []
        self.orders: dict[int, PlayedOrder] = {}
        self._numbers = 0

    def note_seen(self, customer: int, day: date, level_kg: float, deviate: float, by_eye: bool) -> None:
        """Write down a level as it is seen or weighed, with its error.

        Parameters
        ----------
        level_kg
            What really lies there. [kg]
        deviate
            A normal deviate: how far off, in standard deviations.
        """
        store = float(self.store_kg[customer])
        if by_eye:
            share = 0.05 * round(20 * (level_kg / store + PERCENT_SD * deviate))
            kg = store * min(1.0, max(0.0, share))
        else:
            kg = max(0.0, round(level_kg * (1 + SCALE_SD * deviate), -1))
        self.levels.append(NotedLevel(customer, day, kg, by_eye))

    def order(self, customer: int, kg: float, last: date, empty: bool = False) -> None:
        """Write down an order for as soon as possible, until `last`; it takes the place of one still open."""
        self._numbers += 1
        self.orders[customer] = PlayedOrder(self._numbers, kg, last, empty)

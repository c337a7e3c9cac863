"""What the depots have: counted stock, what is expected, and what tankers load of it day by day."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date

import numpy as np
from numpy.typing import NDArray

UNCOUNTED_KG = 1e15
"""What stands for the stock of a depot that is not counted, where a number is needed."""


@dataclass(frozen=True)
class Incoming:
    """Fuel that a depot expects. [kg]"""

    day: date
    grade: str
    kg: float


@dataclass(frozen=True)
class DepotStock:
    """One depot: what it had of each class on the evening of `as_of`, and what it expects.

    Attributes
    ----------
    kg
        By class; None where the stock is not counted. [kg]
    """

    as_of: date
    kg: Mapping[str, float] | None
    arriving: tuple[Incoming, ...] = ()

    def by(self, grade: str, day: date) -> float:
        """Return what there will have been of a class up to and with a day; inf where not counted. [kg]"""
        if self.kg is None:
            return np.inf
        return self.kg.get(grade, 0.0) + sum(
            a.kg for a in self.arriving if a.grade == grade and self.as_of < a.day <= day
        )


@dataclass(frozen=True)
class Load:
    """What is loaded at a depot for one stop. [kg]"""

    day: date
    depot: int
    grade: str
    kg: float


def stock_left(
    stocks: Sequence[DepotStock], loads: Sequence[Load], depot: int, grade: str, day: date
) -> float:
    """Return what a depot has left of a class after a day; inf where it is not counted. [kg]"""
    gone = sum(x.kg for x in loads if x.depot == depot and x.grade == grade and x.day <= day)
    return stocks[depot].by(grade, day) - gone


def supply_kg(
    stocks: Sequence[DepotStock], loads: Sequence[Load], grades: Sequence[str], days: Sequence[date]
) -> NDArray[np.float64]:
    """Return what each depot can have loaded of each class up to and with each day beside `loads`.

    All loads count from the first day on, whenever they are: what is promised is not given away before.

    Returns
    -------
    NDArray
        Shape (depots, classes, T), `UNCOUNTED_KG` where a depot is not counted. [kg]
    """
    supply = np.full((len(stocks), len(grades), len(days)), UNCOUNTED_KG)
    for d, stock in enumerate(stocks):
        if stock.kg is None:
            continue
        for g, grade in enumerate(grades):
            gone = sum(x.kg for x in loads if x.depot == d and x.grade == grade)
            for t, day in enumerate(days):
                supply[d, g, t] = max(0.0, stock.by(grade, day) - gone)
    return supply

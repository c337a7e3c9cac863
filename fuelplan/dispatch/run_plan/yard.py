"""Tankers, customers and roads as a day's routing takes them."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from fuelplan.dispatch.driver_hours import Rules
from fuelplan.dispatch.roads import Roads, slow
from fuelplan.dispatch.routing import Stop, Tanker

Floats = NDArray[np.float64]

DROP_PRIZE = 2_000.0
"""What it is worth in a day's routes to keep a stop that the week has put there. [money]"""


@dataclass(frozen=True)
class Yard:
    """A supplier's tankers and customers, N of them; a customer's number is its place in the tables of roads.

    Attributes
    ----------
    tankers
        As they drive on a day on which they are out.
    rules
        What their drivers must keep to.
    grades
        The classes of fuel by their numbers.
    laying_h
        Shape (N, tankers): how long a stop takes besides blowing. [h]
    blow_kg_h
        Shape (tankers,). [kg/h]
    takes_h
        Shape (N, 2): the hours between which a customer takes fuel, 0 and 24 for any. [hours of the clock]
    roads
        Distances and driving times; the customers come first, then the depots.
    """

    tankers: tuple[Tanker, ...]
    rules: Rules
    grades: tuple[str, ...]
    laying_h: Floats
    blow_kg_h: Floats
    takes_h: Floats
    roads: Roads

    def roads_when(self, factor: float) -> Roads:
        """Return the tables of a day on which driving takes `factor` times as long."""
        return self.roads if factor == 1.0 else slow(self.roads, factor)

    def tankers_out(self, most_trips: list[int]) -> list[Tanker]:
        """Return the tankers of a day with so many trips each, 0 for one that stays at home."""
        return [replace(k, max_trips=most) for k, most in zip(self.tankers, most_trips, strict=True)]

    def stop(
        self, customer: int, grade: str, kg: float, allowed: frozenset[int] | None, required: bool
    ) -> Stop:
        """Return a drop for one day's routing; each tanker works there for as long as it takes. [kg]"""
        first, last = (float(hour) for hour in self.takes_h[customer])
        work = tuple(
            60 * (float(laying) + kg / float(rate))
            for laying, rate in zip(self.laying_h[customer], self.blow_kg_h, strict=True)
        )
        return Stop(
            place=customer, kg=max(1, round(kg)), work_min=min(work),
            windows=((first, last),) if first > 0 or last < 24 else (), grade=grade,
            tankers_allowed=allowed, required=required, prize=DROP_PRIZE, work_min_by=work,
        )  # fmt: skip

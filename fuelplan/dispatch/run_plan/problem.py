"""The planning problem in plain arrays: customers with levels, days with routes, and what everything
costs."""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]

NEVER = 1e15
"""A cost that no plan pays."""


class ProblemError(ValueError):
    """The arrays of a problem do not fit together."""


class Problem(NamedTuple):
    """Levels, days, routes and costs of n customers, T days, S routes a day, D depots, G classes.

    Levels are whole steps of each customer's own size. Level 0 is the lowest the customer's table of costs
    knows, `top` the highest. A day goes: delivery, use, then the cost of the level reached is charged.
    Route `r = day * S + slot`. Places are the customers 0 … n−1, then the depots. A tuple, for compiled code
    takes no dataclasses.

    Attributes
    ----------
    step_kg
        Shape (n,), size of one step. [kg]
    start, top
        Shape (n,), level before the first day and the highest level. [steps]
    use
        Shape (n, T), taken at the end of each day; below 0 where more comes by itself, which must find room
        below `top`. [steps]
    fit
        Shape (n, T), highest level that a delivery may lift to. [steps]
    least
        Shape (n,), smallest drop. [steps]
    level_cost, level_at
        Cost of ending day t at level x is ``level_cost[level_at[i] + t * (top[i] + 1) + x]``; `NEVER` where
        it
        may not be. Shapes (Σ T·(top+1),) and (n,).
    give_cost
        Shape (n, T), cost of delivering one step on a day, beside the driving.
    may
        Shape (n, T·S), whether a route may serve the customer.
    stop_cost
        Shape (n, T·S), cost of a stop beside the driving (set-up, a change of what was told, …).
    must
        Shape (n, T), whether the day has to serve the customer.
    grade
        Shape (n,), class of fuel of each customer.
    stop_h, kg_h
        Shape (n, tankers), hours of a stop, and hours for each kg blown; (n,) where all tankers are alike.
        [h, h/kg]
    drive_cost, drive_h
        Shapes (types, n + D, n + D) and (n + D, n + D), 0 from a place to itself. [money, h]
    slow
        Shape (T,), what the hours of driving are multiplied with on a day (snow).
    slot_type, slot_depot, slot_tanker
        Shape (S,): row of `drive_cost`, depot number, tanker number of each slot of a day.
    slot_cost, slot_h
        Shape (S,), cost and hours of a trip that is driven at all (loading). [money, h]
    chambers_kg
        Shape (S, ways, G): how much of each class fits, one row for each way to fill the chambers. [kg]
    day_h
        Shape (tankers, T), hours a tanker may work. [h]
    supply_kg
        Shape (D, G, T), what a depot can have loaded up to and with each day. [kg]
    """

    step_kg: Floats
    start: Ints
    top: Ints
    use: Ints
    fit: Ints
    least: Ints
    level_cost: Floats
    level_at: Ints
    give_cost: Floats
    may: Bools
    stop_cost: Floats
    must: Bools
    grade: Ints
    stop_h: Floats
    kg_h: Floats
    drive_cost: Floats
    drive_h: Floats
    slow: Floats
    slot_type: Ints
    slot_depot: Ints
    slot_tanker: Ints
    slot_cost: Floats
    slot_h: Floats
    chambers_kg: Floats
    day_h: Floats
    supply_kg: Floats

    def checked(self) -> Problem:
        """Return the problem as the compiled search takes it: hours of every tanker, arrays without gaps.

        Raises
        ------
        ProblemError
            Where the arrays do not fit together.
        """
        n, days = self.use.shape
        slots = self.slot_type.size
        places = n + self.supply_kg.shape[0]
        shapes = {
            "fit": (n, days),
            "give_cost": (n, days),
            "may": (n, days * slots),
            "stop_cost": (n, days * slots),
            "must": (n, days),
            "drive_h": (places, places),
            "day_h": (int(self.slot_tanker.max()) + 1 if slots else 0, days),
            "slow": (days,),
            "level_cost": (int(((self.top + 1) * days).sum()),),
        }
        for name, shape in shapes.items():
            if getattr(self, name).shape != shape:
                raise ProblemError(f"{name} must have the shape {shape}, not {getattr(self, name).shape}.")
        if (self.start > self.top).any() or (self.start < 0).any() or (self.least < 1).any():
            raise ProblemError("start must lie between 0 and top, and least must be one step or more.")
        tankers = self.day_h.shape[0]
        arrays = self._asdict()
        for name in ("stop_h", "kg_h"):
            if arrays[name].ndim == 1:
                arrays[name] = np.repeat(arrays[name][:, None], tankers, axis=1)
        return Problem(**{name: np.ascontiguousarray(array) for name, array in arrays.items()})

    @property
    def days(self) -> int:
        """Number of days."""
        return int(self.use.shape[1])

    @property
    def slots(self) -> int:
        """Routes a day."""
        return int(self.slot_type.size)

    @property
    def customers(self) -> int:
        """Number of customers."""
        return int(self.use.shape[0])


@dataclass(frozen=True)
class Visit:
    """One stop of a plan. [kg]"""

    customer: int
    kg: float


@dataclass(frozen=True)
class Solution:
    """Routes of a plan and what they cost.

    Attributes
    ----------
    routes
        For each of the T·S routes the stops in order.
    cost
        Everything the problem charges.
    broken
        What the plan overloads [kg], overruns [h] or takes from an empty depot [kg·days], and how many
        customers no
        visits can keep within bounds: 0 for a plan that can be driven.
    moves
        Moves tried.
    """

    routes: tuple[tuple[Visit, ...], ...]
    cost: float
    broken: float
    moves: int

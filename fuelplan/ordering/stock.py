"""The level in the store, day by day, for every possible winter.

On every day of every draw: level = level before + accepted − burned, and demand = burned + unmet. A delivery
comes
during the day, before that day's burning; what does not fit is not accepted.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

NEVER = np.iinfo(np.int32).max  # a day index that no horizon reaches


@dataclass(frozen=True)
class Arrival:
    """One delivery in every draw.

    Attributes
    ----------
    day
        Shape (draws,): day index of the delivery; :data:`NEVER` where it does not come.
    kg
        Shape (draws,): what the tanker brings. [kg]
    """

    day: Ints
    kg: Floats


@dataclass(frozen=True)
class StockPaths:
    """Stock of one fuel in every draw; all shapes (draws, days), values at the end of each day. [kg]"""

    level_kg: Floats
    burned_kg: Floats
    unmet_kg: Floats
    accepted_kg: Floats


@dataclass(frozen=True)
class DrawnStock:
    """What is in store and what is asked for, in every draw.

    Attributes
    ----------
    level_kg
        Shape (draws,): content on the evening of the day asked. [kg]
    demand_kg
        Shape (draws, days), from the day after on. [kg]
    fuller_by_kg
        How much more the store may hold than `level_kg` says, while a question is open. [kg]
    """

    level_kg: Floats
    demand_kg: Floats
    fuller_by_kg: float = field(default=0.0, kw_only=True)

    @property
    def count(self) -> int:
        """Number of draws."""
        return len(self.level_kg)

    def at_fullest(self, paths: StockPaths) -> Floats:
        """Return the levels of some paths, shape (draws, days), with as much in store as there may be. [kg]

        What an empty store could not give is burned from it first.
        """
        if self.fuller_by_kg <= 0:
            return paths.level_kg
        left = np.maximum(0.0, self.fuller_by_kg - np.cumsum(paths.unmet_kg, axis=1))
        return np.asarray(paths.level_kg + left)


def simulate(
    start_kg: Floats,
    demand_kg: Floats,
    arrivals: Sequence[Arrival] = (),
    *,
    capacity_kg: float = np.inf,
    residue_kg: float = 0.0,
) -> StockPaths:
    """Play the stock through every draw.

    Parameters
    ----------
    start_kg
        Shape (draws,): content on the evening before day 0, residue included. [kg]
    demand_kg
        Shape (draws, days): fuel the house asks for. [kg]
    arrivals
        Deliveries; several on one day are taken in the order given.
    capacity_kg
        What the store holds at most. [kg]
    residue_kg
        What cannot be conveyed out and so is never burned. [kg]

    Raises
    ------
    ValueError
        On negative or unknown demand or start, or shapes that do not match.
    """
    start_kg, demand_kg = _checked(start_kg, demand_kg)
    draws, days = demand_kg.shape
    demand = np.ascontiguousarray(demand_kg.T)  # day by day is then one run of memory
    level_out, burned_out, accepted_out = (
        np.empty((days, draws)),
        np.empty((days, draws)),
        np.zeros((days, draws)),
    )
    arriving = _by_day(arrivals, days)
    level = start_kg.copy()
    for t in range(days):
        for which, kg in arriving.get(t, ()):
            accepted = np.minimum(kg, np.maximum(0.0, capacity_kg - level[which]))
            level[which] += accepted
            accepted_out[t, which] += accepted
        burned = np.minimum(demand[t], np.maximum(0.0, level - residue_kg))
        level = level - burned
        level_out[t], burned_out[t] = level, burned
    return StockPaths(level_out.T, burned_out.T, (demand - burned_out).T, accepted_out.T)


def _checked(start_kg: Floats, demand_kg: Floats) -> tuple[Floats, Floats]:
    """Return float arrays of fitting shapes, or say what is wrong."""
    start_kg, demand_kg = np.asarray(start_kg, float), np.asarray(demand_kg, float)
    if demand_kg.ndim != 2 or start_kg.shape != demand_kg.shape[:1]:
        raise ValueError(
            f"start_kg {start_kg.shape} and demand_kg {demand_kg.shape} must be (draws,) and (draws, days)"
        )
    if not (np.all(np.isfinite(demand_kg)) and np.all(demand_kg >= 0)):
        raise ValueError("demand_kg holds negative or unknown values; fill the gaps in the weather first")
    if not (np.all(np.isfinite(start_kg)) and np.all(start_kg >= 0)):
        raise ValueError("start_kg holds negative or unknown values")
    return start_kg, demand_kg


def _by_day(arrivals: Sequence[Arrival], days: int) -> dict[int, list[tuple[Ints, Floats]]]:
    """Return, for each day on which something arrives, the draws and the kilograms."""
    found: dict[int, list[tuple[Ints, Floats]]] = {}
    for arrival in arrivals:
        if np.any(arrival.kg < 0):
            raise ValueError("a delivery cannot be negative")
        if np.any(arrival.day < 0):
            raise ValueError("a delivery before day 0 belongs in the starting level")
        for day in np.unique(arrival.day[arrival.day < days]):
            which = np.flatnonzero(arrival.day == day)
            found.setdefault(int(day), []).append((which, arrival.kg[which]))
    return found


def first_day_below(level_kg: Floats, limit_kg: float) -> Ints:
    """Return, for each draw, the first day whose level is below `limit_kg`; :data:`NEVER` where there is
    none.

    Parameters
    ----------
    level_kg
        Shape (draws, days). [kg]
    """
    below = level_kg < limit_kg
    return np.where(below.any(axis=1), below.argmax(axis=1), NEVER).astype(np.int64)


def with_delivery_pause(demand_kg: Floats, day: Ints, share_of_day: float) -> Floats:
    """Return the demand when the boiler stands still before and during filling.

    The boiler is off for `share_of_day` of the delivery day; the heat missed is made up on the day after, so
    that no
    fuel need is lost from the books.

    Parameters
    ----------
    demand_kg
        Shape (draws, days). [kg]
    day
        Shape (draws,): day index of the delivery.
    """
    if not 0 <= share_of_day < 1:
        raise ValueError(f"share_of_day must lie in [0, 1), not {share_of_day}")
    if np.any(day < 0):
        raise ValueError("a delivery before day 0 has no pause to count")
    demand = demand_kg.copy()
    days = demand.shape[1]
    rows = np.flatnonzero(day < days - 1)
    moved = demand[rows, day[rows]] * share_of_day
    demand[rows, day[rows]] -= moved
    demand[rows, day[rows] + 1] += moved
    return demand

"""Periods away, the boiler off, and night set-back: how many degree-days are left to heat for.

One house of one thermal mass: left alone it drifts towards the temperature at which gains cover losses,
with its time constant; coming back, it is heated up again within a day. Everything is told in degree-days,
so that it serves a heat need and a signature learned from readings alike.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

import numpy as np
from numpy.typing import ArrayLike, NDArray

from fuelplan.heat.building.need import BuildingError
from fuelplan.messages import Day, Own, message

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Absence:
    """Days `first` to `last`, both included, with less heat.

    Attributes
    ----------
    boiler_off
        No heat at all: away with the boiler off, or the boiler out of order.
    set_back_k
        Kelvin below the usual indoor temperature that are kept; not used with `boiler_off`. [K]
    hot_water
        Whether hot water is used on these days.
    gains_lost_k
        Missing gains of people and appliances as kelvin of base temperature (gains / loss). [K]
    """

    first: date
    last: date
    boiler_off: bool = False
    set_back_k: float = 0.0
    hot_water: bool = False
    gains_lost_k: float = 0.0

    def __post_init__(self) -> None:
        """Refuse an absence that ends before it begins, or warms the house."""
        if self.last < self.first:
            raise BuildingError(
                message(
                    "absence.backwards",
                    "an absence from {first} ends before that, on {last}; swap the dates",
                    first=Day(self.first, year=True),
                    last=Day(self.last, year=True),
                )
            )
        if not (self.set_back_k >= 0 and self.gains_lost_k >= 0):
            raise BuildingError(
                message(
                    "absence.set_back",
                    "a set-back and lost gains are kelvin below the usual: write zero or more, e.g. 4 K",
                )
            )


@dataclass(frozen=True)
class DayPlan:
    """What is kept on each day, shape (days,): kelvin below usual, hot-water factor, lost gains.

    Kelvin below usual are inf where the boiler is off.
    """

    allowed_k: Floats
    hot_water_factor: Floats
    gains_lost_k: Floats

    @property
    def changed(self) -> NDArray[np.bool_]:
        """Shape (days,): days that are not as usual."""
        return (self.allowed_k > 0) | (self.hot_water_factor < 1) | (self.gains_lost_k > 0)


def day_plan(dates: NDArray[np.datetime64], absences: Sequence[Absence]) -> DayPlan:
    """Lay absences over dates (days,); where they overlap, the lower temperature and no hot water win.

    Parameters
    ----------
    dates
        Shape (days,).
    absences
        In any order.

    Returns
    -------
    DayPlan
        Three entries a day, shape (days,): kelvin the house may cool and gains lost, share of hot water.
        [K, K, 0..1]
    """
    allowed = np.zeros(len(dates))
    water = np.ones(len(dates))
    gains = np.zeros(len(dates))
    for a in absences:
        inside = (dates >= np.datetime64(a.first, "D")) & (dates <= np.datetime64(a.last, "D"))
        allowed[inside] = np.maximum(allowed[inside], np.inf if a.boiler_off else a.set_back_k)
        gains[inside] = np.maximum(gains[inside], a.gains_lost_k)
        if a.boiler_off or not a.hot_water:
            water[inside] = 0.0
    return DayPlan(allowed, water, gains)


def degree_days_left(
    mean_c: ArrayLike,
    base_c: ArrayLike,
    plan: DayPlan,
    *,
    time_constant_h: float = 80.0,
    night_k: ArrayLike = 0.0,
) -> Floats:
    """Return the degree-days to heat for on each day, with absences and the heating-up after them.

    With x = kelvin below the usual, d = base - mean and e = exp(-24 h / time constant), the free house
    ends the day at x' = max(0, d + (x - d) e). Where x' exceeds what the day allows, constant heat brings
    it there: (x' - allowed) / (1 - e).

    Parameters
    ----------
    mean_c
        Daily means, shape (..., days). [degC]
    base_c
        Base temperature, broadcastable against (..., days). [degC]
    plan
        From :func:`day_plan`, over the same days.
    time_constant_h
        Of the house, see `TIME_CONSTANT_H`. [h]
    night_k
        Kelvin by which night set-back lowers the day's mean indoor temperature. [K]

    Returns
    -------
    array
        Shape (..., days); equal to max(0, base - mean - night_k) on days that are as usual. [K d]

    Raises
    ------
    BuildingError
        No time constant, or a plan over another number of days.
    """
    if not time_constant_h > 0:
        raise BuildingError(
            message(
                "absence.time_constant",
                "a time constant of {hours} h cannot be; write e.g. 80 h",
                hours=Own(f"{time_constant_h:g}"),
            )
        )
    outdoor = np.asarray(mean_c, dtype=np.float64)
    if outdoor.shape[-1] != len(plan.allowed_k):
        raise BuildingError(
            f"the weather has {outdoor.shape[-1]} days, the plan of absences {len(plan.allowed_k)}"
        )
    lack_k = (
        np.asarray(base_c, dtype=np.float64)
        - outdoor
        + plan.gains_lost_k
        - np.asarray(night_k, dtype=np.float64)
    )
    left = np.maximum(lack_k, 0.0)
    if not plan.changed.any():
        return left
    e = float(np.exp(-24.0 / time_constant_h))
    below = np.zeros(lack_k.shape[:-1])
    # Days before the first change are as usual; after it the house may still be cold, so every day is
    # stepped.
    for day in range(int(np.argmax(plan.changed)), lack_k.shape[-1]):
        free = np.maximum(lack_k[..., day] + (below - lack_k[..., day]) * e, 0.0)
        allowed = plan.allowed_k[day]
        over = np.maximum(free - allowed, 0.0) if np.isfinite(allowed) else np.zeros_like(free)
        left[..., day] = over / (1.0 - e)
        below = free - over
    return left

"""A second source of heat – stove, heat pump, solar – and what it leaves for the boiler."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from fuelplan.heat.building.need import BuildingError, HeatNeed, months_of
from fuelplan.messages import Quantity, message

Floats = NDArray[np.float64]
Dates = NDArray[np.datetime64]

HALVINGS = 30
"""Times the interval is halved in which a whole year's heat is looked for."""


@dataclass(frozen=True)
class Stove:
    """A room stove lit on some days: heat into the room, never into hot water.

    Attributes
    ----------
    kw, hours_per_day
        Heat given off while lit, and for how long. [kW, h]
    days_per_week
        On how many days of the week, 0..7.
    below_c
        Lit only on days with a mean below this. [degC]
    """

    kw: float
    hours_per_day: float
    days_per_week: float = 7.0
    below_c: float = 10.0

    def __post_init__(self) -> None:
        """Refuse impossible hours and days."""
        if not (self.kw >= 0 and 0 <= self.hours_per_day <= 24 and 0 <= self.days_per_week <= 7):
            raise BuildingError(
                message(
                    "second_source.stove",
                    "a stove needs a power of zero or more, 0 to 24 hours a day and 0 to 7 days a week",
                )
            )


@dataclass(frozen=True)
class HeatPump:
    """A heat pump that runs down to an outdoor temperature, and gives at most its power.

    Attributes
    ----------
    kw
        Heat it can give. [kW]
    down_to_c
        It stops on days with a mean below this. [degC]
    hot_water
        Whether it heats the hot water too.
    """

    kw: float
    down_to_c: float = 2.0
    hot_water: bool = True

    def __post_init__(self) -> None:
        """Refuse a negative power."""
        if not self.kw >= 0:
            raise BuildingError(
                message(
                    "second_source.heat_pump",
                    "a heat pump of {power} cannot be; write zero or more",
                    power=Quantity.written(self.kw, "kW", "g"),
                )
            )


@dataclass(frozen=True)
class Solar:
    """Solar collectors on the hot water: share of it covered in each month, January first, 0..1.

    The default is common practice for a small system: most of the summer, little in winter.
    """

    share_by_month: tuple[float, ...] = (
        0.05,
        0.15,
        0.35,
        0.55,
        0.75,
        0.85,
        0.90,
        0.85,
        0.65,
        0.35,
        0.10,
        0.05,
    )

    def __post_init__(self) -> None:
        """Refuse anything but twelve shares."""
        if len(self.share_by_month) != 12 or not all(0 <= s <= 1 for s in self.share_by_month):
            raise BuildingError(
                message("second_source.solar", "solar needs twelve shares from 0 to 1, January first")
            )


OtherHeat = Stove | HeatPump | Solar


@dataclass(frozen=True)
class HeatLeft:
    """What the boiler still has to give each day, and what the others gave; shapes (..., days). [kWh]

    space + hot_water + taken = the need before, on every day.
    """

    space_kwh: Floats
    hot_water_kwh: Floats
    taken_kwh: Floats

    @property
    def boiler_kwh(self) -> Floats:
        """Left for the boiler. [kWh]"""
        return self.space_kwh + self.hot_water_kwh


def after_second_sources(
    space_kwh: ArrayLike,
    hot_water_kwh: ArrayLike,
    mean_c: ArrayLike,
    months: NDArray[np.int64],
    sources: Sequence[OtherHeat],
) -> HeatLeft:
    """Let each source in turn take its part of the need, never more than there is.

    Parameters
    ----------
    space_kwh, hot_water_kwh
        Need of each day, broadcastable to (..., days). [kWh]
    mean_c
        Daily means, shape (..., days). [degC]
    months
        1..12 of each day, shape (days,).
    sources
        In the order in which they are used.

    Returns
    -------
    HeatLeft
        What is left for the boiler and what the sources gave, shapes (..., days). [kWh]
    """
    outdoor = np.asarray(mean_c, dtype=np.float64)
    space, water = (
        np.array(a, dtype=np.float64) for a in np.broadcast_arrays(space_kwh, hot_water_kwh, outdoor)[:2]
    )
    taken = np.zeros_like(space)
    for source in sources:
        from_space, from_water = _takes(source, space, water, outdoor, months)
        space, water, taken = space - from_space, water - from_water, taken + from_space + from_water
    return HeatLeft(space, water, taken)


def _takes(
    source: OtherHeat,
    space: Floats,
    water: Floats,
    outdoor_c: Floats,
    months: NDArray[np.int64],
) -> tuple[Floats, Floats]:
    """Return what one source takes of space heating and of hot water. [kWh]"""
    nothing = np.zeros_like(space)
    if isinstance(source, Solar):
        return nothing, water * np.asarray(source.share_by_month)[months - 1]
    if isinstance(source, Stove):
        daily = source.kw * source.hours_per_day * source.days_per_week / 7.0
        return np.minimum(space, np.where(outdoor_c < source.below_c, daily, 0.0)), nothing
    able = np.where(outdoor_c >= source.down_to_c, 24.0 * source.kw, 0.0)
    from_water = np.minimum(water, able) if source.hot_water else nothing
    return np.minimum(space, able - from_water), from_water


def share_left(sources: Sequence[OtherHeat], need: HeatNeed, dates: Dates, mean_c: Floats) -> Floats | None:
    """Return the share of each day's heat left for the boiler, shape of `mean_c`; None without other heat.

    Parameters
    ----------
    sources
        Other heat, in the order in which it is used.
    need
        What the building takes.
    dates
        Shape (days,).
    mean_c
        Daily means, shape (..., days). [degC]

    Returns
    -------
    array or None
        Shape of `mean_c`, 1 on days that need nothing. [0..1]
    """
    if not sources:
        return None
    months = months_of(dates)
    space = need.space_kwh(mean_c)
    water = np.broadcast_to(need.hot_water_kwh(months), space.shape)
    left = after_second_sources(space, water, mean_c, months, sources).boiler_kwh
    asked = space + water
    return np.asarray(np.where(asked > 0, left / np.where(asked > 0, asked, 1.0), 1.0))


def whole_heat_kwh(
    sources: Sequence[OtherHeat],
    boiler_kwh: float,
    need_of_kwh: Callable[[float], HeatNeed],
    dates: Dates,
    mean_c: Floats,
) -> float:
    """Return the year's heat of which the boiler gave `boiler_kwh` beside the other sources. [kWh]

    What a boiler burned in past years is what the others left it; the whole is found by halving the interval.

    Parameters
    ----------
    sources
        Other heat, in the order in which it is used.
    boiler_kwh
        A year's heat of the boiler alone. [kWh]
    need_of_kwh
        Gives the heat need for a whole year's heat. [kWh]
    dates, mean_c
        Shape (days,): the years that it is a mean of. [degC]

    Returns
    -------
    float
        A year's heat of all together, at most four times the boiler's. [kWh]
    """
    low, high = boiler_kwh, 4.0 * boiler_kwh if sources else boiler_kwh
    for _ in range(HALVINGS):
        middle = (low + high) / 2
        need = need_of_kwh(middle)
        share = share_left(sources, need, dates, mean_c)
        if share is None:  # no other source: the boiler gave all
            return boiler_kwh
        daily = need.daily_kwh(mean_c, months_of(dates))
        left = float((daily * share).sum()) / float(daily.sum()) * middle
        low, high = (middle, high) if left < boiler_kwh else (low, middle)
    return (low + high) / 2

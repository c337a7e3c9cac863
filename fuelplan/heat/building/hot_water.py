"""Hot water: people from floor area, litres a day, and the heat in them month by month."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from fuelplan.heat.building.need import BuildingError, no_floor
from fuelplan.messages import Own, Quantity, message

Floats = NDArray[np.float64]

# SAP 2012 appendix J, tables 1c and 1d.
MONTH_FACTOR = (1.10, 1.06, 1.02, 0.98, 0.94, 0.90, 0.90, 0.94, 0.98, 1.02, 1.06, 1.10)
RISE_K = (41.2, 41.4, 40.1, 37.6, 36.4, 33.9, 30.4, 33.4, 33.5, 36.3, 39.4, 39.9)
MONTH_DAYS = (31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)
WATER_KJ_PER_KG_K = 4.18


@dataclass(frozen=True)
class HotWater:
    """Heat in the hot water.

    Attributes
    ----------
    litres_per_day
        Mean over the year. [l/day]
    kwh_by_month
        Shape (12,), January first, of a year of 365 days. [kWh]
    """

    litres_per_day: float
    kwh_by_month: Floats

    @property
    def kwh_per_year(self) -> float:
        """Heat of the year. [kWh]"""
        return float(self.kwh_by_month.sum())

    @property
    def kwh_per_day(self) -> float:
        """Mean over the year. [kWh/day]"""
        return self.kwh_per_year / 365.0

    @property
    def month_factor(self) -> tuple[float, ...]:
        """Twelve factors on the yearly mean, as `HeatNeed.hot_water_month_factor` takes them."""
        if self.kwh_per_year == 0:
            return (1.0,) * 12
        return tuple(float(f) for f in self.kwh_by_month / np.asarray(MONTH_DAYS) / self.kwh_per_day)


def people_in(floor_area_m2: float) -> float:
    """Return the usual number of people in a dwelling of this floor area (SAP 2012, table 1b).

    Parameters
    ----------
    floor_area_m2
        Heated floor. [m2]

    Returns
    -------
    float
        1 or more, rarely a whole number. [-]

    Raises
    ------
    BuildingError
        No floor.
    """
    if not floor_area_m2 > 0:
        raise no_floor(floor_area_m2)
    above = max(0.0, floor_area_m2 - 13.9)
    return float(1.0 + 1.76 * (1.0 - np.exp(-0.000349 * above**2)) + 0.0013 * above)


def litres_for(people: float) -> float:
    """Return hot water of a household: 25 litres a person and 36 beside (SAP 2012, table 1b). [l/day]"""
    if not people >= 0:
        raise BuildingError(
            message(
                "building.people", "{people} people cannot be; write zero or more", people=Own(f"{people:g}")
            )
        )
    return 25.0 * people + 36.0 if people > 0 else 0.0


def hot_water(litres_per_day: float, *, pipe_loss_share: float = 0.0) -> HotWater:
    """Return the heat in so much hot water, month by month.

    Source: SAP 2012, tables 1c (month factors) and 1d (temperature rise), 4.18 kJ per kg and kelvin.

    Parameters
    ----------
    litres_per_day
        Mean over the year at the taps. [l/day]
    pipe_loss_share
        Share of the heat lost in pipes before the tap (SAP 2012 takes 0.15). [0..1]

    Returns
    -------
    HotWater
        Heat to be supplied, pipe loss included, by month. [kWh]

    Raises
    ------
    BuildingError
        Litres below zero, or a loss of all or less than nothing.
    """
    if not litres_per_day >= 0:
        raise BuildingError(
            message(
                "building.litres",
                "{volume} of hot water a day cannot be; write zero or more",
                volume=Quantity.written(litres_per_day, "l", "g"),
            )
        )
    if not 0 <= pipe_loss_share < 1:
        raise BuildingError(
            message(
                "building.pipe_loss",
                "a pipe loss of {share} cannot be; write a share from 0 to below 1, e.g. 0.15",
                share=Own(f"{pipe_loss_share:g}"),
            )
        )
    kwh = (
        litres_per_day
        * np.asarray(MONTH_FACTOR)
        * np.asarray(MONTH_DAYS)
        * np.asarray(RISE_K)
        * WATER_KJ_PER_KG_K
        / 3600.0
    )
    return HotWater(litres_per_day, kwh / (1.0 - pipe_loss_share))


def hot_water_for_people(people: float, *, pipe_loss_share: float = 0.0) -> HotWater:
    """Return the hot water of so many people.

    Parameters
    ----------
    people
        Zero or more. [-]
    pipe_loss_share
        As in `hot_water`. [0..1]

    Returns
    -------
    HotWater
        Heat to be supplied, pipe loss included, by month; none without people. [kWh]

    Raises
    ------
    BuildingError
        People below zero, or a loss of all or less than nothing.
    """
    return hot_water(litres_for(people), pipe_loss_share=pipe_loss_share)


def hot_water_for_floor_area(floor_area_m2: float, *, pipe_loss_share: float = 0.0) -> HotWater:
    """Return the hot water of the people usual in a dwelling of this floor area.

    Parameters
    ----------
    floor_area_m2
        Heated floor. [m2]
    pipe_loss_share
        As in `hot_water`. [0..1]

    Returns
    -------
    HotWater
        Heat to be supplied, pipe loss included, by month. [kWh]

    Raises
    ------
    BuildingError
        No floor, or a loss of all or less than nothing.
    """
    return hot_water(litres_for(people_in(floor_area_m2)), pipe_loss_share=pipe_loss_share)

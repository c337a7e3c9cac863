"""What a building needs, from any one thing a person knows: loss, base temperature, hot water."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from fuelplan.messages import Message, Own, Quantity, Refusal, message

Floats = NDArray[np.float64]

DAYS_PER_YEAR = 365.25
KWH_PER_W_AND_DAY = 0.024  # one watt for one day


# The usual heating limit of houses as built, and a temperature at which nothing is heated. [degC]
HEATING_LIMIT_C = 15.0  # of G20/15: VDI 3807 sheet 1
NOT_HEATED_C = 45.0


class BuildingError(Refusal):
    """Something said about the building cannot be; the sentence says what to write instead."""


@dataclass(frozen=True)
class HeatNeed:
    """Useful heat a building takes: space heating below a base temperature, and hot water all year.

    Attributes
    ----------
    loss_w_per_k
        Heat lost per kelvin of difference to the outside. [W/K]
    base_c
        Outdoor daily mean above which no heating is needed (the balance point). [degC]
    hot_water_kwh_per_day
        Mean over the year. [kWh/day]
    rel_sd
        Doubt of `loss_w_per_k` as a share (one standard deviation).
    how
        Where the figures come from, for people.
    hot_water_month_factor
        Twelve factors on the yearly mean, January first; all ones where no pattern is known.
    heating_limit_c
        Daily mean from which on nothing is heated, whatever the base. [degC]
    """

    loss_w_per_k: float
    base_c: float
    hot_water_kwh_per_day: float
    rel_sd: float
    how: Message
    hot_water_month_factor: tuple[float, ...] = (1.0,) * 12
    heating_limit_c: float = NOT_HEATED_C

    def __post_init__(self) -> None:
        """Refuse what no building can have."""
        if not self.loss_w_per_k > 0:
            raise _no_loss(self.loss_w_per_k)
        if not self.hot_water_kwh_per_day >= 0:
            raise BuildingError(
                message(
                    "building.hot_water",
                    "hot water of {heat} a day cannot be; write zero or more",
                    heat=Quantity.written(self.hot_water_kwh_per_day, "kWh", "g"),
                )
            )
        if not 0 <= self.rel_sd < 1:
            raise BuildingError(
                message(
                    "building.doubt",
                    "a doubt of {share} cannot be; write a share from 0 to below 1, e.g. 0.15",
                    share=Own(f"{self.rel_sd:g}"),
                )
            )
        if len(self.hot_water_month_factor) != 12:
            raise BuildingError("the month factors of the hot water must be twelve, January first")

    @property
    def kwh_per_degree_day(self) -> float:
        """Useful heat per degree-day at `base_c`. [kWh/(K d)]"""
        return KWH_PER_W_AND_DAY * self.loss_w_per_k

    def space_kwh(self, mean_c: ArrayLike) -> Floats:
        """Return space heating of each day, shape of `mean_c`. [kWh]

        Parameters
        ----------
        mean_c
            Daily means, any shape. [degC]

        Returns
        -------
        array
            Shape of `mean_c`. [kWh]
        """
        return space_heat_kwh(self.heating_c(mean_c), self.loss_w_per_k, self.base_c)

    def heating_c(self, mean_c: ArrayLike) -> Floats:
        """Return days as the heating sees them, shape of `mean_c`: too warm for any base beyond the limit.
        [degC]

        Parameters
        ----------
        mean_c
            Daily means, any shape. [degC]

        Returns
        -------
        array
            Shape of `mean_c`. [degC]
        """
        return heating_c(mean_c, self.heating_limit_c)

    def hot_water_kwh(self, months: NDArray[np.int64]) -> Floats:
        """Return hot water of each day for its month 1..12, shape of `months`. [kWh]

        Parameters
        ----------
        months
            1 to 12, any shape.

        Returns
        -------
        array
            Shape of `months`. [kWh]
        """
        return (
            self.hot_water_kwh_per_day * np.asarray(self.hot_water_month_factor, dtype=np.float64)[months - 1]
        )

    def daily_kwh(self, mean_c: ArrayLike, months: NDArray[np.int64] | None = None) -> Floats:
        """Return useful heat of each day, shape (..., days). [kWh]

        `months` (days,) brings the pattern of the hot water.

        Parameters
        ----------
        mean_c
            Daily means, shape (..., days). [degC]
        months
            1 to 12, shape (days,); None spreads the hot water evenly.

        Returns
        -------
        array
            Space heating and hot water, shape (..., days). [kWh]
        """
        water = self.hot_water_kwh_per_day if months is None else self.hot_water_kwh(months)
        return self.space_kwh(mean_c) + water

    def design_kw(self, indoor_c: float, outdoor_c: float) -> float:
        """Return the loss at a design outdoor temperature, without gains or hot water. [kW]

        Parameters
        ----------
        indoor_c, outdoor_c
            Kept in the house, and on the coldest days. [degC]

        Returns
        -------
        float
            Loss per kelvin times the difference. [kW]
        """
        return self.loss_w_per_k * (indoor_c - outdoor_c) / 1000.0


def _no_loss(loss_w_per_k: float) -> BuildingError:
    return BuildingError(
        message(
            "building.no_loss",
            "a heat loss of {loss} W/K cannot be; write one above zero, e.g. 200 W/K",
            loss=Own(f"{loss_w_per_k:g}"),
        )
    )


def no_floor(floor_area_m2: float) -> BuildingError:
    """Return what is said of a floor area that cannot be. [m2]"""
    return BuildingError(
        message(
            "building.floor_area",
            "a floor area of {area} cannot be; write e.g. 140 m2",
            area=Quantity.written(floor_area_m2, "m2", "g"),
        )
    )


def heating_c(mean_c: ArrayLike, limit_c: float) -> Floats:
    """Return daily means with those from the heating limit on put where no base reaches. [degC]"""
    outdoor = np.asarray(mean_c, dtype=np.float64)
    return np.where(outdoor >= limit_c, np.maximum(outdoor, NOT_HEATED_C), outdoor)


def months_of(dates: NDArray[np.datetime64]) -> NDArray[np.int64]:
    """Return the month 1..12 of each date, shape (days,).

    Parameters
    ----------
    dates
        Shape (days,), of any precision.

    Returns
    -------
    array
        Shape (days,).
    """
    return dates.astype("datetime64[M]").astype(np.int64) % 12 + 1


def space_heat_kwh(
    mean_c: ArrayLike, loss_w_per_k: float, base_c: ArrayLike, hours: ArrayLike = 24.0
) -> Floats:
    """Return loss x (base - outdoor) x time where the outdoor temperature lies below the base.

    Source: ASHRAE Fundamentals 2021, chapter 19 (degree-day and bin methods).

    Parameters
    ----------
    mean_c
        Outdoor temperature of each interval, any shape. [degC]
    loss_w_per_k
        Heat lost per kelvin of difference to the outside. [W/K]
    base_c
        Balance point, broadcastable. [degC]
    hours
        Length of each interval, broadcastable: 24 for days, the hours of each bin for the bin method. [h]

    Returns
    -------
    array
        Heat of each interval, the broadcast shape. [kWh]
    """
    difference_k = np.asarray(base_c, dtype=np.float64) - np.asarray(mean_c, dtype=np.float64)
    return loss_w_per_k * np.maximum(difference_k, 0.0) * np.asarray(hours, dtype=np.float64) / 1000.0


def balance_point_c(indoor_c: float, gains_w: float, loss_w_per_k: float) -> float:
    """Return the outdoor temperature at which free gains cover the loss: indoor - gains / loss. [degC]

    Source: ASHRAE Fundamentals 2021, chapter 19, Example 2.

    Parameters
    ----------
    indoor_c, gains_w, loss_w_per_k
        Kept in the house; free gains; loss of the house. [degC, W, W/K]

    Returns
    -------
    float
        Never above `indoor_c`. [degC]

    Raises
    ------
    BuildingError
        No loss, or gains below zero.
    """
    if not loss_w_per_k > 0:
        raise _no_loss(loss_w_per_k)
    if not gains_w >= 0:
        raise BuildingError(
            message(
                "building.gains",
                "gains of {gains} cannot be; write zero or more, e.g. 400 W",
                gains=Quantity.written(gains_w, "W", "g"),
            )
        )
    return indoor_c - gains_w / loss_w_per_k


def gains_from_floor_area_w(floor_area_m2: float) -> float:
    """Return usual gains in the heating season: 4 W per m2, common practice. [W]

    Parameters
    ----------
    floor_area_m2
        Heated floor. [m2]

    Returns
    -------
    float
        From people, appliances and sun together. [W]

    Raises
    ------
    BuildingError
        No floor.
    """
    if not floor_area_m2 > 0:
        raise no_floor(floor_area_m2)
    return 4.0 * floor_area_m2


def from_design_loss(
    design_kw: float,
    design_outdoor_c: float,
    *,
    indoor_c: float = 20.0,
    gains_w: float = 400.0,
    hot_water_kwh_per_day: float = 0.0,
    rel_sd: float = 0.15,
) -> HeatNeed:
    """Turn a design heat loss at a design outdoor temperature into loss per kelvin and balance point.

    Source of the formula: ASHRAE Fundamentals 2021, chapter 19, Example 2 (11,700 W at 30 K is 390 W/K).

    Parameters
    ----------
    design_kw
        Heat loss at the design temperature, gains not taken off. [kW]
    design_outdoor_c, indoor_c
        Temperatures it is for. [degC]
    gains_w
        Free gains. [W]
    hot_water_kwh_per_day
        Mean over the year. [kWh/day]
    rel_sd
        Doubt of the loss, one standard deviation. [0..1]

    Returns
    -------
    HeatNeed
        Loss per kelvin and base temperature, with the hot water given.

    Raises
    ------
    BuildingError
        No loss, or an outdoor temperature that is not below the indoor one.
    """
    if not design_kw > 0:
        raise BuildingError(
            message(
                "building.design_loss",
                "a design heat loss of {loss} cannot be; write e.g. 12 kW",
                loss=Quantity.written(design_kw, "kW", "g"),
            )
        )
    if not indoor_c > design_outdoor_c:
        raise BuildingError(
            message(
                "building.outdoor_not_below_indoor",
                "the design outdoor temperature {outdoor} is not below the indoor {indoor}",
                outdoor=Quantity.written(design_outdoor_c, "degC", "g"),
                indoor=Quantity.written(indoor_c, "degC", "g"),
            )
        )
    loss = design_kw * 1000.0 / (indoor_c - design_outdoor_c)
    how = message(
        "building.from_design_loss",
        "from a design loss of {loss} at {outdoor} outside and {indoor} inside",
        loss=Quantity.written(design_kw, "kW", "g"),
        outdoor=Quantity.written(design_outdoor_c, "degC", "g"),
        indoor=Quantity.written(indoor_c, "degC", "g"),
    )
    return HeatNeed(loss, balance_point_c(indoor_c, gains_w, loss), hot_water_kwh_per_day, rel_sd, how)

"""What a building needs, found from a year's heat and the weather it was needed in."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import ArrayLike, NDArray

from fuelplan.heat.building.need import (
    DAYS_PER_YEAR,
    HEATING_LIMIT_C,
    KWH_PER_W_AND_DAY,
    NOT_HEATED_C,
    BuildingError,
    HeatNeed,
    balance_point_c,
    heating_c,
)
from fuelplan.messages import Message, Quantity, counted_message, message

Floats = NDArray[np.float64]

LEAST_DEGREE_DAYS = 300.0  # a year; with fewer a year's use tells little of heating (our choice) [K d]


def from_yearly_heat(
    kwh_per_year: float,
    mean_c: ArrayLike,
    *,
    indoor_c: float = 20.0,
    gains_w: float = 400.0,
    hot_water_kwh_per_day: float = 0.0,
    base_c: float | None = None,
    heating_limit_c: float = NOT_HEATED_C,
    rel_sd: float = 0.10,
    how: Message | None = None,
) -> HeatNeed:
    """Find the loss whose heat over the recorded weather is a year's useful heat.

    The base temperature follows from indoor temperature, gains and the loss itself, so both are found
    together: the heat, sum of max(0, loss x (indoor - outdoor) - gains), grows steadily with the loss and
    has one solution. With hardly a cold day nearly all of it is taken every day alike.

    Parameters
    ----------
    kwh_per_year
        Useful heat of a usual year, hot water included. [kWh]
    mean_c
        Daily means of whole years, at least one, shape (days,); of a longer record the last whole years are
        used. [degC]
    indoor_c, gains_w
        Kept in the house, and free gains. [degC, W]
    hot_water_kwh_per_day
        Part of `kwh_per_year` that is hot water. [kWh/day]
    base_c
        Known base temperature; replaces `indoor_c` and `gains_w`. [degC]
    heating_limit_c
        Daily mean from which on nothing is heated. [degC]
    rel_sd
        Doubt of the yearly heat, one standard deviation. [0..1]
    how
        Where `kwh_per_year` comes from, for people; None: as useful heat a year.

    Returns
    -------
    HeatNeed
        Its heat over the record is `kwh_per_year` a year.

    Raises
    ------
    BuildingError
        Gaps, less than a year of days, no day below the heating limit, or nothing left beside the hot
        water.
    """
    as_recorded_c = _whole_years(mean_c)
    days_c = heating_c(as_recorded_c, heating_limit_c)
    years = len(days_c) / DAYS_PER_YEAR
    has_winter = _degree_days(as_recorded_c, HEATING_LIMIT_C) >= LEAST_DEGREE_DAYS * years
    if has_winter and not (days_c < NOT_HEATED_C).any():
        raise BuildingError(
            message(
                "building.heating_limit",
                "no day of the weather record is colder than the heating limit of {limit}; write a higher "
                "one, e.g. 15 degC",
                limit=Quantity.written(heating_limit_c, "degC", "g"),
            )
        )
    water_kwh = hot_water_kwh_per_day * DAYS_PER_YEAR
    space_kwh = kwh_per_year - water_kwh
    if not space_kwh > 0:
        raise BuildingError(
            message(
                "building.nothing_for_heating",
                "a year's heat of {heat} leaves nothing for heating beside {water} of hot water; correct the "
                "yearly use or the hot water",
                heat=Quantity.written(kwh_per_year, "kWh"),
                water=Quantity.written(water_kwh, "kWh"),
            )
        )
    how = how or said_of_year(kwh_per_year)
    coldest_c = indoor_c if base_c is None else base_c
    mild_c = min(HEATING_LIMIT_C, heating_limit_c, indoor_c)
    if _degree_days(days_c, mild_c) < LEAST_DEGREE_DAYS * years or not (days_c < coldest_c).any():
        base = mild_c if base_c is None else base_c
        need = _hardly_heated(kwh_per_year, space_kwh, _degree_days(days_c, base) / years, base, rel_sd, how)
        return replace(need, heating_limit_c=heating_limit_c)
    if base_c is None:
        loss = _solve_loss_w_per_k(space_kwh * years, days_c, indoor_c, gains_w)
        base_c = balance_point_c(indoor_c, gains_w, loss)
    else:
        loss = space_kwh * years / (KWH_PER_W_AND_DAY * _degree_days(days_c, base_c))
    return HeatNeed(loss, base_c, hot_water_kwh_per_day, rel_sd, how, heating_limit_c=heating_limit_c)


def _degree_days(days_c: Floats, base_c: float) -> float:
    """Return the degree-days of all days below a base. [K d]"""
    return float(np.maximum(base_c - days_c, 0.0).sum())


def _hardly_heated(
    kwh_per_year: float, space_kwh: float, degree_days: float, base_c: float, rel_sd: float, how: Message
) -> HeatNeed:
    """Return the need of a house where hardly a day is cold enough for heating, as in the tropics.

    Its loss is that of a house that burned as much for heating with :data:`LEAST_DEGREE_DAYS`; what that
    leaves of the year's heat is taken every day alike, hot water or not. Heat and degree-days are a
    year's. [kWh, K d]
    """
    loss = space_kwh / (KWH_PER_W_AND_DAY * max(degree_days, LEAST_DEGREE_DAYS))
    every_day = (kwh_per_year - KWH_PER_W_AND_DAY * loss * degree_days) / DAYS_PER_YEAR
    said = message(
        "building.hardly_heated",
        "{how}, nearly all of it every day alike (hot water and standby), since hardly a day of the weather "
        "record is cold enough for heating",
        how=how,
    )
    return HeatNeed(loss, base_c, every_day, rel_sd, said)


def said_of_year(kwh_per_year: float) -> Message:
    """Return where a heat need comes from that follows from a year's useful heat.

    Parameters
    ----------
    kwh_per_year
        Hot water included. [kWh]

    Returns
    -------
    Message
        The phrase for `HeatNeed.how`.
    """
    return message(
        "building.from_yearly_heat",
        "from {heat} of useful heat a year",
        heat=Quantity.written(kwh_per_year, "kWh"),
    )


def _whole_years(mean_c: ArrayLike) -> Floats:
    days_c = np.asarray(mean_c, dtype=np.float64).ravel()
    if np.isnan(days_c).any():
        raise BuildingError(
            counted_message(
                "building.gaps",
                "{n} day has no temperature; fill the gaps of the weather first",
                "{n} days have no temperature; fill the gaps of the weather first",
                int(np.isnan(days_c).sum()),
            )
        )
    years = int((len(days_c) + 1) // DAYS_PER_YEAR)
    if years < 1:
        raise BuildingError(
            counted_message(
                "building.no_year",
                "the weather record holds {n} day; a year's heat needs at least 365",
                "the weather record holds {n} days; a year's heat needs at least 365",
                len(days_c),
            )
        )
    return days_c[-min(len(days_c), round(years * DAYS_PER_YEAR)) :]


def _solve_loss_w_per_k(space_kwh: float, days_c: Floats, indoor_c: float, gains_w: float) -> float:
    """Bisect the one loss whose heat over `days_c` is `space_kwh`."""

    def heat_kwh(loss: float) -> float:
        return KWH_PER_W_AND_DAY * float(np.maximum(loss * (indoor_c - days_c) - gains_w, 0.0).sum())

    low, high = 0.0, 100.0
    while heat_kwh(high) < space_kwh:
        high *= 2.0
    for _ in range(80):  # beyond the precision of a float
        middle = 0.5 * (low + high)
        low, high = (middle, high) if heat_kwh(middle) < space_kwh else (low, middle)
    return 0.5 * (low + high)

"""Other heat beside the boiler – stove, heat pump, solar: the share of each day that it leaves."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from fuelplan.heat.building import HeatNeed, after_second_sources, months_of
from fuelplan.records.site import Site, second_sources_of
from fuelplan.weather import DailyWeather, PlaceSeasons, place_seasons

Floats = NDArray[np.float64]
Dates = NDArray[np.datetime64]
NeedOf = Callable[[float], HeatNeed]

STEPS = 30


def share_left(
    site: Site, need: HeatNeed, seasons: PlaceSeasons, dates: Dates, mean_c: Floats
) -> Floats | None:
    """Return the share of each day's heat left for the boiler, shape of `mean_c`; None without other heat."""
    sources = second_sources_of(site.table.second_source, seasons.here)
    if not sources:
        return None
    months = months_of(dates)
    space = need.space_kwh(mean_c)
    water = np.broadcast_to(need.hot_water_kwh(months), space.shape)
    left = after_second_sources(space, water, mean_c, months, sources).boiler_kwh
    asked = space + water
    return np.asarray(np.where(asked > 0, left / np.where(asked > 0, asked, 1.0), 1.0))


def whole_heat_kwh(site: Site, boiler_kwh: float, need_of_kwh: NeedOf, weather: DailyWeather) -> float:
    """Return the year's heat of which the boiler gave `boiler_kwh` beside the other sources. [kWh]

    What a boiler burned in past years is what the others left it; the whole is found by halving the interval.

    Parameters
    ----------
    need_of_kwh
        Gives the heat need for a whole year's heat.
    """
    dates, mean_c, seasons = weather.dates, weather.mean_c, place_seasons(weather)
    low, high = boiler_kwh, 4.0 * boiler_kwh
    for _ in range(STEPS):
        middle = (low + high) / 2
        need = need_of_kwh(middle)
        share = share_left(site, need, seasons, dates, mean_c)
        if share is None:
            return boiler_kwh
        daily = need.daily_kwh(mean_c, months_of(dates))
        left = float((daily * share).sum()) / float(daily.sum()) * middle
        low, high = (middle, high) if left < boiler_kwh else (low, middle)
    return (low + high) / 2

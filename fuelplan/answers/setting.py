"""A site on one day as the rooms need it: store, fuel, heat need, paper signature, supplier's calendar."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from datetime import date

import numpy as np
from numpy.typing import NDArray

from fuelplan import boiler, building, readings, units
from fuelplan.answers.log_side import LogSide, log_side_of
from fuelplan.answers.other_heat import whole_heat_kwh
from fuelplan.building import Absence, HeatNeed
from fuelplan.bulk_store import Store
from fuelplan.fuel import Pellets
from fuelplan.ordering.lead_time import LeadTime
from fuelplan.signature import Prior
from fuelplan.site import Site
from fuelplan.site.as_rooms import absences_of, delivery_of, observation_of, pellets_of, store_of
from fuelplan.site.models_money import WEEKDAYS
from fuelplan.weather import DailyWeather, PlaceSeasons, place_seasons
from fuelplan.working_days import WorkingDays

Floats = NDArray[np.float64]

PEOPLE = 3  # taken where nobody says how many use hot water (our assumption)
BASE_SD_C = (
    1.5  # doubt of a base temperature worked out from room temperature, gains and loss (our assumption)
)
SEASON_DAYS = 3653  # days of weather that the seasonal efficiency is worked out over
RATED_KW = 15.0  # taken where nobody says the boiler's size (our assumption)
# A yearly use tells slope and base together: with the base a kelvin lower the same use needs a steeper slope.
# Degree-days change by 9 to 13 % a kelvin at bases of 14 to 18 degC (computed, German reference years).
SLOPE_PER_K = 0.10
DAY_REL_SD = 0.4  # doubt of hot water and stand-by worked out from the number of people (our assumption)


@dataclass(frozen=True)
class WhatIf:
    """Changes a person wants to try; the folder stays as it is.

    Attributes
    ----------
    colder_c
        Every coming day colder by this. [K]
    room_shift_c
        Rooms kept warmer by this from today on. [K]
    price_factor
        Times today's price.
    extra_lead_days
        Working days added to the lead time.
    risk_limit
        Accepted risk per order, in place of the folder's; None keeps it.
    """

    colder_c: float = 0.0
    room_shift_c: float = 0.0
    price_factor: float = 1.0
    extra_lead_days: int = 0
    risk_limit: float | None = None

    def __post_init__(self) -> None:
        """Refuse what no one can mean."""
        if not -15 <= self.colder_c <= 15:
            raise ValueError(f"colder by {self.colder_c:g} K is beyond any winter; write -15 to 15")
        if not -10 <= self.room_shift_c <= 10:
            raise ValueError(f"rooms warmer by {self.room_shift_c:g} K; write -10 to 10")
        if not 0 < self.price_factor <= 10:
            raise ValueError(f"a price times {self.price_factor:g}; write above 0, at most 10")
        if not 0 <= self.extra_lead_days <= 120:
            raise ValueError(f"{self.extra_lead_days} more working days; write 0 to 120")
        if self.risk_limit is not None and not 0 < self.risk_limit < 0.5:
            raise ValueError(f"a risk of {self.risk_limit:g} per order; write above 0, below 0.5, e.g. 0.02")


@dataclass(frozen=True)
class Setting:
    """Everything of a site that the order chain works with, as known on the evening of `as_of`."""

    site: Site
    as_of: date
    store: Store
    pellets: Pellets
    efficiency: float
    need: HeatNeed
    seasons: PlaceSeasons
    prior: Prior
    calendar: WorkingDays
    lead_time: LeadTime
    log_side: LogSide | None
    absences: tuple[Absence, ...]
    observations: tuple[readings.Observation, ...]
    deliveries: tuple[readings.Delivery, ...]
    explanation: tuple[str, ...]
    warnings: tuple[str, ...]

    @property
    def useful_kwh_per_kg(self) -> float:
        """Useful heat of a kilogram burned. [kWh/kg]"""
        return self.pellets.kwh_per_kg * self.efficiency


def setting_of(site: Site, weather: DailyWeather, as_of: date) -> Setting:
    """Return the setting of a site; `weather` is the record known on `as_of`, without gaps."""
    table = site.table
    store, pellets = store_of(table), pellets_of(table)
    efficiency, efficiency_said, on_size = _efficiency(site, weather, pellets)
    need = _heat_need(site, weather, pellets, efficiency)
    useful = pellets.kwh_per_kg * efficiency
    prior = Prior(
        kg_per_degree_day=need.kwh_per_degree_day / useful,
        kg_per_day=need.hot_water_kwh_per_day / useful,
        base_c=need.base_c,
        rel_sd_slope=math.hypot(table.building.doubt or need.rel_sd, SLOPE_PER_K * BASE_SD_C),
        rel_sd_day=DAY_REL_SD,
        base_sd_c=BASE_SD_C,
    )
    warnings = []
    if table.building.hot_water and table.building.people is None and table.building.floor_area_m2 is None:
        warnings.append(f"The folder does not say how many people use hot water; {PEOPLE} are assumed.")
    return Setting(
        site=site,
        as_of=as_of,
        store=store,
        pellets=pellets,
        efficiency=efficiency,
        need=need,
        seasons=place_seasons(weather),
        prior=prior,
        calendar=WorkingDays(table.place.country, table.place.subdivision),
        lead_time=_lead_time(site, 0),
        log_side=log_side_of(site, weather, as_of, need, pellets.kwh_per_kg),
        absences=tuple(absences_of(table.away, table.building.indoor_c)),
        observations=tuple(
            observation_of(row, store, useful) for row in site.read_by(as_of) if row.fuel == "pellets"
        ),
        deliveries=tuple(delivery_of(row) for row in site.delivered(as_of) if row.fuel == "pellets"),
        explanation=(
            f"Heat need {need.how}: {_loss(need.loss_w_per_k)} below "
            f"{units.show(need.base_c, 'temperature')} outside.",
            f"{_holds(pellets.kwh_per_kg)}, of which {efficiency:.0%} become useful heat.",
            *efficiency_said,
        ),
        warnings=(*warnings, *on_size),
    )


def _loss(w_per_k: float) -> str:
    """Return a heat loss as the reader knows it."""
    if units.reader().system == "us":
        return units.show(w_per_k, "heat_loss")
    return f"{w_per_k:.0f} W per kelvin"


def _holds(kwh_per_kg: float) -> str:
    """Return what the fuel holds, by the reader's weight."""
    if units.reader().system == "us":
        return f"A pound holds {units.show(kwh_per_kg, 'energy_per_mass').removesuffix('/lb')}"
    return f"A kilogram holds {kwh_per_kg:g} kWh"


def with_extra_lead(setting: Setting, extra_days: int) -> Setting:
    """Return the setting with a supplier who needs more working days."""
    return replace(setting, lead_time=_lead_time(setting.site, extra_days)) if extra_days else setting


def _lead_time(site: Site, extra_days: int) -> LeadTime:
    supply = site.table.supply
    low, high = supply.lead_time
    return LeadTime(
        low + extra_days,
        high + extra_days,
        by_month=supply.lead_by_month,
        days_per_k=supply.lead_days_per_kelvin,
        cold_below_c=supply.cold_below_c,
        delivery_weekdays=tuple(WEEKDAYS.index(name) for name in supply.delivery_weekdays),
    )


def _efficiency(
    site: Site, weather: DailyWeather, pellets: Pellets
) -> tuple[float, tuple[str, ...], tuple[str, ...]]:
    """Return the seasonal efficiency, why it is so, and what is to be said about the boiler's size."""
    given = site.table.boiler
    made = boiler.Boiler.typical(given.rated_kw or RATED_KW, "pellets", installed=given.installed)
    first_guess = given.seasonal_efficiency or boiler.seasonal_efficiency(made)
    need = _heat_need(site, weather, pellets, first_guess)
    days = weather.mean_c[-SEASON_DAYS:]
    load_kw = need.daily_kwh(days, building.months_of(weather.dates[-SEASON_DAYS:])) / 24.0
    season = boiler.season(made, load_kw, buffer_l=site.table.buffer.volume_m3 * 1000.0)
    on_size = (season.answer_on_size,) if given.rated_kw is not None and season.unmet_kwh > 1e-9 else ()
    if given.seasonal_efficiency is not None:
        said = (
            f"{given.seasonal_efficiency:.0%} of the fuel become useful heat over the year, as the "
            "folder says."
        )
        return given.seasonal_efficiency, (said,), on_size
    return season.efficiency, (f"The boiler is {made.how}. {season.why}",), on_size


def _heat_need(site: Site, weather: DailyWeather, pellets: Pellets, efficiency: float) -> HeatNeed:
    """Return the heat need by whichever way the folder tells it."""
    table = site.table.building
    water = 0.0
    if table.hot_water:
        if table.people is not None:
            water = building.hot_water_for_people(table.people).kwh_per_day
        elif table.floor_area_m2 is not None:
            water = building.hot_water_for_floor_area(table.floor_area_m2).kwh_per_day
        else:
            water = building.hot_water_for_people(PEOPLE).kwh_per_day
    gains = table.gains_w
    if table.floor_area_m2 is not None:
        return building.from_floor_area(
            table.floor_area_m2,
            table.built or 1975,
            indoor_c=table.indoor_c,
            gains_w=gains,
            hot_water_kwh_per_day=water,
        )
    gains = 400.0 if gains is None else gains
    if table.design_loss_kw is not None and table.design_outdoor_c is not None:
        return building.from_design_loss(
            table.design_loss_kw,
            table.design_outdoor_c,
            indoor_c=table.indoor_c,
            gains_w=gains,
            hot_water_kwh_per_day=water,
        )
    heat = _past_use(site, pellets, efficiency)

    def need_of(kwh_per_year: float) -> HeatNeed:
        return building.from_yearly_heat(
            kwh_per_year,
            weather.mean_c,
            indoor_c=table.indoor_c,
            gains_w=gains,
            hot_water_kwh_per_day=water,
            rel_sd=max(0.10, heat.rel_sd),
            how=heat.how,
        )

    if not site.table.second_source:
        return need_of(heat.kwh_per_year)
    return need_of(whole_heat_kwh(site, heat.kwh_per_year, need_of, weather))


def _past_use(site: Site, pellets: Pellets, efficiency: float) -> building.UsefulHeat:
    """Return the useful heat of a usual year from what was burned."""
    table = site.table.building
    if table.pellets_a_year_kg is not None:
        return building.useful_heat(
            table.pellets_a_year_kg, "pellets", efficiency=efficiency, kwh_per_unit=pellets.kwh_per_kg
        )
    if table.heating_oil_a_year_m3 is not None:
        old = (
            {"efficiency": table.old_efficiency}
            if table.old_efficiency
            else {"old_heating": "oil_low_temperature"}
        )
        return building.useful_heat(table.heating_oil_a_year_m3 * 1000.0, "heating_oil", **old)
    if table.gas_a_year_kwh is not None:
        old = (
            {"efficiency": table.old_efficiency}
            if table.old_efficiency
            else {"old_heating": "gas_low_temperature"}
        )
        return building.useful_heat(table.gas_a_year_kwh, "natural_gas_bill", **old)
    assert table.heat_a_year_kwh is not None  # the model of the file makes sure that one way is given
    return building.UsefulHeat(
        table.heat_a_year_kwh, 0.05, f"from {table.heat_a_year_kwh:,.0f} kWh of useful heat a year"
    )

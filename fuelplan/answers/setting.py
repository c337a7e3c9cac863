"""A site on one day as the rooms need it: store, fuel, heat need, paper signature, supplier's calendar."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from datetime import date

import numpy as np
from numpy.typing import NDArray

from fuelplan.answers.log_side import LogSide, log_side_of
from fuelplan.answers.moments import Taken, in_order_of_day
from fuelplan.answers.store_words import free_height_asked
from fuelplan.heat import boiler, building
from fuelplan.heat.building import Absence, HeatNeed, OtherHeat, doubts_of
from fuelplan.heat.fuels import BulkMaterial, Fuel
from fuelplan.learning import Prior, readings
from fuelplan.messages import (
    Message,
    Number,
    Percent,
    Quantity,
    Refusal,
    as_message,
    counted_message,
    message,
    paragraph,
)
from fuelplan.ordering import LeadTime
from fuelplan.records.schema import WEEKDAYS, BuildingTable
from fuelplan.records.site import (
    PEOPLE,
    Site,
    absences_of,
    boiler_of,
    delivery_of,
    observation_of,
    past_use,
    second_sources_of,
    stack_doubts,
    stated_of,
    store_of,
    stored_of,
    usual_hot_water,
    year_of,
)
from fuelplan.store.bulk import Store
from fuelplan.units import WorkingDays
from fuelplan.weather import DailyWeather, PlaceSeasons, place_seasons

Floats = NDArray[np.float64]

DAYS_A_YEAR = 365.25
# Lowest base temperatures that follow from assumed and from stated gains (our assumption): where little is
# left for heating, gains that nobody stated would ask for a house heated in hard frost alone. [degC]
LEAST_BASE_C, COLDEST_BASE_C = 8.0, -5.0
MOST_HOT_WATER = 0.98  # of a year's heat: a little stays, so that readings can show that there is heating
HOT_WATER_ALONE_SD = 0.9  # doubt of that little, as a share of it (our assumption)
BASE_SD_C = (
    1.5  # doubt of a base temperature worked out from room temperature, gains and loss (our assumption)
)
SEASON_DAYS = 3653  # days of weather that the seasonal efficiency is worked out over
# A yearly use tells slope and base together: with the base a kelvin lower the same use needs a steeper slope.
# Degree-days change by 9 to 13 % a kelvin at bases of 14 to 18 degC (computed, German reference years).
SLOPE_PER_K = 0.10
# Of heating a degree-day where the year is stated: wide, for the year itself ties it to base and daily part.
PARTED_REL_SD = 0.5
LEAST_YEAR_REL_SD = 0.01  # of a stated year that is not doubted at all: what is rounded
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
            kelvin = Number(self.colder_c, 1)
            raise Refusal(
                message(
                    "what_if.colder",
                    "colder by {kelvin} K is beyond any winter; write -15 to 15",
                    kelvin=kelvin,
                )
            )
        if not -10 <= self.room_shift_c <= 10:
            kelvin = Number(self.room_shift_c, 1)
            raise Refusal(
                message("what_if.rooms", "rooms warmer by {kelvin} K; write -10 to 10", kelvin=kelvin)
            )
        if not 0 < self.price_factor <= 10:
            factor = Number(self.price_factor, 2)
            raise Refusal(
                message("what_if.price", "a price times {factor}; write above 0, at most 10", factor=factor)
            )
        if not 0 <= self.extra_lead_days <= 120:
            days = self.extra_lead_days
            raise Refusal(
                counted_message(
                    "what_if.lead_days",
                    "{n} more working day; write 0 to 120",
                    "{n} more working days; write 0 to 120",
                    days,
                )
            )
        if self.risk_limit is not None and not 0 < self.risk_limit < 0.5:
            risk = Number(self.risk_limit, 3)
            raise Refusal(
                message(
                    "what_if.risk",
                    "a risk of {risk} per order; write above 0, below 0.5, e.g. 0.02",
                    risk=risk,
                )
            )


@dataclass(frozen=True)
class Setting:
    """Everything of a site that the order chain works with, as known on the evening of `as_of`."""

    site: Site
    as_of: date
    store: Store
    fuel: Fuel  # what lies in the bulk store
    material: BulkMaterial  # the same as it lies there
    efficiency: float
    need: HeatNeed
    seasons: PlaceSeasons
    other_heat: tuple[OtherHeat, ...]
    prior: Prior
    calendar: WorkingDays
    lead_time: LeadTime
    log_side: LogSide | None
    absences: tuple[Absence, ...]
    observations: tuple[readings.Observation, ...]
    deliveries: tuple[readings.Delivery, ...]
    same_day_lines: tuple[int, ...]  # of readings that may or may not hold the delivery of their day
    explanation: tuple[Message, ...]
    efficiency_said: Message  # why the boiler makes so much of its fuel
    warnings: tuple[Message, ...]

    @property
    def burned(self) -> tuple[str, ...]:
        """Names of the fuels that the boiler burns, that of the bulk store first."""
        return (self.fuel.name, *(() if self.log_side is None else (self.log_side.burned.name,)))

    @property
    def useful_kwh_per_kg(self) -> float:
        """Useful heat of a kilogram burned. [kWh/kg]"""
        return self.material.kwh_per_kg * self.efficiency


def stated_setting_of(site: Site, weather: DailyWeather, as_of: date) -> Setting:
    """Return the setting of a site, its logs burned as stated in the house as stated; `weather` is the record
    known on `as_of`, without gaps.
    """
    table = site.table
    store, (fuel, material) = store_of(table), stored_of(table)
    efficiency, doubt, efficiency_said, on_size = _efficiency(site, weather, fuel, material)
    need = _heat_need(site, weather, material, efficiency)
    useful = material.kwh_per_kg * efficiency
    known = math.hypot(need.rel_sd if table.building.doubt is None else table.building.doubt, doubt)
    stated_year = past_use(table, efficiency) is not None and need.rel_sd < HOT_WATER_ALONE_SD
    prior = Prior(
        kg_per_degree_day=need.kwh_per_degree_day / useful,
        kg_per_day=need.hot_water_kwh_per_day / useful,
        base_c=need.base_c,
        rel_sd_slope=PARTED_REL_SD if stated_year else math.hypot(known, SLOPE_PER_K * BASE_SD_C),
        rel_sd_day=DAY_REL_SD,
        base_sd_c=BASE_SD_C,
        year_rel_sd=max(known, LEAST_YEAR_REL_SD) if stated_year else None,
    )
    taken = _taken(site, as_of, store, fuel, useful)
    warnings = _on_hot_water(table.building, need)
    if table.building.hot_water and table.building.people is None and table.building.floor_area_m2 is None:
        warnings.append(
            message(
                "setting.people_assumed",
                "The folder does not say how many people use hot water; {people} are assumed.",
                people=PEOPLE,
            )
        )
    log_side = log_side_of(site, weather, as_of, need, material.kwh_per_kg)
    known_by = replace(site, readings=tuple(site.read_by(as_of)), deliveries=tuple(site.delivered(as_of)))
    if log_side is not None:
        warnings += [*(as_message(f.said) for f in stack_doubts(known_by)), *log_side.notes]
    seasons = place_seasons(weather)
    doubted = tuple(doubt.text for doubt in doubts_of(stated_of(table, weather.mean_c)))
    return Setting(
        site=site,
        as_of=as_of,
        store=store,
        fuel=fuel,
        material=material,
        efficiency=efficiency,
        need=need,
        seasons=seasons,
        other_heat=tuple(second_sources_of(table.second_source, seasons.here)),
        prior=prior,
        calendar=WorkingDays(table.place.country, table.place.subdivision),
        lead_time=_lead_time(site, 0),
        log_side=log_side,
        absences=tuple(absences_of(table.away, table.building.indoor_c)),
        observations=taken.observations,
        deliveries=taken.deliveries,
        same_day_lines=taken.open_lines,
        explanation=(
            _need_said(table.building, need),
            message(
                "setting.fuel_holds",
                "The fuel holds {energy}, of which {share} become useful heat.",
                energy=_energy(material.kwh_per_kg),
                share=Percent(efficiency),
            ),
            *free_height_asked(table, store),
            efficiency_said,
            *taken.said,
        ),
        efficiency_said=efficiency_said,
        # what does not belong together is doubted before the boiler is called too small for it
        warnings=(*warnings, *(doubted or on_size)),
    )


def _on_hot_water(table: BuildingTable, need: HeatNeed) -> list[Message]:
    """Return what is to be said where the usual hot water is more than what was burned."""
    usual, whose = usual_hot_water(table)
    if need.hot_water_kwh_per_day >= usual - 1e-9:
        return []
    return [
        message(
            "setting.all_hot_water",
            "What is burned in a usual year is no more than the usual hot water of {whose} ({usual}); all of "
            "it is taken as hot water, none as heating. If the house is heated as well, correct the yearly "
            "use or the people.",
            whose=as_message(whose),
            usual=Quantity(usual * DAYS_A_YEAR, "energy"),
        )
    ]


def _need_said(table: BuildingTable, need: HeatNeed) -> Message:
    """Return the heat need with where it comes from, and the heating limit where one lies below the base."""
    how, base = need.how, Quantity(need.base_c, "temperature")
    loss = Quantity(need.loss_w_per_k, "heat_loss", unit="W/K", decimals=0)
    limit = Quantity(need.heating_limit_c, "temperature")
    if need.heating_limit_c >= need.base_c:
        return message(
            "setting.need", "Heat need {how}: {loss} below {base} outside.", how=how, loss=loss, base=base
        )
    if table.heating_limit_c is not None:
        return message(
            "setting.need_with_limit",
            "Heat need {how}: {loss} below {base} outside, and no heating on days of {limit} or warmer.",
            how=how,
            loss=loss,
            base=base,
            limit=limit,
        )
    return message(
        "setting.need_with_usual_limit",
        "Heat need {how}: {loss} below {base} outside, and no heating on days of {limit} or warmer (usual "
        "heating limit, VDI 3807).",
        how=how,
        loss=loss,
        base=base,
        limit=limit,
    )


def _taken(site: Site, as_of: date, store: Store, fuel: Fuel, useful_kwh_per_kg: float) -> Taken:
    """Return readings and deliveries of the bulk store as they are known on the evening of `as_of`."""
    rows = [row for row in site.read_by(as_of) if row.fuel == fuel.name]
    came = [row for row in site.delivered(as_of) if row.fuel == fuel.name]
    return in_order_of_day(
        rows,
        [observation_of(row, site.table, store, useful_kwh_per_kg) for row in rows],
        came,
        [delivery_of(row, site.table) for row in came],
        store.capacity_kg(),
    )


def _energy(kwh_per_kg: float) -> Quantity:
    """Return what the fuel holds with as many digits as are known."""
    known = 2 if float(f"{kwh_per_kg:.2g}") == kwh_per_kg else 3
    return Quantity(kwh_per_kg, "energy_per_mass", known)


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
    site: Site, weather: DailyWeather, fuel: Fuel, material: BulkMaterial
) -> tuple[float, float, Message, tuple[Message, ...]]:
    """Return the seasonal efficiency, what its doubt adds to that of the fuel as a share, why it is so, and
    what is to be said about the boiler's size.
    """
    given = site.table.boiler
    made = boiler_of(site.table)
    first_guess = given.seasonal_efficiency or boiler.seasonal_efficiency(made)
    need = _heat_need(site, weather, material, first_guess)
    days = weather.mean_c[-SEASON_DAYS:]
    load_kw = need.daily_kwh(days, building.months_of(weather.dates[-SEASON_DAYS:])) / 24.0
    if not load_kw.max() > 0:
        return first_guess, 0.0, _nothing_burned(), ()
    needed = given.rated_kw is None and float(load_kw.max()) > made.rated_kw
    if needed:
        made = boiler_of(site.table, least_kw=float(load_kw.max()))
    season = boiler.season(made, load_kw, buffer_l=site.table.buffer.volume_m3 * 1000.0)
    too_small = given.rated_kw is not None and season.unmet_kwh > 1e-9
    on_size = (season.answer_on_size,) if too_small else ()
    if given.seasonal_efficiency is not None:
        said = message(
            "setting.efficiency_of_folder",
            "{share} of the fuel become useful heat over the year, as the folder says.",
            share=Percent(given.seasonal_efficiency),
        )
        return given.seasonal_efficiency, 0.0, said, on_size
    # what was burned in past years is known in kilograms, whatever the boiler made of them
    doubt = 0.0 if fuel in year_of(site.table) else season.doubt
    how = _boiler_said(made.how, None if given.rated_kw is not None else made.rated_kw, needed)
    return season.efficiency, doubt, paragraph([how, season.why]), on_size


def _nothing_burned() -> Message:
    return message(
        "setting.nothing_burned",
        "By the folder nothing is burned here: no day of the weather record is cold enough for heating, and "
        "the boiler heats no water.",
    )


def _boiler_said(how: Message, taken_kw: float | None, needed: bool) -> Message:
    """Return where the boiler's efficiency comes from, and the rated output that was taken, if one was."""
    if taken_kw is None:
        return message("setting.efficiency", "Efficiency of the boiler: {how}.", how=how)
    rated = Quantity.written(taken_kw, "kW", ".0f")
    if needed:
        return message(
            "setting.efficiency_and_needed_output",
            "Efficiency of the boiler: {how}; its rated output is taken as {rated}, which the coldest days "
            "need.",
            how=how,
            rated=rated,
        )
    return message(
        "setting.efficiency_and_output",
        "Efficiency of the boiler: {how}; its rated output is taken as {rated}.",
        how=how,
        rated=rated,
    )


def _heat_need(site: Site, weather: DailyWeather, material: BulkMaterial, efficiency: float) -> HeatNeed:
    """Return the heat need by the best that the folder tells."""
    table = site.table.building
    water, _ = usual_hot_water(table)
    limit = table.heating_limit_c
    if limit is None:
        limit = building.HEATING_LIMIT_C if table.gains_w is None else building.NOT_HEATED_C
    heat = past_use(site.table, efficiency)
    gains, least_base_c = (400.0, LEAST_BASE_C) if table.gains_w is None else (table.gains_w, COLDEST_BASE_C)
    if heat is None and table.design_loss_kw is not None and table.design_outdoor_c is not None:
        found = building.from_design_loss(
            table.design_loss_kw,
            table.design_outdoor_c,
            indoor_c=table.indoor_c,
            gains_w=gains,
            hot_water_kwh_per_day=water,
        )
        return replace(found, heating_limit_c=limit)
    if heat is None:
        assert table.floor_area_m2 is not None  # the model of the file makes sure that one way is given
        found = building.from_floor_area(
            table.floor_area_m2,
            table.built,
            indoor_c=table.indoor_c,
            gains_w=table.gains_w,
            hot_water_kwh_per_day=water,
        )
        return replace(found, heating_limit_c=limit)
    stated = heat

    def need_of(kwh_per_year: float) -> HeatNeed:
        # What was burned is known, hot water is only usual: it never takes more than there was.
        most = MOST_HOT_WATER * kwh_per_year / DAYS_A_YEAR

        def with_base(base_c: float | None) -> HeatNeed:
            return building.from_yearly_heat(
                kwh_per_year,
                weather.mean_c,
                indoor_c=table.indoor_c,
                gains_w=gains,
                hot_water_kwh_per_day=min(water, most),
                base_c=base_c,
                heating_limit_c=limit,
                rel_sd=max(0.10, stated.rel_sd) if water < most else HOT_WATER_ALONE_SD,
                how=stated.how,
            )

        found = with_base(None)
        return found if found.base_c >= least_base_c else with_base(least_base_c)

    sources = second_sources_of(site.table.second_source, place_seasons(weather).here)
    return need_of(
        building.whole_heat_kwh(sources, stated.kwh_per_year, need_of, weather.dates, weather.mean_c)
    )

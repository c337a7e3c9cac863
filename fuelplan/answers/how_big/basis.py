"""What every part of the size answer rests on: past winters, their fuel, prices, the rule of ordering."""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np
from numpy.typing import NDArray

from fuelplan import sizing
from fuelplan.answers.draws import learned
from fuelplan.answers.how_big.answer import Assumption
from fuelplan.answers.how_big.costs import costs_of
from fuelplan.answers.how_big.fuel import stored_left
from fuelplan.answers.one_fire import setting_of
from fuelplan.answers.setting import Setting
from fuelplan.answers.store_words import asked_of_store, free_height, free_height_source
from fuelplan.answers.weather_of_site import SiteWeather
from fuelplan.learning import LevelUnknown
from fuelplan.messages import (
    Message,
    Percent,
    Quantity,
    as_message,
    counted_message,
    message,
)
from fuelplan.records.schema import SiteTable
from fuelplan.records.site import Site, boiler_of
from fuelplan.store.bulk import Store
from fuelplan.weather import (
    DailyWeather,
    TooLittleWeather,
    Winters,
    place_seasons,
    possible_winters,
    rolling_sums,
)

Floats = NDArray[np.float64]

MOST_WINTERS, ENOUGH_WINTERS = 30, 10
DAYS = 365
DRAWS = 200
MIDSUMMER = 7  # a year of heating is counted from 1 July, in the south from 1 January
LEAST_LOAD_KW = 0.1  # where nothing is heated at all, so that rules of thumb by power have one
LONGEST_LEAD_DAYS = 28  # a monthly rule cannot wait longer


@dataclass(frozen=True)
class Basis:
    """Setting, past winters and their fuel.

    Attributes
    ----------
    winters
        Whole years from midsummer on, the real ones first.
    demand_kg
        Shape (winters, 365): fuel of the store with the mean signature, what logs and other heat leave. [kg]
    kg_per_degree_day, kg_per_day, base_c
        The mean signature. [kg/(K d), kg, degC]
    doubt_low, doubt_high
        Factors on the year's use that hold 8 cases in 10.
    level_kg
        Fuel in store on the day of the answer; None where nothing tells. [kg]
    """

    site: Site
    setting: Setting
    weather: DailyWeather
    winters: Winters
    demand_kg: Floats
    kg_per_degree_day: float
    kg_per_day: float
    base_c: float
    doubt_low: float
    doubt_high: float
    level_kg: float | None
    load_kw: float
    load_said: Message
    rated_kw: float
    rule: sizing.OrderRule
    costs: sizing.StoreCosts
    currency: str
    assumptions: tuple[Assumption, ...]
    questions: tuple[Message, ...]
    warnings: tuple[Message, ...]

    @property
    def first_day(self) -> date:
        """First day of every year played."""
        return self.winters.first_day


def basis_of(site: Site, known: SiteWeather, as_of: date, seed: int) -> Basis:
    """Return what the parts of the answer rest on; `known` reaches to `as_of` and has no gaps."""
    setting = setting_of(site, known.weather, as_of)
    drawn = _drawn(setting, known.weather, np.random.default_rng([seed, 7]))
    winters, warnings = _years(known.weather, as_of, seed)
    slope, daily, base = (float(np.mean(v)) for v in (drawn.slope, drawn.daily, drawn.base_c))
    heated_c = setting.need.heating_c(winters.mean_c)
    alone = slope * np.maximum(0.0, base - heated_c) + daily
    low, high = _doubt(drawn, heated_c, alone)
    demand, beside = stored_left(setting, winters, alone)
    load_kw, load_said = _load(site, setting, known.weather)
    costs, currency, taken, asked = costs_of(site, setting, as_of)
    lead_days, late = _lead_days(site)
    supply = site.table.supply
    return Basis(
        site=site,
        setting=setting,
        weather=known.weather,
        winters=winters,
        demand_kg=demand,
        kg_per_degree_day=slope,
        kg_per_day=daily,
        base_c=base,
        doubt_low=low,
        doubt_high=high,
        level_kg=drawn.level_kg,
        load_kw=load_kw,
        load_said=load_said,
        rated_kw=site.table.boiler.rated_kw
        or (load_kw if load_kw > _hot_water_kw(setting) else boiler_of(site.table).rated_kw),
        rule=sizing.OrderRule(
            reserve_kg=site.table.store.reserve_kg,
            smallest_drop_kg=supply.smallest_drop_kg,
            largest_drop_kg=max(site.table.sizing.largest_drop_kg, supply.smallest_drop_kg),
            step_kg=min(supply.step_kg, supply.smallest_drop_kg),
            lead_days=lead_days,
            risk_limit=site.table.risk.per_order,
        ),
        costs=costs,
        currency=currency,
        assumptions=(
            *_burning(setting, drawn.readings, slope, daily, base),
            *_of_the_store(setting),
            *beside,
            *taken,
        ),
        questions=(*asked, *_asked_of_building(site), *asked_of_store(site.table, setting.store)),
        warnings=(
            *map(as_message, known.notes),
            *map(as_message, setting.warnings),
            *warnings,
            *late,
            *map(as_message, winters.notes),
        ),
    )


def _years(weather: DailyWeather, as_of: date, seed: int) -> tuple[Winters, tuple[Message, ...]]:
    """Return past years, each from midsummer on so that its winter stays whole; at most the latest thirty."""
    first = place_seasons(weather).next_start(MIDSUMMER, as_of + timedelta(days=1))
    try:
        paths = MOST_WINTERS if weather.reference_year else None
        real = possible_winters(weather, first, DAYS, seed=seed, method="real", variants=(), paths=paths)
        if real.winters >= ENOUGH_WINTERS:
            keep = slice(max(0, len(real.year) - MOST_WINTERS), None)
            count = min(real.winters, MOST_WINTERS)
            return Winters(first, real.mean_c[keep], real.year[keep], count, 0, real.notes), ()
    except TooLittleWeather:
        pass
    made = possible_winters(weather, first, DAYS, seed=seed, variants=(), paths=MOST_WINTERS)
    if made.winters == 0:
        return made, (
            message(
                "size.no_past_winter",
                "No past winter is on record; {winters} simulated winters were played instead. A record of "
                "real winters gives a firmer answer.",
                winters=len(made.year),
            ),
        )
    said = counted_message(
        "size.few_past_winters",
        "Only {n} whole past winter is in the weather record; the rest of the {played} played come from a "
        "weather generator. A longer record gives a firmer answer.",
        "Only {n} whole past winters stand in the weather record; the rest of the {played} played come from "
        "a weather generator. A longer record gives a firmer answer.",
        made.winters,
        played=len(made.year),
    )
    return made, (said,)


@dataclass(frozen=True)
class _Drawn:
    """Joint draws of the signature, the middle level in store, and how many readings stand behind both."""

    slope: Floats
    daily: Floats
    base_c: Floats
    level_kg: float | None
    readings: int


def _drawn(setting: Setting, weather: DailyWeather, rng: np.random.Generator) -> _Drawn:
    """Return draws of what was learned; of what stands on paper where nothing has been read yet."""
    try:
        if setting.observations or setting.deliveries:
            posterior = learned(setting, weather)
            found = posterior.draw(DRAWS, rng)
            level = float(np.median(found.level_kg))
            return _Drawn(found.kg_per_degree_day, found.kg_per_day, found.base_c, level, posterior.readings)
    except LevelUnknown:
        pass
    prior = setting.prior
    # base and slope are not drawn apart: on paper both follow from one yearly use
    rel_sd = prior.rel_sd_slope if prior.year_rel_sd is None else prior.year_rel_sd
    slope = prior.kg_per_degree_day * (1 + rel_sd * rng.standard_normal(DRAWS))
    daily = prior.kg_per_day * (1 + prior.rel_sd_day * rng.standard_normal(DRAWS))
    return _Drawn(np.maximum(slope, 0.0), np.maximum(daily, 0.0), np.full(DRAWS, prior.base_c), None, 0)


def _doubt(drawn: _Drawn, heated_c: Floats, demand: Floats) -> tuple[float, float]:
    """Return how far the year's use may be off its mean, as factors that hold 8 draws in 10."""
    cold = np.array([np.maximum(0.0, base - heated_c).sum(axis=1).mean() for base in drawn.base_c])
    yearly = drawn.slope * cold + DAYS * drawn.daily
    low, high = np.quantile(yearly / demand.sum(axis=1).mean(), (0.1, 0.9))
    return float(low), float(high)


def _load(site: Site, setting: Setting, weather: DailyWeather) -> tuple[float, Message]:
    """Return the heat load for the rules of thumb, and where it comes from. [kW]"""
    given = site.table.building
    if given.design_loss_kw is not None:
        return given.design_loss_kw, message("size.load_of_folder", "design heat loss, as the folder says")
    if given.design_outdoor_c is not None:
        outdoor_c = given.design_outdoor_c
        said = message(
            "size.load_at_design_temperature",
            "worked out from the heat need at {outdoor}, the design outdoor temperature",
            outdoor=Quantity.written(outdoor_c, "degC", ".0f"),
        )
    else:
        outdoor_c = float(np.nanmin(rolling_sums(weather.mean_c, 2) / 2))
        said = message(
            "size.load_at_coldest_days",
            "worked out from the heat need at {outdoor}, the coldest two days of the weather record",
            outdoor=Quantity.written(outdoor_c, "degC", ".0f"),
        )
    load_kw, water_kw = setting.need.design_kw(given.indoor_c, outdoor_c), _hot_water_kw(setting)
    if load_kw >= water_kw:
        return load_kw, said
    return water_kw, message(
        "size.load_of_hot_water",
        "hot water alone, spread over the day, since {outdoor} outside asks for next to no heating",
        outdoor=Quantity.written(outdoor_c, "degC", ".0f"),
    )


def _hot_water_kw(setting: Setting) -> float:
    """Return the mean power of the hot water, or a little where nothing is heated at all. [kW]"""
    return max(setting.need.hot_water_kwh_per_day / 24.0, LEAST_LOAD_KW)


def _lead_days(site: Site) -> tuple[int, tuple[Message, ...]]:
    """Return the longest lead time in calendar days, as far as a monthly rule can follow it."""
    working = site.table.supply.lead_time[1]
    days = math.ceil(working * 7 / 5)
    if days <= LONGEST_LEAD_DAYS:
        return max(1, days), ()
    late = message(
        "size.long_lead_time",
        "The lead time of up to {working} working days is longer than a month; sizes are reckoned with "
        "{days} days, so allow a larger store or order earlier.",
        working=working,
        days=LONGEST_LEAD_DAYS,
    )
    return LONGEST_LEAD_DAYS, (late,)


def _burning(
    setting: Setting, readings: int, slope: float, daily: float, base: float
) -> tuple[Assumption, ...]:
    """Return what is taken about heat and fuel."""
    fuel, store = setting.fuel, setting.store
    if readings > 1:
        source = message(
            "size.learned", "learned from {readings} readings and full deliveries", readings=readings
        )
    else:
        source = message("size.heat_need", "heat need {how}", how=as_message(setting.need.how))
    return (
        Assumption(
            message(
                "size.burns",
                "The building burns {slope} for each degree-day below {base} and {daily} every day besides",
                slope=Quantity(slope, "use_per_degree_day", 3, unit="kg/K/day", decimals=2),
                base=Quantity(base, "temperature"),
                daily=Quantity(daily, "mass", unit="kg", decimals=1),
            ),
            source,
        ),
        Assumption(
            message(
                "size.fuel_holds",
                "The fuel holds {energy}, of which {share} become useful heat over the year",
                energy=Quantity.written(setting.material.kwh_per_kg, "kWh/kg", "g"),
                share=Percent(setting.efficiency),
            ),
            setting.efficiency_said,
            explained=True,
        ),
        Assumption(
            message(
                "size.bulk_density",
                "The bulk density of {fuel} is {usual}; what surely fits is reckoned at {low}",
                fuel=fuel.word,
                usual=Quantity.written(store.bulk_kg_per_m3, "kg/m3", ".0f"),
                low=Quantity.written(store.bulk_low_kg_per_m3, "kg/m3", ".0f"),
            ),
            as_message(fuel.bulk_source),
        ),
    )


def _of_the_store(setting: Setting) -> tuple[Assumption, ...]:
    """Return what is taken about the room above a full store."""
    said = free_height(setting.site.table, setting.store)
    return () if said is None else (Assumption(said, free_height_source()),)


def _asked_of_building(site: Site) -> tuple[Message, ...]:
    asked = []
    if site.table.boiler.rated_kw is None:
        asked.append(message("size.ask_rated", "What is the rated output of the boiler?"))
    if site.table.building.design_loss_kw is None:
        asked.append(
            message("size.ask_load", "What is the design heat load, worked out by a heating engineer?")
        )
    return tuple(asked)


def bagged(table: SiteTable) -> bool:
    """Return whether pellets come in bags and are carried to the hopper by hand."""
    return table.conveying is not None and table.conveying.how == "hand"


def thing_of(store: Store, table: SiteTable) -> str:
    """Return what a store's cubic metres are of."""
    if bagged(table):
        return "pallets"
    if store.shape is None or store.shape.walk_in:
        return "room"
    return "bag silo" if table.store.shape == "fabric bag" else "tank"

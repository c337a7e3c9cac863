"""What every part of the size answer rests on: past winters, their fuel, prices, the rule of ordering."""

from __future__ import annotations

import calendar
import math
from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np
from numpy.typing import NDArray

from fuelplan import sizing, units
from fuelplan.answers.draws import learned
from fuelplan.answers.how_big.answer import Assumption
from fuelplan.answers.how_big.fuel import stored_left
from fuelplan.answers.money import season_of
from fuelplan.answers.setting import Setting, WhatIf, setting_of
from fuelplan.answers.store_words import (
    asked_of_store,
    free_height,
    free_height_source,
)
from fuelplan.answers.weather_of_site import SiteWeather
from fuelplan.learning import LevelUnknown
from fuelplan.messages import Said
from fuelplan.ordering import prices
from fuelplan.ordering.prices import drop_size_factor
from fuelplan.records.schema import SupplyTable
from fuelplan.records.site import Site
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
PRICED_DROP_KG = 5000.0  # the drop for which a single price is taken
PRICE_PER_KG = 0.35  # where the folder names no price (our assumption)
STORE_PER_M3, STORE_FIXED = 180.0, 1500.0  # where the folder names no costs (our assumption)
MIDSUMMER = 7  # a year of heating is counted from 1 July, in the south from 1 January
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
    load_said: str
    rated_kw: float
    rule: sizing.OrderRule
    costs: sizing.StoreCosts
    currency: str
    assumptions: tuple[Assumption, ...]
    questions: tuple[Said, ...]
    warnings: tuple[Said, ...]

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
    costs, currency, taken, asked = _costs(site, setting, as_of)
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
        rated_kw=site.table.boiler.rated_kw or load_kw,
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
        warnings=(*known.notes, *setting.warnings, *warnings, *late, *winters.notes),
    )


def _years(weather: DailyWeather, as_of: date, seed: int) -> tuple[Winters, tuple[str, ...]]:
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
            f"No past winter is on record; {len(made.year)} simulated winters were played instead. A "
            "record of real winters gives a firmer answer.",
        )
    said = (
        f"Only {made.winters} whole past winters stand in the weather record; the rest of the "
        f"{len(made.year)} played come from a "
        "weather generator. A longer record gives a firmer answer."
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
    slope = prior.kg_per_degree_day * (1 + prior.rel_sd_slope * rng.standard_normal(DRAWS))
    daily = prior.kg_per_day * (1 + prior.rel_sd_day * rng.standard_normal(DRAWS))
    # base and slope are not drawn apart: on paper both follow from one yearly use
    return _Drawn(np.maximum(slope, 0.0), np.maximum(daily, 0.0), np.full(DRAWS, prior.base_c), None, 0)


def _doubt(drawn: _Drawn, heated_c: Floats, demand: Floats) -> tuple[float, float]:
    """Return how far the year's use may be off its mean, as factors that hold 8 draws in 10."""
    cold = np.array([np.maximum(0.0, base - heated_c).sum(axis=1).mean() for base in drawn.base_c])
    yearly = drawn.slope * cold + DAYS * drawn.daily
    low, high = np.quantile(yearly / demand.sum(axis=1).mean(), (0.1, 0.9))
    return float(low), float(high)


def _load(site: Site, setting: Setting, weather: DailyWeather) -> tuple[float, str]:
    """Return the heat load for the rules of thumb. [kW]"""
    given = site.table.building
    if given.design_loss_kw is not None:
        return given.design_loss_kw, "design heat loss, as the folder says"
    if given.design_outdoor_c is not None:
        outdoor, where = given.design_outdoor_c, "the design outdoor temperature"
    else:
        two = rolling_sums(weather.mean_c, 2) / 2
        outdoor, where = float(np.nanmin(two)), "the coldest two days of the weather record"
    load = setting.need.design_kw(given.indoor_c, outdoor)
    return load, f"worked out from the heat need at {units.show_as(outdoor, 'degC', '.0f')}, {where}"


def _costs(
    site: Site, setting: Setting, as_of: date
) -> tuple[sizing.StoreCosts, str, tuple[Assumption, ...], tuple[str, ...]]:
    """Return prices and store costs, what was assumed about them, and what should be asked."""
    supply, fuel = site.table.supply, setting.fuel.name
    season = season_of(setting)
    per_kg, currency, price_said = _price(site, setting, as_of)
    taken: list[Assumption] = []
    asked: list[str] = []
    if per_kg is None:
        per_kg = PRICE_PER_KG
        taken.append(
            Assumption(
                f"{fuel.capitalize()} cost {units.show_price_as(per_kg, currency, '.0f', '/t')}",
                "our assumption; the folder names no price",
            )
        )
        asked.append(f"What do {fuel} cost here, all charges and tax included?")
    else:
        taken.append(
            Assumption(
                f"{fuel.capitalize()} cost {units.show_price_as(per_kg, currency, '.0f', '/t')} in a drop of "
                f"{units.show_as(PRICED_DROP_KG / 1000, 't')}, {price_said}",
                "the folder",
            )
        )
    in_season = float(season.factor[as_of.month - 1])
    mean = per_kg / in_season / float(drop_size_factor(np.array([PRICED_DROP_KG]))[0])
    (room, once), said, ask = _store_costs(site, currency)
    taken.append(said)
    asked += ask
    taken.append(_season_taken(setting, supply, season))
    costs = sizing.StoreCosts(
        price_per_kg=mean,
        season=tuple(float(f) for f in season.factor),
        room_per_m3=room,
        store_fixed=once,
        years=float(site.table.sizing.store_years),
        interest=supply.interest,
    )
    return costs, currency, tuple(taken), tuple(asked)


def _season_taken(setting: Setting, supply: SupplyTable, season: prices.SeasonFactors) -> Assumption:
    """Return what is assumed about prices over the year."""
    if supply.season != "usual" or supply.price_history is not None:
        return Assumption("Season of prices as the folder says", "the folder")
    published = f"{season.how}, and drop sizes, computed from published prices"
    seasons = setting.seasons
    if seasons.late_months is None:
        return Assumption("No month is cheaper than another; small drops cost more per tonne", published)
    first, last = (calendar.month_name[seasons.month(m) or m] for m in (5, 8))
    what = f"{setting.fuel.name.capitalize()} are cheapest in {first} to {last} and dearest in winter"
    text = f"{what}; small drops cost more per tonne"
    return Assumption(text, published)


def _store_costs(site: Site, currency: str) -> tuple[tuple[float, float], Assumption, list[str]]:
    """Return the cost of a cubic metre of room and of a store besides, where from, and what to ask."""
    given = site.table.sizing
    known = [m for m in (given.store_per_m3, given.store_fixed) if m is not None]
    room, once = (0.0 if m is None else m[0] for m in (given.store_per_m3, given.store_fixed))
    if not known:
        room, once = STORE_PER_M3, STORE_FIXED
    text = (
        f"A store costs {room:.0f} {currency} for each cubic metre of room and {once:,.0f} {currency} "
        f"besides, written off over {given.store_years} years at {site.table.supply.interest:.1%} interest"
    )
    if known:
        return (room, once), Assumption(text, "the folder"), []
    source = "our assumption; the folder names no costs"
    return (room, once), Assumption(text, source), ["What does the store cost to build, by its size?"]


def _price(site: Site, setting: Setting, as_of: date) -> tuple[float | None, str, str]:
    """Return the price of a kilogram in a drop of 5 t, its money, and where it comes from."""
    supply, currency = site.table.supply, site.table.currency or "EUR"
    if site.table.offer:
        from fuelplan.answers.money import money_of

        money = money_of(setting, WhatIf())
        bill = (
            None
            if money is None
            else money.bill_for(PRICED_DROP_KG) or money.bill_for(supply.smallest_drop_kg)
        )
        if bill is not None:
            return bill.gross_per_kg, bill.currency, f"the best offer ({bill.supplier})"
    if supply.price is None:
        return None, currency, ""
    return supply.price[0], supply.price[1], "today's price"


def _lead_days(site: Site) -> tuple[int, tuple[str, ...]]:
    """Return the longest lead time in calendar days, as far as a monthly rule can follow it."""
    working = site.table.supply.lead_time[1]
    days = math.ceil(working * 7 / 5)
    if days <= LONGEST_LEAD_DAYS:
        return max(1, days), ()
    return LONGEST_LEAD_DAYS, (
        f"The lead time of up to {working} working days is longer than a month; sizes are "
        f"reckoned with {LONGEST_LEAD_DAYS} days, "
        "so allow a larger store or order earlier.",
    )


def _burning(
    setting: Setting, readings: int, slope: float, daily: float, base: float
) -> tuple[Assumption, ...]:
    """Return what is taken about heat and fuel."""
    us = units.reader().system == "us"
    kg, word = (units.parse("1 lb", "mass"), "lb") if us else (1.0, "kg")
    holds = units.show(setting.material.kwh_per_kg, "energy_per_mass") if us else ""
    held = (
        f"{setting.fuel.name.capitalize()} hold {holds}"
        if us
        else f"A kilogram of {setting.fuel.name} holds {setting.material.kwh_per_kg:g} kWh"
    )
    kilogram = f"{held}, of which {setting.efficiency:.0%} become useful heat over the year"
    source = (
        f"learned from {readings} readings and full deliveries"
        if readings > 1
        else f"heat need {setting.need.how}"
    )
    return (
        Assumption(
            f"The building burns {slope / kg / (1.8 if us else 1.0):.2f} {word} for each degree-day below "
            f"{units.show(base, 'temperature')} and {daily / kg:.1f} {word} every day besides",
            source,
        ),
        Assumption(kilogram, setting.efficiency_said),
        Assumption(_weighs(setting), setting.fuel.bulk_source),
    )


def _weighs(setting: Setting) -> str:
    """Return how dense the fuel lies, by the reader's measures."""
    fuel, usual, low = setting.fuel.name, setting.store.bulk_kg_per_m3, setting.store.bulk_low_kg_per_m3
    if units.reader().system == "us":
        texts = (units.show(density, "density").replace("/cu ft", "") for density in (usual, low))
        return "A cubic foot of {} weighs {}; what surely fits is reckoned at {}".format(fuel, *texts)
    return f"A cubic metre of {fuel} weighs {usual:.0f} kg; what surely fits is reckoned at {low:.0f} kg"


def _of_the_store(setting: Setting) -> tuple[Assumption, ...]:
    """Return what is taken about the room above a full store."""
    said = free_height(setting.site.table, setting.store)
    return () if said is None else (Assumption(said, free_height_source()),)


def _asked_of_building(site: Site) -> tuple[str, ...]:
    asked = []
    if site.table.boiler.rated_kw is None:
        asked.append("What is the rated output of the boiler?")
    if site.table.building.design_loss_kw is None:
        asked.append("What is the design heat load, worked out by a heating engineer?")
    return tuple(asked)

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
from fuelplan.answers.how_big.fuel import stored_left
from fuelplan.answers.money import season_of
from fuelplan.answers.setting import Setting, WhatIf, setting_of
from fuelplan.answers.store_words import asked_of_store, free_height, free_height_source
from fuelplan.answers.weather_of_site import SiteWeather
from fuelplan.learning import LevelUnknown
from fuelplan.messages import (
    Message,
    Money,
    Month,
    Own,
    Percent,
    Price,
    Quantity,
    as_message,
    counted_message,
    message,
)
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
    return setting.need.design_kw(given.indoor_c, outdoor_c), said


def _costs(
    site: Site, setting: Setting, as_of: date
) -> tuple[sizing.StoreCosts, str, tuple[Assumption, ...], tuple[Message, ...]]:
    """Return prices and store costs, what was assumed about them, and what should be asked."""
    supply, fuel = site.table.supply, setting.fuel.word
    season = season_of(setting)
    per_kg, currency, where = _price(site, setting, as_of)
    taken: list[Assumption] = []
    asked: list[Message] = []
    if per_kg is None or where is None:
        per_kg = PRICE_PER_KG
        taken.append(
            Assumption(
                message(
                    "size.price_assumed",
                    "Price of {fuel}: {price}",
                    fuel=fuel,
                    price=Price(per_kg, currency),
                ),
                message("size.no_price_in_folder", "our assumption; the folder names no price"),
            )
        )
        asked.append(
            message("size.ask_price", "What do {fuel} cost here, all charges and tax included?", fuel=fuel)
        )
    else:
        taken.append(
            Assumption(
                message(
                    "size.price",
                    "Price of {fuel}: {price} in a drop of {drop}, {where}",
                    fuel=fuel,
                    price=Price(per_kg, currency),
                    drop=Quantity.written(PRICED_DROP_KG / 1000, "t"),
                    where=where,
                ),
                _the_folder(),
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


def _the_folder() -> Message:
    return message("size.the_folder", "the folder")


def _season_taken(setting: Setting, supply: SupplyTable, season: prices.SeasonFactors) -> Assumption:
    """Return what is assumed about prices over the year."""
    if supply.season != "usual" or supply.price_history is not None:
        return Assumption(
            message("size.season_of_folder", "Season of prices as the folder says"), _the_folder()
        )
    published = message(
        "size.season_published",
        "{how}, and drop sizes, computed from published prices",
        how=as_message(season.how),
    )
    seasons = setting.seasons
    if seasons.late_months is None:
        text = message(
            "size.no_cheap_month",
            "No month is cheaper than another; small drops cost more per tonne",
        )
        return Assumption(text, published)
    first, last = (Month(seasons.month(m) or m) for m in (5, 8))
    text = message(
        "size.cheap_months",
        "Over the year {fuel} are cheapest in {first} to {last} and dearest in winter; small drops cost more "
        "per tonne",
        fuel=setting.fuel.word,
        first=first,
        last=last,
    )
    return Assumption(text, published)


def _store_costs(site: Site, currency: str) -> tuple[tuple[float, float], Assumption, list[Message]]:
    """Return the cost of a cubic metre of room and of a store besides, where from, and what to ask."""
    given = site.table.sizing
    known = [m for m in (given.store_per_m3, given.store_fixed) if m is not None]
    room, once = (0.0 if m is None else m[0] for m in (given.store_per_m3, given.store_fixed))
    if not known:
        room, once = STORE_PER_M3, STORE_FIXED
    text = message(
        "size.store_costs",
        "A store costs {room} for each cubic metre of room and {once} besides, written off over {years} "
        "years at {interest} interest",
        room=Money(room, currency),
        once=Money(once, currency),
        years=given.store_years,
        interest=Percent(site.table.supply.interest, 1),
    )
    if known:
        return (room, once), Assumption(text, _the_folder()), []
    source = message("size.no_costs_in_folder", "our assumption; the folder names no costs")
    ask = message("size.ask_costs", "What does the store cost to build, by its size?")
    return (room, once), Assumption(text, source), [ask]


def _price(site: Site, setting: Setting, as_of: date) -> tuple[float | None, str, Message | None]:
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
            where = message("size.best_offer", "the best offer ({supplier})", supplier=Own(bill.supplier))
            return bill.gross_per_kg, bill.currency, where
    if supply.price is None:
        return None, currency, None
    return supply.price[0], supply.price[1], message("size.todays_price", "today's price")


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

"""What fuel costs at a site, today and over the year: offers as whole bills, the season of prices, an empty
store.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date
from typing import Any

import numpy as np
from numpy.typing import NDArray

from fuelplan.answers.setting import Setting, WhatIf
from fuelplan.messages import (
    Message,
    Money,
    Month,
    Number,
    Percent,
    Price,
    Quantity,
    message,
    paragraph,
)
from fuelplan.ordering import Costs, Market, prices
from fuelplan.records.site import (
    against_priced_drop,
    amounts_offered,
    drop_terms,
    history_of,
    offer_of,
    single_price,
)
from fuelplan.weather import PlaceSeasons

Floats = NDArray[np.float64]

OTHER_HEAT_PER_KWH = 0.35  # electric heaters, where the folder does not say (our assumption)
NOMINAL_PER_KG = 0.3  # only weighs orders against each other where no price is known
EMPTY_COST = 150.0  # express delivery or call-out, where the folder does not say (our assumption)


@dataclass(frozen=True)
class SitePrices:
    """Prices of a site.

    Attributes
    ----------
    offers
        As they stand on paper; one made up from the single price where the folder has no offers.
    market
        What can be ordered today, and what later orders and an empty store cost.
    said
        Where the figures come from, a sentence each.
    """

    offers: tuple[prices.Offer, ...]
    market: Market
    said: tuple[Message, ...]

    @property
    def currency(self) -> str:
        """The money of all figures."""
        return self.market.costs.usual.currency

    def bill_for(self, kg: float, on: date | None = None, hose_m: float = 0.0) -> prices.Bill | None:
        """Return the cheapest whole bill for an amount; None where no offer serves it."""
        best = prices.compare(self.offers, kg, on=on, hose_m=hose_m).best
        return None if best is None else best[1]


def money_of(setting: Setting, what_if: WhatIf) -> SitePrices | None:
    """Return the prices of a site; None where the folder names none.

    Raises
    ------
    OfferError, HistoryError
        Where offers contradict themselves or the price history cannot be read.
    """
    site, supply = setting.site, setting.site.table.supply
    offers = tuple(offer_of(site.table, table, what_if.price_factor) for table in site.table.offer)
    said: list[Message] = []
    amounts = amounts_offered(site.table, setting.store)
    if not offers:
        if supply.price is None:
            return None
        offers = (single_price(amounts, supply.price[0] * what_if.price_factor, supply.price[1]),)
        said.append(_single_price_said())
    common = drop_terms(supply)
    usual = prices.tariff(offers, amounts, **common)
    today = _today(offers, amounts, setting.as_of, common)
    if not today:
        today = ((usual, None),)
        said.append(
            message(
                "money.no_offer_today",
                "No offer can be taken today; bills are those of the offers when they could.",
            )
        )
    season = season_of(setting)
    said.append(_season_said(season))
    per_kg, event, why = _emergency(setting, usual.currency)
    said.append(why)
    costs = Costs(usual, season, per_kg, event, supply.interest)
    return SitePrices(offers, Market(today, costs), tuple(said))


def nominal_money(setting: Setting) -> SitePrices:
    """Return money at a nominal price, for weighing risk alone where the folder names no price."""
    amounts = amounts_offered(setting.site.table, setting.store)
    offer = single_price(amounts, NOMINAL_PER_KG, "EUR")
    usual = prices.tariff((offer,), amounts)
    per_kg, event, _ = _emergency(setting, usual.currency)
    costs = Costs(usual, usual_season(setting.seasons), per_kg, event)
    return SitePrices((offer,), Market(((usual, None),), costs), ())


def _today(
    offers: tuple[prices.Offer, ...], amounts: Floats, as_of: date, common: dict[str, Any]
) -> tuple[tuple[prices.Tariff, tuple[date, date] | None], ...]:
    """Return what can be ordered today: offers of the usual lead time together, each with delivery weeks of
    its own apart.
    """
    anytime = [o for o in offers if o.deliver_until is None]
    groups: list[tuple[list[prices.Offer], tuple[date, date] | None]] = [(anytime, None)] if anytime else []
    groups += [
        ([o], (o.deliver_from or as_of, o.deliver_until))
        for o in offers
        if o.deliver_until is not None and o.deliver_until > as_of
    ]
    found = []
    for group, weeks in groups:
        try:
            found.append((prices.tariff(group, amounts, on=as_of, **common), weeks))
        except prices.OfferError:
            continue  # ended, or not for these amounts; the comparison of bills says which and why
    return tuple(found)


def _single_price_said() -> Message:
    """Return what a single price is taken for."""
    three, five, eight = (Quantity.written(tonnes, "t") for tonnes in (3.0, 5.0, 8.0))
    return message(
        "money.single_price",
        "The price is taken for a drop of {five}; others cost more or less by weight as published drop sizes "
        "do ({three} {of_three}, {eight} {of_eight} of it).",
        five=five,
        three=three,
        of_three=Number(against_priced_drop(3000.0), 3),
        eight=eight,
        of_eight=Number(against_priced_drop(8000.0), 3),
    )


def season_of(setting: Setting) -> prices.SeasonFactors:
    """Return how prices move over the year at a site: its own history, none, or the published months."""
    history = history_of(setting.site)
    if history is not None:
        return prices.season_from_history(history)
    if setting.site.table.supply.season == "none":
        how = message("season.none_by_folder", "nothing, as the folder says")
        return prices.SeasonFactors(np.ones(12), np.zeros(12), 0.0, how)
    return usual_season(setting.seasons)


def usual_season(seasons: PlaceSeasons) -> prices.SeasonFactors:
    """Return the published months of prices as they fall at a place; without seasons no month is cheap."""
    north = prices.default_season()
    if seasons.late_months is None:
        how = message(
            "season.no_cold_half",
            "nothing: without a cold half of the year the published months do not apply here",
        )
        return prices.SeasonFactors(np.ones(12), np.zeros(12), 0.0, how)
    if not seasons.late_months:
        return north
    how = message(
        "season.moved", "{published}, moved by half a year to the winter of this place", published=north.how
    )
    return replace(north, factor=np.array(seasons.here(north.factor.tolist())), how=how)


def _season_said(season: prices.SeasonFactors) -> Message:
    if np.ptp(season.factor) == 0:
        return message("season.flat", "Prices move over the year by {how}.", how=season.how)
    cheapest = season.cheapest_month()
    month, error = Month(cheapest), float(season.give_or_take()[cheapest - 1])
    if error == 0:
        return message(
            "season.cheapest",
            "Prices move over the year by {how}; cheapest in {month}.",
            how=season.how,
            month=month,
        )
    return message(
        "season.cheapest_by",
        "Prices move over the year by {how}; cheapest in {month}, {below} below the mean of the year, give "
        "or take {error}.",
        how=season.how,
        month=month,
        below=Percent(1 - float(season.factor[cheapest - 1]), 1),
        error=Percent(error, 1),
    )


def _emergency(setting: Setting, currency: str) -> tuple[float, float, Message]:
    """Return what an empty store costs for each kilogram lacking and each time, and the sentence for it."""
    supply = setting.site.table.supply
    per_kwh = OTHER_HEAT_PER_KWH if supply.other_heat is None else supply.other_heat[0]
    found = prices.emergency_fuel(
        None if supply.bags is None else supply.bags[0],
        can_tip_in_from_outside=supply.bags_tipped_in,
        other_heat_price_per_kg=per_kwh * setting.useful_kwh_per_kg,
        event_cost=EMPTY_COST if supply.empty_cost is None else supply.empty_cost[0],
    )
    counted = message(
        "money.empty_store",
        "An empty store is counted at {each_time} each time and {lacking} lacking.",
        each_time=Money(found.event_cost, currency),
        lacking=Price(found.price_per_kg, currency, each="kg"),
    )
    return found.price_per_kg, found.event_cost, paragraph([counted, found.text])

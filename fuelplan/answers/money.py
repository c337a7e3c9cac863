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
    Listed,
    Message,
    Money,
    Month,
    Number,
    Own,
    Percent,
    Price,
    Quantity,
    as_message,
    message,
    paragraph,
)
from fuelplan.ordering import Costs, prices
from fuelplan.records.schema import OfferTable
from fuelplan.records.site import Site, text_beside
from fuelplan.weather import PlaceSeasons

Floats = NDArray[np.float64]

PRICED_DROP_KG = 5000.0  # the drop that a single price is taken for
OTHER_HEAT_PER_KWH = 0.35  # electric heaters, where the folder does not say (our assumption)
NOMINAL_PER_KG = 0.3  # only weighs orders against each other where no price is known
EMPTY_COST = 150.0  # express delivery or call-out, where the folder does not say (our assumption)
MOST_AMOUNTS = 30


@dataclass(frozen=True)
class SitePrices:
    """Prices of a site.

    Attributes
    ----------
    offers
        As they stand on paper; one made up from the single price where the folder has no offers.
    today
        What can be ordered today: whole bills by amount, each with the delivery weeks it names (None: the
        usual lead time).
    costs
        Whole bills of later orders, season, interest, an empty store.
    said
        Where the figures come from, a sentence each.
    """

    offers: tuple[prices.Offer, ...]
    today: tuple[tuple[prices.Tariff, tuple[date, date] | None], ...]
    costs: Costs
    said: tuple[Message, ...]

    @property
    def currency(self) -> str:
        """The money of all figures."""
        return self.costs.usual.currency

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
    offers = tuple(_offer(site, table, what_if.price_factor) for table in site.table.offer)
    said: list[Message] = []
    if not offers:
        if supply.price is None:
            return None
        offers = (_single_price(setting, supply.price[0] * what_if.price_factor, supply.price[1]),)
        said.append(_single_price_said())
    amounts = amounts_offered(setting)
    shared = None if supply.neighbour_kg is None else prices.Shared(supply.neighbour_kg)
    common: dict[str, Any] = {"hose_m": supply.hose_m, "shared": shared, "interest_per_year": supply.interest}
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
    return SitePrices(offers, today, Costs(usual, season, per_kg, event, supply.interest), tuple(said))


def nominal_money(setting: Setting) -> SitePrices:
    """Return money at a nominal price, for weighing risk alone where the folder names no price."""
    offer = _single_price(setting, NOMINAL_PER_KG, "EUR")
    usual = prices.tariff((offer,), amounts_offered(setting))
    per_kg, event, _ = _emergency(setting, usual.currency)
    return SitePrices(
        (offer,), ((usual, None),), Costs(usual, usual_season(setting.seasons), per_kg, event), ()
    )


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


def amounts_offered(setting: Setting) -> Floats:
    """Return the amounts to choose from, rising from the smallest drop to a full store. [kg]"""
    supply = setting.site.table.supply
    most = setting.store.surely_fits_kg(setting.store.unusable_kg, supply.step_kg)
    if most < supply.smallest_drop_kg:
        return np.array([supply.smallest_drop_kg])
    steps = int((most - supply.smallest_drop_kg) / supply.step_kg + 1e-9)
    stride = max(1, -(-steps // MOST_AMOUNTS))
    amounts = supply.smallest_drop_kg + supply.step_kg * stride * np.arange(steps // stride + 1)
    return np.unique(np.append(amounts, most))


def _offer(site: Site, table: OfferTable, price_factor: float) -> prices.Offer:
    country = site.table.place.country
    vat = table.vat
    if vat is None:
        known = country is not None and country in prices.VAT_ON_WOOD_FUEL
        # With tax in the prices its share changes no sum; without it a wrong share would, so it is asked for.
        vat = prices.vat_on_wood_fuel(country or "")[0] if known or not table.with_vat else 0.0
    currencies = {b.price[1] for b in table.prices}
    if len(currencies) > 1:
        raise prices.OfferError(
            message(
                "offer.prices_in_several_moneys",
                "{supplier}: prices in {moneys}; write them in one money",
                supplier=Own(table.supplier),
                moneys=Listed(tuple(map(Own, sorted(currencies))), " and "),
            )
        )

    def amount(money: tuple[float, str] | None) -> float:
        return 0.0 if money is None else money[0]

    return prices.Offer(
        supplier=table.supplier,
        currency=currencies.pop(),
        brackets=tuple(prices.Bracket(b.from_kg, b.price[0] * price_factor) for b in table.prices),
        vat_share=vat,
        prices_with_vat=table.with_vat,
        charges_vat_share=table.charges_vat,
        maximum_kg=table.largest_kg or float("inf"),
        delivery_charge=amount(table.delivery_charge),
        blow_in_charge=amount(table.blow_in_charge),
        hose_included_m=table.hose_included_m,
        hose_charge_per_m=amount(table.hose_charge),
        failed_trip_charge=amount(table.failed_trip_charge),
        valid_from=table.valid_from,
        valid_until=table.valid_until,
        deliver_from=table.deliver_from,
        deliver_until=table.deliver_until,
        pay_within_days=table.pay_within_days,
        discount_share=table.discount,
        discount_within_days=table.discount_within_days,
        shared_orders=table.shared_orders,
    )


def _against_priced_drop(kg: float) -> float:
    """Return the price per tonne of a drop over that of the drop which a single price is taken for."""
    one, priced = prices.drop_size_factor(np.array([kg, PRICED_DROP_KG]))
    return float(one / priced)


def _single_price_said() -> Message:
    """Return what a single price is taken for."""
    three, five, eight = (Quantity.written(tonnes, "t") for tonnes in (3.0, 5.0, 8.0))
    return message(
        "money.single_price",
        "The price is taken for a drop of {five}; others cost more or less by weight as published drop sizes "
        "do ({three} {of_three}, {eight} {of_eight} of it).",
        five=five,
        three=three,
        of_three=Number(_against_priced_drop(3000.0), 3),
        eight=eight,
        of_eight=Number(_against_priced_drop(8000.0), 3),
    )


def _single_price(setting: Setting, per_kg: float, currency: str) -> prices.Offer:
    """Return an offer of drop-size prices around one price."""
    amounts = amounts_offered(setting)
    factors = [_against_priced_drop(float(kg)) for kg in amounts]
    brackets = tuple(
        prices.Bracket(float(kg), float(per_kg * f)) for kg, f in zip(amounts, factors, strict=True)
    )
    return prices.Offer(supplier="price in the folder", currency=currency, brackets=brackets, vat_share=0.0)


def season_of(setting: Setting) -> prices.SeasonFactors:
    """Return how prices move over the year at a site: its own history, none, or the published months."""
    history = history_of(setting.site)
    if history is not None:
        return prices.season_from_history(history)
    if setting.site.table.supply.season == "none":
        how = message("season.none_by_folder", "nothing, as the folder says")
        return prices.SeasonFactors(np.ones(12), np.zeros(12), 0.0, how)
    return usual_season(setting.seasons)


def history_of(site: Site) -> list[prices.PastPrice] | None:
    """Return the past prices that the folder names; None where it names none.

    Raises
    ------
    HistoryError
        Where they cannot be read.
    """
    name = site.table.supply.price_history
    if name is None:
        return None
    text, faults = text_beside(site, name)
    if text is None or faults:
        raise prices.HistoryError([(0, as_message(str(faults[0])))])
    return prices.history_from_csv(text)


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

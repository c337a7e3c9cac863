"""What fuel and a store cost in the size answer, what was assumed about it, and what should be asked."""

from __future__ import annotations

from datetime import date

import numpy as np

from fuelplan import sizing
from fuelplan.answers.how_big.answer import Assumption
from fuelplan.answers.money import season_of
from fuelplan.answers.setting import Setting, WhatIf
from fuelplan.messages import Message, Money, Month, Own, Percent, Price, Quantity, as_message, message
from fuelplan.ordering import prices
from fuelplan.ordering.prices import drop_size_factor
from fuelplan.records.schema import SupplyTable
from fuelplan.records.site import Site

PRICED_DROP_KG = 5000.0  # the drop for which a single price is taken
PRICE_PER_KG = 0.35  # where the folder names no price (our assumption)
STORE_PER_M3, STORE_FIXED = 180.0, 1500.0  # where the folder names no costs (our assumption)


def costs_of(
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
        currency=currency,
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

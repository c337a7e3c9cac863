"""What of a folder's prices and offers contradicts itself or serves nobody: each at its place."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from fuelplan.messages import Fault, Listed, Message, Own, message, said_by
from fuelplan.ordering import prices
from fuelplan.records.schema import SITE_FILE
from fuelplan.records.site.folder import Site, text_beside
from fuelplan.records.site.to_domain import store_fault, store_of
from fuelplan.records.site.to_domain_money import (
    amounts_offered,
    drop_terms,
    kwh_per_unit_of,
    offer_of,
    single_price,
    stated_efficiency,
)


def price_faults(site: Site) -> list[Fault]:
    """Return every fault of offers and prices, whatever day is asked for."""
    return [*_offers(site), *_heat_prices(site)]


def other_currency(site: Site) -> Iterator[Fault]:
    """Yield the moneys that contradict the folder's currency."""
    table, supply = site.table, site.table.supply
    said = [
        ("supply.price", supply.price),
        ("supply.other_heat", supply.other_heat),
        ("supply.bags", supply.bags),
        ("supply.empty_cost", supply.empty_cost),
    ]
    said += [(f"offer.{i}.prices", b.price) for i, offer in enumerate(table.offer) for b in offer.prices]
    for key, money in said:
        if money is not None and table.currency is not None and money[1] != table.currency:
            yield _fault(
                key,
                message(
                    "check.other_currency",
                    "in {money}, but the folder's currency is {currency}; write one money",
                    money=Own(money[1]),
                    currency=Own(table.currency),
                ),
            )


def _offers(site: Site) -> Iterator[Fault]:
    """Yield what is wrong with each offer; where none is, what is wrong with all of them together."""
    table, supply = site.table, site.table.supply
    found = [_tried(f"offer.{i}", lambda one=one: offer_of(table, one)) for i, one in enumerate(table.offer)]  # type: ignore[misc]
    wrong = [fault for fault in found if fault is not None]
    yield from wrong
    if supply.neighbour_kg is not None and supply.neighbour_kg <= 0:
        said = message("check.neighbour", 'what a neighbour takes is above zero, e.g. "2.5 t"')
        yield _fault("supply.neighbour", said)
        return
    if wrong or store_fault(table) is not None:
        return
    offers = [offer_of(table, one) for one in table.offer]
    moneys = {offer.currency for offer in offers}
    if len(moneys) > 1:
        other = next(i for i, offer in enumerate(offers) if offer.currency != offers[0].currency)
        yield _fault(f"offer.{other}", _several(moneys))
        return
    amounts = amounts_offered(table, store_of(table))
    if offers:
        unserved = _tried("offer.0", lambda: prices.tariff(offers, amounts, **drop_terms(supply)))
    elif supply.price is not None:
        per_kg, currency = supply.price
        unserved = _tried(
            "supply.price",
            lambda: prices.tariff((single_price(amounts, per_kg, currency),), amounts, **drop_terms(supply)),
        )
    else:
        return
    yield from [unserved] if unserved is not None else []


def history_faults(site: Site) -> list[Fault]:
    """Return the faults of the past prices that a folder has, each at its line of their own file."""
    name = site.table.supply.price_history
    if name is None:
        return []
    text, faults = text_beside(site, name)
    if text is None or faults:
        return faults
    try:
        prices.season_from_history(prices.history_from_csv(text))
    except prices.HistoryError as error:
        return [Fault(name, line or None, "", said) for line, said in error.faults]
    except prices.HistoryTooShort as error:
        return [Fault(name, None, "", error.said)]
    return []


def _heat_prices(site: Site) -> Iterator[Fault]:
    """Yield the prices of heat that cannot be compared."""
    table = site.table
    for i, row in enumerate(table.fuel_price):
        for read in (kwh_per_unit_of, stated_efficiency):
            wrong = _tried(f"fuel_price.{i}", lambda read=read, row=row: read(table, row))  # type: ignore[misc]
            if wrong is not None:
                yield wrong
    moneys = [row.price.currency for row in table.fuel_price]
    if len(set(moneys)) > 1:
        other = next(i for i, money in enumerate(moneys) if money != moneys[0])
        yield _fault(f"fuel_price.{other}", _several(set(moneys)))


def _several(moneys: set[str]) -> Message:
    return message(
        "check.several_moneys",
        "prices in {moneys} cannot be compared; write them in one money",
        moneys=Listed(tuple(map(Own, sorted(moneys))), " and "),
    )


def _tried(key: str, action: Callable[[], object]) -> Fault | None:
    """Return the fault of what an action refuses, if it does."""
    try:
        action()
    except ValueError as error:
        return _fault(key, said_by(error))
    return None


def _fault(key: str, said: Message) -> Fault:
    return Fault(SITE_FILE, None, key, said)

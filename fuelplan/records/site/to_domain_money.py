"""Offers, prices and past prices of a house as the rooms work with them."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

from fuelplan.heat import boiler, building, fuels
from fuelplan.heat.fuels import FuelError
from fuelplan.messages import Listed, Own, as_message, message
from fuelplan.ordering import prices
from fuelplan.records.schema import FuelPriceTable, OfferTable, SiteTable, SupplyTable
from fuelplan.records.site.folder import Site, text_beside
from fuelplan.records.site.to_domain import boiler_of, material_of
from fuelplan.store.bulk import Store

Floats = NDArray[np.float64]

PRICED_DROP_KG = 5000.0  # the drop that a single price is taken for
MOST_AMOUNTS = 30
CARRIER = {"heating oil": "heating_oil", "natural gas": "natural_gas_bill", "electricity": "electricity"}
SOLD_IN = {"heating oil": "litre", "natural gas": "kwh", "electricity": "kwh"}


def amounts_offered(table: SiteTable, store: Store) -> Floats:
    """Return the amounts to choose from, rising from the smallest drop to a full store. [kg]

    Returns
    -------
    Shape (amounts,), at most about :data:`MOST_AMOUNTS`; the smallest drop alone where no more surely fits.
    """
    supply = table.supply
    most = store.surely_fits_kg(store.unusable_kg, supply.step_kg)
    if most < supply.smallest_drop_kg:
        return np.array([supply.smallest_drop_kg])
    steps = int((most - supply.smallest_drop_kg) / supply.step_kg + 1e-9)
    stride = max(1, -(-steps // MOST_AMOUNTS))
    amounts = supply.smallest_drop_kg + supply.step_kg * stride * np.arange(steps // stride + 1)
    return np.unique(np.append(amounts, most))


def drop_terms(supply: SupplyTable) -> dict[str, Any]:
    """Return what of every drop at a house changes its bill, by the names of :func:`prices.tariff`."""
    shared = None if supply.neighbour_kg is None else prices.Shared(supply.neighbour_kg)
    return {"hose_m": supply.hose_m, "shared": shared, "interest_per_year": supply.interest}


def offer_of(site: SiteTable, table: OfferTable, price_factor: float = 1.0) -> prices.Offer:
    """Return an offer, its prices times a factor.

    Parameters
    ----------
    site
        For country and tax.
    price_factor
        For a trial: "what if fuel cost 20 % more".

    Raises
    ------
    OfferError
        Where it contradicts itself.
    """
    country = site.place.country
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


def against_priced_drop(kg: float) -> float:
    """Return the price per tonne of a drop over that of the drop which a single price is taken for.

    Parameters
    ----------
    kg
        The drop. [kg]
    """
    one, priced = prices.drop_size_factor(np.array([kg, PRICED_DROP_KG]))
    return float(one / priced)


def single_price(amounts: Floats, per_kg: float, currency: str) -> prices.Offer:
    """Return an offer of drop-size prices around one price, for these amounts, of no supplier by name. [kg,
    money/kg]

    Parameters
    ----------
    amounts
        Shape (amounts,). [kg]
    per_kg
        What a drop of :data:`PRICED_DROP_KG` costs. [money/kg]
    """
    factors = [against_priced_drop(float(kg)) for kg in amounts]
    brackets = tuple(
        prices.Bracket(float(kg), float(per_kg * f)) for kg, f in zip(amounts, factors, strict=True)
    )
    return prices.Offer(supplier="", currency=currency, brackets=brackets, vat_share=0.0)


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


def kwh_per_unit_of(table: SiteTable, row: FuelPriceTable) -> float:
    """Return the net energy in the unit of a price to compare. [kWh]

    Raises
    ------
    FuelError
        A unit that the fuel is not sold in, or wood of which too little is said.
    """
    per = row.price.per
    if row.fuel in CARRIER:
        if per != SOLD_IN[row.fuel]:
            raise FuelError(f"{row.name}: {row.fuel} is priced per {SOLD_IN[row.fuel]} here, not per {per}")
        return building.CARRIERS[CARRIER[row.fuel]].kwh_per_unit
    wood = fuels.fuel(row.fuel)
    said: fuels.Material | None = None
    if wood.by_wood and row.wood is not None and row.water is not None:
        said = wood.material(row.wood, row.water)
    elif wood.in_bulk:
        said = material_of(table, wood)
    try:
        return wood.kwh_per_unit(per, row.price.each_kg, said)
    except FuelError as fault:
        raise FuelError(f"{row.name}: {fault}") from None


def stated_efficiency(table: SiteTable, row: FuelPriceTable) -> float | None:
    """Return the efficiency that a price to compare is used with; None for that of the house's own boiler.

    Raises
    ------
    FuelError
        Where nothing tells it.
    """
    if row.efficiency is not None:
        return row.efficiency
    if row.fuel == table.boiler.bulk.name:
        return None
    if row.fuel in fuels.names():
        return boiler.seasonal_efficiency(boiler_of(table, fuels.fuel(row.fuel)))
    raise FuelError(
        f"{row.name}: say its efficiency over the year, e.g. efficiency = 0.88, or 3.2 for a heat pump"
    )

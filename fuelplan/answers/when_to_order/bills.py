"""The whole bill of an order, and what a kilowatt-hour of heat costs over all fuels that a person enters."""

from __future__ import annotations

from fuelplan.answers.money import SitePrices
from fuelplan.answers.setting import Setting
from fuelplan.answers.when_to_order.answer import HeatPrice, WholeBill
from fuelplan.heat import fuels
from fuelplan.heat.fuels import FuelError, HeatOffer
from fuelplan.messages import Listed, Own, message
from fuelplan.ordering import prices
from fuelplan.records.schema import FuelPriceTable
from fuelplan.records.site import drop_terms, kwh_per_unit_of, stated_efficiency

SHORT = {"heating oil": "oil", "natural gas": "gas"}


def whole_bill(money: SitePrices, setting: Setting, kg: float) -> WholeBill | None:
    """Return the cheapest bill for an amount, line by line, with the offers it was compared with."""
    terms = drop_terms(setting.site.table.supply)
    found = prices.compare(money.offers, kg, on=setting.as_of, **terms)
    if found.best is None:
        return None
    _, best, _ = found.best
    return WholeBill(
        supplier=best.supplier,
        amount_kg=kg,
        total=best.gross,
        lines=tuple((line.text, line.gross) for line in best.lines),
        others=tuple((one.supplier, one.gross) for _, one, _ in found.bills[1:]),
        refused=tuple(said for _, said in found.refused),
        notes=best.notes,
    )


def heat_prices(setting: Setting) -> tuple[HeatPrice, ...]:
    """Return the cost of a kilowatt-hour of useful heat for every fuel price of the folder, cheapest first.

    Raises
    ------
    FuelError
        A price in a unit that its fuel is not sold in, or prices in different moneys.
    """
    rows = setting.site.table.fuel_price
    if not rows:
        return ()
    moneys = sorted({row.price.currency for row in rows})
    if len(moneys) > 1:
        raise FuelError(
            message(
                "order.heat_prices_in_several_moneys",
                "fuel prices in {moneys} cannot be compared; write them in one money",
                moneys=Listed(tuple(map(Own, moneys)), " and "),
            )
        )
    country = setting.site.table.place.country or ""
    source = fuels.CO2_SOURCE_BY_COUNTRY.get(country, "German GEG Annex 9")
    found = fuels.heat_cost([_offer(setting, row) for row in rows], source)
    return tuple(
        HeatPrice(
            c.name,
            c.per_heat_kwh,
            c.per_heat_kwh_low,
            c.per_heat_kwh_high,
            c.co2_kg_per_kwh,
            c.co2_source,
            moneys[0],
        )
        for c in found
    )


def _offer(setting: Setting, row: FuelPriceTable) -> HeatOffer:
    table = setting.site.table
    kwh, stated = kwh_per_unit_of(table, row), stated_efficiency(table, row)
    return HeatOffer(
        name=row.name,
        fuel=SHORT.get(row.fuel, row.fuel),
        price=row.price.value,
        unit=row.price.per,
        kwh_per_unit=kwh,
        efficiency=setting.efficiency if stated is None else stated,
        by_volume=row.price.per in {"stacked_m3", "loose_m3"},
    )

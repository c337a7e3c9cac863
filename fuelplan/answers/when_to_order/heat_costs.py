"""What a kilowatt-hour of heat costs, over all fuels that a person enters."""

from __future__ import annotations

from fuelplan.answers.setting import Setting
from fuelplan.answers.when_to_order.answer import HeatPrice
from fuelplan.heat import boiler, building
from fuelplan.heat import fuels as fuel
from fuelplan.heat.fuels import FuelError, HeatOffer
from fuelplan.records.schema import FuelPriceTable
from fuelplan.records.site import boiler_of, material_of

CARRIER = {"heating oil": "heating_oil", "natural gas": "natural_gas_bill", "electricity": "electricity"}
SHORT = {"heating oil": "oil", "natural gas": "gas"}
SOLD_IN = {"heating oil": "litre", "natural gas": "kwh", "electricity": "kwh"}


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
        raise FuelError(f"fuel prices in {' and '.join(moneys)} cannot be compared; write them in one money")
    country = setting.site.table.place.country or ""
    source = fuel.CO2_SOURCE_BY_COUNTRY.get(country, "German GEG Annex 9")
    found = fuel.heat_cost([_offer(setting, row) for row in rows], source)
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
    kwh = _kwh_per_unit(setting, row)
    return HeatOffer(
        name=row.name,
        fuel=SHORT.get(row.fuel, row.fuel),
        price=row.price.value,
        unit=row.price.per,
        kwh_per_unit=kwh,
        efficiency=_efficiency(setting, row),
        by_volume=row.price.per in {"stacked_m3", "loose_m3"},
    )


def _kwh_per_unit(setting: Setting, row: FuelPriceTable) -> float:
    per = row.price.per
    if row.fuel in CARRIER:
        if per != SOLD_IN[row.fuel]:
            raise FuelError(f"{row.name}: {row.fuel} is priced per {SOLD_IN[row.fuel]} here, not per {per}")
        return building.CARRIERS[CARRIER[row.fuel]].kwh_per_unit
    wood = fuel.fuel(row.fuel)
    said: fuel.Material | None = None
    if wood.by_wood and row.wood is not None and row.water is not None:
        said = wood.material(row.wood, row.water)
    elif wood.in_bulk:
        said = material_of(setting.site.table, wood)
    try:
        return wood.kwh_per_unit(per, row.price.each_kg, said)
    except FuelError as fault:
        raise FuelError(f"{row.name}: {fault}") from None


def _efficiency(setting: Setting, row: FuelPriceTable) -> float:
    if row.efficiency is not None:
        return row.efficiency
    if row.fuel == setting.fuel.name:
        return setting.efficiency
    if row.fuel in fuel.names():
        return boiler.seasonal_efficiency(boiler_of(setting.site.table, fuel.fuel(row.fuel)))
    raise FuelError(
        f"{row.name}: say its efficiency over the year, e.g. efficiency = 0.88, or 3.2 for a heat pump"
    )

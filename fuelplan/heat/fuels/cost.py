"""What a kilowatt-hour of heat costs over all fuels entered, and CO2 by a named source."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from fuelplan.heat.fuels import registry
from fuelplan.heat.fuels.logs import VOLUME_REL_RANGE
from fuelplan.heat.fuels.moisture import FuelError
from fuelplan.messages import Listed, Own, message

# kg of CO2 equivalent per kWh of net energy, by national source.
CO2_KG_PER_KWH: dict[str, dict[str, float]] = {
    "German GEG Annex 9": {"wood": 0.020, "gas": 0.240, "oil": 0.310, "electricity": 0.560},
    "UK DESNZ 2025": {"wood": 0.0115},
    "Swiss KBOB": {"wood": 0.027},
}
CO2_SOURCE_BY_COUNTRY = {"DE": "German GEG Annex 9", "GB": "UK DESNZ 2025", "CH": "Swiss KBOB"}
WOOD = "wood"  # as the national tables call every wood fuel


def co2_kg_per_kwh(fuel: str, source: str) -> float:
    """Return kilograms of CO2 equivalent per kWh of net energy by a named national source.

    Parameters
    ----------
    fuel
        Name of a wood fuel in the registry, or "oil", "gas", "electricity" …
    source
        A key of `CO2_KG_PER_KWH`.

    Returns
    -------
    float
        Per kWh of net energy. [kg CO2e/kWh]

    Raises
    ------
    FuelError
        The source is not known, or has no figure for the fuel.
    """
    table = CO2_KG_PER_KWH.get(source)
    if table is None:
        raise FuelError(
            message(
                "co2.source",
                '"{source}" is not a valid source of CO2 figures; write one of {sources}',
                source=Own(source),
                sources=Listed(tuple(map(Own, CO2_KG_PER_KWH)), ", "),
            )
        )
    name = WOOD if fuel in registry.names() else fuel
    if name not in table:
        raise FuelError(
            message(
                "co2.no_figure",
                '{source} has no figure for "{fuel}" here; it has {known}',
                source=Own(source),
                fuel=Own(fuel),
                known=Listed(tuple(map(Own, sorted(table))), ", "),
            )
        )
    return table[name]


@dataclass(frozen=True)
class HeatOffer:
    """One way of buying heat.

    Attributes
    ----------
    name
        As the person calls it.
    fuel
        Name of a wood fuel in the registry, or "oil", "gas", "electricity" …
    price, unit, kwh_per_unit
        Price of one unit of sale (gross), its name ("t", "stacked m3", "litre", "kWh"), and net energy in it.
    efficiency
        Useful heat over net energy, the seasonal efficiency; a heat pump's yearly factor lies above 1.
    by_volume
        Sold by a measured pile, whose energy is known to 15 % only.
    other_per_kwh
        Electricity, sweeping and the like per kWh of heat, in the same money.
    """

    name: str
    fuel: str
    price: float
    unit: str
    kwh_per_unit: float
    efficiency: float
    by_volume: bool = False
    other_per_kwh: float = 0.0

    def __post_init__(self) -> None:
        """Refuse what cannot be bought or burned."""
        if not self.price >= 0:
            raise FuelError(
                message(
                    "offer.price",
                    "{name}: a price of {price} cannot be; write zero or more",
                    name=Own(self.name),
                    price=Own(f"{self.price:g}"),
                )
            )
        if not self.kwh_per_unit > 0:
            raise FuelError(
                message(
                    "offer.energy",
                    "{name}: {energy} kWh per {unit} cannot be; write one above zero",
                    name=Own(self.name),
                    energy=Own(f"{self.kwh_per_unit:g}"),
                    unit=Own(self.unit),
                )
            )
        if not 0 < self.efficiency <= 6:
            raise FuelError(
                message(
                    "offer.efficiency",
                    "{name}: an efficiency of {share} cannot be; write a share, e.g. 0.8",
                    name=Own(self.name),
                    share=Own(f"{self.efficiency:g}"),
                )
            )


@dataclass(frozen=True)
class HeatCost:
    """What one kWh costs: in the fuel, and as useful heat with its range; money as entered.

    `co2_kg_per_kwh` is per kWh of useful heat, None where the source has no figure.
    """

    name: str
    per_fuel_kwh: float
    per_heat_kwh: float
    per_heat_kwh_low: float
    per_heat_kwh_high: float
    co2_kg_per_kwh: float | None
    co2_source: str


def heat_cost(offers: Sequence[HeatOffer], co2_source: str = "German GEG Annex 9") -> tuple[HeatCost, ...]:
    """Return the cost of a kWh of useful heat for every offer, cheapest first.

    Parameters
    ----------
    offers
        Ways of buying heat, all in one money.
    co2_source
        A key of `CO2_KG_PER_KWH`.

    Returns
    -------
    tuple of HeatCost
        One for each offer; no CO2 figure where the source has none for its fuel. [money/kWh]

    Raises
    ------
    FuelError
        A source that is not there.
    """
    rows = []
    for o in offers:
        fuel_kwh = o.price / o.kwh_per_unit
        doubt = VOLUME_REL_RANGE if o.by_volume else 0.0
        try:
            co2 = co2_kg_per_kwh(o.fuel, co2_source) / o.efficiency
        except FuelError:
            if co2_source not in CO2_KG_PER_KWH:
                raise
            co2 = None  # the source says nothing of this fuel: nothing is invented for it
        low, mid, high = (
            fuel_kwh / (1.0 + more) / o.efficiency + o.other_per_kwh for more in (doubt, 0.0, -doubt)
        )
        rows.append(HeatCost(o.name, fuel_kwh, mid, low, high, co2, co2_source))
    return tuple(sorted(rows, key=lambda row: (row.per_heat_kwh, row.name)))

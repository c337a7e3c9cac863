"""Useful heat from what another heating burned: litres of oil, gas, kilowatt-hours, tonnes of wood."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from fuelplan.heat import fuels
from fuelplan.heat.building.need import BuildingError
from fuelplan.messages import Listed, Message, Own, Per, Percent, Quantity, Said, Value, message


@dataclass(frozen=True)
class Carrier:
    """An energy carrier as it is bought: the unit on the bill and its net energy."""

    unit: str
    kwh_per_unit: float
    source: Said


_ORDINANCE = "HeizkostenV §9(3)"
_WORDS = {
    "heating_oil": message("carrier.heating_oil", "heating oil"),
    "natural_gas": message("carrier.natural_gas", "natural gas"),
    "natural_gas_bill": message("carrier.natural_gas_bill", "natural gas bill"),
    "liquid_gas": message("carrier.liquid_gas", "liquid gas"),
    "electricity": message("carrier.electricity", "electricity"),
    "district_heat": message("carrier.district_heat", "district heat"),
}
CARRIERS: dict[str, Carrier] = {
    "heating_oil": Carrier("litre", 10.0, f"{_ORDINANCE}, value from memory"),
    "natural_gas": Carrier("m3", 10.0, f"{_ORDINANCE} for gas H, value from memory"),
    # A gas bill counts gross energy; net = gross x 0.901 for methane-rich gas.
    "natural_gas_bill": Carrier("kWh", 0.901, "net over gross energy of natural gas, value from memory"),
    "liquid_gas": Carrier("kg", 13.0, f"{_ORDINANCE}, value from memory"),
    "electricity": Carrier("kWh", 1.0, "by definition"),
    "district_heat": Carrier("kWh", 1.0, "by definition"),
}


def carriers() -> dict[str, Carrier]:
    """Return every carrier by its name: those above, and the wood fuels by weight."""
    wood = {f.name: Carrier("kg", f.usual_kwh_per_kg, f.usual_source) for f in fuels.planned()}
    return CARRIERS | wood


@dataclass(frozen=True)
class OldHeating:
    """Yearly efficiency of a heating, on net energy, and its doubt as a share."""

    efficiency: float
    rel_sd: float


# Common practice: yearly use efficiency on net energy.
OLD_HEATINGS: dict[str, OldHeating] = {
    "oil_before_1987": OldHeating(0.70, 0.10),
    "oil_low_temperature": OldHeating(0.84, 0.06),
    "oil_condensing": OldHeating(0.92, 0.05),
    "gas_before_1987": OldHeating(0.72, 0.10),
    "gas_low_temperature": OldHeating(0.85, 0.06),
    "gas_condensing": OldHeating(0.95, 0.05),
    "electric_direct": OldHeating(1.0, 0.01),
    "district_heat": OldHeating(1.0, 0.03),
    "log_boiler": OldHeating(0.70, 0.12),
    "pellet_boiler": OldHeating(0.80, 0.08),
}


@dataclass(frozen=True)
class UsefulHeat:
    """Useful heat of a year and its doubt as a share. [kWh]"""

    kwh_per_year: float
    rel_sd: float
    how: Message


def useful_heat(
    amount: float,
    carrier: str,
    *,
    efficiency: float | None = None,
    old_heating: str | None = None,
    kwh_per_unit: float | None = None,
    bill_rel_sd: float = 0.05,
) -> UsefulHeat:
    """Return the useful heat of a year's use of another carrier.

    Parameters
    ----------
    amount
        A year's use, above zero. [the carrier's unit]
    carrier
        One of :func:`carriers`.
    efficiency
        Yearly efficiency of the heating that burned it; a heat pump's yearly factor lies above 1. [-]
    old_heating
        One of `OLD_HEATINGS`, where the efficiency is not known.
    kwh_per_unit
        Measured net energy per unit in place of the table's. [kWh]
    bill_rel_sd
        Doubt of the yearly use itself: tank rests, a mild or cold year; one standard deviation. [0..1]

    Returns
    -------
    UsefulHeat
        Heat of the year, and its doubt from heating and bill together. [kWh, 0..1]

    Raises
    ------
    BuildingError
        An unknown carrier or heating, no use, no efficiency, or one that cannot be.
    """
    known = carriers()
    if carrier not in known:
        raise BuildingError(
            message(
                "carrier.unknown",
                '"{carrier}" is not an energy carrier here; write one of {names}',
                carrier=Own(carrier),
                names=Listed(tuple(map(Own, sorted(known))), ", "),
            )
        )
    bought = known[carrier]
    if not amount > 0:
        raise BuildingError(
            message(
                "carrier.amount",
                "a yearly use of {amount} cannot be; write one above zero",
                amount=Own(f"{amount:g} {bought.unit}"),
            )
        )
    heating = _heating_of(efficiency, old_heating)
    per_unit = bought.kwh_per_unit if kwh_per_unit is None else kwh_per_unit
    kwh = amount * per_unit * heating.efficiency
    rel_sd = float((heating.rel_sd**2 + bill_rel_sd**2) ** 0.5)
    how = message(
        "carrier.how",
        "from {amount} of {carrier} a year at {energy} and {efficiency} efficiency",
        amount=Quantity.written(amount, _UNITS[bought.unit]),
        carrier=_WORDS[carrier] if carrier in _WORDS else fuels.fuel(carrier).word,
        energy=_energy_of_one(per_unit, bought.unit),
        efficiency=Percent(heating.efficiency),
    )
    return UsefulHeat(kwh, rel_sd, how)


_UNITS: dict[str, Literal["l", "m3", "kWh", "kg"]] = {"litre": "l", "m3": "m3", "kWh": "kWh", "kg": "kg"}


def _heating_of(efficiency: float | None, old_heating: str | None) -> OldHeating:
    """Return how well the old heating worked, as stated or as usual for its kind."""
    if efficiency is not None:
        if not 0 < efficiency <= 6:
            raise BuildingError(
                message(
                    "carrier.efficiency",
                    "an efficiency of {share} cannot be; write a share, e.g. 0.85",
                    share=Own(f"{efficiency:g}"),
                )
            )
        return OldHeating(efficiency, 0.03)
    if old_heating in OLD_HEATINGS:
        return OLD_HEATINGS[str(old_heating)]
    raise BuildingError(
        message(
            "carrier.say_efficiency",
            "say how well the old heating worked: an efficiency such as 0.85, or one of {names}",
            names=Listed(tuple(map(Own, sorted(OLD_HEATINGS))), ", "),
        )
    )


def _energy_of_one(kwh: float, unit: str) -> Value:
    """Return what one unit of a carrier holds."""
    energy, each = Quantity.written(kwh, "kWh", "g"), _UNITS[unit]
    if each == "kWh":
        return message("carrier.net_energy", "{energy} of net energy", energy=energy)
    return Per(energy, each)

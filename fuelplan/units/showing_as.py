"""Quantities in a unit that the sentence names: "12 kW" for most, "41,000 BTU/h" for a reader in US units.

`show` chooses the unit by the size; here a sentence asks for kilograms, however many. Who reads in US units
gets theirs, with as many digits as the metric text has.
"""

from __future__ import annotations

from dataclasses import dataclass

from fuelplan.units.definitions import conversion
from fuelplan.units.reader import reader
from fuelplan.units.showing import show_money

_QUANTITIES = {
    "kg": "mass",
    "t": "mass",
    "kWh": "energy",
    "kW": "power",
    "W": "power",
    "m3": "volume",
    "l": "volume",
    "m": "length",
    "cm": "length",
    "km": "distance",
    "cm2": "area",
    "m2": "area",
    "degC": "temperature",
    "K": "temperature_difference",
    "W/K": "heat_loss",
    "kg/K/day": "use_per_degree_day",
    "deg": "angle",
    "kg/h": "mass_rate",
    "kg/m3": "density",
    "kWh/kg": "energy_per_mass",
}
_FIXED = {"energy": "kWh", "power": "kW", "mass": "kg", "volume": "m3", "length": "m", "area": "m2"}
_SIGNS = {"m3": "m³", "cm2": "cm²", "m2": "m²", "degC": "°C"}


@dataclass(frozen=True)
class WrittenAs:
    """A number as a sentence writes it in metric units: in the fixed unit of its quantity, rounded as there,
    with its significant digits and its decimals.
    """

    quantity: str
    value: float
    digits: int
    decimals: int


def written_as(value: float, unit: str, form: str = ",.0f") -> WrittenAs:
    """Return a number of a unit as a sentence writes it, for readers of every unit system.

    Parameters
    ----------
    value
        Number of `unit`. [unit]
    unit
        kg, t, kWh, kW, W, m3, l, m, cm, km, cm2, m2, W/K, degC (a temperature) or K (a difference of two).
    form
        How Python formats the metric number; it says how many digits are known.
    """
    text = f"{value:{form}}"
    number, quantity = float(text.replace(",", "")), _QUANTITIES[unit]
    fixed = number * conversion(unit, _FIXED[quantity])[0] if quantity in _FIXED else number
    return WrittenAs(quantity, fixed, _digits(text), len(text.partition(".")[2]))


def show_price_as(per_kg: float, currency: str, form: str = ",.2f", per: str = " a tonne") -> str:
    """Return a price by weight with the decimals of an offer: "322.00 EUR a tonne".

    Parameters
    ----------
    per_kg
        [money/kg]
    currency
        ISO 4217 code.
    form
        How Python formats the number.
    per
        What stands behind the currency for most readers; those in US units read " per short ton".
    """
    if reader().system == "us":
        return f"{per_kg * conversion('short_ton', 'kg')[0]:{form}}{reader().space}{currency} per short ton"
    return f"{per_kg * conversion('t', 'kg')[0]:{form}}{reader().space}{currency}{per}"


def show_price_each(per_kg: float, currency: str) -> str:
    """Return what a kilogram costs: "1.46 EUR for each kilogram"; in US units a pound. [money/kg]"""
    if reader().system == "us":
        return f"{show_money(per_kg * conversion('lb', 'kg')[0], currency, whole=False)} for each pound"
    return f"{show_money(per_kg, currency, whole=False)} for each kilogram"


def _digits(number: str) -> int:
    """Return how many digits of a number are known: at least two, at most four."""
    plain = number.lstrip("+-").replace(",", "")
    known = plain.replace(".", "").lstrip("0") if "." in plain else plain.rstrip("0")
    return min(4, max(2, len(known)))

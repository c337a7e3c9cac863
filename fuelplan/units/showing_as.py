"""Quantities in a unit that the sentence names: "12 kW" for most, "41,000 BTU/h" for a reader in US units.

`show` chooses the unit by the size; here a sentence asks for kilograms, however many. Who reads in US units
gets theirs, with as many digits as the metric text has.
"""

from __future__ import annotations

from dataclasses import dataclass

from fuelplan.units.definitions import conversion
from fuelplan.units.reader import reader
from fuelplan.units.showing import Measured, measured, written_out

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


def show_as(value: float, unit: str, form: str = ",.0f", *, word: str | None = None) -> str:
    """Return a quantity in the unit named, or for a reader in US units in theirs: "3,000 kg", "6,600 lb".

    Parameters
    ----------
    value
        Number of `unit`. [unit]
    unit
        kg, t, kWh, kW, W, m3, l, m, cm, km, cm2, m2, W/K, degC (a temperature) or K (a difference of two).
    form
        How Python formats the metric number; it says how many digits are known.
    word
        What people read for the unit where it is not its sign: "litres".

    Returns
    -------
    str
        Number and unit; in US units with two to four significant digits.

    Examples
    --------
    >>> show_as(3000, "kg")
    '3,000 kg'
    """
    text = f"{value:{form}}"
    if reader().system != "us":
        return f"{text} {word or _SIGNS.get(unit, unit)}"
    found = measured_as(value, unit, form)
    shown = written_out(found)
    return f"+{shown}" if text.startswith("+") else shown


def measured_as(value: float, unit: str, form: str = ",.0f") -> Measured:
    """Return what :func:`show_as` shows, for those who write it in another language; its parameters."""
    text = f"{value:{form}}"
    number = float(text.replace(",", ""))
    if reader().system != "us":
        return Measured(number, len(text.partition(".")[2]), unit, _SIGNS.get(unit, unit))
    if unit == "l":  # what is poured is counted in gallons, however much
        return _known(number * conversion("l", "gal_us")[0], _digits(text), "gal_us", "US gal")
    written = written_as(value, unit, form)
    return measured(written.value, written.quantity, "us", digits=written.digits)


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
    """Return what :func:`show_as` shows as data, for those who make no text; its parameters."""
    text = f"{value:{form}}"
    number, quantity = float(text.replace(",", "")), _QUANTITIES[unit]
    fixed = number * conversion(unit, _FIXED[quantity])[0] if quantity in _FIXED else number
    return WrittenAs(quantity, fixed, _digits(text), len(text.partition(".")[2]))


def _known(number: float, digits: int, unit: str, word: str) -> Measured:
    """Return a number with as many significant digits as are known."""
    rounded = float(f"{number:.{digits}g}")
    places = len(f"{rounded:f}".rstrip("0").partition(".")[2])
    return Measured(rounded, places, unit, word)


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
        return f"{per_kg * conversion('short_ton', 'kg')[0]:{form}} {currency} per short ton"
    return f"{per_kg * conversion('t', 'kg')[0]:{form}} {currency}{per}"


def show_price_each(per_kg: float, currency: str) -> str:
    """Return what a kilogram costs: "1.46 EUR for each kilogram"; in US units a pound. [money/kg]"""
    if reader().system == "us":
        return f"{per_kg * conversion('lb', 'kg')[0]:,.2f} {currency} for each pound"
    return f"{per_kg:,.2f} {currency} for each kilogram"


def _digits(number: str) -> int:
    """Return how many digits of a number are known: at least two, at most four."""
    plain = number.lstrip("+-").replace(",", "")
    known = plain.replace(".", "").lstrip("0") if "." in plain else plain.rstrip("0")
    return min(4, max(2, len(known)))

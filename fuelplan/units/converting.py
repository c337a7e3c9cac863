"""Sentences with metric quantities in them → the same sentences in US units.

For text that a room has already put together: each number with its unit is read, converted and written with
the digits that it had. What stands in quotes is somebody's own words and stays.
"""

from __future__ import annotations

import re

from fuelplan.units.parsing import parse
from fuelplan.units.reader import reader
from fuelplan.units.showing import show, show_range

_QUANTITY = {
    "kg": "mass",
    "t": "mass",
    "kWh": "energy",
    "MWh": "energy",
    "kW": "power",
    "W": "power",
    "m³": "volume",
    "l": "volume",
    "litre": "volume",
    "litres": "volume",
    "m": "length",
    "cm": "length",
    "°C": "temperature",
    "K": "temperature_difference",
}
_NUMBER = r"(?<![\w.,/-])-?[0-9]{1,3}(?:,[0-9]{3})+(?:\.[0-9]+)?|(?<![\w.,/-])-?[0-9]+(?:\.[0-9]+)?"
_UNIT = "|".join(sorted(map(re.escape, _QUANTITY), key=len, reverse=True))
_FOUND = re.compile(rf"(?:({_NUMBER}) (to|and) )?({_NUMBER})[ \u00a0]?({_UNIT})(?![\w/³²])")
_PRICE = re.compile(r"([0-9][0-9,]*(?:\.[0-9]+)?) ([A-Z]{3})(?:/t| a tonne| per tonne)(?![a-z])")
_PER_UNIT = re.compile(rf"({_NUMBER}) kWh per (kg|litre)(?![a-z])")
_SIDES = re.compile(rf"((?:(?:{_NUMBER}) ?[x×] ?)+)({_NUMBER})[ \u00a0]?(m|cm)(?![\w/³²])")
_SHORT_TON_T = 0.90718474


def in_us_units(text: str) -> str:
    """Return a sentence with every metric quantity in US units: "1.5 to 2.2 t" → "3,300 to 4,900 lb".

    Areas, densities and energies per weight are left as they are.
    """
    parts = text.split('"')
    return '"'.join(_converted(part) if i % 2 == 0 else part for i, part in enumerate(parts))


def for_reader(text: str) -> str:
    """Return a sentence in the units of whom is written for: see :func:`in_us_units`."""
    return in_us_units(text) if reader().system == "us" else text


def _converted(text: str) -> str:
    text = _PER_UNIT.sub(_per_unit, _PRICE.sub(_price, text))
    text = _SIDES.sub(_sides, text)
    return _FOUND.sub(_quantity, text)


def _sides(found: re.Match[str]) -> str:
    """Return length by width by height, of which only the last one carries the unit, in feet or inches."""
    first, last, unit = found.groups()
    sides = [*re.findall(r"[0-9][0-9,.]*", first), last]
    shown = [show(_read(side, unit, "length"), "length", "us", digits=_digits(side)) for side in sides]
    return " x ".join(shown)


def _price(found: re.Match[str]) -> str:
    value = float(found[1].replace(",", "")) * _SHORT_TON_T
    decimals = len(found[1].partition(".")[2])
    return f"{value:,.{decimals}f} {found[2]} per short ton"


def _per_unit(found: re.Match[str]) -> str:
    """Return what a pound or a gallon holds, of what a kilogram or a litre does."""
    kwh, unit = float(found[1].replace(",", "")), found[2]
    if unit == "kg":
        return show(kwh, "energy_per_mass", "us").replace("/lb", " per lb")
    gallon = parse("1 gal_us", "volume") / parse("1 l", "volume")
    return f"{show(kwh * gallon, 'energy', 'us')} per gal"


def _quantity(found: re.Match[str]) -> str:
    low, joint, high, word = found.groups()
    quantity = _QUANTITY[word]
    unit = word.replace("³", "3").replace("°C", "degC")
    if quantity == "temperature_difference":
        return " ".join(filter(None, [low and _degrees(low), joint, f"{_degrees(high)} °F"]))
    top = _read(high, unit, quantity)
    if low is None:
        return show(top, quantity, "us", digits=_digits(high))
    bottom = _read(low, unit, quantity)
    if joint == "and" or bottom > top:
        first = show(bottom, quantity, "us", digits=_digits(low))
        return f"{first} {joint} {show(top, quantity, 'us', digits=_digits(high))}"
    return show_range(bottom, top, quantity, "us", digits=max(_digits(low), _digits(high)))


def _degrees(kelvin: str) -> str:
    """Return a difference in degrees Fahrenheit, with the digits that it had in kelvin."""
    value = float(kelvin.replace(",", "")) * 1.8
    known = _digits(kelvin) if abs(value) < 10 else 2
    return f"{float(f'{value:.{known}g}'):g}"


def _read(number: str, unit: str, quantity: str) -> float:
    """Read a number that may be below zero, as differences in a sentence may be."""
    plain = number.replace(",", "")
    if quantity in ("temperature", "temperature_difference") or not plain.startswith("-"):
        return parse(f"{plain} {unit}", quantity)
    return -parse(f"{plain[1:]} {unit}", quantity)


def _digits(number: str) -> int:
    """Return how many digits of a number are known: at least two, at most four."""
    plain = number.lstrip("-").replace(",", "")
    known = plain.replace(".", "").lstrip("0") if "." in plain else plain.rstrip("0")
    return min(4, max(2, len(known)))

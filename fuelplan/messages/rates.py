"""So much for each kilowatt, tonne or kilogram, as the reader measures."""

from __future__ import annotations

from dataclasses import replace

from fuelplan import units
from fuelplan.messages.message import Message, message
from fuelplan.messages.values import Per, Quantity

_US_UNIT = {
    "kW": ("10000 BTU/h", "power", 1.0),
    "t": ("1 short_ton", "mass", 1e-3),
    "kg": ("1 lb", "mass", 1.0),
    "l": ("1 gal_us", "volume", 1e3),
    "m3": ("1 ft3", "volume", 1.0),
}
"""What readers in US units count by: its text and quantity, and how many of ours are in the fixed unit."""


def said_per(per: Per) -> Message:
    """Return the words for a rate, for the unit system of whom is written now."""
    amount = per.amount
    if units.reader().system != "us":
        return _metric(per, amount)
    text, quantity, ours = _US_UNIT[per.each]
    return _us(per, replace(amount, value=amount.value * units.parse(text, quantity) * ours))


def _metric(per: Per, amount: Quantity) -> Message:
    match per.each:
        case "kW":
            return message("per.kilowatt", "{amount} per kW", amount=amount)
        case "t":
            return message("per.tonne", "{amount} per tonne", amount=amount)
        case "kg":
            return message("per.kilogram", "{amount} per kg", amount=amount)
        case "l":
            return message("per.litre", "{amount} per litre", amount=amount)
        case "m3":
            return message("per.cubic_metre", "{amount} per m³", amount=amount)


def _us(per: Per, amount: Quantity) -> Message:
    match per.each:
        case "kW":
            return message("per.ten_thousand_btu", "{amount} for each 10,000 BTU/h", amount=amount)
        case "t":
            return message("per.short_ton", "{amount} per short ton", amount=amount)
        case "kg":
            return message("per.pound", "{amount} per lb", amount=amount)
        case "l":
            return message("per.gallon", "{amount} per gal", amount=amount)
        case "m3":
            return message("per.cubic_foot", "{amount} per cu ft", amount=amount)

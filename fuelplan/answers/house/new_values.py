"""One entry of a newcomer: what is written becomes what a folder takes, or is refused."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import cast

from fuelplan import units
from fuelplan.heat import fuels
from fuelplan.messages import Message, Number, Own, Quantity, Refusal, counted_message, message
from fuelplan.records.schema import MOST_LEAD_DAYS
from fuelplan.units import UnitError

_DEGREES = re.compile(r"(?:°\s*|deg\s*)[CF]\b|(?<=[0-9])\s*[CF]\b", re.IGNORECASE)

ROOM_SHARE = 2 / 3
"""Usable share of a store room (guidance of the Austrian and German pellet associations)."""

GAS_KWH_PER_M3 = 10.0 / 0.901
"""Gross energy of a cubic metre of natural gas, as a bill counts it: 10 kWh net (value from memory).
[kWh/m3]"""

_SEVERAL_MEANINGS = "units.meant_"


def too_long(length: int, most: int) -> Message:
    """Return that an entry is longer than any that is meant."""
    return message(
        "house.too_long", "this has {length} characters; {most} are the most", length=length, most=most
    )


def short(text: str) -> Own:
    """Return what was written, cut to what a person recognises."""
    return Own(text[:40])


def _between(value: float, least: float, most: float, text: str, example: str) -> None:
    if value < least:
        raise Refusal.because(
            "house.too_little",
            '"{written}" is too little to be meant; write e.g. "{example}"',
            written=short(text),
            example=Own(example),
        )
    if not value <= most:
        raise Refusal.because(
            "house.too_much",
            '"{written}" is too much to be meant; write e.g. "{example}"',
            written=short(text),
            example=Own(example),
        )


def _weighs(text: str) -> bool:
    try:
        return units.parse_mass(text) >= 0
    except UnitError:
        return False


def _mass_kg(text: str) -> float:
    """Return a mass, bags and pallets included. [kg]"""
    try:
        return units.parse_mass(text)
    except UnitError as error:
        reason = error.values.get("reason")
        if isinstance(reason, UnitError) and reason.code.startswith(_SEVERAL_MEANINGS):
            raise
        raise Refusal.because(
            "house.not_a_weight",
            '"{written}" is not a valid weight; write it in t, kg, lb, bags or pallets, e.g. "5 t"',
            written=short(text),
        ) from None


def _kg(text: str, fuel: fuels.Fuel) -> float:
    """Return an amount of a fuel, its volume at the usual density where it is bought by volume. [kg]"""
    if fuel.is_sold_by_weight or _weighs(text):
        return _mass_kg(text)
    return fuel.amount_kg(units.parse_amount(text), fuel.material())


def bulk_kg_per_m3(fuel: fuels.Fuel) -> float:
    """Return the usual bulk density of a fuel. [kg/m3]"""
    return cast(fuels.BulkMaterial, fuel.material()).bulk_kg_per_m3


def _as_written(text: str, kg: float) -> str:
    """Return a mass in the person's own words where they mean the same everywhere, else in kilograms."""
    try:
        with units.bought_in(None):
            return text if units.parse(text, "mass") == kg else units.exact(kg, "mass")
    except UnitError:
        return units.exact(kg, "mass")


def amount_a_year(text: str, fuel: fuels.Fuel) -> tuple[str, str, float]:
    kg = _kg(text, fuel)
    _between(kg, 50.0, 1_000_000.0, text, fuel.year_example)
    return fuel.year_key, _as_written(text, kg) if fuel.is_sold_by_weight else text, kg


def oil_a_year(text: str, kwh_per_kg: float) -> tuple[str, str, float]:
    m3 = units.parse(text, "volume")
    _between(m3, 0.02, 500.0, text, "2400 litres")
    return "heating_oil_a_year", units.exact(m3, "volume"), m3 * 1000.0 * 10.0 / kwh_per_kg


def gas_a_year(text: str, kwh_per_kg: float) -> tuple[str, str, float]:
    try:
        kwh = units.parse(text, "energy")
    except UnitError:
        kwh = units.parse(text, "volume") * GAS_KWH_PER_M3
    kwh = round(kwh)
    _between(kwh, 200.0, 5_000_000.0, text, "26000 kWh")
    return "gas_a_year", units.exact(kwh, "energy"), kwh * 0.901 / kwh_per_kg


BEFORE: dict[str, tuple[str, Callable[[str, float], tuple[str, str, float]]]] = {
    "oil": ("2400 litres", oil_a_year),
    "gas": ("2600 m3", gas_a_year),
}
"""What the heating before may have burned: an example, and what reads it."""


def capacity(text: str, fuel: fuels.Fuel) -> tuple[str, Message | None, float]:
    note, dense = None, bulk_kg_per_m3(fuel)
    density = Quantity.written(dense, "kg/m3")
    try:
        kg = units.parse(text, "volume") * (dense * ROOM_SHARE)
        note = message(
            "site_file.store_room", "{room} of room, two thirds of it usable, at {density}.", room=Own(text),
            density=density,
        )  # fmt: skip
    except UnitError:
        kg = _kg(text, fuel)
        if not _weighs(text):
            note = message(
                "site_file.store_volume", "{volume} at {density}.", volume=Own(text), density=density
            )
    _between(kg, 100.0, 500_000.0, text, "6 t")
    return (f"{kg:.0f} kg" if note else _as_written(text, kg)), note, kg


def level(text: str, fuel: fuels.Fuel) -> str:
    """Return a level as the folder's file takes it: a weight, a share, empty or full."""
    if text.casefold() in ("empty", "full"):
        return text.casefold()
    try:
        measure = units.parse_amount(text).measure
    except UnitError as error:
        if error.code != "units.amount_without_unit":
            raise
        measure = ""
    if measure not in (*fuels.WEIGHTS, "percent", *fuel.measures):
        raise Refusal.because(
            "house.not_a_level",
            '"{written}" does not say how much is in it; write e.g. "2.4 t", "40 %", "160 bags", '
            '"empty" or "full"',
            written=short(text),
        )
    return text


def kept_as_written(text: str, quantity: str, *, least: float, most: float = 1e6) -> str:
    example = units.QUANTITIES[quantity].example
    _between(units.parse(text, quantity), least, most, text, example)
    return text


def weight(text: str, fuel: fuels.Fuel, *, least: float) -> str:
    """Return an amount as the folder's file takes it: a weight as it is written, a volume in kilograms."""
    weighs = fuel.is_sold_by_weight or _weighs(text)
    kg = units.parse_mass(text) if weighs else _kg(text, fuel)
    _between(kg, least, 1e6, text, units.QUANTITIES["mass"].example)
    return text if weighs else f"{kg:.0f} kg"


def lead_time(text: str) -> str:
    said = text if "day" in text.lower() else f"{text} working days"
    _, high = units.parse_working_days(said)
    if high > MOST_LEAD_DAYS:
        raise Refusal.because(
            "house.lead_time_too_long",
            '"{written}" is more than can be planned for; {most} is the most',
            written=short(text),
            most=MOST_LEAD_DAYS,
        )
    return said


def price(text: str, fuel: fuels.Fuel) -> str:
    value, _ = units.parse_money(text, "money_per_mass")
    if not 0.01 <= value <= 100:
        raise Refusal.because(
            "house.not_a_price",
            '"{written}" is not a valid price of {fuel}; write e.g. "310 EUR/t"',
            written=short(text),
            fuel=fuel.word,
        )
    return text


def risk(text: str) -> str:
    share = units.parse(text, "share")
    if not 0.001 <= share < 0.5:
        raise Refusal.because(
            "house.not_a_risk",
            '"{written}" is not a valid risk to plan with; write between "1 in 1000" and "1 in 3"',
            written=short(text),
        )
    return text


def degrees(text: str, most: float, example: str) -> float:
    try:
        value = float(text.removesuffix("°"))
    except ValueError:
        raise Refusal.because(
            "house.not_degrees",
            '"{written}" is not a valid number of degrees; write e.g. {example}',
            written=short(text),
            example=Own(example),
        ) from None
    if not -most <= value <= most:
        raise Refusal.because(
            "house.too_many_degrees",
            '"{written}" lies beyond {most} degrees; write e.g. {example}',
            written=short(text),
            most=Number(most),
            example=Own(example),
        )
    return value


def whole_number(text: str, least: int, most: int) -> int:
    if not (text.isascii() and text.isdigit() and len(text) < 9):
        raise Refusal.because(
            "house.not_whole",
            '"{written}" is not a valid whole number; write one from {least} to {most}',
            written=short(text),
            least=Own(str(least)),
            most=Own(str(most)),
        )
    if not least <= int(text) <= most:
        raise Refusal.because(
            "house.not_meant",
            "{written} is not meant; write a whole number from {least} to {most}",
            written=Own(str(int(text))),
            least=Own(str(least)),
            most=Own(str(most)),
        )
    return int(text)


def monthly_means(text: str) -> tuple[float, ...]:
    """Return twelve mean temperatures [degC]; commas, semicolons and spaces part them, °F may be written."""
    plain, written = _DEGREES.subn(" ", text.replace(";", " ").replace("\u2212", "-"))
    fahrenheit = written > 0 and "F" in "".join(_DEGREES.findall(text)).upper()
    parts = plain.split()
    if len(parts) < 12:
        parts = plain.replace(",", " ").split()
    try:
        found = tuple(float(part.rstrip(",").replace(",", ".")) for part in parts)
    except ValueError:
        raise Refusal.because(
            "house.not_numbers", "write twelve numbers in °C parted by spaces, January first"
        ) from None
    if fahrenheit:
        found = tuple(round((f - 32.0) / 1.8, 2) for f in found)
    if len(found) != 12:
        raise Refusal(
            counted_message(
                "house.not_twelve",
                "there is {n} number; write twelve in °C, January first",
                "there are {n} numbers; write twelve in °C, January first",
                len(found),
            )
        )
    if not all(-60 <= c <= 45 for c in found):
        raise Refusal.because(
            "house.not_a_mean",
            "a mean temperature below -60 or above 45 °C is not meant; write °C, January first",
        )
    return found

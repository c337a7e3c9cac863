"""Amounts of fuel the way people measure them: weight, bags, pallets, cubic metres, by eye, a level mark."""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import cache

from fuelplan.units.definitions import conversion, spellings_of
from fuelplan.units.number import UnitError, plain, quoted, read_number
from fuelplan.units.parsing import find_unit, key, parse
from fuelplan.units.trade import USUAL, trade

PALLET_BAGS = USUAL.pallet_bags
"""Usual bags on a pallet outside of North America: see `fuelplan.units.trade`."""

MEASURES: dict[str, str] = {
    "kg": "kilograms",
    "solid_m3": "cubic metres of solid wood",
    "stacked_m3": "cubic metres of stacked wood",
    "loose_m3": "cubic metres tipped loose",
    "bag": "bags",
    "pallet": "pallets",
    "percent": "per cent of the store, by eye",
    "cm": "centimetres on the level mark",
    "litre": "litres",
    "kwh": "kilowatt hours",
}
"""What an amount can be measured in."""

EXAMPLES = '"3.5 t", "12 bags", "2 pallets", "6 stacked m3", "2 cord", "140 cm", "60 %"'

_PILED = {"solid": "solid_m3", "stacked": "stacked_m3", "stack": "stacked_m3", "loose": "loose_m3"}
_STACKED_UNITS = ("cord", "stere")
"""Units of the definitions file that measure stacked wood and nothing else."""
_AMBIGUOUS = {
    "rm": '"rm" is read as a stacked or as a solid cubic metre; write "stacked m3" or "solid m3"',
    "fm": 'write "solid m3" for a cubic metre of solid wood',
    "srm": 'write "loose m3" for a cubic metre tipped loose',
    "facecord": 'a face cord has no fixed depth; measure the stack and write "stacked m3" or "cord"',
    "rick": 'a rick has no fixed size; measure the stack and write "stacked m3" or "cord"',
    "load": 'a load has no fixed size; write what it holds, e.g. "loose m3" or "t"',
    "sack": 'write "bags"',
    "sacks": 'write "bags"',
}
_EACH = re.compile(r"(bags?|pallets?)(?:\s+(?:of|à|@)\s+(.+))?", re.IGNORECASE | re.DOTALL)


@dataclass(frozen=True)
class Amount:
    """An amount and what it is measured in.

    Attributes
    ----------
    value
        Number of whatever `measure` says.
    measure
        A key of `MEASURES`.
    each_kg
        Weight of one bag or pallet; None for every other measure. [kg]
    """

    value: float
    measure: str
    each_kg: float | None = None

    @property
    def kg(self) -> float | None:
        """The amount by weight, where no density or energy is needed to tell; None otherwise. [kg]"""
        if self.measure == "kg":
            return self.value
        return None if self.each_kg is None else self.value * self.each_kg


def parse_mass(text: str) -> float:
    """Read a mass, counted in bags or pallets too. [kg]

    Raises
    ------
    UnitError
        One sentence: what is wrong and what to write instead.
    """
    try:
        return parse(text, "mass")
    except UnitError:
        try:
            kg = parse_amount(text).kg if isinstance(text, str) else None
        except UnitError:
            kg = None
        if kg is None:
            raise
        return kg


def parse_amount(text: str, *, bag_kg: float | None = None, pallet_bags: float | None = None) -> Amount:
    """Read an amount of fuel in any of the ways people measure it.

    Parameters
    ----------
    text
        E.g. "3.5 t", "640 lb", "12 bags", "12 bags of 40 lb", "2 pallets of 70 bags", "6 stacked m3", "2
        cord", "140 cm", "60 %", "200 l", "1200 kWh".
    bag_kg
        Weight of a bag where the text names none; None for the usual one of the country. [kg]
    pallet_bags
        Bags on a pallet where the text does not say; None for the usual of the country.

    Raises
    ------
    UnitError
        One sentence: what is wrong and what to write instead. A bare cubic metre is refused, since solid,
        stacked and loose wood differ by a factor of up to 2.5.
    """
    if not isinstance(text, str):
        raise UnitError(f"{quoted(text)} has no unit; write an amount with its unit, e.g. {EXAMPLES}")
    number, written, unit = read_number(text, "3.5 t")
    if number < 0:
        raise UnitError(f"{quoted(text)} is below 0; an amount of fuel cannot be")
    if not unit:
        raise UnitError(f"{quoted(text)} has no unit; write an amount with its unit, e.g. {EXAMPLES}")
    if meant := _AMBIGUOUS.get(key(unit)):
        raise UnitError(f"{quoted(text)}: {meant}")
    if packed := _EACH.fullmatch(unit):
        bag_kg = trade().bag_kg if bag_kg is None else bag_kg
        pallet_bags = trade().pallet_bags if pallet_bags is None else pallet_bags
        return _packed(number, packed, text, bag_kg, pallet_bags)
    piled = _piled(number, unit)
    if piled is not None:
        return piled
    return _plain_measure(number, written, unit, text)


def _packed(number: float, packed: re.Match[str], text: str, bag_kg: float, pallet_bags: float) -> Amount:
    """Read bags and pallets, with the weight of one where the text says it."""
    measure = packed[1].lower().rstrip("s")
    each = packed[2]
    if each is None:
        return Amount(number, measure, bag_kg if measure == "bag" else pallet_bags * bag_kg)
    try:
        count, _, each_unit = read_number(each, "15 kg")
        if measure == "pallet" and key(each_unit) in {"bag", "bags"}:
            each_kg = count * bag_kg
        else:
            each_kg = parse(each, "mass")
    except UnitError as fault:
        raise UnitError(f"{quoted(text)}: {fault}") from None
    if each_kg <= 0:
        raise UnitError(f"{quoted(text)}: one {measure} must weigh more than nothing")
    return Amount(number, measure, each_kg)


def _piled(number: float, unit: str) -> Amount | None:
    """Read wood by volume: "stacked m3", "m3 (loose)", "cord", "stere"; None if it is not that."""
    if stacked := _stacked_units().get(key(unit)):
        return Amount(number * conversion(stacked, "m3")[0], "stacked_m3")
    words = plain(unit.replace("(", " ").replace(")", " ").replace("_", " ")).split()
    for position in (0, -1):
        measure = _PILED.get(words[position].casefold()) if len(words) > 1 else None
        if measure is not None:
            rest = " ".join(words[1:] if position == 0 else words[:-1])
            found = find_unit(rest, "volume")
            if found is not None:
                return Amount(number * found.factor, measure)
    return None


@cache
def _stacked_units() -> dict[str, str]:
    """Return the units of stacked wood by their spelling keys."""
    return {
        key(spelling.replace("_", " ")): unit for unit in _STACKED_UNITS for spelling in spellings_of(unit)
    }


def _plain_measure(number: float, written: str, unit: str, text: str) -> Amount:
    """Read weight, energy, litres, a level mark and a share by eye."""
    share = find_unit(unit, "share")
    if share is not None:
        if number > 100:
            raise UnitError(f'{quoted(text)} is more than a full store; write "100 %" at the most')
        parse(text, "share")
        return Amount(number * conversion(share.defined, "percent")[0], "percent")
    for quantity, measure in (("mass", "kg"), ("energy", "kwh")):
        if find_unit(unit, quantity) is not None:
            return Amount(parse(text, quantity), measure)
    volume = find_unit(unit, "volume")
    if volume is not None and volume.name in {"l", "gal_us", "gal_uk"}:
        return Amount(number * conversion(volume.defined, "l")[0], "litre")
    if volume is not None:
        raise UnitError(
            f'{quoted(text)}: wood and pellets lie differently; write "{written} solid {volume.name}", '
            f'"{written} stacked {volume.name}" or "{written} loose {volume.name}"'
        )
    length = find_unit(unit, "length")
    if length is not None:
        return Amount(number * conversion(length.defined, "cm")[0], "cm")
    try:
        parse(text, "mass")
    except UnitError as fault:
        if "meaning" in str(fault):
            raise
    raise UnitError(
        f"{quoted(text)}: the unit {quoted(unit)} is not known for an amount; write e.g. {EXAMPLES}"
    )

"""Amounts of fuel the way people measure them: weight, bags, pallets, cubic metres, by eye, a level mark."""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import cache

from fuelplan.units.definitions import conversion, spellings_of
from fuelplan.units.number import UnitError, about, plain, read_number, shortened
from fuelplan.units.parsing import find_unit, key, parse
from fuelplan.units.table import AMBIGUOUS
from fuelplan.units.trade import trade

"""Usual bags on a pallet outside of North America: see `fuelplan.units.trade`."""

MEASURES: dict[str, UnitError] = {
    "kg": UnitError("units.measure_kg", "kilograms"),
    "solid_m3": UnitError("units.measure_solid_m3", "cubic metres of solid wood"),
    "stacked_m3": UnitError("units.measure_stacked_m3", "cubic metres of stacked wood"),
    "loose_m3": UnitError("units.measure_loose_m3", "cubic metres tipped loose"),
    "bag": UnitError("units.measure_bag", "bags"),
    "pallet": UnitError("units.measure_pallet", "pallets"),
    "percent": UnitError("units.measure_percent", "per cent of the store, by eye"),
    "cm": UnitError("units.measure_cm", "centimetres on the level mark"),
    "litre": UnitError("units.measure_litre", "litres"),
    "kwh": UnitError("units.measure_kwh", "kilowatt hours"),
}
"""What an amount can be measured in, with its words."""

EXAMPLES = '"3.5 t", "12 bags", "2 pallets", "6 stacked m3", "2 cord", "140 cm", "60 %"'

_PILED = {"solid": "solid_m3", "stacked": "stacked_m3", "stack": "stacked_m3", "loose": "loose_m3"}
_STACKED_UNITS = ("cord", "stere")
"""Units of the definitions file that measure stacked wood and nothing else."""
_AMBIGUOUS = {
    "rm": UnitError(
        "units.amount_rm",
        '"rm" is read as a stacked or as a solid cubic metre; write "stacked m3" or "solid m3"',
    ),
    "fm": UnitError("units.amount_fm", 'write "solid m3" for a cubic metre of solid wood'),
    "srm": UnitError("units.amount_srm", 'write "loose m3" for a cubic metre tipped loose'),
    "facecord": UnitError(
        "units.amount_facecord",
        'a face cord has no fixed depth; measure the stack and write "stacked m3" or "cord"',
    ),
    "rick": UnitError(
        "units.amount_rick", 'a rick has no fixed size; measure the stack and write "stacked m3" or "cord"'
    ),
    "load": UnitError(
        "units.amount_load", 'a load has no fixed size; write what it holds, e.g. "loose m3" or "t"'
    ),
    "sack": UnitError("units.amount_sack", 'write "bags"'),
}
_AMBIGUOUS["sacks"] = _AMBIGUOUS["sack"]
_EACH = re.compile(r"(bags?|pallets?)(?:\s+(?:of|à|@)\s+(.+))?", re.IGNORECASE | re.DOTALL)

_MEANT = {AMBIGUOUS[word].code for word in ("ton", "gal", "hp", "cwt")}
_WEIGHS_NOTHING = {
    "bag": UnitError("units.bag_of_nothing", "one bag must weigh more than nothing"),
    "pallet": UnitError("units.pallet_of_nothing", "one pallet must weigh more than nothing"),
}


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
    """Read a mass, counted in bags or pallets too.

    Returns
    -------
    float
        [kg]

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
    number, written, unit = read_number(text, "3.5 t") if isinstance(text, str) else (0.0, "", "")
    if number < 0:
        raise UnitError(
            "units.amount_below_0", '"{written}" is below 0; an amount of fuel cannot be',
            written=shortened(text),
        )  # fmt: skip
    if not unit:
        raise UnitError(
            "units.amount_without_unit",
            '"{written}" has no unit; write an amount with its unit, e.g. {examples}',
            written=shortened(text), examples=EXAMPLES,
        )  # fmt: skip
    if meant := _AMBIGUOUS.get(key(unit)):
        raise about(text, meant)
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
        raise about(text, fault) from None
    if each_kg <= 0:
        raise about(text, _WEIGHS_NOTHING[measure])
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
            raise UnitError(
                "units.more_than_full", '"{written}" is more than a full store; write "100 %" at the most',
                written=shortened(text),
            )  # fmt: skip
        parse(text, "share")
        return Amount(number * conversion(share.defined, "percent")[0], "percent")
    for quantity, measure in (("mass", "kg"), ("energy", "kwh")):
        if find_unit(unit, quantity) is not None:
            return Amount(parse(text, quantity), measure)
    volume = find_unit(unit, "volume")
    if volume is not None and volume.name in {"l", "gal_us", "gal_uk"}:
        return Amount(number * conversion(volume.defined, "l")[0], "litre")
    if volume is not None:
        raise about(
            text,
            UnitError(
                "units.how_it_lies",
                'wood and pellets lie differently; write "{solid}", "{stacked}" or "{loose}"',
                solid=f"{written} solid {volume.name}",
                stacked=f"{written} stacked {volume.name}",
                loose=f"{written} loose {volume.name}",
            ),
        )
    length = find_unit(unit, "length")
    if length is not None:
        return Amount(number * conversion(length.defined, "cm")[0], "cm")
    if (meant := AMBIGUOUS.get(key(unit))) and meant.code in _MEANT:
        raise about(text, meant)
    raise about(
        text,
        UnitError(
            "units.unknown_for_amount",
            'the unit "{unit}" is not known for an amount; write e.g. {examples}',
            unit=shortened(unit),
            examples=EXAMPLES,
        ),
    )

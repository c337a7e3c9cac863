"""Prices and sums of money: a number, a currency by its ISO 4217 code, and what the price is for."""

from __future__ import annotations

import re
from dataclasses import dataclass

from fuelplan.units.amounts import parse_amount
from fuelplan.units.number import UnitError, plain, quoted, read_number
from fuelplan.units.parsing import find_unit
from fuelplan.units.table import QUANTITIES
from fuelplan.units.trade import trade

CURRENCIES = frozenset(
    {"ALL", "AUD", "BAM", "BGN", "BYN", "CAD", "CHF", "CLP", "CNY", "CZK", "DKK", "EUR", "GBP", "GEL", "HUF",
     "ILS", "ISK", "JPY", "KRW", "MDL", "MKD", "NOK", "NZD", "PLN", "RON", "RSD", "SEK", "TRY", "UAH", "USD"}
)  # fmt: skip
"""Accepted ISO 4217 codes: lands where wood is burned for heat."""

_SIGNS = {"€": "EUR", "£": "GBP", "euro": "EUR", "euros": "EUR", "zł": "PLN", "kč": "CZK"}
_AMBIGUOUS = {
    "$": 'several lands use "$"; write the code, e.g. "USD" or "CAD"',
    "kr": 'several lands use "kr"; write the code: "SEK", "NOK", "DKK" or "ISK"',
    "fr": 'write the code, "CHF"',
    "ct": 'write the price in the whole currency, e.g. "0.075 EUR/kWh" for 7.5 ct/kWh',
    "p": 'write the price in the whole currency, e.g. "0.075 GBP/kWh"',
}
_SAME = {
    "fr.": "fr",
    "sfr": "fr",
    "sfr.": "fr",
    "cent": "ct",
    "cents": "ct",
    "¢": "ct",
    "rp": "ct",
    "dollar": "$",
}
_PER = {
    "money_per_mass": ("mass", "a price per weight", "310 EUR/t"),
    "money_per_volume": ("volume", "a price per volume", "95 EUR/m3"),
    "money_per_energy": ("energy", "a price per energy", "0.12 EUR/kWh"),
    "money_per_distance": ("distance", "a price per distance", "1.80 EUR/km"),
    "money_per_time": ("time", "a price per time", "48 EUR/h"),
}
_CODE_FIRST = re.compile(r"([A-Za-z€£$¢]{1,5})\s*(?=[+-]?[0-9.])(.*)", re.DOTALL)


@dataclass(frozen=True)
class FuelPrice:
    """A price of fuel the way it is sold.

    Attributes
    ----------
    value
        Money per one of `per`.
    currency
        ISO 4217 code.
    per
        A key of `amounts.MEASURES`: kg, solid_m3, stacked_m3, loose_m3, bag, pallet, litre or kwh.
    each_kg
        Weight of one bag or pallet; None for every other measure. [kg]
    """

    value: float
    currency: str
    per: str
    each_kg: float | None = None

    @property
    def per_kg(self) -> float | None:
        """Money per kg, where no density or energy is needed to tell; None otherwise."""
        if self.per == "kg":
            return self.value
        return None if self.each_kg is None else self.value / self.each_kg


def parse_money(text: str, quantity: str = "money") -> tuple[float, str]:
    """Read a sum or a price.

    Parameters
    ----------
    text
        E.g. "35 EUR", "310 EUR/t", "EUR 310 / t", "0.12 EUR per kWh".
    quantity
        money, money_per_mass [per kg], money_per_volume [per m3], money_per_energy [per kWh],
        money_per_distance [per km] or money_per_time [per h].

    Returns
    -------
    (float, str)
        The number in the fixed unit, and the currency's ISO 4217 code.

    Raises
    ------
    UnitError
        One sentence: what is wrong and what to write instead.
    """
    if quantity != "money" and quantity not in _PER:
        raise KeyError(f"{quantity!r} is not a quantity of money; there are {['money', *_PER]}")
    a_what, example = ("a sum of money", "35 EUR") if quantity == "money" else _PER[quantity][1:]
    needed = f'{a_what} is needed, e.g. "{example}"'
    number, currency, per = _split(text, needed, example)
    if quantity == "money":
        if per:
            raise UnitError(f"{quoted(text)} is a price; {needed}")
        return number, currency
    if not per:
        raise UnitError(f"{quoted(text)} is a sum of money; {needed}")
    unit = find_unit(per, _PER[quantity][0])
    if unit is None and quantity == "money_per_mass" and (kg := _kg_of_one(per)):
        return number / kg, currency
    if unit is None:
        raise UnitError(f"{quoted(text)}: {_per_fault(per, quantity)}; {needed}")
    return number / unit.factor, currency


def _kg_of_one(per: str) -> float | None:
    """Return what one bag or pallet weighs that a price is for; None for anything else. [kg]"""
    try:
        return parse_amount(f"1 {per}").each_kg
    except UnitError:
        return None


def parse_price(text: str) -> FuelPrice:
    """Read a price of fuel the way it is sold: "310 EUR/t", "5.20 EUR/bag", "95 EUR/stacked m3"."""
    needed = 'a price of fuel is needed, e.g. "310 EUR/t" or "5.20 EUR/bag"'
    number, currency, per = _split(text, needed, "310 EUR/t")
    if not per:
        raise UnitError(f"{quoted(text)} does not say what the price is for; {needed}")
    try:
        one = parse_amount(f"1 {per}")
    except UnitError as fault:
        raise UnitError(f"{quoted(text)}: {str(fault).removeprefix(quoted(f'1 {per}') + ': ')}") from None
    if one.measure in {"percent", "cm"}:
        raise UnitError(f"{quoted(text)}: fuel is not sold by {quoted(per)}; {needed}")
    return FuelPrice(number / one.value, currency, one.measure, one.each_kg)


def _split(text: str, needed: str, example: str) -> tuple[float, str, str]:
    """Split a price into its number, its currency and what it is per."""
    if not isinstance(text, str):
        raise UnitError(f"{quoted(text)} has no currency; {needed}")
    first = _CODE_FIRST.fullmatch(plain(text))
    if first:
        number, _, rest = read_number(first[2], example)
        word = first[1]
    else:
        number, _, rest = read_number(text, example)
        word, rest = _word_and_rest(rest)
    if number < 0:
        raise UnitError(f"{quoted(text)} is below 0; {needed}")
    per = re.sub(r"^(?:/|per\b)\s*", "", rest.strip(), flags=re.IGNORECASE)
    if per and per == rest.strip():
        raise UnitError(f"{quoted(text)} cannot be read as a price; {needed}")
    return number, _currency(word, text, needed), per


def _word_and_rest(rest: str) -> tuple[str, str]:
    """Split "EUR/t" or "EUR per t" after the currency."""
    found = re.match(r"([^\s/0-9]*)\s*(.*)", rest, re.DOTALL)
    assert found is not None  # the pattern matches every text
    return found[1], found[2]


def _currency(word: str, text: str, needed: str) -> str:
    """Return the ISO 4217 code of a currency word."""
    folded = word.casefold()
    if word.upper() in CURRENCIES:
        return word.upper()
    if folded in _SIGNS:
        return _SIGNS[folded]
    known = trade().dollar
    if known is not None and _SAME.get(folded, folded) == "$":
        return known
    if meant := _AMBIGUOUS.get(_SAME.get(folded, folded)):
        raise UnitError(f"{quoted(text)}: {meant}")
    if not word or any(find_unit(word, name) for name in QUANTITIES):
        raise UnitError(f"{quoted(text)} has no currency; {needed}")
    raise UnitError(
        f"{quoted(text)}: the currency {quoted(word)} is not known; write a code such as EUR, CHF, GBP or USD"
    )


def _per_fault(per: str, quantity: str) -> str:
    """Say what the price is per instead."""
    for other, (name, a_what, _) in _PER.items():
        if other != quantity and find_unit(per, name) is not None:
            return f"this is {a_what}"
    if per.strip().casefold() in {"ton", "tons"}:
        return '"ton" has three meanings; write "t", "short_ton" or "long_ton"'
    return f"the unit {quoted(per)} is not known"

"""Prices and sums of money: a number, a currency by its ISO 4217 code, and what the price is for."""

from __future__ import annotations

import re
from dataclasses import dataclass

from fuelplan.units.amounts import parse_amount
from fuelplan.units.number import UnitError, about, plain, read_number, shortened
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
    "$": UnitError("units.currency_dollar", 'several lands use "$"; write the code, e.g. "USD" or "CAD"'),
    "kr": UnitError(
        "units.currency_krona", 'several lands use "kr"; write the code: "SEK", "NOK", "DKK" or "ISK"'
    ),
    "fr": UnitError("units.currency_franc", 'write the code, "CHF"'),
    "ct": UnitError(
        "units.currency_cents", 'write the price in the whole currency, e.g. "0.075 EUR/kWh" for 7.5 ct/kWh'
    ),
    "p": UnitError("units.currency_pence", 'write the price in the whole currency, e.g. "0.075 GBP/kWh"'),
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
    "money_per_mass": ("mass", UnitError("units.price_per_mass", "a price per weight"), "310 EUR/t"),
    "money_per_volume": ("volume", UnitError("units.price_per_volume", "a price per volume"), "95 EUR/m3"),
    "money_per_energy": ("energy", UnitError("units.price_per_energy", "a price per energy"), "0.12 EUR/kWh"),
    "money_per_distance": (
        "distance",
        UnitError("units.price_per_distance", "a price per distance"),
        "1.80 EUR/km",
    ),
    "money_per_time": ("time", UnitError("units.price_per_time", "a price per time"), "48 EUR/h"),
}
_A_SUM = UnitError("units.a_sum", "a sum of money"), "35 EUR"
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
    a_what, example = _A_SUM if quantity == "money" else _PER[quantity][1:]
    needed = UnitError(
        "units.money_needed", '{what} is needed, e.g. "{example}"', what=a_what, example=example
    )
    number, currency, per = _split(text, needed, example)
    if quantity == "money":
        if per:
            raise UnitError(
                "units.is_a_price", '"{written}" is a price; {needed}', written=shortened(text), needed=needed
            )
        return number, currency
    if not per:
        raise UnitError(
            "units.is_a_sum", '"{written}" is a sum of money; {needed}',
            written=shortened(text), needed=needed,
        )  # fmt: skip
    unit = find_unit(per, _PER[quantity][0])
    if unit is None and quantity == "money_per_mass" and (kg := _kg_of_one(per)):
        return number / kg, currency
    if unit is None:
        raise UnitError(
            "units.priced_otherwise", '"{written}": {fault}; {needed}',
            written=shortened(text), fault=_per_fault(per, quantity), needed=needed,
        )  # fmt: skip
    return number / unit.factor, currency


def _kg_of_one(per: str) -> float | None:
    """Return what one bag or pallet weighs that a price is for; None for anything else. [kg]"""
    try:
        return parse_amount(f"1 {per}").each_kg
    except UnitError:
        return None


def parse_price(text: str) -> FuelPrice:
    """Read a price of fuel the way it is sold: "310 EUR/t", "5.20 EUR/bag", "95 EUR/stacked m3".

    Raises
    ------
    UnitError
        Where it has no currency, or is for what fuel is not sold by; with what to write instead.
    """
    needed = UnitError(
        "units.fuel_price_needed", 'a price of fuel is needed, e.g. "310 EUR/t" or "5.20 EUR/bag"'
    )
    number, currency, per = _split(text, needed, "310 EUR/t")
    if not per:
        raise UnitError(
            "units.price_of_what", '"{written}" does not say what the price is for; {needed}',
            written=shortened(text), needed=needed,
        )  # fmt: skip
    try:
        one = parse_amount(f"1 {per}")
    except UnitError as fault:
        reason = fault.values.get("reason")
        raise about(text, reason if isinstance(reason, UnitError) else fault) from None
    if one.measure in {"percent", "cm"}:
        raise about(
            text,
            UnitError(
                "units.not_sold_by",
                'fuel is not sold by "{unit}"; {needed}',
                unit=shortened(per),
                needed=needed,
            ),
        )
    return FuelPrice(number / one.value, currency, one.measure, one.each_kg)


def _split(text: str, needed: UnitError, example: str) -> tuple[float, str, str]:
    """Split a price into its number, its currency and what it is per."""
    if not isinstance(text, str):
        raise _no_currency(text, needed)
    first = _CODE_FIRST.fullmatch(plain(text))
    if first:
        number, _, rest = read_number(first[2], example)
        word = first[1]
    else:
        number, _, rest = read_number(text, example)
        word, rest = _word_and_rest(rest)
    if number < 0:
        raise UnitError(
            "units.price_below_0", '"{written}" is below 0; {needed}', written=shortened(text), needed=needed
        )
    per = re.sub(r"^(?:/|per\b)\s*", "", rest.strip(), flags=re.IGNORECASE)
    if per and per == rest.strip():
        raise UnitError(
            "units.no_price", '"{written}" cannot be read as a price; {needed}',
            written=shortened(text), needed=needed,
        )  # fmt: skip
    return number, _currency(word, text, needed), per


def _word_and_rest(rest: str) -> tuple[str, str]:
    """Split "EUR/t" or "EUR per t" after the currency."""
    found = re.match(r"([^\s/0-9]*)\s*(.*)", rest, re.DOTALL)
    assert found is not None  # the pattern matches every text
    return found[1], found[2]


def _currency(word: str, text: str, needed: UnitError) -> str:
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
        raise about(text, meant)
    if not word or any(find_unit(word, name) for name in QUANTITIES):
        raise _no_currency(text, needed)
    raise about(
        text,
        UnitError(
            "units.currency_unknown",
            'the currency "{word}" is not known; write a code such as EUR, CHF, GBP or USD',
            word=shortened(word),
        ),
    )


def _no_currency(text: object, needed: UnitError) -> UnitError:
    return UnitError(
        "units.no_currency", '"{written}" has no currency; {needed}', written=shortened(text), needed=needed
    )


def _per_fault(per: str, quantity: str) -> UnitError:
    """Return what the price is per instead."""
    for other, (name, a_what, _) in _PER.items():
        if other != quantity and find_unit(per, name) is not None:
            return UnitError("units.this_is", "this is {what}", what=a_what)
    if per.strip().casefold() in {"ton", "tons"}:
        return UnitError(
            "units.price_per_ton", '"ton" has three meanings; write "t", "short_ton" or "long_ton"'
        )
    return UnitError("units.per_unknown", 'the unit "{unit}" is not known', unit=shortened(per))

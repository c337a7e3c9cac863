"""What words of the trade mean where a house stands: how heavy a bag is, which ton, whose dollar.

A folder's amounts are read by the country of its own place, whoever reads them: kept in a context variable,
set while a folder's text is read.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass, field

LB_KG = 0.45359237


@dataclass(frozen=True)
class Trade:
    """Meanings that hang on the country.

    Attributes
    ----------
    bag_kg, pallet_bags
        A bag where nobody says its weight, and bags on a pallet. [kg, -]
    words
        Units by spelling keys that have several meanings elsewhere.
    dollar
        ISO 4217 code of "$"; None where it is nobody's own.
    """

    bag_kg: float = 15.0
    pallet_bags: float = 65
    words: Mapping[str, str] = field(default_factory=dict)
    dollar: str | None = None


USUAL = Trade()
"""Bags of 15 kg, practice of sellers in Europe; 65, 67 and 70 lie on a pallet (65 is a value from memory), so
the least is assumed."""

_US_WORDS = {
    "ton": "short_ton", "tons": "short_ton",
    "gal": "gal_us", "gals": "gal_us", "gallon": "gal_us", "gallons": "gal_us",
}  # fmt: skip
_BAG_KG, _PALLET_BAGS = 40 * LB_KG, 50  # a pallet of 50 bags is a short ton; common practice in North America
_UNITED_STATES = Trade(_BAG_KG, _PALLET_BAGS, _US_WORDS, "USD")
_BY_COUNTRY = {
    **dict.fromkeys(("US", "PR", "GU", "VI"), _UNITED_STATES),
    "CA": Trade(_BAG_KG, _PALLET_BAGS, {}, "CAD"),
    "AU": Trade(dollar="AUD"),
    "NZ": Trade(dollar="NZD"),
}
_trade: ContextVar[Trade] = ContextVar("trade", default=USUAL)


def trade() -> Trade:
    """Return what words mean in the text that is being read."""
    return _trade.get()


@contextmanager
def bought_in(country: str | None) -> Iterator[None]:
    """Read text as it is meant in a country (two letters) inside a with-block."""
    token = _trade.set(_BY_COUNTRY.get(country or "", USUAL))
    try:
        yield
    finally:
        _trade.reset(token)

"""What words of the trade mean where a house stands: how heavy a bag is, which ton, whose dollar.

A folder's amounts are read by the country of its own place, whoever reads them: kept in a context variable,
set while a folder's text is read.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass, field

from fuelplan.units.definitions import conversion


@dataclass(frozen=True)
class Trade:
    """Meanings that hang on the country.

    Attributes
    ----------
    bag_lb
        A bag where nobody says its weight, in lands that reckon in pounds; None for `BAG_KG`. [lb]
    pallet_bags
        Bags on a pallet. [-]
    words
        Units by spelling keys that have several meanings elsewhere.
    dollar
        ISO 4217 code of "$"; None where it is nobody's own.
    """

    bag_lb: float | None = None
    pallet_bags: float = 65
    words: Mapping[str, str] = field(default_factory=dict)
    dollar: str | None = None

    @property
    def bag_kg(self) -> float:
        """A bag where nobody says its weight. [kg]"""
        return BAG_KG if self.bag_lb is None else self.bag_lb * conversion("lb", "kg")[0]


BAG_KG = 15.0
USUAL = Trade()
"""Bags of 15 kg, practice of sellers in Europe; 65, 67 and 70 lie on a pallet (65 is a value from memory), so
the least is assumed."""

_US_WORDS = {
    "ton": "short_ton", "tons": "short_ton",
    "gal": "gal_us", "gals": "gal_us", "gallon": "gal_us", "gallons": "gal_us",
}  # fmt: skip
_BAG_LB, _PALLET_BAGS = 40.0, 50  # a pallet of 50 bags is a short ton; common practice in North America
_UNITED_STATES = Trade(_BAG_LB, _PALLET_BAGS, _US_WORDS, "USD")
_BY_COUNTRY = {
    **dict.fromkeys(("US", "PR", "GU", "VI"), _UNITED_STATES),
    "CA": Trade(_BAG_LB, _PALLET_BAGS, {}, "CAD"),
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

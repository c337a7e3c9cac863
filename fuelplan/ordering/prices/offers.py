"""An offer as it stands on paper, and the tax on it."""

from __future__ import annotations

import itertools
from dataclasses import dataclass
from datetime import date

from fuelplan import units
from fuelplan.heat import fuels

VAT_ON_WOOD_FUEL: dict[str, tuple[float, str]] = {
    "DE": (0.07, "gross = net × 1.07 in the German pellet association's published prices"),
    "AT": (0.13, "value from memory"),
    "CH": (0.081, "value from memory"),
    "FR": (0.10, "value from memory"),
    "GB": (0.05, "value from memory: fuel for homes"),
}
"""Value added tax on wood fuel for homes by country: (share, where the figure comes from)."""


class OfferError(ValueError):
    """An offer that cannot be read as one, or an amount it cannot serve."""


def vat_on_wood_fuel(country: str) -> tuple[float, str]:
    """Return the usual tax share on wood fuel for homes and where the figure comes from.

    Raises :class:`OfferError` for a country without a default: a wrong tax is worse than a question.
    """
    found = VAT_ON_WOOD_FUEL.get(country.upper())
    if found is None:
        known = ", ".join(sorted(VAT_ON_WOOD_FUEL))
        raise OfferError(
            f'no usual VAT on wood fuel is known for "{country}"; write the share, e.g. vat = "10 %" (known: '
            f"{known})"
        )
    return found


@dataclass(frozen=True)
class Bracket:
    """From this amount on, every kilogram of the drop costs this price (all-units). [kg, money/kg]"""

    from_kg: float
    price_per_kg: float


@dataclass(frozen=True)
class Offer:
    """One supplier's offer, as it stands on paper.

    Attributes
    ----------
    supplier, currency
        Who, and in which money all figures are.
    brackets
        Price by drop size, rising `from_kg`; the first one from 0 or from the smallest drop.
    vat_share
        Value added tax on the fuel as a share; `charges_vat_share` on the charges, None for the same one.
    prices_with_vat
        Whether prices and charges are written with the tax in them.
    minimum_kg, maximum_kg
        Smallest and largest drop. [kg]
    delivery_charge
        Per trip of the lorry: neighbours who share the trip share it. [money]
    blow_in_charge
        Per stop, for connecting and blowing in. [money]
    hose_included_m, hose_charge_per_m
        Hose in the price, and what each further metre costs. [m, money/m]
    failed_trip_charge
        For a lorry that came and could not unload. [money]
    valid_from, valid_until
        First and last day on which the offer can be taken.
    deliver_from, deliver_until
        First and last day of the delivery weeks named in it.
    pay_within_days, discount_share, discount_within_days
        Days to pay after delivery, and the discount for paying sooner. [d, share, d]
    shared_orders
        Whether the drops of neighbours are added up for the bracket.
    form
        "bulk", "bagged", or the name of a fuel that comes in stacks.
    """

    supplier: str
    currency: str
    brackets: tuple[Bracket, ...]
    vat_share: float
    prices_with_vat: bool = True
    charges_vat_share: float | None = None
    minimum_kg: float = 0.0
    maximum_kg: float = float("inf")
    delivery_charge: float = 0.0
    blow_in_charge: float = 0.0
    hose_included_m: float = 30.0
    hose_charge_per_m: float = 0.0
    failed_trip_charge: float = 0.0
    valid_from: date | None = None
    valid_until: date | None = None
    deliver_from: date | None = None
    deliver_until: date | None = None
    pay_within_days: int = 0
    discount_share: float = 0.0
    discount_within_days: int = 0
    shared_orders: bool = False
    form: str = "bulk"

    def __post_init__(self) -> None:
        """Refuse an offer that contradicts itself."""
        if not self.brackets:
            raise OfferError(f"{self.supplier}: the offer has no price; write at least one price per tonne")
        starts = [b.from_kg for b in self.brackets]
        if any(b <= a for a, b in itertools.pairwise(starts)):
            raise OfferError(
                f"{self.supplier}: the drop sizes must rise from one price to the next, not {starts}"
            )
        if min(b.price_per_kg for b in self.brackets) <= 0:
            raise OfferError(f"{self.supplier}: a price per tonne must be above zero")
        if not 0 <= self.vat_share < 1 or not 0 <= self.discount_share < 1:
            raise OfferError(f'{self.supplier}: VAT and discount are shares below 1, written e.g. "7 %"')
        if self.minimum_kg > self.maximum_kg:
            raise OfferError(f"{self.supplier}: the smallest drop is larger than the largest one")
        forms = ["bulk", "bagged", *(f.name for f in fuels.planned() if f.is_stacked)]
        if self.form not in forms:
            words = ", ".join(f'"{form}"' for form in forms[:-1])
            raise OfferError(
                f'{self.supplier}: "{self.form}" is not a valid form of fuel; write {words} or "{forms[-1]}"'
            )
        for a, b, what in (
            (self.valid_from, self.valid_until, "validity"),
            (self.deliver_from, self.deliver_until, "delivery weeks"),
        ):
            if a and b and b < a:
                raise OfferError(f"{self.supplier}: the {what} end on {b} before they begin on {a}")

    @property
    def smallest_drop_kg(self) -> float:
        """Smallest amount with a price. [kg]"""
        return max(self.minimum_kg, self.brackets[0].from_kg)

    def price_per_kg(self, kg: float) -> float:
        """Return the price per kilogram as written in the offer for a drop of this size. [money/kg]"""
        fitting = [b for b in self.brackets if b.from_kg <= kg]
        if not fitting:
            raise OfferError(
                f"{self.supplier}: no price for {units.show_as(kg, 'kg')}; the offer begins at "
                f"{units.show_as(self.brackets[0].from_kg, 'kg')}"
            )
        return fitting[-1].price_per_kg

    def refusal(self, kg: float, on: date | None = None, joint_kg: float | None = None) -> str | None:
        """Say in one sentence why this offer cannot serve this amount on this day, or None where it can."""
        if on and self.valid_until and on > self.valid_until:
            return f"{self.supplier}: the offer ended on {self.valid_until}"
        if on and self.valid_from and on < self.valid_from:
            return f"{self.supplier}: the offer begins on {self.valid_from}"
        drop_kg = kg if joint_kg is None else joint_kg
        if drop_kg < self.smallest_drop_kg:
            return f"{self.supplier}: the smallest drop is {units.show_as(self.smallest_drop_kg, 'kg')}"
        if drop_kg > self.maximum_kg:
            return f"{self.supplier}: the largest drop is {units.show_as(self.maximum_kg, 'kg')}"
        return None

"""An offer as it stands on paper, and the tax on it."""

from __future__ import annotations

import itertools
from dataclasses import dataclass
from datetime import date

from fuelplan.heat import fuels
from fuelplan.messages import Day, Listed, Message, Own, Quantity, Refusal, message

VAT_ON_WOOD_FUEL: dict[str, tuple[float, str]] = {
    "DE": (0.07, "gross = net × 1.07 in the German pellet association's published prices"),
    "AT": (0.13, "value from memory"),
    "CH": (0.081, "value from memory"),
    "FR": (0.10, "value from memory"),
    "GB": (0.05, "value from memory: fuel for homes"),
}
"""Value added tax on wood fuel for homes by country: (share, where the figure comes from)."""


class OfferError(Refusal):
    """An offer that cannot be read as one, or an amount it cannot serve."""


def kilograms(kg: float) -> Quantity:
    """Return an amount as an offer has it."""
    return Quantity(kg, "mass", 3, unit="kg", decimals=0)


def vat_on_wood_fuel(country: str) -> tuple[float, str]:
    """Return the usual tax share on wood fuel for homes and where the figure comes from.

    Parameters
    ----------
    country
        Its ISO 3166 code of two letters.

    Raises
    ------
    OfferError
        A country without a default: a wrong tax is worse than a question.
    """
    found = VAT_ON_WOOD_FUEL.get(country.upper())
    if found is None:
        raise OfferError(
            message(
                "offer.vat_not_known",
                'no usual VAT on wood fuel is known for "{country}"; write the share, e.g. vat = "10 %" '
                "(known: {known})",
                country=Own(country),
                known=Listed(tuple(map(Own, sorted(VAT_ON_WOOD_FUEL))), ", "),
            )
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
        wrong = self._wrong_prices() or self._wrong_terms() or self._wrong_days()
        if wrong is not None:
            raise OfferError(message("offer.fault", "{supplier}: {fault}", supplier=self._who, fault=wrong))

    @property
    def _who(self) -> Own:
        return Own(self.supplier)

    def _wrong_prices(self) -> Message | None:
        if not self.brackets:
            return message("offer.no_price", "the offer has no price; write at least one price per tonne")
        starts = [b.from_kg for b in self.brackets]
        if any(b <= a for a, b in itertools.pairwise(starts)):
            return message(
                "offer.sizes_must_rise",
                "the drop sizes must rise from one price to the next, not {sizes}",
                sizes=Listed(tuple(kilograms(kg) for kg in starts), ", "),
            )
        if min(b.price_per_kg for b in self.brackets) <= 0:
            return message("offer.price_above_zero", "a price per tonne must be above zero")
        return None

    def _wrong_terms(self) -> Message | None:
        if not 0 <= self.vat_share < 1 or not 0 <= self.discount_share < 1:
            return message("offer.shares", 'VAT and discount are shares below 1, written e.g. "7 %"')
        if self.minimum_kg > self.maximum_kg:
            return message("offer.smallest_too_large", "the smallest drop is larger than the largest one")
        forms = ["bulk", "bagged", *(f.name for f in fuels.planned() if f.is_stacked)]
        if self.form not in forms:
            return message(
                "offer.form",
                '"{form}" is not a valid form of fuel; write {forms}',
                form=Own(self.form),
                forms=Listed(tuple(Own(f'"{form}"') for form in forms), "or"),
            )
        return None

    def _wrong_days(self) -> Message | None:
        if self.valid_from and self.valid_until and self.valid_until < self.valid_from:
            return message(
                "offer.validity_backwards",
                "its validity ends on {last} before it begins on {first}",
                last=Day(self.valid_until, year=True),
                first=Day(self.valid_from, year=True),
            )
        if self.deliver_from and self.deliver_until and self.deliver_until < self.deliver_from:
            return message(
                "offer.delivery_backwards",
                "the delivery weeks end on {last} before they begin on {first}",
                last=Day(self.deliver_until, year=True),
                first=Day(self.deliver_from, year=True),
            )
        return None

    @property
    def smallest_drop_kg(self) -> float:
        """Smallest amount with a price. [kg]"""
        return max(self.minimum_kg, self.brackets[0].from_kg)

    def price_per_kg(self, kg: float) -> float:
        """Return the price per kilogram as written in the offer for a drop of this size. [money/kg]"""
        fitting = [b for b in self.brackets if b.from_kg <= kg]
        if not fitting:
            raise OfferError(
                message(
                    "offer.no_price_for",
                    "{supplier}: no price for {amount}; the offer begins at {least}",
                    supplier=self._who,
                    amount=kilograms(kg),
                    least=kilograms(self.brackets[0].from_kg),
                )
            )
        return fitting[-1].price_per_kg

    def refusal(self, kg: float, on: date | None = None, joint_kg: float | None = None) -> Message | None:
        """Say in one sentence why this offer cannot serve this amount on this day, or None where it can."""
        if on and self.valid_until and on > self.valid_until:
            return message(
                "offer.ended",
                "{supplier}: the offer ended on {day}",
                supplier=self._who,
                day=Day(self.valid_until, year=True),
            )
        if on and self.valid_from and on < self.valid_from:
            return message(
                "offer.not_yet",
                "{supplier}: the offer begins on {day}",
                supplier=self._who,
                day=Day(self.valid_from, year=True),
            )
        drop_kg = kg if joint_kg is None else joint_kg
        if drop_kg < self.smallest_drop_kg:
            return message(
                "offer.below_smallest",
                "{supplier}: the smallest drop is {drop}",
                supplier=self._who,
                drop=kilograms(self.smallest_drop_kg),
            )
        if drop_kg > self.maximum_kg:
            return message(
                "offer.above_largest",
                "{supplier}: the largest drop is {drop}",
                supplier=self._who,
                drop=kilograms(self.maximum_kg),
            )
        return None

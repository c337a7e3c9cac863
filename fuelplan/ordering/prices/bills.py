"""Whole bills for an amount, and the offers compared by them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

import numpy as np
from numpy.typing import NDArray

from fuelplan.messages import Listed, Message, Own, Percent, Price, Quantity, message
from fuelplan.ordering.prices.offers import Offer, OfferError, kilograms

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Shared:
    """An order together with a neighbour: what the neighbour takes from the same lorry. [kg]"""

    neighbour_kg: float


@dataclass(frozen=True)
class BillLine:
    """One line of a bill. [money]"""

    text: Message
    net: float
    vat: float

    @property
    def gross(self) -> float:
        """With tax. [money]"""
        return self.net + self.vat


@dataclass(frozen=True)
class Bill:
    """A whole bill, line by line."""

    supplier: str
    currency: str
    kg: float
    lines: tuple[BillLine, ...]
    discount_share: float = 0.0
    notes: tuple[Message, ...] = ()

    @property
    def net(self) -> float:
        """Sum before tax. [money]"""
        return sum(x.net for x in self.lines)

    @property
    def vat(self) -> float:
        """Tax. [money]"""
        return sum(x.vat for x in self.lines)

    @property
    def gross(self) -> float:
        """What is paid at the due day. [money]"""
        return sum(x.gross for x in self.lines)

    @property
    def gross_paid_early(self) -> float:
        """What is paid with the discount for paying early. [money]"""
        return self.gross * (1 - self.discount_share)

    @property
    def gross_per_kg(self) -> float:
        """The whole bill per kilogram. [money/kg]"""
        return self.gross / self.kg if self.kg else float("nan")


def _line(offer: Offer, text: Message, amount: float, *, charge: bool = False) -> BillLine:
    """Split an amount of the offer into net and tax."""
    share = offer.vat_share
    if charge and offer.charges_vat_share is not None:
        share = offer.charges_vat_share
    net = amount / (1 + share) if offer.prices_with_vat else amount
    return BillLine(text, net, net * share)


def _charge_lines(offer: Offer, hose_m: float, trip_share: float) -> list[BillLine]:
    """Charges of one stop: the trip by its share, blowing in and hose in full."""
    lines = []
    if offer.delivery_charge:
        text = message("bill.delivery", "delivery")
        if trip_share != 1:
            text = message(
                "bill.shared_delivery", "delivery, {share} of a shared trip", share=Percent(trip_share)
            )
        lines.append(_line(offer, text, offer.delivery_charge * trip_share, charge=True))
    if offer.blow_in_charge:
        lines.append(
            _line(offer, message("bill.blowing_in", "blowing in"), offer.blow_in_charge, charge=True)
        )
    extra_m = max(0.0, hose_m - offer.hose_included_m)
    if extra_m and offer.hose_charge_per_m:
        hose = Quantity(extra_m, "length", unit="m", decimals=0)
        text = message("bill.further_hose", "{hose} of further hose", hose=hose)
        lines.append(_line(offer, text, extra_m * offer.hose_charge_per_m, charge=True))
    return lines


def bill(
    offer: Offer, kg: float, *, hose_m: float = 0.0, shared: Shared | None = None, on: date | None = None
) -> Bill:
    """Return the whole bill for one drop.

    Parameters
    ----------
    kg
        Own amount. [kg]
    hose_m
        Hose needed from the lorry to the coupling. [m]
    shared
        The neighbour's part; where the offer adds neighbours up, the bracket follows the sum and the trip is
        shared by mass.
    on
        Day of the order; None does not test the validity.

    Raises
    ------
    OfferError
        The offer cannot serve the amount, has ended, or does not add neighbours up.
    """
    reason = _refusal(offer, kg, shared, on)
    if reason is not None:
        raise OfferError(reason)
    joint_kg = kg if shared is None else kg + shared.neighbour_kg
    price = offer.price_per_kg(joint_kg)
    lines = [_line(offer, _kg_at(kg, price, offer), kg * price)]
    lines += _charge_lines(offer, hose_m, kg / joint_kg)
    notes = _bracket_note(offer, joint_kg)
    return Bill(offer.supplier, offer.currency, kg, tuple(lines), offer.discount_share, notes)


def _refusal(offer: Offer, kg: float, shared: Shared | None, on: date | None) -> Message | None:
    """Return why there is no bill; None where there is one."""
    if not kg > 0:
        return message("bill.no_amount", "an order needs an amount above zero")
    if shared is None:
        return offer.refusal(kg, on)
    if not offer.shared_orders:
        return message(
            "bill.not_added_up",
            "{supplier}: the offer does not add up the drops of neighbours; ask for it in writing",
            supplier=Own(offer.supplier),
        )
    if not shared.neighbour_kg > 0:
        return message("bill.no_neighbour", "a shared order needs the neighbour's amount, above zero")
    return offer.refusal(kg, on, kg + shared.neighbour_kg)


def _kg_at(kg: float, per_kg: float, offer: Offer) -> Message:
    price = Price(per_kg, offer.currency, decimals=2)
    return message("bill.fuel", "{amount} at {price}", amount=kilograms(kg), price=price)


def _bracket_note(offer: Offer, kg: float) -> tuple[Message, ...]:
    """Say where a little more costs less in total, the trap of all-units prices."""
    now = kg * offer.price_per_kg(kg)
    for b in offer.brackets:
        if b.from_kg > kg and b.from_kg * b.price_per_kg <= now and b.from_kg <= offer.maximum_kg:
            note = message(
                "bill.more_for_less",
                "{more} cost no more than {asked}: the price by weight falls there",
                more=kilograms(b.from_kg),
                asked=kilograms(kg),
            )
            return (note,)
    return ()


def money_cost(the_bill: Bill, offer: Offer, interest_per_year: float = 0.0) -> float:
    """Return the cost of a bill seen from the delivery, paid early or late, the cheaper way. [money]

    Paying `n` days later is worth n/365 of a year's interest (simple interest).

    Parameters
    ----------
    the_bill, offer
        The bill, and the offer with its terms of payment.
    interest_per_year
        What money earns, as a share.
    """
    late = the_bill.gross * (1 - interest_per_year * offer.pay_within_days / 365)
    if not offer.discount_share:
        return late
    return min(late, the_bill.gross_paid_early * (1 - interest_per_year * offer.discount_within_days / 365))


@dataclass(frozen=True)
class Comparison:
    """Offers for one amount, cheapest first; `refused` says why the others cannot serve it."""

    kg: float
    bills: tuple[tuple[Offer, Bill, float], ...]
    refused: tuple[tuple[Offer, Message], ...]

    @property
    def best(self) -> tuple[Offer, Bill, float] | None:
        """The cheapest (offer, bill, cost with payment terms), or None where no offer serves the amount."""
        return self.bills[0] if self.bills else None


def compare(
    offers: Sequence[Offer],
    kg: float,
    *,
    on: date | None = None,
    hose_m: float = 0.0,
    shared: Shared | None = None,
    interest_per_year: float = 0.0,
) -> Comparison:
    """Compare offers for one amount as whole bills, tax, charges and payment terms included.

    Offers that do not add neighbours up are billed for the own amount alone.

    Parameters
    ----------
    kg
        Own amount. [kg]
    on, hose_m, shared
        As in :func:`bill`.
    interest_per_year
        As in :func:`money_cost`.

    Raises
    ------
    OfferError
        The offers are in different moneys.
    """
    moneys = sorted({o.currency for o in offers})
    if len(moneys) > 1:
        raise OfferError(
            message(
                "offer.several_moneys",
                "offers in {moneys} cannot be compared; write them in one money",
                moneys=Listed(tuple(map(Own, moneys)), " and "),
            )
        )
    served, refused = [], []
    for offer in offers:
        with_neighbour = shared if offer.shared_orders else None
        reason = _refusal(offer, kg, with_neighbour, on)
        if reason is not None:
            refused.append((offer, reason))
            continue
        one = bill(offer, kg, hose_m=hose_m, shared=with_neighbour, on=on)
        served.append((offer, one, money_cost(one, offer, interest_per_year)))
    served.sort(key=lambda x: x[2])
    return Comparison(kg, tuple(served), tuple(refused))


@dataclass(frozen=True)
class Tariff:
    """What whole orders cost by amount, the cheapest offer taken for each.

    Attributes
    ----------
    amounts_kg
        Shape (m,), rising. [kg]
    fuel, charges
        Shape (m,): the part that follows the season of prices and the part that does not. [money]
    suppliers
        Who is cheapest for each amount.
    currency
        The money.
    """

    amounts_kg: Floats
    fuel: Floats
    charges: Floats
    suppliers: tuple[str, ...]
    currency: str

    @property
    def total(self) -> Floats:
        """Whole bills, shape (m,). [money]"""
        return self.fuel + self.charges

    @property
    def reference_per_kg(self) -> float:
        """Fuel price of the middle amount, to value stock with. [money/kg]"""
        i = len(self.amounts_kg) // 2
        return float(self.fuel[i] / self.amounts_kg[i])


def tariff(
    offers: Sequence[Offer],
    amounts_kg: Sequence[float] | Floats,
    *,
    on: date | None = None,
    hose_m: float = 0.0,
    shared: Shared | None = None,
    interest_per_year: float = 0.0,
) -> Tariff:
    """Return the cheapest whole bill for each amount; amounts no offer serves are left out.

    Parameters
    ----------
    amounts_kg
        Amounts to ask for. [kg]
    on, hose_m, shared, interest_per_year
        As in :func:`compare`.

    Raises
    ------
    OfferError
        No amount can be served; it names every reason.
    """
    kept, fuel, charges, who = [], [], [], []
    reasons: dict[Message, None] = {}
    for kg in np.unique(np.asarray(amounts_kg, dtype=float)):
        comparison = compare(
            offers, float(kg), on=on, hose_m=hose_m, shared=shared, interest_per_year=interest_per_year
        )
        reasons.update(dict.fromkeys(text for _, text in comparison.refused))
        if comparison.best is None:
            continue
        offer, one, cost = comparison.best
        extras = sum(x.gross for x in one.lines[1:]) * cost / one.gross
        kept.append(float(kg))
        fuel.append(cost - extras)
        charges.append(extras)
        who.append(offer.supplier)
    if not kept:
        raise OfferError(_served_none(tuple(reasons)))
    return Tariff(np.array(kept), np.array(fuel), np.array(charges), tuple(who), offers[0].currency)


def _served_none(reasons: tuple[Message, ...]) -> Message:
    if not reasons:
        return message("offer.none", "there is no offer, so none serves any of the amounts")
    return message(
        "offer.none_serves", "no offer serves any of the amounts: {reasons}", reasons=Listed(reasons, "; ")
    )

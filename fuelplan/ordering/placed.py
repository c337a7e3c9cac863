"""An order that was placed: under way, overdue, come in full, come with too much or too little, or failed."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

TOLERANCE_SHARE, TOLERANCE_KG = 0.10, 200.0
"""Usual difference of a delivery from its order: ±10 % or ±200 kg (Sweden, COFORD 2008). [share, kg]"""


class OrderError(ValueError):
    """An order that cannot be."""


@dataclass(frozen=True)
class Placed:
    """An order as it was placed: what, when, and between which days it should come. [kg]"""

    kg: float
    ordered_on: date
    expected_from: date
    expected_to: date

    def __post_init__(self) -> None:
        """Refuse an order out of time or without an amount."""
        if not self.kg > 0:
            raise OrderError(f"an order needs an amount above zero, not {self.kg:g} kg")
        if not self.ordered_on <= self.expected_from <= self.expected_to:
            raise OrderError(
                f"an order of {self.ordered_on} cannot be expected from {self.expected_from} to "
                f"{self.expected_to}: "
                f"write the days in their order"
            )


@dataclass(frozen=True)
class Delivered:
    """What came of an order; 0 kg for a lorry that could not unload. [kg]"""

    kg: float
    on: date


@dataclass(frozen=True)
class OrderState:
    """How an order stands.

    Attributes
    ----------
    kind
        "under_way", "overdue", "delivered", "more_than_ordered", "less_than_ordered" or "failed".
    sentence
        What that means and what to do.
    to_come_kg
        What may still be reckoned with. Ordered never stands for delivered. [kg]
    decide_again
        Whether today's decision must be made as if nothing were on order.
    """

    kind: str
    sentence: str
    to_come_kg: float
    decide_again: bool


def order_state(
    order: Placed, as_of: date, delivered: Delivered | None = None, surely_fits_kg: float | None = None
) -> OrderState:
    """Return how an order stands on a day.

    Parameters
    ----------
    delivered
        What came, as far as known on that day.
    surely_fits_kg
        What surely fitted on the eve of the delivery, to say when more came than that. [kg]

    Raises
    ------
    OrderError
        The order is dated after `as_of`, or the delivery before the order or after `as_of`.
    """
    if order.ordered_on > as_of:
        raise OrderError(f"the order is dated {order.ordered_on}, after {as_of}: correct the date")
    if delivered is not None:
        return _after_delivery(order, as_of, delivered, surely_fits_kg)
    if as_of > order.expected_to:
        days = (as_of - order.expected_to).days
        return OrderState(
            "overdue",
            f"{order.kg:,.0f} kg should have come by {order.expected_to}, {days} days ago: ring the "
            "supplier, and "
            f"write down what came or that nothing did.",
            0.0,
            True,
        )
    return OrderState(
        "under_way",
        f"{order.kg:,.0f} kg are on order since {order.ordered_on}, expected {order.expected_from} to "
        f"{order.expected_to}.",
        order.kg,
        False,
    )


def _after_delivery(
    order: Placed, as_of: date, delivered: Delivered, surely_fits_kg: float | None
) -> OrderState:
    """How an order stands once something came, or failed to."""
    if not order.ordered_on <= delivered.on <= as_of:
        raise OrderError(
            f"the delivery is dated {delivered.on}; it must lie between the order of {order.ordered_on} and "
            f"{as_of}"
        )
    if delivered.kg < 0:
        raise OrderError("a delivered amount cannot be below zero")
    if delivered.kg == 0:
        return OrderState(
            "failed",
            f"The delivery of {delivered.on} failed: nothing is in store from it, and the order is open "
            "again.",
            0.0,
            True,
        )
    gap = delivered.kg - order.kg
    usual = max(TOLERANCE_KG, TOLERANCE_SHARE * order.kg)
    if abs(gap) <= usual:
        return OrderState("delivered", f"{delivered.kg:,.0f} kg came on {delivered.on}.", 0.0, False)
    if gap < 0:
        return OrderState(
            "less_than_ordered",
            f"{delivered.kg:,.0f} kg came of {order.kg:,.0f} kg: count on no more until the supplier has "
            "named a day.",
            0.0,
            True,
        )
    more = (
        f"{delivered.kg:,.0f} kg came where {order.kg:,.0f} kg were ordered: "
        f"compare the weigh note with the bill"
    )
    if surely_fits_kg is not None and delivered.kg > surely_fits_kg:
        more += (
            f"; only {surely_fits_kg:,.0f} kg surely fitted, so the level before must have been lower than "
            f"thought, or the store is larger: read the level again"
        )
    return OrderState("more_than_ordered", more + ".", 0.0, False)

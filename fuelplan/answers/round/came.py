"""What of the orders and published stops has come, as an answer: the books as they count, and what to ask."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date
from typing import Any

import numpy as np
from numpy.typing import NDArray

from fuelplan.dispatch.books import serves
from fuelplan.dispatch.published import reckon
from fuelplan.messages import Day, Message, Own, Quantity, in_document, message
from fuelplan.records.round import PublishedStop, Round

Floats = NDArray[np.float64]

CHOICES = (
    ("came", message("came.came", "It came; the weigh note follows")),
    ("other_amount", message("came.other_amount", "Another amount came")),
    ("did_not_come", message("came.did_not_come", "It did not come")),
)
"""Answers to the question whether a published drop came."""


@dataclass(frozen=True)
class ToConfirm:
    """A published stop of a past day of which nobody has said whether it came. [kg]"""

    day: date
    tanker: str
    customer: str
    name: str
    order: str | None
    grade: str
    kg: float

    @property
    def said(self) -> Message:
        """The question in words."""
        name, customer, grade, tanker = map(Own, (self.name, self.customer, self.grade, self.tanker))
        kg, day = Quantity(self.kg, "weighed_mass"), Day(self.day)
        if self.order is None:
            return message(
                "came.asked",
                "{name} ({customer}): {kg} {grade} were published for {day} with {tanker}. Did they come?",
                name=name, customer=customer, kg=kg, grade=grade, day=day, tanker=tanker,
            )  # fmt: skip
        return message(
            "came.asked_of_order",
            "{name} ({customer}): {kg} {grade} were published for {day} with {tanker} for order {order}. "
            "Did they come?",
            name=name, customer=customer, kg=kg, grade=grade, day=day, tanker=tanker, order=Own(self.order),
        )  # fmt: skip

    def to_json(self) -> dict[str, Any]:
        """Return the question as a document lists it."""
        return {
            "date": self.day.isoformat(),
            "tanker": self.tanker,
            "customer": self.customer,
            "name": self.name,
            "order": self.order,
            "product": self.grade,
            "kg": round(self.kg),
            **in_document(self.said),
            "choices": [{"code": code, "label": in_document(label)} for code, label in CHOICES],
        }


@dataclass(frozen=True)
class Came:
    """The books as they count.

    Attributes
    ----------
    round
        Without the orders that have come; those that may have come are marked as asked about. Drops that
        somebody said came are among the deliveries.
    to_confirm
        Stops to ask about, by day.
    notes
        What was concluded from weigh notes, in words.
    """

    round: Round
    to_confirm: tuple[ToConfirm, ...]
    notes: tuple[Message, ...]

    def maybe_kg(self) -> Floats:
        """Return what may have come to each customer without anybody having said so, shape (N,). [kg]"""
        out = np.zeros(len(self.round.customers))
        for stop in self.to_confirm:
            out[self.round.customers.number_of[stop.customer]] += stop.kg
        return out


def what_came(round_: Round, as_of: date) -> Came:
    """Return the books with what has come taken off, and the stops to ask about."""
    found = reckon(
        round_.customers, round_.table.classes, round_.deliveries, round_.orders, round_.published,
        round_.happenings, as_of,
    )  # fmt: skip
    counted = replace(round_, orders=found.orders, deliveries=found.deliveries)
    return Came(counted, tuple(_asked(round_, stop) for stop in found.asked), found.notes)


def _asked(round_: Round, stop: PublishedStop) -> ToConfirm:
    name = str(round_.customers.name[round_.customers.number_of[stop.customer]])
    order = next((o.order for o in round_.orders if serves(stop, o)), None)
    return ToConfirm(stop.day, stop.tanker, stop.customer, name, order, stop.grade, stop.kg)

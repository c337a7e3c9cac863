"""Readings of a round's customers that disagree with what was expected: which, and what follows from them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date as Date
from datetime import timedelta
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from fuelplan.dispatch import outlook
from fuelplan.dispatch.run_plan import FITS
from fuelplan.messages import (
    Day,
    Listed,
    Message,
    Own,
    Quantity,
    Value,
    in_document,
    message,
    paragraph,
)

if TYPE_CHECKING:
    from fuelplan.answers.who_is_due.beliefs import Beliefs
    from fuelplan.dispatch.outlook import LevelTable

Floats = NDArray[np.float64]

MOST_NAMED = 6
UNTIL = message(
    "doubts.until",
    "Until a new reading, or the word right or wrong beside it (readings.csv, column checked), settles it, "
    "days "
    "follow the emptier of the two, amounts the fuller.",
)


@dataclass(frozen=True)
class ReadingDoubted:
    """A customer's reading on which only a person can decide, with what was expected. [kg]"""

    customer: str
    name: str
    phone: str
    date: Date
    read_kg: float
    expected_kg: float

    @property
    def said(self) -> Message:
        """The question in words."""
        return message(
            "doubts.reading",
            "{name} ({customer}): the reading of {day} says {read}, where {expected} were expected. Is it "
            "right?",
            name=Own(self.name), customer=Own(self.customer), day=Day(self.date, year=True),
            read=Quantity(self.read_kg, "weighed_mass"),
            expected=Quantity(self.expected_kg, "weighed_mass"),
        )  # fmt: skip

    def to_json(self) -> dict[str, Any]:
        """Return the question as a document lists it."""
        return {
            "customer": self.customer,
            "name": self.name,
            "date": self.date.isoformat(),
            "read_kg": round(self.read_kg),
            "expected_kg": round(self.expected_kg),
            **in_document(self.said),
        }


def readings_doubted(beliefs: Beliefs) -> tuple[ReadingDoubted, ...]:
    """Return the open questions in the order of the customers; those who left are not asked."""
    c, found = beliefs.round.customers, beliefs.doubted
    here = ~c.gone(beliefs.as_of + timedelta(days=1))[found.customer]
    return tuple(
        ReadingDoubted(
            str(c.id[i]),
            str(c.name[i]),
            str(c.phone[i]),
            beliefs.many.first_day + timedelta(days=int(found.day[k])),
            float(found.read_kg[k]),
            float(found.expected_kg[k]),
        )
        for k, i in enumerate(found.customer)
        if here[k]
    )


def more_kg(beliefs: Beliefs, levels: LevelTable) -> Floats:
    """Return how much more may lie in each store than `levels` say: what takes room if the fuller of the two
    is right, shape (N,). [kg]
    """
    if not len(beliefs.doubted):
        return np.zeros(len(beliefs.store))
    days, who = levels.mean_kg.shape[1] - 1, beliefs.doubted.customer
    area = beliefs.store.area[who]
    fuller = outlook.level_table(beliefs.tables, area, beliefs.draw_fuller, beliefs.draws, days=days)
    return outlook.fuller_by_kg(levels, fuller, who, share=FITS)


def asked(doubted: Sequence[ReadingDoubted]) -> Message:
    """Return the questions, several in one sentence, and what is done until they are answered."""
    return paragraph([doubted[0].said if len(doubted) == 1 else _many(doubted), UNTIL])


def _many(doubted: Sequence[ReadingDoubted]) -> Message:
    names: Value = Listed(tuple(Own(d.customer) for d in doubted[:MOST_NAMED]), ", ")
    if len(doubted) > MOST_NAMED:
        names = message("doubts.and_more", "{names} …", names=names)
    return message(
        "doubts.readings",
        "Are they right? {count} readings disagree with what was expected: {names}.",
        count=len(doubted), names=names,
    )  # fmt: skip

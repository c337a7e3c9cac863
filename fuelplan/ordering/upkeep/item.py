"""A dated piece of upkeep, as a calendar takes it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Literal

from fuelplan.messages import Day, Message, Refusal

Kind = Literal["ash", "sweeping", "store_cleaning", "question"]


class UpkeepError(Refusal):
    """Something said about the upkeep cannot be; the sentence says what to write instead."""


@dataclass(frozen=True)
class UpkeepItem:
    """One thing to do, or one question to answer.

    Attributes
    ----------
    day
        Proposed day.
    kind
        What it is; a "question" waits for the person's answer and is no date of its own.
    title, text
        For people.
    caution_ids
        Cautions to show with it, by their id in the room of cautions.
    latest
        Last day for it, where there is one.
    key
        The same piece of upkeep keeps its key, so that a calendar moves an entry instead of doubling it.
    """

    day: date
    kind: Kind
    title: Message
    text: Message
    caution_ids: tuple[str, ...]
    latest: date | None
    key: str


def said_day(day: date) -> Day:
    """Return a date as the entries show it."""
    return Day(day, year=True)

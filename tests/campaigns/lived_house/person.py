"""Somebody who reads a store: careful or lazy, by eye or tape, and now and then with a slip of the pen."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date, timedelta

import numpy as np

from tests.campaigns.lived_house.entries import Entry
from tests.campaigns.lived_house.store import TrueStore

EYE_DOUBT = 0.10  # what a look by eye may be off, as a share of the store


@dataclass(frozen=True)
class Person:
    """How often he looks [days], how he reads, how good his eye is [share], how often the pen slips [share].

    `books_late` is the share of deliveries that he writes down days later, `look_again` that of questions
    that he answers by going down once more.
    """

    every_days: int
    tape: float
    in_tonnes: float
    eye: float
    slips: float
    books_late: float
    weigh_note: float
    looks_at_delivery: float
    look_again: float

    def look(self, day: date, true_kg: float, store: TrueStore, rng: np.random.Generator) -> Entry:
        """Return a reading of what is there, written without a slip."""
        if rng.random() < self.tape:
            cm = store.tape_cm(true_kg, rng)
            said = store.below_m3(store.height_m - cm / 100) * store.dense_kg_per_m3
            per_cm = abs(
                store.below_m3(store.height_m - (cm - 5) / 100)
                - store.below_m3(store.height_m - (cm + 5) / 100)
            ) / 10 * store.dense_kg_per_m3  # fmt: skip
            doubt = float(np.hypot(6.0 * per_cm, 0.07 * said)) + 20.0
            return Entry(
                "tape", day, f"{cm} cm from top", "measured", said_kg=said, true_kg=true_kg, doubt_kg=doubt
            )
        share = float(np.clip(true_kg / store.holds_kg + rng.normal(0.0, self.eye), 0.0, 1.0))
        doubt = EYE_DOUBT * store.holds_kg
        if rng.random() < self.in_tonnes:
            tonnes = max(round(share * store.holds_kg / 100) / 10, 0.1)
            return Entry(
                "look",
                day,
                f"{tonnes:.1f} t",
                "by eye",
                said_kg=1000 * tonnes,
                true_kg=true_kg,
                doubt_kg=doubt,
            )
        points = 5 * round(20 * share)
        said = points / 100 * store.holds_kg
        return Entry("look", day, f"{points} %", "by eye", said_kg=said, true_kg=true_kg, doubt_kg=doubt)

    def slipped(self, entry: Entry, store: TrueStore, rng: np.random.Generator) -> Entry:
        """Return the entry with a slip of the pen, where the pen slips."""
        if rng.random() >= self.slips:
            return entry
        kinds = ["yesterday", "future"]
        if entry.text.endswith(" t"):
            kinds += ["a tenth", "kg for t"]
        elif entry.text.endswith(" %"):
            kinds += ["wrong look", "wrong look"]
        return slip(entry, str(rng.choice(kinds)), store)


def slip(entry: Entry, kind: str, store: TrueStore) -> Entry:
    """Return an entry with one kind of mistake."""
    if kind == "yesterday":
        return replace(entry, day=entry.day - timedelta(days=1), slip="yesterday's date")
    if kind == "future":
        return replace(entry, day=entry.day + timedelta(days=30), slip="a date in the future")
    if kind == "wrong look":
        far = entry.true_kg > 0.5 * store.holds_kg
        points = 5 if far else 95
        return replace(entry, text=f"{points} %", said_kg=points / 100 * store.holds_kg, slip="a wrong look")
    value = float(entry.text.removesuffix(" t"))
    if kind == "a tenth":
        return replace(entry, text=f"{value / 10:.2f} t", said_kg=100 * value, slip="a tenth of it")
    return replace(entry, text=f"{value:g} kg", said_kg=value, slip="kg for t")


def draw_person(rng: np.random.Generator) -> Person:
    """Return a careful or a lazy person."""
    careful = rng.random() < 0.5
    return Person(
        every_days=int(rng.integers(12, 25)) if careful else int(rng.integers(20, 45)),
        tape=0.7 if careful else 0.1,
        in_tonnes=float(rng.choice([0.0, 0.5])),
        eye=0.05 if careful else 0.09,
        slips=0.10 if careful else 0.18,
        books_late=0.05 if careful else 0.25,
        weigh_note=1.0 if careful else 0.7,
        looks_at_delivery=0.7 if careful else 0.4,
        look_again=0.2 if careful else 0.4,
    )

"""A supplier: working days counted his own way, a window told or not, a tanker that brings what fits."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np

SHUT = {(1, 1), (12, 25), (12, 26)}


@dataclass(frozen=True)
class Supplier:
    """The lead time he names [working days], how often he breaks it, and what his tanker sells [kg]."""

    least_days: int
    most_days: int
    breaks_word: float
    tells_window: float
    smallest_kg: int
    step_kg: int

    def arrival(self, ordered: date, rng: np.random.Generator) -> date:
        """Return the day on which an order comes."""
        wait = int(rng.integers(self.least_days, self.most_days + 1))
        if rng.random() < self.breaks_word:
            wait = self.most_days + int(rng.integers(1, 6))
        return later(ordered, wait)

    def window(self, ordered: date) -> tuple[date, date]:
        """Return the window he names for an order."""
        return later(ordered, self.least_days), later(ordered, self.most_days)


def later(day: date, working: int) -> date:
    """Return the day so many working days later."""
    left = max(working, 1)
    while left:
        day += timedelta(days=1)
        if day.weekday() < 5 and (day.month, day.day) not in SHUT:
            left -= 1
    return day


def draw_supplier(rng: np.random.Generator) -> Supplier:
    """Return a supplier; one breaks his word once in thirty orders."""
    least = int(rng.integers(3, 6))
    return Supplier(
        least,
        least + int(rng.integers(4, 10)),
        breaks_word=0.03,
        tells_window=float(rng.choice([0.0, 0.5, 1.0])),
        smallest_kg=int(rng.choice([1000, 1500, 2000])),
        step_kg=100,
    )

"""The true levels of a round's customers, day by day: a drop in the morning, then the day's use."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]


@dataclass(frozen=True)
class Stocks:
    """What lies in N stores on an evening. Arrays of shape (N,).

    Attributes
    ----------
    level_kg, store_kg
        What is left and what fits. [kg]
    dry
        Who has run empty and had no drop since.
    """

    level_kg: Floats
    store_kg: Floats
    dry: Bools

    def filled(self, given_kg: Floats) -> Stocks:
        """Return the stocks after the drops of a morning, none of which may overfill a store."""
        level = self.level_kg + given_kg
        if (given_kg < 0).any() or (level > self.store_kg + 1e-6).any():
            raise ValueError("a drop must be 0 kg or more and fit into the store")
        return Stocks(level, self.store_kg, self.dry & (given_kg <= 0))

    def burned(self, wanted_kg: Floats) -> tuple[Stocks, Floats, Bools]:
        """Return the stocks after a day's use, what was missing [kg], and who ran empty on this day.

        A store that stays empty for days has run empty once; the next drop ends it.
        """
        level = self.level_kg - wanted_kg
        missing = np.maximum(0.0, -level)
        empty = level <= 0
        ran_out = empty & ~self.dry
        return Stocks(np.maximum(level, 0.0), self.store_kg, self.dry | empty), missing, ran_out

    def room_kg(self) -> Floats:
        """Return what still fits. [kg]"""
        return self.store_kg - self.level_kg

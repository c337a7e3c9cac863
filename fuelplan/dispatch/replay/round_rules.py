"""Two rules that suppliers use: deliver when the customer rings, and deliver by the K-factor."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

RING_SD, RING_LEAST, RING_MOST = 0.04, 0.08, 0.35
"""Customers look at their stores with habits of their own: spread of the share at which they ring, and its
limits (our assumption)."""

K_BASE_C = 18.3
"""65 °F, the base of the degree-days that K-factors are kept in (common practice, value from memory). So high
a base also covers hot water, about. [degC]"""

K_KEEP = 0.5
"""Weight of the K-factor before when a new one is reckoned (common practice: the mean of the last ones)."""

K_LEAST_SHARE = 0.15
"""A fill smaller than this share of the store tells no K-factor."""


def ring_shares(ring_at: float, customers: int, rng: np.random.Generator) -> Floats:
    """Return the share of the store at which each customer rings.

    Parameters
    ----------
    ring_at
        The share that the supplier reckons with, about which they scatter. [share]

    Returns
    -------
    Floats
        Shape (customers,). [share]
    """
    return np.clip(rng.normal(ring_at, RING_SD, customers), RING_LEAST, RING_MOST)


def degree_days_of(mean_c: Floats) -> Floats:
    """Return the degree-days that K-factors are kept in: those below :data:`K_BASE_C`.

    Parameters
    ----------
    mean_c
        Daily means, any shape. [degC]

    Returns
    -------
    Floats
        The same shape. [K·d]
    """
    return np.asarray(np.maximum(0.0, K_BASE_C - mean_c))


@dataclass(frozen=True)
class KFactor:
    """What a supplier reckons of N customers from degree-days alone. Arrays of shape (N,).

    K = degree-days between two fills ÷ kg of the second; the level reckoned = full − degree-days since ÷ K.

    Attributes
    ----------
    k
        Degree-days for each kg. [K·d/kg]
    level_kg
        The level reckoned. [kg]
    store_kg
        What fits. [kg]
    since_kd, since_kg
        Degree-days, and kg of drops that did not fill the store, since it was last full; NaN where it never
        was. [K·d, kg]
    """

    k: Floats
    level_kg: Floats
    store_kg: Floats
    since_kd: Floats
    since_kg: Floats

    def after_day(self, degree_days: Floats) -> KFactor:
        """Return what is reckoned after a day with so many degree-days."""
        level = np.maximum(0.0, self.level_kg - degree_days / self.k)
        return replace(self, level_kg=level, since_kd=self.since_kd + degree_days)

    def after_drops(self, kg: Floats, full: Bools) -> KFactor:
        """Return what is reckoned after the drops of a day: 0 kg for none, `full` where the store is full."""
        total = self.since_kg + kg
        with np.errstate(invalid="ignore", divide="ignore"):
            new = self.since_kd / total
            tells = full & (total >= K_LEAST_SHARE * self.store_kg) & (self.since_kd > 0)
        k = np.where(tells, K_KEEP * self.k + (1 - K_KEEP) * np.where(tells, new, 0.0), self.k)
        level = np.where(full, self.store_kg, np.minimum(self.store_kg, self.level_kg + kg))
        return KFactor(
            k,
            level,
            self.store_kg,
            np.where(full, 0.0, self.since_kd),
            np.where(full, 0.0, total),
        )

    def found_empty(self, who: Bools) -> KFactor:
        """Return what is reckoned where some have rung because they are empty."""
        return replace(self, level_kg=np.where(who, 0.0, self.level_kg))

    def due(self, share: float) -> Bools:
        """Return who is due: the level reckoned has fallen to this share of the store."""
        return np.asarray(self.level_kg <= share * self.store_kg)

    def daily_kg(self, degree_days: Floats) -> Floats:
        """Return what a day with so many degree-days takes. [kg]"""
        return np.asarray(degree_days / self.k)


def first_k(kg_per_year: Floats, degree_days_a_year: Floats, store_kg: Floats) -> KFactor:
    """Return the reckoning before any fill: by the yearly use told, else a store a year (common practice).

    Parameters
    ----------
    kg_per_year
        Shape (N,), NaN where nothing is told. [kg]
    degree_days_a_year
        Shape (N,), of a usual year, above 0. [K·d]
    store_kg
        Shape (N,), what fits; half of it is taken as the level. [kg]
    """
    year = np.where(np.isfinite(kg_per_year), kg_per_year, store_kg)
    never = np.full(len(store_kg), np.nan)
    return KFactor(degree_days_a_year / year, 0.5 * store_kg, store_kg, never, never)

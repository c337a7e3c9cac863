"""Ways of deciding, played side by side: the optimum and the simple rules. None sees a path's future."""

from __future__ import annotations

import calendar
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from fuelplan.ordering import programme as dp

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

SURELY = 0.98  # an amount fits when it fits in this share of the draws


@dataclass(frozen=True)
class Sites:
    """What B sites are and what things cost there; levels are those above the residue.

    Attributes
    ----------
    capacity_kg, reserve_kg
        Shape (B,). [kg]
    amounts_kg, fuel, charges
        Shape (B, M): drops on offer, the fuel part of the bill at a price factor of 1, and the charges. [kg,
        money]
    holding_per_kg_week, unmet_per_kg, unmet_event, reference_per_kg
        Shape (B,); the last one values stock that is left over. [money/(kg·week), money/kg, money, money/kg]
    """

    capacity_kg: Floats
    reserve_kg: Floats
    amounts_kg: Floats
    fuel: Floats
    charges: Floats
    holding_per_kg_week: Floats
    unmet_per_kg: Floats
    unmet_event: Floats
    reference_per_kg: Floats


@dataclass(frozen=True)
class WeekOutlook:
    """What B sites know at the start of a week; draws are joint in weather, heat, lead time and reading.

    Attributes
    ----------
    floor_kg, eve_kg
        Shape (B,): level seen from which an order a week later keeps the limit; and how far the level on the
        eve of a delivery lies above the level seen, in :data:`SURELY` of the draws at most (below zero where
        much is burned before it comes). [kg]
    week_kg
        Shape (B, draws): demand of the coming week. [kg]
    stage
        Demand before and after the arrival of an order placed now; shapes (B, draws).
    doubt_kg
        Shape (B, draws): true level less the level seen. [kg]
    """

    floor_kg: Floats
    eve_kg: Floats
    week_kg: Floats
    stage: dp.Stage
    doubt_kg: Floats


class Policy(Protocol):
    """Decides once a week for every site at once."""

    @property
    def name(self) -> str:
        """Name for tables."""
        ...

    def choose(self, week: int, seen_kg: Floats, known: WeekOutlook) -> Ints:
        """Return the index of the amount to order for each site, :data:`programme.WAIT` for none.

        Parameters
        ----------
        week
            Week of the season.
        seen_kg
            Shape (B,): level as the house believes it to be. [kg]
        known
            The outlook of that week.
        """
        ...


def largest_that_fits(sites: Sites, seen_kg: Floats, known: WeekOutlook) -> Ints:
    """Return the index of the largest amount that surely fits on the eve of the delivery, −1 for none."""
    room = sites.capacity_kg - np.maximum(seen_kg + known.eve_kg, 0.0)
    out: Ints = (sites.amounts_kg <= room[:, None] + 1e-9).sum(axis=1) - 1
    return out


@dataclass(frozen=True)
class LastSafeDate:
    """Fill up when an order a week later would break the limit."""

    sites: Sites
    name: str = "last safe date"

    def choose(self, week: int, seen_kg: Floats, known: WeekOutlook) -> Ints:
        """See :class:`Policy`."""
        fill = largest_that_fits(self.sites, seen_kg, known)
        return np.where(seen_kg < known.floor_kg, fill, dp.WAIT)


@dataclass(frozen=True)
class FixedLevel:
    """Fill up when the level is below a share of the store."""

    sites: Sites
    share: float = 0.3

    @property
    def name(self) -> str:
        """See :class:`Policy`."""
        return f"order below {self.share:.0%}"

    def choose(self, week: int, seen_kg: Floats, known: WeekOutlook) -> Ints:
        """See :class:`Policy`."""
        fill = largest_that_fits(self.sites, seen_kg, known)
        return np.where(seen_kg < self.share * self.sites.capacity_kg, fill, dp.WAIT)


def fill_weeks(first_day: date, weeks: int, month: int = 6) -> tuple[int, ...]:
    """Return the weeks from `first_day` on that begin in the first half of a month."""
    days = [(w, first_day + timedelta(days=7 * w)) for w in range(weeks)]
    return tuple(w for w, day in days if day.month == month and day.day <= 15)


@dataclass(frozen=True)
class FillInMonth:
    """Fill up in the first weeks of a month, and otherwise only at the last safe date.

    `weeks` are the weeks of the season that begin in the first half of the month, see :func:`fill_weeks`.
    """

    sites: Sites
    weeks: tuple[int, ...]
    month: int = 6

    @property
    def name(self) -> str:
        """See :class:`Policy`."""
        return f"fill up every {calendar.month_name[self.month]}"

    def choose(self, week: int, seen_kg: Floats, known: WeekOutlook) -> Ints:
        """See :class:`Policy`."""
        if week in self.weeks:
            return largest_that_fits(self.sites, seen_kg, known)
        return LastSafeDate(self.sites).choose(week, seen_kg, known)


@dataclass(frozen=True)
class FromTable:
    """The best action of one site's table at the nearest level, for every row; never more than fits."""

    sites: Sites
    table: dp.ValueTable
    name: str = "optimum"

    def choose(self, week: int, seen_kg: Floats, known: WeekOutlook) -> Ints:
        """See :class:`Policy`."""
        index, share = self.table.grid.place(seen_kg[None])
        nearest = np.minimum(index + np.rint(share).astype(np.int64), self.table.grid.n - 1)[0]
        action = self.table.action[0, week, nearest].astype(np.int64)
        largest = largest_that_fits(self.sites, seen_kg, known)
        forced = (seen_kg < known.floor_kg) & (action == dp.WAIT)
        return np.where(forced, largest, np.minimum(action, largest))

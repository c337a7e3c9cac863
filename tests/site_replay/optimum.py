"""The optimum as one way of deciding among others: week by week on the draws of that week."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from fuelplan.ordering import programme as dp
from fuelplan.ordering.policies import SURELY, Sites, WeekOutlook, largest_that_fits

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]


def outlook(
    week_kg: Floats,
    stage: dp.Stage,
    until_next_kg: Floats,
    doubt_kg: Floats,
    reserve_kg: Floats,
    risk_limit: float,
) -> WeekOutlook:
    """Return the outlook of a week from its draws.

    Parameters
    ----------
    until_next_kg
        Shape (B, draws): demand before the arrival of an order placed a week later. [kg]
    reserve_kg
        Shape (B,). [kg]
    """
    floor = np.quantile(until_next_kg - doubt_kg, 1 - risk_limit, axis=1, method="higher")
    eve = np.quantile(doubt_kg - stage.before, SURELY, axis=1)
    return WeekOutlook(reserve_kg + floor, eve, week_kg, stage, doubt_kg)


@dataclass(frozen=True)
class Optimum:
    """The cheapest open alternative on the draws: wait only while an order next week keeps the limit."""

    sites: Sites
    problem: dp.Programme
    table: dp.ValueTable
    name: str = "optimum"

    def choose(self, week: int, seen_kg: Floats, known: WeekOutlook) -> Ints:
        """See :class:`Policy`."""
        level = np.maximum(seen_kg[:, None] + known.doubt_kg, 0.0)[:, None, :]
        value = self.table.value
        wait = dp.wait_cost(self.problem, value, week, level, known.week_kg)[:, 0]
        order = dp.order_cost(self.problem, value, week, level, known.stage)[:, :, 0]
        order = order + self.problem.ordering.cost[:, week]
        fits = np.arange(order.shape[1]) <= largest_that_fits(self.sites, seen_kg, known)[:, None]
        order = np.where(fits, order, np.inf)
        may_wait = seen_kg >= known.floor_kg
        waits = ~fits[:, 0] | (may_wait & (wait <= order.min(axis=1)))
        return np.where(waits, dp.WAIT, order.argmin(axis=1))

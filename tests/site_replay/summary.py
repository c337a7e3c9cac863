"""Ways of deciding in figures, with intervals clustered by winter."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from fuelplan.dispatch.replay.summary import WinterInterval, mean_over_winters, ratio
from tests.site_replay.sites import Played


@dataclass(frozen=True)
class Summary:
    """One way of deciding in figures.

    Attributes
    ----------
    name, forecast_days, winters, houses
        What was played.
    late_per_order
        Share of orders whose level fell below the reserve before they came.
    empties_per_year
        Times a year that a store ran empty.
    cost_per_year
        Per house. [money]
    orders_per_year, price_per_kg
        Orders per house and year, and what a delivered kilogram cost. [1/a, money/kg]
    """

    name: str
    forecast_days: int
    winters: int
    houses: int
    late_per_order: WinterInterval
    empties_per_year: WinterInterval
    cost_per_year: WinterInterval
    orders_per_year: float
    price_per_kg: float


@dataclass(frozen=True)
class Difference:
    """Yearly cost of one way less that of another, per house. [money]

    `by_winter` is the mean with its interval over winters; `house_p10` to `house_p90` the spread over houses.
    """

    name: str
    against: str
    by_winter: WinterInterval
    house_p10: float
    house_p90: float


def summarise(played: Played) -> Summary:
    """Return the figures of one way of deciding."""
    houses, winters = played.cost.shape
    return Summary(
        played.name,
        played.forecast_days,
        winters,
        houses,
        ratio(played.late_orders.sum(axis=0).astype(float), played.orders.sum(axis=0).astype(float)),
        ratio(played.run_outs.sum(axis=0).astype(float), np.full(winters, float(houses))),
        mean_over_winters(played.cost.mean(axis=0)),
        float(played.orders.mean()),
        float(played.bills.sum() / played.delivered_kg.sum()),
    )


def difference(one: Played, other: Played) -> Difference:
    """Return what one way of deciding costs more than another, on the same houses and winters."""
    gap = one.cost - other.cost
    low, high = np.quantile(gap.mean(axis=1), [0.1, 0.9])
    return Difference(one.name, other.name, mean_over_winters(gap.mean(axis=0)), float(low), float(high))


def best_simple(played: Sequence[Played], optimum: str = "optimum") -> Played:
    """Return the simple rule with the lowest mean cost."""
    simple = [p for p in played if p.name != optimum]
    if not simple:
        raise ValueError("there is no simple rule among the results")
    return min(simple, key=lambda p: float(p.cost.mean()))

"""What a replay says: rates and costs with intervals clustered by winter, since all houses share a winter."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from fuelplan.dispatch.replay.sites import Played

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Interval:
    """A mean and its 95 % interval."""

    mean: float
    low: float
    high: float


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
    late_per_order: Interval
    empties_per_year: Interval
    cost_per_year: Interval
    orders_per_year: float
    price_per_kg: float


@dataclass(frozen=True)
class Difference:
    """Yearly cost of one way less that of another, per house. [money]

    `by_winter` is the mean with its interval over winters; `house_p10` to `house_p90` the spread over houses.
    """

    name: str
    against: str
    by_winter: Interval
    house_p10: float
    house_p90: float


def ratio(events: Floats, cases: Floats) -> Interval:
    """Return Σ events / Σ cases with an interval clustered by winter.

    Linearised variance of a ratio over clusters: Y/(Y−1)·Σ(e_y − r·c_y)² / (Σc)², with Student's t of Y−1.
    Twenty winters cannot bound a rate that none of them showed: with no event the upper end is the 5 % point
    of "none in Y winters", 1 − 0.05^(1/Y), as if each winter were one case.

    Parameters
    ----------
    events, cases
        Shape (winters,).
    """
    winters = len(events)
    total = float(cases.sum())
    if winters < 2 or total <= 0:
        raise ValueError("an interval by winter needs at least two winters with cases in them")
    rate = float(events.sum()) / total
    if events.sum() == 0:
        return Interval(0.0, 0.0, 1 - 0.05 ** (1 / winters))
    spread = float(np.sqrt(winters / (winters - 1) * np.sum((events - rate * cases) ** 2))) / total
    half = _student(winters - 1) * spread
    return Interval(rate, max(0.0, rate - half), rate + half)


def mean_over_winters(values: Floats) -> Interval:
    """Return the mean of one value a winter with its 95 % interval by Student's t."""
    if len(values) < 2:
        raise ValueError("an interval by winter needs at least two winters")
    mean = float(values.mean())
    half = _student(len(values) - 1) * float(values.std(ddof=1)) / np.sqrt(len(values))
    return Interval(mean, mean - half, mean + half)


def _student(freedom: int) -> float:
    """97.5 % point of Student's t."""
    from scipy.stats import t

    return float(t.ppf(0.975, freedom))


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

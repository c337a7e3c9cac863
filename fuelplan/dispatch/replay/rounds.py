"""What a replay of a round says: tallies of each winter, and rates with intervals clustered by winter."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, fields

import numpy as np
from numpy.typing import NDArray

from fuelplan.dispatch.replay.summary import WinterInterval, mean_over_winters, ratio

Floats = NDArray[np.float64]

DAYS_A_YEAR = 365.25


@dataclass(frozen=True)
class Tally:
    """What one way of deciding came to in one winter, a heating year from 1 July to 30 June.

    Attributes
    ----------
    policy, winter
        Names, such as "plan" and "2015/16".
    customer_years
        Customers times years.
    run_outs, top_up_run_outs
        Times that a store fell to zero, all customers and those on top-up.
    dry_days
        Days of customers on which fuel was missing.
    missing_kg, delivered_kg, burned_kg, start_kg, end_kg
        What was missing, brought, burned; what lay in all stores before and after. [kg]
    drops, trips, km
        Stops at which something was blown in, trips, kilometres.
    hours, overtime_h
        Of the tankers, from the first loading to being back; of those beyond the usual day. [h]
    cost
        Of kilometres, hours and overtime; fuel and run-outs left out. [money]
    late
        Orders that came after the last day promised, or were still open after it.
    """

    policy: str
    winter: str
    customer_years: float
    run_outs: int
    top_up_run_outs: int
    dry_days: int
    missing_kg: float
    delivered_kg: float
    burned_kg: float
    start_kg: float
    end_kg: float
    drops: int
    trips: int
    km: float
    hours: float
    overtime_h: float
    cost: float
    late: int


@dataclass(frozen=True)
class PolicySummary:
    """One way of deciding over all winters; rates are sums over sums, intervals are of 95 % by winter.

    `km_per_t` counts the tonnes brought, `km_per_burned_t` those burned: a policy that ends with
    fuller stores gets nothing for it there.
    """

    name: str
    run_outs_per_1000_customer_years: WinterInterval
    km_per_t: WinterInterval
    km_per_burned_t: WinterInterval
    t_per_drop: WinterInterval
    cost_per_t: WinterInterval
    hours_per_t: WinterInterval
    overtime_h_per_year: WinterInterval
    run_outs: int
    dry_days: int
    late_orders: int
    drops: int
    trips: int
    delivered_t: float
    km: float


@dataclass(frozen=True)
class Against:
    """One way of deciding against another on the same winters.

    `km_per_t_less`, `cost_per_t_less` are shares (0.2 = 20 % less), `run_outs_fewer` is per 1,000
    customer-years; each the mean of the winters' own differences with its 95 % interval by Student's t.
    Winters without a delivery tell nothing per tonne; NaN where fewer than two are left.
    """

    name: str
    against: str
    km_per_t_less: WinterInterval
    cost_per_t_less: WinterInterval
    run_outs_fewer: WinterInterval


def summary_of(tallies: Sequence[Tally]) -> PolicySummary:
    """Return the figures of one policy.

    Parameters
    ----------
    tallies
        One of each winter, two at least, all of one policy.

    Raises
    ------
    ValueError
        For tallies of several policies, or fewer than two winters.
    """
    names = {t.policy for t in tallies}
    if len(names) != 1:
        raise ValueError(f"tallies of one policy are summed up, not of {len(names)}")

    def column(name: str) -> Floats:
        return np.array([float(getattr(t, name)) for t in tallies])

    tonnes = column("delivered_kg") / 1000
    years = column("customer_years")
    return PolicySummary(
        name=names.pop(),
        run_outs_per_1000_customer_years=run_out_rate(column("run_outs"), years),
        km_per_t=_rate(column("km"), tonnes),
        km_per_burned_t=_rate(column("km"), column("burned_kg") / 1000),
        t_per_drop=_rate(tonnes, column("drops")),
        cost_per_t=_rate(column("cost"), tonnes),
        hours_per_t=_rate(column("hours"), tonnes),
        overtime_h_per_year=mean_over_winters(column("overtime_h")),
        run_outs=int(column("run_outs").sum()),
        dry_days=int(column("dry_days").sum()),
        late_orders=int(column("late").sum()),
        drops=int(column("drops").sum()),
        trips=int(column("trips").sum()),
        delivered_t=float(tonnes.sum()),
        km=float(column("km").sum()),
    )


UNKNOWN = WinterInterval(float("nan"), float("nan"), float("nan"))
"""What cannot be told."""


def _rate(events: Floats, cases: Floats) -> WinterInterval:
    return UNKNOWN if cases.sum() <= 0 else ratio(events, cases)


def run_out_rate(run_outs: Floats, customer_years: Floats) -> WinterInterval:
    """Return run-outs per 1,000 customer-years.

    Where none was seen, the upper end is that of a Poisson count, −ln 0.05 ÷ customer-years. It takes
    customers as independent; a harder winter than any of those played is not in it.
    """
    if run_outs.sum() == 0:
        return WinterInterval(0.0, 0.0, float(-1000 * np.log(0.05) / customer_years.sum()))
    found = ratio(run_outs, customer_years)
    return WinterInterval(*(1000 * getattr(found, f.name) for f in fields(WinterInterval)))


def against(one: Sequence[Tally], other: Sequence[Tally]) -> Against:
    """Return how one policy does against another.

    Parameters
    ----------
    one, other
        A tally of each winter, both in the same order of winters.

    Raises
    ------
    ValueError
        Where they were not played on the same winters.
    """
    if [t.winter for t in one] != [t.winter for t in other]:
        raise ValueError("both policies must have been played on the same winters, in the same order")

    def share_less(name: str) -> WinterInterval:
        both = [(a, b) for a, b in zip(one, other, strict=True) if min(a.delivered_kg, b.delivered_kg) > 0]
        less = [1 - _per_kg(a, name) / _per_kg(b, name) for a, b in both]
        return mean_over_winters(np.array(less)) if len(less) > 1 else UNKNOWN

    fewer = np.array(
        [1000 * (b.run_outs - a.run_outs) / a.customer_years for a, b in zip(one, other, strict=True)]
    )
    return Against(
        one[0].policy, other[0].policy, share_less("km"), share_less("cost"), mean_over_winters(fewer)
    )


def _per_kg(tally: Tally, name: str) -> float:
    return float(getattr(tally, name)) / tally.delivered_kg

"""The last safe day to order: the risk of an order is the share of draws that fall below the reserve before
it comes. Where the risk hardly grows with the days, the day to name is an earlier one that keeps still.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from fuelplan.ordering.stock import NEVER

Ints = NDArray[np.int64]
Floats = NDArray[np.float64]

LEVELS = np.linspace(0.25, 1.0, 13)  # risks, as shares of the limit, over whose last safe days is averaged
BEYOND_MEAN_DAYS = 14  # the day named lies at most so far beyond that mean (our choice)


@dataclass(frozen=True)
class LastDate:
    """Result of :func:`last_safe_day`.

    Attributes
    ----------
    day
        Last day index on which to order; None when every day up to the horizon is safe.
    risk
        Risk of an order placed on that day, or of one placed on the first day where even that is too late.
    late
        True when even the first possible day breaks the limit.
    """

    day: int | None
    risk: float
    late: bool


def order_risk(breach_day: Ints, arrival_day: Ints) -> float:
    """Return the share of draws in which the level is below the reserve before the delivery arrives.

    Parameters
    ----------
    breach_day
        Shape (draws,): first day below the reserve without this order, from
        :func:`fuelplan.ordering.stock.first_day_below`.
    arrival_day
        Shape (draws,): day on which the order arrives.
    """
    return float(np.mean(breach_day < arrival_day))


def last_safe_day(
    breach_day: Ints,
    arrival_of: Callable[[int], Ints],
    *,
    risk_limit: float,
    first: int,
    last: int,
) -> LastDate:
    """Return the last day on which an order keeps its risk within the limit.

    Parameters
    ----------
    breach_day
        Shape (draws,): first day below the reserve without this order.
    arrival_of
        Gives the arrival day in every draw, shape (draws,), for an order placed on a day index; must not
        decrease with the day.
    risk_limit
        Highest risk accepted, as a share.
    first, last
        Day indices between which the order may be placed.
    """
    if not 0 < risk_limit < 1:
        raise ValueError(f"risk_limit must lie between 0 and 1, not {risk_limit}")
    if last < first:
        raise ValueError("the last day to look at lies before the first")
    risk_first = order_risk(breach_day, arrival_of(first))
    if risk_first > risk_limit:
        return LastDate(first, risk_first, late=True)
    risk_last = order_risk(breach_day, arrival_of(last))
    if risk_last <= risk_limit:
        return LastDate(None, risk_last, late=False)
    low, high = first, last  # the risk keeps the limit at low and breaks it at high
    while high - low > 1:
        middle = (low + high) // 2
        if order_risk(breach_day, arrival_of(middle)) <= risk_limit:
            low = middle
        else:
            high = middle
    return LastDate(low, order_risk(breach_day, arrival_of(low)), late=False)


def steady_day(
    breach_day: Ints,
    arrival_of: Callable[[int], Ints],
    *,
    risk_limit: float,
    first: int,
    last: int,
) -> LastDate:
    """Return the day to name: the last safe day, but no later than two weeks after the mean of the last safe
    days at risks from a quarter of the limit up to the limit.

    In winter, when the risk grows fast with the days, that is the last safe day itself. Where it hardly
    grows, as in spring, when either the last cold or the next autumn empties the store, the last safe day
    is a quantile in a gap between the draws: a few draws more or less move it by months overnight. A mean
    of quantiles moves little (an L-estimator; the share, the levels and the two weeks are our choice).

    The parameters are those of :func:`last_safe_day`.
    """

    def at(risk: float) -> LastDate:
        return last_safe_day(breach_day, arrival_of, risk_limit=risk, first=first, last=last)

    end = at(risk_limit)
    if end.late:
        return end
    days = [at(risk_limit * share).day for share in LEVELS]
    latest = int(np.mean([last if day is None else day for day in days])) + BEYOND_MEAN_DAYS
    if latest >= (last if end.day is None else end.day):
        return end
    return LastDate(latest, order_risk(breach_day, arrival_of(latest)), late=False)


__all__ = ["NEVER", "LastDate", "last_safe_day", "order_risk", "steady_day"]

"""From whole paths of demand to the cases of the weekly programme: a week waited, a jump to an arrival."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

WEEK = 7
YEAR_WEEKS = 52
SURE = 0.02  # share of draws in which less than "as good as sure" is burned before an arrival


class PathsTooShort(ValueError):
    """Paths that do not reach over a year."""


@dataclass(frozen=True)
class PathSums:
    """What each draw burns from the start of each week on, shapes (B, draws, T). [kg, weeks]

    Attributes
    ----------
    week
        Demand of the week.
    before, after
        Demand before the arrival of an order placed now, and from it to the next week's boundary.
    until_next
        Demand before the arrival of an order placed a week later.
    jump, arrival
        Weeks to that boundary and to the arrival.
    """

    week: Floats
    before: Floats
    after: Floats
    until_next: Floats
    jump: Ints
    arrival: Floats


def path_sums(demand_kg: Floats, arrival_day: Ints, weeks: int) -> PathSums:
    """Return the sums of whole paths for decisions at the start of weeks 0 … `weeks`−1.

    Beyond their end paths go on as 52 weeks before (the same weekday), so that a horizon of years needs paths
    of one.

    Parameters
    ----------
    demand_kg
        Shape (B, draws, days), at least 364 days. [kg]
    arrival_day
        Shape (B, draws, W), W ≥ 53: day index on which an order placed on day 7·w arrives, later than 7·w.

    Raises
    ------
    PathsTooShort
        Fewer days or weeks than a year needs.
    """
    if demand_kg.shape[2] < YEAR_WEEKS * WEEK or arrival_day.shape[2] < YEAR_WEEKS + 1:
        raise PathsTooShort(
            f"paths of 364 days and arrivals for 53 weeks are needed to value stock over a year, "
            f"not {demand_kg.shape[2]} days and {arrival_day.shape[2]} weeks"
        )
    own = min(weeks, arrival_day.shape[2] - 1, max(YEAR_WEEKS, demand_kg.shape[2] // WEEK))
    at = np.arange(own)
    placed = at * WEEK
    now, following = arrival_day[:, :, :own], arrival_day[:, :, 1 : own + 1]
    if np.any(now <= placed):
        raise ValueError("an order must arrive after the day on which it is placed")
    last = int(max(following.max(), now.max())) + WEEK
    total = _running_total(demand_kg, last)
    jump = (now - placed) // WEEK + 1  # a delivery comes during its day: the next boundary is after it
    boundary = placed + jump * WEEK
    start = total[:, :, placed]
    at_arrival = np.take_along_axis(total, now, axis=2)
    return PathSums(
        week=total[:, :, placed + WEEK] - start,
        before=at_arrival - start,
        after=np.take_along_axis(total, boundary, axis=2) - at_arrival,
        until_next=np.take_along_axis(total, following, axis=2) - start,
        jump=jump,
        arrival=(now - placed) / WEEK,
    )


def _running_total(demand_kg: Floats, last: int) -> Floats:
    """Demand before each day 0 … last, (B, draws, last+1); past the end the last 364 days come again."""
    batch, draws, days = demand_kg.shape
    pieces = [np.zeros((batch, draws, 1)), demand_kg[:, :, :last]]
    missing = last - days
    while missing > 0:
        piece = demand_kg[:, :, days - YEAR_WEEKS * WEEK :][:, :, :missing]
        pieces.append(piece)
        missing -= piece.shape[2]
    return np.cumsum(np.concatenate(pieces, axis=2), axis=2)


@dataclass(frozen=True)
class Cases:
    """K equally likely cases of each week; shapes (B, T, K), `least_before` (B, T). [kg, weeks]"""

    week: Floats
    before: Floats
    after: Floats
    jump: Ints
    arrival: Floats
    least_before: Floats


def cases(sums: PathSums, count: int, weeks: int) -> Cases:
    """Bring the draws of each week down to `count` cases of equal weight: means of sorted groups.

    Waiting sorts by the week's demand. An order sorts by the boundary after its arrival, then by the demand
    before it; the sums of a lead time are those of whole paths, so the days in it keep their dependence.
    Weeks past the sums repeat those of 52 weeks before.

    Parameters
    ----------
    sums
        Of every draw and week, from :func:`path_sums`.
    count
        Cases of each week; fewer draws give fewer.
    weeks
        How many weeks there are to be.
    """
    draws = sums.week.shape[1]
    groups = min(count, draws)
    edges = (np.arange(groups + 1) * draws) // groups
    week = _group_means(np.sort(sums.week, axis=1), edges)
    order = np.lexsort((sums.before, sums.jump), axis=1)
    jump = np.take_along_axis(sums.jump, order, axis=1)
    # a case has one boundary, that of most of its draws: the one in the middle of the group
    middle = (edges[:-1] + edges[1:]) // 2
    found = Cases(
        week=week,
        before=_group_means(np.take_along_axis(sums.before, order, axis=1), edges),
        after=_group_means(np.take_along_axis(sums.after, order, axis=1), edges),
        jump=np.moveaxis(jump[:, middle], 1, 2),
        arrival=_group_means(np.take_along_axis(sums.arrival, order, axis=1), edges),
        least_before=np.quantile(sums.before, SURE, axis=1),
    )
    return _over(found, weeks)


def _group_means(ordered: Floats, edges: Ints) -> Floats:
    """Means of runs along axis 1, shape (B, T, K)."""
    total = np.concatenate([np.zeros_like(ordered[:, :1]), np.cumsum(ordered, axis=1)], axis=1)
    means = (total[:, edges[1:]] - total[:, edges[:-1]]) / np.diff(edges)[:, None]
    return np.moveaxis(means, 1, 2)


def week_of(weeks: int, own: int) -> Ints:
    """Which of the `own` weeks stands for each of `weeks`: the last 52 come again."""
    t = np.arange(weeks)
    out: Ints = np.where(t < own, t, own - YEAR_WEEKS + (t - own) % YEAR_WEEKS)
    return out


def _over(found: Cases, weeks: int) -> Cases:
    """Repeat the last year of cases up to the horizon."""
    at = week_of(weeks, found.week.shape[1])
    return Cases(*(getattr(found, name)[:, at] for name in Cases.__dataclass_fields__))


def wait_floor(sums: PathSums, reserve_kg: Floats, risk_limit: float, weeks: int) -> Floats:
    """Return the level from which waiting a week leaves an order within the limit, (B, weeks). [kg]

    reserve + the (1 − limit) quantile of the demand until an order placed a week later arrives, over whole
    paths.

    Parameters
    ----------
    sums
        Of B sites, from :func:`path_sums`.
    reserve_kg
        Shape (B,), in the measure of the levels. [kg]
    risk_limit
        Highest share of draws below the reserve before the arrival.
    weeks
        How many weeks there are to be.
    """
    need = np.quantile(sums.until_next, 1 - risk_limit, axis=1, method="higher")
    out: Floats = reserve_kg[:, None] + need[:, week_of(weeks, need.shape[1])]
    return out

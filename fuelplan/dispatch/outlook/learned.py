"""What is believed of each customer of the outlook, from its books."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import numpy as np

from fuelplan.dispatch.outlook.draws import Summary
from fuelplan.dispatch.outlook.tables import Floats, Ints
from fuelplan.learning import (
    CHUNK,
    LASTING_D,
    REACH_SD,
    Assumptions,
    CustomerBooks,
    ManyPosteriors,
    PosteriorCells,
    Priors,
    running_sums,
    stretch,
)

AHEAD_MEAN_D = 60.0
"""Days over which a customer's draw is more or less than usual: about those to the next delivery (our
choice). Over shorter times it varies more than that, over longer ones less. [d]"""

_COLUMNS = {
    "reading": ("reading_day", "reading_kg", "reading_sd_kg", "sees_volume", "is_count", "standing"),
    "delivery": ("delivery_day", "delivery_kg", "delivery_sd_kg", "filled_full"),
}


def unsolved(
    priors: Priors,
    first_day: date,
    mean_c: Floats,
    customers: CustomerBooks,
    as_of: date,
    assumptions: Assumptions | None = None,
) -> ManyPosteriors:
    """Return the posteriors of many customers before any is worked out: that is done in blocks.

    The same as :func:`fuelplan.learning.bulk.learn_many` without the means and deviations of all, which
    would be one more pass. Arguments as there; `customers` must hold nothing dated after `as_of`.
    """
    days = (as_of - first_day).days + 1
    reach = REACH_SD * priors.base_sd_c + 1.0
    low, high = float((priors.base_c - reach).min()), float((priors.base_c + reach).max())
    n = len(customers)
    nothing = np.full((n, 4), np.nan)
    return ManyPosteriors(
        as_of=as_of,
        mean=nothing,
        sd=nothing,
        noise=np.full((n, 3), np.nan),
        level_known=np.zeros(n, dtype=bool),
        customers=customers,
        priors=priors,
        sums=running_sums(mean_c[:, :days], None, low, high, first_day),
        assumptions=assumptions or Assumptions(),
        first_day=first_day,
    )


def by_length(customers: CustomerBooks) -> Ints:
    """Return the order of customers by how many readings and deliveries each has."""
    count = (customers.reading_day >= 0).sum(axis=1) + (customers.delivery_day >= 0).sum(axis=1)
    return np.argsort(count, kind="stable").astype(np.int64)


def piece_of(many: ManyPosteriors, which: Ints) -> ManyPosteriors:
    """Return the posteriors of some customers alone, without the columns that none of them fills."""
    some = many.rows(which)
    rows = some.customers
    cut: dict[str, np.ndarray] = {}
    for kind in ("reading", "delivery"):
        there = getattr(rows, f"{kind}_day") >= 0
        order = np.argsort(~there, axis=1, kind="stable")[:, : int(there.sum(axis=1).max(initial=0))]
        for name in _COLUMNS[kind]:
            cut[name] = np.take_along_axis(getattr(rows, name), order, axis=1)
    return replace(some, customers=replace(rows, **cut))


def summary_of(many: ManyPosteriors, number: Ints) -> Summary:
    """Return the normal distributions with the means and covariances of all customers' posteriors.

    Parameters
    ----------
    number
        Shape (N,), number of each customer among all of the round.
    """
    parts, order = [], by_length(many.customers)
    for begin in range(0, len(order), CHUNK):
        some = order[begin : begin + CHUNK]
        piece = piece_of(many, some)
        cells = piece.cells(np.arange(len(some)))
        mean, covariance = _moments(cells)
        size = np.sqrt(np.diagonal(covariance, axis1=1, axis2=2)) + 1e-12
        scaled = covariance / (size[:, :, None] * size[:, None, :]) + 1e-9 * np.eye(4)
        root = size[:, :, None] * np.linalg.cholesky(scaled)
        noise = cells.weight.sum(axis=2) @ cells.noise[:, 0]
        parts.append(Summary(number[some], mean, root, noise, piece.customers.capacity_kg))
    back = np.empty(len(order), np.int64)
    back[order] = np.arange(len(order))
    return Summary.joined(parts).rows(back)


def _moments(cells: PosteriorCells) -> tuple[Floats, Floats]:
    """Return mean (N, 4) and covariance (N, 4, 4) of slope, daily part, base and level over the mixture.

    Slope and daily part are those of the days that decide, which burn more or less than usual: by the mean
    over :data:`AHEAD_MEAN_D` of the parts of weeks and season, which go on from where they stand, to first
    order.
    """
    ahead = [stretch(np.array(AHEAD_MEAN_D), lasting) for lasting in LASTING_D]
    see = np.zeros((4, cells.mean.shape[-1]))  # slope, daily part, level and the share more than usual
    see[[0, 1, 2], [0, 1, 2]] = 1.0
    see[3, 3:5] = [float(a.mean) for a in ahead]
    n, s, b = cells.weight.shape
    order = np.array([0, 1, 3, 4])  # the base comes between
    at = np.empty((n, s, b, 5))
    at[..., order] = cells.mean @ see.T
    at[..., 2] = cells.base_c[:, None, :]
    mean = np.einsum("nsb,nsbq->nq", cells.weight, at)
    off = at - mean[:, None, None]
    covariance = np.einsum("nsb,nsbq,nsbr->nqr", cells.weight, off, off)
    within = np.einsum("nsb,nsbqr->nqr", cells.weight, cells.cov)
    covariance[:, order[:, None], order[None, :]] += see @ within @ see.T
    new = cells.noise[:, 1:] ** 2 @ np.array([float(a.new_mean) for a in ahead])
    covariance[:, 4, 4] += cells.weight.sum(axis=2) @ new
    more = np.zeros((n, 4, 5))
    more[:, range(4), range(4)] = 1.0
    more[:, :2, :2] *= (1.0 + mean[:, 4])[:, None, None]
    more[:, :2, 4] = mean[:, :2]
    middle = mean[:, :4].copy()
    middle[:, :2] = mean[:, :2] * (1.0 + mean[:, 4:]) + covariance[:, :2, 4]
    return middle, more @ covariance @ np.swapaxes(more, 1, 2)

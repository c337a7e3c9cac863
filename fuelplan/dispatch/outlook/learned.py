"""What is believed of each customer of the outlook, from its books."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import numpy as np

from fuelplan.dispatch.outlook.draws import Summary
from fuelplan.dispatch.outlook.tables import Floats, Ints
from fuelplan.learning import (
    CHUNK,
    REACH_SD,
    Assumptions,
    CustomerBooks,
    ManyPosteriors,
    PosteriorCells,
    Priors,
    running_sums,
)

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
        day_noise=np.full(n, np.nan),
        level_known=np.zeros(n, dtype=bool),
        customers=customers,
        priors=priors,
        sums=running_sums(mean_c[:, :days], None, low, high),
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
        noise = cells.weight.sum(axis=2) @ cells.noise
        parts.append(Summary(number[some], mean, root, noise, piece.customers.capacity_kg))
    back = np.empty(len(order), np.int64)
    back[order] = np.arange(len(order))
    return Summary.joined(parts).rows(back)


def _moments(cells: PosteriorCells) -> tuple[Floats, Floats]:
    """Return mean (N, 4) and covariance (N, 4, 4) of slope, daily part, base and level over the mixture."""
    n, s, b = cells.weight.shape
    order = [0, 1, 3, 2]  # the cells have slope, daily part, level; the base comes between
    at = np.empty((n, s, b, 4))
    at[..., order[0]], at[..., order[1]], at[..., order[2]] = np.moveaxis(cells.mean, -1, 0)
    at[..., 2] = cells.base_c[:, None, :]
    mean = np.einsum("nsb,nsbq->nq", cells.weight, at)
    off = at - mean[:, None, None]
    covariance = np.einsum("nsb,nsbq,nsbr->nqr", cells.weight, off, off)
    within = np.einsum("nsb,nsbqr->nqr", cells.weight, cells.cov)
    three = np.array(order[:3])
    covariance[:, three[:, None], three[None, :]] += within
    return mean, covariance

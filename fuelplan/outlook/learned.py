"""From learned signatures to draws and summaries of the outlook."""

from __future__ import annotations

from datetime import date

import numpy as np

from fuelplan.outlook.draws import CustomerDraws, Summary
from fuelplan.outlook.tables import Floats, Ints
from fuelplan.signature.bulk import CHUNK, Customers, ManyPosteriors
from fuelplan.signature.prior import Assumptions
from fuelplan.signature.state import Cells, Priors
from fuelplan.signature.sums import REACH_SD, running_sums


def unsolved(
    priors: Priors,
    first_day: date,
    mean_c: Floats,
    customers: Customers,
    as_of: date,
    assumptions: Assumptions | None = None,
) -> ManyPosteriors:
    """Return the posteriors of many customers before any is worked out: each is when it is drawn from.

    The same as :func:`fuelplan.signature.bulk.learn_many` without the means and deviations of all, which
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


def draws_of(many: ManyPosteriors, which: Ints, draws: int, seed: int) -> CustomerDraws:
    """Return joint draws of some customers; each block of customers has random numbers of its own.

    Blocks are :data:`fuelplan.signature.bulk.CHUNK` customers long, so that the draws of a customer do not
    depend on how many are asked for at once, as long as `which` begins at a multiple of it and runs on.
    """
    parts = []
    for begin in range(0, len(which), CHUNK):
        some = which[begin : begin + CHUNK]
        rng = np.random.default_rng([seed, int(some[0])])
        d = many.draw(some, draws, rng)
        level = np.minimum(d.level_kg, many.customers.capacity_kg[some][:, None])
        shake = d.day_noise * rng.standard_normal(d.day_noise.shape)
        parts.append(CustomerDraws(d.kg_per_degree_day, d.kg_per_day, d.base_c, level, shake))
    if len(parts) == 1:
        return parts[0]
    return CustomerDraws(*(np.concatenate([getattr(p, f) for p in parts]) for f in vars(parts[0])))


def summary_of(many: ManyPosteriors, which: Ints) -> Summary:
    """Return the normal distributions with the means and covariances of some customers' posteriors."""
    parts = []
    for begin in range(0, len(which), CHUNK):
        some = which[begin : begin + CHUNK]
        cells = many.cells(some)
        mean, covariance = _moments(cells)
        size = np.sqrt(np.diagonal(covariance, axis1=1, axis2=2)) + 1e-12
        scaled = covariance / (size[:, :, None] * size[:, None, :]) + 1e-9 * np.eye(4)
        root = size[:, :, None] * np.linalg.cholesky(scaled)
        noise = cells.weight.sum(axis=2) @ cells.noise
        parts.append(Summary(mean, root, noise, many.customers.capacity_kg[some]))
    return Summary(*(np.concatenate([getattr(p, f) for p in parts]) for f in vars(parts[0])))


def _moments(cells: Cells) -> tuple[Floats, Floats]:
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

"""From learned signatures to draws and summaries of the outlook."""

from __future__ import annotations

from dataclasses import fields, replace
from datetime import date

import numpy as np

from fuelplan.dispatch.outlook.draws import CustomerDraws, Summary
from fuelplan.dispatch.outlook.tables import Floats, Ints, OutlookError
from fuelplan.learning import (
    CHUNK,
    CONFIRMED,
    REACH_SD,
    Assumptions,
    CustomerBooks,
    ManyPosteriors,
    PosteriorCells,
    Priors,
    running_sums,
)

BLOCK = 512
"""Customers that share a stream of random numbers."""

JUDGED = 1  # marks the random numbers of customers with a reading that is set aside or believed

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
    """Return the posteriors of many customers before any is worked out: each is when it is drawn from.

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


def draws_of(many: ManyPosteriors, part: slice, draws: int, seed: int, first: int = 0) -> CustomerDraws:
    """Return joint draws of the customers of a slice, the same ones whatever slice they are asked for in.

    Customers are drawn in blocks of :data:`BLOCK`, each with random numbers of its own.

    Parameters
    ----------
    first
        Number of the first customer of `many`, where it holds some of a longer list alone; a multiple of
        :data:`BLOCK`.
    """
    if first % BLOCK:
        raise OutlookError(f"customers from number {first} on: begin at a multiple of {BLOCK}")
    begin_at = part.start // BLOCK * BLOCK
    parts = []
    for begin in range(begin_at, part.stop, BLOCK):
        block = np.arange(begin, min(begin + BLOCK, len(many.customers)))
        rng, own = (np.random.default_rng([seed, first + begin, *more]) for more in ((), (JUDGED,)))
        parts.append(_block_draws(many, block, draws, rng, own))
    whole = _joined(parts)
    return whole.rows(slice(part.start - begin_at, part.stop - begin_at))


def books_of(many: ManyPosteriors, which: slice) -> tuple[CustomerBooks, Priors]:
    """Return the books and priors of some customers alone, without columns that none of them fills."""
    piece = piece_of(many, np.arange(len(many.customers))[which])
    return piece.customers, piece.priors


def _block_draws(
    many: ManyPosteriors, block: Ints, draws: int, rng: np.random.Generator, own: np.random.Generator
) -> CustomerDraws:
    """Return the draws of a block.

    A doubted or settled reading moves the draws of its own customer alone: those are made once more, with
    random numbers of their own.
    """
    drawn = _drawn(plainly(many.rows(block)), draws, rng)
    judged = np.flatnonzero((many.customers.standing[block] > CONFIRMED).any(axis=1))
    if not len(judged):
        return drawn
    again = _drawn(many.rows(block[judged]), draws, own)
    back = np.arange(len(block))
    back[judged] = len(block) + np.arange(len(judged))
    return _joined([drawn, again]).rows(back)


def plainly(many: ManyPosteriors) -> ManyPosteriors:
    """Return the posteriors with every reading counted."""
    c = many.customers
    return replace(many, customers=replace(c, standing=np.zeros_like(c.standing)))


def _drawn(many: ManyPosteriors, draws: int, rng: np.random.Generator) -> CustomerDraws:
    """Return draws, worked out in pieces of customers with books of about one length."""
    order, parts = by_length(many.customers), []
    for begin in range(0, len(order), CHUNK):
        some = order[begin : begin + CHUNK]
        piece = piece_of(many, some)
        d = piece.draw(np.arange(len(some)), draws, rng)
        level = np.minimum(d.level_kg, piece.customers.capacity_kg[:, None])
        shake = d.day_noise * rng.standard_normal(d.day_noise.shape)
        parts.append(CustomerDraws(d.kg_per_degree_day, d.kg_per_day, d.base_c, level, shake))
    back = np.empty(len(order), np.int64)
    back[order] = np.arange(len(order))
    return _joined(parts).rows(back)


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


def _joined(parts: list[CustomerDraws]) -> CustomerDraws:
    if len(parts) == 1:
        return parts[0]
    names = [f.name for f in fields(CustomerDraws)]
    return CustomerDraws(*(np.concatenate([getattr(p, name) for p in parts]) for name in names))


def summary_of(many: ManyPosteriors, which: Ints) -> Summary:
    """Return the normal distributions with the means and covariances of some customers' posteriors."""
    parts, order = [], by_length(many.customers.rows(which))
    for begin in range(0, len(which), CHUNK):
        some = which[order[begin : begin + CHUNK]]
        piece = piece_of(many, some)
        cells = piece.cells(np.arange(len(some)))
        mean, covariance = _moments(cells)
        size = np.sqrt(np.diagonal(covariance, axis1=1, axis2=2)) + 1e-12
        scaled = covariance / (size[:, :, None] * size[:, None, :]) + 1e-9 * np.eye(4)
        root = size[:, :, None] * np.linalg.cholesky(scaled)
        noise = cells.weight.sum(axis=2) @ cells.noise
        parts.append(Summary(mean, root, noise, piece.customers.capacity_kg))
    back = np.empty(len(which), np.int64)
    back[order] = np.arange(len(which))
    names = [f.name for f in fields(Summary)]
    return Summary(*(np.concatenate([getattr(p, name) for p in parts])[back] for name in names))


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

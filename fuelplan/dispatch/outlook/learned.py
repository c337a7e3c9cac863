"""What is believed of each customer of the outlook, from its books."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, fields, replace
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
    SharedFactor,
    moved,
    root_of,
    running_sums,
    shared_factor,
    stretch,
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


QUANTITIES = 6
"""Slope, daily part, base, level; the parts of weeks and season on the last evening."""

SEASON = 5

AT_ONCE = 8192
"""Customers whose covariances are worked with at once."""

LEAST_TOLD = 0.02
"""Precision of what books tell of the season, times the variance believed beforehand, below which they tell
nothing."""


@dataclass(frozen=True)
class CustomersLearned:
    """What the books of N customers tell: one normal distribution of :data:`QUANTITIES` each.

    Attributes
    ----------
    number
        Shape (N,), number of each customer among all of the round.
    mean, cov
        Shapes (N, 6) and (N, 6, 6): kg_per_degree_day, kg_per_day, base_c, level_kg; weeks and season, by
        which share use is more than usual. [kg/K/d, kg/d, degC, kg, share]
    told, told_sd
        Shape (N,): the part of the season as the books alone tell it, without what was believed of it
        beforehand; infinite deviation where they tell next to nothing. [share]
    slow_var
        Shape (N, 2), size of the parts of weeks and of a season, as variances.
    day_noise
        Shape (N,), size of the day-to-day noise as a share of a day's use.
    most_kg
        Shape (N,), a level above this cannot be. [kg]
    """

    number: Ints
    mean: Floats
    cov: Floats
    told: Floats
    told_sd: Floats
    slow_var: Floats
    day_noise: Floats
    most_kg: Floats

    def __len__(self) -> int:
        """Return the number of customers."""
        return len(self.mean)

    def rows(self, which: Ints | slice) -> CustomersLearned:
        """Return some of the customers."""
        return CustomersLearned(*(getattr(self, f.name)[which] for f in fields(self)))

    @staticmethod
    def joined(parts: Sequence[CustomersLearned]) -> CustomersLearned:
        """Return several, one after the other."""
        if not parts:
            none, q = np.zeros(0), QUANTITIES
            return CustomersLearned(
                np.zeros(0, np.int64),
                np.zeros((0, q)),
                np.zeros((0, q, q)),
                none,
                none,
                np.zeros((0, 2)),
                none,
                none,
            )
        names = [f.name for f in fields(CustomersLearned)]
        return CustomersLearned(*(np.concatenate([getattr(p, name) for p in parts]) for name in names))


def learned_of(many: ManyPosteriors, number: Ints) -> CustomersLearned:
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
        noise = cells.weight.sum(axis=2)
        slow = noise @ cells.noise[:, 1:] ** 2
        capacity = piece.customers.capacity_kg
        day = noise @ cells.noise[:, 0]
        parts.append(CustomersLearned(number[some], *_moments(cells), *_told(cells), slow, day, capacity))
    back = np.empty(len(order), np.int64)
    back[order] = np.arange(len(order))
    return CustomersLearned.joined(parts).rows(back)


def _moments(cells: PosteriorCells) -> tuple[Floats, Floats]:
    """Return mean (N, 6) and covariance (N, 6, 6) over the mixture."""
    n, s, b = cells.weight.shape
    order = np.array([0, 1, 3, 4, 5])  # the cells have slope, daily part, level, …; the base comes between
    at = np.empty((n, s, b, QUANTITIES))
    at[..., order] = cells.mean[..., : len(order)]
    at[..., 2] = cells.base_c[:, None, :]
    mean = np.einsum("nsb,nsbq->nq", cells.weight, at)
    off = at - mean[:, None, None]
    covariance = np.einsum("nsb,nsbq,nsbr->nqr", cells.weight, off, off)
    within = np.einsum("nsb,nsbqr->nqr", cells.weight, cells.cov)
    covariance[:, order[:, None], order[None, :]] += within[:, : len(order), : len(order)]
    return mean, covariance


def _told(cells: PosteriorCells) -> tuple[Floats, Floats]:
    """Return what each one's own books tell of the part of the season: (N,), (N,). [share]

    What was believed beforehand is taken out for each size of noise, since it differs between them; then
    precisions and weighted means are averaged by how likely each size is.
    """
    weight = cells.weight.sum(axis=2)
    share = cells.weight / np.maximum(weight, 1e-300)[..., None]
    at, own = cells.mean[..., 4], cells.cov[..., 4, 4]
    mean = (share * at).sum(axis=2)
    var = (share * (own + (at - mean[..., None]) ** 2)).sum(axis=2)
    prior = cells.noise[:, 2] ** 2
    precision = np.maximum(1.0 / var - 1.0 / prior, 0.0)
    total = (weight * precision).sum(axis=1)
    told = (weight * mean / var).sum(axis=1)
    knows = total * (weight @ prior) > LEAST_TOLD
    safe = np.where(knows, total, 1.0)
    return np.where(knows, told / safe, 0.0), np.where(knows, 1.0 / np.sqrt(safe), np.inf)


@dataclass(frozen=True)
class Season:
    """By how much this winter the customers burn more than usual, as those of one area tell together.

    Attributes
    ----------
    areas
        What the customers of each area have in common.
    mean, sd
        Shape (N,): what the others of its area tell of each customer; the mean is NaN where nothing is
        shared.
    """

    areas: tuple[SharedFactor, ...]
    mean: Floats
    sd: Floats

    def with_it(self, learned: CustomersLearned) -> CustomersLearned:
        """Return what is believed of some of the customers when the others' word counts, too."""
        mean, cov = learned.mean.copy(), learned.cov.copy()
        for part in _slices(len(learned)):
            who = learned.number[part]
            mine = np.flatnonzero(np.isfinite(self.mean[who])) + part.start
            who = learned.number[mine]
            precision, pull = 1.0 / learned.told_sd[mine] ** 2, 1.0 / self.sd[who] ** 2
            var = 1.0 / (precision + pull)
            to = var * (precision * learned.told[mine] + pull * self.mean[who])
            mean[mine], cov[mine] = moved(mean[mine], cov[mine], SEASON, to, var)
        return replace(learned, mean=mean, cov=cov)


def _slices(customers: int) -> Iterator[slice]:
    """Yield slices of all customers, few enough for little memory."""
    for begin in range(0, customers, AT_ONCE):
        yield slice(begin, min(customers, begin + AT_ONCE))


def season_of(learned: CustomersLearned, area: Ints) -> Season:
    """Return what all customers tell of this winter.

    Parameters
    ----------
    area
        Shape (N,), weather area of each: its valley.
    """
    told, sd = learned.told, learned.told_sd
    mean, others_sd, found = np.full(len(learned), np.nan), np.full(len(learned), np.inf), []
    for a in range(int(area.max(initial=-1)) + 1):
        mine = area == a
        found.append(shared_factor(told[mine], sd[mine]))
        mean[mine], others_sd[mine] = found[-1].others_mean, found[-1].others_sd
    return Season(tuple(found), mean, others_sd)


def summary_of(learned: CustomersLearned, days: int) -> Summary:
    """Return what draws for some days ahead are made from.

    Slope and daily part are those of these days: more or less than usual, to first order, by the mean over
    them of the parts of weeks and season, which go on from where they stand.
    """
    middle, root = np.empty((len(learned), 4)), np.empty((len(learned), 4, 4))
    for part in _slices(len(learned)):
        middle[part], root[part] = _of_days(learned.rows(part), days)
    return Summary(learned.number, middle, root, learned.day_noise, learned.most_kg)


def _of_days(learned: CustomersLearned, days: int) -> tuple[Floats, Floats]:
    """Return means (N, 4) and square roots of covariances (N, 4, 4) of slope, daily part, base and level."""
    ahead = [stretch(np.array(float(days)), lasting) for lasting in LASTING_D]
    see = np.zeros((5, QUANTITIES))  # slope, daily part, base, level; the share more than usual
    see[range(4), range(4)] = 1.0
    see[4, 4:] = [float(a.mean) for a in ahead]
    mean, cov = learned.mean @ see.T, see @ learned.cov @ see.T
    cov[:, 4, 4] += learned.slow_var @ np.array([float(a.new_mean) for a in ahead])
    more = np.zeros((len(mean), 4, 5))
    more[:, range(4), range(4)] = 1.0
    more[:, :2, :2] *= (1.0 + mean[:, 4])[:, None, None]
    more[:, :2, 4] = mean[:, :2]
    middle = mean[:, :4].copy()
    middle[:, :2] = mean[:, :2] * (1.0 + mean[:, 4:]) + cov[:, :2, 4]
    return middle, root_of(more @ cov @ np.swapaxes(more, 1, 2))

"""Readings of many customers that disagree with what was expected: settled by later ones, or left open.

The rule is that of :mod:`fuelplan.learning.doubt`. All customers with a recent reading are looked at by what
is believed beforehand; only the few whose reading may be doubtful are weighed by what was learned.
"""

from __future__ import annotations

import math
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from fuelplan.dispatch.outlook.learned import by_length, piece_of
from fuelplan.dispatch.outlook.tables import Floats, Ints
from fuelplan.learning import (
    ASIDE,
    BELIEVED,
    CHUNK,
    CONFIRMED,
    DECISIVE,
    FAR,
    RECENT_DAYS,
    RECENT_READINGS,
    Centre,
    CustomerBooks,
    Evidence,
    ManyPosteriors,
    base_moments,
    covariances,
    innovations,
    is_doubtful,
    limit_of,
    log_densities,
    reading_places,
    summary,
)

Bools = NDArray[np.bool_]
Standing = Ints

LOOK_CLOSER = 0.8
"""Share of the limits from which a reading is weighed by what was learned."""

YEAR_DAYS = 365


@dataclass(frozen=True)
class Doubted:
    """K readings on which only a person can decide.

    Attributes
    ----------
    customer
        Shape (K,), number of the customer, rising: one reading of each.
    day
        Shape (K,), day of the weather.
    read_kg, expected_kg
        Shape (K,): what it says, and what everything before it led to expect. [kg]
    fuller
        The posteriors of these K customers, the fuller of the two that are possible.
    settled
        Customers and days of readings that a later one has settled, shape (S, 2), and whether each was set
        aside, (S,).
    """

    customer: Ints
    day: Ints
    read_kg: Floats
    expected_kg: Floats
    fuller: ManyPosteriors
    settled: Ints
    set_aside: Bools

    def __len__(self) -> int:
        """Return how many there are."""
        return len(self.customer)


@dataclass(frozen=True)
class _About:
    """Where the readings of some customers are weighed: see :func:`fuelplan.learning.case.covariances`."""

    centre: Centre
    base_sd_c: Floats
    noise: Floats

    def ahead(self, many: ManyPosteriors) -> tuple[Floats, Floats, Evidence]:
        """Return how far each reading lies from what was expected, and that in deviations: (N, n). [kg]"""
        e = many.evidence()
        y, s, _, _ = covariances(
            e, many.priors, many.sums, many.assumptions, self.centre, self.base_sd_c, self.noise
        )
        return *innovations(y, s, e), e


def weigh_readings(many: ManyPosteriors, workers: int = 2) -> tuple[ManyPosteriors, Doubted]:
    """Return the posteriors with every doubtful reading settled, the emptier ones where one is open; and the
    open ones.

    Parameters
    ----------
    many
        As :func:`fuelplan.dispatch.outlook.unsolved` gives them; capacities must be known.
    workers
        Threads.
    """
    c = many.customers
    standing, open_at, expected_kg = c.standing.copy(), np.full(len(c), -1), np.full(len(c), np.nan)
    look = np.flatnonzero(_may_be_doubted(c, _last_day(many) - RECENT_DAYS).any(axis=1))
    with ThreadPoolExecutor(max_workers=max(1, workers)) as pool:
        maybe = [m for m in pool.map(lambda some: _look(many, some), _parts(c, look)) if len(m)]
        parts = _parts(c, np.concatenate(maybe) if maybe else look[:0])
        for some, few in zip(parts, pool.map(lambda some: _weighed(many, some), parts), strict=True):
            column = np.argsort(c.reading_day[some] < 0, axis=1, kind="stable")[:, : few.standing.shape[1]]
            standing[some[:, None], column] = few.standing
            open_at[some] = np.where(few.open < 0, -1, column[np.arange(len(some)), few.open])
            expected_kg[some] = few.expected_kg
    who = np.flatnonzero(open_at >= 0)
    at = open_at[who]
    low, high = standing.copy(), standing.copy()
    less = c.reading_kg[who, at] < expected_kg[who]
    low[who, at], high[who, at] = np.where(less, BELIEVED, ASIDE), np.where(less, ASIDE, BELIEVED)
    settled = standing != c.standing
    settled[who, at] = False
    row, column = np.nonzero(settled)
    return replace(many, customers=replace(c, standing=low)), Doubted(
        customer=who,
        day=c.reading_day[who, at],
        read_kg=c.reading_kg[who, at],
        expected_kg=expected_kg[who],
        fuller=replace(many, customers=replace(c, standing=high)).rows(who),
        settled=np.stack([row, c.reading_day[row, column]], axis=1),
        set_aside=standing[row, column] == ASIDE,
    )


def _last_day(many: ManyPosteriors) -> int:
    return (many.as_of - many.first_day).days


def _told_days(c: CustomerBooks) -> Ints:
    """Return the days of readings, then of deliveries that filled the store: (N, n + m), −1 for none."""
    return np.concatenate([c.reading_day, np.where(c.filled_full, c.delivery_day, -1)], axis=1)


def _may_be_doubted(c: CustomerBooks, since: int) -> Bools:
    """Tell which levels are looked at: the newest few after a day, and all that were confirmed."""
    told = -np.sort(-_told_days(c), axis=1)
    nth = min(RECENT_READINGS, told.shape[1])
    recent = (c.reading_day > since) & (c.reading_day >= told[:, nth - 1 : nth])
    said = c.standing == CONFIRMED
    return np.asarray((recent | said) & (c.reading_day >= 0) & ~c.is_count)


def _limits(c: CustomerBooks, last: int) -> Floats:
    """Return how many deviations the readings of each customer may lie off, shape (N, 1)."""
    count = (_told_days(c) > max(last - YEAR_DAYS, -1)).sum(axis=1)
    table = np.array([limit_of(k) for k in range(int(count.max(initial=0)) + 1)])
    return np.asarray(table[count][:, None])


class _Few:
    """Customers whose readings may be doubtful.

    Attributes
    ----------
    standing
        Shape (N, n): how each reading stands; an open one as if it were wrong.
    open
        Shape (N,), which reading is open, −1 for none.
    expected_kg
        Shape (N,), what was expected of it. [kg]
    """

    def __init__(self, many: ManyPosteriors, about: _About, since: int, limit: Floats) -> None:
        c = many.customers
        self.many, self.about, self.limit = many, about, limit
        self.place = reading_places(c)
        self.may = _may_be_doubted(c, since)
        self.standing = c.standing.copy()
        self.open, self.expected_kg = np.full(len(c), -1), np.full(len(c), np.nan)

    def settle_one(self) -> bool:
        """Settle the first doubtful reading of each customer, or leave it open; False where there is none."""
        c = self.many.customers
        off_kg, sds = (np.take_along_axis(a, self.place, axis=1) for a in self._ahead(self.standing)[:2])
        bad = is_doubtful(off_kg, c.reading_sd_kg, sds, self.limit) & self.may
        bad &= (self.standing < ASIDE) & (self.open < 0)[:, None]
        row = np.flatnonzero(bad.any(axis=1))
        if not len(row):
            return False
        at = np.where(bad, self.place, FAR)[row].argmin(axis=1)
        odds = self._odds(row, at)
        said = c.standing[row, at] == CONFIRMED
        sure = said | (np.abs(odds) >= math.log(DECISIVE))
        self.standing[row, at] = np.where(sure & (said | (odds > 0)), BELIEVED, ASIDE)
        self.open[row[~sure]] = at[~sure]
        kg = np.maximum(0.0, c.reading_kg[row, at] - off_kg[row, at])
        self.expected_kg[row[~sure]] = kg[~sure]
        return True

    def _ahead(self, standing: Standing) -> tuple[Floats, Floats, Evidence]:
        return self.about.ahead(replace(self.many, customers=replace(self.many.customers, standing=standing)))

    def _odds(self, row: Ints, at: Ints) -> Floats:
        """Return how much likelier what came later is if a reading is right than if it is wrong: logarithms,
        0 where nothing came.
        """
        told = []
        for how in (BELIEVED, ASIDE):
            standing = self.standing.copy()
            standing[row, at] = how
            off_kg, sds, e = self._ahead(standing)
            later = np.arange(e.at.shape[1])[None, :] > self.place[row, at][:, None]
            told.append(log_densities(off_kg[row], sds[row], later & ~e.is_room[row]))
        return np.asarray(told[0] - told[1])


def _parts(customers: CustomerBooks, which: Ints) -> list[Ints]:
    """Return some customers in chunks with books of about one length."""
    which = which[by_length(customers.rows(which))]
    return [which[begin : begin + CHUNK] for begin in range(0, len(which), CHUNK)]


def _look(many: ManyPosteriors, which: Ints) -> Ints:
    """Return who of a chunk of customers may have a doubtful reading, by what is believed beforehand."""
    piece = piece_of(many, which)
    c, last = piece.customers, _last_day(many)
    place, ahead = reading_places(c), _on_paper(piece).ahead(piece)
    off_kg, sds = (np.take_along_axis(a, place, axis=1) for a in ahead[:2])
    maybe = is_doubtful(off_kg, LOOK_CLOSER * c.reading_sd_kg, sds, LOOK_CLOSER * _limits(c, last))
    return which[(maybe & _may_be_doubted(c, last - RECENT_DAYS)).any(axis=1)]


def _weighed(many: ManyPosteriors, which: Ints) -> _Few:
    """Return some customers with their doubtful readings settled or left open."""
    piece, last = piece_of(many, which), _last_day(many)
    few = _Few(piece, _learned(piece), last - RECENT_DAYS, _limits(piece.customers, last))
    for _ in range(RECENT_READINGS):
        if not few.settle_one():
            break
    return few


def _on_paper(many: ManyPosteriors) -> _About:
    """Return where to weigh by what is believed beforehand."""
    p, a = many.priors, many.assumptions
    noise = np.average(a.noises, axis=0, weights=a.noise_weight)
    centre = Centre(p.slope, p.day_kg, many.sums.index_of_base(p.base_c), 0.5 * many.customers.capacity_kg)
    return _About(centre, p.base_sd_c, np.tile(noise, (len(p.slope), 1)))


def _learned(many: ManyPosteriors) -> _About:
    """Return where to weigh by what was learned of each customer, as one house has it."""
    cells = many.cells(np.arange(len(many.customers)))
    base_c, base_sd_c = base_moments(cells)
    mean, _, noise = summary(cells)
    slope, day_kg = np.maximum(mean[:, 0], 0.0), np.maximum(mean[:, 1], 0.0)
    return _About(Centre(slope, day_kg, many.sums.index_of_base(base_c), cells.start_kg), base_sd_c, noise)

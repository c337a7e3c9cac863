"""The same posterior for many customers at once: one weather record per area, arrays instead of lists."""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, fields, replace
from datetime import date, timedelta
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from fuelplan.learning.case import with_habits
from fuelplan.learning.core import base_moments, solve
from fuelplan.learning.evidence import ORDER_IN_DAY, START_SHARE_SD, UNKNOWN_SIZE
from fuelplan.learning.posterior import Draws, Posterior, drawn, root_of
from fuelplan.learning.prior import Assumptions, SignatureError
from fuelplan.learning.readings import DEVICE_REL_SD, DRIFT_REL_SD
from fuelplan.learning.state import QUANTITIES, Evidence, PosteriorCells, Priors
from fuelplan.learning.sums import REACH_SD, DegreeDaySums, Floats, Ints, running_sums

Bools = NDArray[np.bool_]
Number = TypeVar("Number", np.float64, np.int64, np.bool_)

COUNTED, CONFIRMED, ASIDE, BELIEVED = range(4)
"""How a reading stands: it counts; somebody has confirmed it; it is left out; it is right though it does not
fit, so that what came before it is not known."""

CHUNK = 64
"""Customers worked on together: their arrays stay within a processor's cache."""

FAR = np.iinfo(np.int64).max // 4

FULL_SD_SHARE = 0.03
"""As :func:`fuelplan.learning.readings.full` has it."""


@dataclass(frozen=True)
class CustomerBooks:
    """Readings and deliveries of N customers, up to n readings and m deliveries each, in any order.

    Attributes
    ----------
    station
        Shape (N,), row of the weather of each.
    capacity_kg
        Shape (N,), NaN where unknown. [kg]
    reading_day
        Shape (N, n), day of the weather (0 is its first), −1 for no reading. All are taken in the evening.
    reading_kg, reading_sd_kg
        Shape (N, n). [kg]
    sees_volume
        Shape (N, n): readings told by eye or mark, which share the site's doubt of density and shape.
    is_count
        Shape (N, n): readings of the boiler's own counter; one counter per customer.
    standing
        Shape (N, n): :data:`COUNTED`, :data:`CONFIRMED`, :data:`ASIDE` or :data:`BELIEVED`.
    delivery_day
        Shape (N, m), −1 for no delivery.
    delivery_kg, delivery_sd_kg
        Shape (N, m). [kg]
    filled_full
        Shape (N, m).
    """

    station: Ints
    capacity_kg: Floats
    reading_day: Ints
    reading_kg: Floats
    reading_sd_kg: Floats
    sees_volume: Bools
    is_count: Bools
    standing: Ints
    delivery_day: Ints
    delivery_kg: Floats
    delivery_sd_kg: Floats
    filled_full: Bools

    def __len__(self) -> int:
        """Return the number of customers."""
        return len(self.station)

    def rows(self, which: Ints | slice) -> CustomerBooks:
        """Return some of the customers."""
        return CustomerBooks(*(getattr(self, f.name)[which] for f in fields(self)))


@dataclass(frozen=True)
class ManyPosteriors:
    """Posteriors of N customers on one evening.

    Attributes
    ----------
    as_of
        The evening the levels stand for.
    mean, sd
        Shape (N, 4): kg_per_degree_day, kg_per_day, base_c, level_kg, before the limits of 0 and the store.
    noise
        Shape (N, 3), mean sizes of the noise: day to day, over weeks, over a season, as shares.
    level_known
        Shape (N,), whether any reading tells a level.
    """

    as_of: date
    mean: Floats
    sd: Floats
    noise: Floats
    level_known: Bools
    customers: CustomerBooks
    priors: Priors
    sums: DegreeDaySums
    assumptions: Assumptions
    first_day: date

    def rows(self, which: Ints | slice) -> ManyPosteriors:
        """Return the posteriors of some customers alone."""
        own = {name: getattr(self, name)[which] for name in ("mean", "sd", "noise", "level_known")}
        return replace(self, customers=self.customers.rows(which), priors=_rows(self.priors, which), **own)

    def evidence(self) -> Evidence:
        """Return the arrays of the model."""
        end_at = 2 * (self.as_of - self.first_day).days + 2
        e = evidence_of_many(self.customers, self.priors, self.sums, end_at)
        return with_habits(e, self.priors, self.sums, self.assumptions)[0]

    def cells(self, which: Ints) -> PosteriorCells:
        """Return the full posteriors of some customers."""
        some = self.rows(which)
        return solve(some.evidence(), some.priors, self.sums, self.assumptions)

    def one(self, row: int) -> Posterior:
        """Return the posterior of one customer."""
        cells = self.cells(np.array([row]))
        s, b = cells.weight.shape[1:]
        capacity = float(self.customers.capacity_kg[row])
        known = np.isfinite(capacity)
        return Posterior(
            as_of=self.as_of,
            weight=cells.weight[0].ravel(),
            base_c=np.broadcast_to(cells.base_c[0], (s, b)).ravel(),
            noise=np.repeat(cells.noise, b, axis=0),
            mean=cells.mean[0].reshape(s * b, QUANTITIES),
            cov=cells.cov[0].reshape(s * b, QUANTITIES, QUANTITIES),
            floor_kg=float(cells.floor_kg[0]),
            capacity_kg=capacity if known else None,
            most_kg=capacity * (1 + 3 * self.assumptions.volume_rel_sd) if known else np.inf,
            readings=int((self.customers.reading_day[row] >= 0).sum()),
        )

    def draw(self, which: Ints, n: int, rng: np.random.Generator) -> Draws:
        """Return n joint draws for each of some customers, arrays of shape (customers, n).

        Coefficients are 0 or more and levels inside the store, as with the single posterior; where that
        cannot be had (a missing delivery, say) values are set to the limit.
        """
        cells = self.cells(which)
        rows = len(which)
        s, b = cells.weight.shape[1:]
        mean = cells.mean.reshape(rows, s * b, QUANTITIES)
        root = root_of(cells.cov.reshape(rows, s * b, QUANTITIES, QUANTITIES))
        until = np.cumsum(cells.weight.reshape(rows, -1), axis=1)
        capacity = self.customers.capacity_kg[which]
        most = np.where(np.isfinite(capacity), capacity * (1 + 3 * self.assumptions.volume_rel_sd), np.inf)[
            :, None
        ]
        value, cell = np.zeros((rows, n, QUANTITIES)), np.zeros((rows, n), dtype=np.int64)
        todo_row, todo_n = np.nonzero(np.ones((rows, n), dtype=bool))
        for _ in range(60):
            u = rng.random(len(todo_row)) * until[todo_row, -1]
            g = np.minimum((until[todo_row] < u[:, None]).sum(axis=1), s * b - 1)
            z = rng.standard_normal((len(todo_row), QUANTITIES))
            x = mean[todo_row, g] + np.einsum("nij,nj->ni", root[todo_row, g], z)
            value[todo_row, todo_n], cell[todo_row, todo_n] = x, g
            bad = (x[:, :3] < 0).any(axis=1) | (x[:, 2] > most[todo_row, 0])
            todo_row, todo_n = todo_row[bad], todo_n[bad]
            if not len(todo_row):
                break
        value[..., :3] = np.maximum(value[..., :3], 0.0)
        value[..., 2] = np.minimum(value[..., 2], most)
        base_c = cells.base_c[np.arange(rows)[:, None], cell % b]
        floor = np.broadcast_to(cells.floor_kg[:, None], base_c.shape)
        return drawn(value, base_c, cells.noise[cell // b], floor, self.as_of)


def learn_many(
    priors: Priors,
    first_day: date,
    mean_c: Floats,
    customers: CustomerBooks,
    as_of: date,
    *,
    assumptions: Assumptions | None = None,
    workers: int = 2,
    progress: Callable[[int, int], None] | None = None,
) -> ManyPosteriors:
    """Return the posteriors of many customers, equal to those of :func:`fuelplan.learning.learn` one by one.

    Parameters
    ----------
    priors
        One row per customer.
    first_day, mean_c
        Weather of shape (stations, days) from `first_day` on, without gaps. [degC]
    customers
        Readings and deliveries; what is dated after `as_of` is not looked at.
    as_of
        The evening the levels stand for.
    workers
        Threads.
    progress
        Called with (customers done, customers).

    Returns
    -------
    ManyPosteriors
        In the order of the customers.

    Raises
    ------
    SignatureError
        Where `as_of` lies outside the weather, or a store of unknown capacity was filled.
    """
    assumptions = assumptions or Assumptions()
    days = (as_of - first_day).days + 1
    if not 0 < days <= mean_c.shape[1]:
        last = first_day + timedelta(days=mean_c.shape[1] - 1)
        raise SignatureError(f"as_of {as_of} lies outside the weather, {first_day} to {last}")
    reach = REACH_SD * priors.base_sd_c + 1.0
    sums = running_sums(
        mean_c[:, :days],
        None,
        float((priors.base_c - reach).min()),
        float((priors.base_c + reach).max()),
        first_day,
    )
    customers = _until(customers, days - 1)
    n = len(customers)
    mean, sd, noise = np.zeros((n, 4)), np.zeros((n, 4)), np.zeros((n, 3))
    done = 0

    def work(begin: int) -> int:
        part = slice(begin, min(n, begin + CHUNK))
        some = _rows(priors, part)
        told = evidence_of_many(customers.rows(part), some, sums, 2 * days)
        e, _ = with_habits(told, some, sums, assumptions)
        cells = solve(e, some, sums, assumptions)
        mean[part], sd[part], noise[part] = summary(cells)
        return part.stop - part.start

    with ThreadPoolExecutor(max_workers=max(1, workers)) as pool:
        for count in pool.map(work, range(0, n, CHUNK)):
            done += count
            if progress:
                progress(done, n)
    levels = ((customers.reading_day >= 0) & ~customers.is_count).any(axis=1)
    known = levels | ((customers.delivery_day >= 0) & customers.filled_full).any(axis=1)
    known = np.asarray(known, dtype=bool)
    return ManyPosteriors(as_of, mean, sd, noise, known, customers, priors, sums, assumptions, first_day)


def summary(cells: PosteriorCells) -> tuple[Floats, Floats, Floats]:
    """Return mean (N, 4), sd (N, 4) of slope, daily part, base, level, and the mean noise (N, 3).

    Parameters
    ----------
    cells
        Of N sites.
    """
    base_c, base_sd = base_moments(cells)
    mean3 = cells.mean[..., :3]
    three = np.einsum("nsb,nsbq->nq", cells.weight, mean3)
    own = np.diagonal(cells.cov, axis1=-2, axis2=-1)[..., :3]
    spread = own + (mean3 - three[:, None, None]) ** 2
    three_sd = np.sqrt(np.einsum("nsb,nsbq->nq", cells.weight, spread))
    mean = np.stack([three[:, 0], three[:, 1], base_c, three[:, 2]], axis=1)
    sd = np.stack([three_sd[:, 0], three_sd[:, 1], base_sd, three_sd[:, 2]], axis=1)
    return mean, sd, cells.weight.sum(axis=2) @ cells.noise


def evidence_of_many(customers: CustomerBooks, priors: Priors, sums: DegreeDaySums, end_at: int) -> Evidence:
    """Return the arrays of the model; "filled full" becomes a reading after its delivery."""
    c = customers
    n = len(c)
    known = np.isfinite(c.capacity_kg)
    year = _year_kg(priors, sums, c.station)
    size = np.where(known, c.capacity_kg, year)[:, None]
    came = c.delivery_day >= 0
    is_full = came & c.filled_full
    if (is_full & ~known[:, None]).any():
        raise SignatureError("'filled full' needs the store's capacity; give capacity_kg for these customers")
    far = FAR
    # one event for each delivery: the store was full after it, or had room for it before
    fits = came & ~is_full & known[:, None] & (c.delivery_kg <= size)
    key = _event_keys(c, is_full, fits)
    real = key < far
    order = np.argsort(key, axis=1, kind="stable")

    def sort(a: NDArray[Number], b: NDArray[Number] | float) -> NDArray[Number]:
        joined = np.concatenate([a, np.broadcast_to(np.asarray(b, dtype=a.dtype), is_full.shape)], axis=1)
        return np.take_along_axis(joined, order, axis=1)

    real, key = np.take_along_axis(real, order, axis=1), np.take_along_axis(key, order, axis=1)
    at = np.where(real, 2 * (key // 4) + np.where(key % 4 == ORDER_IN_DAY["evening"], 2, 1), end_at)
    first_delivery = np.where(came, 2 * c.delivery_day, far).min(axis=1, initial=far)
    start_at = np.minimum(
        np.minimum(np.where(real, at, far).min(axis=1, initial=far), first_delivery), end_at
    )
    told_kg = np.where(is_full, size, size - c.delivery_kg)
    told_sd = np.where(is_full, FULL_SD_SHARE * size, np.maximum(c.delivery_sd_kg, 1.0))
    is_count = sort(c.is_count, False) & real
    kg = sort(c.reading_kg.astype(float), told_kg)
    run = _runs(kg, is_count)
    y, since = _from_run_start(kg, at, run, is_count, start_at)
    before = came[:, None, :] & (4 * c.delivery_day[:, None, :] + 1.5 < key[:, :, None])
    brought = (before * c.delivery_kg[:, None, :]).sum(axis=2)
    brought_var = (before * c.delivery_sd_kg[:, None, :] ** 2).sum(axis=2)
    any_count = bool(is_count.any())
    runs = int(run.max(initial=-1)) + 1 if any_count else 0
    standing = sort(c.standing, COUNTED)
    var = np.where(real & (standing != ASIDE), sort(c.reading_sd_kg.astype(float), told_sd) ** 2, np.inf)
    loose = np.where(real & (standing == BELIEVED), size**2, 0.0)
    extra = np.cumsum(np.where(is_count, 0.0, loose), axis=1)
    return Evidence(
        y_kg=np.where(real, y, 0.0),
        var_kg2=var,
        at=at,
        since=since,
        is_count=is_count.astype(np.int64),
        sees_volume=sort(c.sees_volume, is_full).astype(float),
        is_room=sort(np.zeros(c.reading_day.shape, dtype=bool), fits),
        brought_kg=brought,
        brought_var_kg2=(np.maximum.accumulate(brought_var, axis=1) if key.shape[1] else brought_var) + extra,
        habit_kg=np.zeros(key.shape),
        meter=np.where(is_count, 0, -1),
        segment=np.where(is_count, run, -1),
        loose_kg2=np.where(is_count, loose, 0.0),
        meter_rel_sd=np.full((n, int(any_count)), 0.10),
        meter_drift_sd=np.full((n, int(any_count)), DRIFT_REL_SD["counter"]),
        device_sd=np.where(np.arange(runs) > 0, DEVICE_REL_SD["counter"], 0.0) * np.ones((n, 1)),
        meter_from=np.where(is_count, at, far).min(axis=1, initial=far, keepdims=True)[:, : int(any_count)]
        % far,
        segments=runs,
        end_at=np.full(n, end_at),
        end_brought_kg=(came * c.delivery_kg).sum(axis=1),
        end_brought_var_kg2=(came * c.delivery_sd_kg**2).sum(axis=1) + extra[:, -1:].sum(axis=1),
        start_at=start_at,
        start_kg=0.5 * size[:, 0],
        start_sd_kg=np.where(known, START_SHARE_SD, 1.0) * size[:, 0],
        capacity_kg=np.where(known, 1.0, UNKNOWN_SIZE) * size[:, 0],
        station=c.station,
    )


def _event_keys(c: CustomerBooks, is_full: Bools, fits: Bools) -> Ints:
    """Return when each reading, then each delivery, comes, to sort by; :data:`FAR` where there is none."""
    day = np.concatenate([c.reading_day, np.where(is_full | fits, c.delivery_day, -1)], axis=1)
    evening = np.full_like(c.reading_day, ORDER_IN_DAY["evening"])
    around = np.where(is_full, ORDER_IN_DAY["after_delivery"], ORDER_IN_DAY["before_delivery"])
    return np.where(day >= 0, 4 * day + np.concatenate([evening, around], axis=1), FAR)


def reading_places(customers: CustomerBooks) -> Ints:
    """Return where in the evidence each reading stands, shape (N, n); capacities must be known."""
    c = customers
    came = c.delivery_day >= 0
    is_full = came & c.filled_full
    fits = came & ~is_full & (c.delivery_kg <= c.capacity_kg[:, None])
    order = np.argsort(_event_keys(c, is_full, fits), axis=1, kind="stable")
    return np.argsort(order, axis=1, kind="stable")[:, : c.reading_day.shape[1]]


def _runs(kg: Floats, is_count: Bools) -> Ints:
    """Number the unbroken runs of a counter: it begins anew where it shows less than before."""
    run, last = np.full(len(kg), -1), np.full(len(kg), np.inf)
    out = np.full(kg.shape, -1)
    for i in range(kg.shape[1]):
        mine = is_count[:, i]
        run = run + (mine & (kg[:, i] < last))
        last = np.where(mine, kg[:, i], last)
        out[:, i] = np.where(mine, run, -1)
    return out


def _from_run_start(kg: Floats, at: Ints, run: Ints, is_count: Bools, start_at: Ints) -> tuple[Floats, Ints]:
    """Return counts from the beginning of their run, and since when each reading's use is counted."""
    y, since = kg.copy(), np.repeat(start_at[:, None], kg.shape[1], axis=1)
    first_kg, first_at, open_run = np.zeros(len(kg)), start_at.copy(), np.full(len(kg), -1)
    for i in range(kg.shape[1] if is_count.any() else 0):
        new = is_count[:, i] & (run[:, i] != open_run)
        first_kg, first_at = np.where(new, kg[:, i], first_kg), np.where(new, at[:, i], first_at)
        open_run = np.where(new, run[:, i], open_run)
        y[:, i] = np.where(is_count[:, i], kg[:, i] - first_kg, kg[:, i])
        since[:, i] = np.where(is_count[:, i], first_at, since[:, i])
    return y, since


def _year_kg(priors: Priors, sums: DegreeDaySums, station: Ints) -> Floats:
    days = (sums.days.shape[1] - 1) / 2
    heating = sums.degree_days[station, sums.index_of_base(priors.base_c), -1] / days
    year: Floats = 365.25 * (priors.slope * heating + priors.day_kg)
    return year


def _rows(priors: Priors, which: Ints | slice) -> Priors:
    return Priors(*(getattr(priors, f.name)[which] for f in fields(priors)))


def _until(customers: CustomerBooks, last: int) -> CustomerBooks:
    """Leave out what is dated after the last day."""
    c = customers
    return replace(
        c,
        reading_day=np.where(c.reading_day <= last, c.reading_day, -1),
        delivery_day=np.where(c.delivery_day <= last, c.delivery_day, -1),
    )

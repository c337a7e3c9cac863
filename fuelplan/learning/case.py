"""One site being learned: its record, what is set aside, and the questions asked of what is left over."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from datetime import date
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from fuelplan.learning.columns import (
    FIRST_CHANGE,
    based_columns,
    centred,
    day_change_sd_kg,
    fixed_columns,
    steps_between,
    year_row,
)
from fuelplan.learning.core import base_moments, solve
from fuelplan.learning.evidence import Record, evidence_of
from fuelplan.learning.filling import Filling, settle
from fuelplan.learning.prior import Assumptions
from fuelplan.learning.state import Centre, Evidence, PosteriorCells, Priors
from fuelplan.learning.sums import DegreeDaySums, Floats, Ints
from fuelplan.learning.whitening import covariance_of_use


@dataclass(frozen=True)
class Case:
    """A site's record with prior, weather and what was found so far.

    Attributes
    ----------
    record, priors, sums, assumptions
        What goes in (priors and sums of one site).
    size_kg
        Capacity, or a year's use where it is unknown. [kg]
    aside
        Readings that are not used, by place in the record.
    loose_kg2
        Shape (n,): extra variance of the use since the reading before. [kg²]
    loose_brought_kg2
        Shape (n,): extra variance of what came since the reading before. [kg²]
    slope_change_at, day_change_at
        Half-day indices of changes found.
    """

    record: Record
    priors: Priors
    sums: DegreeDaySums
    assumptions: Assumptions
    size_kg: float
    loose_kg2: Floats
    loose_brought_kg2: Floats
    aside: frozenset[int] = frozenset()
    slope_change_at: tuple[int, ...] = ()
    day_change_at: tuple[int, ...] = ()

    def evidence(self) -> Evidence:
        """Return the arrays of the model."""
        return self._with_habits[0]

    @property
    def filling(self) -> Filling:
        """How this house's store is filled."""
        return self._with_habits[1]

    @cached_property
    def _with_habits(self) -> tuple[Evidence, Filling]:
        e = evidence_of(self.record, self.size_kg, self.loose_kg2, self.slope_change_at, self.day_change_at)
        var = e.var_kg2.copy()
        var[0, list(self.aside)] = np.inf
        extra = np.cumsum(self.loose_brought_kg2)
        e = replace(
            e,
            var_kg2=var,
            brought_var_kg2=e.brought_var_kg2 + extra,
            end_brought_var_kg2=e.end_brought_var_kg2 + (extra[-1] if len(extra) else 0.0),
        )
        return with_habits(e, self.priors, self.sums, self.assumptions)

    def solve(self) -> PosteriorCells:
        """Return the posterior."""
        return solve(self.evidence(), self.priors, self.sums, self.assumptions)


@dataclass(frozen=True)
class LeftOver:
    """What the readings say beyond the model, at the likeliest base temperature and noise.

    With S the covariance of the readings, the doubt of all unknowns included, and d the mark that some
    mishap leaves on the readings: d'S⁻¹y / sqrt(d'S⁻¹d) is a standard normal number when there was none,
    and d'S⁻¹y / d'S⁻¹d is its size (generalised least squares; for readings and shocks of a state space
    model these are the auxiliary residuals of Harvey & Koopman 1992).

    Attributes
    ----------
    inverse
        Shape (n, n), S⁻¹ with zeros for readings set aside. [1/kg²]
    y_kg
        Shape (n,), readings less their prior mean. [kg]
    degree_days, days
        Shape (2·days + 1,): running sums at the likeliest base temperature. [K·d, d]
    slope, day_kg
        Means of the posterior, after the last change. [kg/K/d, kg/d]
    steps
        Slope and daily part with the half-day index from which they count: first those of the start, then
        what each change adds.
    step_cov
        Shape (changes, changes), of what each change adds. [kg²/K²/d², kg²/d²]
    covariance
        Shape (n, n), S. [kg²]
    """

    inverse: Floats
    y_kg: Floats
    degree_days: Floats
    days: Floats
    slope: float
    day_kg: float
    steps: tuple[tuple[int, float, float], ...]
    step_cov: Floats
    evidence: Evidence
    log_likelihood: float
    covariance: Floats

    def ahead(self) -> tuple[Floats, Floats]:
        """Return how far each reading lies from what those before it led to expect, and that in standard
        deviations, the doubt of both counted: shapes (n,), 0 for readings set aside. [kg]

        These are the innovations of a state space model: with L the Cholesky factor of S, L⁻¹y.
        """
        off, sds = innovations(self.y_kg[None], self.covariance[None], self.evidence)
        return off[0], sds[0]

    def log_density(self, of: NDArray[np.bool_]) -> float:
        """Return the log density of some readings, shape (n,), each given all before it that are used."""
        off, sds = self.ahead()
        return float(log_densities(off[None], sds[None], of[None])[0])

    def ask(self, marks: Floats) -> tuple[Floats, Floats, Floats]:
        """Return z, size and its standard deviation for mishaps whose marks are the columns of (n, d)."""
        weighed = self.inverse @ marks
        told, known = self.y_kg @ weighed, np.maximum(np.einsum("nd,nd->d", marks, weighed), 1e-30)
        return told / np.sqrt(known), told / known, 1 / np.sqrt(known)

    def ask_readings(self) -> tuple[Floats, Floats]:
        """Return z and size of an error of each single reading, shape (n,)."""
        told, known = self.inverse @ self.y_kg, np.maximum(np.diagonal(self.inverse), 1e-30)
        return told / np.sqrt(known), told / known

    def use_marks(self, running: Floats, begin: Ints) -> Floats:
        """Return the mark of 1 more of `running` burned after each half-day index `begin`, shape (n, d)."""
        e = self.evidence
        sign = np.where(e.is_count[0] > 0, 1.0, -1.0)[:, None]
        at, since = e.at[0][:, None], e.since[0][:, None]
        marks: Floats = sign * (running[np.maximum(at, begin)] - running[np.maximum(since, begin)])
        return marks

    def change(self, at: int, cold: float) -> tuple[float, float, float]:
        """Return what slope and daily part change by at a half-day index, and the standard deviation of what
        that makes on a day with `cold` degree-days. [kg/K/d, kg/d, kg/d]
        """
        mine = [i for i, step in enumerate(self.steps[1:]) if step[0] == at]
        slope, day_kg = (sum(self.steps[1 + i][k] for i in mine) for k in (1, 2))
        how = np.array([cold if self.steps[1 + i][1] else 1.0 for i in mine])
        return slope, day_kg, math.sqrt(max(0.0, float(how @ self.step_cov[np.ix_(mine, mine)] @ how)))

    def expected_kg(self, since: int, at: int) -> float:
        """Return the use between two half-day indices by the posterior means. [kg]"""
        total = 0.0
        for begin, slope, day_kg in self.steps:
            a, b = max(since, begin), max(at, begin)
            total += slope * float(self.degree_days[b] - self.degree_days[a])
            total += day_kg * float(self.days[b] - self.days[a])
        return total


def innovations(y_kg: Floats, covariance: Floats, evidence: Evidence) -> tuple[Floats, Floats]:
    """Return what :meth:`LeftOver.ahead` returns, for N sites: (N, n) from (N, n) and (N, n, n).

    Parameters
    ----------
    y_kg
        What the readings differ from the prior's mean by, shape (N, n). [kg]
    covariance
        Of these differences, shape (N, n, n); see :func:`covariances`. [kg²]
    evidence
        The readings' places and meters.
    """
    used = np.isfinite(evidence.var_kg2)
    both = used[:, :, None] & used[:, None, :]
    root = np.linalg.cholesky(np.where(both, covariance, np.eye(used.shape[1])))
    sds = np.linalg.solve(root, np.where(used, y_kg, 0.0)[..., None])[..., 0]
    off = sds * np.diagonal(root, axis1=1, axis2=2)
    return np.asarray(off, dtype=float), np.asarray(sds, dtype=float)


def log_densities(off_kg: Floats, sds: Floats, of: NDArray[np.bool_]) -> Floats:
    """Return what :meth:`LeftOver.log_density` returns, for N sites: (N,) from three of (N, n)."""
    told = of & (sds != 0)
    sd_kg = np.where(told, off_kg, 1.0) / np.where(told, sds, 1.0)
    return np.asarray((-0.5 * np.where(told, sds, 0.0) ** 2 - np.log(sd_kg)).sum(axis=1))


def covariances(
    e: Evidence, priors: Priors, sums: DegreeDaySums, assumptions: Assumptions, centre: Centre,
    base_sd_c: Floats, noise: Floats,
) -> tuple[Floats, Floats, Floats, Floats]:  # fmt: skip
    """Return the readings of N sites less their prior means (N, n) and their covariance (N, n, n), all
    unknowns counted; then the prior means of the unknowns in their own deviations (N, unknowns), other than 0
    where a year was stated, and their covariances with the readings (N, unknowns, n). [kg, kg²]

    Parameters
    ----------
    centre, base_sd_c, noise
        Where products of unknowns are linearised, the doubt of the base temperature there, (N,), and the
        sizes of the noise, (N, 3). [K]
    """
    base = centre.base
    based = based_columns(e, priors, sums, assumptions, base[:, None])[:, 0]
    near = based_columns(e, priors, sums, assumptions, np.stack([base - 2, base + 2], axis=1))[:, :, 0]
    width_c = sums.base_c[base + 2] - sums.base_c[base - 2]
    warmer = (near[:, 1] - near[:, 0]) / width_c[:, None] * (centre.slope / priors.slope_sd)[:, None]
    warmer = warmer * np.maximum(base_sd_c, 0.1)[:, None]
    x = np.concatenate([based, fixed_columns(e, priors, sums, assumptions, centre), warmer[:, None]], axis=1)
    y = centred(e, priors, sums) - based[:, 0] * (priors.slope / priors.slope_sd)[:, None]
    sees, reads = _year(e, priors, sums, centre, base_sd_c, x.shape[1], based.shape[1])
    size = (sees**2).sum(axis=1)
    mean = sees * (reads / (1 + size))[:, None]
    y = y - np.einsum("nu,nui->ni", mean, x)
    # a square root of the unknowns' covariance with the year known: (1 - half·ss')² = 1 - ss'/(1 + s's)
    half = ((1 - 1 / np.sqrt(1 + size)) / np.maximum(size, 1e-30))[:, None] * sees
    x = x - half[:, :, None] * np.einsum("nu,nui->ni", sees, x)[:, None]
    h_w = np.where(e.is_count > 0, 1.0, -1.0)
    h_v = np.where(e.is_count > 0, 0.0, 1.0)
    s = _outer(np.multiply, h_w) * covariance_of_use(steps_between(e, priors, centre, sums), noise)
    s += _outer(np.multiply, h_v) * _outer(np.minimum, e.brought_var_kg2) + np.swapaxes(x, 1, 2) @ x
    own = np.where(np.isfinite(e.var_kg2), e.var_kg2, 0.0)
    x = x - half[:, :, None] * np.einsum("nu,nui->ni", sees, x)[:, None]
    return y, s + own[:, :, None] * np.eye(own.shape[1]), mean, x


def _year(
    e: Evidence, priors: Priors, sums: DegreeDaySums, centre: Centre, base_sd_c: Floats, unknowns: int,
    slopes: int,
) -> tuple[Floats, Floats]:  # fmt: skip
    """Return how the stated year sees the unknowns, one standard deviation off, (N, unknowns), and how far it
    reads from its prior mean, (N,), in its own deviations; zeros where none was stated.
    """
    grid = centre.base[:, None] + np.array([-2, 0, 2])
    by_slope, by_day, reads = year_row(priors, sums, e.station, grid)
    sees = np.zeros((len(reads), unknowns))
    sees[:, 0], sees[:, slopes] = by_slope[:, 1], by_day
    width_c = sums.base_c[grid[:, 2]] - sums.base_c[grid[:, 0]]
    slope = centre.slope / priors.slope_sd
    sees[:, -1] = (by_slope[:, 2] - by_slope[:, 0]) / width_c * slope * np.maximum(base_sd_c, 0.1)
    return sees, reads - by_slope[:, 1] * priors.slope / priors.slope_sd


def with_habits(
    e: Evidence, priors: Priors, sums: DegreeDaySums, assumptions: Assumptions
) -> tuple[Evidence, Filling]:
    """Return the evidence of N sites with each "room" put as their habit of filling makes of it, and the
    habits.

    What is left before a delivery is reckoned by the paper signature and its doubt, and by all readings.
    """
    centre = Centre(priors.slope, priors.day_kg, sums.index_of_base(priors.base_c), e.start_kg)
    noise = np.average(assumptions.noises, axis=0, weights=assumptions.noise_weight)
    silent = replace(e, var_kg2=np.where(e.is_room, np.inf, e.var_kg2))
    y, s, _, x = covariances(
        silent, priors, sums, assumptions, centre, priors.base_sd_c, np.tile(noise, (len(priors.slope), 1))
    )
    return settle(e, y, x, s, assumptions)


def _outer(of: np.ufunc, a: Floats) -> Floats:
    return np.asarray(of(a[:, :, None], a[:, None, :]))


def left_over(
    case: Case, cells: PosteriorCells, noise: Floats | None = None, winters_sd: float = 0.0
) -> LeftOver:
    """Weigh the readings at the posterior's mean base temperature, and its mean noise or a given one.

    With `winters_sd` the heating of each heating year has a factor of its own, of that standard deviation.
    """
    e, sums, priors = case.evidence(), case.sums, case.priors
    base_c, base_sd_c = base_moments(cells)
    base = sums.index_of_base(base_c)
    three = np.einsum("nsb,nsbq->nq", cells.weight, cells.mean)[0]
    if noise is None:
        noise = cells.weight[0].sum(axis=1) @ cells.noise
    slope, day_kg = max(float(three[0]), 0.0), max(float(three[1]), 0.0)
    centre = Centre(np.array([slope]), np.array([day_kg]), base, cells.start_kg, cells.steps)
    of = covariances(e, priors, sums, case.assumptions, centre, base_sd_c, noise[None])
    y, s, mean, x = (a[0] for a in of)
    if winters_sd:
        odd = winters_sd * _of_winters(case, e, centre)
        s = s + odd.T @ odd
    used = np.isfinite(e.var_kg2[0])
    inverse = np.zeros_like(s)
    keep = np.ix_(used, used)
    inverse[keep] = np.linalg.inv(s[keep])
    log_det = float(np.linalg.slogdet(s[keep])[1]) if used.any() else 0.0
    log_likelihood = -0.5 * (log_det + float(y @ inverse @ y))
    steps, step_cov = _steps(case, mean + x @ inverse @ y, x @ inverse @ x.T)
    return LeftOver(
        inverse, y, sums.degree_days[0, base[0]], sums.days[0], slope, day_kg, steps, step_cov, e,
        log_likelihood, s,
    )  # fmt: skip


def _of_winters(case: Case, e: Evidence, centre: Centre) -> Floats:
    """Return the heating of each heating year in each reading, shape (years, n): they begin in the warmest
    month of July and January. [kg]
    """
    running = case.sums.degree_days[0, centre.base[0]]
    first, end = case.record.first_day, len(running) - 1
    month = (np.datetime64(first, "D") + np.arange(end // 2)).astype("datetime64[M]").astype(int) % 12
    cold = np.diff(running[::2])
    mild = 7 if cold[month == 6].sum() <= cold[month == 0].sum() else 1
    years = range(first.year - 1, case.record.as_of.year + 2)
    begin = np.clip([2 * (date(year, mild, 1) - first).days for year in years], 0, end)[:, None]
    sign = np.where(e.is_count[0] > 0, 1.0, -1.0)
    at, since = (np.clip(index[0], begin[:-1], begin[1:]) for index in (e.at, e.since))
    return np.asarray(sign * centre.slope[0] * (running[at] - running[since]))


def _steps(
    case: Case, unknowns: Floats, known: Floats
) -> tuple[tuple[tuple[int, float, float], ...], Floats]:
    """Slope and daily part and their changes, from the means of the unknowns in standard deviations; and the
    covariance of the changes, from how much the readings take off that of the unknowns.
    """
    based = 1 + len(case.slope_change_at)
    p, a = case.priors, case.assumptions
    first = (
        0,
        float(p.slope[0] + p.slope_sd[0] * unknowns[0]),
        float(p.day_kg[0] + p.day_sd_kg[0] * unknowns[based]),
    )
    slopes = zip(case.slope_change_at, unknowns[1:based], strict=True)
    slope_sd, day_sd = a.change_rel_sd * float(p.slope[0]), float(day_change_sd_kg(p, a)[0])
    begin = based + FIRST_CHANGE
    days = zip(case.day_change_at, unknowns[begin : begin + len(case.day_change_at)], strict=True)
    places = [*range(1, based), *range(begin, begin + len(case.day_change_at))]
    sd = np.array([slope_sd] * (based - 1) + [day_sd] * len(case.day_change_at))
    steps = (
        first,
        *((at, slope_sd * float(u), 0.0) for at, u in slopes),
        *((at, 0.0, day_sd * float(u)) for at, u in days),
    )
    return steps, (np.eye(len(sd)) - known[np.ix_(places, places)]) * np.outer(sd, sd)

"""The closed-form posterior of many sites at once, on a grid of base temperatures and sizes of noise.

level = start + deliveries - use, use = slope·degree-days + daily part + W, where W is what the building does
otherwise: days that differ, and two parts that fade over weeks and over a season (`slow.py`). Deliveries
carry their own errors V. A level reading is the level times (1 + volume error of the site) + zero error of
the site + its own error; a count is the use since it began times (1 + scale error + drift). Given the base
temperature and the sizes of the noise everything is linear and Gaussian: a Kalman filter of (W, V, the two
parts) makes readings and columns independent (generalised least squares in "innovations" form, de Jong 1991,
Annals of Statistics 19), the rest is least squares with a prior. Products of two unknowns (scale × use) are
linearised at the current estimate, and done again.
"""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np

from fuelplan.learning.columns import (
    FIRST_CHANGE,
    based_columns,
    centred,
    day_change_sd_kg,
    fixed_columns,
    floor_kg,
    other_devices,
    steps_between,
    wave_sd_kg,
    year_row,
)
from fuelplan.learning.prior import Assumptions
from fuelplan.learning.state import QUANTITIES, Centre, Evidence, PosteriorCells, Priors, with_end
from fuelplan.learning.sums import BASE_STEP_C, DegreeDaySums, Floats, Ints
from fuelplan.learning.whitening import White, whiten

GRID = 9
"""Base temperatures on the final grid."""

SPREAD = 2.8
"""Half-width of that grid in standard deviations."""


def solve(
    evidence: Evidence, priors: Priors, sums: DegreeDaySums, assumptions: Assumptions
) -> PosteriorCells:
    """Return the posterior: a coarse pass over the whole prior, then finer ones around what it shows."""
    centre = Centre(priors.slope, priors.day_kg, sums.index_of_base(priors.base_c), evidence.start_kg)
    offsets = np.linspace(-2.2, 2.2, 7)
    grid = sums.index_of_base(priors.base_c[:, None] + priors.base_sd_c[:, None] * offsets)
    least_sd_c = priors.base_sd_c * (offsets[1] - offsets[0]) * 0.6
    few = slice(None, None, 3) if len(assumptions.noise) > 3 else slice(None)
    cells = one_pass(evidence, priors, sums, assumptions, centre, grid, few, False)
    for last in (False, True):
        mean_c, sd_c = base_moments(cells)
        sd_c = np.clip(np.maximum(sd_c, least_sd_c), 0.2, priors.base_sd_c)
        grid, stride = lay_grid(sums, mean_c, sd_c)
        centre = _centre(cells, sums)
        noises = slice(None) if last else few
        cells = one_pass(evidence, priors, sums, assumptions, centre, grid, noises, last)
        least_sd_c = stride * BASE_STEP_C * 0.6
    return cells


def lay_grid(sums: DegreeDaySums, mean_c: Floats, sd_c: Floats) -> tuple[Ints, Ints]:
    """Return the entries of the base table around `mean_c`, (N, GRID), and their strides, (N,)."""
    half = (GRID - 1) // 2
    most = (len(sums.base_c) - 1) // (GRID - 1)
    stride = np.clip(np.rint(SPREAD * sd_c / half / BASE_STEP_C), 1, max(most, 1)).astype(np.int64)
    middle = np.clip(sums.index_of_base(mean_c), half * stride, len(sums.base_c) - 1 - half * stride)
    return middle[:, None] + stride[:, None] * np.arange(-half, half + 1), stride


def base_moments(cells: PosteriorCells) -> tuple[Floats, Floats]:
    """Return mean and standard deviation of the base temperature, each (N,). [degC, K]

    Parameters
    ----------
    cells
        Of N sites.

    Returns
    -------
    (Floats, Floats)
        Mean and standard deviation of the base temperature, each of shape (N,). [degC, K]
    """
    weight = cells.weight.sum(axis=1)
    mean_c = np.einsum("nb,nb->n", weight, cells.base_c)
    return mean_c, np.sqrt(np.einsum("nb,nb->n", weight, (cells.base_c - mean_c[:, None]) ** 2))


def _centre(cells: PosteriorCells, sums: DegreeDaySums) -> Centre:
    mean = np.einsum("nsb,nsbq->nq", cells.weight, cells.mean)
    base = sums.index_of_base(base_moments(cells)[0])
    return Centre(np.maximum(mean[:, 0], 0.0), np.maximum(mean[:, 1], 0.0), base, cells.start_kg, cells.steps)


def one_pass(
    evidence: Evidence,
    priors: Priors,
    sums: DegreeDaySums,
    assumptions: Assumptions,
    centre: Centre,
    grid: Ints,
    noises: slice,
    with_cov: bool = True,
) -> PosteriorCells:
    """Return the posterior on the given base temperatures (N, B) and noise sizes, linearised at `centre`.

    Without `with_cov` the covariances are left out.
    """
    noise = assumptions.noises[noises]
    full = with_end(evidence)
    based = based_columns(full, priors, sums, assumptions, grid)
    fixed = fixed_columns(full, priors, sums, assumptions, centre)
    n, b, pb, _ = based.shape
    y = centred(full, priors, sums)[:, None, :]
    columns = np.concatenate([based.reshape(n, b * pb, -1), fixed, y], axis=1)
    white = whiten(columns, full.is_count, full.var_kg2, steps_between(full, priors, centre, sums), noise)
    white = _with_year(white, priors, sums, full.station, grid, pb)
    log_prior = np.log(np.asarray(assumptions.noise_weight)[noises])[None, :, None]
    base_c = sums.base_c[grid]
    z = (base_c - priors.base_c[:, None]) / priors.base_sd_c[:, None]
    # cells far apart stand for more of the prior than cells close together
    cell_c = np.maximum(base_c[:, -1] - base_c[:, 0], BASE_STEP_C) / max(b - 1, 1)
    log_prior = log_prior - 0.5 * (z**2)[:, None, :] + np.log(cell_c / priors.base_sd_c)[:, None, None]
    floor = floor_kg(evidence, priors, centre.start_kg, sums)
    return _posterior(
        white, evidence, priors, assumptions, (b, pb), base_c, noise, floor, log_prior, with_cov
    )


def _with_year(
    white: White, priors: Priors, sums: DegreeDaySums, station: Ints, grid: Ints, pb: int
) -> White:
    """Return the columns with the stated year as one more reading, where any was stated."""
    if not np.isfinite(priors.year_rel_sd).any():
        return white
    by_slope, by_day, reads = year_row(priors, sums, station, grid)
    n, s, c, _ = white.columns.shape
    year = np.zeros((n, s, c, 1))
    slopes = grid.shape[1] * pb
    year[:, :, 0:slopes:pb, 0] = by_slope[:, None]
    year[:, :, slopes, 0] = by_day[:, None]
    year[:, :, -1, 0] = reads[:, None]
    return replace(white, columns=np.concatenate([white.columns, year], axis=-1))


def _posterior(
    white: White,
    evidence: Evidence,
    priors: Priors,
    assumptions: Assumptions,
    shape: tuple[int, int],
    base_c: Floats,
    noise: Floats,
    floor: Floats,
    log_prior: Floats,
    with_cov: bool,
) -> PosteriorCells:
    """Least squares with a prior in every cell; unknowns shared by all bases are eliminated once."""
    b, pb = shape
    n, s = white.log_det.shape
    gram = white.columns @ np.swapaxes(white.columns, -1, -2)
    nb, pf = b * pb, gram.shape[-1] - b * pb - 1
    fix, rest = np.arange(nb, nb + pf), np.r_[0:nb, nb + pf]
    inv_f = np.linalg.inv(gram[..., fix[:, None], fix] + np.eye(pf))
    k = inv_f @ gram[..., fix[:, None], rest]  # what the shared unknowns take on for each other column
    left = gram[..., rest[:, None], rest] - gram[..., rest[:, None], fix] @ k
    prior = np.concatenate([(priors.slope / priors.slope_sd)[:, None], np.zeros((n, pb - 1))], axis=1)
    rhs = left[..., :nb, -1].reshape(n, s, b, pb) + prior[:, None, None, :]
    v, log_det_v = _block_inverses(left[..., :nb, :nb], b, pb)
    mu = np.einsum("nsbpq,nsbq->nsbp", v, rhs)
    misfit = left[..., -1, -1][..., None] + (prior**2).sum(axis=1)[:, None, None] - (rhs * mu).sum(axis=-1)
    log_det = white.log_det - np.linalg.slogdet(inv_f)[1]
    weight, log_evidence = _weights(log_prior - 0.5 * (log_det[..., None] - log_det_v + misfit))
    to_b, to_f, const = _wanted(white, evidence, priors, assumptions, b, pb, pf)
    reach = to_f @ k
    r = to_b - np.moveaxis(reach[..., :nb].reshape(n, s, QUANTITIES, b, pb), 2, 3)
    mean = (const + reach[..., -1])[:, :, None, :] + np.einsum("nsbqp,nsbp->nsbq", r, mu)
    cov = np.zeros((n, s, b, 0, 0))
    if with_cov:
        shared_cov = to_f @ inv_f @ np.swapaxes(to_f, -1, -2)
        shared_cov[..., 2:5, 2:5] += white.end_cov
        cov = shared_cov[:, :, None] + _squares(r, v)
    pulled = (weight[..., None] * mu).reshape(n, s, nb, 1)
    shared = (weight.sum(axis=2)[..., None] * k[..., -1] - (k[..., :nb] @ pulled)[..., 0]).sum(axis=1)
    meters, first_meter = evidence.meter_rel_sd.shape[1], FIRST_CHANGE + len(evidence.day_change_at)
    others, device = other_devices(evidence), np.zeros((n, evidence.segments))
    device[:, others] = shared[:, first_meter + 2 * meters + evidence.segments :]
    return PosteriorCells(
        weight=weight,
        base_c=base_c,
        noise=noise,
        mean=mean,
        cov=cov,
        floor_kg=floor,
        start_kg=evidence.start_kg + evidence.start_sd_kg * shared[:, 1],
        bias=assumptions.volume_rel_sd * shared[:, 2],
        scale=evidence.meter_rel_sd * shared[:, first_meter : first_meter + 2 * meters : 2],
        device=evidence.device_sd * device,
        steps=np.einsum("nsb,nsbp->np", weight, mu)[:, 1:]
        * (assumptions.change_rel_sd * priors.slope)[:, None],
        log_evidence=log_evidence,
    )


def _squares(r: Floats, v: Floats) -> Floats:
    """Return r·v·r' of every cell."""
    if v.shape[-1] == 1:  # many times quicker than a product of matrices so small
        return np.asarray((r * v) * np.swapaxes(r, -1, -2))
    return np.asarray(np.einsum("nsbqp,nsbpo->nsbqo", r, v) @ np.swapaxes(r, -1, -2))


def _block_inverses(square: Floats, b: int, pb: int) -> tuple[Floats, Floats]:
    """Return the inverses of the diagonal blocks plus the unit prior, and their log determinants."""
    n, s = square.shape[:2]
    if pb == 1:
        v = 1.0 / (np.diagonal(square, axis1=-2, axis2=-1) + 1.0)
        return v[..., None, None], np.asarray(np.log(v))
    blocks = square.reshape(n, s, b, pb, b, pb)
    own = np.moveaxis(np.diagonal(blocks, axis1=2, axis2=4), -1, 2) + np.eye(pb)
    return np.asarray(np.linalg.inv(own)), np.asarray(-np.linalg.slogdet(own)[1])


def _weights(log_weight: Floats) -> tuple[Floats, Floats]:
    top = log_weight.max(axis=(1, 2), keepdims=True)
    weight = np.exp(log_weight - top)
    total = weight.sum(axis=(1, 2), keepdims=True)
    return weight / total, (top + np.log(total))[:, 0, 0] - 0.5 * math.log(2 * math.pi)


def _wanted(
    white: White,
    evidence: Evidence,
    priors: Priors,
    assumptions: Assumptions,
    b: int,
    pb: int,
    pf: int,
) -> tuple[Floats, Floats, Floats]:
    """How what is wanted at the end follows from the unknowns: two matrices and a constant."""
    n, s = white.log_det.shape
    to_b, to_f = np.zeros((n, s, b, QUANTITIES, pb)), np.zeros((n, s, QUANTITIES, pf))
    to_b[..., 0, 0] = priors.slope_sd[:, None, None]
    to_b[..., 0, 1:] = (assumptions.change_rel_sd * priors.slope)[:, None, None, None]
    to_f[..., 1, 0] = priors.day_sd_kg[:, None]
    day_changes = slice(FIRST_CHANGE, FIRST_CHANGE + len(evidence.day_change_at))
    to_f[..., 1, day_changes] = day_change_sd_kg(priors, assumptions)[:, None, None]
    to_f[..., 5, FIRST_CHANGE - 1] = wave_sd_kg(priors, assumptions)[:, None]
    to_b[..., 2:5, :] = np.moveaxis(white.end[..., : b * pb].reshape(n, s, 3, b, pb), 2, 3)
    to_f[..., 2:5, :] = white.end[..., b * pb : b * pb + pf]
    const = np.zeros((n, s, QUANTITIES))
    const[..., 1] = priors.day_kg[:, None]
    const[..., 2:5] = -white.end[..., -1]
    return to_b, to_f, const

"""Turn readings with common errors of use and of deliveries into independent ones of unit variance."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from fuelplan.learning.slow import LASTING_D, Stretch, stretch
from fuelplan.learning.sums import Floats, Ints

STATES = 4
"""W, the errors of use up to now; where the parts of weeks and season stand; and V, errors of deliveries."""


@dataclass(frozen=True)
class Steps:
    """What happens between readings, each of shape (N, n), from the reading before.

    Attributes
    ----------
    noise_kg2
        Variance of use at a day-to-day noise of 1. [kg²]
    loose_kg2
        Extra variance of use (a spell known not to fit). [kg²]
    brought_var_kg2
        Variance of all that has come up to the reading: a sum. [kg²]
    moved_kg
        Use that the parts of weeks and season move, shape (2, N, n). [kg]
    days
        Days since the reading before.
    """

    noise_kg2: Floats
    loose_kg2: Floats
    brought_var_kg2: Floats
    moved_kg: Floats
    days: Floats


@dataclass(frozen=True)
class White:
    """Independent columns, and what is left for the evening at the end.

    Attributes
    ----------
    columns
        Shape (N, S, C, n), unit variance each.
    log_det
        Shape (N, S): log determinant of the readings' covariance.
    end
        Shape (N, S, 3, C): the last entry of each column less its forecast, not divided by its doubt; then
        what the columns say of the parts of weeks and season there, with the other sign. [kg, share, share]
    end_cov
        Shape (N, S, 3, 3): covariance of level and parts when all columns' coefficients are known.
    """

    columns: Floats
    log_det: Floats
    end: Floats
    end_cov: Floats


def whiten(columns: Floats, is_count: Ints, var_kg2: Floats, steps: Steps, noise: Floats) -> White:
    """Filter all columns with the Kalman filter of the four :data:`STATES`.

    Parameters
    ----------
    columns
        Shape (N, C, n), the last entry being the wanted level. [kg]
    is_count
        Shape (N, n): a level sees V − W, a count W.
    var_kg2
        Shape (N, n), own variances of the readings; infinite for what is no reading. [kg²]
    steps
        What happens between them.
    noise
        Shape (S, 3), sizes of the noise: day to day, over weeks, over a season, as shares.
    """
    rows, c, n = columns.shape
    s, counts = len(noise), bool(is_count.any())
    states, came = (STATES, 3) if counts else (STATES - 1, 0)  # where all see V − W one state is both
    mean, p = np.zeros((states, rows, s, c)), np.zeros((states, states, rows, s))
    p[1, 1], p[2, 2] = noise[:, 1] ** 2, noise[:, 2] ** 2
    white, log_det = np.empty((rows, s, c, n)), np.zeros((rows, s))
    brought_step = np.diff(steps.brought_var_kg2, axis=1, prepend=0.0)
    spells = [stretch(steps.days, lasting) for lasting in LASTING_D]
    innovation = np.zeros((rows, s, c))
    for i in range(n):
        _pass(mean, p, steps, i, spells, noise)
        p[0, 0] += steps.noise_kg2[:, i, None] * noise[:, 0] ** 2 + steps.loose_kg2[:, i, None]
        p[came, came] += brought_step[:, i, None]
        if counts:
            h = np.where(is_count[:, i] > 0, 1.0, -1.0)[:, None]
            h_v = np.where(is_count[:, i] > 0, 0.0, 1.0)[:, None]
            ph = p[0] * h + p[3] * h_v
            f = ph[0] * h + ph[3] * h_v + var_kg2[:, i, None]
            innovation = columns[:, None, :, i] - h[..., None] * mean[0] - h_v[..., None] * mean[3]
        else:
            ph = -p[0]
            f = p[0, 0] + var_kg2[:, i, None]
            innovation = columns[:, None, :, i] + mean[0]
        np.multiply(innovation, (1 / np.sqrt(f))[..., None], out=white[..., i])
        if i == n - 1:
            break
        gain = ph / f
        mean += gain[..., None] * innovation
        p -= gain[:, None] * ph[None]
        log_det += np.where(np.isfinite(f), np.log(np.where(np.isfinite(f), f, 1.0)), 0.0)
    seen = np.zeros((3, states))
    seen[[0, 1, 2], [0, 1, 2]] = -1.0, 1.0, 1.0
    seen[0, 3:] = 1.0
    end_cov = np.einsum("ai,ijns,bj->nsab", seen, p, seen)
    return White(white, log_det, np.stack([innovation, -mean[1], -mean[2]], axis=2), end_cov)


def _pass(mean: Floats, p: Floats, steps: Steps, i: int, spells: list[Stretch], noise: Floats) -> None:
    """Let the days up to reading i pass: the parts move the use, and fade; in place."""
    for k, spell in enumerate(spells):
        kg, z = steps.moved_kg[k, :, i, None], 1 + k
        old, keep, size = kg * spell.mean[:, i, None], spell.keep[:, i, None], noise[:, 1 + k] ** 2
        mean[0] += old[..., None] * mean[z]
        mean[z] *= keep[..., None]
        p[0] += old * p[z]
        p[z] *= keep
        p[:, 0] += old * p[:, z]
        p[:, z] *= keep
        p[0, 0] += kg**2 * spell.new_mean[:, i, None] * size
        p[z, z] += spell.new_end[:, i, None] * size
        both = kg * spell.both[:, i, None] * size
        p[0, z] += both
        p[z, 0] += both


def covariance_of_use(steps: Steps, noise: Floats) -> Floats:
    """Return the covariance of W at all readings, shape (N, n, n), for noise sizes of shape (N, 3). [kg²]"""
    own = np.cumsum(steps.noise_kg2 * noise[:, :1] ** 2 + steps.loose_kg2, axis=1)
    out = np.asarray(np.minimum(own[:, :, None], own[:, None, :]))
    until = np.cumsum(steps.days, axis=1)
    n = until.shape[1]
    later = np.arange(n)[:, None] > np.arange(n)[None, :]
    for k, lasting in enumerate(LASTING_D):
        spell = stretch(steps.days, lasting)
        kg = steps.moved_kg[k] * noise[:, 1 + k, None]
        between = np.maximum(until[:, :, None] - steps.days[:, :, None] - until[:, None, :], 0.0)
        apart = np.exp(-between / lasting) * later
        alike = (kg * spell.mean)[:, :, None] * (kg * spell.mean)[:, None, :] * apart
        alike = alike + np.swapaxes(alike, 1, 2)
        alike[:, np.arange(n), np.arange(n)] = kg**2 * (spell.new_mean + spell.mean**2)
        out += np.cumsum(np.cumsum(alike, axis=1), axis=2)
    return out

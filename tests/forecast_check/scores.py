"""Scores that are best when the spread tells the truth: CRPS, pinball loss, interval score."""

from __future__ import annotations

from math import erf, exp, pi, sqrt

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]


def crps_ensemble(draws: ArrayLike, truth: ArrayLike, *, fair: bool = False) -> Floats:
    """Return the continuous ranked probability score of draws, 0 for a sure and right forecast.

    Mean |x − y| − ½·mean |x − x′| over the draws; the fair form divides the second sum by n·(n − 1), as if
    the draws were endless (Gneiting & Raftery 2007; Ferro 2014).

    Parameters
    ----------
    draws
        Shape (..., n).
    truth
        Shape (...).
    fair
        Needs two draws or more.

    Raises
    ------
    ValueError
        If there are too few draws.
    """
    x = np.sort(np.asarray(draws, dtype=np.float64), axis=-1)
    y = np.asarray(truth, dtype=np.float64)
    n = x.shape[-1]
    if n < (2 if fair else 1):
        raise ValueError(f"{n} draws; give at least {2 if fair else 1}")
    distance = np.abs(x - y[..., None]).mean(axis=-1)
    # Σ|xi − xj| over all pairs, from the sorted draws in one pass.
    pairs = 2.0 * (x * (2.0 * np.arange(1, n + 1) - n - 1)).sum(axis=-1)
    return np.asarray(distance - pairs / (2.0 * n * (n - 1 if fair else n)))


def crps_normal(mean: float, sd: float, truth: float) -> float:
    """Return the CRPS of a normal distribution, in closed form (Gneiting et al. 2005)."""
    z = (truth - mean) / sd
    density = exp(-0.5 * z * z) / sqrt(2.0 * pi)
    below = 0.5 * (1.0 + erf(z / sqrt(2.0)))
    return sd * (z * (2.0 * below - 1.0) + 2.0 * density - 1.0 / sqrt(pi))


def pinball(level: ArrayLike, forecast: ArrayLike, truth: ArrayLike) -> Floats:
    """Return the pinball loss of a quantile: level·(y − f) above it, (1 − level)·(f − y) below (Koenker &
    Bassett 1978).

    Parameters
    ----------
    level
        0..1.
    """
    gap = np.asarray(truth, dtype=np.float64) - np.asarray(forecast, dtype=np.float64)
    q = np.asarray(level, dtype=np.float64)
    return np.asarray(np.maximum(q * gap, (q - 1.0) * gap))


def interval_score(low: ArrayLike, high: ArrayLike, alpha: float, truth: ArrayLike) -> Floats:
    """Return the interval score: width + 2/α times what the truth lies outside (Gneiting & Raftery 2007).

    Parameters
    ----------
    alpha
        Share left outside, e.g. 0.2 for an 80 % band.
    """
    a, b, y = (np.asarray(x, dtype=np.float64) for x in (low, high, truth))
    return np.asarray(b - a + 2.0 / alpha * (np.maximum(a - y, 0.0) + np.maximum(y - b, 0.0)))

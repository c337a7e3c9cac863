"""Degree-days of many winters for many base temperatures at once, and their running sums."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from fuelplan.weather.degree_days.daily import Floats, _floats

_BLOCK = 16_384
"""Elements worked on at a time: 128 kB, so that the second step finds the first one's result in the cache."""


def degree_days_many(mean_c: ArrayLike, bases_c: ArrayLike, *, out: Floats | None = None) -> Floats:
    """Heating degree-days of every path and day for every base temperature, from the daily mean.

    Parameters
    ----------
    mean_c
        Daily means, shape (paths, days); NaN where missing. [degC]
    bases_c
        Base temperatures, shape (k,). [degC]
    out
        Array of the shape (k, paths, days) to write into, to spare its making on repeated calls; C-ordered
        float64.

    Returns
    -------
    array
        Shape (k, paths, days); NaN where the mean is. [K d]

    Raises
    ------
    ValueError
        When the shapes do not fit.
    """
    mean = np.ascontiguousarray(_floats(mean_c))
    bases = _floats(bases_c)
    if mean.ndim != 2 or bases.ndim != 1:
        raise ValueError(
            f"means of (paths, days) and bases of (k,) are needed, not {mean.shape} and {bases.shape}"
        )
    shape = (len(bases), *mean.shape)
    if out is None:
        out = np.empty(shape)
    elif out.shape != shape or out.dtype != np.float64 or not out.flags.c_contiguous:
        raise ValueError(
            f"out must be a C-ordered float64 array of the shape {shape}, not {out.dtype} {out.shape}"
        )
    flat = mean.reshape(-1)
    rows = out.reshape(len(bases), -1)
    for start in range(0, flat.size, _BLOCK):
        part = flat[start : start + _BLOCK]
        for base, row in zip(bases, rows, strict=True):
            target = row[start : start + _BLOCK]
            np.subtract(base, part, out=target)
            np.maximum(target, 0.0, out=target)
    return out


def running_sums(daily: ArrayLike, *, out: Floats | None = None) -> Floats:
    """Degree-days from the first day up to and including each day, along the last axis.

    Parameters
    ----------
    daily
        Shape (..., days). [K d]
    out
        Array of the same shape to write into; may be `daily` itself.

    Returns
    -------
    array
        Shape (..., days); NaN from the first missing day on, since the sum is not known there. [K d]
    """
    return np.cumsum(_floats(daily), axis=-1, out=out)

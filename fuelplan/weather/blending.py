"""Several stations blended into the weather of a place: inverse distance, corrected for height, steady over
outages."""

from __future__ import annotations

import numpy as np

from fuelplan.weather.record import Floats

LAPSE_K_PER_M = 0.0065
"""Fall of temperature with height (International Standard Atmosphere, 6.5 K per km). In a valley with cold
air below
warm the truth is less: a station at one's own height is worth more than any correction. [K/m]"""

NEAREST_KM = 1.0
"""A station nearer than this counts as being this far away, so that its weight stays finite. [km]"""

LEAST_COMMON = 60


def inverse_distance_weights(distance_km: Floats, power: float = 2.0) -> Floats:
    """Return weights that fall with the square of the distance and add up to 1, shape (stations,). [-]"""
    weight = np.maximum(np.asarray(distance_km, dtype=np.float64), NEAREST_KM) ** -power
    return np.asarray(weight / weight.sum())


def height_correction_c(station_m: Floats, place_m: float | None) -> Floats:
    """Return what to add to each station's temperature, 0 where a height is not known, shape (stations,).
    [K]"""
    station = np.asarray(station_m, dtype=np.float64)
    if place_m is None:
        return np.zeros(len(station))
    return np.asarray(np.nan_to_num((station - place_m) * LAPSE_K_PER_M, nan=0.0))


def blend(values: Floats, weights: Floats, add: Floats | None = None, *, steady: bool = True) -> Floats:
    """Return the weighted mean of the stations that have a value at each time, NaN where none has, shape
    (n,).

    Where one station fails the others would shift the level by their own lasting difference. With `steady`
    each station's mean departure from the blend, taken where all are there, is allowed for when some are
    missing; where all are there the result is the plain weighted mean.

    Parameters
    ----------
    values
        Shape (stations, n), NaN where not known.
    weights
        Shape (stations,).
    add
        Added to each station first, e.g. :func:`height_correction_c`; shape (stations,).
    """
    shift = np.zeros(len(weights)) if add is None else np.asarray(add, dtype=np.float64)
    total, present = np.zeros(values.shape[1]), np.zeros(values.shape[1])
    known = np.isfinite(values)
    all_known = known.all(axis=0)
    # Station by station, not as a matrix product: a day's value must not depend on how many days there are.
    for value, here, weight, lift in zip(values, known, weights, shift, strict=True):
        total += np.where(here, weight * (value + lift), 0.0)
        present += np.where(here, weight, 0.0)
    level = np.divide(total, present, out=np.full(len(total), np.nan), where=present > 0)
    if not steady or all_known.all() or all_known.sum() < LEAST_COMMON:
        return np.asarray(level)
    correction = np.zeros(len(level))
    for value, here, weight, lift in zip(values, known, weights, shift, strict=True):
        lasting = float(np.mean(value[all_known] + lift - level[all_known]))
        correction += np.where(here & ~all_known, weight * lasting, 0.0)
    return np.asarray(level - np.divide(correction, present, out=np.zeros(len(level)), where=present > 0))

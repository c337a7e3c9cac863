"""Distances as the crow flies, on a sphere."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]
Floats32 = NDArray[np.float32]
Ints = NDArray[np.int64]

# Mean radius of the earth, (2a + b) / 3 of the WGS 84 ellipsoid. [km]
EARTH_RADIUS_KM = 6371.0088

# 2,000 rows against 10,000 columns take 160 MB; a block of rows keeps below that.
_BLOCK_CELLS = 8_000_000


def checked_places(lat: ArrayLike, lon: ArrayLike) -> tuple[Floats, Floats]:
    """Return latitudes and longitudes as float arrays of one shape.

    Raises
    ------
    ValueError
        Where shapes differ or a value is no place on earth; the message names the first wrong row.
    """
    a = np.asarray(lat, dtype=np.float64)
    b = np.asarray(lon, dtype=np.float64)
    if a.shape != b.shape:
        raise ValueError(f"there are {a.size} latitudes and {b.size} longitudes; give one of each per place")
    wrong = ~((np.abs(a) <= 90.0) & (np.abs(b) <= 180.0))  # also true for nan
    if wrong.any():
        i = int(np.flatnonzero(wrong.ravel())[0])
        raise ValueError(
            f"place {i}: latitude {a.ravel()[i]}, longitude {b.ravel()[i]} is not a valid place on earth; "
            "give degrees north from -90 to 90 and degrees east from -180 to 180"
        )
    return a, b


def great_circle_km(lat1: ArrayLike, lon1: ArrayLike, lat2: ArrayLike, lon2: ArrayLike) -> Floats:
    """Return the great-circle distance, element by element. [km]

    Arguments are degrees north and east; shapes are broadcast. The haversine formula, which keeps its digits
    for places close together (Sinnott, Sky and Telescope 68, 1984; formula from memory).
    """
    a, b = np.radians(np.asarray(lat1, float)), np.radians(np.asarray(lat2, float))
    half_lat = np.sin((b - a) / 2.0)
    half_lon = np.sin(np.radians(np.asarray(lon2, float) - np.asarray(lon1, float)) / 2.0)
    h = half_lat**2 + np.cos(a) * np.cos(b) * half_lon**2
    result: Floats = 2.0 * EARTH_RADIUS_KM * np.arcsin(np.sqrt(np.clip(h, 0.0, 1.0)))
    return result


def great_circle_table_km(lat_a: Floats, lon_a: Floats, lat_b: Floats, lon_b: Floats) -> Floats32:
    """Return the distances of every place a to every place b, shape (len(a), len(b)). [km]

    Works block by block, so that only the result itself must fit into memory.
    """
    a, b = checked_places(lat_a, lon_a)
    c, d = checked_places(lat_b, lon_b)
    out = np.empty((len(a), len(c)), dtype=np.float32)
    rows = max(1, _BLOCK_CELLS // max(1, len(c)))
    for first in range(0, len(a), rows):
        part = slice(first, first + rows)
        out[part] = great_circle_km(a[part, None], b[part, None], c[None, :], d[None, :])
    return out

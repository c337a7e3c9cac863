"""What is believed of a customer before its own books: from its yearly use, or from similar customers."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from datetime import date

import numpy as np
from numpy.typing import NDArray

from fuelplan.heat.building import LEAST_DEGREE_DAYS
from fuelplan.learning import FEWEST, CustomerBooks, Prior, Priors, learn_many, prior_from_similar
from fuelplan.weather import LAPSE_K_PER_M

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

BASE_C, BASE_SD_C = 15.0, 1.8
"""Base temperature of a house nothing is known about, and its doubt (our assumption). [degC, K]"""

HOT_WATER_SHARE, DAY_REL_SD, DAY_REL_SD_UNSAID = 0.15, 0.4, 0.6
"""Share of a year's fuel for hot water where nobody says it, and doubts of that part (our assumptions)."""

YEAR_REL_SD = 0.15
"""Doubt of the yearly use that a customer states (our assumption)."""

PARTED_REL_SD = 0.5
"""Doubt of heating a degree-day where a yearly use ties it to base and daily part: wide (our assumption)."""

STORE_YEARS, STORE_REL_SD = 1.0, 0.5
"""Where nothing else is known: years that a store lasts, and the doubt (common practice: about a year)."""

SIMILAR = 400
"""Customers at the most that others borrow from."""

LEAST_DELIVERIES = 2


@dataclass(frozen=True)
class StatedUse:
    """What N customers say of themselves, and where they lie, each array of shape (N,).

    Attributes
    ----------
    area
        Weather area of each.
    store_kg
        What the store holds. [kg]
    kg_per_year, hot_water_share
        Use of a usual year, and the share of it for hot water; NaN where nothing is said. [kg, share]
    base_shift_c
        By what the base temperature against the area's record is higher; see :func:`base_shift_c`. [K]
    """

    area: NDArray[np.int64]
    store_kg: Floats
    kg_per_year: Floats
    hot_water_share: Floats
    base_shift_c: Floats


def base_shift_c(elevation_m: Floats, record_elevation_m: Floats) -> Floats:
    """Return what the base temperature against the area's record is higher by, 0 where a height is unknown.

    A house h metres above the height of the record is colder by h · 0.0065 K, and heats as a house there
    would with a base higher by as much.

    Parameters
    ----------
    elevation_m, record_elevation_m
        Shape (N,), of each house and of the record of its area; NaN where unknown. [m]

    Returns
    -------
    Floats
        Shape (N,). [K]
    """
    return np.asarray(np.nan_to_num((elevation_m - record_elevation_m) * LAPSE_K_PER_M, nan=0.0))


def priors_of(said: StatedUse, first_day: date, mean_c: Floats, books: CustomerBooks, as_of: date) -> Priors:
    """Return the priors of all customers, with base temperatures as the weather of their area has them.

    Parameters
    ----------
    mean_c
        Shape (areas, days), daily means from `first_day` to `as_of`. [degC]
    books
        What the customers have told, and what came; who states no yearly use borrows from those with books.
    """
    shift, told = said.base_shift_c, np.isfinite(said.hot_water_share)
    share = np.where(told, said.hot_water_share, HOT_WATER_SHARE)
    day_rel = np.where(told, DAY_REL_SD, DAY_REL_SD_UNSAID)
    stated = np.isfinite(said.kg_per_year)
    year = np.where(stated, said.kg_per_year, STORE_YEARS * said.store_kg)
    rel = np.where(stated, YEAR_REL_SD, STORE_REL_SD)
    degree_days = _yearly_degree_days(mean_c, said.area, BASE_C + shift)
    slope = _slope(share, year, degree_days)
    daily = (year - slope * degree_days) / 365.25
    priors = Priors(
        slope=slope,
        slope_sd=np.maximum(PARTED_REL_SD, rel) * slope,
        day_kg=daily,
        day_sd_kg=np.maximum(np.hypot(day_rel, rel) * daily, 0.25 * slope),
        base_c=BASE_C + shift,
        base_sd_c=np.full(len(shift), BASE_SD_C),
        year_rel_sd=rel,
    )
    borrowed = _with_borrowed(priors, ~stated, shift, first_day, mean_c, books, as_of)
    return _split_as_stated(borrowed, ~stated & told, share, degree_days)


def _slope(share: Floats, year: Floats, degree_days: Floats) -> Floats:
    """Return what a year's heating burns for each degree-day; with hardly a cold day, as in the tropics, what
    it would with :data:`LEAST_DEGREE_DAYS`: the rest is burned every day alike. [kg/(K d)]
    """
    heating = (1 - share) * year / np.maximum(degree_days, LEAST_DEGREE_DAYS)
    slope: Floats = np.maximum(heating, 1e-3 * year / 365.25)
    return slope


def _split_as_stated(priors: Priors, which: Bools, share: Floats, degree_days: Floats) -> Priors:
    """Return the priors, the borrowed year of some parted by the hot-water share that they state."""
    year = priors.slope * degree_days + 365.25 * priors.day_kg
    slope = np.where(which, _slope(share, year, degree_days), priors.slope)
    day = np.where(which, (year - slope * degree_days) / 365.25, priors.day_kg)
    return replace(
        priors,
        slope=slope,
        slope_sd=np.where(which, priors.slope_sd * slope / priors.slope, priors.slope_sd),
        day_kg=day,
        day_sd_kg=np.where(which, np.maximum(DAY_REL_SD * day, 0.25 * slope), priors.day_sd_kg),
    )


def _yearly_degree_days(mean_c: Floats, area: NDArray[np.int64], base_c: Floats) -> Floats:
    """Return degree-days of a mean year at each base temperature, at least one. [K·d]"""
    whole = mean_c[:, -(mean_c.shape[1] // 365 * 365) or None :]
    grid = np.arange(math.floor(base_c.min()), math.ceil(base_c.max()) + 1.0)
    table = np.maximum(0.0, grid[None, :, None] - whole[:, None, :]).mean(axis=2) * 365.25
    out = np.empty(len(base_c))
    for a in range(len(mean_c)):
        mine = area == a
        out[mine] = np.interp(base_c[mine], grid, table[a])
    return np.maximum(out, 1.0)


def _with_borrowed(
    priors: Priors,
    unknown: Bools,
    shift: Floats,
    first_day: date,
    mean_c: Floats,
    books: CustomerBooks,
    as_of: date,
) -> Priors:
    """Return the priors, those of customers without a yearly use borrowed from ones with stores alike.

    Slope and daily part are taken to go with the size of the store.
    """
    known = ~unknown & ((books.delivery_day >= 0).sum(axis=1) >= LEAST_DELIVERIES)
    pool = np.flatnonzero(known)
    if not unknown.any() or len(pool) < FEWEST:
        return priors
    pool = pool[np.linspace(0, len(pool) - 1, min(SIMILAR, len(pool))).astype(int)]
    own = Priors(*(getattr(priors, name)[pool] for name in vars(priors)))
    many = learn_many(own, first_day, mean_c, books.rows(pool), as_of)
    mean = many.mean.copy()
    mean[:, 2] -= shift[pool]
    beforehand = _one_by_one(own, shift[pool])
    store = books.capacity_kg
    typical = float(np.median(store[pool]))
    one = prior_from_similar(mean, many.sd, store[pool], typical, beforehand)
    size = store / typical
    return Priors(
        slope=np.where(unknown, one.kg_per_degree_day * size, priors.slope),
        slope_sd=np.where(unknown, one.sd_slope * size, priors.slope_sd),
        day_kg=np.where(unknown, one.kg_per_day * size, priors.day_kg),
        day_sd_kg=np.where(unknown, one.sd_day_kg * size, priors.day_sd_kg),
        base_c=np.where(unknown, one.base_c + shift, priors.base_c),
        base_sd_c=np.where(unknown, one.base_sd_c, priors.base_sd_c),
        year_rel_sd=np.where(unknown, np.inf, priors.year_rel_sd),
    )


def _one_by_one(priors: Priors, shift: Floats) -> tuple[Prior, ...]:
    """Return priors as single ones, with base temperatures at each customer's own height.

    What a customer states of its own year is not taken out: it tells others something.
    """
    return tuple(
        Prior(slope, day_kg, base_c, slope_sd / slope, min(2.0, day_sd / max(day_kg, 1e-9)), base_sd)
        for slope, slope_sd, day_kg, day_sd, base_c, base_sd in zip(
            priors.slope,
            priors.slope_sd,
            priors.day_kg,
            priors.day_sd_kg,
            priors.base_c - shift,
            priors.base_sd_c,
            strict=True,
        )
    )

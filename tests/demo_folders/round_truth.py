"""What the customers of the round really burn, day by day; the supplier does not know it.

The truth is meant to be harder than the model that learns it: each house has weather of its own, wind and sun
move a whole area together, use drifts, households change, people go away, a school stands cold at week-ends
and a hotel has seasons.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from functools import cache

import numpy as np

from fuelplan.weather.valley import LAPSE_K_PER_M, valley_days
from tests.demo_folders.folders import FIRST_DAY, LAST_DAY, VALLEY_SEED, Floats
from tests.demo_folders.round_places import AREA_ELEVATION_M, Area, Told

SEED = 77
DAYS = (LAST_DAY - FIRST_DAY).days + 1
AREA_SEED: dict[Area, int] = {"valley": 1, "north": 2, "south": 3}
# winter cold pool of a side valley, and how much its days differ from the main valley's [K]
AREA_COLD_C: dict[Area, float] = {"valley": 0.0, "north": -0.6, "south": -1.2}
AREA_OWN_C: dict[Area, float] = {"valley": 0.3, "north": 0.8, "south": 0.9}

# customer number: (from when, factor on heating, factor on the daily part, why)
CHANGES: dict[int, tuple[date, float, float, str]] = {
    8: (date(2023, 8, 1), 0.74, 1.0, "new windows and a warm roof"),
    19: (date(2024, 3, 1), 1.0, 1.9, "two more children"),
    37: (date(2024, 10, 1), 1.30, 1.2, "an annex is heated, too"),
    55: (date(2022, 6, 1), 0.85, 1.0, "a stove beside"),
    64: (date(2025, 12, 5), 1.825, 1.0, "the other boiler broke"),
    81: (date(2025, 9, 1), 0.70, 0.5, "a heat pump for mild days"),
    95: (date(2025, 10, 10), 1.22, 1.3, "a new tenant"),
    111: (date(2023, 1, 1), 0.80, 0.6, "the children left"),
}


@dataclass(frozen=True)
class Truth:
    """One customer's true signature. [kg/K/d, kg/d, degC, K, shares]"""

    kg_per_degree_day: float
    kg_per_day: float
    base_c: float
    own_c: float
    day_noise: float
    drift_per_year: float
    away_days: float


def area_mean_c(area: Area) -> Floats:
    """Return the daily means at the area's weather station, 0.1 K, shape (DAYS,). [degC]"""
    return np.asarray(np.round(_area_exact_c(area), 1))


@cache
def _area_exact_c(area: Area) -> Floats:
    base = valley_days(FIRST_DAY, LAST_DAY, seed=VALLEY_SEED, elevation_m=AREA_ELEVATION_M[area]).mean_c
    rng = np.random.default_rng([SEED, AREA_SEED[area]])
    return np.asarray(base + AREA_COLD_C[area] * _winter() + AREA_OWN_C[area] * _rough(DAYS, 0.8, rng))


@cache
def _area_mood(area: Area) -> Floats:
    """Wind and sun that a mean temperature does not tell, shared by all of an area, unit variance."""
    return _rough(DAYS, 0.6, np.random.default_rng([SEED, 10 + AREA_SEED[area]]))


@cache
def _winter() -> Floats:
    """Return 1 in mid winter, 0 in mid summer, shape (DAYS,)."""
    ordinal = np.array([(FIRST_DAY + timedelta(days=i)).timetuple().tm_yday for i in range(DAYS)], float)
    return np.asarray(0.5 * (1 + np.cos(2 * np.pi * (ordinal - 18.0) / 365.25)))


def _rough(days: int, keep: float, rng: np.random.Generator) -> Floats:
    """A first-order autoregression of unit variance."""
    noise = rng.standard_normal(days) * np.sqrt(1 - keep**2)
    out, value = np.empty(days), 0.0
    for i in range(days):
        value = keep * value + noise[i]
        out[i] = value
    return out


@cache
def truth_of(customer: Told) -> Truth:
    """Return the true signature: what burns about `year_kg` in a usual year of the customer's own weather."""
    rng = np.random.default_rng([SEED, 1000, customer.number])
    base_c = float(rng.normal(15.2, 1.2))
    own_c = float(rng.normal(0.0, 0.5))
    degree_days = np.maximum(0.0, base_c - _own_c(customer, own_c)).sum() / DAYS * 365.25
    daily = customer.hot_water_share * float(rng.uniform(0.7, 1.35)) * customer.year_kg / 365.25
    heating = customer.year_kg * float(rng.lognormal(0.0, 0.12)) - 365.25 * daily
    drift = float(rng.choice([0.0, 0.0, 0.0, 1.0]) * rng.choice([-1, 1]) * rng.uniform(0.01, 0.025))
    return Truth(
        kg_per_degree_day=heating / float(degree_days),
        kg_per_day=daily,
        base_c=base_c,
        own_c=own_c,
        day_noise=float(rng.uniform(0.10, 0.26)),
        drift_per_year=drift,
        away_days=float(rng.choice([0, 0, 7, 12])) if customer.kind == "house" else 0.0,
    )


def _own_c(customer: Told, own_c: float) -> Floats:
    lift = customer.elevation_m - AREA_ELEVATION_M[customer.area]
    return _area_exact_c(customer.area) + own_c - LAPSE_K_PER_M * lift


def true_use_kg(customer: Told, first_day: date, last_day: date) -> Floats:
    """Return what a customer burns on each day from `first_day` to `last_day`, both included. [kg]

    The same day always gives the same use, whatever span is asked for.
    """
    if not FIRST_DAY <= first_day <= last_day <= LAST_DAY:
        raise ValueError(f"{first_day} to {last_day}: the valley's weather runs {FIRST_DAY} to {LAST_DAY}")
    a, b = (first_day - FIRST_DAY).days, (last_day - FIRST_DAY).days + 1
    return _all_use_kg(customer)[a:b].copy()


@cache
def _all_use_kg(customer: Told) -> Floats:
    truth = truth_of(customer)
    rng = np.random.default_rng([SEED, 2000, customer.number])
    mood = np.repeat(rng.standard_normal(DAYS // 14 + 1), 14)[:DAYS]  # habits change by the fortnight
    noise = truth.day_noise * (0.75 * rng.standard_normal(DAYS) + 0.45 * mood)
    factor = np.maximum(0.0, 1 + noise + 0.05 * _area_mood(customer.area))
    day = np.arange(DAYS)
    years = (day - (date(2024, 1, 1) - FIRST_DAY).days) / 365.25
    factor = factor * np.clip(1 + truth.drift_per_year * years, 0.85, 1.15)
    heating, daily = _habit(customer, rng)
    if customer.number in CHANGES:
        since, of_heating, of_daily, _ = CHANGES[customer.number]
        after = day >= (since - FIRST_DAY).days
        heating, daily = np.where(after, of_heating, 1.0) * heating, np.where(after, of_daily, 1.0) * daily
    degree_days = np.maximum(0.0, truth.base_c - _own_c(customer, truth.own_c))
    use = truth.kg_per_degree_day * degree_days * heating * factor
    return np.asarray(use + truth.kg_per_day * daily * rng.uniform(0.6, 1.4, DAYS))


def _habit(customer: Told, rng: np.random.Generator) -> tuple[Floats, Floats]:
    """Return factors on heating and on the daily part for calendar and absences, each of shape (DAYS,)."""
    dates = [FIRST_DAY + timedelta(days=i) for i in range(DAYS)]
    heating, daily = np.ones(DAYS), np.ones(DAYS)
    if customer.kind == "school":
        closed = np.array([d.weekday() >= 5 or (d.month, d.day) >= (12, 24) or d.month == 8 for d in dates])
        return np.where(closed, 0.55, 1.18), np.where(closed, 0.1, 1.4)
    if customer.kind == "hotel":
        season = np.array([(d.month, d.day) >= (12, 20) or d.month in (1, 2, 3, 7, 8) for d in dates])
        return np.where(season, 1.1, 0.75), np.where(season, 1.4, 0.5)
    away = int(truth_of(customer).away_days)
    for year in range(FIRST_DAY.year, LAST_DAY.year + 1):
        month, day = int(rng.choice([2, 3, 8, 11])), int(rng.integers(1, 20))
        begin = (date(year, month, day) - FIRST_DAY).days
        span = slice(max(0, begin), max(0, begin + away))
        heating[span], daily[span] = 0.45, 0.1
    return heating, daily


def weather_rows(area: Area) -> Sequence[str]:
    """Return the lines of an area's weather file."""
    mean_c = area_mean_c(area)
    rows = [f"{FIRST_DAY + timedelta(days=i)},{mean_c[i]:.1f}" for i in range(DAYS)]
    return ["date,mean_c", *rows]

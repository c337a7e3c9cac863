"""Invented buildings with a known truth: what the learning is tried on."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

import numpy as np
from numpy.typing import NDArray

from fuelplan.learning import Assumptions, filling
from fuelplan.learning.bulk import CustomerBooks, ManyPosteriors
from fuelplan.learning.columns import NOISE_FLOOR
from fuelplan.learning.evidence import START_SHARE_SD
from fuelplan.learning.slow import LASTING_D, fade
from fuelplan.learning.state import Priors
from fuelplan.learning.sums import yearly_wave
from fuelplan.weather.record import DailyWeather, Origin, Source

Floats = NDArray[np.float64]

FIRST_DAY = date(2020, 7, 1)
YEARS_DAYS = 3 * 365


def temperatures(days: int, stations: int, seed: int) -> Floats:
    """Invented daily means with weather that lasts some days, shape (stations, days)."""
    rng = np.random.default_rng(seed)
    t = np.arange(days)
    lasting = np.zeros((stations, days))
    step = rng.standard_normal((stations, days)) * 2.3
    for i in range(1, days):
        lasting[:, i] = 0.8 * lasting[:, i - 1] + step[:, i]
    usual = rng.uniform(7, 10, stations)[:, None] + 9.5 * np.cos(2 * np.pi * (t - 20) / 365.25)[None, :]
    return usual + lasting


def weather_of(mean_c: Floats, first_day: date = FIRST_DAY) -> DailyWeather:
    """A record of invented daily means, shape (days,)."""
    none, zero = np.full(len(mean_c), np.nan), np.zeros(len(mean_c), dtype=np.uint8)
    origin = np.full(len(mean_c), Origin.INVENTED, dtype=np.uint8)
    return DailyWeather(first_day, mean_c, none, none, none, origin, zero, (Source("invented"),))


@dataclass(frozen=True)
class World:
    """Sites with their truth."""

    mean_c: Floats
    priors: Priors
    customers: CustomerBooks
    slope: Floats
    day_kg: Floats
    base_c: Floats
    noise: Floats
    level_kg: Floats  # (sites, days), evenings
    use_kg: Floats  # (sites, days)
    year_kg: Floats  # what the last 365 days ask for, without day-to-day noise


def invent(
    sites: int,
    readings: int,
    seed: int,
    *,
    kind: str = "as assumed",
    days: int = YEARS_DAYS,
    assumptions: Assumptions | None = None,
) -> World:
    """Draw sites from the model's own prior, let them burn, order and be read.

    `kind` breaks the model's assumptions: "wrong density" (all volumes 12 % off), "drifting counter" (read by
    a counter whose scale grows by 10 % a year), "hotter room at week-ends" (2 K more on two days of seven),
    "orders at one mark" (every delivery at the same level, up to the same level).
    """
    a = assumptions or Assumptions()
    rng = np.random.default_rng(seed)
    mean_c = temperatures(days, 5, seed + 1)
    station = rng.integers(0, 5, sites)
    slope0, day0, base0 = rng.uniform(1, 3, sites), rng.uniform(2, 6, sites), rng.uniform(13, 17, sites)
    priors = Priors(
        slope0, 0.3 * slope0, day0, np.maximum(0.5 * day0, 0.25 * slope0), base0, np.full(sites, 1.5)
    )
    slope = _above_zero(rng, slope0, priors.slope_sd)
    day_kg = _above_zero(rng, day0, priors.day_sd_kg)
    base_c = base0 + 1.5 * rng.standard_normal(sites)
    sizes = a.noises[rng.choice(len(a.noise), size=sites, p=np.array(a.noise_weight) / sum(a.noise_weight))]
    noise = sizes[:, 0]
    need = slope[:, None] * np.maximum(0, base_c[:, None] - mean_c[station]) + day_kg[:, None]
    wave = a.water_season_sd * day0 * rng.standard_normal(sites)
    need = need + wave[:, None] * yearly_wave(np.datetime64(FIRST_DAY) + np.arange(days))
    if kind == "hotter room at week-ends":
        weekend = (np.arange(days) % 7 < 2)[None, :]
        warm = slope[:, None] * np.maximum(0, base_c[:, None] + 2 - mean_c[station]) + day_kg[:, None]
        need = np.where(weekend, warm, need)
    floor = NOISE_FLOOR * (slope0 * np.maximum(0, base0[:, None] - mean_c[station]).mean(axis=1) + day0)
    weeks, season = (
        fade(sd * rng.standard_normal(sites), sd, rng.standard_normal(need.shape), lasting)
        for sd, lasting in zip(sizes[:, 1:].T, LASTING_D, strict=True)
    )
    own = noise[:, None] * np.hypot(need, floor[:, None]) * rng.standard_normal(need.shape)
    use = np.maximum(0.0, need * (1 + weeks + season) + floor[:, None] * weeks + own)
    year0 = 365.25 * (slope0 * np.maximum(0, base0[:, None] - mean_c[station]).mean(axis=1) + day0)
    capacity = rng.uniform(0.6, 1.2, sites) * year0
    bias = a.volume_rel_sd * rng.standard_normal(sites) if kind != "wrong density" else np.full(sites, -0.12)
    zero = a.offset_share_sd * rng.standard_normal(sites) * capacity
    full = (capacity - zero) / (1 + bias)
    level, came = _burn_and_order(rng, use, capacity, full, kind == "orders at one mark")
    day = np.sort(np.argsort(rng.random((sites, days)), axis=1)[:, :readings], axis=1)
    true_kg = np.take_along_axis(level, day, axis=1)
    sd = np.repeat(0.1 * capacity[:, None], readings, axis=1)
    read = true_kg * (1 + bias[:, None]) + zero[:, None] + sd * rng.standard_normal(true_kg.shape)
    counted = np.zeros(day.shape, dtype=bool)
    if kind == "drifting counter":
        scale = 1 + 0.1 * rng.standard_normal(sites)[:, None] + 0.10 * np.arange(days)[None, :] / 365
        counted[:] = True
        counted[:, 0] = False  # one look at the store, the rest from the counter
        shown = np.take_along_axis(np.cumsum(use * scale, axis=1), day, axis=1)
        read, sd = np.where(counted, shown, read), np.where(counted, 3.0, sd)
    ticket_sd = 0.01 * came
    most = int((came > 0).sum(axis=1).max(initial=1))
    order = np.argsort(came <= 0, axis=1, kind="stable")[:, :most]
    amount = np.take_along_axis(came, order, axis=1)
    ticket = amount + 0.01 * amount * rng.standard_normal(amount.shape)
    customers = CustomerBooks(
        station,
        capacity,
        day,
        read,
        sd,
        ~counted,
        counted,
        np.zeros(day.shape, np.int8),
        np.where(amount > 0, order, -1),
        np.where(amount > 0, ticket, 0.0),
        np.take_along_axis(ticket_sd, order, axis=1),
        np.zeros(amount.shape, dtype=bool),
    )
    return World(
        mean_c, priors, customers, slope, day_kg, base_c, noise, level, use, need[:, -365:].sum(axis=1)
    )


def _above_zero(rng: np.random.Generator, mean: Floats, sd: Floats) -> Floats:
    out = mean + sd * rng.standard_normal(len(mean))
    while (out < 0).any():
        out = np.where(out < 0, mean + sd * rng.standard_normal(len(mean)), out)
    return out


def _burn_and_order(
    rng: np.random.Generator, use: Floats, capacity: Floats, full: Floats, one_mark: bool
) -> tuple[Floats, Floats]:
    """Levels on evenings and deliveries.

    The lorry comes at levels about a mark of the house, and fills the store, brings the house's usual amount
    or some part of what fits, as often as the model has each beforehand; with `one_mark` everybody orders at
    his own mark and fills up to the same height.
    """
    sites, days = use.shape
    level, came = np.zeros(use.shape), np.zeros(use.shape)
    now = capacity * np.clip(0.5 + START_SHARE_SD * rng.standard_normal(sites), 0.05, 1.0)
    order_at = capacity * rng.uniform(0.08, 0.25, sites)
    habit = rng.choice(len(filling.HABITS), sites, p=filling.HABIT_CHANCE)
    usual, own, mark = rng.uniform(0.2, 0.7, sites) * capacity, rng.standard_normal(sites), None
    for t in range(days):
        draw = filling.USUAL + filling.USUAL_SD * (
            filling.SHARED * own + filling.WITHIN * rng.standard_normal(sites)
        )
        draw = capacity * np.where(rng.random(sites) < filling.ANY, rng.uniform(0, 1, sites), draw)
        mark = np.maximum(draw, 0.04 * capacity) if mark is None else mark
        due = now < (order_at if one_mark else mark)
        top = full * (1 - filling.TOP_GAP + filling.TOP_SD * rng.standard_normal(sites)) - now
        part = rng.uniform(0.3, 1.0, sites) * (capacity - now)
        fixed = usual * (1 + filling.ALIKE_SD * rng.standard_normal(sites))
        is_fixed = (habit == 1) | ((habit == 3) & (rng.random(sites) < 0.5))
        less = np.minimum(np.where(is_fixed, fixed, part), top)
        amount = np.where(rng.random(sites) < np.asarray(filling.TOP_CHANCE)[habit], top, less)
        amount = 0.9 * capacity - now if one_mark else amount
        came[:, t] = np.where(due & (amount > 0.05 * capacity), amount, 0.0)
        mark = np.where(due, np.maximum(draw, 0.04 * capacity), mark)
        now = now + came[:, t] - use[:, t]
        level[:, t] = now
    return level, came


def coverage(world: World, many: ManyPosteriors, draws: int, seed: int) -> tuple[float, float, float]:
    """Shares of sites whose true yearly use, slope and level lie inside the posterior's 80 % intervals."""
    rng = np.random.default_rng(seed)
    sums = many.sums
    inside = []
    for begin in range(0, len(world.customers), 250):
        rows = np.arange(begin, min(begin + 250, len(world.customers)))
        d = many.draw(rows, draws, rng)
        station = world.customers.station[rows][:, None]
        base = sums.index_of_base(d.base_c)
        table = sums.degree_days[..., -1] - sums.degree_days[..., -1 - 2 * 365]
        year = d.kg_per_degree_day * table[station, base] + 365 * d.kg_per_day
        for value, true in (
            (year, world.year_kg[rows]),
            (d.kg_per_degree_day, world.slope[rows]),
            (d.level_kg, world.level_kg[rows, -1]),
        ):
            low, high = np.quantile(value, [0.1, 0.9], axis=1)
            inside.append((true >= low) & (true <= high))
    return tuple(float(np.concatenate(inside[i::3]).mean()) for i in range(3))  # type: ignore[return-value]

"""What logs take of each day's heat, learned by running past years, and laid over every draw.

It hangs on the day's temperature and on whether it is a week-end. Both are learned from running boiler,
buffer and house hour by hour, and then laid over every draw: a modelling choice that keeps thousands of
winters in hand.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date

import numpy as np
from numpy.typing import NDArray

from fuelplan.heat.boiler import seasonal_efficiency
from fuelplan.heat.building import HeatNeed, months_of
from fuelplan.store.log_heating.plant import LoadingRule, LogPelletBoiler, spread_over_day
from fuelplan.store.log_heating.run import run
from fuelplan.store.log_heating.value import LoadingValue, value_of_loading

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Dates = NDArray[np.datetime64]

YEARS = 5  # past years run hour by hour
BIN_K = 2.0
BINS_FROM_C, BINS_TO_C = -24.0, 28.0
POOLED_DAYS = 6.0  # days of the like that a rare day's share is drawn towards (our choice)
AMOUNT_SD = (
    0.10  # doubt of a counted stack, as a share (printed tables of a stacked metre differ by 15 % either way)
)
HABIT_SD = 0.15  # how far a person's loading differs from the rule, as a share (our assumption)
P90 = 1.2816  # standard deviations of a normal distribution from its middle to its 90 % point
MOST_FACTOR = 2.5  # nobody loads more than this many times the rule (our assumption)


@dataclass(frozen=True)
class Habit:
    """How a person loads against the rule, and what the house is if it is so.

    Attributes
    ----------
    mean, sd
        Factor on the rule's share of the heat, and its doubt. [-]
    factors, house
        Factors tried, ascending, and what the house burns a year with each over what it does with the mean:
        who loads more logs beside the same pellets heats more. [-]
    by_counts
        Whether counts of the stacks tell it.
    """

    mean: float = 1.0
    sd: float = HABIT_SD
    factors: tuple[float, ...] = (1.0,)
    house: tuple[float, ...] = (1.0,)
    by_counts: bool = False

    @property
    def band(self) -> tuple[float, float]:
        """What holds the factor in 8 of 10 cases. [-]"""
        return max(0.0, self.mean - P90 * self.sd), self.mean + P90 * self.sd

    def drawn(self, n: int, rng: np.random.Generator) -> tuple[Floats, Floats]:
        """Return factors and the house with each, shape (n,). [-]"""
        factor = np.clip(rng.normal(self.mean, self.sd, n), 0.0, MOST_FACTOR)
        return factor, np.interp(factor, self.factors, self.house)


AS_WRITTEN = Habit()
"""Loads as the rule says, give or take what people do."""


@dataclass(frozen=True)
class DailyShare:
    """What logs take, by temperature and kind of day.

    Attributes
    ----------
    pellet_share
        Shape (2, bins): pellets burned over those of a house without logs; row 1 for week-ends.
    logs_per_pellet
        Shape (2, bins): kilograms of logs for each kilogram of pellets that a house without logs would burn.
    """

    pellet_share: Floats
    logs_per_pellet: Floats

    def of(self, dates: Dates, mean_c: Floats) -> tuple[Floats, Floats]:
        """Return pellet share and logs per pellet on days, shape of `mean_c` (..., days)."""
        row, column = _weekend(dates), _bin_of(mean_c)
        rows = np.broadcast_to(row, column.shape)
        return self.pellet_share[rows, column], self.logs_per_pellet[rows, column]

    def loaded(self, dates: Dates, mean_c: Floats, factor: Floats | float) -> tuple[Floats, Floats]:
        """Return pellet share and logs per pellet on days for somebody who loads more or less than the rule.

        Parameters
        ----------
        dates, mean_c
            Shapes (days,) and (..., days). [degC]
        factor
            Times the rule's share of the heat, as far as there is heat to give; broadcast over `mean_c`. [-]

        Returns
        -------
        tuple
            Shares [0..1] and kilograms of logs per kilogram of pellets [-], shape (..., days).
        """
        left, per_pellet = self.of(dates, mean_c)
        taken = np.minimum((1.0 - left) * factor, 1.0)
        each = np.divide(taken, 1.0 - left, out=np.zeros_like(taken), where=left < 1)
        return 1.0 - taken, per_pellet * each


@dataclass(frozen=True)
class LogDraws:
    """Logs in every draw: level on the evening of the day asked, use on every day, arrivals of dried stacks.
    [kg]
    """

    level_kg: Floats
    demand_kg: Floats
    coming_kg: Floats


def daily_share(
    plant: LogPelletBoiler, rule: LoadingRule, need: HeatNeed, dates: Dates, mean_c: Floats
) -> tuple[DailyShare, LoadingValue]:
    """Run the last years hour by hour with and without logs, as if somebody were always at home.

    Parameters
    ----------
    dates, mean_c
        Shape (days,): the past, the newest last. [degC]
    """
    days = dates[-365:]
    years = max(1, min(YEARS, len(mean_c) // 365))
    past_c = mean_c[-365 * years :].reshape(years, -1) if len(mean_c) >= 365 else mean_c[None, :]
    load = spread_over_day(need.space_kwh(past_c), need.hot_water_kwh(months_of(days)), 24)
    may = replace(rule, away=()).may_load(days, past_c, 24)
    with_logs, without = (
        run(plant, load, loads, most_loads_a_day=rule.most_loads_a_day, half_loads=rule.half_loads)
        for loads in (may, np.zeros_like(may))
    )
    rows = np.broadcast_to(_weekend(days), past_c.shape)
    share = _by_bin(with_logs.pellets_kg, without.pellets_kg, rows, past_c)
    logs = _by_bin(with_logs.logs_kg, without.pellets_kg, rows, past_c)
    return DailyShare(np.clip(share, 0.0, 1.0), logs), value_of_loading(with_logs, without)


def _weekend(dates: Dates) -> Ints:
    """Return 1 for Saturdays and Sundays, else 0."""
    return ((dates.astype("datetime64[D]").astype(np.int64) + 3) % 7 >= 5).astype(np.int64)


def _bin_of(mean_c: Floats) -> Ints:
    clipped = np.clip(mean_c, BINS_FROM_C, BINS_TO_C - 1e-9)
    return np.asarray((clipped - BINS_FROM_C) // BIN_K, dtype=np.int64)


def _by_bin(part: Floats, whole: Floats, rows: Ints, mean_c: Floats) -> Floats:
    """Return part over whole by kind of day and temperature, rare days drawn towards the like, shape (2,
    bins).
    """
    bins = int((BINS_TO_C - BINS_FROM_C) / BIN_K)
    at = (rows * bins + _bin_of(mean_c)).ravel()
    count = np.bincount(at, minlength=2 * bins).reshape(2, bins)
    sums = [np.bincount(at, weights=x.ravel(), minlength=2 * bins).reshape(2, bins) for x in (part, whole)]
    together = [s.sum(axis=0) for s in sums]
    known = together[1] > 0
    middle = np.arange(bins, dtype=float)
    pooled = np.interp(middle, middle[known], together[0][known] / together[1][known])
    per_day = np.where(count > 0, sums[1] / np.maximum(count, 1), 0.0)
    weight = POOLED_DAYS * np.where(per_day > 0, per_day, 1.0)
    return np.asarray((sums[0] + weight * pooled) / (sums[1] + weight))


def logs_burned_kg(
    plant: LogPelletBoiler,
    rule: LoadingRule,
    share: DailyShare,
    need: HeatNeed,
    dates: Dates,
    mean_c: Floats,
    factor: float = 1.0,
) -> Floats:
    """Return what is burned of logs on each day, none on days away, shape (days,), where `factor` times the
    rule's is loaded. [kg]
    """
    assert plant.pellet_side is not None
    per_kwh = 1.0 / (plant.pellet_kwh_per_kg * seasonal_efficiency(plant.pellet_side))
    pellets_kg = (need.space_kwh(mean_c) + need.hot_water_kwh(months_of(dates))) * per_kwh
    return share.loaded(dates, mean_c, factor)[1] * pellets_kg * _at_home(rule, dates)


def _at_home(rule: LoadingRule, dates: Dates) -> Floats:
    """Return 1 on days with somebody at home, 0 on days away, shape (days,)."""
    home = np.ones(len(dates))
    for first, last in rule.away:
        home[(dates >= np.datetime64(first, "D")) & (dates <= np.datetime64(last, "D"))] = 0.0
    return home


def split_demand(
    share: DailyShare,
    rule: LoadingRule,
    stock_kg: float,
    dried: Sequence[tuple[date, float]],
    as_of: date,
    pellets_alone_kg: Floats,
    mean_c: Floats,
    rng: np.random.Generator,
    habit: Habit = AS_WRITTEN,
) -> tuple[Floats, LogDraws]:
    """Part the fuel of every draw into pellets and logs, as long as there are logs.

    Parameters
    ----------
    stock_kg, dried
        Dry logs on the evening of `as_of`, and the stacks that become dry later: day and mass. [kg]
    pellets_alone_kg, mean_c
        Shape (draws, days): pellets without logs, and weather. [kg, degC]
    habit
        How the person loads.

    Returns
    -------
    Pellets on every day, shape (draws, days), and the logs. [kg]
    """
    draws, days = pellets_alone_kg.shape
    dates = np.datetime64(as_of, "D") + 1 + np.arange(days)
    factor, house = habit.drawn(draws, rng)
    alone = pellets_alone_kg * house[:, None]
    left_share, per_pellet = share.loaded(dates, mean_c, factor[:, None] * _at_home(rule, dates))
    logs = per_pellet * alone
    level = stock_kg * np.clip(rng.normal(1.0, AMOUNT_SD, draws), 0.5, 1.5)
    coming = np.zeros(days)
    for day, kg in dried:
        at = (day - as_of).days - 1
        if at < days:
            coming[at] += kg
    there = np.empty_like(logs)
    left = level.copy()
    for t in range(days):
        left = left + coming[t]
        there[:, t] = np.minimum(logs[:, t], left)
        left = left - there[:, t]
    burning = np.divide(there, logs, out=np.zeros_like(there), where=logs > 0)
    return alone * (1.0 - (1.0 - left_share) * burning), LogDraws(
        level, there, np.broadcast_to(coming, logs.shape)
    )

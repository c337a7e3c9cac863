"""One fire for logs and pellets: how much of the heat logs really give, from what was burned of both.

The rule of loading tells what logs could take; people load more or less than they write. The factor on the
rule is weighed on a grid. For each value the signature is learned from the pellets, which the house burned
beside so many logs; its evidence says how well the pellets go with that. Where stacks were counted twice,
what was missing from them says how many logs it was. The house is then the learned one, its pellets and logs
together, and the logs' share is run again on it.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date

import numpy as np
from numpy.typing import NDArray

from fuelplan import learning as signature
from fuelplan.answers.beliefs import burned_by
from fuelplan.answers.log_side import LogSide, StackBurned, log_side_of
from fuelplan.answers.setting import Setting, stated_setting_of
from fuelplan.heat.building import HeatNeed
from fuelplan.records.site import Site
from fuelplan.store.log_heating import Habit
from fuelplan.weather import DailyWeather

Floats = NDArray[np.float64]

COARSE = (0.1, 0.5, 1.0, 1.5)
FINE = (0.0, 0.1, 0.25, 0.45, 0.65, 0.85, 1.0, 1.15, 1.35, 1.6, 1.9, 2.3)
"""Factors on the rule of loading that are tried."""

RULE_SD, OTHERWISE = 0.25, 0.2
"""Most people load about as they write, give or take a quarter; one in five anyhow (our assumption)."""

LEAST_LOSS = 0.05
"""A learned house loses at least this share of what is stated: pellets alone may tell nothing of it."""


def setting_of(site: Site, weather: DailyWeather, as_of: date) -> Setting:
    """Return the setting of a site; `weather` is the record known on `as_of`, without gaps.

    Where logs are burned, they take what they were learned to take of the house that was learned.
    """
    setting = stated_setting_of(site, weather, as_of)
    if setting.log_side is None:
        return setting
    if setting.log_side.counted is None and not setting.observations:
        return setting
    setting = _with(setting, weather, _weigh(setting, weather, COARSE))
    return _with(setting, weather, _weigh(setting, weather, FINE), like=setting.log_side)


@dataclass(frozen=True)
class _Weighed:
    """The factors tried, how likely each is, and the house with each: shape (factors,), houses (factors, 3)
    as slope, daily part and base temperature. [kg/K/d, kg/d, degC]
    """

    factor: Floats
    weight: Floats
    house: Floats
    by_counts: bool

    def habit(self) -> Habit:
        """Return what is known of the factor, and what the pellets alone would be with each."""
        mean = float(self.weight @ self.factor)
        sd = float(np.sqrt(self.weight @ (self.factor - mean) ** 2))
        year = self.house[:, 0] * 2800.0 + self.house[:, 1] * 365.0  # of about a Central European year
        house = year / (self.weight @ year)
        return Habit(mean, sd, tuple(self.factor.tolist()), tuple(house.tolist()), self.by_counts)


def _weigh(setting: Setting, weather: DailyWeather, factors: Sequence[float]) -> _Weighed:
    """Learn the house with each factor, and weigh them by pellets and stacks."""
    assert setting.log_side is not None
    counted = setting.log_side.counted
    factor, told, house = np.array(factors), list[float](), list[tuple[float, float, float]]()
    for f in factors:
        side = replace(setting.log_side, habit=replace(setting.log_side.habit, mean=f))
        tried = replace(setting, log_side=side)
        heated, activity = burned_by(tried, weather)
        found = signature.learn(
            tried.prior, heated, tried.observations, tried.deliveries, tried.as_of,
            capacity_kg=tried.store.capacity_kg(), activity=activity, screening=False, changes=False,
        )  # fmt: skip
        mean = found.weight @ found.mean
        house.append((float(mean[0]), max(float(mean[1]), 0.0), float(found.weight @ found.base_c)))
        by_stacks = 0.0 if counted is None else _of_stacks(tried, weather, counted, house[-1])
        told.append(found.log_evidence + by_stacks)
    spread = np.gradient(factor)  # how much of the line each stands for
    bell = np.exp(-0.5 * ((factor - 1.0) / RULE_SD) ** 2) / (RULE_SD * np.sqrt(2 * np.pi))
    log = np.array(told) + np.log(spread * ((1 - OTHERWISE) * bell + OTHERWISE / factor.max()))
    weight = np.exp(log - log.max())
    return _Weighed(factor, weight / weight.sum(), np.array(house), counted is not None)


def _of_stacks(
    tried: Setting, weather: DailyWeather, burned: StackBurned, house: tuple[float, float, float]
) -> float:
    """Return the log likelihood of what went from the stacks, for a house."""
    side = tried.log_side
    assert side is not None
    days = weather.between(burned.first, burned.last)
    need = _need(tried, house)
    loaded = float((side.burned_kg(need, days.dates, days.mean_c) * side.wood.kwh_per_kg).sum())
    sd = np.hypot(burned.sd_kwh, 0.1 * loaded)
    off = (loaded - burned.kwh) / sd
    if burned.at_least:
        return math.log(max(0.5 * math.erfc(-off / math.sqrt(2.0)), 1e-300))
    return float(-0.5 * off**2 - np.log(sd))


def _need(setting: Setting, house: tuple[float, float, float]) -> HeatNeed:
    """Return the stated need with slope, daily part and base of a house."""
    slope, daily, base_c = house
    useful = setting.useful_kwh_per_kg
    return replace(
        setting.need,
        loss_w_per_k=setting.need.loss_w_per_k
        * max(slope * useful / setting.need.kwh_per_degree_day, LEAST_LOSS),
        hot_water_kwh_per_day=daily * useful,
        base_c=base_c,
    )


def _with(setting: Setting, weather: DailyWeather, found: _Weighed, like: LogSide | None = None) -> Setting:
    """Return the setting with logs burned as found, in the house as found."""
    house = tuple(float(x) for x in found.weight @ found.house)
    need = _need(setting, (house[0], house[1], house[2]))
    side = log_side_of(
        setting.site, weather, setting.as_of, need, setting.material.kwh_per_kg,
        habit=found.habit(), like=like,
    )  # fmt: skip
    return replace(setting, log_side=side)

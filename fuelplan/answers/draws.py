"""Joint draws of winter, signature and starting level, and the fuel asked for on every day of each."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date

import numpy as np
from numpy.typing import NDArray

from fuelplan import building, signature
from fuelplan.answers.log_side import LogDraws, split_demand
from fuelplan.answers.other_heat import share_left
from fuelplan.answers.setting import Setting, WhatIf
from fuelplan.weather import DailyWeather, Winters

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

LEAST_DRAWS = 1500


@dataclass(frozen=True)
class Draws:
    """Joint draws of the pellets, and of the logs beside them.

    Attributes
    ----------
    level_kg
        Shape (draws,): content on the evening of the day asked. [kg]
    demand_kg
        Shape (draws, days), from the day after on. [kg]
    mean_c
        Shape (draws, days): the weather of each draw. [degC]
    year
        Shape (draws,): real year in which each draw's winter began.
    logs
        Logs of the same draws, where the boiler burns them; `demand_kg` is then what they leave for the
        pellets.
    """

    level_kg: Floats
    demand_kg: Floats
    mean_c: Floats
    year: Ints
    logs: LogDraws | None = None

    @property
    def count(self) -> int:
        """Number of draws."""
        return len(self.level_kg)


def learned(setting: Setting, weather: DailyWeather) -> signature.Posterior:
    """Return what the building burns and what is in store, learned from the readings up to the day."""
    capacity_kg, activity = setting.store.capacity_kg(), _activity(setting, weather)

    def learn(screening: bool) -> signature.Posterior:
        return signature.learn(
            setting.prior,
            replace(weather, mean_c=setting.need.heating_c(weather.mean_c)),
            setting.observations,
            setting.deliveries,
            setting.as_of,
            capacity_kg=capacity_kg,
            activity=activity,
            screening=screening,
            changes=screening,
        )

    found = learn(screening=True)
    if not _doubts_a_low_reading(setting, found):
        return found
    # Setting aside a fresh low reading would make the answer less cautious, so it is believed and said.
    taken = learn(screening=False)
    note = (
        "Your last reading lies far below what was expected. It is taken as it is; look again, and put it "
        "right "
        "if it was a mistake."
    )
    return replace(taken, notes=(note, *taken.notes))


def newest_used_reading(setting: Setting, posterior: signature.Posterior) -> date | None:
    """Return the day of the newest level reading that stands behind the answer; None where there is none."""
    aside = {flag.last_day for flag in posterior.flags if not flag.used and flag.reading >= 0}
    days = [o.day for o in setting.observations if not o.is_count and o.day not in aside]
    return max(days, default=None)


def _doubts_a_low_reading(setting: Setting, posterior: signature.Posterior) -> bool:
    """Tell whether the newest reading was set aside although it shows less than the answer would go by."""
    levels = [o for o in setting.observations if not o.is_count]
    newest = max((o.day for o in levels), default=None)
    aside = {flag.last_day for flag in posterior.flags if not flag.used and flag.reading >= 0}
    if newest is None or newest not in aside:
        return False
    lowest = min(o.kg for o in levels if o.day == newest)
    return lowest < float(posterior.quantile((0.5,))["level_kg"][0])


def _activity(setting: Setting, weather: DailyWeather) -> Floats | None:
    """Return the share of its usual use on each day, shape (days,): less when away or on logs, none with the
    boiler off.
    """
    past = [a for a in setting.absences if a.first <= setting.as_of]
    side = setting.log_side
    beside = np.ones(len(weather)) if side is None else side.share.of(weather.dates, weather.mean_c)[0]
    left = share_left(setting.site, setting.need, setting.seasons, weather.dates, weather.mean_c)
    beside = beside if left is None else beside * left
    if not past:
        return None if side is None and left is None else beside
    plan = building.day_plan(weather.dates, past)
    base_c, heated_c = setting.prior.base_c, setting.need.heating_c(weather.mean_c)
    usual = np.maximum(0.0, base_c - heated_c)
    left = building.degree_days_left(heated_c, base_c, plan)
    by_weather = np.where(usual > 0, left / np.where(usual > 0, usual, 1.0), 1.0)
    beside = np.where(plan.changed, 1.0, beside)  # nobody loads logs or lights a stove when away
    return np.asarray(np.where(np.isinf(plan.allowed_k), 0.0, by_weather * beside))


def joint_draws(
    setting: Setting,
    posterior: signature.Posterior,
    winters: Winters,
    what_if: WhatIf,
    rng: np.random.Generator,
) -> Draws:
    """Return at least :data:`LEAST_DRAWS` draws, each winter the same number of times."""
    paths = winters.mean_c.shape[0]
    each = -(-LEAST_DRAWS // paths)
    which = np.repeat(np.arange(paths), each)
    drawn = posterior.draw(len(which), rng)
    mean_c = winters.mean_c[which] - what_if.colder_c
    dates = np.datetime64(winters.first_day, "D") + np.arange(winters.days)
    plan = building.day_plan(dates, setting.absences)
    shift_k = what_if.room_shift_c  # who keeps the rooms warmer heats on warmer days, too
    heated_c = setting.need.heating_c(mean_c - shift_k) + shift_k
    degree_days = building.degree_days_left(heated_c, (drawn.base_c + shift_k)[:, None], plan)
    demand = (
        drawn.kg_per_degree_day[:, None] * degree_days + drawn.kg_per_day[:, None] * plan.hot_water_factor
    )
    level = np.clip(drawn.level_kg, 0.0, setting.store.capacity_kg(setting.store.bulk_high_kg_per_m3))
    # One day's use differs from the signature: wind, sun, people. Days do so independently of each other.
    demand = demand * np.maximum(0.0, 1.0 + drawn.day_noise[:, None] * rng.standard_normal(demand.shape))
    left = share_left(setting.site, setting.need, setting.seasons, dates, mean_c)
    if left is not None:
        demand = demand * left
    logs = None
    if setting.log_side is not None:
        demand, logs = split_demand(setting.log_side, setting.site, setting.as_of, demand, mean_c, rng)
    return Draws(level, demand, mean_c, winters.year[which], logs)


def day_index(as_of: date, day: date) -> int:
    """Return the column of a date in the draws' days; column 0 is the day after `as_of`."""
    return (day - as_of).days - 1

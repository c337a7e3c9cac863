"""What is believed of a house from its readings, and what of it hangs on an open question."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from fuelplan import learning as signature
from fuelplan.answers.setting import Setting
from fuelplan.heat import building
from fuelplan.learning import Moment, Observation
from fuelplan.messages import Day, Message, message
from fuelplan.weather import DailyWeather

Floats = NDArray[np.float64]

DECISIVE = 20.0  # how much likelier one order of a day must be to be taken unasked (our choice)
MOST_DAYS_WEIGHED = 2  # readings of which the order of the day is weighed, the newest


@dataclass(frozen=True)
class Belief:
    """What the answer goes by.

    Attributes
    ----------
    posterior
        Signature and level, the emptiest of what is possible.
    fuller
        The fullest of what is possible; None where no question is open.
    same_day_line
        Line of a reading that may be before or after the delivery of its day; 0 where none is open.
    said
        A sentence for each reading whose order within its day was worked out.
    """

    posterior: signature.Posterior
    fuller: signature.Posterior | None = None
    same_day_line: int = 0
    said: tuple[Message, ...] = ()


def believed(setting: Setting, weather: DailyWeather) -> Belief:
    """Return what the building burns and what is in store, learned from the readings up to the day."""
    heated, activity = burned_by(setting, weather)

    def learn(observations: Sequence[Observation], *, plain: bool = False) -> signature.Posterior:
        return signature.learn(
            setting.prior,
            heated,
            observations,
            setting.deliveries,
            setting.as_of,
            capacity_kg=setting.store.capacity_kg(),
            activity=activity,
            screening=not plain,
            changes=not plain,
        )

    observations, said = setting.observations, list[Message]()
    newest = max((o.day for o in observations if o.is_level), default=None)
    for line in setting.same_day_lines[-MOST_DAYS_WEIGHED:]:
        before, after = (_taken(observations, line, m) for m in ("before_delivery", "after_delivery"))
        odds = learn(before, plain=True).log_evidence - learn(after, plain=True).log_evidence
        reading = next(o for o in observations if o.line == line)
        if reading.day == newest and abs(odds) < math.log(DECISIVE):
            both = [p for o in (before, after) for p in _both(learn(o))]
            both.sort(key=lambda p: float(p.quantile((0.5,))["level_kg"][0]))
            return Belief(both[0], both[-1], line, tuple(said))
        observations = before if odds > 0 else after
        said.append(_fits_better(reading, odds > 0))
    found = learn(observations)
    return Belief(found, found.fuller, 0, tuple(said))


def _fits_better(reading: Observation, before: bool) -> Message:
    day = Day(reading.day)
    if before:
        return message(
            "reading.before_tanker_by_others",
            "The reading of {day} is taken as before the tanker of that day: that fits the other readings "
            "better.",
            day=day,
        )
    return message(
        "reading.after_tanker_by_others",
        "The reading of {day} is taken as after the tanker of that day: that fits the other readings better.",
        day=day,
    )


def burned_by(setting: Setting, weather: DailyWeather) -> tuple[DailyWeather, Floats | None]:
    """Return what the use of each day goes by: the weather that asks for heat, and the share of usual use,
    shape (days,), None for all of it.
    """
    heated = replace(weather, mean_c=setting.need.heating_c(weather.mean_c))
    return heated, _activity(setting, weather)


def learned(setting: Setting, weather: DailyWeather) -> signature.Posterior:
    """Return the posterior that an answer goes by: see :func:`believed`."""
    return believed(setting, weather).posterior


def _both(posterior: signature.Posterior) -> tuple[signature.Posterior, ...]:
    return (posterior,) if posterior.fuller is None else (posterior, posterior.fuller)


def _taken(observations: Sequence[Observation], line: int, moment: Moment) -> tuple[Observation, ...]:
    return tuple(replace(o, moment=moment) if o.line == line else o for o in observations)


def _activity(setting: Setting, weather: DailyWeather) -> Floats | None:
    """Return the share of its usual use on each day, shape (days,): less when away or on logs, none with the
    boiler off.
    """
    past = [a for a in setting.absences if a.first <= setting.as_of]
    side = setting.log_side
    beside = np.ones(len(weather)) if side is None else side.left(weather.dates, weather.mean_c)
    left = building.share_left(setting.other_heat, setting.need, weather.dates, weather.mean_c)
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

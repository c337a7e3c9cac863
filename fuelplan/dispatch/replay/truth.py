"""What a past winter really brought: its weather as observed, and what households burned in it."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import date, timedelta

import numpy as np
from numpy.typing import NDArray

from fuelplan.dispatch.outlook import CustomerDraws
from fuelplan.messages import Day, Refusal, message
from fuelplan.weather import DailyWeather

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

Truth = Callable[[date, date], Floats]
"""What each customer burns on each day from a first to a last one, both included: (customers, days). [kg]

The same day must give the same use whatever span is asked for.
"""


class WeatherTooShort(Refusal):
    """The weather does not reach back to a winter that was asked for."""


def weather_too_short(first: date, last: date, needed_from: date, needed_to: date) -> WeatherTooShort:
    """Return the error: from when to when the weather runs, and which days are needed."""
    return WeatherTooShort(
        message(
            "replay.weather_too_short",
            "the weather runs {first} to {last}; {needed_from} to {needed_to} is needed – ask for fewer "
            "winters, or give longer weather",
            first=Day(first, year=True),
            last=Day(last, year=True),
            needed_from=Day(needed_from, year=True),
            needed_to=Day(needed_to, year=True),
        )
    )


def observed_means(records: Sequence[DailyWeather], first_day: date, last_day: date) -> Floats:
    """Return daily means as observed, shape (records, days); a gap takes the day before it. [degC]

    Nothing is filled from later days: a rule that looks at these sees no future.
    """
    days = (last_day - first_day).days + 1
    out = np.empty((len(records), days))
    for a, record in enumerate(records):
        at = record.index_of(first_day)
        if at < 0 or at + days > len(record):
            raise weather_too_short(record.first_day, record.last_day, first_day, last_day)
        values = record.mean_c[at : at + days]
        known = np.where(np.isfinite(values), np.arange(days), -1)
        back = np.maximum.accumulate(known)
        first = int(np.argmax(known >= 0))
        out[a] = values[np.where(back >= 0, back, first)]
    return out


def drawn_households(drawn: CustomerDraws, area: Ints, first: date, mean_c: Floats, seed: int) -> Truth:
    """Return a truth: one signature for each customer, the first of those drawn for it.

    Use of a day = kg per degree-day · degree-days · (1 + noise) + kg per day, with the day-to-day noise of
    the draws. It is the model that the planner learns, so a replay on it is kinder than life: habits,
    absences and changes of a house are missing.

    Parameters
    ----------
    area
        Shape (N,): the area that each customer lies in.
    first, mean_c
        First day of the weather, and shape (areas, days): its daily means without gaps. [degC]
    """
    slope, daily, base = drawn.kg_per_degree_day[:, :1], drawn.kg_per_day[:, :1], drawn.base_c[:, :1]
    size, days = drawn.shake.std(axis=1)[:, None], mean_c.shape[1]
    noise = np.random.default_rng([seed, 72]).standard_normal((len(slope), days))
    heat = slope * np.maximum(0.0, base - mean_c[area])
    use_kg = heat * np.maximum(0.0, 1 + size * noise) + daily
    last = first + timedelta(days=days - 1)

    def use(first_day: date, last_day: date) -> Floats:
        begin, end = (first_day - first).days, (last_day - first).days + 1
        if begin < 0 or end > days:
            raise weather_too_short(first, last, first_day, last_day)
        return np.asarray(use_kg[:, begin:end])

    return use

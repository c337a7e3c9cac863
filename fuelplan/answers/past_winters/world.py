"""A round's past winter: its weather as it was observed, its customers and rules as they are played."""

from __future__ import annotations

from datetime import date

import numpy as np
from numpy.typing import NDArray

from fuelplan.answers.past_winters.books import emptied, largest_drop_kg, reading_habits
from fuelplan.answers.who_is_due.weather import RoundWeather
from fuelplan.dispatch.replay import PastWinter, PlayedCustomers, PlayedRules, World, degree_days_of
from fuelplan.messages import Day, Refusal, message
from fuelplan.records.round import Round, working_days_of

Floats = NDArray[np.float64]


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


def daily_means(weather: RoundWeather, first_day: date, last_day: date) -> Floats:
    """Return the daily means of each area as observed, (areas, days); a gap takes the day before it. [degC]

    Nothing is filled from later days: a rule that looks at these sees no future.
    """
    days = (last_day - first_day).days + 1
    out = np.empty((len(weather.areas), days))
    for a, area in enumerate(weather.areas):
        record = area.record
        at = record.index_of(first_day)
        if at < 0 or at + days > len(record):
            raise weather_too_short(record.first_day, record.last_day, first_day, last_day)
        values = record.mean_c[at : at + days]
        known = np.where(np.isfinite(values), np.arange(days), -1)
        back = np.maximum.accumulate(known)
        first = int(np.argmax(known >= 0))
        out[a] = values[np.where(back >= 0, back, first)]
    return out


class RoundWorld(World):
    """One winter of a round.

    Attributes
    ----------
    base
        The round without its books.
    weather
        That of its areas.
    """

    def __init__(
        self, round_: Round, weather: RoundWeather, winter: PastWinter, use_kg: Floats, as_of: date, seed: int
    ) -> None:
        """Play the books of the years before.

        Parameters
        ----------
        use_kg
            Shape (N, BOOK_DAYS + winter.days): what is burned from `winter.books_from` on. [kg]
        """
        self.base, self.weather = emptied(round_), weather
        c, rules = round_.customers, round_.table.rules
        often, by_eye = reading_habits(round_, as_of)
        customers = PlayedCustomers(
            store_kg=c.store_kg,
            kg_per_year=c.kg_per_year,
            grade=c.takes.argmax(axis=1),
            top_up=c.top_up,
            largest_kg=largest_drop_kg(self.base),
            readings_per_day=often,
            by_eye=by_eye,
        )
        observed = daily_means(weather, winter.books_from, winter.last_day)
        played = PlayedRules(rules.ring_at, rules.step_kg, working_days_of(round_.table))
        super().__init__(customers, played, winter, use_kg, degree_days_of(observed)[c.area], seed)

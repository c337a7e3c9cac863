"""What customers burn in a replay where nobody knows better: households drawn from what the books tell."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date

import numpy as np
from numpy.typing import NDArray

from fuelplan.answers.past_winters.world import weather_too_short
from fuelplan.answers.who_is_due.beliefs import believe
from fuelplan.answers.who_is_due.weather import RoundWeather, known_for_round
from fuelplan.records.round import Round

Floats = NDArray[np.float64]

Truth = Callable[[date, date], Floats]
"""What each customer burns on each day from a first to a last one, both included: (customers, days). [kg]

The same day must give the same use whatever span is asked for.
"""


def truth_of_books(round_: Round, weather: RoundWeather, as_of: date, seed: int) -> Truth:
    """Return a truth: one signature for each customer, drawn from what the books up to `as_of` tell of it.

    Use of a day = kg per degree-day · degree-days · (1 + noise) + kg per day, with the day-to-day noise that
    the books show. It is the model that the planner learns, so a replay on it is kinder than life: habits,
    absences and changes of a house are missing.
    """
    drawn = believe(round_, weather, as_of, seed, days=1).draw(slice(0, len(round_.customers)))
    known = known_for_round(round_, weather, as_of)
    slope, daily, base = drawn.kg_per_degree_day[:, :1], drawn.kg_per_day[:, :1], drawn.base_c[:, :1]
    size = drawn.shake.std(axis=1)[:, None]
    first = max(a.weather.first_day for a in known.areas)
    days = (as_of - first).days + 1
    mean_c = np.stack([a.weather.mean_c[a.weather.index_of(first) :][:days] for a in known.areas])
    noise = np.random.default_rng([seed, 72]).standard_normal((len(slope), days))
    heat = slope * np.maximum(0.0, base - mean_c[round_.customers.area])
    use_kg = heat * np.maximum(0.0, 1 + size * noise) + daily

    def use(first_day: date, last_day: date) -> Floats:
        begin, end = (first_day - first).days, (last_day - first).days + 1
        if begin < 0 or end > days:
            raise weather_too_short(first, as_of, first_day, last_day)
        return np.asarray(use_kg[:, begin:end])

    return use

"""A round's past winter: its weather as it was observed, its customers and rules as they are played."""

from __future__ import annotations

from datetime import date

import numpy as np
from numpy.typing import NDArray

from fuelplan.answers.past_winters.books import emptied, largest_drop_kg, reading_habits
from fuelplan.answers.who_is_due.beliefs import believe
from fuelplan.answers.who_is_due.weather import RoundWeather, known_for_round
from fuelplan.dispatch.replay import (
    PastWinter,
    PlayedCustomers,
    PlayedRules,
    Truth,
    World,
    degree_days_of,
    drawn_households,
    observed_means,
)
from fuelplan.records.round import Round, working_days_of

Floats = NDArray[np.float64]


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
        observed = observed_means([a.record for a in weather.areas], winter.books_from, winter.last_day)
        played = PlayedRules(rules.ring_at, rules.step_kg, working_days_of(round_.table))
        super().__init__(customers, played, winter, use_kg, degree_days_of(observed)[c.area], seed)


def truth_of_books(round_: Round, weather: RoundWeather, as_of: date, seed: int) -> Truth:
    """Return what households drawn from what the books up to `as_of` tell of each customer would burn."""
    drawn = believe(round_, weather, as_of, seed, days=1).draw(slice(0, len(round_.customers)))
    records = [a.weather for a in known_for_round(round_, weather, as_of).areas]
    first = max(record.first_day for record in records)
    days = (as_of - first).days + 1
    mean_c = np.stack([record.mean_c[record.index_of(first) :][:days] for record in records])
    return drawn_households(drawn, round_.customers.area, first, mean_c, seed)

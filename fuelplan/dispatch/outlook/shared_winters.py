"""The possible winters that all areas of a round share, row by row, and how many draws are made of them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np

from fuelplan.weather import DailyWeather, Forecast, Winters, possible_winters

LEARN_DAYS = 1096
"""Days of books that are learned from: long enough for three winters, short enough for houses that change."""

LEAST_DRAWS, MANY = 1000, 5000
"""Draws of each customer, and customers beyond which each winter is drawn once only."""


@dataclass(frozen=True, eq=False)
class AreaRecord:
    """The record of an area that winters are made from, and the forecast for it."""

    record: DailyWeather
    forecast: Forecast | None


def shared_winters(areas: Sequence[AreaRecord], as_of: date, days: int, seed: int) -> tuple[Winters, ...]:
    """Return the possible winters of each area from the day after `as_of` on, row by row the same winters.

    One seed serves all, and areas with fewer paths set the number for all, so that row p is one year – or one
    and the same throw of the generator – everywhere. Areas with one and the same record share its winters.

    Parameters
    ----------
    days
        How many days each winter has.

    Returns
    -------
    tuple of Winters
        One of each area, in their order, all with the same number of paths.
    """
    made: dict[AreaRecord, Winters] = {}

    def draw(paths: int | None) -> list[Winters]:
        made.clear()
        first = as_of + timedelta(days=1)
        for area in areas:
            if area not in made:
                made[area] = possible_winters(
                    area.record, first, days, seed=seed, forecast=area.forecast, paths=paths
                )
        return [made[area] for area in areas]

    found = draw(None)
    counts = {len(w.year) for w in found}
    if len(counts) > 1:
        found = draw(min(counts))
    return tuple(found)


def rows_agree(winters: Sequence[Winters]) -> bool:
    """Tell whether row p is the same real year in every area."""
    return all(np.array_equal(w.year, winters[0].year) for w in winters)


def draws_for(customers: int, paths: int, wanted: int | None = None) -> int:
    """Return how many draws of each customer are made: a multiple of the winters.

    Parameters
    ----------
    paths
        Possible winters.
    wanted
        Rounded up; None: about a thousand, or one for each winter where there are very many customers.
    """
    if wanted is None:
        wanted = LEAST_DRAWS if customers <= MANY else paths
    return -(-wanted // paths) * paths

"""When it is cold at a place: in the months of the published northern figures, half a year later, or never.

Prices by month, months of burning and of drying are published for the north. Where July is the coldest month
they are moved by half a year; near the equator, where no half of the year is the cold one, nothing is said of
seasons at all.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

import numpy as np

from fuelplan.weather.record import DailyWeather
from fuelplan.weather.seasons import MONTHS, monthly_means

LEAST_RANGE_K = 6.0
"""Warmest less coldest month below which no half of the year is called the cold one (our choice: the mild
coasts of Ireland and New Zealand lie above it, highlands near the equator below). [K]"""

COLD_NORTH = (0, 1, 2, 3, 10, 11)
"""November to April, the colder half of the year in the north, January as 0."""


@dataclass(frozen=True)
class PlaceSeasons:
    """How a place's year lies against that of the north.

    Attributes
    ----------
    late_months
        Months by which its seasons come later: 0 in the north, 6 in the south; None where it has none.
    """

    late_months: int | None = 0

    def here(self, northern: Sequence[float]) -> tuple[float, ...]:
        """Return twelve northern figures, January first, as they fall here; without seasons their mean.

        Parameters
        ----------
        northern
            Twelve figures, January first. [any unit]

        Returns
        -------
        tuple of float
            Twelve figures, January first. [the same unit]

        Raises
        ------
        ValueError
            If there are not twelve.
        """
        if len(northern) != MONTHS:
            raise ValueError(f"{len(northern)} figures; twelve are needed, January first")
        if self.late_months is None:
            return (float(np.mean(northern)),) * MONTHS
        return tuple(float(x) for x in np.roll(np.asarray(northern, dtype=float), self.late_months))

    def month(self, northern: int) -> int | None:
        """Return the month 1..12 in which it is here as in a month of the north; None without seasons.

        Parameters
        ----------
        northern
            Month of the north, 1 to 12.

        Returns
        -------
        int or None
            Month here, 1 to 12.
        """
        return None if self.late_months is None else (northern - 1 + self.late_months) % MONTHS + 1

    def next_start(self, northern_month: int, day: date) -> date:
        """Return the next first of the month, from `day` on, that answers to one of the north.

        Without seasons the calendar of the north serves: a year has to begin somewhere.

        Parameters
        ----------
        northern_month
            Month of the north, 1 to 12.
        day
            The earliest date that may be returned.

        Returns
        -------
        date
            The first of a month.
        """
        month = self.month(northern_month) or northern_month
        this_year = date(day.year, month, 1)
        return this_year if day <= this_year else date(day.year + 1, month, 1)


def place_seasons(weather: DailyWeather) -> PlaceSeasons:
    """Return which half of the year is the cold one, from the months that a record knows.

    A record that knows months of one half only, or whose months differ by less than :data:`LEAST_RANGE_K`,
    has no seasons.

    Parameters
    ----------
    weather
        Any record; unknown days are left out.

    Returns
    -------
    PlaceSeasons
        By how many months its seasons come later than those of the north.
    """
    means = monthly_means(weather)
    known = np.isfinite(means)
    cold = np.isin(np.arange(MONTHS), COLD_NORTH)
    if not ((known & cold).any() and (known & ~cold).any()) or np.ptp(means[known]) < LEAST_RANGE_K:
        return PlaceSeasons(None)
    return PlaceSeasons(0 if means[known & cold].mean() < means[known & ~cold].mean() else 6)

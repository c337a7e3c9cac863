"""A station that changed its clock: found by when its day warms and cools, and told, never silently
mended."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np

from fuelplan.messages import Day, Message, message
from fuelplan.weather.record import DailyWeather, Floats

WINDOW_DAYS, STEP_DAYS = 21, 7
MOST_HOURS = 12
LEAST_WINDOWS = 3
NEIGHBOUR_HOURS, ALONE_HOURS = 2, 3
"""Smaller changes are not told: between two airports of one city, 15 km apart, fronts and sea breezes shift
the best lag
by an hour for six weeks on end (New York 2013), and summer time moves the wave of a single record by an
hour."""



@dataclass(frozen=True)
class ClockShift:
    """From about `first_day` on the station's hours are `hours` later (+) or earlier (−) than before. [h]"""

    first_day: date
    hours: int

    def said(self, name: Message) -> Message:
        """Return a sentence for people on the station or file of this name.

        Parameters
        ----------
        name
            What people know the station or file by.

        Returns
        -------
        Message
            A sentence with the day and the hours of the shift.
        """
        if self.hours > 0:
            return message(
                "weather.clock_later",
                "{name} seems to have changed its clock about {day}: its hours read {hours} h later than "
                "before. Daily means hardly suffer; hourly figures do.",
                name=name,
                day=Day(self.first_day, year=True),
                hours=self.hours,
            )
        return message(
            "weather.clock_earlier",
            "{name} seems to have changed its clock about {day}: its hours read {hours} h earlier than "
            "before. Daily means hardly suffer; hourly figures do.",
            name=name,
            day=Day(self.first_day, year=True),
            hours=-self.hours,
        )


def clock_shifts(weather: DailyWeather, neighbour: DailyWeather | None = None) -> tuple[ClockShift, ...]:
    """Return the changes of a station's clock.

    With a neighbour on the same clock, the lag at which both records' hour-to-hour changes agree best is
    followed in windows of three weeks: two hours and more show. Alone, the time of the daily wave is
    followed: three hours and more.

    Parameters
    ----------
    weather, neighbour
        Records with hourly values by the same local clock.

    Returns
    -------
    tuple of ClockShift
        In order of time; empty where the clock was kept.

    Raises
    ------
    ValueError
        If a record has no hourly values.
    """
    if weather.hourly_c is None or (neighbour is not None and neighbour.hourly_c is None):
        raise ValueError("a change of clock shows in hourly values only; load the hourly records")
    if neighbour is None:
        return _changes(weather, weather.hourly_c, _wave_hour, ALONE_HOURS)
    first, last = max(weather.first_day, neighbour.first_day), min(weather.last_day, neighbour.last_day)
    ours, theirs = weather.between(first, last), neighbour.between(first, last)
    assert ours.hourly_c is not None and theirs.hourly_c is not None
    if not len(ours) or not len(theirs):
        return ()
    both = np.stack([ours.hourly_c, theirs.hourly_c], axis=1)
    return _changes(ours, both, _best_lag, NEIGHBOUR_HOURS)


def _changes(
    weather: DailyWeather, table: Floats, lag_of: Callable[[Floats], float], least_hours: int
) -> tuple[ClockShift, ...]:
    """Follow the lag through the windows; a change must last for three of them."""
    starts = list(range(0, len(weather) - WINDOW_DAYS + 1, STEP_DAYS))
    lags = np.array([lag_of(table[a : a + WINDOW_DAYS]) for a in starts])
    known = np.isfinite(lags)
    starts_known, lags = np.array(starts)[known], lags[known]
    shifts: list[ClockShift] = []
    if len(lags) < 2 * LEAST_WINDOWS:
        return ()
    since = 0
    for i in range(LEAST_WINDOWS, len(lags) - LEAST_WINDOWS + 1):
        if i < since + LEAST_WINDOWS:
            continue
        ahead = _around(lags[i : i + LEAST_WINDOWS] - np.median(lags[since:i]))
        change = float(np.median(lags[i : i + 3 * LEAST_WINDOWS] - np.median(lags[since:i])))
        if (np.abs(ahead) >= least_hours - 0.25).all() and np.ptp(ahead) <= 2.0:
            # The first window that shows the new clock by majority began to do so in its middle.
            day = weather.first_day + timedelta(days=int(starts_known[i]) + WINDOW_DAYS // 2)
            shifts.append(ClockShift(day, round(float(_around(np.array([change]))[0]))))
            since = i
    return tuple(shifts)


def _around(hours: Floats) -> Floats:
    """Bring a difference of clock times into −12…12. [h]"""
    return np.asarray((hours + 12.0) % 24.0 - 12.0)


def _wave_hour(hours: Floats) -> float:
    """Return the hour of the warmest time of the mean day by its first harmonic, NaN where there is hardly
    a wave."""
    known = np.isfinite(hours).all(axis=1)
    if known.sum() < WINDOW_DAYS // 2:
        return float("nan")
    wave = np.fft.rfft(hours[known].mean(axis=0))[1] / 12.0
    return float("nan") if abs(wave) < 0.7 else float((-np.angle(wave) * 24.0 / (2.0 * np.pi)) % 24.0)


def _mean_day(pair: Floats) -> Floats:
    """Return the mean of each clock hour over the window, shape (1, 2, 24), NaN where an hour is never
    known."""
    known = np.isfinite(pair)
    count = known.sum(axis=0)
    total = np.where(known, pair, 0.0).sum(axis=0)
    return np.asarray(np.divide(total, count, out=np.full(count.shape, np.nan), where=count > 0))[None]


def _best_lag(pair: Floats) -> float:
    """Return by how many hours the first record runs behind the second, NaN where they do not agree at any
    lag."""
    # Without the mean daily wave, which a sea breeze can delay by an hour for months: fronts keep better
    # time.
    rest = pair - _mean_day(pair)
    ours, theirs = np.diff(rest[:, 0].ravel()), np.diff(rest[:, 1].ravel())
    best, best_lag = 0.15, float("nan")
    for lag in range(-MOST_HOURS, MOST_HOURS + 1):
        a = ours[max(0, lag) : len(ours) + min(0, lag)]
        b = theirs[max(0, -lag) : len(theirs) + min(0, -lag)]
        both = np.isfinite(a) & np.isfinite(b)
        if both.sum() < 24 * 7:
            continue
        agreement = float(np.corrcoef(a[both], b[both])[0, 1])
        if agreement > best:
            best, best_lag = agreement, float(lag)
    return best_lag

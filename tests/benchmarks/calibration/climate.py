"""Invented weather that is not made like the planner's: an autoregression with slow parts and a trend."""

from __future__ import annotations

from datetime import date

import numpy as np
from numpy.typing import NDArray
from scipy.signal import lfilter

Floats = NDArray[np.float64]

FIRST_DAY = date(2003, 7, 1)
DAYS = 23 * 365


def autoregression(rng: np.random.Generator, days: int, lasting_days: float, sd: float) -> Floats:
    """A stationary series whose memory fades with `lasting_days`, shape (days,)."""
    keep = np.exp(-1.0 / lasting_days)
    step = rng.standard_normal(days) * sd * np.sqrt(1 - keep**2)
    step[0] = rng.standard_normal() * sd
    return np.asarray(lfilter([1.0], [1.0, -keep], step))


def day_of_year(days: int = DAYS) -> Floats:
    """Days since the first of January, with the fraction of the year that calendars lose, shape (days,)."""
    return np.asarray((np.arange(days) + 181) % 365.25)


def climate(
    house: int, seed: int, *, mean_c: float = 8.8, swing_c: float = 9.3, southern: bool = False
) -> Floats:
    """Daily means of one place, shape (DAYS,): a yearly wave with an overtone, days, months and years that
    hang together, more so in winter, and 0.035 K a year of warming. [degC]
    """
    rng = np.random.default_rng([seed, house, 1])
    phase = 2 * np.pi * (day_of_year() - 18) / 365.25 + (np.pi if southern else 0.0)
    wave = -swing_c * rng.uniform(0.9, 1.1) * np.cos(phase) - 0.6 * np.cos(2 * phase + 0.5)
    stronger_in_winter = 1.0 + 0.25 * np.cos(phase)
    days = autoregression(rng, DAYS, 4.0, 3.3) * stronger_in_winter
    months = autoregression(rng, DAYS, 40.0, 1.2) + autoregression(rng, DAYS, 300.0, 0.5)
    trend = 0.035 * np.arange(DAYS) / 365.25
    return np.asarray(mean_c + rng.normal(0, 1.0) + wave + days + months + trend)

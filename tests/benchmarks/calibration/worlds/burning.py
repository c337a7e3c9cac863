"""Worlds in which houses burn otherwise than weather and habit of yesterday say."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial

import numpy as np

from tests.benchmarks.calibration.books import kept
from tests.benchmarks.calibration.case import Case, World, day_of
from tests.benchmarks.calibration.climate import DAYS, Floats, autoregression, climate
from tests.benchmarks.calibration.houses import House

Burns = Callable[[House, Floats, np.random.Generator, int], Floats]
"""Use of each day of a house in a climate; the last is the day that will be asked about."""

NOW = 21 * 365 + 5  # first of July, 21 years after the record began
STATED_SD = 0.10
"""Error of a stated yearly use in all worlds."""


def winter_of(days: int = DAYS) -> np.ndarray:
    """Number of the heating year of each day, from July to June."""
    return np.asarray(np.arange(days) // 365.25, dtype=int)


def same(house: House, mean_c: Floats, rng: np.random.Generator, now: int) -> Floats:
    """Every winter alike, days independent."""
    return house.burned(mean_c, rng)


def own_winters(sd: float, house: House, mean_c: Floats, rng: np.random.Generator, now: int) -> Floats:
    """Each heating year has a factor of its own."""
    winter = winter_of(len(mean_c))
    of_winter = np.clip(1 + sd * rng.standard_normal(winter.max() + 1), 0.4, None)
    return house.burned(mean_c, rng, of_winter[winter])


def lasting_days(house: House, mean_c: Floats, rng: np.random.Generator, now: int) -> Floats:
    """Days that hang together: 20 %, fading with 12 days."""
    return house.burned(mean_c, rng, np.clip(1 + autoregression(rng, len(mean_c), 12.0, 0.20), 0.1, None))


def absences(house: House, mean_c: Floats, rng: np.random.Generator, now: int) -> Floats:
    """Three or so absences a year of 4 to 16 days, told to nobody: the house burns a third."""
    away = np.ones(len(mean_c))
    for begin in np.flatnonzero(rng.random(len(mean_c)) < 3 / 365):
        away[begin : begin + int(rng.integers(4, 17))] = 0.33
    return house.burned(mean_c, rng, away)


def stove(house: House, mean_c: Floats, rng: np.random.Generator, now: int) -> Floats:
    """A second stove that the folder does not know, lit in spells and more in some winters than in others."""
    winter = winter_of(len(mean_c))
    liking = rng.beta(1.5, 2.5, winter.max() + 1)[winter]
    lit = (autoregression(rng, len(mean_c), 10.0, 1.0) < 2.5 * liking - 1.0) & (mean_c < 9)
    return house.burned(mean_c, rng, 1.0, np.where(lit, 0.55, 1.0))


def this_winter(more: float, house: House, mean_c: Floats, rng: np.random.Generator, now: int) -> Floats:
    """The heating year that is asked about, and it alone, burns more."""
    winter = winter_of(len(mean_c))
    return house.burned(mean_c, rng, np.where(winter == winter[now], 1 + more, 1.0))


def case_of(
    burns: Burns,
    number: int,
    seed: int,
    *,
    winters: int = 3,
    looks_now: int | None = None,
    by_eye: bool | None = None,
) -> Case:
    """A house with `winters` of readings every month or so, asked about on a day from October to February.

    `looks_now` leaves so many readings since the first of September; half of all read by eye where `by_eye`
    does not say.
    """
    rng = np.random.default_rng([seed, number, 2])
    mean_c = climate(number, seed)
    house = House.invented(rng, mean_c)
    now = NOW + int(rng.integers(95, 240)) if looks_now is None else NOW + int(rng.integers(190, 220))
    burned = burns(house, mean_c, rng, now)
    capacity = house.year_kg * rng.uniform(0.6, 1.2)
    begin = now - int(365.25 * winters) if winters else now - 1
    step = rng.uniform(20, 45)
    days = list(np.arange(begin + 2, now + 1, step).astype(int)) if winters else [now]
    if looks_now is not None:
        autumn = NOW + 62
        days = [d for d in days if d < autumn]
        days += list(np.linspace(autumn + 15, now - 2, looks_now).astype(int))
    eye = bool(rng.random() < 0.5) if by_eye is None else by_eye
    books = kept(rng, burned, capacity, begin, now, tuple(days), by_eye=eye)
    stated = house.year_kg * max(0.3, 1 + STATED_SD * rng.standard_normal())
    truth = {
        "use 90": float(burned[now + 1 : now + 91].sum()),
        "use 365": float(burned[now + 1 : now + 366].sum()),
        "level": float(books.level_kg[now]),
    }
    building = f'pellets_a_year = "{stated:.0f} kg"\nindoor = "20 degC"\npeople = {rng.integers(2, 6)}'
    return Case(
        building, books.readings, books.deliveries, capacity, mean_c, day_of(now), truth,
        ahead_kg=burned[now + 1 :],
    )  # fmt: skip


def world(burns: Burns, **how: int | None) -> World:
    """A world of houses that burn so."""
    return partial(case_of, burns, **how)  # type: ignore[arg-type]


WORLDS: dict[str, World] = {
    "every winter alike": world(same),
    "every winter alike, ten winters": world(same, winters=10),
    "a factor each winter, sd 8 %": world(partial(own_winters, 0.08)),
    "a factor each winter, sd 12 %": world(partial(own_winters, 0.12)),
    "days that hang together": world(lasting_days),
    "undeclared absences": world(absences),
    "undeclared stove": world(stove),
    "15 % more this winter, 3 looks": world(partial(this_winter, 0.15), looks_now=3),
    "15 % more this winter, 3 measured": world(partial(this_winter, 0.15), looks_now=3, by_eye=False),
    "new user, stated year": world(same, winters=0),
}

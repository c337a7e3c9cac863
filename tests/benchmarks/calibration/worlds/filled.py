"""Worlds of people who have their store filled in ways of their own and look at it seldom: what lies in it?

Nobody marks "filled full". What is written on a store is not quite what it holds; readers have an eye of
their own, round to 5 %, and now and then write down what was never there.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import timedelta
from functools import partial
from typing import Any

import numpy as np

from fuelplan.answers.draws import joint_draws
from fuelplan.answers.when_to_order.order import WhatIf
from tests.benchmarks.calibration.case import Case, Draws, World, day_of
from tests.benchmarks.calibration.climate import FIRST_DAY, Floats, autoregression, climate
from tests.benchmarks.calibration.houses import House

NOW = 20 * 365 + 5
YEARS = 3
STATED_SD = 0.10
LOOKS = (0, 3, 12)


@dataclass(frozen=True)
class Store:
    """A store and who has it filled.

    Attributes
    ----------
    said_kg, true_kg
        What it is said to hold, and what it does. [kg]
    usual_kg
        The amount that is ordered where it is always the same. [kg]
    own_share
        Up to where it is filled where that is always the same; 1 is full.
    full_chance
        How often it is filled to the top where that changes.
    """

    said_kg: float
    true_kg: float
    usual_kg: float
    own_share: float
    full_chance: float

    @staticmethod
    def invented(rng: np.random.Generator, year_kg: float) -> Store:
        """Draw a store for a house that burns so much a year."""
        said = round(year_kg * rng.uniform(0.55, 1.3), -2)
        usual = max(500.0, 500 * round(rng.uniform(0.3, 0.65) * said / 500))
        return Store(said, said * rng.normal(1, 0.04), usual, rng.uniform(0.6, 0.92), rng.uniform(0.25, 0.75))


Fills = Callable[[Store, float, np.random.Generator], float]
"""What is wanted of a delivery into a store with so much in it; no more goes in than fits. [kg]"""


def to_the_top(store: Store, now_kg: float, rng: np.random.Generator) -> float:
    """All that goes in."""
    return np.inf


def fixed(store: Store, now_kg: float, rng: np.random.Generator) -> float:
    """Always the same order, within what a tanker's scales do."""
    return store.usual_kg * rng.normal(1, 0.012)


def part(store: Store, now_kg: float, rng: np.random.Generator) -> float:
    """Up to somewhere, another time somewhere else."""
    return max(rng.uniform(0.5, 0.92) * store.true_kg - now_kg, 0.15 * store.said_kg)


def one_share(store: Store, now_kg: float, rng: np.random.Generator) -> float:
    """Always up to about the same share of the store, below the top."""
    return max(rng.normal(store.own_share, 0.02) * store.true_kg - now_kg, 0.15 * store.said_kg)


def mixed(store: Store, now_kg: float, rng: np.random.Generator) -> float:
    """Now to the top, now the usual amount, now a part."""
    if rng.random() < store.full_chance:
        return np.inf
    return (fixed if rng.random() < 0.5 else part)(store, now_kg, rng)


def kept(
    fills: Fills, store: Store, burned_kg: Floats, begin: int, end: int, rng: np.random.Generator
) -> tuple[Floats, dict[int, float]]:
    """Return the level on each evening from `begin` to `end`, and what came on which day. [kg]

    Each house rings at a mark of its own, more or less, and waits for the tanker; one in four also in summer.
    """
    mark, summer, wait = rng.uniform(0.10, 0.45), rng.random() < 0.25, int(rng.integers(3, 15))
    top = rng.uniform(0.96, 1.0)
    level, came = np.full(len(burned_kg), np.nan), dict[int, float]()
    now, due, at = rng.uniform(0.3, 0.9) * store.true_kg, -1, mark + 0.04 * rng.standard_normal()
    for t in range(begin, end + 1):
        share, day = now / store.true_kg, t % 365.25
        cheap = summer and (day > 325 or day < 30) and share < 0.55 and rng.random() < 0.03
        if due < 0 and (share < at or cheap):
            due = t + wait
        if 0 <= due <= t or share < 0.02:
            room = max(0.0, min(top + 0.012 * rng.standard_normal(), 1.01) * store.true_kg - now)
            came[t] = min(fills(store, now, rng), room)
            now, due, at = now + came[t], -1, mark + 0.04 * rng.standard_normal()
        now = max(0.0, now - burned_kg[t])
        level[t] = now
    return level, came


def looked(
    rng: np.random.Generator, store: Store, level: Floats, begin: int, end: int, looks: int
) -> tuple[str, ...]:
    """Return rows of `readings.csv`, on any days."""
    eye, rows = 0.02 * rng.standard_normal(), []
    for t in np.sort(rng.choice(np.arange(begin, end + 1), looks, replace=False)):
        said = level[t] / store.true_kg + eye + 0.085 * rng.standard_normal()
        if rng.random() < 0.02:
            said = rng.random()
        share = min(max(5 * round(20 * said), 0), 100)
        rows.append(f"{FIRST_DAY + timedelta(days=int(t))},{share} %,by eye")
    return tuple(rows)


def case_of(fills: Fills, looks: int, number: int, seed: int) -> Case:
    """A house on any day of the year, three years after its books began."""
    rng = np.random.default_rng([seed, number, 3])
    mean_c = climate(number, seed)
    house = House.invented(rng, mean_c)
    now = NOW + int(rng.integers(0, 365))
    begin = now - int(365.25 * YEARS)
    winter = np.asarray(np.arange(len(mean_c)) // 365.25, dtype=int)
    of_winter = 1 + 0.07 * rng.standard_normal(winter.max() + 1)
    lasting = np.clip(1 + autoregression(rng, len(mean_c), 12.0, 0.10), 0.1, None)
    burned = house.burned(mean_c, rng, of_winter[winter] * lasting)
    store = Store.invented(rng, house.year_kg)
    level, came = kept(fills, store, burned, begin, now, rng)
    rows = looked(rng, store, level, begin, now, looks)
    brought = tuple(
        f"{FIRST_DAY + timedelta(days=t)},{round(kg * rng.normal(1, 0.004), -1):.0f} kg,yes,no,delivered"
        for t, kg in came.items()
    )
    stated = house.year_kg * max(0.3, 1 + STATED_SD * rng.standard_normal())
    building = f'pellets_a_year = "{stated:.0f} kg"\nindoor = "20 degC"\npeople = {rng.integers(2, 6)}'
    truth = {"level": float(level[now])}
    return Case(building, rows, brought, store.said_kg, mean_c, day_of(now), truth, ask=level_alone)


def level_alone(prepared: Any) -> Draws:
    """Draws of the level that an order goes by. [kg]"""
    belief, rng = prepared.belief, np.random.default_rng(prepared.seed)
    drawn = joint_draws(prepared.setting, belief.posterior, prepared.winters, WhatIf(), rng, belief.fuller)
    return {"level": drawn.level_kg}


_FILLS: dict[str, Fills] = {
    "filled full": to_the_top,
    "part fills": part,
    "fixed amounts": fixed,
    "mixed": mixed,
    "always to a share": one_share,
}
WORLDS: dict[str, World] = {
    f"{name}, {looks} looks": partial(case_of, fills, looks)
    for name, fills in _FILLS.items()
    for looks in LOOKS
}

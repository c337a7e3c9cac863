"""The owner who orders and the reader who reads: what stands in a folder, and what is true."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import timedelta

import numpy as np

from tests.benchmarks.calibration.climate import FIRST_DAY, Floats

READINGS = "date,reading,how"
DELIVERIES = "delivered_on,delivered,weighed,filled_full,outcome"


@dataclass(frozen=True)
class Books:
    """Rows of the two tables, and the true level of every evening, shape (days,). [kg]"""

    readings: tuple[str, ...]
    deliveries: tuple[str, ...]
    level_kg: Floats


def levels(
    rng: np.random.Generator, burned_kg: Floats, capacity_kg: float, begin: int
) -> tuple[Floats, dict[int, float]]:
    """Levels from `begin` on, and what came on which day: the owner orders at a mark of his own, waits one to
    three weeks, and has a part of the room filled that differs from time to time. [kg]
    """
    level, came = np.full(len(burned_kg), np.nan), dict[int, float]()
    now, mark, due = capacity_kg * rng.uniform(0.4, 0.95), rng.uniform(0.15, 0.4) * capacity_kg, -1
    for t in range(begin, len(burned_kg)):
        if due < 0 and now < mark:
            due = t + int(rng.integers(7, 22))
        if t == due or now < 0.02 * capacity_kg:
            kg = min(round((capacity_kg - now) * rng.uniform(0.55, 0.92), -1), capacity_kg - now)
            came[t], now, due = kg, now + kg, -1
        now = max(0.0, now - burned_kg[t])
        level[t] = now
    return level, came


def read(rng: np.random.Generator, day: int, level_kg: float, capacity_kg: float, by_eye: bool) -> str:
    """A row of `readings.csv`: by eye to the next 5 % with an error of 7 % of the store, or measured."""
    share = level_kg / capacity_kg
    if by_eye:
        said = 5 * round(100 * (share + 0.07 * rng.standard_normal()) / 5)
    else:
        said = round(100 * (share + 0.02 * rng.standard_normal()))
    on = FIRST_DAY + timedelta(days=int(day))
    return f"{on},{min(max(said, 0), 100)} %,{'by eye' if by_eye else 'measured'}"


def kept(
    rng: np.random.Generator,
    burned_kg: Floats,
    capacity_kg: float,
    begin: int,
    now: int,
    read_on: tuple[int, ...],
    by_eye: bool,
) -> Books:
    """Keep the books from day `begin` up to `now`, and read on some days; levels go on to the end."""
    level, came = levels(rng, burned_kg, capacity_kg, begin)
    seen = [t for t in sorted(set(read_on)) if begin <= t <= now and t not in came]
    rows = tuple(read(rng, t, float(level[t]), capacity_kg, by_eye) for t in seen)
    brought = tuple(
        f"{FIRST_DAY + timedelta(days=t)},{kg:.0f} kg,yes,no,delivered" for t, kg in came.items() if t <= now
    )
    return Books(rows, brought, level)

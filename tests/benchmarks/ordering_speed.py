"""Speed of the order answer of a prepared house: the optimum, its what-ifs, the whole answer.

Run `python -m tests.benchmarks.ordering_speed`.
"""

from __future__ import annotations

from datetime import date
from pathlib import Path

import numpy as np
import pandas as pd

from fuelplan import answers
from fuelplan.ordering.optimum import Costs, StoreLimits, value_of_stock
from fuelplan.ordering.plan import plan_year
from fuelplan.ordering.prices import Bracket, Offer, default_season, tariff
from fuelplan.ordering.today import decide_today
from tests.benchmarks.measure import Row, compared, table_of, timed, timed_many
from tests.ordering_sites import paths_of_one_house

DEMO = Path(__file__).resolve().parents[2] / "demo_sites" / "family_house"
DAY = date(2026, 1, 15)
FLOOR = "the demand of all paths copied once"


def plain_levels(demand: np.ndarray, level_kg: float, reserve_kg: float) -> pd.Series:
    """The first day below the reserve on each path, as a practitioner would write it: a Series for each."""
    first = {}
    for path in range(len(demand)):
        left = level_kg - pd.Series(demand[path]).cumsum()
        low = left[left < reserve_kg]
        first[path] = low.index[0] if len(low) else len(left)
    return pd.Series(first).quantile([0.02, 0.1, 0.5, 0.9])


def plain_value(demand: np.ndarray, steps_kg: float, price: float) -> np.ndarray:
    """Value of stock of one week for every level, as a plain Python recursion has it."""
    use = demand[:, :7].sum(axis=1).tolist()
    levels = [k * steps_kg for k in range(100)]
    coming = [price * (5000.0 - level) for level in levels]
    out = []
    for level in levels:
        best = float("inf")
        for amount in (0.0, 2000.0, 2500.0, 3000.0, 3500.0, 4000.0):
            total = 0.0
            for kg in use:
                left = min(level + amount, 5000.0) - kg
                total += 200.0 if left < 0 else coming[min(99, int(left / steps_kg))]
            best = min(best, amount * price + total / len(use))
        out.append(best)
    return np.array(out)


def rows(quick: bool) -> list[Row]:
    """The optimum of one house and its what-ifs, then the whole answer of the demo house."""
    draws = 200 if quick else 1000
    demand, arrival, first_day = paths_of_one_house(draws=draws, days=420)
    offer = Offer("Invented Fuel", "EUR", (Bracket(2000, 0.33), Bracket(4000, 0.315)), 0.07)
    costs = Costs(tariff([offer], np.arange(2000, 5001, 500.0)), default_season(), 0.9, 200.0)
    store = StoreLimits(5000.0, 300.0, 100.0)
    value = value_of_stock(demand, arrival, first_day, store, costs, risk_limit=0.02)
    level = np.full(draws, 2500.0)
    floor = FLOOR, timed_many(demand.copy)
    week = timed(lambda: plain_value(demand, 50.0, 0.33), 1)
    levels = (
        "a pandas Series for each path, run-out days alone",
        timed(lambda: plain_levels(demand, 2500.0, 300.0), 1),
        1.0,
    )
    recursion = "a plain Python recursion; one week measured, times 104", week, 104.0
    name = f"{draws:,} paths"
    found = [
        compared(
            f"value of stock, {name}, 104 weeks",
            timed(lambda: value_of_stock(demand, arrival, first_day, store, costs, risk_limit=0.02), 5),
            recursion, floor,
        ),
        compared(
            f"what-if of the level: today's decision, {name}",
            timed_many(lambda: decide_today(value, level, demand, arrival[:, 0], arrival[:, 1])),
            levels, floor,
        ),
        compared(
            f"plan of the year beside three simple rules, {name}",
            timed(lambda: plan_year(value, level, demand, arrival), 5), levels, floor,
        ),
    ]  # fmt: skip
    return [*found, whole_answer()]


def whole_answer() -> Row:
    """A what-if of the demo house, everything it shows."""
    site = answers.open_site(DEMO)
    prepared = answers.prepare(site, answers.weather_for(site, DAY), DAY)
    answers.answer_prepared(prepared)
    demand, _, _ = paths_of_one_house(draws=1000, days=550)
    return compared(
        "a what-if on what was prepared, demo house: the whole answer",
        timed(lambda: answers.answer_prepared(prepared, answers.WhatIf(colder_c=1.0))),
        ("a pandas Series for each of 1,000 paths, run-out days alone",
         timed(lambda: plain_levels(demand, 2500.0, 300.0), 1), 1.0),
        ("1,000 paths of 550 days copied once", timed_many(demand.copy)),
    )  # fmt: skip


if __name__ == "__main__":
    print("\n".join(table_of(rows(quick=False))))

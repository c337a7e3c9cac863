"""How fast stores are sized: 20 sizes in 30 winters with a monthly rule, beside a plain Python loop.

Run `python -m tests.benchmarks.sizing`.
"""

from __future__ import annotations

import time
from datetime import date, timedelta
from typing import Any

import numpy as np

from fuelplan.prices import SWISS_SEASON, drop_size_factor
from fuelplan.sizing import Costs, OrderRule, Sizes, size_store

FIRST_DAY = date(2025, 7, 1)


def invented_demand(winters: int = 30, seed: int = 2) -> np.ndarray:
    """Fuel a day of invented years from July on, (winters, 365). [kg]"""
    rng = np.random.default_rng(seed)
    season = 9 + 10 * np.cos(2 * np.pi * (np.arange(365) - 20) / 365)
    noise = rng.normal(0, 2.2, (winters, 365))
    for d in range(1, 365):
        noise[:, d] += 0.7 * noise[:, d - 1]
    outdoor = season + noise + rng.normal(0, 0.7, (winters, 1))
    return np.maximum(0.0, 15 - outdoor) * 0.22 * 24 / 4.1 + 1.2


def plain(
    demand: list[list[float]],
    s_kg: list[list[float]],
    least_use_kg: list[list[float]],
    sure_kg: float,
    usable_kg: float,
    rule: OrderRule,
    price_per_kg: float,
    summer: bool,
) -> dict[str, float]:
    """One store through all winters as one would write it down, given s and the least use of each look."""
    months = [(FIRST_DAY + timedelta(days=d)).month - 1 for d in range(365)]
    firsts = [d for d in range(365) if (FIRST_DAY + timedelta(days=d)).day == 1]
    level, coming, price, wait = sure_kg, 0.0, 0.0, None
    doubt = rule.doubt_share * max(usable_kg, sure_kg)
    out = {"deliveries": 0.0, "delivered": 0.0, "paid": 0.0, "unmet": 0.0, "lowest": level}
    for w, year in enumerate(demand):
        for d, kg in enumerate(year):
            if wait is not None:
                wait -= 1
                if wait == 0:
                    accepted = min(coming, max(usable_kg, sure_kg) - level)
                    level += accepted
                    out["deliveries"] += accepted > 0
                    out["delivered"] += accepted
                    out["paid"] += accepted * price
                    wait = None
            if d in firsts:
                k = firsts.index(d)
                season = SWISS_SEASON[months[d]]
                room = sure_kg - (level + doubt - min(least_use_kg[w][k], level))
                amount = min(room, rule.largest_drop_kg) // rule.step_kg * rule.step_kg
                if (
                    level - doubt <= s_kg[w][k] or (summer and season <= 0.98)
                ) and amount >= rule.smallest_drop_kg:
                    coming, wait = amount, rule.lead_days
                    price = price_per_kg * season * float(drop_size_factor(amount))
            burned = min(level, kg)
            level -= burned
            out["unmet"] += kg - burned
            out["lowest"] = min(out["lowest"], level)
    return out | {"end": level}


def run() -> list[dict[str, Any]]:
    """Time both in this run; the plain loop plays two sizes and is scaled up to all with both rules."""
    demand = invented_demand()
    sizes = Sizes.by_room_rule(np.linspace(4, 30, 20))
    rule, costs = OrderRule(), Costs(0.35, room_per_m3=250.0)
    size_store(demand, sizes, rule, costs, first_day=FIRST_DAY, load_kw=9.0)
    start = time.perf_counter()
    size_store(demand, sizes, rule, costs, first_day=FIRST_DAY, load_kw=9.0)
    ours = time.perf_counter() - start
    looks = [[800.0] * 12] * 30, [[100.0] * 12] * 30
    start = time.perf_counter()
    for j in (5, 15):
        plain(
            demand.tolist(),
            *looks,
            float(sizes.sure_kg[j]),
            float(sizes.usable_kg[j]),
            rule,
            0.35,
            summer=True,
        )
    slow = (time.perf_counter() - start) / 2 * len(sizes) * 2
    start = time.perf_counter()
    for _ in range(2 * len(sizes)):  # the floor: every demand read and added up once for each size and rule
        np.cumsum(demand, axis=1)
    floor = time.perf_counter() - start
    return [
        {
            "name": "sizing: 20 stores x 30 winters, with and without summer filling",
            "ours_s": ours,
            "plain_s": slow,
            "floor_s": floor,
            "ratio_plain": slow / ours,
            "ratio_floor": ours / floor,
        }
    ]


if __name__ == "__main__":
    for row in run():
        print(row)

"""How fast stores are sized: 20 sizes in 30 winters with a monthly rule, beside a plain Python loop.

Run `python -m tests.benchmarks.sizing`.
"""

from __future__ import annotations

from datetime import date, timedelta

import numpy as np

from fuelplan.ordering.prices import SWISS_SEASON, drop_size_factor
from fuelplan.sizing import OrderRule, Sizes, StoreCosts, size_store
from tests.benchmarks.measure import Row, compared, table_of, timed, timed_many

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


def rows(quick: bool) -> list[Row]:
    """Twenty sizes and both rules; the plain loop plays two sizes by one rule."""
    demand = invented_demand(10 if quick else 30)
    sizes = Sizes.by_room_rule(np.linspace(4, 30, 6 if quick else 20))
    rule, costs = OrderRule(), StoreCosts(0.35, room_per_m3=250.0)
    looks = [[800.0] * 12] * len(demand), [[100.0] * 12] * len(demand)
    two = [(float(sizes.sure_kg[j]), float(sizes.usable_kg[j])) for j in (1, len(sizes) - 2)]
    copy = np.empty_like(demand)
    return [
        compared(
            f"store sizes, {len(sizes)} × {len(demand)} winters, with and without summer filling",
            timed(lambda: size_store(demand, sizes, rule, costs, first_day=FIRST_DAY, load_kw=9.0)),
            (
                "a plain Python loop over the days, what each look asks for given",
                timed(lambda: [plain(demand.tolist(), *looks, *s, rule, 0.35, summer=True) for s in two], 1),
                len(sizes),
            ),
            (
                "the demand copied once for each size and rule",
                timed_many(lambda: [np.copyto(copy, demand) for _ in range(2 * len(sizes))]),
            ),
        )
    ]


if __name__ == "__main__":
    print("\n".join(table_of(rows(quick=False))))

"""Speed of learning many customers at once: `python -m tests.benchmarks.signature_speed`."""

from __future__ import annotations

from datetime import timedelta

import numpy as np
import pandas as pd

from fuelplan.learning import Prior, learn, readings
from fuelplan.learning.bulk import learn_many
from tests.benchmarks.measure import Row, compared, table_of, timed, timed_many
from tests.signature_worlds import FIRST_DAY, World, invent, weather_of

DAYS, ALONE = 730, 40


def many_of(world: World, customers: int) -> tuple[object, ...]:
    """Priors and books of many customers: those of the world again and again."""
    which = np.tile(np.arange(len(world.customers)), -(-customers // len(world.customers)))[:customers]
    priors = type(world.priors)(*(getattr(world.priors, f)[which] for f in vars(world.priors)))
    return priors, world.customers.rows(which)


def one_by_one(world: World, count: int) -> None:
    """The same posterior for one customer after the other."""
    c, p = world.customers, world.priors
    for i in range(count):
        seen = [
            readings.Observation(FIRST_DAY + timedelta(int(d)), max(0.0, float(kg)), float(sd), "percent")
            for d, kg, sd in zip(c.reading_day[i], c.reading_kg[i], c.reading_sd_kg[i], strict=True)
        ]
        came = [
            readings.Delivery(FIRST_DAY + timedelta(int(d)), float(kg), float(sd))
            for d, kg, sd in zip(c.delivery_day[i], c.delivery_kg[i], c.delivery_sd_kg[i], strict=True)
            if d >= 0
        ]
        learn(
            Prior(p.slope[i], p.day_kg[i], p.base_c[i], 0.3, 0.5, 1.5),
            weather_of(world.mean_c[c.station[i]]), seen, came, FIRST_DAY + timedelta(DAYS - 1),
            capacity_kg=float(c.capacity_kg[i]), screening=False, changes=False,
        )  # fmt: skip


def plain(world: World, count: int) -> list[np.ndarray]:
    """What a practitioner writes first: use between readings on degree-days and days, a line for each house.

    A fixed base temperature, no errors of readings, no intervals: far less than a posterior.
    """
    c, out = world.customers, []
    degree_days = [pd.Series(np.maximum(0.0, 15.0 - row)).cumsum() for row in world.mean_c]
    for i in range(count):
        seen = pd.DataFrame({"day": c.reading_day[i], "kg": c.reading_kg[i]}).sort_values("day")
        came = pd.DataFrame({"day": c.delivery_day[i], "kg": c.delivery_kg[i]}).query("day >= 0")
        brought = [came.kg[came.day <= day].sum() for day in seen.day]
        seen["used"] = -seen.kg.diff() + pd.Series(brought, index=seen.index).diff()
        seen["degree_days"] = degree_days[int(c.station[i])].reindex(seen.day).to_numpy()
        steps = seen[["degree_days", "day"]].diff().iloc[1:].to_numpy()
        out.append(np.linalg.lstsq(steps, seen.used.iloc[1:].to_numpy(), rcond=None)[0])
    return out


def rows(quick: bool) -> list[Row]:
    """A hundred thousand customers with 12 readings each, on two threads."""
    customers = 2_000 if quick else 100_000
    world = invent(2000, 12, 5, days=DAYS)
    priors, many = many_of(world, customers)
    as_of = FIRST_DAY + timedelta(DAYS - 1)
    ours = timed(lambda: learn_many(priors, FIRST_DAY, world.mean_c, many, as_of, workers=2), 1)  # type: ignore[arg-type]
    floor = (
        "the readings and deliveries copied once",
        timed_many(lambda: [getattr(many, name).copy() for name in vars(many)]),
    )
    name = f"signatures of {customers:,} customers with 12 readings each"
    line = timed(lambda: plain(world, ALONE), 1)
    alone = timed(lambda: one_by_one(world, ALONE), 1)
    return [
        compared(
            name,
            ours,
            ("a pandas least-squares line for each, no doubt told", line, customers / ALONE),
            floor,
        ),
        compared(
            f"{name}, beside one by one",
            ours,
            ("our own posterior, one customer at a time", alone, customers / ALONE),
            floor,
        ),
    ]


if __name__ == "__main__":
    print("\n".join(table_of(rows(quick=False))))

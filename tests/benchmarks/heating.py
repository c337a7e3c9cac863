"""How fast log heating is played: a year of hours in 25 and in 1,000 winters, beside a plain Python loop.

Run `python -m tests.benchmarks.heating`. The plain loop is also the second opinion of
`tests/store/test_log_heating_plain.py`.
"""

from __future__ import annotations

import functools
from math import exp

import numpy as np

from fuelplan.heat.boiler import Boiler
from fuelplan.store.buffer import Buffer
from fuelplan.store.log_heating import LoadingRule, LogLoad, LogPelletBoiler, run, spread_over_day
from tests.benchmarks.measure import Row, compared, table_of, timed, timed_many

DATES = np.datetime64("2025-07-01") + np.arange(365)
RULE = LoadingRule(cold_below_c=-5.0)


def invented_plant() -> LogPelletBoiler:
    """An invented farmhouse boiler with its buffer."""
    return LogPelletBoiler(
        Boiler.typical(30, "logs", installed=2021),
        Boiler.typical(25, "pellets", installed=2021),
        Buffer(2500),
        LogLoad(30, 4.0, 4.5),
    )


def invented_year(winters: int, seed: int = 1) -> tuple[np.ndarray, np.ndarray]:
    """Daily means (winters, 365) and the load of a 12 kW house by the hour (winters, 8760). [degC, kW]"""
    rng = np.random.default_rng(seed)
    mean = 8 + 10 * np.cos(2 * np.pi * (np.arange(365) - 17) / 365) + rng.normal(0, 4, (winters, 365))
    return mean, spread_over_day(0.024 * 375 * np.maximum(17 - mean, 0), 9.0, 24)


def plain(
    plant: LogPelletBoiler,
    load_kw: list[float],
    may: list[bool],
    *,
    most_loads: int = 4,
    buffer_share: float = 0.5,
    house_h: float = 80.0,
) -> tuple[float, float, float]:
    """One winter in hours, as one would write it down; returns logs [kg], pellets [kg], loads."""
    b, logs, pellets = plant.buffer, plant.log_side, plant.pellet_side
    assert logs is not None and pellets is not None and plant.load is not None
    full, batch, log_kw = b.capacity_kwh, plant.load_useful_kwh, plant.log_kw
    held, lack, fire, on, today = buffer_share * full, 0.0, 0.0, False, 0.0
    logs_kg = pellets_kg = loads = 0.0
    start, stop = plant.pellets_on_share * full, plant.pellets_off_share * full
    for t, load in enumerate(load_kw):
        if t % 24 == 0:
            today = 0.0
        if may[t] and fire <= 0 and load > 0:
            for size in (1.0, 0.5):
                room = full - held + 0.8 * load * plant.load.burn_h * size
                if size * batch <= room and today + size <= most_loads:
                    fire, today, loads, on = size * batch, today + size, loads + size, False
                    break
        from_logs = min(fire, log_kw)
        fire = fire - from_logs if fire - from_logs > 1e-9 * batch else 0.0
        temperature_c = b.useful_from_c + held / full * (b.full_c - b.useful_from_c)
        standing = b.loss_coefficient_w_per_k * (temperature_c - b.room_c) / 1000
        wanted, heat = load + lack, 0.0
        if from_logs > 0:
            on = False
        else:
            lights = not on and held - wanted - standing < start
            on = on or lights
            if on:
                power = min(max(wanted + (stop + 0.1 * full - held) / 2, pellets.least_kw), pellets.rated_kw)
                to_stop = max(wanted + standing + stop - held, 0.0)
                heat = min(power, to_stop)
                loss = float(pellets.loss_kw(power)) * heat / power + lights * pellets.start_kwh
                pellets_kg += (heat + loss) / plant.pellet_kwh_per_kg
                on = to_stop - heat > 1e-9
        given = min(wanted, from_logs + heat + max(held - standing, 0.0))
        held = min(held + from_logs + heat - given - standing, full)
        lack = (wanted - given) * exp(-1 / house_h)
        logs_kg += from_logs * plant.load.kg / batch
    return logs_kg, pellets_kg, loads


def rows(quick: bool) -> list[Row]:
    """A year of hours in 25 and in 1,000 winters at once; the plain loop plays one winter."""
    plant = invented_plant()
    mean, load = invented_year(1)
    may = RULE.may_load(DATES, mean, 24)
    one = timed(lambda: plain(plant, load[0].tolist(), may[0].tolist()))
    found = []
    for winters in (25,) if quick else (25, 1000):
        mean, load = invented_year(winters)
        may = RULE.may_load(DATES, mean, 24)
        copy = np.empty_like(load)
        found.append(
            compared(
                f"log heating, a year of hours in {winters:,} winters",
                timed(functools.partial(run, plant, load, may)),
                ("a plain Python loop over the hours", one, winters),
                ("the loads copied once", timed_many(functools.partial(np.copyto, copy, load))),
            )
        )
    return found


if __name__ == "__main__":
    print("\n".join(table_of(rows(quick=False))))

"""Invented farms with a boiler for logs and pellets, lived hour by hour, and what their owners write down.

Nothing of it is the planner's: a building that holds heat, a well mixed buffer, a boiler that burns a charge
evenly, pellets that fill half the buffer when it is nearly empty, and people who light a fire when they feel
like it. What is burned comes from stacks that are counted now and then.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date, timedelta

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

LOG_KWH_PER_KG = 5.0 * 0.82 - 0.6786 * 0.18
"""Beech of 18 % water: 5.0 kWh/kg dry, 0.6786 kWh to boil off a kilogram of water (EN ISO 18125)."""

LOG_KG_PER_M3 = 455.0
"""A stacked cubic metre of split beech at 18 % water (value from memory: tables say 430 to 480)."""

PELLET_KWH_PER_KG = 4.8


@dataclass(frozen=True)
class Farm:
    """A farm, and how its people live.

    Attributes
    ----------
    loss_kw_per_k, base_c, water_kwh
        Heat lost per kelvin below a mean outdoors, and hot water a day. [kW/K, degC, kWh]
    buffer_m3, load_kg, burn_h
        The buffer, and a charge of logs. [m3, kg, h]
    eagerness
        Chance that somebody who could light a fire does.
    log_share, pellet_share
        What boiler and pipes make of each fuel, as a share.
    """

    name: str
    loss_kw_per_k: float
    base_c: float
    water_kwh: float
    buffer_m3: float
    load_kg: float
    burn_h: int
    eagerness: float
    log_share: float = 0.86
    pellet_share: float = 0.82
    stated_off: float = 0.0
    seed: int = 1


@dataclass
class Lived:
    """What was burned on each day. [kg]"""

    first: date
    logs_kg: Floats
    pellets_kg: Floats
    stack_m3: Floats
    fires: list[tuple[date, int]] = field(default_factory=list)


def live(farm: Farm, first: date, mean_c: Floats, stack_m3: float) -> Lived:
    """Live from a day on, hour by hour; `mean_c` has a value a day. [degC, m3]"""
    rng = np.random.default_rng(farm.seed)
    whole = farm.buffer_m3 * 1163.0 * 30.0 / 1000.0  # 30 K between warm and cold. [kWh]
    charge = farm.load_kg * LOG_KWH_PER_KG * farm.log_share
    held, burning, pellets_on, rooms_c = 0.5 * whole, 0, False, float(mean_c[0])
    logs, pellets, stack = np.zeros(len(mean_c)), np.zeros(len(mean_c)), np.zeros(len(mean_c))
    fires = []
    for d in range(len(mean_c)):
        today = first + timedelta(days=d)
        lit = 0
        for hour in range(24):
            rooms_c += (float(mean_c[d]) + 3.0 * np.cos(2 * np.pi * (hour - 15) / 24) - rooms_c) / 20.0
            heating = farm.loss_kw_per_k * max(0.0, farm.base_c - rooms_c)
            water = farm.water_kwh / 4 if hour in (6, 7, 19, 20) else 0.0
            asked = heating + water
            if burning == 0 and lit < 2 and _somebody(today, hour, float(mean_c[d])):
                room = whole - held + 0.8 * asked * farm.burn_h
                if room >= charge and stack_m3 * LOG_KG_PER_M3 >= farm.load_kg:
                    if rng.random() < farm.eagerness:
                        burning, lit = farm.burn_h, lit + 1
                        logs[d] += farm.load_kg
                        stack_m3 -= farm.load_kg / LOG_KG_PER_M3
                        fires.append((today, hour))
                    else:
                        lit += 1  # not this time: the evening is spent otherwise
            gives = charge / farm.burn_h if burning else 0.0
            burning = max(0, burning - 1)
            pellets_on = gives == 0.0 and (held < 0.10 * whole or (pellets_on and held < 0.50 * whole))
            by_pellets = min(25.0, asked + 0.5 * whole - held) if pellets_on else 0.0
            pellets[d] += max(by_pellets, 0.0) / (PELLET_KWH_PER_KG * farm.pellet_share)
            held = max(0.0, held + gives + max(by_pellets, 0.0) - asked)
        stack[d] = stack_m3
    return Lived(first, logs, pellets, stack, fires)


def _somebody(today: date, hour: int, mean_c: float) -> bool:
    """Whether somebody is there to light a fire, as the folder states it."""
    if today.month not in (10, 11, 12, 1, 2, 3, 4) or mean_c > 15.0:
        return False
    at_home = 8 <= hour < 21 if today.weekday() >= 5 else 17 <= hour < 21
    return at_home or (mean_c < -6.0 and (6 <= hour < 8 or 17 <= hour < 22))


FARMS = (
    Farm("as written", 0.36, 16.5, 9.0, 2.0, 24.0, 5, 1.0, seed=11),
    Farm("every other evening", 0.36, 16.5, 9.0, 2.0, 24.0, 5, 0.5, stated_off=0.10, seed=12),
    Farm("large and cold", 0.52, 17.0, 12.0, 3.0, 33.0, 5, 0.8, stated_off=-0.10, seed=13),
    Farm("small and tight", 0.22, 15.0, 7.0, 1.5, 18.0, 4, 0.7, stated_off=0.15, seed=14),
    Farm("hardly ever", 0.36, 16.0, 9.0, 2.0, 24.0, 5, 0.15, stated_off=-0.05, seed=15),
)

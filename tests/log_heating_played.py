"""A log and pellet boiler played through days of weather with a person's loading rule."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from fuelplan.store.log_heating import LoadingRule, LogPelletBoiler, LogPelletRun, run, spread_over_day


def play(
    plant: LogPelletBoiler,
    rule: LoadingRule,
    dates: NDArray[np.datetime64],
    mean_c: ArrayLike,
    space_kwh: ArrayLike,
    hot_water_kwh: ArrayLike,
    **more: Any,
) -> LogPelletRun:
    """Play hours of days, with means of the shape (paths, days); the rest as in `run`. [degC, kWh]"""
    mean = np.atleast_2d(np.asarray(mean_c, dtype=np.float64))
    load = spread_over_day(np.broadcast_to(space_kwh, mean.shape), hot_water_kwh, 24)
    rule_says = {"most_loads_a_day": rule.most_loads_a_day, "half_loads": rule.half_loads}
    return run(plant, load, rule.may_load(dates, mean, 24), **rule_says, **more)

"""From daily heat and weather to logs and pellets of every winter in one call; both run-out dates."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

import numpy as np
from numpy.typing import ArrayLike, NDArray

from fuelplan.store.log_heating.plant import LoadingRule, LogHeatingError, LogPelletBoiler, spread_over_day
from fuelplan.store.log_heating.results import LogPelletRun
from fuelplan.store.log_heating.run import run

Floats = NDArray[np.float64]
Dates = NDArray[np.datetime64]


def play(
    plant: LogPelletBoiler,
    rule: LoadingRule,
    dates: Dates,
    mean_c: ArrayLike,
    space_kwh: ArrayLike,
    hot_water_kwh: ArrayLike,
    *,
    steps_per_day: int = 24,
    logs_kg: ArrayLike = np.inf,
    pellets_kg: ArrayLike = np.inf,
    buffer_share: float = 0.5,
    house_h: float = 80.0,
    keep_steps: bool = False,
) -> LogPelletRun:
    """Play the days of many winters with a person's loading rule.

    Parameters
    ----------
    dates
        Shape (days,).
    mean_c
        Daily means that the person sees when deciding to load, shape (paths, days). [degC]
    space_kwh, hot_water_kwh
        Useful heat of each day, broadcastable to (paths, days). [kWh]
    logs_kg, pellets_kg
        Stock at the start, scalar or (paths,); by default without end, so that what is burned is what is
        asked for. [kg]

    The other parameters are those of `run`.
    """
    mean = np.atleast_2d(np.asarray(mean_c, dtype=np.float64))
    load = spread_over_day(np.broadcast_to(space_kwh, mean.shape), hot_water_kwh, steps_per_day)
    return run(
        plant,
        load,
        rule.may_load(dates, mean, steps_per_day),
        steps_per_day=steps_per_day,
        most_loads_a_day=rule.most_loads_a_day,
        half_loads=rule.half_loads,
        buffer_share=buffer_share,
        logs_kg=logs_kg,
        pellets_kg=pellets_kg,
        house_h=house_h,
        keep_steps=keep_steps,
    )


@dataclass(frozen=True)
class LastsUntil:
    """The day on which a stock is used up: in the fastest tenth, the middle, the slowest tenth.

    None: beyond the days looked at.
    """

    early: date | None
    usual: date | None
    late: date | None


def lasts_until(dates: Dates, burned_kg: ArrayLike, stock_kg: float) -> LastsUntil:
    """Return when a stock without deliveries is used up.

    Parameters
    ----------
    dates
        Shape (days,).
    burned_kg
        What would be burned each day if there were enough, shape (paths, days). [kg]
    stock_kg
        What is there on the evening before. [kg]
    """
    burned = np.atleast_2d(np.asarray(burned_kg, dtype=np.float64))
    if burned.shape[1] != len(dates):
        raise LogHeatingError(f"the fuel burned has {burned.shape[1]} days, the calendar {len(dates)}")
    if not stock_kg >= 0:
        raise LogHeatingError(f"a stock of {stock_kg:g} kg cannot be; write zero or more")
    gone = np.cumsum(burned, axis=1) >= stock_kg - 1e-9
    first = np.where(gone.any(axis=1), np.argmax(gone, axis=1), len(dates))

    def day(share: float) -> date | None:
        at = int(np.quantile(first, share, method="inverted_cdf"))
        return None if at >= len(dates) else dates[at].item()

    return LastsUntil(day(0.1), day(0.5), day(0.9))

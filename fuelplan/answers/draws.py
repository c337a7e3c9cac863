"""Joint draws of winter, signature and starting level, and the fuel asked for on every day of each."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from fuelplan import learning as signature
from fuelplan.answers.beliefs import learned as learned
from fuelplan.answers.setting import Setting, WhatIf
from fuelplan.heat import building
from fuelplan.ordering import HIGH, DrawnStock
from fuelplan.store.log_heating import LogDraws, split_demand
from fuelplan.weather import LOTS, Winters, steady_normals

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

LEAST_DRAWS = 1500
DRAWN = 10_000  # numbers of draws: those of paths, again for every further draw on a path


@dataclass(frozen=True)
class StockDraws(DrawnStock):
    """Joint draws of the fuel of the bulk store, and of the logs beside it.

    Attributes
    ----------
    mean_c
        Shape (draws, days): the weather of each draw. [degC]
    year
        Shape (draws,): real year in which each draw's winter began.
    logs
        Logs of the same draws, where the boiler burns them; `demand_kg` is then what they leave for the
        other fuel.
    lot
        Shape (draws,): the number, below :data:`DRAWN`, by which anything else of a draw is drawn.
    """

    mean_c: Floats
    year: Ints
    logs: LogDraws | None = None
    lot: Ints | None = None

    def uniform(self, rng: np.random.Generator) -> Floats:
        """Return a number between 0 and 1 for each draw, shape (draws,), the same for the same lot."""
        return rng.random(self.count) if self.lot is None else rng.random(DRAWN)[self.lot]


def joint_draws(
    setting: Setting,
    posterior: signature.Posterior,
    winters: Winters,
    what_if: WhatIf,
    rng: np.random.Generator,
    fuller: signature.Posterior | None = None,
) -> StockDraws:
    """Return at least :data:`LEAST_DRAWS` draws, each winter the same number of times."""
    paths = winters.mean_c.shape[0]
    each = -(-LEAST_DRAWS // paths)
    which = np.repeat(np.arange(paths), each)
    # A draw keeps its number from one day to the next, so that only what was learned moves the answer.
    if winters.lot is None:
        lot = np.arange(len(which))
    else:
        lot = (winters.lot[which] + LOTS * np.tile(np.arange(each), paths)) % DRAWN
    *noise_seeds, logs_seed = (int(n) for n in rng.integers(2**31, size=4))
    drawn = posterior.draw_steady(lot, DRAWN, rng)
    mean_c = winters.mean_c[which] - what_if.colder_c
    dates = np.datetime64(winters.first_day, "D") + np.arange(winters.days)
    plan = building.day_plan(dates, setting.absences)
    shift_k = what_if.room_shift_c  # who keeps the rooms warmer heats on warmer days, too
    heated_c = setting.need.heating_c(mean_c - shift_k) + shift_k
    degree_days = building.degree_days_left(heated_c, (drawn.base_c + shift_k)[:, None], plan)
    normals = np.stack([steady_normals(dates, len(which), s)[:, :, 0] for s in noise_seeds])
    demand = drawn.noisy_kg(drawn.usual_kg(degree_days, plan.hot_water_factor), normals)
    level = np.clip(drawn.level_kg, 0.0, setting.store.capacity_kg(setting.store.bulk_high_kg_per_m3))
    left = building.share_left(setting.other_heat, setting.need, dates, mean_c)
    if left is not None:
        demand = demand * left
    logs = None
    side = setting.log_side
    if side is not None:
        habits = np.random.default_rng(logs_seed)
        demand, logs = split_demand(
            side.share,
            side.rule,
            side.stock_kg,
            side.coming,
            setting.as_of,
            demand,
            mean_c,
            habits,
            side.habit,
        )
    by_kg = _fuller_by_kg(posterior, fuller)
    return StockDraws(level, demand, mean_c, winters.year[which], logs, lot, fuller_by_kg=by_kg)


def _fuller_by_kg(posterior: signature.Posterior, fuller: signature.Posterior | None) -> float:
    """Return how much more one posterior may have in store than another, by their high estimates. [kg]"""
    if fuller is None:
        # by the reckoning it cannot be: it may be anything
        return (posterior.capacity_kg or 0.0) if posterior.level_contradicts else 0.0
    high, low = (float(p.quantile((HIGH,))["level_kg"][0]) for p in (fuller, posterior))
    return max(0.0, high - low)

"""One held-out winter: the value of stock fitted without it, and what is known week by week."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

import numpy as np
from numpy.typing import NDArray

from fuelplan.ordering import (
    WEEK,
    YEAR_WEEKS,
    Calendar,
    WeekOutlook,
    cases,
    path_sums,
    site_programme,
    wait_floor,
)
from fuelplan.ordering import programme as dp
from tests.site_replay.optimum import outlook
from tests.site_replay.past import SEASON_DAYS, Draws, Houses, arrival_days

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

HORIZON_WEEKS = 91  # a season and nine months more: what comes later no longer moves the season's values
LEVELS = 41
CASES = 7


@dataclass(frozen=True)
class ForecastErrors:
    """How wrong forecasts are: error of day k is an AR(1) of lag-one `memory` whose sd grows from day to day.

    Attributes
    ----------
    days
        Days forecast; 0 for no forecast.
    first_sd_c, step_sd_c
        Standard deviation of the first day's error and its growth a day. [K]
    memory
        Correlation of the errors of one day and the next.
    """

    days: int = 0
    first_sd_c: float = 1.0
    step_sd_c: float = 0.3
    memory: float = 0.7

    def draw(self, shape: tuple[int, ...], rng: np.random.Generator) -> Floats:
        """Draw errors, shape (…, days). [K]"""
        noise = rng.standard_normal((*shape, self.days))
        for k in range(1, self.days):
            noise[..., k] = self.memory * noise[..., k - 1] + np.sqrt(1 - self.memory**2) * noise[..., k]
        out: Floats = noise * (self.first_sd_c + self.step_sd_c * np.arange(self.days))
        return out


@dataclass(frozen=True)
class Fitted:
    """What was fitted without the held-out winter.

    Attributes
    ----------
    problem, table
        The programme of the sites and its solution.
    demand_kg
        Shape (S, draws, 364). [kg]
    week_mean_c
        Shape (S, draws, 53): mean of the week before each week. [degC]
    """

    problem: dp.Programme
    table: dp.ValueTable
    demand_kg: Floats
    week_mean_c: Floats


def fit(houses: Houses, draws: Draws, first_day: date, calendar: Calendar) -> Fitted:
    """Solve the programme of every house on the draws of the other winters."""
    demand = houses.demand_kg(draws.mean_c[:, :, WEEK:]) * draws.scale[:, :, None]
    weekly = draws.mean_c.reshape(*draws.mean_c.shape[:2], YEAR_WEEKS + 1, WEEK).mean(axis=3)
    weeks = np.arange(YEAR_WEEKS + 1)
    arrival = arrival_days(houses.lead, calendar, first_day, weeks, weekly, draws.lead_u[:, :, None])
    sums = path_sums(demand, arrival, HORIZON_WEEKS)
    sites = houses.sites
    dates = np.datetime64(first_day, "D") + WEEK * np.arange(HORIZON_WEEKS)
    bills = sites.fuel[:, None] * houses.prices.of(dates)[:, None] + sites.charges[:, None]
    problem = site_programme(
        cases(sums, CASES, HORIZON_WEEKS),
        sites.capacity_kg,
        sites.amounts_kg,
        bills,
        wait_floor(sums, sites.reserve_kg, houses.risk_limit, HORIZON_WEEKS),
        holding=sites.holding_per_kg_week,
        unmet=sites.unmet_per_kg,
        unmet_event=sites.unmet_event,
        levels=LEVELS,
    )
    return Fitted(problem, dp.solve(problem), demand, weekly)


def outlook_of_week(
    houses: Houses,
    draws: Draws,
    fitted: Fitted,
    first_day: date,
    calendar: Calendar,
    week: int,
    past_week_c: Floats,
    forecast_c: Floats | None = None,
    errors_c: Floats | None = None,
) -> WeekOutlook:
    """Return what the houses know at the start of a week of the held-out winter.

    Known are the weather of the past week and, where there is one, a forecast; all other days come from the
    draws.

    Parameters
    ----------
    past_week_c
        Shape (S,): mean of the seven days before. [degC]
    forecast_c, errors_c
        Shapes (S, F) and (S, draws, F): the forecast and possible errors of it. [degC, K]
    """
    first = week * WEEK
    led_c = None if forecast_c is None or errors_c is None else forecast_c[:, None, :] + errors_c
    next_week_c = fitted.week_mean_c[:, :, week + 1]
    if led_c is not None and led_c.shape[2] >= WEEK:
        next_week_c = led_c[:, :, :WEEK].mean(axis=2)
    known_c = np.broadcast_to(past_week_c[:, None], draws.lead_u.shape)
    placed = np.array(week)
    now = arrival_days(houses.lead, calendar, first_day, placed, known_c, draws.lead_u) - first
    later = arrival_days(houses.lead, calendar, first_day, placed + 1, next_week_c, draws.lead_u) - first
    last = int(max(later.max(), now.max())) + WEEK
    demand = fitted.demand_kg[:, :, (first + np.arange(last)) % SEASON_DAYS]
    if led_c is not None:
        ahead = min(led_c.shape[2], last)
        demand[:, :, :ahead] = houses.demand_kg(led_c[:, :, :ahead]) * draws.scale[:, :, None]
    total = np.concatenate([np.zeros_like(demand[:, :, :1]), np.cumsum(demand, axis=2)], axis=2)
    jump = now // WEEK + 1
    before = _at(total, now)
    stage = dp.Stage(before, _at(total, jump * WEEK) - before, jump, now / WEEK)
    return outlook(
        total[:, :, WEEK],
        stage,
        _at(total, later),
        draws.doubt_kg,
        houses.sites.reserve_kg,
        houses.risk_limit,
    )


def _at(total: Floats, day: Ints) -> Floats:
    """Running total before a day of each draw. [kg]"""
    out: Floats = np.take_along_axis(total, day[:, :, None], axis=2)[:, :, 0]
    return out

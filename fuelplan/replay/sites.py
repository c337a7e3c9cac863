"""Each past winter played with policies fitted without it, the optimum beside the simple rules."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from fuelplan.ordering.lead_time import Calendar
from fuelplan.ordering.play import Ledger, Season, State, play_season
from fuelplan.ordering.policies import FillInJune, FixedLevel, LastSafeDate, Optimum, Outlook, Policy
from fuelplan.ordering.stages import WEEK, YEAR_WEEKS
from fuelplan.replay.past import (
    Draws,
    Houses,
    Past,
    arrival_days,
    held_out,
    june_weeks,
    season_first_day,
)
from fuelplan.replay.winter import Fitted, ForecastErrors, fit, outlook_of_week

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

FIXED_LEVELS = (0.2, 0.3, 0.4)


@dataclass(frozen=True)
class Truth:
    """What really happens and nobody knows beforehand.

    Attributes
    ----------
    scale
        Shape (S,): true demand against the believed one.
    lead_u
        Shape (S, seasons, weeks): uniform draws of the true lead times.
    read_error_kg
        Shape (S, seasons, weeks). [kg]
    price_level
        Shape (seasons, weeks): level of prices besides the season.
    start_kg
        Shape (S,): level on the eve of the first season. [kg]
    """

    scale: Floats
    lead_u: Floats
    read_error_kg: Floats
    price_level: Floats
    start_kg: Floats


def draw_truth(houses: Houses, seasons: int, seed: int) -> Truth:
    """Draw a truth as uncertain as the houses believe it to be; prices wander by about 6 % a year."""
    rng = np.random.default_rng([seed, 1])
    shape = (len(houses), seasons, YEAR_WEEKS)
    steps = rng.normal(0, 0.06 / np.sqrt(YEAR_WEEKS), seasons * YEAR_WEEKS)
    level = np.empty(len(steps))
    value = 0.0
    for i, step in enumerate(steps):
        value = 0.99 * value + step
        level[i] = value
    return Truth(
        scale=1 + houses.rel_sd * rng.standard_normal(len(houses)),
        lead_u=rng.random(shape),
        read_error_kg=-houses.read_sd_kg[:, None, None] * rng.standard_normal(shape),
        price_level=np.exp(level).reshape(seasons, YEAR_WEEKS),
        start_kg=houses.sites.capacity_kg * rng.uniform(0.5, 0.9, len(houses)),
    )


@dataclass(frozen=True)
class Played:
    """Results of one way of deciding, arrays of the shape (S, seasons); fields as in :class:`play.Ledger`."""

    name: str
    cost: Floats
    bills: Floats
    orders: Ints
    late_orders: Ints
    run_outs: Ints
    unmet_kg: Floats
    delivered_kg: Floats
    burned_kg: Floats


def replay_sites(
    past: Past,
    houses: Houses,
    calendar: Calendar,
    *,
    seed: int,
    per_winter: int = 8,
    forecast: ForecastErrors | None = None,
    truth: Truth | None = None,
    progress: Callable[[int, int], None] | None = None,
) -> tuple[Played, ...]:
    """Play every whole past season in turn, each with policies fitted on all the others.

    Stock runs on from season to season. The optimum stands beside the last safe date, filling every June, and
    ordering below 20, 30 and 40 % of the store.

    Parameters
    ----------
    per_winter
        Draws from each other winter.
    forecast
        None for no forecast; otherwise the true weather of the next days plus a drawn error is known each
        week, and the errors that houses reckon with are drawn from the same law.
    truth
        Drawn from the houses' own doubt where None.
    progress
        Called with (seasons done, seasons).

    Raises
    ------
    TooFewWinters
        Fewer than three whole seasons.
    """
    seasons = past.seasons()
    real = truth or draw_truth(houses, len(seasons), seed)
    states: dict[str, State] = {}
    ledgers: dict[str, list[Ledger]] = {}
    for i in range(len(seasons)):
        draws = held_out(past, houses, i, per_winter, np.random.default_rng([seed, 2, i]))
        policies, season, known = _one_season(past, houses, calendar, real, draws, i, forecast, seed)
        for policy in policies:
            state = states.setdefault(policy.name, State.start(real.start_kg))
            ledgers.setdefault(policy.name, []).append(
                play_season(houses.sites, policy, season, state, known.__getitem__)
            )
        if progress:
            progress(i + 1, len(seasons))
    return tuple(_stack(name, rows) for name, rows in ledgers.items())


def _one_season(
    past: Past,
    houses: Houses,
    calendar: Calendar,
    real: Truth,
    draws: Draws,
    index: int,
    forecast: ForecastErrors | None,
    seed: int,
) -> tuple[list[Policy], Season, list[Outlook]]:
    """Fit the policies and lay out what happens and what is known in one season."""
    year, start, length = past.seasons()[index]
    first_day = season_first_day(year)
    fitted = fit(houses, draws, first_day, calendar)
    before = past.mean_c[:, start - WEEK : start + (YEAR_WEEKS - 1) * WEEK]
    past_week_c = before.reshape(len(houses), YEAR_WEEKS, WEEK).mean(axis=2)
    weeks = np.arange(YEAR_WEEKS)
    arrival = arrival_days(houses.lead, calendar, first_day, weeks, past_week_c, real.lead_u[:, index])
    dates = np.datetime64(first_day, "D") + WEEK * weeks
    price = np.broadcast_to(houses.prices.of(dates) * real.price_level[index], arrival.shape)
    season = Season(
        houses.demand_kg(past.mean_c[:, start : start + length]) * real.scale[:, None],
        arrival - WEEK * weeks,
        price,
        real.read_error_kg[:, index],
    )
    known = _outlooks(past, houses, calendar, draws, fitted, index, past_week_c, forecast, seed)
    sites = houses.sites
    policies: list[Policy] = [Optimum(sites, fitted.problem, fitted.table)]
    policies += [LastSafeDate(sites), FillInJune(sites, june_weeks(first_day))]
    policies += [FixedLevel(sites, share) for share in FIXED_LEVELS]
    return policies, season, known


def _outlooks(
    past: Past,
    houses: Houses,
    calendar: Calendar,
    draws: Draws,
    fitted: Fitted,
    index: int,
    past_week_c: Floats,
    forecast: ForecastErrors | None,
    seed: int,
) -> list[Outlook]:
    """What is known at the start of each week; forecasts are the true days plus a drawn error."""
    year, start, _ = past.seasons()[index]
    first_day = season_first_day(year)
    found = []
    errors_c = None
    rng = np.random.default_rng([seed, 3, index])
    if forecast and forecast.days:
        errors_c = forecast.draw(draws.lead_u.shape, rng)
    for week in range(YEAR_WEEKS):
        forecast_c = None
        if forecast and errors_c is not None:
            at = start + week * WEEK
            true_c = past.mean_c[:, at : at + forecast.days]
            forecast_c = true_c - forecast.draw((len(houses),), rng)[:, : true_c.shape[1]]
        cut = None if forecast_c is None or errors_c is None else errors_c[:, :, : forecast_c.shape[1]]
        found.append(
            outlook_of_week(
                houses, draws, fitted, first_day, calendar, week, past_week_c[:, week], forecast_c, cut
            )
        )
    return found


def _stack(name: str, rows: Sequence[Ledger]) -> Played:
    """Put the seasons side by side."""
    fields = Ledger.__dataclass_fields__
    return Played(name, *(np.stack([getattr(r, f) for r in rows], axis=1) for f in fields))

"""Each past winter played with policies fitted without it, the optimum beside the simple rules."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from fuelplan.ordering import (
    WEEK,
    YEAR_WEEKS,
    Calendar,
    FillInMonth,
    FixedLevel,
    LastSafeDate,
    Ledger,
    PlayedSeason,
    Policy,
    StockState,
    WeekOutlook,
    fill_weeks,
    play_season,
)
from tests.site_replay.optimum import Optimum
from tests.site_replay.past import (
    Houses,
    Past,
    arrival_days,
    held_out,
    season_first_day,
)
from tests.site_replay.winter import ForecastErrors, fit, outlook_of_week

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
    """Results of one way of deciding, arrays of the shape (S, seasons); fields as in :class:`play.Ledger`.

    `forecast_days` is the length of the forecasts it knew; `ordered_kg` has the shape (S, seasons, weeks).
    """

    name: str
    forecast_days: int
    cost: Floats
    bills: Floats
    orders: Ints
    late_orders: Ints
    run_outs: Ints
    unmet_kg: Floats
    delivered_kg: Floats
    burned_kg: Floats
    ordered_kg: Floats


def replay_sites(
    past: Past,
    houses: Houses,
    calendar: Calendar,
    *,
    seed: int,
    per_winter: int = 8,
    forecasts: Sequence[ForecastErrors] = (ForecastErrors(0),),
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
    states: dict[tuple[str, int], StockState] = {}
    ledgers: dict[tuple[str, int], list[Ledger]] = {}
    for i in range(len(seasons)):
        winter = OneWinter(past, houses, calendar, real, i, per_winter, seed)
        for errors in forecasts:
            known = winter.outlooks(errors)
            for policy in winter.policies:
                key = (policy.name, errors.days)
                state = states.setdefault(key, StockState.start(real.start_kg))
                ledger = play_season(houses.sites, policy, winter.season, state, known.__getitem__)
                ledgers.setdefault(key, []).append(ledger)
        if progress:
            progress(i + 1, len(seasons))
    return tuple(_stack(name, days, rows) for (name, days), rows in ledgers.items())


class OneWinter:
    """One held-out season: policies fitted without it, what happens in it, and what is known week by week."""

    def __init__(
        self,
        past: Past,
        houses: Houses,
        calendar: Calendar,
        real: Truth,
        index: int,
        per_winter: int,
        seed: int,
    ) -> None:
        self.past, self.houses, self.calendar, self.index, self.seed = past, houses, calendar, index, seed
        year, self.start, length = past.seasons()[index]
        self.first_day = season_first_day(year)
        self.draws = held_out(past, houses, index, per_winter, np.random.default_rng([seed, 2, index]))
        self.fitted = fit(houses, self.draws, self.first_day, calendar)
        before = past.mean_c[:, self.start - WEEK : self.start + (YEAR_WEEKS - 1) * WEEK]
        self.past_week_c = before.reshape(len(houses), YEAR_WEEKS, WEEK).mean(axis=2)
        weeks = np.arange(YEAR_WEEKS)
        lead_u = real.lead_u[:, index]
        arrival = arrival_days(houses.lead, calendar, self.first_day, weeks, self.past_week_c, lead_u)
        dates = np.datetime64(self.first_day, "D") + WEEK * weeks
        self.season = PlayedSeason(
            houses.demand_kg(past.mean_c[:, self.start : self.start + length]) * real.scale[:, None],
            arrival - WEEK * weeks,
            np.broadcast_to(houses.prices.of(dates) * real.price_level[index], arrival.shape),
            real.read_error_kg[:, index],
        )

    @property
    def policies(self) -> list[Policy]:
        """The optimum and the simple rules."""
        sites = self.houses.sites
        found: list[Policy] = [Optimum(sites, self.fitted.problem, self.fitted.table)]
        found += [LastSafeDate(sites), FillInMonth(sites, fill_weeks(self.first_day, YEAR_WEEKS))]
        return found + [FixedLevel(sites, share) for share in FIXED_LEVELS]

    def outlooks(self, errors: ForecastErrors) -> list[WeekOutlook]:
        """What is known at the start of each week; a forecast is the true days plus a drawn error."""
        rng = np.random.default_rng([self.seed, 3, self.index])
        possible_c = errors.draw(self.draws.lead_u.shape, rng)
        found = []
        for week in range(YEAR_WEEKS):
            forecast_c = None
            if errors.days:
                at = self.start + week * WEEK
                true_c = self.past.mean_c[:, at : at + errors.days]
                forecast_c = true_c - errors.draw((len(self.houses),), rng)[:, : true_c.shape[1]]
            found.append(
                outlook_of_week(
                    self.houses,
                    self.draws,
                    self.fitted,
                    self.first_day,
                    self.calendar,
                    week,
                    self.past_week_c[:, week],
                    forecast_c,
                    None if forecast_c is None else possible_c[:, :, : forecast_c.shape[1]],
                )
            )
        return found


def _stack(name: str, forecast_days: int, rows: Sequence[Ledger]) -> Played:
    """Put the seasons side by side."""
    fields = Ledger.__dataclass_fields__
    return Played(name, forecast_days, *(np.stack([getattr(r, f) for r in rows], axis=1) for f in fields))

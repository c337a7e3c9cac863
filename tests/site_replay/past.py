"""What a replay of sites works on: houses, past weather, and what is left when a winter is held out."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

import numpy as np
from numpy.typing import NDArray

from fuelplan.ordering import WEEK, YEAR_WEEKS, Calendar, LeadTime, Sites
from fuelplan.ordering.prices import SeasonFactors
from fuelplan.weather.degree_days import heating_from_mean

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

SEASON_DAYS = YEAR_WEEKS * WEEK
MOST_SHIFT_DAYS = 10
FIRST_MONTH = 7  # a season runs from 1 July, when stores are fullest and nothing is urgent


class TooFewWinters(ValueError):
    """A record with too few whole seasons to hold one out."""


@dataclass(frozen=True)
class Houses:
    """S houses with what they believe of themselves and how wrong they may be.

    Attributes
    ----------
    sites
        Stores, drops and costs.
    kg_per_degree_day, kg_per_day, base_c
        Shape (S,): the believed heat signature. [kg/(K·d), kg/d, degC]
    rel_sd
        Shape (S,): doubt of the signature as a share.
    read_sd_kg
        Shape (S,): standard error of the level seen. [kg]
    lead
        The supplier's lead time.
    risk_limit
        Highest share of draws in which an order may come too late.
    prices
        Season of prices.
    """

    sites: Sites
    kg_per_degree_day: Floats
    kg_per_day: Floats
    base_c: Floats
    rel_sd: Floats
    read_sd_kg: Floats
    lead: LeadTime
    risk_limit: float
    prices: SeasonFactors

    def __len__(self) -> int:
        """Number of houses."""
        return len(self.kg_per_degree_day)

    def demand_kg(self, mean_c: Floats) -> Floats:
        """Believed demand of daily means, shape (S, …, days). [kg]"""
        shape = (-1,) + (1,) * (mean_c.ndim - 1)
        heat = heating_from_mean(mean_c, self.base_c.reshape(shape))
        out: Floats = self.kg_per_degree_day.reshape(shape) * heat + self.kg_per_day.reshape(shape)
        return out


@dataclass(frozen=True)
class Past:
    """Past weather of S houses: daily means from `first_day` on, shape (S, days). [degC]"""

    first_day: date
    mean_c: Floats

    def __post_init__(self) -> None:
        """Refuse gaps: a day without a temperature is no day without heating."""
        if self.mean_c.ndim != 2:
            raise ValueError(f"mean_c must have the shape (houses, days), not {self.mean_c.shape}")
        gaps = int((~np.isfinite(self.mean_c)).sum())
        if gaps:
            raise ValueError(
                f"{gaps} days have no temperature; fill the gaps of the record before replaying it"
            )

    def seasons(self) -> list[tuple[int, int, int]]:
        """Return (year, first day index, days) of every whole season with room around it for moved draws."""
        found: list[tuple[int, int, int]] = []
        year = self.first_day.year
        days = self.mean_c.shape[1]
        while True:
            start = (date(year, FIRST_MONTH, 1) - self.first_day).days
            length = (date(year + 1, FIRST_MONTH, 1) - date(year, FIRST_MONTH, 1)).days
            if start + length + MOST_SHIFT_DAYS > days:
                return found
            if start >= WEEK + MOST_SHIFT_DAYS:
                found.append((year, start, length))
            year += 1


@dataclass(frozen=True)
class Draws:
    """What a house may think possible for a season with that winter held out; shapes (S, draws, …).

    Attributes
    ----------
    mean_c
        From a week before the season's first day on: (S, draws, 7 + 364). [degC]
    scale
        Demand against the believed one. (S, draws)
    lead_u
        Uniform draws of the lead time. (S, draws)
    doubt_kg
        True level less the level seen. (S, draws) [kg]
    """

    mean_c: Floats
    scale: Floats
    lead_u: Floats
    doubt_kg: Floats


def held_out(past: Past, houses: Houses, season: int, per_winter: int, rng: np.random.Generator) -> Draws:
    """Draw possible seasons from every winter but one.

    Each draw is a whole season of another year, moved by up to ten days so that cold spells do not come on
    fixed dates. No day of the held-out season is in any draw.
    """
    seasons = past.seasons()
    if len(seasons) < 3:
        raise TooFewWinters(
            f"a replay needs three whole seasons from July to June, the record holds {len(seasons)}"
        )
    _, start_out, length_out = seasons[season]
    starts = []
    for i, (_, start, _) in enumerate(seasons):
        if i == season:
            continue
        shift = rng.integers(-MOST_SHIFT_DAYS, MOST_SHIFT_DAYS + 1, per_winter)
        first = start + shift - WEEK
        touches = (first < start_out + length_out) & (first + WEEK + SEASON_DAYS > start_out)
        first = np.where(touches & (start < start_out), start_out - SEASON_DAYS - WEEK, first)
        first = np.where(touches & (start > start_out), start_out + length_out, first)
        starts.append(first)
    at = np.concatenate(starts)
    days = at[:, None] + np.arange(WEEK + SEASON_DAYS)
    n = (len(houses), len(at))
    return Draws(
        mean_c=past.mean_c[:, days],
        scale=1 + houses.rel_sd[:, None] * rng.standard_normal(n),
        lead_u=rng.random(n),
        doubt_kg=houses.read_sd_kg[:, None] * rng.standard_normal(n),
    )


def arrival_days(
    lead: LeadTime, calendar: Calendar, first_day: date, week: Ints, week_mean_c: Floats, u: Floats
) -> Ints:
    """Day index of deliveries for orders at the start of weeks; shapes broadcast."""
    start = np.datetime64(first_day, "D")
    order = np.broadcast_to(start + WEEK * week, np.broadcast_shapes(week_mean_c.shape, u.shape, week.shape))
    out: Ints = (lead.arrival(order, week_mean_c, calendar, u) - start).astype(np.int64)
    return out


def season_first_day(year: int) -> date:
    """First day of the season that begins in a year."""
    return date(year, FIRST_MONTH, 1)

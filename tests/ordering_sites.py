"""Random houses and invented weather for tests of ordering: seeded, and like no real place."""

from __future__ import annotations

from dataclasses import fields, replace
from datetime import date
from typing import Any

import numpy as np

from fuelplan.ordering import Sites
from fuelplan.ordering.lead_time import LeadTime
from fuelplan.ordering.prices import Bracket, Offer, default_season, tariff
from tests.site_replay.past import Houses, Past

FIRST_DAY = date(2001, 6, 1)
PRICE_PER_KG = 0.31


class MondayToFriday:
    """Working days without holidays."""

    def add_array(self, days: Any, n: Any) -> Any:
        """Return the n-th working day after each day."""
        return np.busday_offset(np.busday_offset(days, 0, roll="backward"), n)


def invented_weather(areas: int, winters: int, seed: int) -> np.ndarray:
    """Daily means of areas that share most of their weather, shape (areas, days). [degC]

    A yearly wave, winters that are cold or mild as a whole, and spells of days (AR(1) with 0.82 a day).
    """
    rng = np.random.default_rng([seed, 77])
    days = winters * 365 + winters // 4 + 90
    day = np.arange(days)
    wave = -np.cos(2 * np.pi * (day + 152 - 17) / 365.25)  # coldest in the middle of January
    winter_of = (day + 30 - 61) // 365
    winter_sd = np.where(wave < 0, 1.0, 0.3)

    def spells(sd: float) -> np.ndarray:
        noise, x, out = rng.normal(0, sd * np.sqrt(1 - 0.82**2), days), 0.0, np.empty(days)
        for t in range(days):
            x = 0.82 * x + noise[t]
            out[t] = x
        return out

    shared = rng.normal(0, 1.3, winters + 3)[winter_of] * winter_sd + spells(3.4)
    own = [rng.normal(8.5, 1.2) + rng.normal(9.8, 0.7) * wave + shared + spells(1.3) for _ in range(areas)]
    return np.array(own)


def random_houses(count: int, seed: int, risk_limit: float = 0.02) -> tuple[Houses, np.ndarray]:
    """Random houses and the area each lies in."""
    rng = np.random.default_rng([seed, 78])
    yearly_kg = rng.uniform(2500, 9000, count)
    hot_water = rng.uniform(0.08, 0.25, count)
    base_c = rng.uniform(13, 17, count)
    capacity = yearly_kg * rng.uniform(0.6, 1.5, count)
    capacity = np.maximum(capacity, 3200.0)
    share = np.linspace(0.35, 0.95, 6)
    amounts = np.maximum(1500.0, np.round(capacity[:, None] * share / 100) * 100)
    amounts = amounts + 100.0 * np.arange(6)  # strictly rising also where the smallest drop rules
    amounts = np.minimum(amounts, capacity[:, None])
    fuel, charges = bills(amounts)
    reference = np.full(count, PRICE_PER_KG)
    sites = Sites(
        capacity_kg=capacity,
        reserve_kg=rng.uniform(0.02, 0.06, count) * capacity,
        amounts_kg=amounts,
        fuel=fuel,
        charges=charges,
        holding_per_kg_week=0.03 * reference * 7 / 365,
        unmet_per_kg=np.full(count, 0.9),
        unmet_event=np.full(count, 200.0),
        reference_per_kg=reference,
    )
    houses = Houses(
        sites=sites,
        kg_per_degree_day=yearly_kg * (1 - hot_water) / 2600,
        kg_per_day=yearly_kg * hot_water / 365,
        base_c=base_c,
        rel_sd=rng.uniform(0.02, 0.08, count),
        read_sd_kg=rng.uniform(0.01, 0.03, count) * capacity,
        lead=LeadTime(3, 9, by_month=(2, 1, 0, 0, 0, 0, 0, 0, 0, 1, 1, 2), days_per_k=0.5),
        risk_limit=risk_limit,
        prices=default_season(),
    )
    return houses, rng.integers(0, 6, count)


def some_houses(houses: Houses, rows: slice) -> Houses:
    """Part of the houses."""
    sites = Sites(**{f.name: getattr(houses.sites, f.name)[rows] for f in fields(Sites)})
    names = ("kg_per_degree_day", "kg_per_day", "base_c", "rel_sd", "read_sd_kg")
    return replace(houses, sites=sites, **{n: getattr(houses, n)[rows] for n in names})


def bills(amounts_kg: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Whole bills of an invented offer for amounts of any shape: (fuel, charges)."""
    offer = Offer(
        "Invented Fuel",
        "EUR",
        (
            Bracket(1000, PRICE_PER_KG * 1.10),
            Bracket(3000, PRICE_PER_KG * 1.04),
            Bracket(5000, PRICE_PER_KG * 1.0),
            Bracket(8000, PRICE_PER_KG * 0.975),
        ),
        0.07,
        blow_in_charge=38.0,
    )
    whole = tariff([offer], np.unique(amounts_kg))
    at = np.searchsorted(whole.amounts_kg, amounts_kg)
    return whole.fuel[at], whole.charges[at]


def random_past(winters: int, area: np.ndarray, seed: int) -> Past:
    """Past weather of houses by their area."""
    return Past(FIRST_DAY, invented_weather(int(area.max()) + 1, winters, seed)[area])


def paths_of_one_house(
    draws: int = 300, days: int = 420, yearly_kg: float = 4500.0, seed: int = 5
) -> tuple[np.ndarray, np.ndarray, date]:
    """Demand (draws, days), arrivals of weekly orders (draws, 53) after 4 to 15 days, and day 0."""
    rng = np.random.default_rng([seed, 79])
    first_day = date(2025, 9, 15)
    day = np.arange(days)
    mean_c = 9.5 - 10 * np.cos(2 * np.pi * (day + 258 - 15) / 365.25)
    spell = np.zeros((draws, days))
    x = rng.normal(0, 4, draws)
    for t in day:
        x = 0.8 * x + rng.normal(0, 2.4, draws)
        spell[:, t] = x
    outdoor_c = mean_c + spell + rng.normal(0, 0.7, draws)[:, None]
    slope = 0.85 * yearly_kg / 2600 * (1 + rng.normal(0, 0.04, (draws, 1)))
    demand = slope * np.maximum(0, 15 - outdoor_c) + 0.15 * yearly_kg / 365
    arrival = 7 * np.arange(53) + rng.integers(4, 16, (draws, 1))
    return demand, arrival.astype(np.int64), first_day

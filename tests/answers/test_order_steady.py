"""An order answer asked again tomorrow rests on the same chances, and says when its date hangs on a hair."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import Any

import numpy as np

from fuelplan import answers
from fuelplan.answers.draws import joint_draws
from fuelplan.answers.setting import WhatIf
from fuelplan.weather.generator import USUAL_SHARES, Generator
from fuelplan.weather.seasons import YearlyCycle

DEMO = Path(__file__).parents[2] / "demo_sites" / "family_house"
STILL = YearlyCycle(np.array([8.0, -10.0, 0.0]), np.array([4.0, 0.5, 0.0]), 0.0, 2026.0)
GENERATOR = Generator(STILL, USUAL_SHARES, 25.0)


def dates(first: str, days: int) -> Any:
    """Days in a row."""
    return np.datetime64(first, "D") + np.arange(days)


def drawn_on(day: date) -> Any:
    """Each draw of the demo house: kind of winter, use in December 2025, and the level on that day. [kg]"""
    site = answers.open_site(DEMO)
    known = answers.prepare(site, answers.weather_for(site, day), day)
    found = joint_draws(
        known.setting, known.belief.posterior, known.winters, WhatIf(), np.random.default_rng(1)
    )
    first = (date(2025, 12, 1) - day).days - 1
    return found.year, found.demand_kg[:, first : first + 31].sum(axis=1), found.level_kg


def test_a_draw_is_the_same_house_and_winter_three_weeks_later() -> None:
    """Asked in May and three weeks on, made winters burn the same in December, draw by draw."""
    (year, one, level), (year_two, two, level_two) = (drawn_on(date(2025, 5, n)) for n in (6, 27))
    assert np.array_equal(year, year_two)
    made = year == 0
    assert np.corrcoef(one[made], two[made])[0, 1] > 0.98
    assert np.corrcoef(level, level_two)[0, 1] > 0.98


def test_made_weather_belongs_to_its_day() -> None:
    """Paths asked a day later are the same from then on; a month later, but for the slowest part, too."""
    today = GENERATOR.draw_steady(dates("2026-01-15", 300), 50, seed=4)
    tomorrow = GENERATOR.draw_steady(dates("2026-01-16", 300), 50, seed=4)
    assert np.array_equal(today[:, 1:], tomorrow[:, :-1])
    in_a_month = GENERATOR.draw_steady(dates("2026-02-16", 200), 50, seed=4)
    assert np.abs(in_a_month - today[:, 32:232]).max() < 0.5
    assert not np.allclose(today, GENERATOR.draw_steady(dates("2026-01-15", 300), 50, seed=5), atol=1.0)
    more = GENERATOR.draw_steady(dates("2026-01-15", 300), 80, seed=4)
    assert np.array_equal(more[:50], today)


def test_steady_weather_spreads_as_the_generator_does() -> None:
    """Spread of days, of sums of 30 and of 90 days: within 5 % of paths that are drawn in the usual way."""
    days = dates("2026-01-15", 180)
    usual = GENERATOR.draw(days, 4000, np.random.default_rng(1))
    steady = GENERATOR.draw_steady(days, 4000, seed=1)
    for length in (1, 30, 90):
        for start in (0, 85):
            a, b = (x[:, start : start + length].sum(axis=1).std() for x in (usual, steady))
            assert abs(a / b - 1) < 0.05, (length, start)
    assert abs(usual.mean() - steady.mean()) < 0.1

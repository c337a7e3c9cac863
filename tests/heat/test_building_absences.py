"""Periods away, the boiler off, and night set-back."""

from __future__ import annotations

from datetime import date

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from fuelplan.heat.building import Absence, BuildingError, day_plan, degree_days_left

DATES = np.arange("2026-01-01", "2026-03-02", dtype="datetime64[D]")
COLD_C = np.full(len(DATES), -2.0)


def left(
    absences: list[Absence], base_c: float = 16.0, mean_c: np.ndarray = COLD_C, hours: float = 80.0
) -> np.ndarray:
    """Degree-days left with these absences."""
    return degree_days_left(mean_c, base_c, day_plan(DATES, absences), time_constant_h=hours)


def test_usual_days_are_plain_degree_days() -> None:
    """Without absences nothing is changed, in any winter."""
    mean = np.array([COLD_C, COLD_C + 30.0])
    assert left([], mean_c=mean) == pytest.approx(np.maximum(16.0 - mean, 0.0))


def test_boiler_off_burns_nothing_and_is_paid_for_afterwards() -> None:
    """Off for ten days: no heat then; on the way back just the heat that the cold house has lost."""
    off = left([Absence(date(2026, 1, 10), date(2026, 1, 19), boiler_off=True)])
    days = slice(9, 19)
    assert (off[days] == 0).all()
    lack = 18.0
    keeps = np.exp(-24 / 80)
    below = lack * (1 - keeps**10)  # kelvin below the usual after ten free days
    assert off[19] == pytest.approx((lack + (below - lack) * keeps) / (1 - keeps))
    assert (off[20:] == pytest.approx(lack)) and (off[:9] == pytest.approx(lack))


@given(st.floats(20, 300), st.integers(1, 20), st.floats(0, 15), st.booleans(), st.integers(0, 99))
def test_the_house_is_as_warm_as_asked_for_no_heat_too_much(
    hours: float, days: int, set_back_k: float, off: bool, seed: int
) -> None:
    """Put back into the house as steady heat, each day's degree-days end it just at what is kept, or it
    floats above it.
    """
    mean = np.random.default_rng(seed).uniform(-12.0, 12.0, len(DATES))
    away = Absence(date(2026, 1, 10), date(2026, 1, 9 + days), boiler_off=off, set_back_k=set_back_k)
    heat = left([away], mean_c=mean, hours=hours)
    keeps, below, missed = np.exp(-24 / hours), 0.0, 0.0
    for day, lack in enumerate(16.0 - mean):
        goal = lack - heat[day]  # where the house would settle at this heat
        mean_below = goal + (below - goal) * (1 - keeps) * hours / 24
        below = goal + (below - goal) * keeps
        missed += mean_below
        allowed = (np.inf if off else set_back_k) if 9 <= day < 9 + days else 0.0
        assert -1e-6 <= below <= allowed + 1e-6
        assert heat[day] == 0.0 or below == pytest.approx(allowed, abs=1e-6)
    # What was saved is what the cooler house did not lose.
    assert (16.0 - mean).sum() - heat.sum() == pytest.approx(missed, abs=1e-6)


def test_a_set_back_saves_its_kelvins_in_the_long_run() -> None:
    """After the house has cooled down, each day takes just the set-back's kelvins less."""
    away = left([Absence(date(2026, 1, 10), date(2026, 2, 20), set_back_k=5.0)])
    assert away[40] == pytest.approx(18.0 - 5.0)


def test_hot_water_stops_and_gains_are_missing_when_away() -> None:
    """Nobody showers and nobody warms the house: water factor 0, and a higher base."""
    plan = day_plan(DATES, [Absence(date(2026, 1, 10), date(2026, 1, 12), gains_lost_k=1.5)])
    assert list(plan.hot_water_factor[8:13]) == [1, 0, 0, 0, 1]
    assert degree_days_left(COLD_C, 16.0, plan)[9] == pytest.approx(19.5)


def test_many_draws_have_their_own_base() -> None:
    """The base may differ from draw to draw while the weather has a row for each."""
    plan = day_plan(DATES, [Absence(date(2026, 1, 5), date(2026, 1, 8), boiler_off=True)])
    both = degree_days_left(np.tile(COLD_C, (2, 1)), np.array([[14.0], [18.0]]), plan)
    assert both[0] == pytest.approx(degree_days_left(COLD_C, 14.0, plan))
    assert both[1] == pytest.approx(degree_days_left(COLD_C, 18.0, plan))


def test_overlapping_absences_take_the_colder() -> None:
    """Where two absences overlap, the one that keeps less wins."""
    plan = day_plan(
        DATES,
        [
            Absence(date(2026, 1, 5), date(2026, 1, 12), set_back_k=3.0, hot_water=True),
            Absence(date(2026, 1, 8), date(2026, 1, 9), boiler_off=True),
        ],
    )
    assert list(plan.allowed_k[3:9]) == [0, 3, 3, 3, np.inf, np.inf]
    assert list(plan.hot_water_factor[6:10]) == [1, 0, 0, 1]


def test_absences_that_cannot_be() -> None:
    """An absence that ends before it begins, or weather of another length, is refused."""
    with pytest.raises(BuildingError, match="swap the dates"):
        Absence(date(2026, 2, 1), date(2026, 1, 1))
    with pytest.raises(BuildingError, match="the plan of absences"):
        degree_days_left(np.zeros(3), 15.0, day_plan(DATES, []))

"""What the hopper's cycle says for a decision, and the load it follows."""

from __future__ import annotations

import subprocess
import sys

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fuelplan.messages import as_text
from fuelplan.sizing.hopper_cycle import (
    BoilerState,
    coldest_week,
    heat_by_step,
    hopper_answer,
    hourly_from_daily_c,
    night_kg,
    simulate,
    week_trace,
)
from fuelplan.store.hopper import Burner, Conveying, HopperError
from tests.benchmarks.hopper import invented_heat

BURNER = Burner(rated_kw=20.0, kwh_per_kg=4.2)


@settings(max_examples=50, deadline=None)
@given(mean=st.floats(-25, 25), below=st.floats(0, 15), above=st.floats(0, 15))
def test_the_day_keeps_its_mean_and_range(mean: float, below: float, above: float) -> None:
    """Hourly temperatures have the day's mean and its range, coldest at 5 and warmest in the early
    afternoon."""
    hours = hourly_from_daily_c(np.array([mean]), np.array([mean - below]), np.array([mean + above]))[0]
    assert hours.mean() == pytest.approx(mean, abs=1e-9)
    assert hours.max() - hours.min() == pytest.approx(below + above, abs=1e-9)
    if below + above > 0.1:
        assert hours.argmin() == 5
        assert hours.argmax() in (14, 15)


def test_an_unknown_range_is_six_kelvin() -> None:
    """Without minimum or maximum the day is given a range of 6 K (our assumption)."""
    hours = hourly_from_daily_c(np.array([2.0]), np.array([np.nan]), np.array([np.nan]))[0]
    assert hours.max() - hours.min() == pytest.approx(6.0)


@settings(max_examples=50, deadline=None)
@given(
    heat=st.floats(0, 300),
    water=st.floats(0, 30),
    mean=st.floats(-20, 25),
    step=st.sampled_from([15, 10, 5]),
    set_back=st.booleans(),
)
def test_spreading_a_day_keeps_its_heat(
    heat: float, water: float, mean: float, step: int, set_back: bool
) -> None:
    """Whatever the temperatures, set-back and step, the steps of a day add up to its heat, none negative."""
    hourly = hourly_from_daily_c(np.full((1, 3), mean), np.full((1, 3), mean - 4), np.full((1, 3), mean + 4))
    weight = np.where(np.arange(24) < 6, 0.4, 1.0) if set_back else None
    steps = heat_by_step(
        np.full((1, 3), heat), hourly, 15.0, hot_water_kwh=water, by_hour=weight, step_min=step
    )
    assert steps.shape == (1, 3 * 24 * 60 // step)
    assert steps.reshape(3, -1).sum(axis=1) == pytest.approx([heat + water] * 3, rel=1e-9, abs=1e-9)
    assert steps.min() >= 0


def test_cold_hours_take_more_heat() -> None:
    """At 5 in the morning the load is above that at 15; a set-back at night turns it round."""
    hourly = hourly_from_daily_c(np.array([[0.0]]), np.array([[-4.0]]), np.array([[4.0]]))
    plain = heat_by_step(np.array([[96.0]]), hourly, 15.0).reshape(24, 4).sum(axis=1)
    night = (
        heat_by_step(np.array([[96.0]]), hourly, 15.0, by_hour=[0.3] * 6 + [1.0] * 18)
        .reshape(24, 4)
        .sum(axis=1)
    )
    assert plain[5] > plain[15]
    assert night[4] < night[15]


def test_the_coldest_week_by_hand() -> None:
    """Of three winters the second has seven days of 84 kWh from day 5: 20 kg a day at 4.2 kWh/kg."""
    heat = np.full((3, 20 * 96), 0.1)
    heat[1, 5 * 96 : 12 * 96] = 84.0 / 96
    week = coldest_week(heat, BURNER)
    assert (week.winter, week.first_day) == (1, 5)
    assert week.kg_per_day == pytest.approx(20.0)


def test_one_night_by_hand() -> None:
    """An even 4.2 kW takes 8 kg from 22 to 6, and 4 kg from 1 to 5."""
    heat = np.full((2, 3 * 96), 4.2 / 4)
    assert night_kg(heat, Conveying("auger", quiet_from_h=22, quiet_to_h=6), BURNER) == pytest.approx(
        np.full((2, 2), 8.0)
    )
    assert night_kg(heat, Conveying("auger", quiet_from_h=1, quiet_to_h=5), BURNER) == pytest.approx(
        np.full((2, 2), 4.0)
    )
    assert night_kg(heat, Conveying("auger"), BURNER) == pytest.approx(np.full((2, 2), 8.0))


def test_the_smallest_hopper_gets_through_and_a_smaller_one_does_not() -> None:
    """The stated size passes the coldest week when played; 5 kg less does not."""
    heat = invented_heat(winters=3, days=90)
    conveying = Conveying("suction", line_m=8, quiet_from_h=22, quiet_to_h=6)
    answer = hopper_answer(heat, np.array([10.0, 100.0]), conveying, BURNER, held_kwh=25.0)
    assert answer.smallest_kg is not None
    week = answer.coldest
    now = slice(week.first_day, week.first_day + 7)

    def short_kwh(size_kg: float) -> float:
        played = simulate(heat, np.array([size_kg]), conveying, BURNER, held_kwh=25.0)
        return float(played.unmet_kwh[now, 0, week.winter].sum())

    assert short_kwh(answer.smallest_kg) < 1e-6
    assert short_kwh(answer.smallest_kg - 5.0) > 1e-6
    assert not answer.options[0].works_in_coldest_week
    assert answer.options[1].works_in_coldest_week
    assert f"{answer.smallest_kg:.0f} kg" in as_text(answer.why)
    assert any("smaller than one night" in as_text(p) for p in answer.problems)
    assert answer.options[0].nights_empty_per_winter > 0
    assert answer.options[0].fillings_per_day > answer.options[1].fillings_per_day
    assert answer.options[1].main_hours[0] in (20, 21)


def test_no_hopper_helps_where_the_pause_itself_is_too_long() -> None:
    """With nothing held every filling is an interruption: no size works, and the answer names the buffer."""
    heat = invented_heat(winters=2, days=60)
    answer = hopper_answer(heat, np.array([60.0]), Conveying("auger"), BURNER, held_kwh=0.0)
    assert answer.smallest_kg is None
    assert any("a larger buffer helps" in as_text(p) for p in answer.problems)


def test_a_boiler_that_is_too_small_is_not_blamed_on_the_hopper() -> None:
    """A boiler below the load leaves heat unmet whatever the hopper; the smallest hopper is still found,
    and it is said."""
    heat = np.full((1, 20 * 96), 12.0 / 4)
    answer = hopper_answer(heat, np.array([60.0]), Conveying("auger", while_burning=True), Burner(10.0, 4.2))
    assert answer.smallest_kg is not None
    assert any("too small whatever the hopper" in as_text(p) for p in answer.problems)


def test_bags_to_carry_by_hand() -> None:
    """2 kg an hour are 48 kg a day, 22.4 bags of 15 kg a week, as soon as the first filling is used up."""
    heat = np.full((1, 140 * 96), 8.4 / 4)
    answer = hopper_answer(heat, np.array([90.0]), Conveying("hand"), BURNER, held_kwh=30.0)
    option = answer.options[0]
    assert option.bags_per_week == pytest.approx(48 * 7 / 15, rel=0.02)
    assert option.bags_per_day == pytest.approx(48 / 15, rel=0.02)
    assert option.bags_per_week_coldest is not None
    assert 20 <= option.bags_per_week_coldest <= 25
    assert option.main_hours in ((7, 18), (18, 7))
    by_auger = hopper_answer(heat, np.array([90.0]), Conveying("auger"), BURNER).options[0]
    assert by_auger.bags_per_day is None


def test_the_coldest_week_can_be_drawn() -> None:
    """The steps of the coldest week: seven days, with burning and conveying in them."""
    heat = invented_heat(winters=2, days=60)
    trace = week_trace(heat, 60.0, Conveying("suction", quiet_from_h=22, quiet_to_h=6), BURNER, held_kwh=20.0)
    assert trace.state.shape == (7 * 96, 1, 1)
    assert {BoilerState.BURN, BoilerState.CONVEY} <= set(trace.state.ravel().tolist())


def test_fewer_than_seven_days_hold_no_week() -> None:
    """Six days are refused in one sentence."""
    with pytest.raises(HopperError, match="hold no week"):
        coldest_week(np.zeros((1, 6 * 96)), BURNER)


def test_gaps_in_the_weather_are_refused() -> None:
    """Unknown heat or the wrong shape of hours is refused in one sentence."""
    with pytest.raises(HopperError, match="fill the gaps"):
        heat_by_step(np.array([[np.nan]]), np.zeros((1, 1, 24)), 15.0)
    with pytest.raises(HopperError, match="must be"):
        heat_by_step(np.array([[1.0]]), np.zeros((1, 24)), 15.0)


def test_numba_is_loaded_only_to_play() -> None:
    """Importing the room does not load numba, which is heavy."""
    code = "import sys, fuelplan.sizing.hopper_cycle; print('numba' in sys.modules)"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "False"

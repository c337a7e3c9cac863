"""A boiler through real loads: why the year lies below the laboratory, starts, and what too large a boiler
costs.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from fuelplan.heat import boiler, building
from fuelplan.heat.boiler import Boiler, BoilerError
from fuelplan.messages import as_text
from fuelplan.weather.valley import valley_days


def demo_load_kw(design_kw: float = 12.0, years: int = 10) -> np.ndarray:
    """Daily mean load of a house of that design loss on the invented valley's weather, hot water included."""
    days = valley_days(date(2010, 7, 1), date(2010 + years, 6, 30), seed=4)
    water = building.hot_water_for_floor_area(140).kwh_per_day
    need = building.from_design_loss(design_kw, -12.0, gains_w=560, hot_water_kwh_per_day=water)
    return need.daily_kwh(days.mean_c) / 24.0


def test_a_12_kw_house_stays_well_below_the_laboratory_and_says_why() -> None:
    """A 15 kW boiler of 93 % on the test stand heats a 12 kW house with six points less or worse, and the
    text says why.
    """
    made = Boiler.typical(15, installed=2021)
    year = boiler.season(made, demo_load_kw())
    assert made.full_load_efficiency > 0.93
    assert 0.70 < year.efficiency < made.full_load_efficiency - 0.06
    assert "turns 93% of the fuel into heat on the test stand, over" in as_text(year.why)
    tested = boiler.season(replace(made, measured=True), demo_load_kw())
    assert "On the test stand this boiler turns 93% of the fuel into heat" in as_text(tested.why)
    assert f"over the year {year.efficiency:.0%}" in as_text(year.why)
    for part in ("starting about", "staying warm between burns", "of its rated output"):
        assert part in as_text(year.why)


@given(st.floats(5, 60), st.floats(0.1, 1.0), st.floats(0, 2000), st.integers(0, 1000))
def test_where_the_fuel_went_adds_up(kw: float, least: float, buffer_l: float, seed: int) -> None:
    """Fuel = heat + full-load loss + part-load loss + stand-by + starts; load = heat + unmet."""
    load = np.random.default_rng(seed).uniform(0, 1.3 * kw, 50)
    s = boiler.season(Boiler.typical(kw, installed=2021, least_share=least), load, buffer_l=buffer_l)
    losses = s.rated_loss_kwh + s.part_load_loss_kwh + s.standby_loss_kwh + s.start_loss_kwh
    assert s.fuel_kwh == pytest.approx(s.useful_kwh + losses, rel=1e-9)
    assert s.useful_kwh + s.unmet_kwh == pytest.approx(load.sum() * 24, rel=1e-9)


def test_starts_follow_the_water() -> None:
    """At half the least output the boiler starts 24 x P / (4 x heat held) times a day, the most of all
    loads.
    """
    least, swing = 4.0, 1.163
    loads = np.linspace(0, 5, 101)
    starts = boiler.starts_per_hour(loads, least, swing)
    assert loads[np.argmax(starts)] == pytest.approx(2.0)
    assert starts.max() == pytest.approx(least / (4 * swing))
    assert starts[0] == 0 and (starts[loads >= least] == 0).all()


def test_a_buffer_saves_starts() -> None:
    """More water, fewer starts, and never a worse season."""
    made, load = Boiler.typical(20, installed=2021), demo_load_kw()
    plain, buffered = boiler.season(made, load), boiler.season(made, load, buffer_l=800)
    assert buffered.starts_per_day < 0.3 * plain.starts_per_day
    assert buffered.efficiency > plain.efficiency


def test_a_too_large_boiler_costs() -> None:
    """Twice the size takes more fuel, electricity and starts; money follows the price given."""
    load = demo_load_kw()
    cost = boiler.cost_of_too_large(
        Boiler.typical(30, installed=2021),
        15.0,
        load,
        fuel_price_per_kwh=0.065,
        electricity_price_per_kwh=0.30,
    )
    assert cost.fuel_more_kwh > 500 and cost.starts_more > 500 and cost.electricity_more_kwh > 0
    assert cost.money_more == pytest.approx(0.065 * cost.fuel_more_kwh + 0.30 * cost.electricity_more_kwh)
    years = len(load) / 365.25
    assert cost.fuel_more_kwh == pytest.approx((cost.as_is.fuel_kwh - cost.right.fuel_kwh) / years)
    assert "more fuel a year" in as_text(cost.sentence)
    large = cost.as_is.laboratory_efficiency
    fits = replace(Boiler.typical(30, installed=2021), rated_kw=15.0, standby_kw=boiler.standby_loss_kw(15.0))
    by_hand = boiler.season(replace(fits, start_kwh=0.5, running_w=60.0), load)
    assert (cost.right, cost.right.laboratory_efficiency) == (by_hand, large)
    same = boiler.cost_of_too_large(Boiler.typical(15, installed=2021), 15.0, load)
    assert same.fuel_more_kwh == pytest.approx(0.0, abs=1e-6)


def test_a_boiler_smaller_than_the_load_says_so() -> None:
    """A 6 kW boiler in a 12 kW house: the missing heat is counted and told."""
    s = boiler.season(Boiler.typical(6, installed=2021), demo_load_kw())
    assert s.unmet_kwh > 0
    assert "smaller than the load" in as_text(s.answer_on_size) and "heating engineer" in as_text(
        s.answer_on_size
    )
    assert "covers the load" in as_text(boiler.season(Boiler.typical(20), demo_load_kw()).answer_on_size)
    small = boiler.cost_of_too_large(Boiler.typical(30), 6.0, demo_load_kw())
    assert "smaller than the load" in as_text(small.sentence)


def test_loads_that_cannot_be() -> None:
    """Gaps, negative loads and no load at all are refused."""
    made = Boiler.typical(15)
    for load in ([np.nan, 3.0], [-1.0], [], [0.0, 0.0]):
        with pytest.raises(BoilerError):
            boiler.seasonal_efficiency(made, load)


def test_sentences_do_not_pretend_precision() -> None:
    """Counts and energies are told to two digits."""
    from fuelplan.heat.boiler.season import about

    assert [as_text(about(v)) for v in (2072.4, 996.0, 12.34, 0.0, 0.456)] == [
        "2,100",
        "1,000",
        "12",
        "0",
        "0.46",
    ]
    made = boiler.season(Boiler.typical(15, installed=2021), demo_load_kw())
    a_year = made.starts / made.days * 365.25
    assert f"about {round(a_year, -2):,.0f} times a year" in as_text(made.why)

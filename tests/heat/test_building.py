"""The heat a building needs, from any one thing a person knows."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from fuelplan.heat import building
from fuelplan.heat.building import BuildingError
from fuelplan.messages import as_text

MONTHS_C = np.array([0.0, 1.5, 5.0, 9.0, 13.5, 17.0, 19.0, 18.5, 14.5, 9.5, 4.5, 1.0])


def year_c(shift_c: float = 0.0) -> np.ndarray:
    """A plain year of 365 days, each day at its month's mean."""
    return np.repeat(MONTHS_C, (31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)) + shift_c


def test_bin_method() -> None:
    """ASHRAE Fundamentals 2021 ch. 19, Example 2: 390 W/K, balance point 17.8 degC, 18,436 kWh over nine
    bins.
    """
    need = building.from_design_loss(11.7, -9.0, indoor_c=21.0, gains_w=1250.0)
    assert need.loss_w_per_k == pytest.approx(390.0)
    assert need.base_c == pytest.approx(17.8, abs=0.05)
    bins_c = np.array([16, 13, 10, 7, 4, 1, -2, -5, -8])
    hours = np.array([693, 801, 670, 858, 639, 793, 141, 89, 29])
    assert building.space_heat_kwh(bins_c, need.loss_w_per_k, need.base_c, hours).sum() == pytest.approx(
        18_436, abs=1
    )


def test_yearly_heat_gives_back_itself() -> None:
    """The need found from a year's heat uses just that heat over the same weather."""
    need = building.from_yearly_heat(24_000, year_c(), hot_water_kwh_per_day=6.0, gains_w=500)
    assert need.daily_kwh(year_c()).sum() * 365.25 / 365 == pytest.approx(24_000, rel=1e-9)
    assert need.base_c == pytest.approx(20.0 - 500 / need.loss_w_per_k)


@given(st.floats(40, 900), st.floats(0, 1500), st.floats(-6, 6))
def test_loss_and_yearly_heat_are_inverse(loss_w_per_k: float, gains_w: float, shift_c: float) -> None:
    """Any loss is found again from the heat it takes, base temperature included."""
    weather = year_c(shift_c)
    base = building.balance_point_c(20.0, gains_w, loss_w_per_k)
    heat = building.space_heat_kwh(weather, loss_w_per_k, base).sum() * 365.25 / 365
    if heat < 1.0:
        return
    found = building.from_yearly_heat(heat, weather, gains_w=gains_w)
    assert found.loss_w_per_k == pytest.approx(loss_w_per_k, rel=1e-6)
    assert found.base_c == pytest.approx(base, abs=1e-4)


def test_only_whole_years_count() -> None:
    """A record of one year and a half is cut to its last year, so that a second winter does not count as
    usual.
    """
    long = np.concatenate([year_c()[-180:], year_c()])
    assert building.from_yearly_heat(20_000, long) == building.from_yearly_heat(20_000, year_c())


@pytest.mark.parametrize(
    ("call", "says"),
    [
        (lambda: building.from_yearly_heat(1000, year_c(), hot_water_kwh_per_day=6), "nothing for heating"),
        (lambda: building.from_yearly_heat(9000, year_c()[:200]), "at least 365"),
        (lambda: building.from_yearly_heat(9000, np.append(year_c(), np.nan)), "fill the gaps"),
        (lambda: building.from_design_loss(-3, -12), "design heat loss"),
        (lambda: building.from_design_loss(12, 25), "not below the indoor"),
        (lambda: building.from_floor_area(0, 1970), "floor area"),
        (lambda: building.from_floor_area(120, 1970, renovated=1950), "before it was built"),
        (lambda: building.useful_heat(3000, "peat", efficiency=0.8), "not an energy carrier"),
        (lambda: building.useful_heat(3000, "heating_oil"), "how well the old heating worked"),
        (lambda: building.balance_point_c(20, -5, 100), "gains"),
    ],
)
def test_what_cannot_be_is_refused(call, says: str) -> None:
    """Impossible buildings are refused with a sentence that says what to write."""
    with pytest.raises(BuildingError, match=says):
        call()


def test_old_houses_lose_more_and_are_doubtful() -> None:
    """A house of 1965 loses more than one of 2018 of the same floor area, and the rough figure says it is
    rough.
    """
    old, new = (building.from_floor_area(140, built) for built in (1965, 2018))
    assert old.loss_w_per_k > 2 * new.loss_w_per_k
    assert old.rel_sd == pytest.approx(0.35)
    assert building.from_floor_area(140, 1965, renovated=2018).loss_w_per_k == new.loss_w_per_k
    assert "rough" in as_text(old.how)


def test_litres_of_oil_become_useful_heat() -> None:
    """3,000 litres of heating oil at 10 kWh in a boiler of 84 % are 25,200 kWh (10 kWh per litre: value
    from memory).
    """
    heat = building.useful_heat(3000, "heating_oil", old_heating="oil_low_temperature")
    assert heat.kwh_per_year == pytest.approx(25_200)
    assert heat.rel_sd == pytest.approx(np.hypot(0.06, 0.05))
    assert building.useful_heat(5000, "pellets", efficiency=0.8).kwh_per_year == pytest.approx(
        5000 * 4.8 * 0.8
    )


def test_hot_water_by_month() -> None:
    """SAP 2012: 108 litres a day are 176.18 kWh in January … 170.62 in December, 1699.26 a year."""
    water = building.hot_water(108.0)
    printed = [176.18, 154.09, 159.00, 138.62, 133.01, 114.78, 106.36, 122.05, 123.51, 143.93, 157.12, 170.62]
    assert water.kwh_by_month == pytest.approx(printed, abs=0.01)
    assert water.kwh_per_year == pytest.approx(1699.26, abs=0.01)


def test_hot_water_from_floor_area() -> None:
    """SAP 2012: 100 m2 hold 2.7395 people, who use 104.49 litres a day and 1644.0 kWh a year."""
    water = building.hot_water_for_floor_area(100.0)
    assert building.people_in(100.0) == pytest.approx(2.7395, abs=1e-4)
    assert water.litres_per_day == pytest.approx(104.49, abs=0.01)
    assert water.kwh_per_year == pytest.approx(1644.0, abs=0.1)


def test_hot_water_pattern_keeps_the_year() -> None:
    """Spread over the months by its factors, hot water adds up to the same year."""
    water = building.hot_water_for_people(4, pipe_loss_share=0.15)
    need = building.HeatNeed(200, 15, water.kwh_per_day, 0.1, "test", water.month_factor)
    dates = np.arange("2025-01-01", "2026-01-01", dtype="datetime64[D]")
    daily = need.hot_water_kwh(building.months_of(dates))
    assert daily.sum() == pytest.approx(water.kwh_per_year, rel=1e-9)
    assert daily[0] > daily[200]

"""A stove, a heat pump or solar beside the boiler."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from fuelplan.heat.building import BuildingError, HeatPump, Solar, Stove, after_second_sources

MONTHS = np.array([1, 1, 4, 7])
MEAN_C = np.array([[-5.0, 3.0, 9.0, 20.0]])
SPACE = np.array([[200.0, 120.0, 40.0, 0.0]])


def test_each_source_takes_its_own() -> None:
    """A stove warms the room on cold days, the pump stops in frost, the sun heats water alone."""
    stove = after_second_sources(SPACE, 10.0, MEAN_C, MONTHS, [Stove(6.0, 5.0, days_per_week=3.5)])
    assert stove.space_kwh == pytest.approx(np.array([[185.0, 105.0, 25.0, 0.0]]))
    assert stove.hot_water_kwh == pytest.approx(np.full((1, 4), 10.0))
    pump = after_second_sources(SPACE, 10.0, MEAN_C, MONTHS, [HeatPump(4.0, down_to_c=2.0)])
    assert pump.boiler_kwh == pytest.approx(np.array([[210.0, 130.0 - 96.0, 0.0, 0.0]]))
    sun = after_second_sources(SPACE, 10.0, MEAN_C, MONTHS, [Solar()])
    assert sun.space_kwh == pytest.approx(SPACE)
    assert sun.hot_water_kwh[0, 3] == pytest.approx(1.0)


@given(st.floats(0, 20), st.floats(0, 24), st.floats(0, 30), st.floats(0, 60), st.permutations([0, 1, 2]))
def test_nothing_is_lost_or_invented(
    kw: float, hours: float, pump_kw: float, water: float, order: list[int]
) -> None:
    """Left + taken = need on every day, nothing negative, whatever the order of the sources."""
    sources = [Stove(kw, hours), HeatPump(pump_kw), Solar()]
    left = after_second_sources(SPACE, water, MEAN_C, MONTHS, [sources[i] for i in order])
    assert left.boiler_kwh + left.taken_kwh == pytest.approx(SPACE + water, abs=1e-9)
    assert min(left.space_kwh.min(), left.hot_water_kwh.min(), left.taken_kwh.min()) >= 0


def test_sources_that_cannot_be() -> None:
    """Thirteen months, 25 hours or a negative power are refused."""
    for make in (lambda: Solar((0.5,) * 13), lambda: Stove(5, 25), lambda: HeatPump(-1)):
        with pytest.raises(BuildingError):
            make()

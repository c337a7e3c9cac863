"""Several boilers and a heat network on one store."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from fuelplan.heat.boiler import Boiler, BoilerError, Network, run_plant
from fuelplan.messages import as_text

LEAD, SECOND = Boiler.typical(40, installed=2021), Boiler.typical(60, installed=2021)


@given(st.lists(st.floats(0, 200), min_size=1, max_size=30), st.floats(0, 400))
def test_heat_is_neither_lost_nor_invented(load: list[float], trench_m: float) -> None:
    """Load + network loss = outputs + unmet in every interval; no boiler gives more than its rating."""
    plant = run_plant([LEAD, SECOND], load, network=Network(trench_m))
    outputs = sum(s.output_kw for s in plant.shares)
    assert outputs + plant.unmet_kw == pytest.approx(np.array(load) + plant.network_loss_kw, abs=1e-9)
    for s in plant.shares:
        assert (s.output_kw <= s.boiler.rated_kw + 1e-9).all()
        assert (s.fuel_kw >= s.output_kw - 1e-12).all()


def test_the_second_boiler_is_not_lit_for_a_trifle() -> None:
    """At 45 kW the second runs at its least output of 18 kW and the first is held back to 27."""
    plant = run_plant([LEAD, SECOND], [30.0, 45.0, 90.0, 130.0])
    assert plant.shares[0].output_kw == pytest.approx([30, 27, 40, 40])
    assert plant.shares[1].output_kw == pytest.approx([0, 18, 50, 60])
    assert plant.unmet_kw == pytest.approx([0, 0, 0, 30])
    assert "smaller than the load" in as_text(plant.answer_on_size)


def test_network_losses_are_burned_too() -> None:
    """100 m at 0.3 W per metre and kelvin and 55 K lose 1.65 kW all year, or only while heat is taken."""
    all_year = run_plant([LEAD], [0.0, 20.0], network=Network(100))
    assert all_year.network_loss_kw == pytest.approx([1.65, 1.65])
    winter = run_plant([LEAD], [0.0, 20.0], network=Network(100, summer=False))
    assert winter.network_loss_kw == pytest.approx([0.0, 1.65])
    assert "cover the load and the network losses" in as_text(winter.answer_on_size)


def test_one_store_feeds_all_pellet_boilers() -> None:
    """The store gives what all its boilers burn; a log boiler takes from another stock."""
    logs = Boiler.typical(30, "logs", installed=2021)
    plant = run_plant([logs, SECOND], [80.0])
    pellets = plant.fuel_kg_per_day(4.8)
    assert pellets == pytest.approx(plant.shares[1].fuel_kw * 24 / 4.8)
    assert plant.fuel_kw == pytest.approx(plant.shares[0].fuel_kw + plant.shares[1].fuel_kw)
    with pytest.raises(BoilerError, match="no boiler of the plant burns chips"):
        plant.fuel_kg_per_day(3.5, "chips")


def test_seasonal_figure_in_place_of_the_curve() -> None:
    """With its own seasonal efficiency a boiler burns load over efficiency."""
    from fuelplan.heat.boiler import seasonal_efficiency

    load = np.array([5.0, 20.0, 35.0])
    plant = run_plant([LEAD], load, interval_efficiency=False)
    assert plant.fuel_kw == pytest.approx(load / seasonal_efficiency(LEAD, load))


def test_plants_that_cannot_be() -> None:
    """No boiler, gaps, or water colder than the ground are refused."""
    with pytest.raises(BoilerError):
        run_plant([], [1.0])
    with pytest.raises(BoilerError):
        run_plant([LEAD], [np.nan])
    with pytest.raises(BoilerError):
        Network(100, water_c=5.0)

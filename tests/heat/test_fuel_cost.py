"""What a kilowatt-hour of heat costs, and its CO2 by a named source."""

from __future__ import annotations

import pytest

from fuelplan.heat import fuels as fuel
from fuelplan.heat.fuels import FuelError, HeatOffer, MoistureWet

BEECH = fuel.logs("beech", MoistureWet(0.20))


def offers() -> list[HeatOffer]:
    """Four ways to heat one house, at invented prices."""
    return [
        HeatOffer("oil", "oil", 1.05, "litre", 10.0, 0.85),
        HeatOffer("pellets", "pellets", 320.0, "t", 4800.0, 0.80),
        HeatOffer("logs", "logs", 110.0, "stacked m3", BEECH.kwh_per_stacked_m3, 0.72, by_volume=True),
        HeatOffer("heat pump", "electricity", 0.30, "kWh", 1.0, 3.2),
    ]


def test_cost_of_a_kwh_of_heat() -> None:
    """Price over energy over efficiency, worked out by hand; cheapest first."""
    rows = {r.name: r for r in fuel.heat_cost(offers())}
    assert rows["pellets"].per_heat_kwh == pytest.approx(0.32 / 4.8 / 0.8)
    assert rows["oil"].per_heat_kwh == pytest.approx(0.105 / 0.85)
    assert rows["heat pump"].per_heat_kwh == pytest.approx(0.30 / 3.2)
    costs = [r.per_heat_kwh for r in fuel.heat_cost(offers())]
    assert costs == sorted(costs)


def test_a_stacked_metre_is_a_range() -> None:
    """Wood bought by the pile is known to 15 % of its energy; weighed fuel has no such range."""
    rows = {r.name: r for r in fuel.heat_cost(offers())}
    logs = rows["logs"]
    assert logs.per_heat_kwh_low == pytest.approx(logs.per_heat_kwh / 1.15)
    assert logs.per_heat_kwh_high == pytest.approx(logs.per_heat_kwh / 0.85)
    assert rows["pellets"].per_heat_kwh_low == rows["pellets"].per_heat_kwh_high


@pytest.mark.parametrize(
    ("name", "source", "grams"),
    [
        ("pellets", "German GEG Annex 9", 20),
        ("gas", "German GEG Annex 9", 240),
        ("oil", "German GEG Annex 9", 310),
        ("electricity", "German GEG Annex 9", 560),
        ("logs", "UK DESNZ 2025", 11.5),
        ("pellets", "Swiss KBOB", 27),
    ],
)
def test_co2_by_source(name: str, source: str, grams: float) -> None:
    """German GEG Annex 9, UK DESNZ 2025 and Swiss KBOB, grams of CO2 equivalent per kWh."""
    assert fuel.co2_kg_per_kwh(name, source) * 1000 == pytest.approx(grams)


def test_a_source_without_a_figure_invents_none() -> None:
    """The British table here has no oil: the cost stands, the CO2 is left open."""
    rows = {r.name: r for r in fuel.heat_cost(offers(), "UK DESNZ 2025")}
    assert rows["oil"].co2_kg_per_kwh is None
    assert rows["pellets"].co2_kg_per_kwh == pytest.approx(0.0115 / 0.80)
    with pytest.raises(FuelError, match="no figure"):
        fuel.co2_kg_per_kwh("oil", "UK DESNZ 2025")
    with pytest.raises(FuelError, match="not a valid source"):
        fuel.heat_cost(offers(), "hearsay")


@pytest.mark.parametrize("change", [{"price": -1.0}, {"kwh_per_unit": 0.0}, {"efficiency": 85.0}])
def test_offers_that_cannot_be(change: dict[str, float]) -> None:
    """A negative price, no energy or an efficiency in per cent is refused by name."""
    given = {"price": 1.0, "kwh_per_unit": 10.0, "efficiency": 0.8} | change
    with pytest.raises(FuelError, match="oil"):
        HeatOffer("oil", "oil", unit="litre", **given)

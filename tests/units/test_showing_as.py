"""Amounts in the unit that a sentence names, and prices, for readers of both unit systems."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fuelplan import units
from fuelplan.messages import Quantity, as_text
from fuelplan.units import Reader, written_for

US = Reader("us", "month first")


@pytest.mark.parametrize(
    ("value", "unit", "form", "metric", "us"),
    [
        (3000, "kg", ",.0f", "3,000 kg", "6,600 lb"),
        (1999, "kg", ",.0f", "1,999 kg", "4,407 lb"),
        (-8, "kg", ",.0f", "-8 kg", "-18 lb"),
        (29.2, "t", ".1f", "29.2 t", "32.2 short tons"),
        (15, "kW", "g", "15 kW", "51,000 BTU/h"),
        (0.25, "K", ".2f", "0.25 K", "0.45 °F"),
        (20, "K", "g", "20 K", "36 °F"),
        (-17.2, "degC", ".0f", "-17 °C", "1 °F"),
        (0.15, "m", "g", "0.15 m", "5.9 in"),
        (22, "m", "g", "22 m", "72 ft"),
        (9, "m3", ".0f", "9 m³", "320 cu ft"),
        (80, "l", ",.0f", "80 l", "21 US gal"),
        (2400, "l", ",.0f", "2,400 l", "630 US gal"),
    ],
)
def test_an_amount_in_the_unit_named(value: float, unit: str, form: str, metric: str, us: str) -> None:
    """In metric just as the sentence asks; in US units with as many digits as that text has. By hand."""
    assert as_text(Quantity.written(value, unit, form)) == metric
    with written_for(US):
        assert as_text(Quantity.written(value, unit, form)) == us


def test_prices() -> None:
    """Prices are for the unit of the reader."""
    assert units.show_price_as(0.322, "EUR") == "322.00 EUR a tonne"
    with written_for(US):
        assert units.show_price_as(0.322, "EUR") == "292.11 EUR per short ton"


@given(st.floats(0.01, 1e6), st.sampled_from(["kg", "t", "kWh", "kW", "m3", "m", "cm", "l", "km"]))
def test_us_readers_read_the_same_amount(value: float, unit: str) -> None:
    """What is shown in US units is the metric text's amount within half a unit of the second digit (5 %)."""
    form = ".3g" if value < 100 else ".0f"
    with written_for(US):
        shown = as_text(Quantity.written(value, unit, form)).replace(",", "").replace("US gal", "gal_us")
    quantity = {"kg": "mass", "t": "mass", "kWh": "energy", "kW": "power", "m": "length", "cm": "length",
                "km": "distance"}.get(unit, "volume")  # fmt: skip
    meant = units.parse(f"{value:{form}} {unit}", quantity)
    assert units.parse(shown, quantity) == pytest.approx(meant, rel=0.0501)

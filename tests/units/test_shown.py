"""Numbers for people: sensible digits, ranges in plain words, odds, money, and exact text for files."""

from __future__ import annotations

import math
from datetime import date
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from fuelplan.messages import Chance, as_text
from fuelplan.units import (
    QUANTITIES,
    exact,
    parse,
    show,
    show_date,
    show_money,
    show_price,
    show_range,
)

STEADY = settings(deadline=None, suppress_health_check=[HealthCheck.too_slow])


@pytest.mark.parametrize(
    ("value", "quantity", "metric", "us"),
    [
        (2110, "mass", "2.1 t", "4,700 lb"),
        (640, "mass", "640 kg", "1,400 lb"),
        (998, "mass", "1 t", "2,200 lb"),
        (12000, "mass", "12 t", "13 short tons"),
        (907.18474 * 11, "mass", "10 t", "11 short tons"),
        (0.4, "mass", "0.4 kg", "0.88 lb"),
        (20, "power", "20 kW", "68,000 BTU/h"),
        (0.4, "power", "400 W", "1,400 BTU/h"),
        (24000, "energy", "24,000 kWh", "82 million BTU"),
        (9, "volume", "9 m³", "320 cu ft"),
        (2.4, "length", "2.4 m", "7.9 ft"),
        (0.3, "length", "30 cm", "12 in"),
        (140, "area", "140 m²", "1,500 sq ft"),
        (20, "temperature", "20 °C", "68 °F"),
        (15.54, "temperature", "15.5 °C", "60 °F"),
        (-0.04, "temperature", "0 °C", "32 °F"),
        (5, "temperature_difference", "5 K", "9 °F"),
        (35, "distance", "35 km", "22 miles"),
        (12_345.4, "weighed_mass", "12,345 kg", "27,217 lb"),
        (1.609344, "distance", "1.6 km", "1 mile"),
        (2.6, "distance_per_mass", "2.6 km for each tonne", "1.5 miles for each short ton"),
        (45, "angle", "45°", "45°"),
        (0.02, "share", "2%", "2%"),
        (4, "count", "4", "4"),
        (4.8, "energy_per_mass", "4.8 kWh/kg", "7,400 BTU/lb"),
        (650, "density", "650 kg/m³", "41 lb/cu ft"),
        (24 * 7 * 4, "time", "4 weeks", "4 weeks"),
        (48, "time", "2 days", "2 days"),
        (0, "mass", "0 kg", "0 lb"),
        (math.nan, "mass", "not known", "not known"),
    ],
)
def test_shown(value: float, quantity: str, metric: str, us: str) -> None:
    """Two significant digits in the unit people read, in metric and US units."""
    assert show(value, quantity) == metric
    assert show(value, quantity, "us") == us


def test_shown_with_about_and_more_digits() -> None:
    """ "about" in front and three digits where asked for."""
    assert show(2087, "mass", "us", about=True) == "about 4,600 lb"
    assert show(2114, "mass", digits=3) == "2.11 t"
    assert show(1000, "mass", "us", digits=4) == "2,205 lb"


@pytest.mark.parametrize(
    ("low", "high", "quantity", "metric", "us"),
    [
        (1700, 2500, "mass", "1.7 to 2.5 t", "3,700 to 5,600 lb"),
        (1740, 2410, "mass", "1.7 to 2.5 t", "3,800 to 5,400 lb"),
        (610, 640, "mass", "610 to 640 kg", "1,300 to 1,500 lb"),
        (900, 1100, "mass", "0.9 to 1.1 t", "1,900 to 2,500 lb"),
        (0, 300, "mass", "0 to 300 kg", "0 to 670 lb"),
        (2110, 2111, "mass", "about 2.1 t", "about 4,700 lb"),
        (-3, 5, "temperature", "-3 to 5 °C", "26 to 41 °F"),
        (0.2, 0.3, "share", "20 to 30%", "20 to 30%"),
        (1.0, math.nan, "mass", "not known", "not known"),
    ],
)
def test_ranges_shown(low: float, high: float, quantity: str, metric: str, us: str) -> None:
    """Ranges in one unit, rounded outwards; ends that read alike become "about"."""
    assert show_range(low, high, quantity) == metric
    assert show_range(low, high, quantity, "us") == us


def test_a_range_that_runs_backwards_is_refused() -> None:
    """The lower end comes first."""
    with pytest.raises(ValueError, match="runs backwards"):
        show_range(2, 1, "mass")


@given(
    st.floats(0.01, 1e6),
    st.floats(1, 3),
    st.sampled_from(["mass", "energy", "volume", "length", "area", "power"]),
)
@STEADY
def test_ranges_hide_no_doubt(low: float, factor: float, quantity: str) -> None:
    """What a range shows holds what it stands for, and is no wider than a tenth of its size at either end."""
    high = low * factor
    text = show_range(low, high, quantity).replace(",", "").replace("³", "3").replace("²", "2")
    if text.startswith("about "):
        assert factor < 1.1
        return
    first, last = text.split(" to ")
    top = parse(last, quantity)
    bottom = parse(f"{first} {last.split(' ', 1)[1]}", quantity)
    assert bottom <= low * (1 + 1e-6) and top >= high * (1 - 1e-6)
    assert bottom >= low - 0.1001 * high and top <= high * 1.1001


@given(
    st.floats(1e-3, 1e7),
    st.sampled_from(["mass", "energy", "power", "volume", "length", "area", "distance", "energy_per_mass"]),
    st.sampled_from(["metric", "us"]),
)
@STEADY
def test_shown_can_be_read_again(value: float, quantity: str, system: Any) -> None:
    """What is shown, read again, is within the two digits shown (half a unit of the second digit: 5 %)."""
    text = show(value, quantity, system).replace(",", "").replace("³", "3").replace("²", "2")
    assert parse(text, quantity) == pytest.approx(value, rel=0.0501)


@given(st.floats(1e-9, 1e9), st.sampled_from(sorted(QUANTITIES)))
@STEADY
def test_exact_text_loses_nothing(value: float, quantity: str) -> None:
    """A number written to a file is read back to the very same number."""
    if QUANTITIES[quantity].most is not None:
        value = value / 1e9
    assert parse(exact(value, quantity), quantity) == value


def test_exact_text_is_readable() -> None:
    """Whole numbers without ".0", never a power of ten; infinity is refused."""
    assert exact(3500.0, "mass") == "3500 kg" and exact(0.02, "share") == "0.02"
    assert exact(1e-7, "mass") == "0.0000001 kg"
    with pytest.raises(ValueError, match="cannot be written"):
        exact(math.inf, "mass")


@pytest.mark.parametrize(
    ("share", "draws", "text"),
    [
        (0.02, None, "about 1 in 50"),
        (0.0195, None, "about 1 in 50"),
        (0.0213, None, "about 1 in 45"),
        (0.001, 1000, "about 1 in 1,000"),
        (0.0037, None, "about 1 in 270"),
        (0.15, None, "about 1 in 7"),
        (0.08, None, "about 1 in 12"),
        (0.25, None, "about 1 in 4"),
        (0.33, None, "about 3 in 10"),
        (0.5, None, "about 1 in 2"),
        (0.8, None, "about 8 in 10"),
        (0.97, None, "more than 9 in 10"),
        (1.0, 1000, "all of 1,000"),
        (0.0, 1000, "less than 1 in 1,000"),
        (0.0, None, "none seen"),
    ],
)
def test_odds(share: float, draws: int | None, text: str) -> None:
    """Chances in words; a share of 0 is never "never"."""
    assert as_text(Chance(share, draws)) == text


@given(st.floats(1e-6, 0.94))
@STEADY
def test_odds_are_near_the_share(share: float) -> None:
    """What the words say lies within a fifth of the share."""
    part, whole = as_text(Chance(share)).removeprefix("about ").replace(",", "").split(" in ")
    assert int(part) / int(whole) == pytest.approx(share, rel=0.2)


def test_odds_refuse_what_is_no_share() -> None:
    """Two is no chance."""
    for wrong in (2.0, -0.1, math.nan):
        with pytest.raises(ValueError, match="between 0 and 1"):
            as_text(Chance(wrong))


def test_money_and_dates() -> None:
    """Sums, prices by weight and dates as people read them."""
    assert show_money(1090.4, "EUR") == "1,090 EUR" and show_money(5.2, "EUR", whole=False) == "5.20 EUR"
    assert show_money(-0.2, "EUR") == "0 EUR" and show_money(math.nan, "EUR") == "not known"
    assert show_price(0.31, "EUR") == "310 EUR/t" and show_price(math.inf, "EUR") == "not known"
    assert show_price(0.308647, "USD", "us") == "280 USD per short ton"
    assert show_date(date(2026, 3, 14)) == "14 March"
    assert show_date(date(2026, 3, 14), year=True) == "14 March 2026"

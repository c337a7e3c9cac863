"""Amounts and prices of fuel the way people measure and sell it."""

from __future__ import annotations

import math
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from fuelplan.units import MEASURES, Amount, UnitError, parse_amount, parse_money, parse_price

CORD_M3 = 128 * 0.3048**3


@pytest.mark.parametrize(
    ("text", "value", "measure", "kg"),
    [
        ("3.5 t", 3500, "kg", 3500),
        ("640 lb", 290.299, "kg", 290.299),
        ("12 bags", 12, "bag", 180),
        ("1 bag", 1, "bag", 15),
        ("12 bags of 40 lb", 12, "bag", 217.724),
        ("12 bags of 10 kg", 12, "bag", 120),
        ("2 pallets", 2, "pallet", 1950),
        ("2 pallets of 70 bags", 2, "pallet", 2100),
        ("1 pallet of 1005 kg", 1, "pallet", 1005),
        ("6 solid m3", 6, "solid_m3", None),
        ("6 stacked m3", 6, "stacked_m3", None),
        ("6 m³ stacked", 6, "stacked_m3", None),
        ("6 m3 (loose)", 6, "loose_m3", None),
        ("6 stacked_m3", 6, "stacked_m3", None),
        ("6 steres", 6, "stacked_m3", None),
        ("128 stacked cu ft", CORD_M3, "stacked_m3", None),
        ("2 cord", 7.249113, "stacked_m3", None),
        ("0.5 cords", 1.812278, "stacked_m3", None),
        ("60 %", 60, "percent", None),
        ("57 %", 57, "percent", None),
        ("140 cm", 140, "cm", None),
        ("1.4 m", 140, "cm", None),
        ("4 ft", 121.92, "cm", None),
        ("200 l", 200, "litre", None),
        ("52.834 gal(US)", 200, "litre", None),
        ("1200 kWh", 1200, "kwh", None),
        ("0 kg", 0, "kg", 0),
    ],
)
def test_amounts(text: str, value: float, measure: str, kg: float | None) -> None:
    """Each way of measuring, with the weight where nothing else is needed to tell it.

    Bags of 15 kg and pallets of 67 and 70 bags are sellers' practice, 65 a value from memory; the cord is 128
    cubic
    feet.
    """
    found = parse_amount(text)
    assert found.measure == measure and found.measure in MEASURES
    assert found.value == pytest.approx(value, rel=1e-5)
    assert found.kg == (None if kg is None else pytest.approx(kg, rel=1e-5))


def test_a_share_by_eye_is_the_number_written() -> None:
    """57 % is 57, not 56.99999999999999."""
    assert [parse_amount(f"{n} %").value for n in range(101)] == list(range(101))


def test_a_seller_with_other_bags() -> None:
    """The weight of a bag and the bags on a pallet can be set; what the text says counts more."""
    assert parse_amount("10 bags", bag_kg=10).kg == 100
    assert parse_amount("1 pallet", bag_kg=10, pallet_bags=100).kg == 1000
    assert parse_amount("2 pallets of 70 bags", bag_kg=10, pallet_bags=5).kg == 1400
    assert parse_amount("10 bags of 20 kg", bag_kg=10).kg == 200


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("6 m3", 'write "6 solid m3", "6 stacked m3" or "6 loose m3"'),
        ("6 cu ft", 'write "6 solid ft3"'),
        ("6 rm", 'write "stacked m3" or "solid m3"'),
        ("6 fm", 'write "solid m3"'),
        ("6 srm", 'write "loose m3"'),
        ("2 face cord", "measure the stack"),
        ("2 ricks", "is not known for an amount"),
        ("1 load", "a load has no fixed size"),
        ("5 ton", "three meanings"),
        ("12", "has no unit"),
        ("12 bags of 15", "has no unit"),
        ("12 bags of 0 kg", "more than nothing"),
        ("12 bags of 15 kWh", "is an energy"),
        ("130 %", 'write "100 %" at the most'),
        ("-1 t", "is below 0"),
        ("3,5 t", 'write a decimal point, "3.5 t"'),
        ("3 bananas", "is not known for an amount"),
        ("20 kW", "is not known for an amount"),
        (12, "has no unit"),
        (None, "has no unit"),
    ],
)
def test_amounts_refused(text: Any, says: str) -> None:
    """Amounts that could mean several things are refused with what to write."""
    with pytest.raises(UnitError) as fault:
        parse_amount(text)
    assert says in str(fault.value)


def test_two_m3_are_not_the_same_wood() -> None:
    """A cubic metre is kept apart as solid, stacked and loose; nothing is converted between them here."""
    assert {parse_amount(f"1 {word} m3").measure for word in ("solid", "stacked", "loose")} == {
        "solid_m3",
        "stacked_m3",
        "loose_m3",
    }
    assert Amount(1.0, "stacked_m3").kg is None


@pytest.mark.parametrize(
    ("text", "quantity", "value", "currency"),
    [
        ("35 EUR", "money", 35, "EUR"),
        ("EUR 35", "money", 35, "EUR"),
        ("€35", "money", 35, "EUR"),
        ("35 €", "money", 35, "EUR"),
        ("35 chf", "money", 35, "CHF"),
        ("310 EUR/t", "money_per_mass", 0.31, "EUR"),
        ("EUR 310 / t", "money_per_mass", 0.31, "EUR"),
        ("310 EUR per t", "money_per_mass", 0.31, "EUR"),
        ("0.31 EUR/kg", "money_per_mass", 0.31, "EUR"),
        ("280 USD/short ton", "money_per_mass", 0.308647, "USD"),
        ("0.12 GBP/kWh", "money_per_energy", 0.12, "GBP"),
        ("1.50 USD/therm", "money_per_energy", 0.0511943, "USD"),
        ("95 EUR/m3", "money_per_volume", 95, "EUR"),
        ("1.10 EUR/l", "money_per_volume", 1100, "EUR"),
        ("1.80 EUR/km", "money_per_distance", 1.8, "EUR"),
        ("48 EUR/h", "money_per_time", 48, "EUR"),
    ],
)
def test_money(text: str, quantity: str, value: float, currency: str) -> None:
    """Sums and prices in the fixed units, with their currency."""
    found, code = parse_money(text, quantity)
    assert found == pytest.approx(value, rel=1e-5) and code == currency


@pytest.mark.parametrize(
    ("text", "quantity", "says"),
    [
        ("310", "money", "has no currency"),
        (310, "money", "has no currency"),
        ("310 t", "money_per_mass", "has no currency"),
        ("310 EUR", "money_per_mass", "is a sum of money; a price per weight is needed"),
        ("310 EUR/t", "money", "is a price; a sum of money is needed"),
        ("310 EUR/kWh", "money_per_mass", "this is a price per energy"),
        ("310 EUR/ton", "money_per_mass", "three meanings"),
        ("310 EUR t", "money_per_mass", "cannot be read as a price"),
        ("310 $/t", "money_per_mass", 'write the code, e.g. "USD" or "CAD"'),
        ("310 kr/t", "money_per_mass", '"SEK", "NOK", "DKK" or "ISK"'),
        ("7.5 ct/kWh", "money_per_energy", "whole currency"),
        ("310 XYZ/t", "money_per_mass", 'the currency "XYZ" is not known'),
        ("310,50 EUR/t", "money_per_mass", 'write a decimal point, "310.50 EUR/t"'),
        ("-5 EUR", "money", "is below 0"),
        ("1.200 EUR/ m3 x", "money_per_volume", "is not known"),
    ],
)
def test_money_refused(text: Any, quantity: str, says: str) -> None:
    """Prices that do not say enough are refused with what to write."""
    with pytest.raises(UnitError) as fault:
        parse_money(text, quantity)
    assert says in str(fault.value)


@pytest.mark.parametrize(
    ("text", "value", "per", "per_kg"),
    [
        ("310 EUR/t", 0.31, "kg", 0.31),
        ("5.20 EUR/bag", 5.2, "bag", 5.2 / 15),
        ("6.50 USD/bag of 40 lb", 6.5, "bag", 6.5 / 18.14369),
        ("350 EUR/pallet of 70 bags", 350, "pallet", 350 / 1050),
        ("95 EUR/stacked m3", 95, "stacked_m3", None),
        ("240 USD/cord", 240 / CORD_M3, "stacked_m3", None),
        ("0.08 EUR/kWh", 0.08, "kwh", None),
    ],
)
def test_fuel_prices(text: str, value: float, per: str, per_kg: float | None) -> None:
    """Fuel is sold by weight, bag, pallet, cubic metre, cord and energy; by weight it can be told per
    kilogram.
    """
    found = parse_price(text)
    assert found.value == pytest.approx(value, rel=1e-5) and found.per == per
    assert found.per_kg == (None if per_kg is None else pytest.approx(per_kg, rel=1e-5))


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("310 EUR", "does not say what the price is for"),
        ("95 EUR/m3", 'write "1 solid m3"'),
        ("3 EUR/cm", "is not sold by"),
        ("3 EUR/%", "is not sold by"),
        ("310 EUR/ton", "three meanings"),
    ],
)
def test_fuel_prices_refused(text: str, says: str) -> None:
    """A price of fuel says for how much of it."""
    with pytest.raises(UnitError) as fault:
        parse_price(text)
    assert says in str(fault.value)


@given(st.text(max_size=60))
@settings(deadline=None, suppress_health_check=[HealthCheck.too_slow])
def test_any_text_is_an_amount_or_refused(text: str) -> None:
    """Whatever is written as an amount or a price, the answer is a finite number or a one-line sentence."""
    for read in (parse_amount, parse_price):
        try:
            assert math.isfinite(read(text).value)
        except UnitError as fault:
            assert str(fault).isprintable()

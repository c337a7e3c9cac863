"""pint behind the units: our own definitions, exact factors, and nothing of a person's text in its parser."""

from __future__ import annotations

import math
import re
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from fractions import Fraction
from functools import cache
from typing import Any

import pint
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from fuelplan import units
from fuelplan.units import (
    QUANTITIES,
    UnitError,
    bought_in,
    exact,
    parse,
    parse_amount,
    parse_money,
    parse_price,
)
from fuelplan.units.definitions import conversion, registry, spellings_of
from fuelplan.units.table import Unit

STEADY = settings(deadline=None, suppress_health_check=[HealthCheck.too_slow])
ALL_UNITS = [(q.name, u) for q in QUANTITIES.values() for u in q.units]
IDS = [f"{q}-{u.name}" for q, u in ALL_UNITS]
DIMENSIONS = {
    "mass": "[mass]",
    "energy": "[mass] * [length] ** 2 / [time] ** 2",
    "power": "[mass] * [length] ** 2 / [time] ** 3",
    "volume": "[length] ** 3",
    "length": "[length]",
    "area": "[length] ** 2",
    "temperature": "[temperature]",
    "temperature_difference": "[temperature]",
    "time": "[time]",
    "angle": "",
    "share": "",
    "efficiency": "",
    "count": "",
    "energy_per_mass": "[length] ** 2 / [time] ** 2",
    "density": "[mass] / [length] ** 3",
    "mass_rate": "[mass] / [time]",
    "heat_loss": "[mass] * [length] ** 2 / [time] ** 3 / [temperature]",
    "degree_days": "[temperature] * [time]",
    "use_per_degree_day": "[mass] / [time] / [temperature]",
    "weighed_mass": "[mass]",
    "distance": "[length]",
    "distance_per_mass": "[length] / [mass]",
    "gains": "[mass] * [length] ** 2 / [time] ** 3",
    "water_use": "[length] ** 3 / [time]",
    "ach": "1 / [time]",
    "pressure": "[mass] / [length] / [time] ** 2",
    "u_value": "[mass] / [time] ** 3 / [temperature]",
    "energy_per_area": "[mass] / [time] ** 2",
    "speed": "[length] / [time]",
    "emission": "[time] ** 2 / [length] ** 2",
}
THEIR_NAMES = {
    "short_ton": "short_ton", "gal_us": "gallon", "gal_uk": "imperial_gallon", "days": "day", "weeks": "week",
    "m3": "meter**3", "ft3": "foot**3", "yd3": "yard**3", "m2": "meter**2", "cm2": "centimeter**2",
    "ft2": "foot**2", "in2": "inch**2", "cm3": "centimeter**3", "therm": "US_therm", "permille": "0.001",
    "MMBTU": "1e6*Btu", "kBTU": "1000*Btu", "m": "meter",
    "inH2O": "inch * gram/centimeter**3 * standard_gravity",
}  # fmt: skip
"""Our names of units in those of pint's own list, where they differ."""


@cache
def theirs() -> Any:
    """pint's registry with its own list of units; made once, as it costs half a second."""
    return pint.UnitRegistry()


def by_their_list(number: float, unit: str, fixed: str) -> float:
    """A number of one unit in another, by the definitions that our table asks for, in pint's own list."""
    if fixed == "degC":
        return float(theirs().Quantity(number, unit).to("degC").magnitude)
    one, other = (
        theirs().parse_expression("/".join(f"({THEIR_NAMES.get(part, part)})" for part in name.split("/")))
        if name
        else theirs().Quantity(1.0, "")
        for name in (unit, fixed)
    )
    return float((number * one / other).to("").magnitude)


@pytest.mark.parametrize(("quantity", "unit"), ALL_UNITS, ids=IDS)
def test_every_factor_is_the_one_of_pints_own_list(quantity: str, unit: Unit) -> None:
    """Factor and offset of every accepted unit, computed anew with the definitions that pint brings along."""
    for number in (0.0, 1.0, 37.0):
        there = by_their_list(number, unit.defined, unit.fixed)
        assert (number + unit.offset) * unit.factor == pytest.approx(there, rel=1e-6, abs=1e-9)


@pytest.mark.parametrize(("quantity", "unit"), ALL_UNITS, ids=IDS)
def test_every_unit_has_the_dimension_of_its_quantity(quantity: str, unit: Unit) -> None:
    """A unit listed under the wrong quantity, or defined by the wrong power, is found."""
    wanted = dict(pint.util.ParserHelper.from_string(DIMENSIONS[quantity] or "1"))
    found = dict(registry().Quantity(Fraction(1), unit.defined).dimensionality)
    assert found == wanted
    assert unit.fixed == QUANTITIES[quantity].units[0].defined


def test_the_definitions_hold_the_allowed_units_and_no_others() -> None:
    """What pint knows is accepted somewhere, alone or as a part of "g/cm3"; a prefix it does not know."""
    accepted = {spelling for _, unit in ALL_UNITS for spelling in unit.spellings}
    parts = {part for _, unit in ALL_UNITS for part in unit.defined.split("/")} - {"1", ""}
    stacked = {*spellings_of("cord"), *spellings_of("stere")}
    for name in registry():
        known = {name, *spellings_of(name)}
        assert known & (accepted | parts | stacked) or re.match("delta_|Δ", name), name
    for text in ("microwatt", "kilotonne", "gallon", "ton", "face_cord"):
        assert text not in registry()


def fraction(unit: str) -> Fraction:
    """A unit in kg, m, s and K by the agreements on it, by hand."""
    pound, foot, inch = Fraction("0.45359237"), Fraction("0.3048"), Fraction("0.0254")
    return {
        "lb": pound, "short_ton": 2000 * pound, "long_ton": 2240 * pound, "yd": 3 * foot,
        "ft2": foot**2, "ft3": foot**3, "yd3": (3 * foot) ** 3, "gal_us": 231 * inch**3,
        "gal_uk": Fraction("0.00454609"), "in2": inch**2, "lb/ft3": pound / foot**3,
        "BTU": Fraction("1055.056") / 3_600_000, "MJ": Fraction(10, 36), "mi": Fraction("1.609344"),
        "BTU/lb": Fraction("1055.056") / 3_600_000 / pound, "min": Fraction(1, 60),
        "BTU/h/ft2/degF": Fraction("1055.056") / 3600 / foot**2 * Fraction(9, 5),
        "kg/day": Fraction(1, 24), "gal_us/day": 231_000 * inch**3,
    }[unit]  # fmt: skip


@pytest.mark.parametrize(
    ("quantity", "unit"),
    [
        ("mass", "lb"), ("mass", "short_ton"), ("mass", "long_ton"), ("length", "yd"), ("area", "ft2"),
        ("area", "in2"), ("volume", "ft3"), ("volume", "yd3"), ("volume", "gal_us"), ("volume", "gal_uk"),
        ("density", "lb/ft3"), ("energy", "BTU"), ("energy", "MJ"), ("distance", "mi"),
        ("energy_per_mass", "BTU/lb"), ("time", "min"), ("u_value", "BTU/h/ft2/degF"),
        ("mass_rate", "kg/day"), ("water_use", "gal_us/day"),
    ],
)  # fmt: skip
def test_a_factor_that_is_exact_is_rounded_once(quantity: str, unit: str) -> None:
    """One of a unit is the float nearest to its definition, to the last bit."""
    assert parse(f"1 {unit}", quantity) == float(fraction(unit))


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("1 gal_us", 3.785411784), ("12 in", 30.48), ("7.9 ft", 240.792), ("2 cord", 7.249112727552),
        ("0.7 l", 0.7), ("57 cm", 57.0), ("57 per cent", 57.0), ("3 steres", 3.0),
    ],
)  # fmt: skip
def test_amounts_come_without_a_rest_of_rounding(text: str, value: float) -> None:
    """Litres, centimetres, per cent and cords are reckoned from the unit at once, not by way of another."""
    assert parse_amount(text).value == value


SPELLED = [(q, unit, spelling) for q, unit in ALL_UNITS for spelling in unit.spellings]


@given(st.sampled_from(SPELLED), st.floats(0, 1e6).map(lambda x: round(x, 3)))
@settings(STEADY, max_examples=400)
def test_text_to_number_to_text_and_back(written: tuple[str, Unit, str], number: float) -> None:
    """Every spelling of every unit is read and gives the number that was written; so does a file's text."""
    quantity, unit, spelling = written
    if QUANTITIES[quantity].most is not None:
        number = number / 1e6
    value = parse(f"{number:.9f} {spelling}".strip(), quantity)
    assert value / unit.factor - unit.offset == pytest.approx(number, rel=1e-12, abs=1e-9)
    assert parse(exact(value, quantity), quantity) == value
    if spelling[:1] != "m":  # "M3" could be a million of something
        assert parse(f"{number:.9f} {spelling.replace('_', ' ').upper()}".strip(), quantity) == value


@contextmanager
def what_pint_reads() -> Iterator[list[str]]:
    """Every text that comes before pint's parser inside the block."""
    seen: list[str] = []
    conversion.cache_clear()
    registry().preprocessors.append(lambda text: seen.append(text) or text)
    try:
        yield seen
    finally:
        registry().preprocessors.pop()


OURS = {name for _, unit in ALL_UNITS for name in (unit.defined, unit.fixed)} | {
    "percent", "cm", "l", "cord", "stere", "m3", "kg", "lb", "short_ton"
}  # fmt: skip


def test_the_block_sees_what_pint_reads() -> None:
    """Without this the next test would prove nothing."""
    registry.cache_clear()  # it does not read twice what it has read
    with what_pint_reads() as seen:
        conversion("lb", "kg")
    assert "lb" in seen and "kg" in seen


@given(
    st.one_of(
        st.text(max_size=60),
        st.text(alphabet="0123456789.eE*+-/()_%° kgtmlbcordinfhWBTU", max_size=24),
        st.sampled_from(
            ["9**9**9 t", "3 kg**9", "2 microgram", "1 ton", "5 __import__", "3 rm", "1 kg*m", "2 kg/"]
        ),
        st.builds(lambda n, u: f"{n} {u}", st.integers(0, 9), st.sampled_from([*theirs()][::7])),
    ),
    st.sampled_from(sorted(QUANTITIES)),
    st.sampled_from([None, "US"]),
)
@settings(STEADY, max_examples=300)
def test_no_text_of_a_person_reaches_pint(text: str, quantity: str, country: str | None) -> None:
    """Whatever is written, pint's parser is only ever shown names of our own tables."""
    with what_pint_reads() as seen, bought_in(country):
        for read in (
            lambda: parse(text, quantity),
            lambda: units.parse_range(text, quantity),
            lambda: parse_amount(text),
            lambda: parse_price(text),
            lambda: parse_money(text, "money_per_volume"),
        ):
            try:
                read()
            except UnitError:
                continue
    assert set(seen) <= OURS


def test_a_thousand_btu_is_an_energy() -> None:
    """ "MBTU" is refused with two units to write instead, and each of them is read."""
    with pytest.raises(UnitError, match='write "kBTU" or "MMBTU"'):
        parse("60 MBTU", "energy")
    assert parse("60 kBTU", "energy") == pytest.approx(60 * parse("1000 BTU", "energy"))
    assert parse("60 MMBTU", "energy") == pytest.approx(60 * parse("1000 kBTU", "energy"))


def test_pint_is_loaded_by_the_first_factor_and_not_before() -> None:
    """Dates, clock times and importing the room need no pint; the first amount does."""
    code = (
        "import sys, fuelplan.units as u; u.parse_date('2026-02-03'); u.parse_clock('6:00')\n"
        "print({'pint', 'numpy'} & set(sys.modules)); u.parse('3 t', 'mass'); print('pint' in sys.modules)"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.split() == ["set()", "True"]


def test_a_unit_of_another_dimension_is_an_error_of_the_program() -> None:
    """The table cannot list a power under energy without being found out at the first use."""
    with pytest.raises(pint.DimensionalityError):
        conversion("kW", "kWh")
    with pytest.raises(pint.UndefinedUnitError):
        conversion("gallon", "m3")
    assert math.isclose(conversion("degF", "degC")[1], -32.0, abs_tol=0)

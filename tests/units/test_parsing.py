"""Text a person wrote → a number in a fixed unit, or a sentence on what to write instead."""

from __future__ import annotations

import math
from datetime import date, datetime
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from fuelplan.units import (
    QUANTITIES,
    UnitError,
    parse,
    parse_clock,
    parse_date,
    parse_range,
    parse_working_days,
)
from fuelplan.units.parsing import find_unit, key, spellings

STEADY = settings(deadline=None, suppress_health_check=[HealthCheck.too_slow])


@pytest.mark.parametrize(
    ("text", "quantity", "expected"),
    [
        ("3.5 t", "mass", 3500.0),
        ("3.5t", "mass", 3500.0),
        (" 640  kg ", "mass", 640.0),
        ("1 short_ton", "mass", 907.18474),
        ("1 short ton", "mass", 907.18474),
        ("2000 lbs", "mass", 907.18474),
        ("20 kW", "power", 20.0),
        ("20000 W", "power", 20.0),
        ("68240 BTU/h", "power", 20.0),
        ("68.24 kBTU/hr", "power", 20.0),
        ("24 MWh", "energy", 24000.0),
        ("100 therm", "energy", 2930.0),
        ("68 degF", "temperature", 20.0),
        ("68°F", "temperature", 20.0),
        ("68 F", "temperature", 20.0),
        ("−12 °C", "temperature", -12.0),
        ("-12 C", "temperature", -12.0),
        ("293.15 K", "temperature", 20.0),
        ("9 degF", "temperature_difference", 5.0),
        ("5 °C", "temperature_difference", 5.0),
        ("9 m³", "volume", 9.0),
        ("9 m^3", "volume", 9.0),
        ("9 m**3", "volume", 9.0),
        ("739.2 BTU/(h·°F)", "heat_loss", 390.0),
        ("1000 l", "volume", 1.0),
        ("264.172 gal(US)", "volume", 1.0),
        ("35.3147 cu ft", "volume", 1.0),
        ("8 ft", "length", 2.4384),
        ("10 in", "length", 0.254),
        ("1506.95 sq ft", "area", 140.0),
        ("2 days", "time", 48.0),
        ("90 min", "time", 1.5),
        ("45°", "angle", 45.0),
        ("2 %", "share", 0.02),
        ("0.02", "share", 0.02),
        (0.02, "share", 0.02),
        ("1 in 50", "share", 0.02),
        (4, "count", 4.0),
        ("4", "count", 4.0),
        ("17.3 MJ/kg", "energy_per_mass", 4.8056),
        ("4800 kWh/t", "energy_per_mass", 4.8),
        ("8250 BTU/lb", "energy_per_mass", 5.330),
        ("40.58 lb/ft3", "density", 650.0),
        ("6 kg per hour", "mass_rate", 6.0),
        ("739.2 BTU/h/°F", "heat_loss", 390.0),
        ("0.39 kW/K", "heat_loss", 390.0),
        ("22 miles", "distance", 35.4),
        ("0.6 kW", "gains", 600.0),
        ("32 gal(US)/day", "water_use", 121.13),
        ("0.7 ach", "ach", 0.7),
        ("0.7 per hour", "ach", 0.7),
    ],
)
def test_what_people_write(text: str | float, quantity: str, expected: float) -> None:
    """The units people in metric and US lands use arrive in the fixed unit; figures by hand."""
    assert parse(text, quantity) == pytest.approx(expected, rel=3e-4)


@pytest.mark.parametrize(
    ("text", "quantity", "says"),
    [
        ("3,5 t", "mass", '"3,5 t": write a decimal point, "3.5 t"'),
        ("0,125 t", "mass", '"0,125 t": write a decimal point, "0.125 t"'),
        ("3,500 kg", "mass", '"3,500 kg": a comma has two readings; write "3500 kg" or "3.500 kg"'),
        ("1,234,567 kg", "mass", 'without separators of thousands, "1234567 kg"'),
        ("3.500,5 kg", "mass", 'without separators of thousands, "3500.5 kg"'),
        ("3'500 kg", "mass", 'without separators of thousands, "3500 kg"'),
        ("3 500 kg", "mass", 'without separators of thousands, "3500 kg"'),
        ("1_000 kg", "mass", 'without separators of thousands, "1000 kg"'),
        ("20 kWh", "power", '"20 kWh" is an energy; a power is needed, e.g. "20 kW"'),
        ("20 kW", "energy", '"20 kW" is a power; an energy is needed, e.g. "24000 kWh"'),
        ("3.5", "mass", '"3.5" has no unit; a mass is needed, e.g. "3.5 t"'),
        (3.5, "mass", '"3.5" has no unit; a mass is needed, e.g. "3.5 t"'),
        ("4 ton", "mass", 'write "t" (1,000 kg), "short_ton" (2,000 lb)'),
        ("4 tons", "mass", 'write "t" (1,000 kg), "short_ton" (2,000 lb)'),
        ("30 gal", "volume", 'write "gal_us" (3.785 l) or "gal_uk" (4.546 l)'),
        ("60 MBTU/h", "power", 'write "kBTU/h"'),
        ("20 mW", "power", 'did you mean "20 MW"?'),
        ("15.5°", "temperature", 'write "degC" or "degF"'),
        ("6 months", "time", "a month has no fixed length"),
        ("5 working days", "time", "working days have no fixed length in hours"),
        ("½ t", "mass", "write the fraction as a decimal number"),
        ("1/2 t", "mass", "write the fraction as a decimal number"),
        ("2 1/2 t", "mass", "write the fraction as a decimal number"),
        ("9**9**9 t", "mass", "write one plain number"),
        ("1e3 kg", "mass", "write one plain number"),
        ("2*3 t", "mass", "write one plain number"),
        ("2 x 3 t", "mass", "write one plain number"),
        ("2+3 t", "mass", "write one plain number"),
        ("nan t", "mass", "is not a number"),
        ("inf t", "mass", "is not a number"),
        ("-inf kg", "mass", "is not a number"),
        ("about 3 t", "mass", 'leave out "about"'),
        ("~3 t", "mass", 'leave out "~"'),
        ("99999999999999 kg", "mass", "too large"),
        ("9" * 400, "mass", "characters long"),
        ("-3 t", "mass", "is below 0"),
        ("-300 degC", "temperature", "below absolute zero"),
        ("2", "share", "lies between 0 % and 100 %"),
        ("130 %", "share", "lies between 0 % and 100 %"),
        ("1 in 0", "share", "must be above 0"),
        ("3 to 4 t", "mass", "is a range; one value is needed"),
        ("3-4 t", "mass", "is a range; one value is needed"),
        ("", "mass", "nothing is written"),
        ("   ", "mass", "nothing is written"),
        ("t", "mass", "does not begin with a number"),
        ("three t", "mass", "does not begin with a number"),
        ("٣ t", "mass", "does not begin with a number"),
        ("3. t", "mass", "does not hold one plain number"),
        ("3.5.2 t", "mass", "does not hold one plain number"),
        ("10² kg", "mass", "is not known"),
        ("5 C^", "temperature", "is not known"),
        ("5 k_g", "mass", "is not known"),
        ("5 **kg", "mass", "write one plain number"),
        ("5 kgg", "mass", 'did you mean "5 kg"?'),
        ("5 zorkmid", "mass", "(units: kg, t, g, lb, short_ton, long_ton)"),
        (True, "share", "is not a quantity"),
        (None, "mass", "is not a quantity"),
        (float("nan"), "share", "is not a number that can be meant"),
        (float("inf"), "count", "is not a number that can be meant"),
    ],
)
def test_what_is_refused(text: Any, quantity: str, says: str) -> None:
    """Each refusal is one sentence that says what is wrong and what to write."""
    with pytest.raises(UnitError) as fault:
        parse(text, quantity)
    assert says in str(fault.value)
    assert "\n" not in str(fault.value) and len(str(fault.value)) < 250


def test_an_unknown_quantity_is_a_programming_error() -> None:
    """Asking for a quantity that is not in the table is no fault of the person who wrote the text."""
    with pytest.raises(KeyError, match="not a quantity"):
        parse("3 t", "weight")


@given(st.text(max_size=100), st.sampled_from(sorted(QUANTITIES)))
@STEADY
def test_any_text_is_read_or_refused(text: str, quantity: str) -> None:
    """Whatever is written, the answer is a finite number or a one-line sentence, never another error."""
    try:
        assert math.isfinite(parse(text, quantity))
    except UnitError as fault:
        assert str(fault).isprintable()


@given(
    st.text(alphabet="0123456789.,'’ _-+eExX*/^%½kgtmlbinofKWhFC°", max_size=24),
    st.sampled_from(["mass", "power", "share", "temperature"]),
)
@settings(STEADY, max_examples=500)
def test_only_plain_numbers_are_read(text: str, quantity: str) -> None:
    """What is read begins with one plain decimal number of ASCII digits and ends with a unit of the list."""
    try:
        value = parse(text, quantity)
    except UnitError:
        return
    if " in " in text:
        return
    number = "".join(c for c in text.strip() if c in "0123456789.+-")
    digits = number.rstrip("3") if "m3" in text else number
    assert math.isfinite(value) and digits.count(".") <= 1
    assert not set(text.replace("^3", "").replace("**3", "")) & set("½’'_,*^")


@pytest.mark.parametrize("quantity", sorted(QUANTITIES))
def test_no_spelling_means_two_units(quantity: str) -> None:
    """Within a quantity each spelling belongs to one unit, and the example can be read."""
    kind = QUANTITIES[quantity]
    seen: dict[str, str] = {}
    for unit in kind.units:
        for written in unit.spellings:
            for spelling in (written, written.replace("_", " ")):
                assert seen.setdefault(key(spelling), unit.name) == unit.name
    assert len(seen) == len(spellings(quantity))
    assert math.isfinite(parse(kind.example, quantity))
    assert kind.units[0].factor == 1.0 and kind.units[0].offset == 0.0


def test_case_matters_only_where_it_changes_the_size() -> None:
    """ "kw" and "KWH" are read; a milliwatt is no megawatt and a megametre no millimetre."""
    assert find_unit("kw", "power") is not None and find_unit("KWH", "energy") is not None
    assert find_unit("mW", "power") is None and find_unit("Mm", "length") is None
    assert find_unit("M", "length") is not None and find_unit("Miles", "distance") is not None


@pytest.mark.parametrize(
    ("text", "quantity", "expected"),
    [
        ("4 to 12", "count", (4, 12)),
        ("4-12", "count", (4, 12)),
        ("4 – 12", "count", (4, 12)),
        ("5", "count", (5, 5)),
        (5, "count", (5, 5)),
        ("3 to 5 t", "mass", (3000, 5000)),
        ("900 kg to 1.2 t", "mass", (900, 1200)),
        ("3-5 t", "mass", (3000, 5000)),
        ("-5 to 3 degC", "temperature", (-5, 3)),
        ("-8 to -3 °C", "temperature", (-8, -3)),
        ("2 % to 5 %", "share", (0.02, 0.05)),
    ],
)
def test_ranges(text: str | int, quantity: str, expected: tuple[float, float]) -> None:
    """A range by "to" or a dash; the unit after the second number counts for both."""
    assert parse_range(text, quantity) == pytest.approx(expected)


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("5 t to 900 kg", "runs backwards"),
        ("1 to 2 to 3 t", "is not a range"),
        ("1 to 2", "has no unit"),
        ("1 to 2 kWh", "is an energy"),
        ("1,5 to 2 t", "write a decimal point"),
        ("low to high t", "does not begin with a number"),
    ],
)
def test_ranges_refused(text: str, says: str) -> None:
    """Ranges are refused as single values are, and when they run backwards."""
    with pytest.raises(UnitError, match=says):
        parse_range(text, "mass")


def test_lead_times() -> None:
    """Lead times count working days and say so."""
    assert parse_working_days("4 to 12 working days") == (4, 12)
    assert parse_working_days("5 working days") == (5, 5)
    assert parse_working_days("1 working day") == (1, 1)
    assert parse_working_days("4-12 business days") == (4, 12)
    for text, says in (
        ("4 to 12 days", "does not say that working days are meant"),
        ("2 weeks", "does not say that working days are meant"),
        ("12 to 4 working days", "runs backwards"),
        ("2.5 working days", "whole working days"),
        ("a few working days", "is not a number of working days"),
        ("900 working days", "at most 500"),
    ):
        with pytest.raises(UnitError, match=says):
            parse_working_days(text)
    with pytest.raises(UnitError, match="which days"):
        parse_working_days(5)


def test_dates() -> None:
    """Dates are year-month-day; any other order is refused with what it can mean."""
    assert parse_date("2026-02-03") == date(2026, 2, 3) == parse_date(date(2026, 2, 3))
    for value, says in (
        ("3.2.2026", 'write year-month-day, "2026-02-03" or "2026-03-02"'),
        ("3.3.2026", 'write year-month-day, "2026-03-03"'),
        ("02/13/2026", 'write year-month-day, "2026-02-13"'),
        ("2026/2/3", 'write year-month-day, "2026-02-03"'),
        ("2026-02-30", "no such day"),
        ("20260203", "is not a date"),
        ("3.2.26", "is not a date"),
        ("yesterday", "is not a date"),
        ("", "is not a date"),
        (5, "is not a date"),
        (datetime(2026, 2, 3, 4, 5), 'write the date alone, "2026-02-03"'),
        ("0206-02-03", "year must lie between"),
    ):
        with pytest.raises(UnitError) as fault:
            parse_date(value)
        assert str(fault.value).endswith(says) or "write" not in says


@given(st.dates(date(1850, 1, 1), date(2200, 12, 31)))
@STEADY
def test_dates_round_trip(day: date) -> None:
    """Every date is read back from its ISO form, and offered when written the German way."""
    assert parse_date(day.isoformat()) == day
    with pytest.raises(UnitError) as fault:
        parse_date(f"{day.day}.{day.month}.{day.year}")
    assert f'"{day.isoformat()}"' in str(fault.value)


def test_times_of_day() -> None:
    """Times of day are hours and minutes."""
    assert parse_clock("22:30") == 22.5 and parse_clock("6:00") == 6 and parse_clock("24:00") == 24
    for value in ("24:01", "7", "7:60", "10 pm", "", 7):
        with pytest.raises(UnitError, match="22:30"):
            parse_clock(value)

"""Numbers in fixed units → text for people, in metric or US units, with no more digits than are known."""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Literal

from fuelplan.units.definitions import conversion
from fuelplan.units.parsing import quantity_named
from fuelplan.units.reader import System, reader
from fuelplan.units.table import Unit

_MONTHS = (
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
)


@dataclass(frozen=True)
class _Step:
    """Use this unit for magnitudes (in the fixed unit) of at least `least`; `word` is what people read."""

    unit: str
    word: str
    least: float = 0.0
    decimals: int | None = None


@dataclass(frozen=True)
class Measured:
    """A quantity in the unit that people read it in: the rounded number, how many of its decimals are known,
    the unit's name in `QUANTITIES`, and its English word.
    """

    number: float
    decimals: int
    unit: str
    word: str


OddsKind = Literal["less_than", "none_seen", "all", "almost_all", "in_ten", "one_in"]

_METRIC: dict[str, tuple[_Step, ...]] = {
    "mass": (_Step("t", "t", 1000.0), _Step("kg", "kg")),
    "weighed_mass": (_Step("kg", "kg", decimals=0),),
    "energy": (_Step("MWh", "MWh", 100_000.0), _Step("kWh", "kWh")),
    "power": (_Step("kW", "kW", 1.0), _Step("W", "W")),
    "gains": (_Step("W", "W"),),
    "volume": (_Step("m3", "m³", 1.0), _Step("l", "l")),
    "length": (_Step("m", "m", 2.0), _Step("cm", "cm")),
    "area": (_Step("m2", "m²", 1.0), _Step("cm2", "cm²")),
    "temperature": (_Step("degC", "°C", decimals=1),),
    "temperature_difference": (_Step("K", "K", decimals=1),),
    "time": (
        _Step("weeks", "weeks", 21 * 24.0),
        _Step("days", "days", 48.0),
        _Step("h", "h", 1.0),
        _Step("min", "min"),
    ),
    "angle": (_Step("deg", "°", decimals=0),),
    "distance_per_mass": (_Step("km/t", "km for each tonne", decimals=1),),
    "share": (_Step("%", "%"),),
    "heat_loss": (_Step("W/K", "W per kelvin"),),
    "use_per_degree_day": (_Step("kg/K/day", "kg"),),
    "degree_days": (_Step("K day", "K·d", decimals=0),),
}
_US: dict[str, tuple[_Step, ...]] = {
    "mass": (_Step("short_ton", "short tons", 9071.8474), _Step("lb", "lb")),
    "weighed_mass": (_Step("lb", "lb", decimals=0),),
    "energy": (_Step("MMBTU", "million BTU", 293.07), _Step("BTU", "BTU")),
    "power": (_Step("BTU/h", "BTU/h"),),
    "gains": (_Step("BTU/h", "BTU/h"),),
    "volume": (_Step("ft3", "cu ft", 0.2), _Step("gal_us", "US gal")),
    "length": (_Step("ft", "ft", 0.9), _Step("in", "in")),
    "area": (_Step("ft2", "sq ft", 0.0929), _Step("in2", "sq in")),
    "temperature": (_Step("degF", "°F", decimals=0),),
    "temperature_difference": (_Step("degF", "°F", decimals=0),),
    "energy_per_mass": (_Step("BTU/lb", "BTU/lb"),),
    "density": (_Step("lb/ft3", "lb/cu ft"),),
    "mass_rate": (_Step("lb/h", "lb/h"),),
    "heat_loss": (_Step("BTU/h/degF", "BTU/h per °F"),),
    "use_per_degree_day": (_Step("lb/degF/day", "lb"),),
    "degree_days": (_Step("degF day", "°F·d", decimals=0),),
    "distance": (_Step("mi", "miles"),),
    "distance_per_mass": (_Step("mi/short_ton", "miles for each short ton", decimals=1),),
    "water_use": (_Step("gal_us/day", "US gal a day"),),
    "speed": (_Step("mph", "mph"),),
}


def show(
    value: float,
    quantity: str,
    system: System | None = None,
    *,
    digits: int = 2,
    about: bool = False,
    unit: str | None = None,
    decimals: int | None = None,
    up: bool = False,
) -> str:
    """Return a quantity as people read it: "2.1 t", "640 kg", "20 kW"; in US units "4,600 lb".

    Parameters
    ----------
    value
        In the fixed unit of the quantity.
    quantity
        A name in `QUANTITIES`.
    system
        "metric" or "us"; None: as the reader set by :func:`write_for` reads, which usually is metric.
    digits
        Significant digits; digits before the decimal point are rounded, too ("4,600 lb").
    about
        Put "about" in front.
    unit, decimals
        The metric unit in which a source writes it, and how many decimals; US readers read their own.
    up
        Rounded up: the least that must be met.
    """
    if not math.isfinite(value):
        return "not known"
    found = measured(value, quantity, system, digits=digits, unit=unit, decimals=decimals, up=up)
    fixed = decimals is not None and (system or reader().system) == "metric"
    text = written_out(found, fixed=fixed)
    return f"about {text}" if about else text


def written_out(found: Measured, *, fixed: bool = False) -> str:
    """Return a measured quantity with its unit: "2.1 t"; with `fixed` every decimal is written."""
    number = f"{found.number:,.{found.decimals}f}" if fixed else _rounded(found.number, found.decimals)
    return _with(number, found.word)


def measured(
    value: float,
    quantity: str,
    system: System | None = None,
    *,
    digits: int = 2,
    unit: str | None = None,
    decimals: int | None = None,
    up: bool = False,
) -> Measured:
    """Return a quantity in the unit that people read, for those who write it in another language; the
    parameters are those of :func:`show`.
    """
    step, found = _step_for(abs(value), quantity, system, digits)
    metric = (system or reader().system) == "metric"
    if metric and unit is not None:
        step, found = _step_of(quantity, unit)
    elif unit == "l":  # what is poured is counted in gallons, however much
        step, found = _step_of(quantity, "gal_us")
    number = _in_unit(value, found)
    known = decimals if metric and decimals is not None else step.decimals
    small = quantity == "temperature_difference" and not metric and abs(number) < 10
    if known is None or small:  # 0.25 K is 0.45 °F, not 0 °F
        known = _decimals(abs(number), digits)
    if up:
        number = math.ceil(number * 10.0**known - 1e-6) / 10.0**known
    return Measured(round(number, known), max(known, 0), step.unit, step.word)


def show_range(
    low: float,
    high: float,
    quantity: str,
    system: System | None = None,
    *,
    digits: int = 2,
    unit: str | None = None,
    decimals: int | None = None,
) -> str:
    """Return a range as people read it: "1.7 to 2.5 t". Both ends are rounded outwards, so no doubt is
    hidden.

    Where both ends read the same, it is "about 2.1 t". The parameters are those of :func:`show`.
    """
    if not (math.isfinite(low) and math.isfinite(high)):
        return "not known"
    ends = measured_range(low, high, quantity, system, digits=digits, unit=unit, decimals=decimals)
    if ends is None:
        middle = (low + high) / 2
        return show(middle, quantity, system, digits=digits, about=True, unit=unit, decimals=decimals)
    texts = [f"{end.number:,.{end.decimals}f}" for end in ends]
    return f"{texts[0]} to {_glue(texts[1], ends[1].word)}"


def measured_range(
    low: float,
    high: float,
    quantity: str,
    system: System | None = None,
    *,
    digits: int = 2,
    unit: str | None = None,
    decimals: int | None = None,
) -> tuple[Measured, Measured] | None:
    """Return both ends of a range in one unit, rounded outwards; None where they read the same."""
    if low > high:
        raise ValueError(f"the range {low:g} to {high:g} runs backwards")
    step, found = _step_for(max(abs(low), abs(high)), quantity, system, digits)
    metric = (system or reader().system) == "metric"
    if metric and unit is not None:
        step, found = _step_of(quantity, unit)
    ends = _in_unit(low, found), _in_unit(high, found)
    places = decimals if metric and decimals is not None else step.decimals
    if places is None:
        places = _decimals(max(map(abs, ends)), digits)
    scale = 10.0**places
    bottom, top = math.floor(ends[0] * scale + 1e-6) / scale, math.ceil(ends[1] * scale - 1e-6) / scale
    if bottom >= top or (ends[1] - ends[0]) * scale < 0.5:
        return None
    known = 0 if bottom.is_integer() and top.is_integer() else max(places, 0)
    return Measured(bottom, known, step.unit, step.word), Measured(top, known, step.unit, step.word)


def odds(share: float, draws: int | None = None) -> tuple[OddsKind, int]:
    """Return how a chance is told, and the number in it: 0.02 → "about 1 in 50".

    Parameters
    ----------
    share
        0 to 1.
    draws
        How many draws stand behind the share: a share of 0 is then "less than 1 in 1,000", never "never".
    """
    if not 0 <= share <= 1:
        raise ValueError(f"a share lies between 0 and 1, not {share:g}")
    if share == 0:
        return ("less_than", draws) if draws else ("none_seen", 0)
    if share >= 0.95:
        return ("all", draws) if share == 1 and draws else ("almost_all", 0)
    if share > 0.29:
        tenths = round(share * 10)
        return ("one_in", 2) if tenths == 5 else ("in_ten", tenths)
    one_in = 1 / share
    if one_in < 20:
        nearest = round(one_in)
    elif one_in < 100:
        nearest = 5 * round(one_in / 5)
    else:
        size = 10 ** (math.floor(math.log10(one_in)) - 1)
        nearest = size * round(one_in / size)
    return "one_in", nearest


def show_money(value: float, currency: str, *, whole: bool = True) -> str:
    """Return a sum as people read it: "1,090 EUR", or "5.20 EUR" with `whole=False`."""
    if not math.isfinite(value):
        return "not known"
    return _glue(_no_minus_zero(value, 0 if whole else 2), currency)


def show_percent(share: float, decimals: int = 0) -> str:
    """Return a share of 0 to 1 in hundredths: "22%"."""
    return _glue(_no_minus_zero(100.0 * share, decimals), "%")


def show_price(per_kg: float, currency: str, system: System | None = None) -> str:
    """Return a price by weight as people read it: "310 EUR/t"; in US units "280 USD per short ton"."""
    if not math.isfinite(per_kg):
        return "not known"
    if (system or reader().system) == "us":
        return f"{show_money(per_kg * conversion('short_ton', 'kg')[0], currency)} per short ton"
    return f"{show_money(per_kg * 1000, currency)}/t"


def show_date(day: date, *, year: bool = False, short: bool = False) -> str:
    """Return a date as people read it: "14 March", "14 March 2026"; "March 14, 2026" where they write so;
    `short`, the month in three letters.
    """
    month = _MONTHS[day.month - 1][: 3 if short else None]
    if reader().dates == "month first":
        text = f"{month} {day.day}"
        return f"{text}, {day.year}" if year else text
    text = f"{day.day} {month}"
    return f"{text} {day.year}" if year else text


def show_month(month: int, year: int | None = None) -> str:
    """Return a calendar month as people read it, 1 for January: "July", "July 2026"."""
    return _MONTHS[month - 1] if year is None else f"{_MONTHS[month - 1]} {year}"


def exact(value: float, quantity: str) -> str:
    """Return text that `parse` reads back to the very same number, for a file: 3500.0 → "3500 kg"."""
    if not math.isfinite(value):
        raise ValueError(f"{value} cannot be written to a file")
    number = format(Decimal(repr(float(value))), "f").removesuffix(".0")
    unit = quantity_named(quantity).fixed_unit
    return f"{number} {unit}" if unit else number


def _steps(quantity: str, system: System | None) -> tuple[_Step, ...]:
    """Return the units people read for a quantity; the fixed unit where the table has none."""
    fixed = quantity_named(quantity).fixed_unit
    fallback = _METRIC.get(quantity) or (_Step(fixed, fixed.replace("m3", "m³").replace("m2", "m²")),)
    return _US.get(quantity, fallback) if (system or reader().system) == "us" else fallback


def _step_for(magnitude: float, quantity: str, system: System | None, digits: int) -> tuple[_Step, Unit]:
    """Choose the unit for a magnitude; 999.6 kg reads as 1 t, not as 1,000 kg."""
    units = {unit.name: unit for unit in quantity_named(quantity).units}
    steps = _steps(quantity, system)
    for step in steps[:-1]:
        if magnitude * (1 + 0.5 * 10.0**-digits) >= step.least:
            return step, units[step.unit]
    return steps[-1], units[steps[-1].unit]


def _step_of(quantity: str, unit: str) -> tuple[_Step, Unit]:
    """Return a unit by its name, with its word."""
    found = next(one for one in quantity_named(quantity).units if one.name == unit)
    known = (*_METRIC.get(quantity, ()), *_US.get(quantity, ()))
    step = next((one for one in known if one.unit == unit), _Step(unit, unit.replace("m3", "m³")))
    return step, found


def _in_unit(value: float, unit: Unit) -> float:
    """Convert from the fixed unit."""
    return value / unit.factor - unit.offset


def _decimals(magnitude: float, digits: int) -> int:
    """Return how many decimals keep `digits` significant digits; negative before the decimal point."""
    if magnitude == 0:
        return 0
    return digits - 1 - math.floor(math.log10(magnitude))


def _rounded(number: float, decimals: int) -> str:
    """Round and write with separators of thousands; a needless ".0" is left out."""
    text = _no_minus_zero(round(number, decimals), max(decimals, 0))
    return text.rstrip("0").rstrip(".") if "." in text else text


def _no_minus_zero(number: float, decimals: int) -> str:
    """Write a number with separators of thousands, and never "-0"."""
    text = f"{number:,.{decimals}f}"
    return text.removeprefix("-") if not any(c in "123456789" for c in text) else text


def _glue(number: str, word: str) -> str:
    """Put number and unit together; a bare degree sign and a per cent sign stand close."""
    if not word:
        return number
    return f"{number}{word}" if word in {"°", "%"} else f"{number}{reader().space}{word}"


def _with(number: str, word: str) -> str:
    """Put number and unit together; one of a thing is singular."""
    singular = {"weeks": "week", "days": "day", "short tons": "short ton", "miles": "mile"}
    return _glue(number, singular.get(word, word) if number == "1" else word)

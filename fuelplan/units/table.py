"""Which units are accepted for which quantity, how people spell them, and what else holds of a quantity.

A unit's size and its spellings are those of `definitions.txt`; here stands what pint cannot hold as a name.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

from fuelplan.units.definitions import conversion, spellings_of
from fuelplan.units.number import UnitError


@dataclass(frozen=True)
class Unit:
    """One accepted unit: value in the fixed unit = `factor` * (number + `offset`).

    Attributes
    ----------
    name
        The spelling shown to people.
    defined
        The same for pint: a spelling of `definitions.txt` or a product of some.
    fixed
        The fixed unit of the quantity, as `defined`.
    more
        Accepted spellings that `definitions.txt` has not.
    """

    name: str
    defined: str
    fixed: str
    more: tuple[str, ...] = ()

    @cached_property
    def factor(self) -> float:
        """One of this unit, in the fixed unit."""
        return conversion(self.defined, self.fixed)[0]

    @cached_property
    def offset(self) -> float:
        """What is added to a number first; 0 but for temperatures. [this unit]"""
        return conversion(self.defined, self.fixed)[1]

    @cached_property
    def spellings(self) -> tuple[str, ...]:
        """Every accepted spelling; upper and lower case, spaces and underscores do not matter."""
        return (self.name, *spellings_of(self.name), *self.more)


@dataclass(frozen=True)
class QuantityKind:
    """A kind of quantity: what it is called, an example, its fixed unit (the first), and the rest."""

    name: str
    a_what: UnitError
    example: str
    units: tuple[Unit, ...]
    may_be_negative: bool = False
    bare: bool = False
    least: float | None = None
    most: float | None = None

    @property
    def fixed_unit(self) -> str:
        """Name of the unit that numbers inside the house are in."""
        return self.units[0].name


_SIGNS = {"%": "percent", "‰": "permille"}
_DEFINED = {
    ("temperature_difference", "degF"): "delta_degF",
    ("heat_loss", "BTU/h/degF"): "BTU/h/delta_degF",
    ("u_value", "W/m2K"): "W/m2/K",
    ("degree_days", "K day"): "K*day",
    ("degree_days", "degF day"): "delta_degF*day",
    ("use_per_degree_day", "lb/degF/day"): "lb/delta_degF/day",
    ("u_value", "BTU/h/ft2/degF"): "BTU/h/ft2/delta_degF",
}
"""What pint is asked for where the name that people read does not say it, by (quantity, name).

Signs go by their words: pint 0.24 cannot parse "‰".
"""

NO_UNIT = ""
_BTU_H = "BTU/h = BTU/hr = BTUH = BTU/hour"


def _quantity(
    name: str, example: str, units: str, may_be_negative: bool = False, bare: bool = False,
    least: float | None = None, most: float | None = None,
) -> QuantityKind:  # fmt: skip
    """Return a quantity; a unit is its name and, behind " = ", further spellings of it."""
    split = [text.split(" = ") for text in units.split(", ")]
    defined = [_DEFINED.get((name, words[0]), _SIGNS.get(words[0], words[0])) for words in split]
    made = tuple(
        Unit(words[0], own, defined[0], tuple(words[1:])) for words, own in zip(split, defined, strict=True)
    )
    return QuantityKind(name, _WHAT[name], example, made, may_be_negative, bare, least, most)


_WHAT = {
    "mass": UnitError("units.what_mass", "a mass"),
    "weighed_mass": UnitError("units.what_weighed_mass", "a mass as a scale shows it"),
    "energy": UnitError("units.what_energy", "an energy"),
    "power": UnitError("units.what_power", "a power"),
    "volume": UnitError("units.what_volume", "a volume"),
    "length": UnitError("units.what_length", "a length"),
    "area": UnitError("units.what_area", "an area"),
    "temperature": UnitError("units.what_temperature", "a temperature"),
    "temperature_difference": UnitError("units.what_temperature_difference", "a temperature difference"),
    "time": UnitError("units.what_time", "a time"),
    "angle": UnitError("units.what_angle", "an angle"),
    "share": UnitError("units.what_share", "a share"),
    "efficiency": UnitError("units.what_efficiency", "an efficiency"),
    "count": UnitError("units.what_count", "a number"),
    "energy_per_mass": UnitError("units.what_energy_per_mass", "an energy per mass"),
    "density": UnitError("units.what_density", "a density"),
    "mass_rate": UnitError("units.what_mass_rate", "a mass per time"),
    "heat_loss": UnitError("units.what_heat_loss", "a heat loss per kelvin"),
    "use_per_degree_day": UnitError("units.what_use_per_degree_day", "a use of fuel per degree-day"),
    "degree_days": UnitError("units.what_degree_days", "a number of degree-days"),
    "distance": UnitError("units.what_distance", "a distance"),
    "distance_per_mass": UnitError("units.what_distance_per_mass", "a distance per mass"),
    "gains": UnitError("units.what_gains", "a power"),
    "water_use": UnitError("units.what_water_use", "a volume of water per day"),
    "ach": UnitError("units.what_ach", "air changes per hour"),
    "pressure": UnitError("units.what_pressure", "a pressure"),
    "u_value": UnitError("units.what_u_value", "a U-value"),
    "energy_per_area": UnitError("units.what_energy_per_area", "an energy per floor area"),
    "speed": UnitError("units.what_speed", "a speed"),
    "emission": UnitError("units.what_emission", "a mass of CO2 per energy"),
}
"""What each quantity is called."""

_ALL = (
    _quantity("mass", "3.5 t", "kg, t, g, lb, short_ton, long_ton"),
    _quantity("weighed_mass", "3500 kg", "kg, lb"),
    _quantity("energy", "24000 kWh", "kWh, MWh, Wh, MJ, GJ, BTU, kBTU, MMBTU, therm"),
    _quantity("power", "20 kW", f"kW, W, MW, {_BTU_H}, kBTU/h = kBTU/hr = thousand BTU/h"),
    _quantity("volume", "9 m3", "m3, l, ft3, yd3, gal_us = gal(US), gal_uk = gal(UK)"),
    _quantity("length", "2.4 m", "m, cm, mm, ft, in, yd"),
    _quantity("area", "140 m2", "m2, cm2, ft2, in2"),
    _quantity(
        "temperature", "20 degC", "degC, degF, K", may_be_negative=True, least=-273.15
    ),
    _quantity(
        "temperature_difference", "5 K", "K = degC = °C = C, degF",
        may_be_negative=True,
    ),
    _quantity("time", "8 h", "h, min, s, days, weeks"),
    _quantity("angle", "45 deg", "deg, rad"),
    _quantity("share", "2 %", f"{NO_UNIT}, %, ‰", bare=True, most=1.0),
    # On the net calorific value a condensing boiler passes 100 %.
    _quantity("efficiency", "85 %", f"{NO_UNIT}, %", bare=True, most=1.09),
    _quantity("count", "4", NO_UNIT, bare=True),
    _quantity(
        "energy_per_mass", "4.8 kWh/kg",
        "kWh/kg, kWh/t, MWh/t, MJ/kg, GJ/t, BTU/lb, MMBTU/short_ton",
    ),
    _quantity("density", "650 kg/m3", "kg/m3, t/m3, kg/l, g/cm3, lb/ft3 = lb/cuft"),
    _quantity(
        "mass_rate", "6 kg/h",
        "kg/h = kg/hour = kg/hr, kg/min, kg/day = kg/d, t/h = t/hour, lb/h = lb/hr = lb/hour = lbs/h",
    ),
    _quantity(
        "heat_loss", "250 W/K",
        "W/K = W/degC = W/°C, kW/K = kW/degC = kW/°C, BTU/h/degF = BTU/h/F = BTU/h/°F = BTU/(h degF) = "
        "BTU/(h °F) = BTU/hr/F = BTU/hr/°F",
    ),
    _quantity(
        "use_per_degree_day", "1.2 kg/K/day",
        "kg/K/day = kg/K/d, lb/degF/day = lb/F/day",
    ),
    _quantity("degree_days", "2900 K day", "K day, degF day"),
    _quantity("distance", "35 km", "km, m, mi"),
    _quantity("distance_per_mass", "2.6 km/t", "km/t, mi/short_ton"),
    _quantity("gains", "600 W", f"W, kW, {_BTU_H}"),
    _quantity(
        "water_use", "120 l/day",
        "l/day = l/d = litre/day = litres/day = liters/day, m3/day = m3/d, "
        "gal_us/day = gal(US)/day = US gal/day = US gallons/day",
    ),
    _quantity(
        "ach", "0.5 1/h",
        "1/h = /h = ach = /hour = h-1 = air changes/h = air changes/hour",
    ),
    _quantity("pressure", "12 Pa", "Pa, hPa, mbar, inH2O = in w.c."),
    _quantity(
        "u_value", "0.35 W/m2K",
        "W/m2K = W/(m2K) = W/m2/K, BTU/h/ft2/degF = BTU/(h ft2 F) = BTU/h/ft2/F",
    ),
    _quantity("energy_per_area", "120 kWh/m2", "kWh/m2, kBTU/ft2 = kBTU/sqft"),
    _quantity("speed", "55 km/h", "km/h = kmh = kph, mph = mi/h"),
    _quantity("emission", "27 g/kWh", "g/kWh, kg/kWh, kg/MWh"),
)  # fmt: skip

QUANTITIES: dict[str, QuantityKind] = {quantity.name: quantity for quantity in _ALL}
"""Every quantity by name; the first unit of each is the fixed one."""

AMBIGUOUS: dict[str, UnitError] = {
    "ton": UnitError(
        "units.meant_ton",
        '"ton" has three meanings; write "t" (1,000 kg), "short_ton" (2,000 lb) or "long_ton" (2,240 lb)',
    ),
    "gal": UnitError(
        "units.meant_gal", '"gal" has two meanings; write "gal_us" (3.785 l) or "gal_uk" (4.546 l)'
    ),
    "mbtu": UnitError(
        "units.meant_mbtu", '"MBTU" is used for a thousand and for a million; write "kBTU" or "MMBTU"'
    ),
    "mbtu/h": UnitError(
        "units.meant_mbtu_h", '"MBTU/h" is used for a thousand and for a million; write "kBTU/h"'
    ),
    "mbh": UnitError("units.meant_mbh", '"MBH" is read in two ways; write "kBTU/h" (a thousand BTU an hour)'),
    "hp": UnitError("units.meant_hp", '"hp" has several meanings; write "kW"'),
    "cwt": UnitError("units.meant_cwt", '"cwt" has two meanings; write "kg" or "lb"'),
    "month": UnitError("units.meant_month", 'a month has no fixed length; write "days" or "weeks"'),
    "year": UnitError("units.meant_year", 'a year has no fixed length; write "days" or "weeks"'),
    "working days": UnitError(
        "units.meant_working_days", 'working days have no fixed length in hours; write "days", "weeks" or "h"'
    ),
}
"""Words that are refused with what to write instead, by spelling key."""

_SAME = {
    "tons": "ton",
    "gallon": "gal",
    "gallons": "gal",
    "gals": "gal",
    "mbtu/hr": "mbtu/h",
    "horsepower": "hp",
    "months": "month",
    "years": "year",
    "a": "year",
    "yr": "year",
    "workingdays": "working days",
    "workingday": "working days",
}
AMBIGUOUS.update({word: AMBIGUOUS[meaning] for word, meaning in _SAME.items()})

_BARE_DEGREE = UnitError("units.bare_degree", 'a bare degree can be of either scale; write "degC" or "degF"')
AMBIGUOUS_FOR: dict[tuple[str, str], UnitError] = {
    ("temperature", word): _BARE_DEGREE for word in ("°", "deg", "degree", "degrees")
}
"""The same for one quantity alone, by (quantity, spelling key)."""

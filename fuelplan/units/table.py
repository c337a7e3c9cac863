"""Which units are accepted for which quantity, and by what factor each becomes the fixed unit of the house.

The factors are written down instead of asked of pint at run time: building pint's registry costs half a
second, which is a fifth of what an order answer may take. A test computes every factor and offset anew with
pint.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Unit:
    """One accepted unit: value in the fixed unit = `factor` * (number + `offset`).

    Attributes
    ----------
    name
        The spelling shown to people.
    factor, offset
        See above; the offset is 0 except for temperatures.
    pint
        The same unit as pint writes it, for the test of the factor; empty where pint has none.
    spellings
        Further accepted spellings; upper and lower case, spaces and underscores do not matter.
    """

    name: str
    factor: float
    pint: str
    spellings: tuple[str, ...] = ()
    offset: float = 0.0


@dataclass(frozen=True)
class Quantity:
    """A kind of quantity: what it is called, an example, its fixed unit (the first), and the rest."""

    name: str
    a_what: str
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


LB_KG = 0.45359237
FT_M = 0.3048
BTU_KWH = 1055.056 / 3.6e6  # the definition pint uses (ISO, rounded)
GAL_US_M3 = 231 * 0.0254**3
GAL_UK_M3 = 0.00454609

_KG = Unit("kg", 1.0, "kilogram", ("kilo", "kilos", "kilogram", "kilograms"))
_W = Unit("W", 1e-3, "watt", ("watt", "watts"))
_KW = Unit("kW", 1.0, "kilowatt", ("kilowatt", "kilowatts"))
_BTU_H = Unit("BTU/h", BTU_KWH, "Btu/hour", ("BTU/hr", "BTUH", "BTU/hour"))


def _times(unit: Unit, factor: float) -> Unit:
    """Return the unit for a quantity whose fixed unit is another one."""
    return Unit(unit.name, unit.factor * factor, unit.pint, unit.spellings)


_ALL = (
    Quantity(
        "mass",
        "a mass",
        "3.5 t",
        (
            _KG,
            Unit("t", 1000.0, "metric_ton", ("tonne", "tonnes", "metric ton", "metric tons")),
            Unit("g", 1e-3, "gram", ("gram", "grams")),
            Unit("lb", LB_KG, "pound", ("lbs", "pound", "pounds")),
            Unit("short_ton", 2000 * LB_KG, "short_ton", ("short tons", "US ton", "US tons")),
            Unit("long_ton", 2240 * LB_KG, "long_ton", ("long tons",)),
        ),
    ),
    Quantity(
        "energy",
        "an energy",
        "24000 kWh",
        (
            Unit("kWh", 1.0, "kilowatt_hour", ("kW h",)),
            Unit("MWh", 1000.0, "megawatt_hour"),
            Unit("Wh", 1e-3, "watt_hour"),
            Unit("MJ", 1 / 3.6, "megajoule"),
            Unit("GJ", 1000 / 3.6, "gigajoule"),
            Unit("BTU", BTU_KWH, "Btu"),
            Unit("MMBTU", 1e6 * BTU_KWH, "1e6 * Btu", ("million BTU",)),
            Unit("therm", 105480400 / 3.6e6, "US_therm", ("therms", "thm")),
        ),
    ),
    Quantity(
        "power",
        "a power",
        "20 kW",
        (
            _KW,
            _W,
            Unit("MW", 1000.0, "megawatt"),
            _BTU_H,
            Unit("kBTU/h", 1000 * BTU_KWH, "1000 * Btu/hour", ("kBTU/hr", "thousand BTU/h")),
        ),
    ),
    Quantity(
        "volume",
        "a volume",
        "9 m3",
        (
            Unit(
                "m3", 1.0, "meter**3", ("cubic metre", "cubic metres", "cubic meter", "cubic meters", "cbm")
            ),
            Unit("l", 1e-3, "liter", ("litre", "litres", "liter", "liters", "ltr")),
            Unit("ft3", FT_M**3, "foot**3", ("cu ft", "cubic foot", "cubic feet", "cuft")),
            Unit("yd3", (3 * FT_M) ** 3, "yard**3", ("cu yd", "cubic yard", "cubic yards")),
            Unit("gal_us", GAL_US_M3, "gallon", ("gal(US)", "US gal", "US gallon", "US gallons")),
            Unit("gal_uk", GAL_UK_M3, "imperial_gallon", ("gal(UK)", "UK gal", "imperial gallon", "imp gal")),
        ),
    ),
    Quantity(
        "length",
        "a length",
        "2.4 m",
        (
            Unit("m", 1.0, "meter", ("metre", "metres", "meter", "meters")),
            Unit("cm", 1e-2, "centimeter", ("centimetre", "centimetres", "centimeter", "centimeters")),
            Unit("mm", 1e-3, "millimeter", ("millimetre", "millimetres", "millimeter", "millimeters")),
            Unit("ft", FT_M, "foot", ("foot", "feet")),
            Unit("in", 0.0254, "inch", ("inch", "inches")),
            Unit("yd", 3 * FT_M, "yard", ("yard", "yards")),
        ),
    ),
    Quantity(
        "area",
        "an area",
        "140 m2",
        (
            Unit(
                "m2",
                1.0,
                "meter**2",
                ("sqm", "square metre", "square metres", "square meter", "square meters"),
            ),
            Unit("cm2", 1e-4, "centimeter**2"),
            Unit("ft2", FT_M**2, "foot**2", ("sq ft", "sqft", "square foot", "square feet")),
            Unit("in2", 0.0254**2, "inch**2", ("sq in", "square inches")),
        ),
    ),
    Quantity(
        "temperature",
        "a temperature",
        "20 degC",
        (
            Unit("degC", 1.0, "degC", ("°C", "C", "celsius")),
            Unit("degF", 5 / 9, "degF", ("°F", "F", "fahrenheit"), offset=-32.0),
            Unit("K", 1.0, "kelvin", ("kelvin",), offset=-273.15),
        ),
        may_be_negative=True,
        least=-273.15,
    ),
    Quantity(
        "temperature_difference",
        "a temperature difference",
        "5 K",
        (
            Unit("K", 1.0, "delta_degC", ("kelvin", "degC", "°C", "C")),
            Unit("degF", 5 / 9, "delta_degF", ("°F", "F", "fahrenheit")),
        ),
        may_be_negative=True,
    ),
    Quantity(
        "time",
        "a time",
        "8 h",
        (
            Unit("h", 1.0, "hour", ("hour", "hours", "hr", "hrs")),
            Unit("min", 1 / 60, "minute", ("minute", "minutes", "mins")),
            Unit("s", 1 / 3600, "second", ("second", "seconds", "sec")),
            Unit("days", 24.0, "day", ("day", "d")),
            Unit("weeks", 168.0, "week", ("week",)),
        ),
    ),
    Quantity(
        "angle",
        "an angle",
        "45 deg",
        (
            Unit("deg", 1.0, "degree", ("°", "degree", "degrees")),
            Unit("rad", 57.29577951308232, "radian", ("radian", "radians")),
        ),
    ),
    Quantity(
        "share",
        "a share",
        "2 %",
        (
            Unit("", 1.0, "dimensionless"),
            Unit("%", 0.01, "percent", ("percent", "per cent", "pct")),
            Unit("‰", 1e-3, "permille", ("per mille", "permille")),
        ),
        bare=True,
        most=1.0,
    ),
    # On the net calorific value a condensing boiler passes 100 %.
    Quantity(
        "efficiency",
        "an efficiency",
        "85 %",
        (Unit("", 1.0, "dimensionless"), Unit("%", 0.01, "percent", ("percent", "per cent", "pct"))),
        bare=True,
        most=1.09,
    ),
    Quantity("count", "a number", "4", (Unit("", 1.0, "dimensionless"),), bare=True),
    Quantity(
        "energy_per_mass",
        "an energy per mass",
        "4.8 kWh/kg",
        (
            Unit("kWh/kg", 1.0, "kilowatt_hour/kilogram"),
            Unit("kWh/t", 1e-3, "kilowatt_hour/metric_ton"),
            Unit("MWh/t", 1.0, "megawatt_hour/metric_ton"),
            Unit("MJ/kg", 1 / 3.6, "megajoule/kilogram"),
            Unit("GJ/t", 1 / 3.6, "gigajoule/metric_ton"),
            Unit("BTU/lb", BTU_KWH / LB_KG, "Btu/pound"),
            Unit("MMBTU/short_ton", 1e6 * BTU_KWH / (2000 * LB_KG), "1e6*Btu/short_ton"),
        ),
    ),
    Quantity(
        "density",
        "a density",
        "650 kg/m3",
        (
            Unit("kg/m3", 1.0, "kilogram/meter**3"),
            Unit("t/m3", 1000.0, "metric_ton/meter**3"),
            Unit("kg/l", 1000.0, "kilogram/liter"),
            Unit("g/cm3", 1000.0, "gram/centimeter**3"),
            Unit("lb/ft3", LB_KG / FT_M**3, "pound/foot**3", ("lb/cuft",)),
        ),
    ),
    Quantity(
        "mass_rate",
        "a mass per time",
        "6 kg/h",
        (
            Unit("kg/h", 1.0, "kilogram/hour", ("kg/hour", "kg/hr")),
            Unit("kg/min", 60.0, "kilogram/minute"),
            Unit("kg/day", 1 / 24, "kilogram/day", ("kg/d",)),
            Unit("t/h", 1000.0, "metric_ton/hour", ("t/hour",)),
            Unit("lb/h", LB_KG, "pound/hour", ("lb/hr", "lb/hour", "lbs/h")),
        ),
    ),
    Quantity(
        "heat_loss",
        "a heat loss per kelvin",
        "250 W/K",
        (
            Unit("W/K", 1.0, "watt/delta_degC", ("W/degC", "W/°C")),
            Unit("kW/K", 1000.0, "kilowatt/delta_degC", ("kW/degC", "kW/°C")),
            Unit(
                "BTU/h/degF",
                BTU_KWH * 1000 * 9 / 5,
                "Btu/hour/delta_degF",
                ("BTU/h/F", "BTU/h/°F", "BTU/(h degF)", "BTU/(h °F)", "BTU/hr/F", "BTU/hr/°F"),
            ),
        ),
    ),
    Quantity(
        "distance",
        "a distance",
        "35 km",
        (
            Unit("km", 1.0, "kilometer", ("kilometre", "kilometres", "kilometer", "kilometers")),
            Unit("m", 1e-3, "meter", ("metre", "metres", "meter", "meters")),
            Unit("mi", 1.609344, "mile", ("mile", "miles")),
        ),
    ),
    Quantity("gains", "a power", "600 W", (_times(_W, 1000.0), _times(_KW, 1000.0), _times(_BTU_H, 1000.0))),
    Quantity(
        "water_use",
        "a volume of water per day",
        "120 l/day",
        (
            Unit("l/day", 1.0, "liter/day", ("l/d", "litre/day", "litres/day", "liters/day")),
            Unit("m3/day", 1000.0, "meter**3/day", ("m3/d",)),
            Unit(
                "gal_us/day", 1000 * GAL_US_M3, "gallon/day", ("gal(US)/day", "US gal/day", "US gallons/day")
            ),
        ),
    ),
    Quantity(
        "ach",
        "air changes per hour",
        "0.5 1/h",
        (Unit("1/h", 1.0, "1/hour", ("/h", "ach", "/hour", "h-1", "air changes/h", "air changes/hour")),),
    ),
    Quantity(
        "pressure",
        "a pressure",
        "12 Pa",
        (
            Unit("Pa", 1.0, "pascal", ("pascal",)),
            Unit("hPa", 100.0, "hectopascal"),
            Unit("mbar", 100.0, "millibar"),
            Unit(
                "inH2O",
                249.08891,
                "inch * gram/centimeter**3 * standard_gravity",
                ("in H2O", "in w.c.", "inWC"),
            ),
        ),
    ),
    Quantity(
        "u_value",
        "a U-value",
        "0.35 W/m2K",
        (
            Unit("W/m2K", 1.0, "watt/meter**2/delta_degC", ("W/(m2K)", "W/m2/K")),
            Unit(
                "BTU/h/ft2/degF",
                BTU_KWH * 1000 * 1.8 / FT_M**2,
                "Btu/hour/foot**2/delta_degF",
                ("BTU/(h ft2 F)", "BTU/h/ft2/F"),
            ),
        ),
    ),
    Quantity(
        "energy_per_area",
        "an energy per floor area",
        "120 kWh/m2",
        (
            Unit("kWh/m2", 1.0, "kilowatt_hour/meter**2"),
            Unit("kBTU/ft2", 1000 * BTU_KWH / FT_M**2, "1000*Btu/foot**2", ("kBTU/sqft",)),
        ),
    ),
    Quantity(
        "speed",
        "a speed",
        "55 km/h",
        (
            Unit("km/h", 1.0, "kilometer/hour", ("kmh", "kph")),
            Unit("mph", 1.609344, "mile/hour", ("mi/h",)),
        ),
    ),
    Quantity(
        "emission",
        "a mass of CO2 per energy",
        "27 g/kWh",
        (
            Unit("g/kWh", 1.0, "gram/kilowatt_hour"),
            Unit("kg/kWh", 1000.0, "kilogram/kilowatt_hour"),
            Unit("kg/MWh", 1.0, "kilogram/megawatt_hour"),
        ),
    ),
)

QUANTITIES: dict[str, Quantity] = {quantity.name: quantity for quantity in _ALL}
"""Every quantity by name; the first unit of each is the fixed one."""

AMBIGUOUS: dict[str, str] = {
    "ton": '"ton" has three meanings; write "t" (1,000 kg), "short_ton" (2,000 lb) or "long_ton" (2,240 lb)',
    "gal": '"gal" has two meanings; write "gal_us" (3.785 l) or "gal_uk" (4.546 l)',
    "mbtu": '"MBTU" is used for a thousand and for a million; write "kBTU" or "MMBTU"',
    "mbtu/h": '"MBTU/h" is used for a thousand and for a million; write "kBTU/h"',
    "mbh": '"MBH" is read in two ways; write "kBTU/h" (a thousand BTU an hour)',
    "hp": '"hp" has several meanings; write "kW"',
    "cwt": '"cwt" has two meanings; write "kg" or "lb"',
    "month": 'a month has no fixed length; write "days" or "weeks"',
    "year": 'a year has no fixed length; write "days" or "weeks"',
    "working days": 'working days have no fixed length in hours; write "days", "weeks" or "h"',
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

AMBIGUOUS_FOR: dict[tuple[str, str], str] = {
    ("temperature", word): 'a bare degree can be of either scale; write "degC" or "degF"'
    for word in ("°", "deg", "degree", "degrees")
}
"""The same for one quantity alone, by (quantity, spelling key)."""

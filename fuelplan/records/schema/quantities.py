"""Quantities in site files: text with a unit in the file, a float in a fixed unit in the model."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from datetime import date
from typing import Annotated, Any

from pydantic import BeforeValidator, GetCoreSchemaHandler, GetJsonSchemaHandler, WithJsonSchema
from pydantic_core import CoreSchema, PydanticKnownError, core_schema

from fuelplan import units
from fuelplan.messages import Own, Refusal


def _reader(quantity: str) -> Callable[[Any], float]:
    def read(value: Any) -> float:
        if isinstance(value, bool) or not isinstance(value, (str, int, float)):
            raise Refusal.because(
                "value.with_unit", "write text with a unit in quotes, not {written}",
                written=Own(f"{value!r}"),
            )  # fmt: skip
        return units.parse(value, quantity)

    return read


def _mass(value: Any) -> float:
    return units.parse_mass(value) if isinstance(value, str) else _reader("mass")(value)


def _schema(quantity: str, example: str) -> WithJsonSchema:
    return WithJsonSchema(
        {
            "type": "string",
            "description": f"{quantity.replace('_', ' ')} with its unit",
            "examples": [example],
        }
    )


Mass = Annotated[float, BeforeValidator(_mass), _schema("mass", "3.5 t")]
Energy = Annotated[float, BeforeValidator(_reader("energy")), _schema("energy", "24000 kWh")]
Power = Annotated[float, BeforeValidator(_reader("power")), _schema("power", "12 kW")]
Volume = Annotated[float, BeforeValidator(_reader("volume")), _schema("volume", "9 m3")]
Length = Annotated[float, BeforeValidator(_reader("length")), _schema("length", "2.4 m")]
Area = Annotated[float, BeforeValidator(_reader("area")), _schema("area", "150 m2")]
Temperature = Annotated[float, BeforeValidator(_reader("temperature")), _schema("temperature", "20.5 degC")]
Share = Annotated[float, BeforeValidator(_reader("share")), _schema("share", "1 in 50")]


def _of_a_boiler(value: Any) -> float:
    share = _reader("efficiency")(value)
    if share < 0.3:
        raise Refusal.because(
            "value.efficiency", 'an efficiency of {written} cannot be; write e.g. "85 %"',
            written=Own(f"{share:.3g}"),
        )  # fmt: skip
    return share


Efficiency = Annotated[float, BeforeValidator(_of_a_boiler), _schema("efficiency", "85 %")]
Time = Annotated[float, BeforeValidator(_reader("time")), _schema("time", "4 h")]
EnergyPerMass = Annotated[
    float, BeforeValidator(_reader("energy_per_mass")), _schema("energy_per_mass", "4.8 kWh/kg")
]
Density = Annotated[float, BeforeValidator(_reader("density")), _schema("density", "650 kg/m3")]
Gains = Annotated[float, BeforeValidator(_reader("gains")), _schema("gains", "450 W")]
MassRate = Annotated[float, BeforeValidator(_reader("mass_rate")), _schema("mass_rate", "8 t/h")]
Speed = Annotated[float, BeforeValidator(_reader("speed")), _schema("speed", "45 km/h")]


class OneOf:
    """One of the words that the registry of fuels knows when the file is read."""

    def __init__(self, words: Callable[[], Iterable[str]]) -> None:
        """Keep where the words are asked."""
        self.words = words

    def _read(self, value: Any) -> str:
        known = [f"'{word}'" for word in self.words()]
        if value not in tuple(self.words()):
            expected = " or ".join(filter(None, [", ".join(known[:-1]), known[-1]]))
            raise PydanticKnownError("literal_error", {"expected": expected})
        return str(value)

    def __get_pydantic_core_schema__(self, source: Any, handler: GetCoreSchemaHandler) -> CoreSchema:
        """Return how the model reads it."""
        return core_schema.no_info_plain_validator_function(self._read)

    def __get_pydantic_json_schema__(
        self, schema: CoreSchema, handler: GetJsonSchemaHandler
    ) -> dict[str, Any]:
        """Return how the published schema shows it."""
        return {"enum": list(self.words()), "type": "string"}


MOST_LEAD_DAYS = 120


def _working_days(value: Any) -> tuple[int, int]:
    if not isinstance(value, str):
        raise Refusal.because("value.working_days", 'write a range in quotes, e.g. "4 to 12 working days"')
    low, high = units.parse_working_days(value)
    if high > MOST_LEAD_DAYS:
        raise Refusal.because(
            "value.lead_time",
            "a lead time of {days} working days is more than can be planned for; {most} is the most",
            days=high, most=MOST_LEAD_DAYS,
        )  # fmt: skip
    return low, high


WorkingDayRange = Annotated[
    tuple[int, int],
    BeforeValidator(_working_days),
    WithJsonSchema(
        {"type": "string", "description": "range of working days", "examples": ["4 to 12 working days"]}
    ),
]


def money_reader(kind: str, example: str) -> Callable[[Any], tuple[float, str]]:
    """Return a reader of one kind of money that shows an example where it cannot read."""

    def read(value: Any) -> tuple[float, str]:
        if not isinstance(value, str):
            raise Refusal.because(
                "value.money", 'write an amount of money in quotes, e.g. "{example}"',
                example=Own(example),
            )  # fmt: skip
        return units.parse_money(value, kind)

    return read


PricePerMass = Annotated[
    tuple[float, str],
    BeforeValidator(money_reader("money_per_mass", "310 EUR/t")),
    _schema("price_per_mass", "310 EUR/t"),
]
PricePerEnergy = Annotated[
    tuple[float, str],
    BeforeValidator(money_reader("money_per_energy", "0.32 EUR/kWh")),
    _schema("price_per_energy", "0.32 EUR/kWh"),
]
PricePerDistance = Annotated[
    tuple[float, str],
    BeforeValidator(money_reader("money_per_distance", "1.10 EUR/km")),
    _schema("price_per_distance", "1.10 EUR/km"),
]
PricePerTime = Annotated[
    tuple[float, str],
    BeforeValidator(money_reader("money_per_time", "42 EUR/h")),
    _schema("price_per_time", "42 EUR/h"),
]
Money = Annotated[
    tuple[float, str], BeforeValidator(money_reader("money", "35 EUR")), _schema("money", "35 EUR")
]


def _day(value: Any) -> date:
    if isinstance(value, date):
        return units.parse_date(value)
    raise Refusal.because("value.date", "write a date without quotes, year-month-day, e.g. 2026-01-15")


Day = Annotated[date, BeforeValidator(_day)]


def _clock(value: Any) -> float:
    if not isinstance(value, str):
        raise Refusal.because("value.clock", 'write a time of day in quotes, e.g. "06:30"')
    return units.parse_clock(value)


Clock = Annotated[
    float,
    BeforeValidator(_clock),
    WithJsonSchema({"type": "string", "description": "time of day", "examples": ["06:30"]}),
]
"""Hours since midnight."""

"""Values in every language but English, by Babel (Unicode CLDR): imported when one is asked for."""

from __future__ import annotations

import math
from datetime import date
from functools import lru_cache
from typing import Literal

from babel import Locale, UnknownLocaleError
from babel.dates import format_date, format_interval, format_skeleton
from babel.lists import format_list
from babel.numbers import format_currency, format_decimal, format_percent
from babel.units import UnknownUnitError, format_unit

from fuelplan import units
from fuelplan.messages.english import of_day
from fuelplan.messages.message import Message, message
from fuelplan.messages.values import (
    Day,
    Days,
    Limits,
    Money,
    Month,
    Number,
    Own,
    Percent,
    Plain,
    Price,
    Quantity,
    Range,
    Sides,
    TimeOfDay,
)

_CLDR = {
    "t": "mass-tonne",
    "kg": "mass-kilogram",
    "short_ton": "mass-ton",
    "lb": "mass-pound",
    "kWh": "energy-kilowatt-hour",
    "BTU": "energy-british-thermal-unit",
    "kW": "power-kilowatt",
    "W": "power-watt",
    "m3": "volume-cubic-meter",
    "l": "volume-liter",
    "ft3": "volume-cubic-foot",
    "gal_us": "volume-gallon",
    "m": "length-meter",
    "cm": "length-centimeter",
    "km": "length-kilometer",
    "ft": "length-foot",
    "in": "length-inch",
    "mi": "length-mile",
    "m2": "area-square-meter",
    "cm2": "area-square-centimeter",
    "ft2": "area-square-foot",
    "in2": "area-square-inch",
    "degC": "temperature-celsius",
    "degF": "temperature-fahrenheit",
    "K": "temperature-kelvin",
    "weeks": "duration-week",
    "days": "duration-day",
    "h": "duration-hour",
    "min": "duration-minute",
    "deg": "angle-degree",
    "mph": "speed-mile-per-hour",
}
"""Our names of units → those of Unicode CLDR; a unit that is not there keeps its sign."""


def shown(value: Plain, language: str) -> str | Message:
    """Return a value as people read it in a language, for the unit system of whom is written now."""
    locale = locale_of(language)
    match value:
        case Quantity():
            return _quantity(value, locale)
        case Range():
            return _range(value, locale)
        case Limits():
            return _limits(value, locale)
        case Sides():
            return _sides(value, locale)
        case Money():
            return _money(value.amount, value.currency, 0 if value.whole else 2, locale)
        case Price():
            return _price(value, locale)
        case Day():
            return _day(value, locale)
        case Days():
            return _days(value, locale)
        case Month():
            return _month(value, locale)
        case TimeOfDay():
            return _clock(value)
        case Number():
            return str(format_decimal(value.value, _pattern(value.decimals, fixed=True), locale))
        case Percent():
            return _percent(value, locale)
    return str(format_decimal(value, locale=locale))


def listed(texts: list[str], joint: str, language: str) -> str:
    """Return texts in a row, with the words or marks of the language between them."""
    if joint not in {"and", "or"}:
        return joint.join(texts)
    return str(format_list(texts, style="or" if joint == "or" else "standard", locale=locale_of(language)))


@lru_cache(maxsize=32)
def locale_of(language: str) -> Locale:
    """Return the numbers and dates of a language, or those of Unicode's root where it has none of its own."""
    try:
        return Locale.parse(language)
    except (UnknownLocaleError, ValueError):
        return Locale.parse("root")


def _pattern(decimals: int, *, fixed: bool = False) -> str:
    return "#,##0" + (f".{('0' if fixed else '#') * decimals}" if decimals else "")


def _quantity(value: Quantity, locale: Locale) -> str | Message:
    if not math.isfinite(value.value):
        return _not_known()
    return _in_unit(_measured(value), locale, fixed=value.decimals is not None)


def _measured(value: Quantity) -> units.Measured:
    return units.measured(
        value.value,
        value.dimension,
        digits=value.digits,
        unit=value.unit,
        decimals=value.decimals,
        up=value.up,
    )


def _in_unit(found: units.Measured, locale: Locale, *, fixed: bool = False) -> str:
    """Return a number with its unit, in the singular or plural of the language."""
    pattern = _pattern(found.decimals, fixed=fixed)
    if found.unit == "%":
        return _percent(Percent(found.number / 100.0, found.decimals), locale)
    try:
        name = _CLDR[found.unit]
        length: Literal["long", "short"] = "long" if name.startswith("duration-") else "short"
        text = str(format_unit(found.number, name, length, pattern, locale))
        return text.replace(" ", units.reader().space)
    except (KeyError, UnknownUnitError):
        return f"{format_decimal(found.number, pattern, locale)}\u00a0{found.word}".rstrip()


def _range(value: Range, locale: Locale) -> str | Message:
    if not (math.isfinite(value.low) and math.isfinite(value.high)):
        return _not_known()
    ends = units.measured_range(
        value.low,
        value.high,
        value.dimension,
        digits=value.digits,
        unit=value.unit,
        decimals=value.decimals,
    )
    if ends is None:
        middle = Quantity(
            (value.low + value.high) / 2, value.dimension, value.digits, value.unit, value.decimals
        )
        return message("range.about", "about {quantity}", quantity=middle)
    low = str(format_decimal(ends[0].number, _pattern(ends[0].decimals, fixed=True), locale))
    high = _in_unit(ends[1], locale, fixed=True)
    return message("range.from_to", "{low} to {high}", low=Own(low), high=Own(high))


def _limits(value: Limits, locale: Locale) -> Message:
    """Return both limits; a unit that they share is said once."""
    low, high = _measured(value.low), _measured(value.high)
    number = str(format_decimal(low.number, _pattern(low.decimals, fixed=True), locale))
    first = number if low.unit == high.unit else _in_unit(low, locale, fixed=True)
    last = _in_unit(high, locale, fixed=True)
    if value.joint == "and":
        return message("range.limits_and", "{low} and {high}", low=Own(first), high=Own(last))
    return message("range.limits", "{low} to {high}", low=Own(first), high=Own(last))


def _sides(value: Sides, locale: Locale) -> str:
    sides = [_measured(Quantity.written(side, "m", "g")) for side in value.sides_m]
    numbers = [str(format_decimal(s.number, _pattern(s.decimals, fixed=True), locale)) for s in sides[:-1]]
    return " x ".join([*numbers, _in_unit(sides[-1], locale, fixed=True)])


def _not_known() -> Message:
    return message("value.not_known", "not known")


def _money(amount: float, currency: str, decimals: int, locale: Locale) -> str | Message:
    if not math.isfinite(amount):
        return _not_known()
    pattern = _pattern(decimals, fixed=True) + "\u00a0¤¤"
    return str(format_currency(amount, currency, pattern, locale, currency_digits=False))


def _price(value: Price, locale: Locale) -> str | Message:
    us, whole = units.reader().system == "us", value.decimals == 0
    if value.each == "kg":
        per_kg = value.per_kg * (units.parse("1 lb", "mass") if us else 1.0)
        each = Money(per_kg, value.currency, whole=False)
        if us:
            return message("price.for_each_pound", "{money} for each pound", money=each)
        return message("price.for_each_kilogram", "{money} for each kilogram", money=each)
    if not us:
        money = _money(value.per_kg * 1000, value.currency, value.decimals, locale)
        return money if isinstance(money, Message) else f"{money}/t"
    per_ton = Money(value.per_kg * units.parse("1 short_ton", "mass"), value.currency, whole=whole)
    return message("price.per_short_ton", "{money} per short ton", money=per_ton)


def _clock(value: TimeOfDay) -> str | Message:
    days, time = of_day(value)
    return message("clock.next_day", "{time} the next day", time=Own(time)) if days else time


def _percent(value: Percent, locale: Locale) -> str:
    pattern = locale.percent_formats[None].pattern.replace("#,##0", _pattern(value.decimals, fixed=True))
    return str(format_percent(value.share, pattern, locale))


def _day(value: Day, locale: Locale) -> str:
    if value.year:
        return str(format_date(value.day, "long", locale))
    return str(format_skeleton("MMMd" if value.short else "MMMMd", value.day, locale=locale))


def _month(value: Month, locale: Locale) -> str:
    if value.year is None:
        return str(locale.months["stand-alone"]["wide"][value.month])
    return str(format_skeleton("yMMMM", date(value.year, value.month, 1), locale=locale))


def _days(value: Days, locale: Locale) -> str:
    if value.first == value.last:
        return _day(Day(value.last, value.year), locale)
    skeleton = "yMMMMd" if value.year else "MMMMd"
    return str(format_interval(value.first, value.last, skeleton, locale=locale))

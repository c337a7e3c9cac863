"""Values in English, for whom is written now: see `fuelplan.units.reader`."""

from __future__ import annotations

from fuelplan import units
from fuelplan.messages.values import (
    Day,
    Days,
    Limits,
    Money,
    Month,
    Number,
    Percent,
    Plain,
    Price,
    Quantity,
    Range,
    Sides,
    TimeOfDay,
)


def shown(value: Plain, language: str = "en") -> str:
    """Return a value as people read it in English."""
    match value:
        case Quantity():
            return units.show(
                value.value,
                value.dimension,
                digits=value.digits,
                unit=value.unit,
                decimals=value.decimals,
                up=value.up,
            )
        case Range():
            return units.show_range(
                value.low,
                value.high,
                value.dimension,
                digits=value.digits,
                unit=value.unit,
                decimals=value.decimals,
            )
        case Limits():
            return _limits(value)
        case Sides():
            sides = [shown(Quantity.written(side, "m", "g")) for side in value.sides_m]
            return " x ".join([*(side.removesuffix("m").rstrip() for side in sides[:-1]), sides[-1]])
        case Money():
            return units.show_money(value.amount, value.currency, whole=value.whole)
        case Price():
            return _price(value)
        case Day():
            return units.show_date(value.day, year=value.year, short=value.short)
        case Days():
            return _days(value)
        case Month():
            return units.show_month(value.month, value.year)
        case TimeOfDay():
            days, time = of_day(value)
            return f"{time} the next day" if days else time
        case Number():
            return f"{value.value:,.{value.decimals}f}"
        case Percent():
            return units.show_percent(value.share, value.decimals)
    return f"{value:,}"


def of_day(value: TimeOfDay) -> tuple[int, str]:
    """Return on which day a time of day lies, 0 for the first, and the time as "16:40"."""
    days, minutes = divmod(round(60 * value.hours), 24 * 60)
    return days, f"{minutes // 60:02d}:{minutes % 60:02d}"


def listed(texts: list[str], joint: str, language: str = "en") -> str:
    """Return "a, b and c"; a joint that is not "and" or "or" is put between all of them as it is."""
    if joint not in {"and", "or"}:
        return joint.join(texts)
    return ", ".join([*texts[:-2], f" {joint} ".join(texts[-2:])])


def _price(value: Price) -> str:
    if value.each == "kg":
        return units.show_price_each(value.per_kg, value.currency)
    if value.decimals:
        return units.show_price_as(value.per_kg, value.currency, f",.{value.decimals}f")
    return units.show_price(value.per_kg, value.currency)


def _limits(value: Limits) -> str:
    """Return both limits; a unit that they share is said once."""
    low, high = (
        units.measured(q.value, q.dimension, digits=q.digits, unit=q.unit, decimals=q.decimals)
        for q in (value.low, value.high)
    )
    first = shown(value.low)
    if low.unit == high.unit:
        first = first.removesuffix(low.word).rstrip()
    return f"{first} {value.joint} {shown(value.high)}"


def _days(value: Days) -> str:
    """Return a window; a month that both ends share is said once where the day is written first."""
    last = units.show_date(value.last, year=value.year)
    if value.first == value.last:
        return last
    same_month = (value.first.year, value.first.month) == (value.last.year, value.last.month)
    short = same_month and units.reader().dates == "day first"
    return f"{value.first.day if short else units.show_date(value.first)} to {last}"

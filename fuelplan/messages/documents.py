"""Messages in JSON documents: code, text and values."""

from __future__ import annotations

import math
from typing import Any

from fuelplan.messages.message import Message
from fuelplan.messages.rendering import render
from fuelplan.messages.values import (
    Chance,
    Day,
    Days,
    Limits,
    Listed,
    Money,
    Month,
    Number,
    Own,
    Per,
    Percent,
    Price,
    Quantity,
    Range,
    Sides,
    TimeOfDay,
    Value,
)
from fuelplan.units import QUANTITIES, unbroken

SCHEMA = 2
"""The schema of every JSON document; what changed with it is in `docs/json_schema.md`."""


def in_document(said: Message) -> dict[str, Any]:
    """Return `{"code", "text", "values"}`; the text is for whom is written now, with plain spaces between
    numbers and units, numbers are in the fixed unit of the house, dates in ISO 8601.
    """
    with unbroken(False):
        text = render(said)
    return {
        "code": said.code,
        "text": text,
        "values": {name: _plain(value) for name, value in said.values},
    }


def _plain(value: Value) -> Any:
    match value:
        case Message():
            return in_document(value)
        case Quantity():
            return {"value": _number(value.value), "unit": QUANTITIES[value.dimension].fixed_unit}
        case Range():
            unit = QUANTITIES[value.dimension].fixed_unit
            return {"low": _number(value.low), "high": _number(value.high), "unit": unit}
        case Limits():
            unit = QUANTITIES[value.low.dimension].fixed_unit
            return {"low": _number(value.low.value), "high": _number(value.high.value), "unit": unit}
        case Per():
            return {**_plain(value.amount), "per": value.each}
        case Sides():
            return {"values": [_number(side) for side in value.sides_m], "unit": "m"}
        case Money():
            return {"amount": _number(value.amount), "currency": value.currency}
        case Price():
            return {"amount": _number(value.per_kg), "currency": value.currency, "per": "kg"}
        case Month():
            return f"--{value.month:02}" if value.year is None else f"{value.year}-{value.month:02}"
        case Day():
            return value.day.isoformat()
        case Days():
            return {"first": value.first.isoformat(), "last": value.last.isoformat()}
        case TimeOfDay():
            minutes = round(60 * value.hours)
            return f"{minutes // 60:02d}:{minutes % 60:02d}"
        case Chance():
            return {"share": _number(value.share), "out_of": value.out_of}
        case Number():
            return _number(value.value)
        case Percent():
            return _number(value.share)
        case Own():
            return value.text
        case Listed():
            return [_plain(item) for item in value.items]
    return value


def _number(value: float) -> float | None:
    """Return a number as JSON can hold it, rounded below what a scale weighs."""
    return round(float(value), 6) if math.isfinite(value) else None

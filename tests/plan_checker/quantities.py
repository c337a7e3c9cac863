"""Numbers with their units as the round's files write them."""

from __future__ import annotations

import re
from datetime import date

_NUMBER = re.compile(r"^\s*(-?\d+(?:[.,]\d+)?)\s*(.*?)\s*$")

_KG = {"": 1.0, "kg": 1.0, "t": 1000.0}
_M = {"": 1.0, "m": 1.0, "cm": 0.01}
_H = {"": 1.0, "h": 1.0, "min": 1 / 60, "hours": 1.0, "minutes": 1 / 60}
_KG_H = {"": 1.0, "kg/h": 1.0, "t/h": 1000.0}
_KM_H = {"": 1.0, "km/h": 1.0}


def _in(value: object, units: dict[str, float], what: str) -> float:
    if isinstance(value, (int, float)) and not isinstance(value, bool):
        return float(value)
    match = _NUMBER.match(str(value))
    if match is None or match[2] not in units:
        raise ValueError(f"{value!r} is no {what} that the checker can read")
    return float(match[1].replace(",", ".")) * units[match[2]]


def kg(value: object) -> float:
    """Return a mass. [kg]"""
    return _in(value, _KG, "mass")


def metres(value: object) -> float:
    """Return a length. [m]"""
    return _in(value, _M, "length")


def hours(value: object) -> float:
    """Return a span of time. [h]"""
    return _in(value, _H, "time")


def kg_per_hour(value: object) -> float:
    """Return how fast fuel is blown. [kg/h]"""
    return _in(value, _KG_H, "rate")


def km_per_hour(value: object) -> float:
    """Return a speed. [km/h]"""
    return _in(value, _KM_H, "speed")


def price(value: object) -> float:
    """Return the number of a price such as "1.35 EUR/km"."""
    if isinstance(value, (int, float)):
        return float(value)
    match = _NUMBER.match(str(value))
    if match is None:
        raise ValueError(f"{value!r} is no price that the checker can read")
    return float(match[1].replace(",", "."))


def share(value: object) -> float:
    """Return a share: 0.1, "10 %" or "1 in 50"."""
    text = str(value)
    if " in " in text:
        some, _, all_of = text.partition(" in ")
        return float(some) / float(all_of)
    if text.endswith("%"):
        return float(text[:-1].replace(",", ".")) / 100
    return float(text)


def clock(value: object) -> float:
    """Return a time of day: "08:30" → 8.5. [h]"""
    hour, _, minute = str(value).strip().partition(":")
    return int(hour) + int(minute or 0) / 60


def day(value: object) -> date:
    """Return a day of TOML or "2026-01-15"."""
    return value if isinstance(value, date) else date.fromisoformat(str(value).strip())

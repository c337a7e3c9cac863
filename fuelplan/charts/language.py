"""Months and numbers on the axes of a picture, in the language of its reader."""

from __future__ import annotations

import calendar
from typing import Any

from fuelplan.messages import locale_of
from fuelplan.units import reader


def in_language(spec: dict[str, Any]) -> dict[str, Any]:
    """Return a picture that writes dates and numbers as its reader does.

    Parameters
    ----------
    spec
        A Vega-Lite specification, as `Chart.to_dict` gives it; in English it stays as it is.
    """
    locale = locale_of(reader().language)
    if locale is None:
        return spec
    signs = locale.number_symbols["latn"]
    number = {"decimal": signs["decimal"], "thousands": signs["group"], "grouping": [3], "currency": ["", ""]}
    time = {
        "dateTime": "%Y-%m-%d %H:%M:%S", "date": "%Y-%m-%d", "time": "%H:%M:%S", "periods": ["", ""],
        "days": _names(locale.days["stand-alone"]["wide"], 6),
        "shortDays": _names(locale.days["stand-alone"]["abbreviated"], 6),
        "months": _names(locale.months["stand-alone"]["wide"], 1),
        "shortMonths": _names(locale.months["stand-alone"]["abbreviated"], 1),
    }
    return {**spec, "config": {**spec.get("config", {}), "locale": {"number": number, "time": time}}}


def short_months() -> list[str]:
    """Return the twelve names of months as an axis has them: "Jan" to "Dec" in English."""
    locale = locale_of(reader().language)
    if locale is None:
        return list(calendar.month_abbr)[1:]
    return _names(locale.months["stand-alone"]["abbreviated"], 1)


def _names(found: Any, first: int) -> list[str]:
    """Return names in their order; days are counted from Monday there, and from Sunday (6) in pictures."""
    keys = sorted(found)
    at = keys.index(first)
    return [str(found[key]) for key in (*keys[at:], *keys[:at])]

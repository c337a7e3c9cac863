"""Colours, letters and scales that all pictures share."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from fuelplan.messages import as_text, message
from fuelplan.units import System, parse, reader

FONT = '"Source Sans", "Source Sans 3", "Helvetica Neue", Arial, sans-serif'


@dataclass(frozen=True)
class Palette:
    """Colours of one theme. Spruce and ember differ for every kind of colour vision, and in lightness."""

    ground: str
    panel: str
    ink: str
    faint: str
    line: str
    spruce: str
    ember: str
    dusk: str

    @property
    def axis(self) -> dict[str, Any]:
        """How axes look: quiet lines, letters that are read at arm's length."""
        lines = dict.fromkeys(("gridColor", "domainColor", "tickColor"), self.line)
        letters = dict.fromkeys(("labelColor", "titleColor"), self.faint)
        return {**lines, **letters, "labelFontSize": 13, "titleFontSize": 13, "titleFontWeight": "normal"}


LIGHT = Palette("#F7F9F9", "#E9EFEF", "#17282D", "#5A6B70", "#C9D4D5", "#14606B", "#B8470F", "#6E3CA6")
DARK = Palette("#101B1F", "#1B2A2F", "#E6EEEE", "#9FB0B4", "#34474D", "#74C4CE", "#F59A5B", "#B59AF2")


def palette_for(theme: str | None) -> Palette:
    """Return the colours of "dark", and those of the light theme otherwise."""
    return DARK if theme == "dark" else LIGHT


def mass_scale(largest_kg: float, system: System | None = None) -> tuple[str, float]:
    """Return the unit of an axis that reaches `largest_kg`, as (word, kilograms in one of it)."""
    if (system or reader().system) == "us":
        if largest_kg < 3000:
            return "lb", parse("1 lb", "mass")
        return as_text(message("chart.short_tons", "short tons")), parse("1 short_ton", "mass")
    return ("t", 1000.0) if largest_kg >= 1000 else ("kg", 1.0)


def room_scale() -> tuple[str, float]:
    """Return the unit of an axis of store rooms, as (word, cubic metres in one of it)."""
    return ("cu ft", parse("1 ft3", "volume")) if reader().system == "us" else ("m³", 1.0)

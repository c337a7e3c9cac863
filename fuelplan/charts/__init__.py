"""Pictures of an order answer as Altair charts, each with its text alternative and its table beside it."""

from fuelplan.charts.level import MAX_MARKS, LevelWords, level_chart, ticks
from fuelplan.charts.level_words import LevelRow, level_alt, level_csv, level_table, near_days
from fuelplan.charts.palette import DARK, FONT, LIGHT, Palette, mass_scale, palette_for, room_scale

__all__ = [
    "DARK", "FONT", "LIGHT", "MAX_MARKS", "LevelRow", "LevelWords", "Palette", "level_alt", "level_chart",
    "level_csv", "level_table", "mass_scale", "near_days", "palette_for", "room_scale", "ticks",
]  # fmt: skip

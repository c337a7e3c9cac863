"""Pictures of a size answer as Altair charts with their words: section, sizes, worst winter, hopper.

Pure functions: the same chart serves the page and the printed report. No meaning rests on colour alone.
"""

from fuelplan.charts.store.section import section_alt, section_chart, section_table
from fuelplan.charts.store.style import svg_of
from fuelplan.charts.store.winters import (
    cost_alt,
    cost_chart,
    hopper_chart,
    hopper_words,
    winter_chart,
    winter_words,
)

__all__ = [
    "cost_alt",
    "cost_chart",
    "hopper_chart",
    "hopper_words",
    "section_alt",
    "section_chart",
    "section_table",
    "svg_of",
    "winter_chart",
    "winter_words",
]

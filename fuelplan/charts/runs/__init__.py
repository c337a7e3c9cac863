"""Pictures of a run plan: the map of the runs, what each tanker carries, tonnes to buy in week by week.

Pure functions as in :mod:`fuelplan.charts`. The map needs no tiles and no network. No meaning rests on colour
alone: each tanker has its own dash and its own shape, and every stop its number.
"""

from fuelplan.charts.runs.loads import loads_alt, loads_chart, loads_table
from fuelplan.charts.runs.look import day_name
from fuelplan.charts.runs.run_map import (
    DASHES,
    SHAPES,
    chosen_runs,
    colours_of,
    map_alt,
    map_chart,
    tankers_of,
)
from fuelplan.charts.runs.weeks import weeks_alt, weeks_chart, weeks_table

__all__ = [
    "DASHES", "SHAPES", "chosen_runs", "colours_of", "day_name", "loads_alt", "loads_chart",
    "loads_table", "map_alt", "map_chart", "tankers_of", "weeks_alt", "weeks_chart", "weeks_table",
]  # fmt: skip

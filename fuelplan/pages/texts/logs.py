"""Every text about logs and upkeep on the householder's page."""

from __future__ import annotations

TITLE = "Logs"
FACT_STOCK = "Dry logs left"
NOTE_STOCK = "stacked"
FACT_LASTS = "They last until"
NOTE_EARLY = "in a hard winter {day}"
BEYOND = "beyond the horizon"
FACT_YEAR = "A year of your loading takes"
NOTE_YEAR = "stacked"
FACT_BURNED = "Burned in the next year"
NOTE_BURNED = "as far as there are dry logs"

UPKEEP_TITLE = "To do in the year"
UPKEEP_HEAD = ("When", "What", "Why and how")
UPKEEP_CAUTIONS = "Before you do it: what can hurt you"
TO_ANSWER = "to answer"

HEAT_TITLE = "What a kilowatt-hour of heat costs"
HEAT_HEAD = ("Fuel", "{currency} for each kWh of heat", "CO₂")
HEAT_HOW = "CO₂ by {source}. Logs measured by the pile are known to 15 % only, hence the range."

"""Every text of the page on what a building really burns."""

from __future__ import annotations

PERSON = "You want to know your house"
QUESTION = "What do we burn?"
PROMISE = "What your readings and deliveries tell: a usual year, each cold day, and whether anything changed."
OPEN = "See what was learned →"
WORKING = "Learning from your readings …"

FACT_YEAR = "A usual year"
FACT_DEGREE = "For each degree colder"
FACT_BASE = "Heating begins"
BASE = "below {range}"
FACT_DAY = "Every day besides"
NOTE_PAPER = "the folder alone would say {amount}"
NOTE_DEGREE = "a day, below that"
NOTE_BASE = "mean of the day outside"
NOTE_DAY = "hot water and stand-by"

USE_TITLE = "Use and the weather"
USE_HOW = (
    "The line is what was learned, the band holds it 8 times in 10. A point is a stretch between two "
    "readings, its "
    "bar what the readings leave open."
)
DIFFERENCE_TITLE = "Burned less expected, added up"
DIFFERENCE_HOW = (
    "While the house stays as it is, the line wanders about zero. A lasting change – insulation, a new "
    "boiler, one "
    "more person – bends it."
)
TABLE_TITLE = "Every stretch between two readings"
TABLE_HEAD = ("From", "To", "Burned", "Expected", "Added up", "")
SET_ASIDE = "set aside"
FLAGS_TITLE = "What was found in your records"
MORE_TITLE = "For experts"
FIT = (
    "Scatter {cv:.0%} and bias {bias:+.1%} of the use between readings (CV(RMSE), NMBE; ASHRAE Guideline "
    "14 asks for under 15 % and 5 % of monthly data)."
)
FALSE_ALARMS = (
    "A change is only said when it is clear: of houses that never change, about 1 in 30 hears "
    "of one within ten years."
)

"""Every text of the page on what a building really burns."""

from __future__ import annotations

PERSON = "You want to know your house"
QUESTION = "What do we burn?"
PROMISE = "What your readings and deliveries tell: a usual year, each cold day, and whether anything changed."
OPEN = "See what was learned →"
WORKING = "Learning from your readings …"

FACT_YEAR = "A usual year"
FACT_DEGREE = "For each degree colder, per day"
FACT_BASE = "Heating begins"
BASE = "below {range}"
FACT_DAY = "Hot water and standby"
NOTE_PAPER = "the folder alone would say {amount}"
NOTE_DEGREE = "once it is cold enough to heat"
NOTE_BASE = "mean of the day outside"
NOTE_DAY = "every day, whatever the weather"

USE_TITLE = "Use and the weather"
USE_HOW = (
    "There is an 8 in 10 chance that what your house really burns lies in the band. A point is a stretch "
    "between two readings; its bar shows how uncertain it is."
)
DIFFERENCE_TITLE = "Running difference from what was expected"
DIFFERENCE_HOW = (
    "While the house stays as it is, the line wanders about zero. A lasting change – insulation, a new "
    "boiler, one "
    "more person – bends it."
)
BOOK_TITLE = "The textbook line, for comparison"
BOOK_HOW = (
    "The textbook draws one straight line through the stretches between your readings: kilograms a day "
    "against degree-days a day. It takes every reading as exact and knows nothing of your settings."
)
BOOK_HEAD = ("", "Learned", "Textbook line")
BOOK_YEAR = "A usual year"
BOOK_DEGREE = "For each degree colder, per day"
BOOK_DAY = "Hot water and standby, per day"
BOOK_BASE = "Heating begins below"
BOOK_BASE_LINE = "{at} ({span} fit about as well)"
BOOK_MORE = "For experts: the line's errors and what it leaves over"
BOOK_ERRORS_HEAD = ("", "Line", "Standard error", "t", "p")
BOOK_FIT = (
    "{count} stretches, weighted by their days. R² {r2:.2f}. {verdict} The errors take the base temperature "
    "as known; base temperatures of {span} fit about as well."
)
BOOK_METER = "The line goes by the meter “{meter}”."
RESIDUAL_TITLE = "What the line leaves over"
RESIDUAL_HOW = (
    "Points spread evenly about zero are as they should be. A bow means that a straight line does not fit."
)
CUSUM_TITLE = "Left over, added up in time"
CUSUM_HOW = (
    "Each stretch is compared with the line through those before it. Chance alone crosses the dashed limits "
    "1 time in 20; beyond them something may have changed."
)
CUSUM_NONE = "There are too few stretches to add up what is left over."
BOOK_TABLE_HEAD = ("From", "To", "Per day", "Line", "Left over", "Added up", "Limit")
HIGH = "unusually high"
PRICES_TITLE = "When fuel is cheap, by your own prices"
PRICES_HOW = "There is an 8 in 10 chance that a month's usual price lies within its bar."
PRICES_TABLE = "Month by month"
PRICES_HEAD = ("Month", "Used", "8 times in 10", "If unusual prices count less")
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

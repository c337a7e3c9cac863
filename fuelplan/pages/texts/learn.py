"""What the page on what a building really burns says around its figures."""

from __future__ import annotations

from fuelplan.messages import message

PERSON = message("learn_page.person", "You want to know your house")
QUESTION = message("learn_page.question", "What do we burn?")
PROMISE = message(
    "learn_page.promise",
    "What your readings and deliveries tell: a usual year, each cold day, and whether anything changed.",
)
OPEN = message("learn_page.open", "See what was learned →")
WORKING = message("learn_page.working", "Learning from your readings …")

USE_TITLE = message("learn_page.use_title", "Use and the weather")
USE_HOW = message(
    "learn_page.use_how",
    "There is an 8 in 10 chance that what your house really burns lies in the band. A point is a stretch "
    "between two readings; its bar shows how uncertain it is.",
)
DIFFERENCE_TITLE = message("learn_page.difference_title", "Running difference from what was expected")
DIFFERENCE_HOW = message(
    "learn_page.difference_how",
    "While the house stays as it is, the line wanders about zero. A lasting change – insulation, a new "
    "boiler, one more person – bends it.",
)
BOOK_TITLE = message("learn_page.book_title", "The textbook line, for comparison")
BOOK_HOW = message(
    "learn_page.book_how",
    "The textbook draws one straight line through the stretches between your readings: kilograms a day "
    "against degree-days a day. It takes every reading as exact and knows nothing of your settings.",
)
BOOK_MORE = message("learn_page.book_more", "For experts: the line's errors and what it leaves over")
RESIDUAL_TITLE = message("learn_page.residual_title", "What the line leaves over")
RESIDUAL_HOW = message(
    "learn_page.residual_how",
    "Points spread evenly about zero are as they should be. A bow means that a straight line does not fit.",
)
CUSUM_TITLE = message("learn_page.sum_title", "Left over, added up in time")
PRICES_TITLE = message("learn_page.prices_title", "When fuel is cheap, by your own prices")
PRICES_HOW = message(
    "learn_page.prices_how", "There is an 8 in 10 chance that a month's usual price lies within its bar."
)
PRICES_TABLE = message("learn_page.prices_table", "Month by month")
TABLE_TITLE = message("learn_page.table_title", "Every stretch between two readings")
FLAGS_TITLE = message("learn_page.flags_title", "What was found in your records")
MORE_TITLE = message("learn_page.more_title", "For experts")
FALSE_ALARMS = message(
    "learn_page.false_alarms",
    "A change is only said when it is clear: where all winters burn alike, about 1 in 80 houses that never "
    "change hears of one within ten years. A winter that differs for a reason of its own can still be taken "
    "for a change.",
)

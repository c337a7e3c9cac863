"""What the order page says: constants, and functions where values stand in a text."""

from __future__ import annotations

from datetime import date

from fuelplan.answers.when_to_order import AMOUNT, DELIVERY, ORDER_BY
from fuelplan.messages import Day, Message, Quantity, counted_message, message

# Level chart and table
LEVEL_TITLE = message("order_page.level_title", "What will be in the store")
LEVEL_HOW = message(
    "order_page.level_how",
    "Line: a usual winter. Dark band: 8 winters in 10. Light band: only 1 in 50 goes below it. Dotted "
    "line: nothing ordered. Thick bar on the reserve: when it would be reached without an order, from "
    "1 in 50 to 9 in 10; the diamond is the usual day.",
)
SPAN = message("order_page.span", "Show")
SPANS = {
    "near": message("order_page.spans_near", "The next months"),
    "year": message("order_page.spans_year", "A whole year"),
}
TABLE_HEAD = (
    message("order_page.table_head_1", "Evening of"),
    message("order_page.table_head_2", "Usual winter"),
    message("order_page.table_head_3", "8 winters in 10"),
    message("order_page.table_head_4", "1 in 50 is below"),
    message("order_page.table_head_5", "Nothing ordered, usual"),
)
TABLE_DOWNLOAD = message("order_page.table_download", "Every day as CSV")

# What if
WHAT_IF_TITLE = message("order_page.what_if_title", "What if …")
WHAT_IF_LEAD = message("order_page.what_if_lead", "Move one of these and compare. Nothing is saved.")
COLDER = message("order_page.colder", "Winter colder than usual by")
COLDER_HELP = message(
    "order_page.colder_help", "Degrees taken off every day of every past winter. Below zero: a milder winter."
)
ROOM = message("order_page.room", "Rooms warmer by")
ROOM_HELP = message(
    "order_page.room_help", "Change of the room temperature from today on. Below zero: cooler rooms."
)
LEAD = message("order_page.lead", "The supplier needs more time")
LEAD_DAYS = message("order_page.lead_days", "%d days")
LEAD_HELP = message("order_page.lead_help", "Working days on top of the lead time in your folder.")
RISK = message("order_page.risk", "Risk you accept per order")
RISK_HELP = message(
    "order_page.risk_help",
    "Chance of reaching the reserve before the tanker comes. Smaller means ordering earlier.",
)
PRICE = message("order_page.price", "Price of fuel")
PRICE_HELP = message("order_page.price_help", "Against the price in your folder.")
WHAT_IF_HEAD = (
    "",
    message("order_page.what_if_head_2", "Your plan"),
    message("order_page.what_if_head_3", "What if"),
    message("order_page.what_if_head_4", "Difference"),
)
ROW_RUN_OUT = message("order_page.row_run_out", "Reserve reached, usual winter")
ROW_RUN_OUT_HARD = message("order_page.row_run_out_hard", "… in 1 of 50 cases by")


def earlier(days: int) -> Message:
    """Return how much earlier a day is."""
    return counted_message("order_page.earlier", "{n} day earlier", "{n} days earlier", days)


def later(days: int) -> Message:
    """Return how much later a day is."""
    return counted_message("order_page.later", "{n} day later", "{n} days later", days)


def more(amount: Quantity) -> Message:
    """Return how much more an amount is."""
    return message("order_page.more", "{amount} more", amount=amount)


def less(amount: Quantity) -> Message:
    """Return how much less an amount is."""
    return message("order_page.less", "{amount} less", amount=amount)


UNCHANGED = message("order_page.unchanged", "the same")
DIFFERENT = message("order_page.different", "changed")

# Calendar and later orders
DATES_TITLE = message("order_page.dates_title", "Dates to keep")
CALENDAR_BUTTON = message("order_page.calendar_button", "Put the dates into my calendar")
CALENDAR_HELP = message(
    "order_page.calendar_help",
    "A calendar file (.ics) with the last day to order and the days on which the tanker may come. "
    "Loading a newer one moves the dates.",
)
DATES_HEAD = ("", ORDER_BY, DELIVERY, AMOUNT, message("order_page.dates_risk", "Risk"))


def dates_none(days: int) -> Message:
    """Return that no order is due."""
    return counted_message(
        "order_page.dates_none", "No order is due within {n} day.", "No order is due within {n} days.", days
    )


# Money
COST_TITLE = message("order_page.cost_title", "What it costs")
# Origin
ORIGIN_TITLE = message("order_page.origin_title", "Where these numbers come from")
# Since the last look
SINCE_TITLE = message("order_page.since_title", "Since you last looked")


def since_lead(day: date) -> Message:
    """Return when the person last looked."""
    return message("order_page.since_lead", "You last looked for {day}.", day=Day(day, year=True))


SINCE_OTHER = message("order_page.since_other", "Compare with another day")
SINCE_DAY = message("order_page.since_day", "Day to compare with")
SINCE_DAY_HELP = message(
    "order_page.since_day_help", "The answer of that day is worked out again from what was known then."
)
SINCE_BUTTON = message("order_page.since_button", "Compare")


def since_later(day: date) -> Message:
    """Return what day to choose."""
    return message("order_page.since_later", "Choose a day before {day}.", day=Day(day, year=True))

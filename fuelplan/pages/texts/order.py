"""What the order page says: constants, and functions where values stand in a text."""

from __future__ import annotations

from datetime import date

from fuelplan.charts import LevelWords
from fuelplan.messages import (
    Chance,
    Day,
    Message,
    Money,
    Own,
    Quantity,
    Range,
    Said,
    Value,
    as_message,
    counted_message,
    message,
)  # fmt: skip

# The answer
FACT_ORDER_BY = message("order_page.fact_order_by", "Order by")
FACT_DELIVERY = message("order_page.fact_delivery", "Delivery between")
FACT_AMOUNT = message("order_page.fact_amount", "Amount")
FACT_RISK = message("order_page.fact_risk", "Risk of this order")
FACT_LEFT = message("order_page.fact_left", "In store")
FACT_LASTS = message("order_page.fact_lasts", "Lasts until")


def note_days_left(days: int) -> Message:
    """Return how far away a day is."""
    return counted_message("order_page.note_days_left", "in {n} day", "in {n} days", days)


NOTE_DAY_LEFT = message("order_page.note_day_left", "tomorrow")
NOTE_TODAY = message("order_page.note_today", "today")


def note_past(days: int) -> Message:
    """Return how long ago a day was."""
    return counted_message("order_page.note_past", "{n} day ago", "{n} days ago", days)


NOTE_FITS = message("order_page.note_fits", "surely fits by then")


def note_more_fits(amount: Quantity) -> Message:
    """Return that more than the amount proposed would fit."""
    return message("order_page.note_more_fits", "up to {amount} would fit", amount=amount)


def note_risk(limit: Chance, winters: Said) -> Message:
    """Return what the risk of an order is."""
    return message(
        "order_page.note_risk",
        "of reaching the reserve before the tanker; you accept {limit}; {winters}",
        limit=limit,
        winters=as_message(winters),
    )


def note_read(days: int) -> Message:
    """Return how old a reading is."""
    return counted_message(
        "order_page.note_read", "your reading is {n} day old", "your reading is {n} days old", days
    )


NOTE_READ_TODAY, NOTE_READ_YESTERDAY = (
    message("order_page.note_read_today", "read today"),
    message("order_page.note_read_yesterday", "read yesterday"),
)
NOTE_NEVER_READ = message("order_page.note_never_read", "nobody has read the store yet")


def note_run_out(day: Value) -> Message:
    """Return by when the reserve may be reached in a hard winter."""
    return message("order_page.note_run_out", "usual winter; 1 in 50 by {day}", day=day)


NOTE_OFF = message("order_page.note_off", "boiler off before filling")


def beyond(day: date) -> Message:
    """Return that a day lies beyond the horizon."""
    return message("order_page.beyond", "after {day}", day=Day(day, year=True))


# Level chart and table
LEVEL_TITLE = message("order_page.level_title", "What will be in the store")
LEVEL_WORDS = LevelWords()
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
ROW_ORDER_BY = message("order_page.row_order_by", "Order by")
ROW_DELIVERY = message("order_page.row_delivery", "Delivery between")
ROW_AMOUNT = message("order_page.row_amount", "Amount")
ROW_RUN_OUT = message("order_page.row_run_out", "Reserve reached, usual winter")
ROW_RUN_OUT_HARD = message("order_page.row_run_out_hard", "… in 1 of 50 cases by")


def row_use(days: int) -> Message:
    """Return the name of the row on what is burned."""
    return counted_message(
        "order_page.row_use", "Burned in the next {n} day", "Burned in the next {n} days", days
    )


ROW_RISK = message("order_page.row_risk", "Risk of the order")
ROW_YEAR_RISK = message("order_page.row_year_risk", "Empty store within a year")
ROW_COST = message("order_page.row_cost", "Fuel for a year")


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
DATES_HEAD = (
    "",
    message("order_page.dates_head_2", "Order by"),
    message("order_page.dates_head_3", "Delivery between"),
    message("order_page.dates_head_4", "Amount"),
    message("order_page.dates_head_5", "Risk"),
)


def dates_on_its_way(day: Day) -> Message:
    """Return the name of an order that was placed."""
    return message("order_page.dates_on_its_way", "On its way, ordered {day}", day=day)


DATES_NEXT = message("order_page.dates_next", "Next order")
DATES_LATER = message("order_page.dates_later", "After that")
DATES_ANEW = message("order_page.dates_anew", "decided anew then")


def dates_none(days: int) -> Message:
    """Return that no order is due."""
    return counted_message(
        "order_page.dates_none", "No order is due within {n} day.", "No order is due within {n} days.", days
    )


DATES_ORDERED = message("order_page.dates_ordered", "ordered")

# Money
COST_TITLE = message("order_page.cost_title", "What it costs")


def cost_year(low: float, high: float, currency: str) -> Message:
    """Return what the fuel of a year costs."""
    return message(
        "order_page.cost_year",
        "Fuel for the next twelve months: {low} to {high}, at today's price and its usual season.",
        low=Money(low, currency),
        high=Money(high, currency),
    )


def bill_head(amount: Quantity) -> Message:
    """Return what stands over a bill."""
    return message("order_page.bill_head", "The bill for {amount}", amount=amount)


def bill_total(supplier: str) -> Message:
    """Return the name of the bill's last line."""
    return message("order_page.bill_total", "In all, from {supplier}", supplier=Own(supplier))


def bill_other(supplier: str) -> Message:
    """Return the name of another supplier's line."""
    return message("order_page.bill_other", "The same from {supplier}", supplier=Own(supplier))


WAYS_LEAD = message(
    "order_page.ways_lead", "A year under this plan, and under simple rules, on the same winters:"
)
WAYS_HEAD = (
    message("order_page.ways_head_1", "Way of deciding"),
    message("order_page.ways_head_2", "Costs a year"),
    message("order_page.ways_head_3", "More than the plan"),
    message("order_page.ways_head_4", "Orders a year"),
    message("order_page.ways_head_5", "Store empty within a year"),
)
NO_MORE = message("order_page.no_more", "–")
WAYS = {
    "optimum": message("order_page.ways_optimum", "This plan"),
    "last safe date": message("order_page.ways_last_safe_date", "Always on the last safe day"),
}

# Cautions, money, origin
ORIGIN_TITLE = message("order_page.origin_title", "Where these numbers come from")


def origin_weather(source: Said, winters: int, first: date, last: date) -> Message:
    """Return where the weather comes from."""
    return message(
        "order_page.origin_weather",
        "Weather: {source}, {winters} past winters from {first} to {last}.",
        source=as_message(source),
        winters=winters,
        first=Day(first, year=True),
        last=Day(last, year=True),
    )


def origin_weather_short(source: Said, winters: int) -> Message:
    """Return where the weather comes from, where its days are not known."""
    return message(
        "order_page.origin_weather_short",
        "Weather: {source}, {winters} past winters.",
        source=as_message(source),
        winters=winters,
    )


def origin_forecast(days: int) -> Message:
    """Return how long a forecast is used."""
    return counted_message(
        "order_page.origin_forecast",
        "A forecast of {n} day is used first.",
        "A forecast of {n} days is used first.",
        days,
    )


def origin_draws(draws: int) -> Message:
    """Return what stands behind chances and ranges."""
    return message(
        "order_page.origin_draws",
        "{draws} draws stand behind every chance and range: a past winter, how your building burns, how "
        "exact your reading is and how long the supplier takes, drawn together.",
        draws=draws,
    )


def origin_winters(winters: int) -> Message:
    """Return how many real winters the draws come from."""
    return message(
        "order_page.origin_winters",
        "The draws come from {winters} real winters; they cannot prove a chance as small as 1 in 1,000.",
        winters=winters,
    )


ORIGIN_NONE = message(
    "order_page.origin_none", "No real winter stands behind them: every winter is simulated."
)


def origin_seed(seed: int) -> Message:
    """Return what gives the same answer again."""
    return message(
        "order_page.origin_seed",
        "The same folder, day and seed ({seed}) always give the same answer.",
        seed=Own(str(seed)),
    )


def burned(days: int, amount: Quantity, range_: Range) -> Message:
    """Return how much is burned in the next days."""
    return counted_message(
        "order_page.burned",
        "Burned in the next {n} day: about {amount} ({range}).",
        "Burned in the next {n} days: about {amount} ({range}).",
        days,
        amount=amount,
        range=range_,
    )


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

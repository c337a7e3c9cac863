"""Every text of the pages, in one place: another language is another module with the same names."""

from __future__ import annotations

from fuelplan.charts import LevelWords

NAME = "fuelplan"
START = "Start"

# Front page
HOUSEHOLDER = "You live in the house"
ORDER_QUESTION = "When do I order?"
ORDER_PROMISE = (
    "The last safe day to order, how much will fit, and how long the store lasts in a usual and in a hard "
    "winter."
)
FRONT_TITLE = "What would you like to know?"
FRONT_LEAD = (
    "From the weather of many past winters and what your building really burns, day by day, to a decision "
    "and its risk."
)
FRONT_OPEN = "See the whole answer →"
FRONT_FOLDER_FAULTY = "This folder cannot be used yet; open the question to see what to put right."

# Which house, which day
HOUSE = "House"
HOUSE_HELP = "Folders with a site.toml: the one given at the start, and the demo houses."
HOUSE_DEMO = "{name} (demo)"
DAY = "Answer as of"
DAY_HELP = "The day on which you ask. Nothing that became known later is used."
UNITS = "Units"
UNITS_HELP = "At first those of the country in which the house stands."
UNITS_NAMES = {"metric": "kg, m, °C", "us": "lb, ft, °F"}
CHANGE = "House, day and units"
AS_OF = "{site} · as of {day}"
DEMO_NOTE = (
    "A demo with invented weather, played on {day}. For your own house use the form on the start page, or "
    "take a copy of this one under “My house”."
)
NO_FOLDER_TITLE = "No house to show yet"
NO_FOLDER = "Set one up with the short form, or start with a folder: fuelplan app my_house"

# The answer
FACT_ORDER_BY = "Order by"
FACT_DELIVERY = "Delivery between"
FACT_AMOUNT = "Amount"
FACT_RISK = "Risk of this order"
FACT_LEFT = "In store"
FACT_LASTS = "Lasts until"
NOTE_DAYS_LEFT = "in {days} days"
NOTE_DAY_LEFT = "tomorrow"
NOTE_TODAY = "today"
NOTE_PAST = "{days} days ago"
NOTE_FITS = "surely fits by then"
NOTE_MORE_FITS = "up to {amount} would fit"
NOTE_RISK = "of reaching the reserve before the tanker; you accept {limit}; {winters}"
NOTE_READ = "your reading is {days} days old"
NOTE_READ_TODAY, NOTE_READ_YESTERDAY = "read today", "read yesterday"
NOTE_NEVER_READ = "nobody has read the store yet"
NOTE_RUN_OUT = "usual winter; 1 in 50 by {day}"
NOTE_OFF = "boiler off before filling"
BEYOND = "after {day}"
DATE_RANGE = "{first} to {last}"

# Level chart and table
FUEL = "Fuel"
LEVEL_TITLE = "What will be in the store"
LEVEL_WORDS = LevelWords()
LEVEL_HOW = (
    "Line: a usual winter. Dark band: 8 winters in 10. Light band: only 1 in 50 goes below it. Dotted "
    "line: nothing "
    "ordered. Thick bar on the reserve: when it would be reached without an order, from 1 in 50 to 9 in "
    "10; the "
    "diamond is the usual day."
)
SPAN = "Show"
INVENTED_HEADLINE = "Invented weather, so only a try. {headline}"
SPANS = {"near": "The next months", "year": "A whole year"}
TABLE_TITLE = "The same as a table"
TABLE_HEAD = ("Evening of", "Usual winter", "8 winters in 10", "1 in 50 is below", "Nothing ordered, usual")
TABLE_DOWNLOAD = "Every day as CSV"

# What if
WHAT_IF_TITLE = "What if …"
WHAT_IF_LEAD = "Move one of these and compare. Nothing is saved."
COLDER = "Winter colder than usual by"
COLDER_HELP = "Degrees taken off every day of every past winter. Below zero: a milder winter."
ROOM = "Rooms warmer by"
ROOM_HELP = "Change of the room temperature from today on. Below zero: cooler rooms."
LEAD = "The supplier needs more time"
LEAD_HELP = "Working days on top of the lead time in your folder."
RISK = "Risk you accept per order"
RISK_HELP = "Chance of reaching the reserve before the tanker comes. Smaller means ordering earlier."
PRICE = "Price of fuel"
PRICE_HELP = "Against the price in your folder."
SAME = "as it is"
WHAT_IF_HEAD = ("", "Your plan", "What if", "Difference")
ROW_ORDER_BY = "Order by"
ROW_DELIVERY = "Delivery between"
ROW_AMOUNT = "Amount"
ROW_RUN_OUT = "Reserve reached, usual winter"
ROW_RUN_OUT_HARD = "… in 1 of 50 cases by"
ROW_USE = "Burned in the next {days} days"
ROW_RISK = "Risk of the order"
ROW_YEAR_RISK = "Empty store within a year"
ROW_COST = "Fuel for a year"
EARLIER = "{days} days earlier"
LATER = "{days} days later"
A_DAY_EARLIER = "1 day earlier"
A_DAY_LATER = "1 day later"
MORE = "{amount} more"
LESS = "{amount} less"
UNCHANGED = "the same"
DIFFERENT = "changed"

# Calendar and later orders
DATES_TITLE = "Dates to keep"
CALENDAR_BUTTON = "Put the dates into my calendar"
CALENDAR_HELP = (
    "A calendar file (.ics) with the last day to order and the days on which the tanker may come. Loading "
    "a newer one "
    "moves the dates."
)
CALENDAR_FILE = "fuelplan-{site}.ics"
DATES_HEAD = ("", "Order by", "Delivery between", "Amount", "Risk")
DATES_ON_ITS_WAY = "On its way, ordered {day}"
DATES_NEXT = "Next order"
DATES_LATER = "After that"
DATES_ANEW = "decided anew then"
DATES_NONE = "No order is due within {days} days."
DATES_ORDERED = "ordered"

# Money
COST_TITLE = "What it costs"
COST_YEAR = "Fuel for the next twelve months: {low} to {high}, at today's price and its usual season."
BILL_HEAD = ("The bill for {amount}", "")
BILL_TOTAL = "In all, from {supplier}"
BILL_OTHER = "The same from {supplier}"
WAYS_LEAD = "A year under this plan, and under simple rules, on the same winters:"
WAYS_HEAD = (
    "Way of deciding",
    "Costs a year",
    "More than the plan",
    "Orders a year",
    "Store empty within a year",
)
NO_MORE = "–"
WAYS = {
    "optimum": "This plan",
    "last safe date": "Always on the last safe day",
}

# Recording
RECORD_TITLE = "Something has happened"
RECORD_LEAD = "The answer is only as good as what it knows. Each entry becomes a line in your folder's files."
RECORD_DEMO = "Entries can be made in your own folder; the demo houses stay as they are."
RECORD_READING = "I read the store"
RECORD_ORDER = "I have ordered"
RECORD_DELIVERY = "The tanker came"
RECORD_OUTCOME = "An order fell through"
READ_ON = "Read on"
READ_AMOUNT = "What was in it"
READ_AMOUNT_HELP = "With its unit, as you measure it: 2.1 t, 1400 kg, 45 %, 110 cm from top, empty, full."
ORDERED_ON = "Ordered on"
ORDERED_AMOUNT = "How much"
ORDERED_AMOUNT_HELP = "With its unit: 3.5 t, 4000 kg."
DUE_FROM = "Comes from"
DUE_TO = "Comes until"
DELIVERED_ON = "Delivered on"
DELIVERED_AMOUNT = "How much was blown in"
DELIVERED_AMOUNT_HELP = "From the weighed ticket, with its unit: 3480 kg."
WEIGHED = "Weighed by the tanker"
FILLED_FULL = "The store is now full to the top"
FILLED_FULL_HELP = "A full store is the best reading there is: the level is then known without measuring."
WHICH_ORDER = "Which order"
NO_ORDER_NOTED = "none that was noted here"
OUTCOME = "What became of it"
OUTCOMES = {"cancelled": "I cancelled it", "failed": "The supplier could not deliver"}
NOTE = "Note (may be left out)"
SAVE = "Save"
SAVED = "Saved in your folder; the answer below knows it. It can be taken back where it was entered."
AMOUNT_MISSING = "Write an amount with its unit, e.g. 2.1 t."

# Cautions, money, origin
CAUTIONS_TITLE = "For your safety"
ORIGIN_TITLE = "Where these numbers come from"
ORIGIN_WEATHER = "Weather: {source}, {winters} past winters from {first} to {last}."
ORIGIN_WEATHER_SHORT = "Weather: {source}, {winters} past winters."
ORIGIN_FORECAST = "A forecast of {days} days is used first."
ORIGIN_DRAWS = (
    "{draws} draws stand behind every chance and range: a past winter, how your building burns, how exact "
    "your reading "
    "is and how long the supplier takes, drawn together."
)
ORIGIN_WINTERS = (
    "The draws come from {winters} real winters; they cannot prove a chance as small as 1 in 1,000."
)
ORIGIN_NONE = "No real winter stands behind them: every winter is simulated."
ORIGIN_ATTRIBUTION = "Source of the weather data: {attribution}"
ORIGIN_SEED = "The same folder, day and seed ({seed}) always give the same answer."
USE = "Burned in the next {days} days: about {amount} ({range})."
WARNING = "Please note"

# Faults
FAULTS_TITLE = "Please put this right first"
MORE_FAULTS = "And {count:,} more. Put these right first, then look again."
FAULTS_LEAD = (
    "These lines of the folder could not be read. Nothing was changed. Correct them in a text editor or "
    "spreadsheet, save, then:"
)
FAULTS_HEAD = ("File", "Line", "Entry", "What is wrong, and what to write")
LOOK_AGAIN = "Look again"
WHOLE_FILE = "whole file"
WEATHER_TITLE = "No weather to work with"
WEATHER_LEAD = "The folder is sound, but its weather could not be had. Nothing was guessed in its place."
TOO_THIN_TITLE = "No answer for this day"
OUR_MISTAKE_TITLE = "Something went wrong here"
OUR_MISTAKE = (
    "This is a mistake in the program, not in your folder; nothing of yours was changed. The details stand "
    "in the terminal window in which fuelplan was started."
)
WORKING = "Playing the past winters …"
WAITING = "Others have asked, too; yours is next …"
READING_WEATHER = "Reading the weather …"
AT_WORK = "{step} ({seconds} s)"
STOP = "Stop"
STOPPED = "Stopped. Nothing was changed."
GO_ON = "Begin again"
SINCE_TITLE = "Since you last looked"
SINCE_LEAD = "You last looked for {day}."
SINCE_OTHER = "Compare with another day"
SINCE_DAY = "Day to compare with"
SINCE_DAY_HELP = "The answer of that day is worked out again from what was known then."
SINCE_BUTTON = "Compare"
SINCE_LATER = "Choose a day before {day}."
FOOTER = (
    "fuelplan works on this machine only; nothing you see here leaves it. Local codes, the maker's manual "
    "and licensed trades come first. It never says that a store is safe to enter."
)

"""What several pages say: the front page, the choice of a house, faults, waiting, the line at the foot."""

from __future__ import annotations

from datetime import date

from fuelplan.messages import Day, Message, Own, Said, Value, as_message, message

NAME = "fuelplan"  # the program's name in every language
START = message("page.start", "Start")

# Front page
HOUSEHOLDER = message("page.householder", "You live in the house")
ORDER_QUESTION = message("page.order_question", "When do I order?")
ORDER_PROMISE = message(
    "page.order_promise",
    "The last safe day to order, how much will fit, and how long the store lasts in a usual and in a "
    "hard winter.",
)
FRONT_TITLE = message("page.front_title", "What would you like to know?")
FRONT_LEAD = message(
    "page.front_lead",
    "From the weather of many past winters and what your building really burns, day by day, to a "
    "decision and its risk.",
)
FRONT_OPEN = message("page.front_open", "See the whole answer →")
FRONT_FOLDER_FAULTY = message(
    "page.front_folder_faulty", "This folder cannot be used yet; open the question to see what to put right."
)


def house_and_day(house: str, day: date) -> Message:
    """Return for which house and day the front page answers."""
    return message("page.house_and_day", "{house} · {day}", house=Own(house), day=Day(day, year=True))


# Which house, which day
HOUSE = message("page.house", "House")
HOUSE_HELP = message(
    "page.house_help", "Folders with a site.toml: the one given at the start, and the demo houses."
)


def house_demo(name: str) -> Message:
    """Return what the chooser shows for a demo."""
    return message("page.house_demo", "{name} (demo)", name=Own(name))


DAY = message("page.day", "Answer as of")
DAY_HELP = message("page.day_help", "The day on which you ask. Nothing that became known later is used.")
UNITS = message("page.units", "Units")
UNITS_HELP = message("page.units_help", "At first those of the country in which the house stands.")
UNITS_NAMES = {
    "metric": message("page.units_names_metric", "kg, m, °C"),
    "us": message("page.units_names_us", "lb, ft, °F"),
}
CHANGE = message("page.change", "House, day and units")


def as_of(site: str, day: date) -> Message:
    """Return the line above an answer."""
    return message("page.as_of", "{site} · as of {day}", site=Own(site), day=Day(day, year=True))


def demo_note(day: date) -> Message:
    """Return what is said of a demo."""
    return message(
        "page.demo_note",
        "A demo with invented weather, played on {day}. For your own house use the form on the start "
        "page, or take a copy of this one under “My house”.",
        day=Day(day, year=True),
    )


NO_FOLDER_TITLE = message("page.no_folder_title", "No house to show yet")
NO_FOLDER = message(
    "page.no_folder", "Set one up with the short form, or start with a folder: fuelplan app my_house"
)

# Faults
FAULTS_TITLE = message("page.faults_title", "Please put this right first")


def more_faults(count: int) -> Message:
    """Return how many faults are not shown."""
    return message(
        "page.more_faults", "And {count} more. Put these right first, then look again.", count=count
    )


FAULTS_LEAD = message(
    "page.faults_lead",
    "These lines of the folder could not be read. Nothing was changed. Correct them in a text editor "
    "or spreadsheet, save, then:",
)
FAULTS_HEAD = (
    message("page.faults_head_1", "File"),
    message("page.faults_head_2", "Line"),
    message("page.faults_head_3", "Entry"),
    message("page.faults_head_4", "What is wrong, and what to write"),
)


def of_entry(entry: str, fault: Said) -> Message:
    """Return what is wrong with an entry."""
    return message("page.of_entry", "{entry}: {fault}", entry=Own(entry), fault=as_message(fault))


LOOK_AGAIN = message("page.look_again", "Look again")
WHOLE_FILE = message("page.whole_file", "whole file")
WEATHER_TITLE = message("page.weather_title", "No weather to work with")
WEATHER_LEAD = message(
    "page.weather_lead",
    "The folder is sound, but its weather could not be had. Nothing was guessed in its place.",
)
TOO_THIN_TITLE = message("page.too_thin_title", "No answer for this day")
OUR_MISTAKE_TITLE = message("page.our_mistake_title", "Something went wrong here")
OUR_MISTAKE = message(
    "page.our_mistake",
    "This is a mistake in the program, not in your folder; nothing of yours was changed. The details "
    "stand in the terminal window in which fuelplan was started.",
)
WORKING = message("page.working", "Playing the past winters …")
WAITING = message("page.waiting", "Others have asked, too; yours is next …")
READING_WEATHER = message("page.reading_weather", "Reading the weather …")


def at_work(step: Value, seconds: int) -> Message:
    """Return what the work is at, and for how long."""
    return message("page.at_work", "{step} ({seconds} s)", step=step, seconds=seconds)


STOP = message("page.stop", "Stop")
STOPPED = message("page.stopped", "Stopped. Nothing was changed.")
GO_ON = message("page.go_on", "Begin again")
FOOTER = message(
    "page.footer",
    "fuelplan works on this machine only; nothing you see here leaves it. Local codes, the maker's "
    "manual and licensed trades come first. It never says that a store is safe to enter.",
)

REFUSED = message(
    "page.refused",
    "This request names another machine, or comes from another web site. Open the page at "
    "http://localhost with the port that was shown when it was started.",
)

# On several pages
FUEL = message("page.fuel", "Fuel")


TABLE_TITLE = message("page.table_title", "The same as a table")
SAVE = message("page.save", "Save")
CAUTIONS_TITLE = message("page.cautions_title", "For your safety")


def origin_attribution(attribution: str) -> Message:
    """Return the thanks that the weather's licence asks for."""
    return message(
        "page.origin_attribution", "Source of the weather data: {attribution}", attribution=Own(attribution)
    )

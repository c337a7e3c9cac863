"""What the page says around its questions back, and in the fields for how and when something was read."""

from __future__ import annotations

from datetime import date

from fuelplan.messages import Day, Message, message

DEMO = message(
    "asked.demo", "In your own house you answer this with a click; the demo houses stay as they are."
)
CAME_AMOUNT = message("asked.came_amount", "How much came")
CAME_ON = message("asked.came_on", "It came on")
CAME = message("asked.came", "It came")
UNTIL = message("asked.until", "By when it should come now")
NOT_YET = message("asked.not_yet", "Not yet")
CANCELLED = message("asked.cancelled", "It was cancelled")
SETTLED = message("asked.settled", "Saved in your folder; the answer below knows it.")


def aside_title(number: int) -> Message:
    """Return how many entries do not count."""
    return message("asked.aside_title", "Entries that do not count ({number})", number=number)


ASIDE_HEAD = (message("asked.aside_head_1", "Entry"), message("asked.aside_head_2", "Why"))

READ_HOW = message("asked.read_how", "How you read it")
READ_HOW_HELP = message(
    "asked.read_how_help",
    "A look by eye is good to about a tenth of the store, whatever unit it is written in.",
)
HOW = {
    "": message("asked.how_usual", "By eye; a depth in cm with a tape"),
    "measured": message("asked.how_measured", "Measured: tape, scales, level gauge"),
    "estimated": message("asked.how_estimated", "Guessed, not looked"),
    "boiler counter": message("asked.how_boiler_counter", "The boiler's counter, in kg"),
    "heat meter": message("asked.how_heat_meter", "A heat meter, in kWh"),
}
READ_WHEN = message("asked.read_when", "Did the tanker come that day?")
READ_WHEN_HELP = message("asked.read_when_help", "Then it matters whether its delivery is in what you read.")
WHEN = {
    "": message("asked.when_unknown", "No, or I don't know"),
    "before delivery": message("asked.when_before_delivery", "I read before the tanker"),
    "after delivery": message("asked.when_after_delivery", "I read after the tanker"),
}


def future(day: date) -> Message:
    """Return that a day has not come yet."""
    return message(
        "asked.future",
        "{day} has not come yet. If the delivery is still to come, note it as an order.",
        day=Day(day, year=True),
    )


def as_order(day: date) -> Message:
    """Return the button that notes a delivery as an order."""
    return message("asked.as_order", "Note it as an order for {day}", day=Day(day, year=True))

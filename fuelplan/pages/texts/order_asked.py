"""What the page says around its questions back, and in the fields for how and when something was read."""

from __future__ import annotations

DEMO = "In your own house you answer this with a click; the demo houses stay as they are."
CAME_AMOUNT = "How much came"
CAME_ON = "It came on"
CAME = "It came"
UNTIL = "By when it should come now"
NOT_YET = "Not yet"
CANCELLED = "It was cancelled"
SETTLED = "Saved in your folder; the answer below knows it."
ASIDE_TITLE = "Entries that do not count ({number})"
ASIDE_HEAD = ("Entry", "Why")

READ_HOW = "How you read it"
READ_HOW_HELP = "A look by eye is good to about a tenth of the store, whatever unit it is written in."
HOW = {
    "": "By eye; a depth in cm with a tape",
    "measured": "Measured: tape, scales, level gauge",
    "estimated": "Guessed, not looked",
    "boiler counter": "The boiler's counter, in kg",
    "heat meter": "A heat meter, in kWh",
}
READ_WHEN = "Did the tanker come that day?"
READ_WHEN_HELP = "Then it matters whether its delivery is in what you read."
WHEN = {
    "": "No, or I don't know",
    "before delivery": "I read before the tanker",
    "after delivery": "I read after the tanker",
}
FUTURE = "{day} has not come yet. If the delivery is still to come, note it as an order."
AS_ORDER = "Note it as an order for {day}"

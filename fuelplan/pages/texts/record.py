"""What is said where something that happened is entered."""

from __future__ import annotations

from fuelplan.answers.house import kinds_of_wood
from fuelplan.messages import Message, message

TITLE = message("record.title", "Something has happened")
LEAD = message(
    "record.lead",
    "The answer is only as good as what it knows. Each entry becomes a line in your folder's files.",
)
DEMO = message("record.demo", "Entries can be made in your own folder; the demo houses stay as they are.")
READING = message("record.reading", "I read the store")
ORDER = message("record.order", "I have ordered")
DELIVERY = message("record.delivery", "The tanker came")
READING_OR_COUNT = message("record.reading_or_count", "I looked what is there")
FUEL_CAME = message("record.fuel_came", "Fuel came")
READ_BUFFER = message("record.read_buffer", "I read the buffer")
FELL_THROUGH = message("record.fell_through", "An order fell through")
READ_ON = message("record.read_on", "Read on")
READ_AMOUNT = message("record.read_amount", "What was in it")
READ_AMOUNT_HELP = message(
    "record.read_amount_help",
    "With its unit, as you measure it: 2.1 t, 1400 kg, 45 %, 110 cm from top, empty, full.",
)
FUEL = message("record.fuel", "Of which fuel")
BUFFER_ON = message("record.buffer_on", "Day of reading")
BUFFER_AT = message("record.buffer_at", "At what time")
BUFFER_AT_HELP = message("record.buffer_at_help", "By the clock: 18:30.")
BUFFER_SHOWS = message("record.buffer_shows", "What the thermometers show in °C, top first")
BUFFER_SHOWS_HELP = message("record.buffer_shows_help", "Two or three numbers: 66 58 50.")
COUNTED_ON = message("record.counted_on", "Counted on")
STACK = message("record.stack", "Which stack")
COUNTED = message("record.counted", "What lies there")
COUNTED_HELP = message(
    "record.counted_help",
    "With its unit: 4 stacked m3, 900 kg, 2 cord. A stack that is used up: empty.",
)
MEASURED_WATER = message("record.measured_water", "Water, if you measured it")
MEASURED_WATER_HELP = message(
    "record.measured_water_help",
    "From a freshly split face, with its basis: 18 % wet, or 22 % dry as most meters show it.",
)
LOGS_CAME_ON = message("record.logs_came_on", "Came on")
LOGS_CAME = message("record.logs_came", "How much came")
WOOD = message("record.wood", "Kind of wood")
WOOD_HELP = message("record.wood_help", "Left as it is: the wood of the stack.")
WATER = message("record.water", "How wet")
WATER_HELP = message("record.water_help", "green, or measured with its basis: 18 % wet, 22 % dry.")
ORDERED_ON = message("record.ordered_on", "Ordered on")
ORDERED_AMOUNT = message("record.ordered_amount", "How much")
ORDERED_AMOUNT_HELP = message("record.ordered_amount_help", "With its unit: 3.5 t, 4000 kg.")
DUE_FROM = message("record.due_from", "Comes from")
DUE_TO = message("record.due_to", "Comes until")
DELIVERED_ON = message("record.delivered_on", "Delivered on")
DELIVERED_AMOUNT = message("record.delivered_amount", "How much was blown in")
DELIVERED_AMOUNT_HELP = message(
    "record.delivered_amount_help", "From the weigh note, with its unit: 3480 kg."
)
WEIGHED = message("record.weighed", "Weighed by the tanker")
FILLED_FULL = message("record.filled_full", "The store is now full to the top")
FILLED_FULL_HELP = message(
    "record.filled_full_help",
    "A full store is the best reading there is: the level is then known without measuring.",
)
WHICH_ORDER = message("record.which_order", "Which order")
NO_ORDER_NOTED = message("record.no_order_noted", "none that was noted here")
OUTCOME = message("record.outcome", "What became of it")
OUTCOMES = {
    "cancelled": message("record.outcomes_cancelled", "I cancelled it"),
    "failed": message("record.outcomes_failed", "The supplier could not deliver"),
}


def woods() -> dict[str, Message]:
    """Return the kinds of wood with their names, that of the stack first."""
    return {"": message("record.wood_of_stack", "that of the stack")} | kinds_of_wood()


NOTE = message("record.note", "Note (may be left out)")
SAVED = message(
    "record.saved",
    "Saved in your folder; the answer below knows it. It can be taken back where it was entered.",
)
AMOUNT_MISSING = message("record.amount_missing", "Write an amount with its unit, e.g. 2.1 t.")

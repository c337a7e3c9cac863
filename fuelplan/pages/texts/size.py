"""Every text of the page about store sizes: another language is another module with the same names."""

from __future__ import annotations

INSTALLER = "You plan or install the heating"
QUESTION = "How big a store?"
PROMISE = (
    "The range of sizes that serves best, the day hopper, the buffer, what delivery needs, and a "
    "report to hand on."
)
OPEN = "See every size →"
HEADLINE = "{size} for the store."
HEADLINE_RANGE = "{size} for the store; {low_high} cost about the same."
HEADLINE_NONE = "No size in question works."
FACT_STORE = "{fuel} to use"
FACT_DELIVERIES = "Deliveries"
FACT_EMPTY = "Winters empty"
FACT_HOPPER = "Day hopper"
FACT_BUFFER = "Buffer"
FACT_USE = "Burned in a year"
NOTE_STORE = "in the smallest and largest of that range"
NOTE_HOPPER = "one cold night takes {night}"
NOTE_HOPPER_NONE = "none alone gets through the coldest week"
NOTE_BUFFER = "strictest rule looked at: {source}"
NOTE_USE = "mildest winter {low}, coldest {high}"
AT_LEAST = "{amount} or more"
REPORT_BUTTON = "Report as PDF"
REPORT_HELP = (
    "Two to four pages to hand on: the answer, the sizes, the drawing, what is still to ask, cautions."
)
REPORT_FILE = "store-size-{site}-{day}.pdf"

SECTION_TITLE = "The store in section"
SECTION_HOW = (
    "To scale. Filled: what is in it now. Dotted: full, with the free space under the ceiling that stays. "
    "Dashed: what the conveyor leaves behind."
)
SECTION_MAT = "Inlet and deflector mat hang at opposite ends."
SECTION_NONE = (
    "The folder names only what the store holds. With its shape and measures in [store] of "
    "site.toml it is drawn here."
)
SIZES_TITLE = "What each size does"
SIZES_HOW = (
    "Dots: sizes that work. Crosses: sizes that run empty or undercut the reserve. Shaded: sizes that cost "
    "about the same as the cheapest."
)
SIZES_TABLE = "All sizes as a table"
SIZES_HEAD = (
    "Room",
    "To use",
    "Lasts",
    "Deliveries a year",
    "Winters empty",
    "Lowest level",
    "Cost a year",
    "",
)
BEST, IN_RANGE = "cheapest", "as good"
NEVER = "can never work"
WINTER_TITLE = "The worst winter"
HOPPER_TITLE = "The day hopper"
HOPPER_TABLE = "All hopper sizes as a table"
HOPPER_HEAD = (
    "Holds",
    "Fillings a day",
    "… in the coldest week",
    "Nights empty a winter",
    "Mostly at",
    "Coldest week",
)
HOPPER_WORKS, HOPPER_FAILS = "without interruption", "interrupted"
BAGS = (
    "Bags to carry: about {day:.1f} a day and {week:.0f} a week over the year, {coldest} in the coldest week."
)
ROOM_TITLE = "Try a room"
ROOM_LEAD = "Is this room enough, and which floor serves best? Nothing is saved."
ROOM_LENGTH, ROOM_WIDTH, ROOM_HEIGHT = "Length, m", "Width, m", "Height, m"
ROOM_BUTTON = "Try it"
ROOM_HEAD = ("Floor", "To use", "Deliveries a year", "Winters empty", "Works")
ROOM_LEFT = "{count} further ways cannot be built: their sloped floors would reach the ceiling."
YES, NO = "yes", "no"
THUMBS_TITLE = "Rules of thumb beside it"
FIT_TITLE = "Fit for delivery, and what the store itself needs"
FIT_LEAD = "What nobody has looked at is marked ask. Nothing here is a verdict of law."
FIT_HEAD = ("What", "Answer", "Guidance and its source", "Seen")
FIT_COUNT = "{met} met, {not_met} not met, {ask} to ask."
ASK_TITLE = "Still to ask"
ASSUMED_TITLE = "What was assumed"
WEATHER = "Weather: {source}; {winters} real winters, {first} to {last}."
WORKING = "Playing every size through the past winters …"

"""What the page about store sizes says besides the answer."""

from __future__ import annotations

from fuelplan.messages import message

INSTALLER = message("size_page.installer", "You plan or install the heating")
QUESTION = message("size_page.question", "How big a store?")
PROMISE = message(
    "size_page.promise",
    "The range of sizes that serves best, the day hopper, the buffer, what delivery needs, and a report to "
    "hand on.",
)
OPEN = message("size_page.open", "See every size →")
REPORT_BUTTON = message("size_page.report_button", "Report as PDF")
REPORT_HELP = message(
    "size_page.report_help",
    "Two to four pages to hand on: the answer, the sizes, the drawing, what is still to ask, cautions.",
)
SECTION_NONE = message(
    "size_page.section_none",
    "The folder names only what the store holds. With its shape and measures in [store] of site.toml it is "
    "drawn here.",
)
SIZES_TABLE = message("size_page.sizes_table", "All sizes as a table")
HOPPER_TABLE = message("size_page.hopper_table", "All hopper sizes as a table")
ROOM_TITLE = message("size_page.room_title", "Try a room")
ROOM_LEAD = message(
    "size_page.room_lead", "Is this room enough, and which floor serves best? Nothing is saved."
)
ROOM_LENGTH = message("size_page.room_length", "Length, m")
ROOM_WIDTH = message("size_page.room_width", "Width, m")
ROOM_HEIGHT = message("size_page.room_height", "Height, m")
ROOM_BUTTON = message("size_page.room_button", "Try it")
WORKING = message("size_page.working", "Playing every size through the past winters …")

"""Headings and explanations of the size answer that the page, the command line and the report share."""

from __future__ import annotations

from fuelplan.messages import message

QUESTION = message("size.question", "How big a store, day hopper and buffer?")
SECTION = message("size.title_section", "The store in section")
SECTION_HOW = message(
    "size.section_how",
    "To scale. Filled: what is in it now. Dotted: full, with the free space under the ceiling that stays. "
    "Dashed: what the conveyor leaves behind.",
)
SECTION_MAT = message("size.section_mat", "Inlet and deflector mat hang at opposite ends.")
WHY = message("size.title_why", "Why")
SIZES = message("size.title_sizes", "What each size does")
SIZES_HOW = message(
    "size.sizes_how",
    "Dots: sizes that work. Crosses: sizes that run empty or undercut the reserve. Shaded: sizes that cost "
    "about the same as the cheapest.",
)
INTEREST_HOW = message("size.interest_how", "Interest is that of the money lying in the stock.")
WINTER = message("size.title_winter", "The worst winter")
HOPPER = message("size.title_hopper", "The day hopper")
ROOM = message("size.title_room", "The room in question")
THUMBS = message("size.title_thumbs", "Rules of thumb beside it")
FIT = message("size.title_fit", "Fit for delivery, and what the store itself needs")
FIT_HOW = message(
    "size.fit_how", "What nobody has looked at is marked ask. Nothing here is a verdict of law."
)
ASK = message("size.title_ask", "Still to ask")
ASSUMED = message("size.title_assumed", "What was assumed")
SAFETY = message("size.title_safety", "For your safety")

SIZE_COLUMN = {
    "room": message("size.column_room", "Room"),
    "tank": message("size.column_tank", "Tank"),
    "bag silo": message("size.column_bag_silo", "Bag silo"),
    "pallets": message("size.column_pallets", "Pallets"),
}
TO_USE = message("size.column_to_use", "To use")
LASTS = message("size.column_lasts", "Lasts")
DELIVERIES = message("size.column_deliveries", "Deliveries a year")
EMPTY = message("size.column_empty", "Winters empty")
LOWEST = message("size.column_lowest", "Lowest level")
FUEL_COST = message("size.column_fuel_cost", "Fuel a year")
STORE_COST = message("size.column_store_cost", "Store a year")
INTEREST = message("size.column_interest", "Interest a year")
COST = message("size.column_cost", "Cost a year")
HOLDS = message("size.column_holds", "Holds")
FILLINGS = message("size.column_fillings", "Fillings a day")
FILLINGS_COLDEST = message("size.column_fillings_coldest", "… in the coldest week")
NIGHTS_EMPTY = message("size.column_nights_empty", "Nights empty a winter")
MOSTLY_AT = message("size.column_mostly_at", "Mostly at")
COLDEST_WEEK = message("size.column_coldest_week", "Coldest week")
FLOOR = message("size.column_floor", "Floor")
WORKS = message("size.column_works", "Works")
WHAT = message("size.column_what", "What")
ANSWER = message("size.column_answer", "Answer")
GUIDANCE = message("size.column_guidance", "Guidance and its source")
SEEN = message("size.column_seen", "Seen")

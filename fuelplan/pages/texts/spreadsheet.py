"""Every text of the page on which a spreadsheet is brought in."""

from __future__ import annotations

TITLE = "Bring in a spreadsheet"
LEAD = (
    "Hand in a table with a line for each reading or delivery. You say what each column is, look at every "
    "row, "
    "and only then is anything written."
)
DEMO = "Tables are brought into a house of your own; the demo houses stay as they are."
INTO = "The table holds"
INTO_NAMES = {"deliveries": "deliveries", "readings": "readings of the store"}
FILE = "Table"
FILE_WHY = "CSV, .xlsx or .ods (its first sheet), up to 5 MB and 5,000 rows; the first line names columns."
COLUMNS_TITLE = "What each column is"
COLUMN_SEEN = "e.g. {cells}"
LEAVE_OUT = "leave out"
COLUMN_NAMES = {
    "date": "day of the reading",
    "reading": "what was in it",
    "how": "how it was read",
    "fuel": "fuel",
    "note": "note",
    "ordered_on": "ordered on",
    "due_from": "was to come from",
    "due_to": "was to come until",
    "ordered": "amount ordered",
    "delivered_on": "delivered on",
    "delivered": "amount delivered",
    "weighed": "weighed (yes or no)",
    "filled_full": "filled to the top (yes or no)",
    "outcome": "what came of it",
    "when": "time of day",
}
DATES = "Dates are written"
DATES_NAMES = {
    "year first": "year first: 2026-01-31",
    "day first": "day first: 31.1.2026",
    "month first": "month first: 1/31/2026",
}
DATES_ASK = "say which comes first"
DATES_READ = "{example} is read as {day}."
LETTERS = "Letters of the table"
LETTERS_AS = "{sample} ({name})"
DECIMAL = "Decimals are written"
DECIMAL_NAMES = {".": "with a point: 3.5", ",": "with a comma: 3,5"}
UNIT = "Numbers without a unit are"
UNIT_NONE = "none are without"
UNIT_NAMES = {"cm": "cm down from the top"}
PREVIEW_TITLE = "What would be written"
ROWS = "Rows in the table: {rows}."
COUNT = "To be written: {sound}. In the folder already: {known}. Cannot be read and stay out: {faulty}."
FAULTY_TITLE = "Rows that stay out"
FAULTY_HEAD = ("Row", "What is wrong")
PREVIEW_HEAD = ("Row",)
MORE = "… and {count} more rows like these."
WRITE = "Write into the folder ({count})"
WRITTEN = "Written into the folder: {count}. “Undo” below takes all of it out again at once."
"""Said on the page of the house, where the change can be taken back."""

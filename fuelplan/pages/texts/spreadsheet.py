"""Every text of the page on which a spreadsheet is brought in."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from fuelplan.messages import Day, Listed, Message, Own, message

TITLE = message("sheet.title", "Bring in a spreadsheet")
LEAD = message(
    "sheet.lead",
    "Hand in a table with a line for each reading or delivery. You say what each column is, look at "
    "every row, and only then is anything written.",
)
DEMO = message("sheet.demo", "Tables are brought into a house of your own; the demo houses stay as they are.")
INTO = message("sheet.into", "The table holds")
INTO_NAMES = {
    "deliveries": message("sheet.into_names_deliveries", "deliveries"),
    "readings": message("sheet.into_names_readings", "readings of the store"),
}
FILE = message("sheet.file", "Table")
FILE_WHY = message(
    "sheet.file_why",
    "CSV, .xlsx or .ods (its first sheet), up to 5 MB and 5,000 rows; the first line names columns.",
)
COLUMNS_TITLE = message("sheet.columns_title", "What each column is")


def column_seen(cells: Sequence[str]) -> Message:
    """Return what stands in a column."""
    return message(
        "sheet.column_seen", "e.g. {cells}", cells=Listed(tuple(Own(cell) for cell in cells), ", ")
    )


LEAVE_OUT = message("sheet.leave_out", "leave out")
COLUMN_NAMES = {
    "date": message("sheet.column_names_date", "day of the reading"),
    "reading": message("sheet.column_names_reading", "what was in it"),
    "how": message("sheet.column_names_how", "how it was read"),
    "fuel": message("sheet.column_names_fuel", "fuel"),
    "note": message("sheet.column_names_note", "note"),
    "ordered_on": message("sheet.column_names_ordered_on", "ordered on"),
    "due_from": message("sheet.column_names_due_from", "was to come from"),
    "due_to": message("sheet.column_names_due_to", "was to come until"),
    "ordered": message("sheet.column_names_ordered", "amount ordered"),
    "delivered_on": message("sheet.column_names_delivered_on", "delivered on"),
    "delivered": message("sheet.column_names_delivered", "amount delivered"),
    "weighed": message("sheet.column_names_weighed", "weighed (yes or no)"),
    "filled_full": message("sheet.column_names_filled_full", "filled to the top (yes or no)"),
    "outcome": message("sheet.column_names_outcome", "what came of it"),
    "when": message("sheet.column_names_when", "time of day"),
    "stack": message("sheet.column_names_stack", "stack of logs"),
    "wood": message("sheet.column_names_wood", "kind of wood"),
    "water": message("sheet.column_names_water", "water of logs"),
}


def of_column(column: Message, said: Message) -> Message:
    """Return what is said of a column."""
    return message("sheet.of_column", "{column}: {said}", column=column, said=said)


DATES = message("sheet.dates", "Dates are written")
DATES_NAMES = {
    "year first": message("sheet.dates_names_year_first", "year first: 2026-01-31"),
    "day first": message("sheet.dates_names_day_first", "day first: 31.1.2026"),
    "month first": message("sheet.dates_names_month_first", "month first: 1/31/2026"),
}
DATES_ASK = message("sheet.dates_ask", "say which comes first")


def dates_read(example: str, day: date) -> Message:
    """Return how a date is read."""
    return message(
        "sheet.dates_read", "{example} is read as {day}.", example=Own(example), day=Day(day, year=True)
    )


LETTERS = message("sheet.letters", "Letters of the table")


def letters_as(sample: str, name: str) -> Message:
    """Return how the letters of a table look in one encoding."""
    return message("sheet.letters_as", "{sample} ({name})", sample=Own(sample), name=Own(name))


DECIMAL = message("sheet.decimal", "Decimals are written")
DECIMAL_NAMES = {
    ".": message("sheet.decimal_point", "with a point: 3.5"),
    ",": message("sheet.decimal_comma", "with a comma: 3,5"),
}
UNIT = message("sheet.unit", "Numbers without a unit are")
UNIT_NONE = message("sheet.unit_none", "none are without")
UNIT_NAMES = {"cm": message("sheet.unit_names_cm", "cm down from the top")}
PREVIEW_TITLE = message("sheet.preview_title", "What would be written")


def rows(rows: int) -> Message:
    """Return how many rows a table has."""
    return message("sheet.rows", "Rows in the table: {rows}.", rows=rows)


def count(sound: int, known: int, faulty: int) -> Message:
    """Return what becomes of the rows."""
    return message(
        "sheet.count",
        "To be written: {sound}. In the folder already: {known}. Cannot be read and stay out: {faulty}.",
        sound=sound,
        known=known,
        faulty=faulty,
    )


FAULTY_TITLE = message("sheet.faulty_title", "Rows that stay out")
FAULTY_HEAD = (message("sheet.faulty_head_1", "Row"), message("sheet.faulty_head_2", "What is wrong"))
PREVIEW_HEAD = (message("sheet.preview_head_1", "Row"),)


def more(count: int) -> Message:
    """Return how many rows are not shown."""
    return message("sheet.more", "… and {count} more rows like these.", count=count)


def write(count: int) -> Message:
    """Return what the button does."""
    return message("sheet.write", "Write into the folder ({count})", count=count)


def written(count: int) -> Message:
    """Return how many rows were written."""
    return message(
        "sheet.written",
        "Written into the folder: {count}. “Undo” below takes all of it out again at once.",
        count=count,
    )


"""Said on the page of the house, where the change can be taken back."""

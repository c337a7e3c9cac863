"""What is said of the columns and rows of a weather file."""

from __future__ import annotations

from collections.abc import Iterable

from fuelplan.messages import Listed, Message, Own, counted_message, message


def more_faults(count: int) -> Message:
    """Return that there are so many faults besides those that are named."""
    return counted_message(
        "weather_file.more_faults",
        "and {n} more fault of this kind",
        "and {n} more faults of this kind",
        count,
    )


def names_said(names: Iterable[str]) -> Listed:
    """Return names of columns, as they are."""
    return Listed(tuple(map(Own, names)), ", ")


def unknown_key(known: Iterable[str]) -> Message:
    """Return that a key is none of the columns we know."""
    return message(
        "weather_file.unknown_column",
        "is no column we know; map one of {columns}",
        columns=names_said(known),
    )


def too_few_cells(count: int, needed: int, *, point: bool) -> Message:
    """Return that a row is too short; where numbers have a point, a decimal comma may be why."""
    if point:
        return message(
            "weather_file.too_few_cells_decimal_comma",
            "{count} cells where {needed} are needed (a decimal comma? write 3.5, or set decimal to a comma)",
            count=count,
            needed=needed,
        )
    return message(
        "weather_file.too_few_cells",
        "{count} cells where {needed} are needed",
        count=count,
        needed=needed,
    )


def unreadable_stamp(stamp: str, text: str) -> Message:
    """Return that a "date" or a "time" cannot be read."""
    if stamp == "time":
        return message(
            "weather_file.unreadable_time",
            '"{text}" is no time we can read; write 2026-01-31T14:00, or give its date format',
            text=Own(text),
        )
    return message(
        "weather_file.unreadable_date",
        '"{text}" is no date we can read; write 2026-01-31, or give its date format',
        text=Own(text),
    )

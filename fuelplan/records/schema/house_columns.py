"""What the columns of a house's files are: one place for reading, writing, importing and the page."""

from __future__ import annotations

from fuelplan.messages import message
from fuelplan.records.schema.columns import Column

OUTCOMES = ("", "delivered", "failed", "cancelled")
BEFORE, AFTER = "before delivery", "after delivery"
CHECKED = ("", "right", "wrong", "look again")
HOW = ("", "measured", "by eye", "estimated", "boiler counter", "heat meter")

HOUSE_FILES: dict[str, tuple[Column, ...]] = {
    "deliveries": (
        Column("fuel", "choice", "which fuel; empty: that of the bulk store"),
        Column("ordered_on", "date", "day of the order", "2025-10-08"),
        Column("due_from", "date", "first day promised", "2025-10-13"),
        Column("due_to", "date", "last day promised", "2025-10-17"),
        Column("ordered", "amount", "amount ordered", "4 t"),
        Column("delivered_on", "date", "day on which it came", "2025-10-15"),
        Column("delivered", "amount", "what the weigh note says", "3.96 t"),
        Column("weighed", "yes", "whether it was weighed; empty: yes", "yes"),
        Column("filled_full", "yes", "whether the store was full afterwards; empty: no", "no"),
        Column("outcome", "choice", "what became of an order", "delivered", choices=OUTCOMES),
        Column("note", "text", "anything"),
        Column("when", "clock", "time of day of the delivery", "10:30"),
        Column("stack", "text", "of logs: the stack they went to, by its name", "south wall"),
        Column("wood", "text", "of logs: kind of wood; empty: that of the stack", "beech"),
        Column("water", "text", 'of logs: their water, or "green"; empty: taken to be green', "18 % wet"),
    ),
    "readings": (
        Column(
            "date", "date", "day of the look", "2026-01-04", needed=True,
            unwritten=message("site.reading_without_date", "the date is missing, e.g. 2026-01-04"),
        ),
        Column("reading", "amount", "what was seen", "2.4 t"),
        Column("how", "choice", "how it was seen", "measured", choices=HOW),
        Column("fuel", "choice", "which fuel; empty: that of the bulk store"),
        Column("note", "text", "anything"),
        Column("when", "clock", "before or after the delivery of that day, or a time of day", "07:30",
               choices=(BEFORE, AFTER)),
        Column("checked", "choice", "what was answered about it", "right", choices=CHECKED),
        Column("stack", "text", "of logs: the stack that was counted, by its name", "south wall"),
        Column("water", "text", "of logs: water measured that day, in a freshly split face", "18 % wet"),
    ),
}  # fmt: skip
"""Columns of every table, by its name, which is also the name of its file."""

"""The rows of a house's tables, and what of a delivery contradicts itself."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from typing import Literal

from fuelplan import units
from fuelplan.heat.fuels import Moisture
from fuelplan.messages import Message, Own, message


@dataclass(frozen=True)
class DeliveryRow:
    """One row of `deliveries.csv`: an order, what came of it, or both. Ordered never stands for delivered."""

    line: int
    fuel: str
    ordered_on: date | None
    due_from: date | None
    due_to: date | None
    ordered: units.Amount | None
    delivered_on: date | None
    delivered: units.Amount | None
    weighed: bool
    filled_full: bool
    outcome: str
    note: str
    when: str = ""  # a clock time, "07:30", or empty
    stack: str = ""  # of logs: the name of the stack, as it was written
    wood: str = ""  # of logs: kind of wood, empty where nobody said
    water: Moisture | Literal["green"] | None = None  # of logs: when they came, None where nobody said
    ordered_said: str = ""  # the cells `ordered` and `delivered` as they were written
    delivered_said: str = ""


@dataclass(frozen=True)
class ReadingRow:
    """One row of `readings.csv`.

    `reading` is None for the words "empty" and "full", which `word` then holds; `side` says from where a mark
    in cm is
    measured: down from the ceiling ("top"), or up from the lowest floor. `when` is "before delivery", "after
    delivery", a clock time such as "07:30", or empty where nobody said; `checked` is what the person answered
    when
    asked about it: "right", "wrong" (taken back, but kept in the file), "look again", or empty.
    """

    line: int
    day: date
    reading: units.Amount | None
    word: str
    side: Literal["top", "bottom"]
    how: str
    fuel: str
    note: str
    when: str = ""
    checked: str = ""
    stack: str = ""  # of logs: the name of the stack, as it was written
    water: Moisture | None = None  # of logs: measured that day
    said: str = ""  # the cell `reading` as it was written


def delivery_sense(found: DeliveryRow, fault: Callable[[str, Message], None]) -> None:
    """Find what of a row contradicts itself."""
    if found.ordered_on is None and found.delivered_on is None:
        fault(
            "ordered_on",
            message(
                "site.row_without_date",
                "the row has no date; write when it was ordered or delivered, e.g. 2025-10-08",
            ),
        )
    if found.delivered_on is not None and found.delivered is None:
        fault(
            "delivered",
            message(
                "site.no_amount",
                "delivered_on has a date but the amount is missing; write what the weigh note says, "
                'e.g. "4.1 t"',
            ),
        )
    for column, amount in (("ordered", found.ordered), ("delivered", found.delivered)):
        if amount is not None and amount.value == 0:
            fault(
                column,
                message(
                    "site.nothing_came",
                    'nothing is no amount; for a tanker that could not unload write outcome "failed"',
                ),
            )
    if found.delivered is not None and found.delivered_on is None:
        fault(
            "delivered_on",
            message("site.no_day", "an amount was delivered but the date is missing, e.g. 2025-10-15"),
        )
    if found.ordered_on is not None and found.delivered_on is None and found.ordered is None:
        fault("ordered", message("site.order_without_amount", 'an order needs its amount, e.g. "4 t"'))
    if found.ordered_on and found.delivered_on and found.delivered_on < found.ordered_on:
        fault("delivered_on", _before_order(found.delivered_on, found.ordered_on))
    if found.due_from and found.due_to and found.due_to < found.due_from:
        fault(
            "due_to",
            message(
                "site.due_backwards", "{last} lies before due_from {first}", last=Own(str(found.due_to)),
                first=Own(str(found.due_from)),
            ),
        )  # fmt: skip
    if found.ordered_on and found.due_from and found.due_from < found.ordered_on:
        fault("due_from", _before_order(found.due_from, found.ordered_on))
    if found.ordered_on and found.due_to and found.due_to < found.ordered_on:
        fault("due_to", _before_order(found.due_to, found.ordered_on))
    _outcome_sense(found, fault)


def _before_order(day: date, ordered_on: date) -> Message:
    return message(
        "site.before_order", "{day} lies before the order of {ordered_on}",
        day=Own(str(day)), ordered_on=Own(str(ordered_on)),
    )  # fmt: skip


def _outcome_sense(found: DeliveryRow, fault: Callable[[str, Message], None]) -> None:
    """Find what contradicts itself: an outcome or a "full" that would have no effect."""
    if found.outcome in {"failed", "cancelled"} and found.delivered_on is not None:
        said = message(
            "site.did_not_come",
            "a {outcome} delivery has no delivered_on; leave both delivered columns empty",
            outcome=Own(found.outcome),
        )
        fault("outcome", said)
    if found.outcome == "delivered" and found.delivered_on is None:
        fault(
            "outcome",
            message(
                "site.came_without",
                "a delivery that came has its date and amount in delivered_on and delivered",
            ),
        )
    if found.filled_full and found.delivered_on is None:
        fault(
            "filled_full",
            message(
                "site.full_without",
                "only a delivery that came fills a store; write delivered_on and delivered",
            ),
        )
    if found.when and found.delivered_on is None:
        fault(
            "when",
            message(
                "site.time_without",
                "a time of day belongs to a delivery that came; write delivered_on and delivered",
            ),
        )

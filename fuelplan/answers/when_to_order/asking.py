"""The questions of an order answer: what only the person can tell, each with its reason and both figures."""

from __future__ import annotations

from fuelplan import units
from fuelplan.answers.beliefs import Belief
from fuelplan.answers.setting import Setting
from fuelplan.answers.when_to_order.on_order import OnOrder
from fuelplan.answers.when_to_order.questions import (
    ORDER_OVERDUE,
    READ_FIRST,
    READING_DISAGREES,
    SAME_DAY,
    Question,
    asked_delivery,
    asked_reading,
    question,
)
from fuelplan.learning import OpenDoubt
from fuelplan.records.site import DeliveryRow, ReadingRow

UNTIL = "Until you say, the dates follow the emptier of the two and the amounts fit the fuller."


def questions_of(
    setting: Setting, belief: Belief, placed: tuple[OnOrder, ...], unknown: str
) -> tuple[Question, ...]:
    """Return what is to be asked, the most pressing first.

    `unknown` says why nobody knows what lies in the store; empty where it is known well enough.
    """
    found, doubt = list[Question](), belief.posterior.doubt
    if belief.same_day_line:
        found.append(_same_day(setting, belief.same_day_line))
    elif doubt is not None:
        found.append(_disagrees(setting, doubt))
    found += [_overdue(setting, one) for one in placed if one.overdue]
    if unknown and not found:
        found.append(question(READ_FIRST, "Read your store first.", unknown, ()))
    return tuple(found)


def _disagrees(setting: Setting, doubt: OpenDoubt) -> Question:
    delivery = _delivery(setting, doubt.delivery_line)
    if doubt.line == 0:
        assert delivery is not None
        kg, level = units.show(doubt.delivery_kg, "mass"), units.show(doubt.expected_kg, "mass")
        holds = units.show(setting.store.capacity_kg(), "mass")
        text = (
            f"{kg} are booked as delivered on {units.show_date(doubt.day)}, on top of about {level} then in "
            f"store: more than the store of {holds} can hold. Look at the weigh note: has a delivery been "
            "entered twice? Then read the store."
        )
        return question(READ_FIRST, "Read your store first.", text, (asked_delivery(delivery),))
    row = _reading(setting, doubt.line)
    expected = units.show(doubt.expected_kg, "mass")
    weight = row.reading is not None and row.reading.measure == "kg"
    said = row.said if weight else f"{row.said}, about {units.show(doubt.read_kg, 'mass')}"
    what = "meter reading" if doubt.is_count else "level reading"
    day = units.show_date(doubt.day)
    if delivery is not None and delivery.delivered_on is not None:
        came = units.show(doubt.delivery_kg, "mass")
        text = (
            f"On {day} you read {said}, and {came} came on "
            f"{units.show_date(delivery.delivered_on)}: more than the store of "
            f"{units.show(setting.store.capacity_kg(), 'mass')} can hold. Is the reading right? {UNTIL}"
        )
        headline = (
            f"Your level reading of {day} and the delivery after it cannot both be right: which is wrong?"
        )
        return question(READING_DISAGREES, headline, text, (asked_reading(row), asked_delivery(delivery)))
    less = "less" if doubt.sds < 0 else "more"
    again = " You wanted to look again." if row.checked == "look again" else ""
    text = (
        f"Your {what} of {day} says {said}: much {less} than the {expected} expected from "
        f"what was read and delivered before it.{again} Is it right? {UNTIL}"
    )
    headline = f"Your {what} of {day} and what was expected disagree: which is wrong?"
    return question(READING_DISAGREES, headline, text, (asked_reading(row),))


def _same_day(setting: Setting, line: int) -> Question:
    row = _reading(setting, line)
    came = [
        r
        for r in setting.site.delivered(row.day)
        if r.fuel == setting.fuel.name and r.delivered_on == row.day
    ]
    day = units.show_date(row.day)
    text = (
        f"On {day} you read {row.said}, and the tanker came on the same day. Did you read before or after "
        f"it? {UNTIL}"
    )
    headline = f"Did you read the store before or after the tanker on {day}?"
    return question(SAME_DAY, headline, text, (asked_reading(row), *map(asked_delivery, came)))


def _overdue(setting: Setting, one: OnOrder) -> Question:
    ordered, due = units.show_date(one.ordered_on), units.show_date(one.due_to)
    amount = units.show(one.kg, "mass", digits=3)
    text = (
        f"The {amount} ordered on {ordered} should have come by {due} and are not booked as delivered. Have "
        "they come? If not, ask the supplier. Until you say, they are not counted on, and the amounts leave "
        "room for them."
    )
    headline = f"Has the order of {ordered} come? It was due by {due}."
    return question(ORDER_OVERDUE, headline, text, (asked_delivery(one.row),))


def _reading(setting: Setting, line: int) -> ReadingRow:
    return next(row for row in setting.site.readings if row.line == line)


def _delivery(setting: Setting, line: int) -> DeliveryRow | None:
    return next((row for row in setting.site.deliveries if row.line == line), None) if line else None

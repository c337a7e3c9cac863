"""The questions of an order answer: what only the person can tell, each with its reason and both figures."""

from __future__ import annotations

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
from fuelplan.messages import Day, Message, Own, Quantity, message, paragraph
from fuelplan.records.site import DeliveryRow, ReadingRow


def questions_of(
    setting: Setting, belief: Belief, placed: tuple[OnOrder, ...], unknown: Message | None
) -> tuple[Question, ...]:
    """Return what is to be asked, the most pressing first.

    `unknown` says why nobody knows what lies in the store; None where it is known well enough.
    """
    found, doubt = list[Question](), belief.posterior.doubt
    if belief.same_day_line:
        found.append(_same_day(setting, belief.same_day_line))
    elif doubt is not None:
        found.append(_disagrees(setting, doubt))
    found += [_overdue(setting, one) for one in placed if one.order.overdue]
    if unknown is not None and not found:
        found.append(question(READ_FIRST, _read_first(), unknown, ()))
    return tuple(found)


def _read_first() -> Message:
    return message("question.read_first", "Read your store first.")


def _until() -> Message:
    return message(
        "question.until_you_say",
        "Until you say, the dates follow the emptier of the two and the amounts fit the fuller.",
    )


def _disagrees(setting: Setting, doubt: OpenDoubt) -> Question:
    delivery = _delivery(setting, doubt.delivery_line)
    holds = Quantity(setting.store.capacity_kg(), "mass")
    if doubt.line == 0:
        assert delivery is not None
        text = message(
            "question.delivered_more_than_fits",
            "{delivered} are booked as delivered on {day}, on top of about {level} then in store: more than "
            "the store of {holds} can hold. Look at the weigh note: has a delivery been entered twice? Then "
            "read the store.",
            delivered=Quantity(doubt.delivery_kg, "mass"),
            day=Day(doubt.day),
            level=Quantity(doubt.expected_kg, "mass"),
            holds=holds,
        )
        return question(READ_FIRST, _read_first(), text, (asked_delivery(delivery),))
    row, day = _reading(setting, doubt.line), Day(doubt.day)
    if delivery is not None and delivery.delivered_on is not None:
        text = message(
            "question.read_and_delivered_more_than_fits",
            "On {day} you read {said}, and {delivered} came on {came}: more than the store of {holds} can "
            "hold. Is the reading right?",
            day=day,
            said=_said(row, doubt),
            delivered=Quantity(doubt.delivery_kg, "mass"),
            came=Day(delivery.delivered_on),
            holds=holds,
        )
        headline = message(
            "question.reading_or_delivery",
            "Your level reading of {day} and the delivery after it cannot both be right: which is wrong?",
            day=day,
        )
        return question(
            READING_DISAGREES,
            headline,
            paragraph([text, _until()]),
            (asked_reading(row), asked_delivery(delivery)),
        )
    said = [_unexpected(row, doubt)]
    if row.checked == "look again":
        said.append(message("question.wanted_to_look_again", "You wanted to look again."))
    said += [message("question.is_it_right", "Is it right?"), _until()]
    return question(READING_DISAGREES, _which_is_wrong(doubt), paragraph(said), (asked_reading(row),))


def _said(row: ReadingRow, doubt: OpenDoubt) -> Message | Own:
    """Return a reading in the person's words, and in kilograms where these are others."""
    if row.reading is not None and row.reading.measure == "kg":
        return Own(row.said)
    kg = Quantity(doubt.read_kg, "mass")
    return message("question.said_about", "{said}, about {amount}", said=Own(row.said), amount=kg)


def _unexpected(row: ReadingRow, doubt: OpenDoubt) -> Message:
    """Return what a reading says beside what was expected: a sentence for each kind and each way."""
    day, said, expected = Day(doubt.day), _said(row, doubt), Quantity(doubt.expected_kg, "mass")
    if doubt.is_count and doubt.sds < 0:
        return message(
            "question.meter_much_less",
            "Your meter reading of {day} says {said}: much less than the {expected} expected from what was "
            "read and delivered before it.",
            day=day,
            said=said,
            expected=expected,
        )
    if doubt.is_count:
        return message(
            "question.meter_much_more",
            "Your meter reading of {day} says {said}: much more than the {expected} expected from what was "
            "read and delivered before it.",
            day=day,
            said=said,
            expected=expected,
        )
    if doubt.sds < 0:
        return message(
            "question.level_much_less",
            "Your level reading of {day} says {said}: much less than the {expected} expected from what was "
            "read and delivered before it.",
            day=day,
            said=said,
            expected=expected,
        )
    return message(
        "question.level_much_more",
        "Your level reading of {day} says {said}: much more than the {expected} expected from what was read "
        "and delivered before it.",
        day=day,
        said=said,
        expected=expected,
    )


def _which_is_wrong(doubt: OpenDoubt) -> Message:
    day = Day(doubt.day)
    if doubt.is_count:
        return message(
            "question.meter_disagrees",
            "Your meter reading of {day} and what was expected disagree: which is wrong?",
            day=day,
        )
    return message(
        "question.level_disagrees",
        "Your level reading of {day} and what was expected disagree: which is wrong?",
        day=day,
    )


def _same_day(setting: Setting, line: int) -> Question:
    row = _reading(setting, line)
    came = [
        r
        for r in setting.site.delivered(row.day)
        if r.fuel == setting.fuel.name and r.delivered_on == row.day
    ]
    day = Day(row.day)
    text = message(
        "question.read_on_day_of_delivery",
        "On {day} you read {said}, and the tanker came on the same day. Did you read before or after it?",
        day=day,
        said=Own(row.said),
    )
    headline = message(
        "question.before_or_after", "Did you read the store before or after the tanker on {day}?", day=day
    )
    asked = (asked_reading(row), *map(asked_delivery, came))
    return question(SAME_DAY, headline, paragraph([text, _until()]), asked)


def _overdue(setting: Setting, one: OnOrder) -> Question:
    ordered, due = Day(one.order.ordered_on), Day(one.order.due_to)
    text = message(
        "question.overdue_text",
        "The {amount} ordered on {ordered} should have come by {due} and are not booked as delivered. Have "
        "they come? If not, ask the supplier. Until you say, they are not counted on, and the amounts leave "
        "room for them.",
        amount=Quantity(one.order.kg, "mass", 3),
        ordered=ordered,
        due=due,
    )
    headline = message(
        "question.overdue",
        "Has the order of {ordered} come? It was due by {due}.",
        ordered=ordered,
        due=due,
    )
    return question(ORDER_OVERDUE, headline, text, (asked_delivery(one.row),))


def _reading(setting: Setting, line: int) -> ReadingRow:
    return next(row for row in setting.site.readings if row.line == line)


def _delivery(setting: Setting, line: int) -> DeliveryRow | None:
    return next((row for row in setting.site.deliveries if row.line == line), None) if line else None

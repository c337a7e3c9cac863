"""The days of an order answer that belong into a calendar: what to do, on which days, in messages."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date

from fuelplan.answers.weather_of_site import INVENTED, invented_title
from fuelplan.answers.when_to_order.answer import OrderAnswer, ProposedOrder
from fuelplan.answers.when_to_order.questions import READ_FIRST
from fuelplan.answers.when_to_order.rows import amount as amount_of
from fuelplan.heat import fuels
from fuelplan.messages import Day, Message, as_message, message, paragraph

BOILER_OFF = message(
    "calendar.boiler_off",
    "Before filling: boiler off, as its manual says – not off, no filling. Ask the driver to write down the "
    "time. Keep children and pets away, keep doors and windows near the store shut while pellets are blown "
    "in, and never enter the store. The boiler's manual, the supplier's rules and local codes come first.",
)


@dataclass(frozen=True)
class CalendarEvent:
    """An all-day event from `first` to `last`, both included; `key` says what it is, for its identifier."""

    key: str
    first: date
    last: date
    title: Message
    text: Message
    remind: bool = False


def order_events(answer: OrderAnswer) -> tuple[CalendarEvent, ...]:
    """Return the events of an answer: orders on their way, last days to order, deliveries, and upkeep.

    Where the weather is invented every entry says so, in its title too.
    """
    events = _events(answer)
    if not answer.weather.invented:
        return events
    return tuple(
        replace(
            event,
            title=invented_title(event.title),
            text=paragraph([INVENTED, event.text]),
        )
        for event in events
    )


def _events(answer: OrderAnswer) -> tuple[CalendarEvent, ...]:
    events = []
    for number, placed in enumerate(answer.on_its_way, start=1):
        ordered = message("calendar.ordered_on", "Ordered on {day}.", day=Day(placed.ordered_on, year=True))
        title = message(
            "calendar.may_come",
            "{amount} of {fuel} may come: boiler off beforehand",
            amount=amount_of(placed.amount_kg),
            fuel=fuels.fuel(placed.fuel).word,
        )
        events.append(
            CalendarEvent(
                f"placed-{placed.fuel}-{placed.ordered_on.isoformat()}-{number}",
                placed.deliver_from,
                placed.deliver_to,
                title,
                paragraph([ordered, BOILER_OFF]),
            )
        )
    if answer.order is None:
        events += [
            CalendarEvent(READ_FIRST, answer.as_of, answer.as_of, question.headline, question.text)
            for question in answer.questions
            if question.code == READ_FIRST
        ]
    proposals = [answer.order] if answer.order else []
    for number, order in enumerate([*proposals, *answer.next_orders], start=1):
        events += _order_and_delivery(order, number, answer)
    return (*events, *_upkeep(answer))


def _upkeep(answer: OrderAnswer) -> Iterator[CalendarEvent]:
    for item in answer.upkeep:
        if item.kind != "question":
            text = paragraph(map(as_message, (item.text, *(c.text for c in item.cautions))))
            yield CalendarEvent(f"upkeep-{item.key}", item.day, item.day, item.title, text)


def _order_and_delivery(order: ProposedOrder, number: int, answer: OrderAnswer) -> Iterator[CalendarEvent]:
    amount, fuel = amount_of(order.amount_kg), fuels.fuel(order.fuel).word
    later = [] if number == 1 else [_later()]
    yield CalendarEvent(
        f"order-{order.fuel}-{number}",
        order.order_by,
        order.order_by,
        message(
            "calendar.last_day_to_order", "Last day to order {amount} of {fuel}", amount=amount, fuel=fuel
        ),
        paragraph([_worked_out(answer), *later, _look_again(), *_not_answered(answer)]),
        remind=True,
    )
    title = message(
        "calendar.may_come_if_ordered",
        "{amount} of {fuel} may come, if ordered by {day}: boiler off beforehand",
        amount=amount,
        fuel=fuel,
        day=Day(order.order_by),
    )
    yield CalendarEvent(
        f"delivery-{order.fuel}-{number}",
        order.deliver_from,
        order.deliver_to,
        title,
        paragraph([BOILER_OFF, *later]),
    )


def _worked_out(answer: OrderAnswer) -> Message:
    return message(
        "calendar.worked_out",
        "Worked out on {day} from {winters} past winters.",
        day=Day(answer.as_of, year=True),
        winters=answer.weather.winters,
    )


def _later() -> Message:
    return message("calendar.later_order", "A later order: its date will still move with the winter.")


def _look_again() -> Message:
    return message("calendar.look_again", "Look again before you order.")


def _not_answered(answer: OrderAnswer) -> list[Message]:
    return [
        message("calendar.not_answered", "Not answered yet: {question}", question=question.headline)
        for question in answer.questions
    ]

"""The decision of an order answer in one short sentence, for the page, the command line and whoever asks."""

from __future__ import annotations

from datetime import date, timedelta

from fuelplan.answers.weather_of_site import invented_headline
from fuelplan.answers.when_to_order.answer import OrderAnswer
from fuelplan.messages import Day, Message, Quantity, message, paragraph


def headline(answer: OrderAnswer) -> Message:
    """Return the decision in one short sentence; invented weather is said before it.

    Where only the person can tell something, that question follows; it stands alone where there is no order
    to name until it is answered.
    """
    said = []
    if answer.order is not None or not answer.questions:
        said.append(_decision(answer))
    said += [q.headline for q in answer.questions[:1]]
    return invented_headline(paragraph(said), answer.weather.invented)


def horizon_end(answer: OrderAnswer) -> date:
    """Return the last day that the answer looks at."""
    return answer.as_of + timedelta(days=answer.horizon_days)


def _decision(answer: OrderAnswer) -> Message:
    if answer.order is None and answer.on_its_way:
        placed = answer.on_its_way[0]
        return message(
            "order.headline_on_its_way",
            "{amount} on its way: {first} to {last}.",
            amount=Quantity(placed.amount_kg, "mass", 3),
            first=Day.relative(placed.deliver_from, answer.as_of),
            last=Day.relative(placed.deliver_to, answer.as_of),
        )
    if answer.order is None:
        end = Day(horizon_end(answer), year=True)
        return message("order.headline_nothing", "Nothing to order before {day}.", day=end)
    amount = Quantity(answer.order.amount_kg, "mass", 3)
    day = Day.relative(answer.order.order_by, answer.as_of)
    if answer.decision == "late":
        return message("order.headline_late", "Order {amount} today: it is late.", amount=amount)
    if answer.decision == "order":
        return message(
            "order.headline_now", "Order {amount} now, by {day} at the latest.", amount=amount, day=day
        )
    return message(
        "order.headline_wait", "Order {amount} by {day}. Nothing to do today.", amount=amount, day=day
    )

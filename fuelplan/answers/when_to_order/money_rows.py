"""Bills, ways of deciding and the cost of heat of an order answer, as rows for every face that lists them."""

from __future__ import annotations

from typing import TypeAlias

from fuelplan.answers.when_to_order.answer import HeatPrice, OrderAnswer, PolicyYear, WholeBill
from fuelplan.answers.when_to_order.rows import EMPTY, amount
from fuelplan.messages import Chance, Message, Money, Number, Own, Quantity, Value, message

Cells: TypeAlias = "tuple[Value | str, ...]"

WAYS_LEAD = message(
    "order.ways_lead",
    "A year under this plan, and under simple rules, on the same winters. Each knows the level as well as "
    "you do, and no better:",
)
WAYS_HEAD = (
    message("order.ways_way", "Way of deciding"),
    message("order.ways_cost", "Costs a year"),
    message("order.ways_more", "More than the plan"),
    message("order.ways_orders", "Orders a year"),
    EMPTY,
)
SHOWN_MONEY = 0.5  # money is shown whole
HEAT_TITLE = message("order.heat_title", "What a kilowatt-hour of heat costs")


def year_cost(answer: OrderAnswer) -> Message | None:
    """Return what the fuel of a year costs; None where no price is known."""
    cost = answer.cost
    if cost.year_p10 is None or cost.year_p90 is None:
        return None
    return message(
        "order.year_cost",
        "Fuel for the next twelve months: {low} to {high}, at today's price and its usual season.",
        low=Money(cost.year_p10, answer.currency),
        high=Money(cost.year_p90, answer.currency),
    )


def bill_head(bill: WholeBill) -> Message:
    """Return what stands over a bill."""
    return message("order.bill_head", "The bill for {amount}", amount=amount(bill.amount_kg))


def bill_rows(bill: WholeBill, currency: str) -> tuple[tuple[Message, Money], ...]:
    """Return the lines of a bill, its total, and what the same amount costs elsewhere."""
    if bill.supplier:
        total = message("order.bill_total", "In all, from {supplier}", supplier=Own(bill.supplier))
    else:
        total = message("order.bill_total_own_price", "In all, at the price in the folder")
    others = tuple(
        (message("order.bill_other", "The same from {supplier}", supplier=Own(name)), money)
        for name, money in bill.others
    )
    rows = (*bill.lines, (total, bill.total), *others)
    return tuple((said, Money(money, currency, whole=False)) for said, money in rows)


def way_rows(answer: OrderAnswer) -> tuple[Cells, ...]:
    """Return a row for each way of deciding: the plan first, then simple rules."""
    return tuple(
        (
            way.said,
            Money(way.cost, answer.currency),
            Money(way.more_than_plan, answer.currency) if i else "–",
            Number(way.orders, 1),
            Chance(way.empty_risk, answer.weather.draws),
        )
        for i, way in enumerate(answer.advice.policies if answer.advice else ())
    )


def way_notes(answer: OrderAnswer) -> tuple[Message, ...]:
    """Return why the plan is none of the ways of deciding that cost less."""
    if answer.advice is None:
        return ()
    cheaper = [way for way in answer.advice.policies if way.more_than_plan < -SHOWN_MONEY]
    return tuple(_why_not(way, answer) for way in cheaper)


def _why_not(way: PolicyYear, answer: OrderAnswer) -> Message:
    draws = answer.weather.draws
    if way.late_per_order <= answer.risk_limit:
        return message(
            "order.way_breaks_limit_today",
            "“{way}” would cost less, but what it does today breaks the risk limit.",
            way=way.said,
        )
    return message(
        "order.way_breaks_limit",
        "“{way}” would cost less, but more of its orders come too late: {late}; you accept {limit}.",
        way=way.said,
        late=Chance(way.late_per_order, draws),
        limit=Chance(answer.risk_limit, chosen=True),
    )


def heat_head(answer: OrderAnswer) -> Cells:
    """Return the head of the table of heat prices."""
    currency = Own(answer.heat_prices[0].currency)
    return (
        message("order.heat_fuel", "Fuel"),
        message("order.heat_cost", "{currency} for each kWh of heat", currency=currency),
        message("order.heat_co2", "CO₂"),
    )


def heat_rows(answer: OrderAnswer) -> tuple[Cells, ...]:
    """Return what a kilowatt-hour of heat costs with each fuel entered, and its CO₂."""
    return tuple(
        (
            Own(p.name),
            _per_kwh(p),
            "–" if p.co2_kg_per_kwh is None else Quantity.written(p.co2_kg_per_kwh, "kg", ".2f"),
        )
        for p in answer.heat_prices
    )


def _per_kwh(price: HeatPrice) -> Value:
    if price.high_per_kwh - price.low_per_kwh < 0.0005:
        return Number(price.per_kwh, 3)
    low, high = Number(price.low_per_kwh, 2), Number(price.high_per_kwh, 2)
    return message("order.heat_range", "{low} to {high}", low=low, high=high)


def heat_how(answer: OrderAnswer) -> Message:
    """Return where the figures of heat prices come from."""
    return message(
        "order.heat_how",
        "CO₂ by {source}. Logs measured by the pile are known to 15 % only, hence the range.",
        source=Own(answer.heat_prices[0].co2_source),
    )

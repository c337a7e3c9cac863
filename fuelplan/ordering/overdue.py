"""What it would change if orders that should have come had come, and were only not booked."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import timedelta

import numpy as np

from fuelplan.messages import Day, Listed, Message, message
from fuelplan.ordering.arrivals import Arrivals
from fuelplan.ordering.placed import OpenOrder
from fuelplan.ordering.safe_plan import OrderRules, SafePlan, make_plan
from fuelplan.ordering.stock import DrawnStock


def had_they_come(
    rules: OrderRules, draws: DrawnStock, open_orders: Sequence[OpenOrder], coming: Arrivals, safe: SafePlan
) -> tuple[Message, ...]:
    """Say, of orders that are overdue, until when the next could wait had they come unbooked: overnight, when
    they are no longer counted on, the date leaps from the one to the other.

    Parameters
    ----------
    safe
        The plan of the same rules and orders, which does not count on them.
    """
    late = [p for p in safe.placed if p.arrival is None]
    if not late or not safe.orders:
        return ()
    level = np.minimum(draws.level_kg + sum(p.amount_kg for p in late), rules.most_kg)
    came = make_plan(rules, replace(draws, level_kg=level), open_orders, coming, only_first=True)
    orders = Listed(tuple(Day(p.ordered_on) for p in late), " and that of ")
    now = Day.relative(safe.orders[0].order_by, coming.as_of)
    if came.orders:
        return (
            message(
                "order.overdue_came_next_can_wait",
                "If the order of {orders} came and is only not booked, the next can wait until {until}. "
                "Until you say so, the date is {now}.",
                orders=orders,
                until=Day.relative(came.orders[0].order_by, coming.as_of),
                now=now,
            ),
        )
    return (
        message(
            "order.overdue_came_none_needed",
            "If the order of {orders} came and is only not booked, no order is needed before {end}. Until "
            "you say so, the date is {now}.",
            orders=orders,
            end=Day(coming.as_of + timedelta(days=draws.demand_kg.shape[1]), year=True),
            now=now,
        ),
    )

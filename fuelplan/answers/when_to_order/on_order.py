"""Orders on their way and those that should have come: one list for the plan and for the question."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from fuelplan.answers.setting import Setting
from fuelplan.ordering import Placed, order_state
from fuelplan.records.site import DeliveryRow


@dataclass(frozen=True)
class OnOrder:
    """An open order for the bulk store with the days it is due; `overdue` where they are past."""

    row: DeliveryRow
    ordered_on: date
    kg: float
    due_from: date
    due_to: date
    overdue: bool


def on_order(setting: Setting) -> tuple[OnOrder, ...]:
    """Return the open orders for the bulk store; due days that nobody wrote follow from the lead time."""
    found = []
    low, high = setting.lead_time.min_days, setting.lead_time.max_days
    for row in setting.site.on_order(setting.as_of):
        if row.fuel != setting.fuel.name or row.ordered is None or row.ordered_on is None:
            continue
        due_from = row.due_from or setting.calendar.add(row.ordered_on, low)
        due_to = row.due_to or max(due_from, setting.calendar.add(row.ordered_on, high))
        due_from, kg = min(due_from, due_to), setting.fuel.amount_kg(row.ordered, setting.material)
        state = order_state(Placed(kg, row.ordered_on, due_from, due_to), setting.as_of)
        found.append(OnOrder(row, row.ordered_on, kg, due_from, due_to, state.kind == "overdue"))
    return tuple(found)

"""Orders on their way and those that should have come: one list for the plan and for the question."""

from __future__ import annotations

from dataclasses import dataclass

from fuelplan.answers.setting import Setting
from fuelplan.ordering import OpenOrder, open_order
from fuelplan.records.site import DeliveryRow


@dataclass(frozen=True)
class OnOrder:
    """An open order for the bulk store, and its row in the folder."""

    row: DeliveryRow
    order: OpenOrder


def on_order(setting: Setting) -> tuple[OnOrder, ...]:
    """Return the open orders for the bulk store."""
    found = []
    for row in setting.site.on_order(setting.as_of):
        if row.fuel != setting.fuel.name or row.ordered is None or row.ordered_on is None:
            continue
        kg, due = setting.fuel.amount_kg(row.ordered, setting.material), (row.due_from, row.due_to)
        placed = open_order(kg, row.ordered_on, due, setting.lead_time, setting.calendar, setting.as_of)
        found.append(OnOrder(row, placed))
    return tuple(found)

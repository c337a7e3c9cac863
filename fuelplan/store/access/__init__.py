"""Is the place fit for delivery, and what the guidance asks of the store: lines answered met, not met or
ask."""

from fuelplan.store.access.delivery import DeliveryPlace, fit_for_delivery
from fuelplan.store.access.lines import AccessError, AccessLine, Answer, open_questions
from fuelplan.store.access.venting import FireThreshold, Ventilation, cleaning_line, fire_line, ventilation

__all__ = [
    "AccessError",
    "AccessLine",
    "Answer",
    "DeliveryPlace",
    "FireThreshold",
    "Ventilation",
    "cleaning_line",
    "fire_line",
    "fit_for_delivery",
    "open_questions",
    "ventilation",
]

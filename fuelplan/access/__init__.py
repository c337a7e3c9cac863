"""Is the place fit for delivery, and what the guidance asks of the store: lines answered met, not met or
ask."""

from .delivery import Place, fit_for_delivery
from .lines import AccessError, Answer, Line, open_questions
from .venting import FireThreshold, Ventilation, cleaning_line, fire_line, ventilation

__all__ = [
    "AccessError",
    "Answer",
    "FireThreshold",
    "Line",
    "Place",
    "Ventilation",
    "cleaning_line",
    "fire_line",
    "fit_for_delivery",
    "open_questions",
    "ventilation",
]

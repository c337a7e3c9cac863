"""Orders that were placed and are not booked as delivered: under way, or overdue."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from fuelplan.messages import Day, Refusal, message
from fuelplan.ordering.lead_time import LeadTime
from fuelplan.units import WorkingDays


class OrderError(Refusal):
    """An order that cannot be."""


@dataclass(frozen=True)
class OpenOrder:
    """An order that was placed: what, when, and between which days it is due; `overdue` once these are past.

    One that is overdue is not counted on: ordered never stands for delivered. [kg]
    """

    kg: float
    ordered_on: date
    due_from: date
    due_to: date
    overdue: bool


def open_order(
    kg: float,
    ordered_on: date,
    due: tuple[date | None, date | None],
    lead: LeadTime,
    calendar: WorkingDays,
    as_of: date,
) -> OpenOrder:
    """Return an order that was placed as it stands on the evening of `as_of`.

    Parameters
    ----------
    kg
        What was ordered. [kg]
    due
        First and last day on which it should come; one that nobody wrote follows from the lead time.
    lead, calendar
        How long the supplier takes, and the working days of the place.

    Raises
    ------
    OrderError
        The order is due before it was placed.
    """
    due_from = due[0] or calendar.add(ordered_on, lead.min_days)
    due_to = due[1] or max(due_from, calendar.add(ordered_on, lead.max_days))
    due_from = min(due_from, due_to)
    if due_from < ordered_on:
        raise OrderError(
            message(
                "placed.due_before_ordered",
                "an order of {ordered} cannot be expected from {first} to {last}: write the days in their "
                "order",
                ordered=Day(ordered_on, year=True),
                first=Day(due_from, year=True),
                last=Day(due_to, year=True),
            )
        )
    return OpenOrder(kg, ordered_on, due_from, due_to, as_of > due_to)

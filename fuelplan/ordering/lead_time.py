"""How long the supplier takes: working days that depend on the month and on the cold of the past week."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Protocol

import numpy as np
from numpy.typing import ArrayLike, NDArray

from fuelplan.messages import Day, Message, Refusal, message

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Dates = NDArray[np.datetime64]


class LeadTimeError(Refusal):
    """A lead time that cannot be."""


class Calendar(Protocol):
    """Working days of a place, e.g. :class:`fuelplan.units.working_days.WorkingDays`."""

    def add_array(self, days: Dates, n: Ints) -> Dates:
        """Return the n-th working day after each day."""
        ...


@dataclass(frozen=True)
class LeadTime:
    """From the order to the delivery.

    Attributes
    ----------
    min_days, max_days
        Working days in usual weeks; every number between them is as likely as another. [working days]
    by_month
        Further working days for orders placed in each month, January first. [working days]
    days_per_k, cold_below_c
        Further working days for every kelvin by which the mean of the past week is below `cold_below_c`: in a
        cold spell everybody orders. [working days/K, degC]
    most_extra_days
        Most that a cold spell adds. [working days]
    delivery_weekdays
        Weekdays on which the lorry comes this way, Monday is 0.
    """

    min_days: int
    max_days: int
    by_month: tuple[int, ...] = (0,) * 12
    days_per_k: float = 0.0
    cold_below_c: float = 0.0
    most_extra_days: int = 15
    delivery_weekdays: tuple[int, ...] = (0, 1, 2, 3, 4)

    def __post_init__(self) -> None:
        """Refuse what no supplier could mean."""
        wrong = self._wrong()
        if wrong is not None:
            raise LeadTimeError(wrong)

    def _wrong(self) -> Message | None:
        if not 0 <= self.min_days <= self.max_days:
            return message(
                "lead_time.backwards",
                "a lead time runs from the shortest to the longest, e.g. 3 to 8 working days, not {low} to "
                "{high}",
                low=self.min_days,
                high=self.max_days,
            )
        if len(self.by_month) != 12:
            return message(
                "lead_time.twelve_months",
                "by_month needs twelve numbers, January first, not {numbers}",
                numbers=len(self.by_month),
            )
        if self.min_days + min(self.by_month) < 0:
            return message(
                "lead_time.below_nothing", "a month may not shorten the lead time to less than nothing"
            )
        if self.days_per_k < 0 or self.most_extra_days < 0:
            return message(
                "lead_time.cold_shortens",
                "cold cannot shorten the lead time; write days_per_k as zero or more",
            )
        if not self.delivery_weekdays or not set(self.delivery_weekdays) <= set(range(7)):
            return message(
                "lead_time.weekdays", "at least one weekday of delivery is needed, Monday 0 to Sunday 6"
            )
        return None

    def working_days(self, order_day: ArrayLike, week_mean_c: ArrayLike, u: ArrayLike) -> Ints:
        """Return the working days until delivery for uniform draws `u` in [0, 1).

        Parameters
        ----------
        order_day
            datetime64 of any shape.
        week_mean_c
            Mean temperature of the seven days before the order; shapes broadcast. [degC]
        """
        day = np.asarray(order_day, dtype="datetime64[D]")
        month = day.astype("datetime64[M]").astype(np.int64) % 12
        span = self.max_days - self.min_days + 1
        base = self.min_days + np.floor(np.asarray(u, float) * span).astype(np.int64)
        kelvin = np.maximum(0.0, self.cold_below_c - np.asarray(week_mean_c, float))
        cold = np.minimum(self.most_extra_days, np.rint(self.days_per_k * kelvin)).astype(np.int64)
        out: Ints = base + np.asarray(self.by_month, dtype=np.int64)[month] + cold
        return out

    def arrival(
        self, order_day: ArrayLike, week_mean_c: ArrayLike, calendar: Calendar, u: ArrayLike
    ) -> Dates:
        """Return the delivery days: the working days counted, then the next weekday of delivery.

        Shapes broadcast as in :meth:`working_days`. Never on the day of the order itself.
        """
        n = np.maximum(1, self.working_days(order_day, week_mean_c, u))
        day = np.broadcast_to(np.asarray(order_day, dtype="datetime64[D]"), n.shape)
        arrival = np.array(calendar.add_array(day.ravel(), n.ravel()), dtype="datetime64[D]")
        for _ in range(60):
            off = ~np.isin(
                (arrival.astype(np.int64) + 3) % 7, self.delivery_weekdays
            )  # 1970-01-01 was a Thursday
            if not off.any():
                return arrival.reshape(n.shape)
            arrival[off] = calendar.add_array(arrival[off], np.ones(int(off.sum()), dtype=np.int64))
        raise LeadTimeError(
            message(
                "lead_time.never_a_working_day",
                "the supplier's weekdays are never working days; correct the delivery days",
            )
        )


def arrival_within(
    first_day: date, deliver_from: date, deliver_until: date, calendar: Calendar, u: Floats
) -> Ints:
    """Return the day index of a delivery promised for some weeks: any working day of them, (draws,).

    Day 0 is `first_day`; a window that has begun counts from day 1.

    Parameters
    ----------
    deliver_from, deliver_until
        First and last day of the weeks that were promised.
    u
        Shape (draws,): which of the working days, as a number in [0, 1).

    Raises
    ------
    LeadTimeError
        The weeks are over, or hold no working day.
    """
    start = np.datetime64(first_day, "D")
    first = max(np.datetime64(deliver_from, "D"), start + 1)
    last = np.datetime64(deliver_until, "D")
    if last < first:
        raise LeadTimeError(
            message(
                "lead_time.weeks_over",
                "the delivery weeks of the offer ended on {day}: ask for new ones",
                day=Day(deliver_until, year=True),
            )
        )
    days = np.arange(first - 1, last)
    following = np.unique(calendar.add_array(days, np.ones(len(days), dtype=np.int64)))
    working = following[following <= last]
    if not len(working):
        raise LeadTimeError(
            message(
                "lead_time.no_working_day",
                "there is no working day from {first} to {last}",
                first=Day(deliver_from, year=True),
                last=Day(deliver_until, year=True),
            )
        )
    out: Ints = (working[np.floor(u * len(working)).astype(np.int64)] - start).astype(np.int64)
    return out

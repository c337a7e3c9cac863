"""When an order placed on a day arrives, in every draw: working days, month, the cold of the past week."""

from __future__ import annotations

from datetime import date, timedelta

import numpy as np
from numpy.typing import NDArray

from fuelplan.ordering.lead_time import LeadTime, arrival_within
from fuelplan.units import WorkingDays

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]


class Arrivals:
    """Arrival columns of orders; column 0 is the day after `as_of`, order days count from `as_of`.

    Parameters
    ----------
    as_of
        Evening on which is asked.
    lead, calendar
        How long the supplier takes, and the working days where the house stands.
    mean_c, record_c
        Weather of the draws from the day after on, shape (draws, days), and what was known before, shape
        (days,). [degC]
    u
        Shape (draws,): a number between 0 and 1 for each draw, since a slow supplier is slow for all its
        orders.
    """

    def __init__(
        self,
        as_of: date,
        lead: LeadTime,
        calendar: WorkingDays,
        mean_c: Floats,
        record_c: Floats,
        u: Floats,
    ) -> None:
        """Keep what the days of arrival follow from."""
        self.as_of, self.lead, self.calendar, self.u = as_of, lead, calendar, u
        self.mean_c, self.before_c = mean_c, _known_week(record_c)
        self._running: Floats | None = None
        self._found: dict[int, Ints] = {}

    @property
    def days(self) -> int:
        """Days of the paths."""
        return int(self.mean_c.shape[1])

    def of(self, order_day: int) -> Ints:
        """Return the arrival column in every draw, shape (draws,)."""
        if order_day not in self._found:
            placed = self.as_of + timedelta(days=order_day)
            week_c = self._past_week_c(order_day)
            came = self.lead.arrival(np.datetime64(placed, "D"), week_c, self.calendar, self.u)
            column = (came - np.datetime64(self.as_of, "D")).astype(np.int64) - 1
            self._found[order_day] = np.maximum(column, 0)
        return self._found[order_day]

    def _past_week_c(self, order_day: int) -> Floats:
        """Return the mean of the seven days up to the evening of the order, shape (draws,): nothing later is
        seen. [degC]
        """
        if self.lead.days_per_k == 0:
            return np.zeros(len(self.u))  # the cold of the week does not count at this supplier
        if self._running is None:
            head = np.broadcast_to(self.before_c, (len(self.u), 7))
            self._running = np.cumsum(
                np.concatenate([np.zeros((len(self.u), 1)), head, self.mean_c], axis=1), axis=1
            )
        return np.asarray((self._running[:, order_day + 7] - self._running[:, order_day]) / 7)

    def window(self, order_day: int) -> tuple[date, date]:
        """Return the days between which the delivery comes, 98 draws in 100."""
        low, high = self.span(order_day)
        return self.as_of + timedelta(days=1 + low), self.as_of + timedelta(days=1 + high)

    def promised(self, first: date, last: date) -> Ints:
        """Return the arrival column in every draw of an order due on a working day between two days; where
        there is none, on the last of them.
        """
        days = self.calendar.between(first, last)
        if len(days) == 0:
            days = np.array([last], dtype="datetime64[D]")
        came = days[np.floor(self.u * len(days)).astype(np.int64)]
        return np.asarray((came - np.datetime64(self.as_of, "D")).astype(np.int64) - 1)

    def within(self, first: date, last: date) -> Ints:
        """Return the arrival column in every draw for a delivery promised between two days."""
        start = self.as_of + timedelta(days=1)
        return np.maximum(arrival_within(start, first, last, self.calendar, self.u), 0)

    def earliest(self, order_day: int) -> int:
        """Column of the earliest arrival."""
        return int(self.of(order_day).min())

    def span(self, order_day: int) -> tuple[int, int]:
        """Columns between which the delivery comes, 98 draws in 100."""
        low, high = np.quantile(self.of(order_day), (0.01, 0.99), method="inverted_cdf")
        return int(low), int(high)


def _known_week(record_c: Floats) -> Floats:
    """Return the last seven known daily means, shape (7,); a shorter record repeats its first day."""
    week = record_c[-7:]
    return np.concatenate([np.repeat(week[:1], 7 - len(week)), week])

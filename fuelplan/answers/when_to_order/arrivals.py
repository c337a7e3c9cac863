"""When an order placed on a day arrives, in every draw: working days, month, the cold of the past week."""

from __future__ import annotations

from datetime import date, timedelta

import numpy as np
from numpy.typing import NDArray

from fuelplan.answers.draws import DRAWN, StockDraws
from fuelplan.answers.setting import Setting
from fuelplan.ordering import arrival_within

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]


class Arrivals:
    """Arrival columns of orders; column 0 is the day after `as_of`, order days count from `as_of`."""

    def __init__(
        self, setting: Setting, draws: StockDraws, record_c: Floats, rng: np.random.Generator
    ) -> None:
        """Keep one number between 0 and 1 for each draw: a slow supplier is slow for all its orders."""
        self.setting, self.lead = setting, setting.lead_time
        self.mean_c, self.before_c = draws.mean_c, _known_week(record_c)
        self._running: Floats | None = None
        self.u = rng.random(draws.count) if draws.lot is None else rng.random(DRAWN)[draws.lot]
        self._found: dict[int, Ints] = {}

    @property
    def days(self) -> int:
        """Days of the paths."""
        return int(self.mean_c.shape[1])

    def of(self, order_day: int) -> Ints:
        """Return the arrival column in every draw, shape (draws,)."""
        if order_day not in self._found:
            placed = self.setting.as_of + timedelta(days=order_day)
            week_c = self._past_week_c(order_day)
            came = self.lead.arrival(np.datetime64(placed, "D"), week_c, self.setting.calendar, self.u)
            column = (came - np.datetime64(self.setting.as_of, "D")).astype(np.int64) - 1
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

    def within(self, first: date, last: date) -> Ints:
        """Return the arrival column in every draw for a delivery promised between two days."""
        start = self.setting.as_of + timedelta(days=1)
        return np.maximum(arrival_within(start, first, last, self.setting.calendar, self.u), 0)

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

"""By when a tanker must come to each customer: for outlook, runs, pages and sheets alike."""

from __future__ import annotations

from datetime import date, timedelta

import numpy as np
from numpy.typing import NDArray

from fuelplan.answers.who_is_due.beliefs import Beliefs
from fuelplan.dispatch.outlook import BEYOND_DAYS, LevelTable, last_day_in_time, last_safe_day
from fuelplan.records.round import Round, working_days_of

Bools = NDArray[np.bool_]
Dates = NDArray[np.datetime64]
Ints = NDArray[np.int64]


def deliver_by(round_: Round, as_of: date, days: int, last: Ints) -> tuple[Dates, Bools]:
    """Return the last day up to day `last` on which a tanker drives and the customer takes fuel, and for whom
    that is past; see :func:`fuelplan.dispatch.outlook.last_day_in_time`.
    """
    ends = as_of + timedelta(days=days + BEYOND_DAYS)
    open_days = working_days_of(round_.table).between(as_of + timedelta(days=1), ends)
    c = round_.customers
    return last_day_in_time(as_of, last, open_days, c.weekdays, c.left_on)


def deliver_by_levels(beliefs: Beliefs, levels: LevelTable) -> Dates:
    """Return the same from a planner's compact levels: for winters played again, evening after evening."""
    last = last_safe_day(levels, beliefs.store.reserve_kg, beliefs.round.table.rules.risk)
    return deliver_by(beliefs.round, beliefs.as_of, levels.mean_kg.shape[1] - 1, last)[0]


def planned_until(round_: Round, as_of: date) -> date:
    """Return the last of the working days that are planned ahead."""
    return working_days_of(round_.table).add(as_of, round_.table.rules.horizon_days)

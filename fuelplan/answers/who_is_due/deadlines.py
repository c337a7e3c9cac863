"""By when a tanker must come to each customer: worked out here alone, for outlook, runs, pages and sheets."""

from __future__ import annotations

from datetime import date, timedelta

import numpy as np
from numpy.typing import NDArray

from fuelplan.answers.who_is_due.beliefs import Beliefs
from fuelplan.dispatch.outlook import LevelTable, deliver_by_day
from fuelplan.records.round import Round, working_days_of

Bools = NDArray[np.bool_]
Dates = NDArray[np.datetime64]
Ints = NDArray[np.int64]

AHEAD_DAYS = 90
"""Days that deadlines are looked for in, however far ahead somebody looks: the winters, and with them the
chances, depend on how many days are looked at, and a deadline is one."""


def deliver_by(round_: Round, as_of: date, days: int, last: Ints) -> tuple[Dates, Bools]:
    """Return the last day up to day `last` on which a tanker drives and the customer takes fuel.

    Where there is none after today, the first such day, and True: the chance of a level below the reserve is
    past the limit before a tanker can be there. `last` is −1 beyond the `days` looked ahead. A customer who
    leaves before has none.
    """
    calendar, c = working_days_of(round_.table), round_.customers
    open_days = calendar.between(as_of + timedelta(days=1), as_of + timedelta(days=days + 14))
    weekday = (open_days.astype("datetime64[D]").view("int64") + 3) % 7  # 1970-01-01 was a Thursday
    patterns, which = np.unique(c.weekdays, axis=0, return_inverse=True)
    found = np.full(len(last), np.datetime64("NaT", "D"))
    overdue = np.zeros(len(last), bool)
    until = np.datetime64(as_of, "D") + last
    for p, pattern in enumerate(patterns):
        mine = (which.ravel() == p) & (last >= 0)
        taken = open_days[pattern[weekday]] if pattern.any() else open_days
        if not mine.any() or not len(taken):
            continue
        at = np.searchsorted(taken, until[mine], side="right") - 1
        overdue[mine] = at < 0
        found[mine] = taken[np.maximum(at, 0)]
    leaves = np.where(np.isnat(c.left_on), np.datetime64("9999-12-31", "D"), c.left_on)
    gone = (found > leaves) | (until > leaves)
    found[gone] = np.datetime64("NaT", "D")
    return found, overdue & ~gone


def deliver_by_levels(beliefs: Beliefs, levels: LevelTable) -> Dates:
    """Return the same from a planner's compact levels: for winters played again, evening after evening."""
    reserve = np.repeat(beliefs.store.reserve_kg[:, None], levels.mean_kg.shape[1], axis=1)
    chance = np.maximum.accumulate(levels.chance_below(reserve), axis=1).astype(np.float32)
    last = deliver_by_day(chance, beliefs.round.table.rules.risk)
    return deliver_by(beliefs.round, beliefs.as_of, levels.mean_kg.shape[1] - 1, last)[0]


def planned_until(round_: Round, as_of: date) -> date:
    """Return the last of the working days that are planned ahead."""
    return working_days_of(round_.table).add(as_of, round_.table.rules.horizon_days)

"""By when a tanker must come to each customer: the last day on which it drives there in time."""

from __future__ import annotations

from datetime import date

import numpy as np
from numpy.typing import NDArray

from fuelplan.dispatch.outlook.levels import LevelTable, deliver_by_day

Bools = NDArray[np.bool_]
Dates = NDArray[np.datetime64]
Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

AHEAD_DAYS = 90
"""Days that deadlines are looked for in, however far ahead somebody looks: the winters, and with them the
chances, depend on how many days are looked at, and a deadline is one."""

BEYOND_DAYS = 14
"""Days beyond the last one looked at for which working days are needed."""

_NEVER = np.datetime64("9999-12-31", "D")


def last_day_in_time(
    as_of: date, last: Ints, open_days: Dates, weekdays: Bools, left_on: Dates
) -> tuple[Dates, Bools]:
    """Return the last day up to day `last` on which a tanker drives and the customer takes fuel.

    Where there is none after today, the first such day, and True: the chance of a level below the reserve is
    past the limit before a tanker can be there. A customer who leaves before has none.

    Parameters
    ----------
    last
        Shape (N,), days after `as_of`; −1 beyond the days looked ahead.
    open_days
        Days on which tankers drive, rising, from the day after `as_of` to `BEYOND_DAYS` after the last one
        looked at.
    weekdays
        Shape (N, 7), Monday first: when each takes fuel; one without any takes it on every day.
    left_on
        Shape (N,), last day on which each is served, NaT for those who stay.
    """
    weekday = (open_days.astype("datetime64[D]").view("int64") + 3) % 7  # 1970-01-01 was a Thursday
    patterns, which = np.unique(weekdays, axis=0, return_inverse=True)
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
    leaves = np.where(np.isnat(left_on), _NEVER, left_on)
    gone = (found > leaves) | (until > leaves)
    found[gone] = np.datetime64("NaT", "D")
    return found, overdue & ~gone


def last_safe_day(levels: LevelTable, reserve_kg: Floats, risk: float) -> Ints:
    """Return the day up to which the chance of having been below the reserve stays within a limit.

    For winters played again, evening after evening.

    Parameters
    ----------
    reserve_kg
        Shape (N,). [kg]
    risk
        The accepted chance, above 0 and below 1.

    Returns
    -------
    Ints
        Shape (N,), days after the levels' own evening; −1 beyond the days that they look ahead.
    """
    reserve = np.repeat(reserve_kg[:, None], levels.mean_kg.shape[1], axis=1)
    chance = np.maximum.accumulate(levels.chance_below(reserve), axis=1).astype(np.float32)
    return deliver_by_day(chance, risk)

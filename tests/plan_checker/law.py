"""What the law asks of a driver's day, and what the round's own keys ask beyond it.

Regulation (EC) No 561/2006 and Directive 2002/15/EC; the figures are from memory. A round may be stricter; it
cannot allow more than the law.
"""

from __future__ import annotations

from dataclasses import dataclass

from tests.plan_checker import quantities as q
from tests.plan_checker.folder import Folder

DRIVING_BEFORE_BREAK_H = 4.5
"""561/2006, Article 7: after at most four and a half hours of driving a break is due."""

BREAK_H, FIRST_PART_H, SECOND_PART_H = 0.75, 0.25, 0.5
"""561/2006, Article 7: 45 minutes without a stop, or at least 15 and later at least 30."""

DRIVING_A_DAY_H, LONG_DRIVING_A_DAY_H, LONG_DAYS_A_WEEK = 9.0, 10.0, 2
"""561/2006, Article 6 (1): nine hours of driving a day, ten not more than twice a week."""

DRIVING_A_WEEK_H, DRIVING_A_FORTNIGHT_H = 56.0, 90.0
"""561/2006, Article 6 (2) and (3)."""

REST_H, SHORT_REST_H, SHORT_RESTS_A_WEEK = 11.0, 9.0, 3
"""561/2006, Articles 4 (g) and 8: eleven hours of rest a day, nine at most three times a week."""

WORK_BEFORE_BREAK_H = 6.0
"""2002/15/EC, Article 5: no more than six hours of work in one piece."""

LEAST_BREAK_H = 0.25
"""2002/15/EC, Article 5 (2): breaks may be divided into pieces of at least 15 minutes."""

WORK_BREAK_H, LONG_WORK_H, LONG_WORK_BREAK_H = 0.5, 9.0, 0.75
"""2002/15/EC, Article 5 (1): 30 minutes in all with six to nine hours of work, 45 with more than nine."""

WORK_A_WEEK_H = 60.0
"""2002/15/EC, Article 4: no more than sixty hours of work in a week."""


@dataclass(frozen=True)
class Limits:
    """What one driver's day must keep to: the stricter of the law and the round's `[driver]`. Hours."""

    shift_start_h: float
    latest_end_h: float
    hours_a_day: float
    overtime_h: float
    driving_a_day_h: float
    driving_before_break_h: float
    break_h: float
    work_before_break_h: float
    work_break_h: float


def limits_of(folder: Folder) -> Limits:
    """Return the limits of a round's drivers; the defaults are those of the reference page."""
    own = folder.driver
    return Limits(
        shift_start_h=q.clock(own.get("shift_start", "06:30")),
        latest_end_h=q.clock(own.get("latest_end", "17:30")),
        hours_a_day=q.hours(own.get("hours_a_day", 9.0)),
        overtime_h=q.hours(own.get("overtime", 1.0)),
        driving_a_day_h=min(q.hours(own.get("driving_a_day", 9.0)), LONG_DRIVING_A_DAY_H),
        driving_before_break_h=min(q.hours(own.get("driving_before_break", 4.5)), DRIVING_BEFORE_BREAK_H),
        break_h=max(q.hours(own.get("break", 0.75)), BREAK_H),
        work_before_break_h=min(q.hours(own.get("work_before_break", 6.0)), WORK_BEFORE_BREAK_H),
        work_break_h=max(q.hours(own.get("work_break", 0.5)), WORK_BREAK_H),
    )

"""`round.toml` in the words of the rooms that compute: driver's rules, working days."""

from __future__ import annotations

from datetime import date

from fuelplan.dispatch.driver_hours import Rules
from fuelplan.records.schema import WEEKDAYS, PlaceTable, RoundTable
from fuelplan.units import FIRST_YEAR, LAST_YEAR, WorkingDays

LONGEST_SHIFT_H = 13.0
"""24 h less the daily rest of 11 h (Regulation (EC) No 561/2006, Article 8)."""


def driver_rules(table: RoundTable) -> Rules:
    """Return what a driver's day must keep to."""
    driver = table.driver
    return Rules(
        driving_h_per_day=driver.driving_a_day_h,
        driving_before_break_h=driver.driving_before_break_h,
        break_h=driver.break_h,
        work_before_break_h=driver.work_before_break_h,
        work_break_h=driver.work_break_h,
        normal_work_h=driver.hours_a_day,
        most_work_h=driver.hours_a_day + driver.overtime_h,
        longest_shift_h=min(LONGEST_SHIFT_H, driver.latest_end_h - driver.shift_start_h),
        shift_start_h=driver.shift_start_h,
        latest_end_h=driver.latest_end_h,
        waiting_is_break=driver.waiting_is_break,
    )


def working_days_of(table: RoundTable) -> WorkingDays:
    """Return the days on which tankers drive."""
    closed = tuple(i for i, day in enumerate(WEEKDAYS) if day not in table.rules.weekdays)
    place = table.place
    country, part = (place.country, place.subdivision) if table.rules.bank_holidays else (None, None)
    return WorkingDays(country, part, closed=closed, also_closed=table.rules.closed)


class DrivingDays:
    """On which days tankers drive, for checks: a day beyond the calendar's years counts as one."""

    def __init__(self, table: RoundTable) -> None:
        """Start with the rules of a round; an unknown country is a fault of its own and left out here."""
        try:
            self.days = working_days_of(table)
        except ValueError:
            place = PlaceTable.model_validate({})
            self.days = working_days_of(table.model_copy(update={"place": place}))

    def __contains__(self, day: date) -> bool:
        """Tell whether tankers drive on a day."""
        return not FIRST_YEAR < day.year < LAST_YEAR or self.days.is_working(day)

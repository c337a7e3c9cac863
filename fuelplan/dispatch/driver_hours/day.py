"""A driver's day as it is played: the clock, the breaks, and what has gone by since them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from fuelplan.dispatch.driver_hours.rules import TINY_H, Rules, Window


@dataclass(frozen=True)
class Break:
    """One break.

    Attributes
    ----------
    leg
        The leg it belongs to: leg 0 leads from the depot to stop 0, leg i leaves stop i − 1.
    where
        "road" while driving leg `leg`; "gate" before the work at stop `leg` begins; "stop" after the work of
        stop `leg` − 1 and before leg `leg` (with leg 0: at the depot).
    at_h, hours
        When it begins and how long it is.
    waiting
        True where the driver would have had to wait anyway.
    """

    leg: int
    where: str
    at_h: float
    hours: float
    waiting: bool = False


class DriverDay:
    """The driver's day while it is played: the clock, and what has gone by since the last breaks."""

    __slots__ = (
        "breaks",
        "driven_h",
        "first_part",
        "needed_rest_h",
        "now_h",
        "rested_h",
        "rules",
        "todo_drive_h",
        "todo_h",
        "worked_h",
    )

    def __init__(self, rules: Rules, start_h: float, drive_h: float, work_h: float) -> None:
        total = drive_h + work_h
        self.rules = rules
        self.now_h = start_h
        self.driven_h = 0.0  # since the last whole break
        self.worked_h = 0.0  # since the last break of any kind
        self.first_part = False
        self.rested_h = 0.0
        self.breaks: list[Break] = []
        self.todo_drive_h = drive_h
        self.todo_h = total
        self.needed_rest_h = 0.0
        if total > rules.long_work_h + TINY_H:
            self.needed_rest_h = rules.long_work_break_h
        elif total > rules.work_before_break_h + TINY_H:
            self.needed_rest_h = rules.work_break_h

    def rest(self, leg: int, where: str, hours: float, waiting: bool = False) -> None:
        """Take a break, and count it as what it is."""
        r = self.rules
        self.breaks.append(Break(leg, where, self.now_h, hours, waiting))
        self.now_h += hours
        self.rested_h += hours
        self.worked_h = 0.0
        if hours >= r.break_h - TINY_H or (self.first_part and hours >= r.second_part_h - TINY_H):
            self.driven_h = 0.0
            self.first_part = False
        else:
            self.first_part = True

    def driving_break_h(self) -> float:
        """Return how long a break must be to allow the next hours of driving. [h]"""
        return self.rules.second_part_h if self.first_part else self.rules.break_h

    def driving_break_comes(self) -> bool:
        """Tell whether a break for driving falls due before the day ends."""
        return self.driven_h + self.todo_drive_h > self.rules.driving_before_break_h + TINY_H

    def work_break_h(self) -> float:
        """Return how long to rest when work, not driving, asks for a break. [h]

        Where a break for driving comes later anyway, this one is its first part, so that nothing is rested
        twice.
        """
        r = self.rules
        if self.driving_break_comes():
            return r.second_part_h if self.first_part else r.first_part_h
        return max(r.first_part_h, self.needed_rest_h - self.rested_h)

    def rest_wanted_h(self) -> float:
        """Return the break that the rest of the day asks for sooner or later; 0 where none. [h]"""
        if self.driving_break_comes():
            return self.driving_break_h()
        r = self.rules
        if self.worked_h + self.todo_h > r.work_before_break_h + TINY_H:
            return max(r.first_part_h, self.needed_rest_h - self.rested_h)
        return max(0.0, self.needed_rest_h - self.rested_h)

    def drive(self, leg: int, hours: float) -> None:
        """Drive a leg, with breaks on the road where they fall due."""
        r = self.rules
        left = hours
        while left > TINY_H:
            by_driving = r.driving_before_break_h - self.driven_h
            by_work = r.work_before_break_h - self.worked_h
            part = min(left, by_driving, by_work)
            if part > TINY_H:
                self.now_h += part
                self.driven_h += part
                self.worked_h += part
                self.todo_drive_h -= part
                self.todo_h -= part
                left -= part
            else:
                need = self.driving_break_h() if by_driving <= by_work else self.work_break_h()
                self.rest(leg, "road" if left < hours else "stop", need)

    def gate(self, leg: int, windows: Sequence[Window], work_h: float, stretch: bool) -> float:
        """Wait and rest until the work may begin; return the waiting that was no break. [h]"""
        r = self.rules
        rest_h = 0.0
        if self.worked_h > 0.0 and self.worked_h + work_h > r.work_before_break_h + TINY_H:
            rest_h = self.work_break_h()  # blowing cannot be interrupted
        wait_h = opens(windows, self.now_h + rest_h) - self.now_h
        if wait_h <= TINY_H and rest_h == 0.0:
            return 0.0
        if not r.waiting_is_break:
            if rest_h:
                self.rest(leg, "gate", rest_h)
            wait_h -= rest_h
        elif rest_h or wait_h >= r.first_part_h - TINY_H or (stretch and self.rest_wanted_h() > 0.0):
            hours = max(rest_h, wait_h, self.rest_wanted_h() if stretch else 0.0)
            shut_h = opens(windows, self.now_h) - self.now_h
            self.rest(leg, "gate", hours, waiting=shut_h >= hours - TINY_H)
            return 0.0
        self.now_h += max(0.0, wait_h)
        return max(0.0, wait_h)

    def work(self, hours: float) -> None:
        """Work at a stop, in one piece."""
        self.now_h += hours
        self.worked_h += hours
        self.todo_h -= hours


def opens(windows: Sequence[Window], at_h: float) -> float:
    """Return when fuel is taken from `at_h` on; `at_h` itself where no window is left."""
    for from_h, until_h in windows:
        if at_h <= until_h + TINY_H:
            return max(at_h, from_h)
    return at_h

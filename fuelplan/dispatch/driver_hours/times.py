"""The times of a run, and in words what of them cannot be."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from fuelplan.dispatch.driver_hours.day import Break, DriverDay
from fuelplan.dispatch.driver_hours.rules import TINY_H, Rules, Window


@dataclass(frozen=True)
class Timetable:
    """A run with its times; hours of the clock unless said otherwise.

    Attributes
    ----------
    arrive_h, start_h, leave_h
        Per stop: reached, work begun, work done. A break "gate" or waiting lies between the first two.
    breaks
        In order of time.
    begin_h, end_h
        Leaving the depot and being back.
    driving_h, work_h, wait_h, break_h
        Sums [h]; `work_h` is the work at the stops without driving; `wait_h` is waiting that is no break.
    overtime_h
        Driving and work above `normal_work_h`. [h]
    faults
        One sentence per rule or window that is not kept; empty when all is well.
    late_h
        How late all stops and the end are together. [h]
    """

    arrive_h: tuple[float, ...]
    start_h: tuple[float, ...]
    leave_h: tuple[float, ...]
    breaks: tuple[Break, ...]
    begin_h: float
    end_h: float
    driving_h: float
    work_h: float
    wait_h: float
    break_h: float
    overtime_h: float
    faults: tuple[str, ...]
    late_h: float


def clock(hours: float) -> str:
    """Return hours of the clock as "16:40", after midnight as "01:10 the next day"."""
    minutes = round(hours * 60)
    text = f"{minutes // 60 % 24:02d}:{minutes % 60:02d}"
    return text if minutes < 24 * 60 else f"{text} the next day"


def _span(hours: float) -> str:
    """Return a length of time as "9 h 20 min"."""
    minutes = round(hours * 60)
    return f"{minutes // 60} h {minutes % 60} min" if minutes % 60 else f"{minutes // 60} h"


def _late_h(windows: Sequence[Window], at_h: float) -> float:
    """Return how long after the last window the work begins. [h]"""
    return max(0.0, at_h - windows[-1][1]) if windows else 0.0


def _play(
    drive_h: Sequence[float],
    work_h: Sequence[float],
    windows: Sequence[Sequence[Window]],
    rules: Rules,
    start_h: float,
    stretch: bool,
    top_up: bool,
) -> tuple[DriverDay, list[float], list[float], list[float], float]:
    """Play the day once; return it with arrivals, beginnings, ends of work and the waiting."""
    day = DriverDay(rules, start_h, sum(drive_h), sum(work_h))
    arrive: list[float] = []
    start: list[float] = []
    leave: list[float] = []
    wait_h = 0.0
    for i, hours in enumerate(work_h):
        day.drive(i, drive_h[i])
        arrive.append(day.now_h)
        wait_h += day.gate(i, windows[i], hours, stretch)
        start.append(day.now_h)
        day.work(hours)
        leave.append(day.now_h)
    last = len(work_h)
    missing_h = day.needed_rest_h - day.rested_h
    if top_up and missing_h > TINY_H and last:
        day.rest(last, "stop", max(rules.first_part_h, missing_h))
    day.drive(last, drive_h[last])
    return day, arrive, start, leave, wait_h


def _day_faults(rules: Rules, begin_h: float, end_h: float, driving_h: float, work_h: float) -> list[str]:
    """Return one sentence per rule of the whole day that is not kept."""
    faults = []
    if begin_h < rules.shift_start_h - TINY_H:
        faults.append(f"leaves at {clock(begin_h)}, the shift begins at {clock(rules.shift_start_h)}")
    if end_h > rules.latest_end_h + TINY_H:
        faults.append(f"is back at {clock(end_h)}, the shift ends at {clock(rules.latest_end_h)}")
    if driving_h > rules.driving_h_per_day + TINY_H:
        faults.append(f"drives {_span(driving_h)}, {_span(rules.driving_h_per_day)} a day are allowed")
    if driving_h + work_h > rules.most_work_h + TINY_H:
        faults.append(f"works {_span(driving_h + work_h)}, {_span(rules.most_work_h)} a day are allowed")
    if end_h - begin_h > rules.longest_shift_h + TINY_H:
        faults.append(f"is out for {_span(end_h - begin_h)}, {_span(rules.longest_shift_h)} are allowed")
    return faults


def _stop_faults(
    name: str, arrive_h: float, start_h: float, work_h: float, windows: Sequence[Window], rules: Rules
) -> list[str]:
    """Return one sentence per fault of one stop."""
    faults = []
    if work_h > rules.work_before_break_h + TINY_H:
        faults.append(
            f"{name}: the work takes {_span(work_h)} in one piece, "
            f"a break is due after {_span(rules.work_before_break_h)}"
        )
    if _late_h(windows, start_h) > TINY_H:
        until = f"the customer takes fuel until {clock(windows[-1][1])}"
        if start_h > arrive_h + TINY_H:
            rest = f"and has to rest until {clock(start_h)}"
            faults.append(f"{name}: arrives at {clock(arrive_h)} {rest}, {until}")
        else:
            faults.append(f"{name}: arrives at {clock(arrive_h)}, {until}")
    return faults


def _windows_of(entry: Sequence[Window] | Window | None) -> Sequence[Window]:
    """Return the windows of one stop: none, one pair, or several pairs in order."""
    if not entry:
        return ()
    first = entry[0]
    return (entry,) if isinstance(first, int | float) else entry  # type: ignore[return-value]


def timetable(
    drive_h: Sequence[float],
    work_h: Sequence[float],
    windows: Sequence[Sequence[Window] | Window | None] | None = None,
    rules: Rules | None = None,
    start_h: float | None = None,
    names: Sequence[str] | None = None,
) -> Timetable:
    """Return the times of one driver's day, with breaks put in where the rules ask for them.

    Parameters
    ----------
    drive_h
        Driving time of each leg: depot → stop 0 → … → last stop → depot, so one more than stops. [h]
    work_h
        Work at each stop, which cannot be interrupted. Loading at the depot between two
        trips is a stop, too. [h]
    windows
        When each stop takes fuel: (from, to), or several such pairs in order, or None for any time. The
        work must *begin* in a window. [hours of the clock]
    rules
        What the driver must keep to; the European rules where None.
    start_h
        When the tanker leaves; `rules.shift_start_h` where None. [hours of the clock]
    names
        What to call the stops in sentences; "stop 1" … where None.

    Returns
    -------
    Timetable
        Breaks are taken as late as the rules allow. Where the tanker waits at a gate and a break is still to
        come, a second timetable stretches the waiting into that break, and the better of the two is kept:
        less late, then fewer faults, then back sooner. What cannot be kept is a fault, and the day goes on.

    Raises
    ------
    ValueError
        When the counts do not fit together or a time is negative or not finite (no road).
    """
    rules = rules or _EUROPEAN
    n = len(work_h)
    if len(drive_h) != n + 1:
        raise ValueError(f"{n} stops have {n + 1} legs, {len(drive_h)} driving times were given")
    if windows is not None and len(windows) != n:
        raise ValueError(f"{len(windows)} windows were given for {n} stops; give one entry per stop")
    for hours in (*drive_h, *work_h):
        if not 0.0 <= hours < 1e4:
            raise ValueError(
                f"a driving or working time of {hours:g} h cannot be; is there a road to every stop?"
            )
    open_h = [_windows_of(w) for w in windows] if windows is not None else [()] * n
    begin_h = rules.shift_start_h if start_h is None else start_h

    def play(stretch: bool) -> Timetable:
        played = _play(drive_h, work_h, open_h, rules, begin_h, stretch, False)
        if played[0].needed_rest_h > played[0].rested_h + TINY_H:
            played = _play(drive_h, work_h, open_h, rules, begin_h, stretch, True)
        return _written(played, drive_h, work_h, open_h, rules, begin_h, names)

    usual = play(False)
    waits = usual.wait_h > 0.0 or any(b.waiting for b in usual.breaks)
    if not waits or not rules.waiting_is_break or all(b.waiting for b in usual.breaks):
        return usual
    other = play(True)
    return min(usual, other, key=lambda t: (t.late_h, len(t.faults), t.end_h))


def _written(
    played: tuple[DriverDay, list[float], list[float], list[float], float],
    drive_h: Sequence[float],
    work_h: Sequence[float],
    windows: Sequence[Sequence[Window]],
    rules: Rules,
    begin_h: float,
    names: Sequence[str] | None,
) -> Timetable:
    """Return the timetable of a played day, with its faults in words."""
    day, arrive, start, leave, wait_h = played
    faults: list[str] = []
    late_h = max(0.0, day.now_h - rules.latest_end_h)
    for i, hours in enumerate(work_h):
        late = _late_h(windows[i], start[i])
        if late > TINY_H or hours > rules.work_before_break_h:
            name = names[i] if names is not None else f"stop {i + 1}"
            faults += _stop_faults(name, arrive[i], start[i], hours, windows[i], rules)
            late_h += late
    driving_h, working_h = sum(drive_h), sum(work_h)
    faults += _day_faults(rules, begin_h, day.now_h, driving_h, working_h)
    return Timetable(
        arrive_h=tuple(arrive),
        start_h=tuple(start),
        leave_h=tuple(leave),
        breaks=tuple(day.breaks),
        begin_h=begin_h,
        end_h=day.now_h,
        driving_h=driving_h,
        work_h=working_h,
        wait_h=wait_h,
        break_h=day.rested_h,
        overtime_h=max(0.0, driving_h + working_h - rules.normal_work_h),
        faults=tuple(faults),
        late_h=late_h,
    )


_EUROPEAN = Rules()

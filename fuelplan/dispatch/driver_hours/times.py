"""The times of a run, and what of them cannot be."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from fuelplan.dispatch.driver_hours.day import Break, DriverDay
from fuelplan.dispatch.driver_hours.rules import TINY_H, Rules, Window
from fuelplan.messages import Message, TimeOfDay, Value, message

LATE = frozenset({"hours.late", "hours.late_after_rest"})
"""Codes of what is said of a stop that is reached after its last window."""


@dataclass(frozen=True)
class Breach:
    """A rule or a window that a day does not keep.

    Attributes
    ----------
    said
        What is wrong.
    stop
        The number of the stop it is about, from 0; None where it is about the whole day.
    """

    said: Message
    stop: int | None = None


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
        Rules and windows that are not kept; empty when all is well.
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
    faults: tuple[Breach, ...]
    late_h: float


def _span(hours: float) -> Message:
    """Return a length of time as "9 h 20 min"."""
    whole, minutes = divmod(round(hours * 60), 60)
    if minutes:
        return message("hours.h_min", "{h} h {min} min", h=whole, min=minutes)
    return message("hours.h", "{h} h", h=whole)


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


def _day_faults(rules: Rules, begin_h: float, end_h: float, driving_h: float, work_h: float) -> list[Breach]:
    """Return the rules of the whole day that are not kept."""
    said = []
    if begin_h < rules.shift_start_h - TINY_H:
        said.append(
            message(
                "hours.leaves_early", "leaves at {at}, the shift begins at {begins}",
                at=TimeOfDay(begin_h), begins=TimeOfDay(rules.shift_start_h),
            )
        )  # fmt: skip
    if end_h > rules.latest_end_h + TINY_H:
        said.append(
            message(
                "hours.back_late", "is back at {at}, the shift ends at {ends}",
                at=TimeOfDay(end_h), ends=TimeOfDay(rules.latest_end_h),
            )
        )  # fmt: skip
    if driving_h > rules.driving_h_per_day + TINY_H:
        said.append(
            message(
                "hours.drives_long", "drives {span}, {most} a day are allowed",
                span=_span(driving_h), most=_span(rules.driving_h_per_day),
            )
        )  # fmt: skip
    if driving_h + work_h > rules.most_work_h + TINY_H:
        said.append(
            message(
                "hours.works_long", "works {span}, {most} a day are allowed",
                span=_span(driving_h + work_h), most=_span(rules.most_work_h),
            )
        )  # fmt: skip
    if end_h - begin_h > rules.longest_shift_h + TINY_H:
        said.append(
            message(
                "hours.out_long", "is out for {span}, {most} are allowed",
                span=_span(end_h - begin_h), most=_span(rules.longest_shift_h),
            )
        )  # fmt: skip
    return [Breach(one) for one in said]


def _stop_faults(
    name: Value, arrive_h: float, start_h: float, work_h: float, windows: Sequence[Window], rules: Rules
) -> list[Message]:
    """Return what is wrong with one stop."""
    said = []
    if work_h > rules.work_before_break_h + TINY_H:
        said.append(
            message(
                "hours.one_piece",
                "{stop}: the work takes {span} in one piece, a break is due after {most}",
                stop=name, span=_span(work_h), most=_span(rules.work_before_break_h),
            )
        )  # fmt: skip
    if _late_h(windows, start_h) > TINY_H:
        at, until = TimeOfDay(arrive_h), TimeOfDay(windows[-1][1])
        if start_h > arrive_h + TINY_H:
            said.append(
                message(
                    "hours.late_after_rest",
                    "{stop}: arrives at {at} and has to rest until {rested}, the customer takes fuel until "
                    "{until}",
                    stop=name, at=at, rested=TimeOfDay(start_h), until=until,
                )
            )  # fmt: skip
        else:
            said.append(
                message(
                    "hours.late", "{stop}: arrives at {at}, the customer takes fuel until {until}",
                    stop=name, at=at, until=until,
                )
            )  # fmt: skip
    return said


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
    names: Sequence[Value] | None = None,
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
        What to call the stops where something is said of them; "stop 1" … where None.

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
    names: Sequence[Value] | None,
) -> Timetable:
    """Return the timetable of a played day, with its faults."""
    day, arrive, start, leave, wait_h = played
    faults: list[Breach] = []
    late_h = max(0.0, day.now_h - rules.latest_end_h)
    for i, hours in enumerate(work_h):
        late = _late_h(windows[i], start[i])
        if late > TINY_H or hours > rules.work_before_break_h:
            name = names[i] if names is not None else message("hours.stop", "stop {n}", n=i + 1)
            said = _stop_faults(name, arrive[i], start[i], hours, windows[i], rules)
            faults += [Breach(one, i) for one in said]
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

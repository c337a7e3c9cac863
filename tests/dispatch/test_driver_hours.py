"""A driver's day: arrivals, breaks, and what cannot be; checked minute by minute by a second reading of the
rules."""

from __future__ import annotations

import dataclasses
import math

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from fuelplan.dispatch.driver_hours import NO_RULES, Break, Rules, Timetable, timetable
from fuelplan.messages import Own, render

Windows = list[tuple[tuple[float, float], ...]]


# ---- the rules read once more, minute by minute


def faults(found: Timetable) -> tuple[str, ...]:
    """What of a day breaks a rule, as people read it."""
    return tuple(render(fault.said) for fault in found.faults)


def minutes_of(t: Timetable) -> str:
    """The day as one letter a minute: D driving, W work, B break, I idle waiting."""
    begin = round(t.begin_h * 60)
    day = ["?"] * (round(t.end_h * 60) - begin)

    def paint(a_h: float, b_h: float, letter: str) -> None:
        for m in range(round(a_h * 60) - begin, round(b_h * 60) - begin):
            day[m] = letter

    left = t.begin_h
    for arrive, start, leave in zip(t.arrive_h, t.start_h, t.leave_h, strict=True):
        paint(left, arrive, "D")
        paint(arrive, start, "I")
        paint(start, leave, "W")
        left = leave
    paint(left, t.end_h, "D")
    for b in t.breaks:
        span = range(round(b.at_h * 60) - begin, round((b.at_h + b.hours) * 60) - begin)
        assert not any(day[m] == "W" for m in span), "a break during blowing"
        paint(b.at_h, b.at_h + b.hours, "B")
    assert "?" not in day
    return "".join(day)


def pieces(day: str) -> list[tuple[str, int]]:
    """Runs of equal letters with their lengths. [min]"""
    out: list[tuple[str, int]] = []
    for letter in day:
        if out and out[-1][0] == letter:
            out[-1] = (letter, out[-1][1] + 1)
        else:
            out.append((letter, 1))
    return out


def longest_driving(day: str) -> int:
    """Most minutes of driving without 45 minutes of break, or 15 and then 30. [min]"""
    most = driven = 0
    first_part = False
    for letter, length in pieces(day):
        if letter == "D":
            driven += length
            most = max(most, driven)
        elif letter == "B":
            if length >= 45 or (first_part and length >= 30):
                driven, first_part = 0, False
            elif length >= 15:
                first_part = True
    return most


def longest_work(day: str) -> int:
    """Most minutes of driving and work without a break of at least 15 minutes. [min]"""
    most = worked = 0
    for letter, length in pieces(day):
        if letter in "DW":
            worked += length
            most = max(most, worked)
        elif letter == "B" and length >= 15:
            worked = 0
    return most


minute_lengths = st.integers(0, 200)


@st.composite
def days(draw: st.DrawFn) -> tuple[list[float], list[float], Windows, float]:
    """Legs, work and windows in whole minutes, from an easy day to one that cannot be."""
    n = draw(st.integers(0, 7))
    long = draw(st.sampled_from([30, 120, 400]))
    drive = [draw(st.integers(0, long)) / 60 for _ in range(n + 1)]
    work = [draw(st.integers(0, draw(st.sampled_from([40, 120, 400])))) / 60 for _ in range(n)]
    windows: Windows = []
    start = draw(st.integers(240, 600))
    about = start
    for i in range(n):
        about += round(60 * drive[i])
        if draw(st.booleans()):  # a gate that opens about when the tanker comes
            opens = max(0, about + draw(st.integers(-20, 50)))
            windows.append(((opens / 60, (opens + draw(st.integers(0, 400))) / 60),))
            about = max(about, opens) + round(60 * work[i])
            continue
        about += round(60 * work[i])
        cuts = sorted(draw(st.lists(st.integers(300, 1200), min_size=0, max_size=4, unique=True)))
        cuts = cuts[: len(cuts) // 2 * 2]
        windows.append(tuple((a / 60, b / 60) for a, b in zip(cuts[::2], cuts[1::2], strict=True)))
    return drive, work, windows, start / 60


@settings(max_examples=400, deadline=None)
@given(days(), st.booleans())
@example(([2.0, 2.0, 2.0], [0.5, 0.5], [(), ()], 6.0), True)
@example(([1.0, 1.0], [4.5], [((8.0, 9.0),)], 6.0), True)
def test_the_rules_are_kept_minute_by_minute(
    day: tuple[list[float], list[float], Windows, float], waiting: bool
) -> None:
    """Read minute by minute, no day has more than 4½ h of driving or 6 h of work without the due break
    and every day has its breaks in all; each fault that is named is one, and each that is one is named."""
    drive, work, windows, start = day
    rules = Rules(waiting_is_break=waiting)
    t = timetable(drive, work, windows, rules, start)
    text = minutes_of(t)
    said = " / ".join(faults(t))
    assert longest_driving(text) <= 270
    longest_drop = max((round(w * 60) for w in work), default=0)
    assert longest_work(text) <= max(360, longest_drop)
    assert ("in one piece" in said) == (longest_drop > 360)
    worked = text.count("D") + text.count("W")
    assert worked == sum(round(x * 60) for x in (*drive, *work))
    rest = sum(length for letter, length in pieces(text) if letter == "B" and length >= 15)
    due = 45 if worked > 540 else 30 if worked > 360 else 0
    assert rest >= due or not work
    assert ("a day are allowed" in said) == (text.count("D") > 540)
    assert ("is out for" in said) == (len(text) > 13 * 60)
    assert ("is back at" in said) == (t.end_h > rules.latest_end_h + 1e-9)
    assert ("the shift begins" in said) == (t.begin_h < rules.shift_start_h - 1e-9)
    for i, w in enumerate(windows):
        inside = not w or any(a - 1e-9 <= t.start_h[i] <= b + 1e-9 for a, b in w)
        late = bool(w) and t.start_h[i] > w[-1][1] + 1e-9
        assert inside or late
        assert late == (f"stop {i + 1}: arrives" in said)
    assert t.wait_h * 60 == pytest.approx(text.count("I"), abs=1e-6)
    assert t.break_h * 60 == pytest.approx(text.count("B"), abs=1e-6)
    assert t.overtime_h == pytest.approx(max(0.0, worked / 60 - 8))


@settings(max_examples=200, deadline=None)
@given(days())
def test_no_break_where_none_is_due(
    day: tuple[list[float], list[float], Windows, float],
) -> None:
    """A day without windows holds no waiting, and breaks only where they are due: none up to 4½ h of driving
    and 6 h of work, and never more than one per 4½ h of driving and two per 6 h of work."""
    drive, work, _, start = day
    t = timetable(drive, work, None, Rules(), start)
    total = sum(drive) + sum(work)
    assert t.wait_h == 0.0
    if sum(drive) <= 4.5 and total <= 6:
        assert t.breaks == ()
    assert len(t.breaks) <= math.ceil(sum(drive) / 4.5) + 2 * math.ceil(total / 6)


# ---- worked out by hand


def test_a_break_on_the_road() -> None:
    """Five hours of driving from six o'clock: 45 minutes after 4½ hours (Regulation (EC) No 561/2006,
    Article 7; value from memory), so there at 11:45."""
    t = timetable([5.0, 1.0], [0.5])
    assert t.arrive_h == (11.75,)
    assert t.breaks == (Break(0, "road", 10.5, 0.75),)
    assert t.end_h == pytest.approx(13.25)
    assert t.driving_h == 6.0
    assert t.faults == ()


def test_blowing_is_work() -> None:
    """Two hours of driving and four of blowing leave no room for one more hour of blowing before a break
    (Directive 2002/15/EC, Article 5; value from memory): half an hour at the gate first."""
    t = timetable([1.0, 1.0, 1.0], [4.0, 1.0])
    assert t.arrive_h == (7.0, 12.0)
    assert t.breaks == (Break(1, "gate", 12.0, 0.5),)
    assert t.start_h == (7.0, 12.5)


def test_a_late_arrival_is_said() -> None:
    """Who arrives at 16:40 where fuel is taken until 16:00 is told so in these words."""
    t = timetable([0.5, 0.5], [0.5], [(8.0, 16.0)], NO_RULES, 16 + 10 / 60)
    assert faults(t) == ("stop 1: arrives at 16:40, the customer takes fuel until 16:00",)
    assert t.late_h == pytest.approx(2 / 3)
    named = timetable([0.5, 0.5], [0.5], [(8.0, 16.0)], NO_RULES, 16 + 10 / 60, names=[Own("Mill farm")])
    assert faults(named)[0].startswith("Mill farm: ") and named.faults[0].stop == 0


def test_a_rest_that_makes_late_is_said() -> None:
    """Who arrives in time and must rest beyond the window is told both."""
    t = timetable([1.0, 1.0, 1.0], [4.0, 1.0], [None, (8.0, 12.25)])
    assert faults(t) == (
        "stop 2: arrives at 12:00 and has to rest until 12:30, the customer takes fuel until 12:15",
    )


def test_the_second_window_of_a_day() -> None:
    """Who comes at noon waits until the second window opens."""
    t = timetable([6.1, 0.5], [0.5], [((8.0, 12.0), (13.0, 17.0))], NO_RULES, 6.0)
    assert t.start_h == (13.0,)
    assert t.wait_h == 0.0
    assert t.break_h == pytest.approx(0.9)


def test_waiting_of_a_quarter_hour_is_the_first_part() -> None:
    """15 minutes at a shut gate after 2 h of driving are the first part of the break: after 4½ h in all 30
    minutes are enough, where 45 are due after a shorter wait at a place that shuts again at once."""
    t = timetable([2.0, 3.5], [0.0], [(8.25, 12.0)])
    assert [(b.where, round(b.hours * 60), b.waiting) for b in t.breaks] == [
        ("gate", 15, True),
        ("road", 30, False),
    ]
    short = timetable([2.0, 3.5], [0.0], [(8 + 10 / 60, 8 + 11 / 60)])
    assert [(b.where, round(b.hours * 60)) for b in short.breaks] == [("road", 45)]
    assert short.wait_h * 60 == pytest.approx(10)


def test_waiting_is_stretched_into_the_break_that_is_due_anyway() -> None:
    """With 40 minutes at a shut gate and 3 h of driving to come, five minutes more make it the whole break
    and save the other one."""
    t = timetable([2.0, 3.0], [0.0], [(8 + 40 / 60, 12.0)])
    assert [(b.where, round(b.hours * 60)) for b in t.breaks] == [("gate", 45)]
    assert t.end_h == pytest.approx(11.75)
    # where the next customer closes early, the whole break would make late: it stays for later
    tight = timetable([2.0, 0.0, 3.0], [0.0, 0.0], [(8 + 40 / 60, 12.0), (8.0, 8 + 41 / 60)])
    assert tight.late_h == 0.0
    assert [b.where for b in tight.breaks] == ["gate", "road"]


def test_two_short_waits_are_no_whole_break() -> None:
    """15 minutes and then 20 are not 15 and then 30: after 4½ h of driving half an hour is still due."""
    t = timetable([1.0, 1.0, 3.0], [0.0, 0.0], [(7.25, 7.25), (8 + 35 / 60, 8 + 35 / 60)])
    assert [(b.where, round(b.hours * 60)) for b in t.breaks] == [("gate", 15), ("gate", 20), ("road", 30)]


def test_the_breaks_of_a_long_day_are_topped_up() -> None:
    """7 h of work with 20 minutes at a shut gate in between hold no six hours in one piece, but the day needs
    30 minutes in all: the driver stays ten minutes longer, or where the next gate shuts at once, he takes a
    quarter of an hour before the way home."""
    t = timetable([1.0, 0.5, 0.5], [2.5, 2.5], [None, (10 + 20 / 60, 12.0)])
    assert [(b.where, round(b.hours * 60)) for b in t.breaks] == [("gate", 30)]
    gates = [None, (9 + 50 / 60, 9 + 50 / 60), (9.0, 9 + 51 / 60)]
    t = timetable([1.0, 0.5, 0.0, 0.5], [2.0, 0.0, 3.0], gates)
    assert [(b.where, round(b.hours * 60)) for b in t.breaks] == [("gate", 20), ("stop", 15)]
    assert t.faults == ()


def test_waiting_that_is_no_break() -> None:
    """Where waiting is no break, a whole hour at the gate spares nothing."""
    t = timetable([2.0, 3.0], [0.0], [(9.0, 12.0)], Rules(waiting_is_break=False))
    assert t.wait_h == 1.0
    assert [round(b.hours * 60) for b in t.breaks] == [45]


def test_the_day_as_a_whole() -> None:
    """More than 9 h at the wheel, 13 h out, and home after the end of the shift are three sentences."""
    t = timetable([5.0, 5.0], [3.0])
    assert faults(t) == (
        "is back at 20:30, the shift ends at 19:00",
        "drives 10 h, 9 h a day are allowed",
        "is out for 14 h 30 min, 13 h are allowed",
    )
    early = faults(timetable([1.0, 1.0], [1.0], start_h=5.5))
    assert early == ("leaves at 05:30, the shift begins at 06:00",)


def test_a_drop_of_seven_hours() -> None:
    """Blowing that takes seven hours in one piece cannot keep the rule and is said to."""
    said = faults(timetable([0.1, 0.1], [7.0]))
    assert said == ("stop 1: the work takes 7 h in one piece, a break is due after 6 h",)


def test_overtime() -> None:
    """Eight hours are usual: 3 h of driving and 6 h of work are one hour of overtime."""
    assert timetable([1.0, 1.0, 1.0], [3.0, 3.0]).overtime_h == pytest.approx(1.0)


def test_a_day_without_a_stop() -> None:
    """A day without a stop is a drive that needs nothing."""
    t = timetable([0.0], [])
    assert (t.arrive_h, t.end_h, t.faults) == ((), 6.0, ())


def test_no_rules_is_bare_arithmetic() -> None:
    """Without rules a day of 20 hours has neither breaks nor faults."""
    t = timetable([8.0, 8.0], [4.0], None, NO_RULES, 0.0)
    assert (t.breaks, t.faults, t.end_h) == ((), (), 20.0)


@pytest.mark.parametrize(
    ("drive", "work", "windows", "said"),
    [
        ([1.0], [1.0], None, "2 legs|1 stops have 2 legs"),
        ([1.0, float("inf")], [1.0], None, "is there a road"),
        ([1.0, -1.0], [1.0], None, "-1 h cannot be"),
        ([1.0, 1.0], [1.0], [None, None], "one entry per stop"),
    ],
)
def test_days_that_are_none(
    drive: list[float], work: list[float], windows: list[None] | None, said: str
) -> None:
    """Counts that do not fit together, and legs without a road, are refused."""
    with pytest.raises(ValueError, match=said):
        timetable(drive, work, windows)


@pytest.mark.parametrize(
    "change",
    [
        {"driving_before_break_h": 0.0},
        {"break_h": -1.0},
        {"latest_end_h": 5.0},
        {"work_before_break_h": math.nan},
    ],
)
def test_rules_that_cannot_be(change: dict[str, float]) -> None:
    """Rules that no day could keep are refused."""
    with pytest.raises(ValueError):
        dataclasses.replace(Rules(), **change)

"""A driver's whole day – all runs of a tanker – against the law and the round's own limits."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from datetime import date, timedelta

from tests.plan_checker import law
from tests.plan_checker.context import MINUTE, Check, Run, hour

SLACK_H = 2.01 * MINUTE
"""Breaks and pauses are told to the minute, at both of their ends. [h]"""


@dataclass
class Piece:
    """A piece of a day: "drive", "work", "break" or "wait"."""

    kind: str
    hours: float


def pieces(check: Check, runs: list[Run], told: bool = False) -> list[Piece]:
    """Return a driver's day piece by piece, as long as roads and work are believed to take; `told`: published
    runs by the clock they were told for. In six hours by the clock nobody works longer than six, however long
    the roads are believed to be by now.
    """
    out: list[Piece] = []
    for number, run in enumerate(runs):
        if number:
            _at_the_depot(check, runs[number - 1], run, out)
        legs = [] if told and run["frozen"] else check.legs_h(run)
        at = hour(run["leave"])
        for n, stop in enumerate(run["stops"]):
            arrive, start = hour(stop["arrive"]), hour(stop["start"])
            _leg(run, n + 1, at, arrive, legs[n] if legs else None, out)
            rested = _breaks(run, n + 1, arrive, 99.0)
            out += [Piece("break", hours) for _, hours in rested]
            waits = start - arrive - sum(hours for _, hours in rested)
            if waits > SLACK_H:
                out.append(Piece("wait", waits))
            work = check.tanker(run).work_h(check.customer(stop).hose_m, stop["kg"])
            if told and run["frozen"]:
                work = min(work, hour(stop["leave"]) - start)
            out.append(Piece("work", work))
            at = hour(stop["leave"])
        home = len(run["stops"]) + 1
        _leg(run, home, at, hour(run["back_by"]), legs[-1] if legs else None, out)
    return out


def _at_the_depot(check: Check, before: Run, after: Run, out: list[Piece]) -> None:
    """Add the time between two runs: breaks that are told, loading, and waiting."""
    back, leave = hour(before["back_by"]), hour(after["leave"])
    rested = _breaks(before, len(before["stops"]) + 1, back, 99.0)
    out += [Piece("break", hours) for _, hours in rested]
    load = check.tanker(after).reload_h
    out.append(Piece("work", load))
    waits = leave - back - load - sum(hours for _, hours in rested)
    if waits > SLACK_H:
        out.append(Piece("wait", waits))


def _leg(run: Run, before: int, at: float, arrive: float, drive_h: float | None, out: list[Piece]) -> None:
    """Add a leg: driving, parted by the breaks that are told on it."""
    rested = _breaks(run, before, -1.0, arrive)
    left = arrive - at - sum(h for _, h in rested) if drive_h is None else drive_h
    for began, hours in rested:
        part = min(left, max(0.0, began - at))
        out += [Piece("drive", part), Piece("break", hours)]
        left -= part
        at = began + hours
    out.append(Piece("drive", max(0.0, left)))


def _breaks(run: Run, before: int, first: float, until: float) -> list[tuple[float, float]]:
    """Return (when, how long) of the breaks before a stop that begin in [first, until)."""
    half = 0.5 * MINUTE
    found = [(hour(b["at"]), b["minutes"] / 60) for b in run["breaks"] if b["before_stop"] == before]
    return sorted(b for b in found if first - half <= b[0] < until - half)


def driver_hours(check: Check) -> None:
    """Hours at the wheel, hours of work, when the day begins and ends: over all runs of a tanker's day."""
    limits = check.limits
    for runs in check.tanker_days().values():
        day, last = pieces(check, runs), runs[-1]
        driven = sum(p.hours for p in day if p.kind == "drive")
        worked = driven + sum(p.hours for p in day if p.kind == "work")
        if driven > limits.driving_a_day_h + SLACK_H:
            check.say("driver's day", last, f"{driven:.2f} h at the wheel")
        if worked > limits.hours_a_day + limits.overtime_h + SLACK_H:
            check.say("driver's day", last, f"{worked:.2f} h of work")
        leaves, back = hour(runs[0]["leave"]), hour(last["back_by"])
        if leaves < limits.shift_start_h - SLACK_H or back > limits.latest_end_h + SLACK_H:
            check.say("driver's day", last, f"out from {runs[0]['leave']} to {last['back_by']}")


def driver_breaks(check: Check) -> None:
    """Breaks after driving and after work, and in all, over all runs of a tanker's day."""
    limits = check.limits
    for runs in check.tanker_days().values():
        day, last = pieces(check, runs), runs[-1]
        worked = sum(p.hours for p in day if p.kind in ("drive", "work"))
        rested = sum(p.hours for p in day if p.kind == "break" and p.hours >= law.LEAST_BREAK_H - SLACK_H)
        by_clock = pieces(check, runs, told=True)
        _breaks_after_driving(check, last, by_clock)
        _breaks_after_work(check, last, by_clock)
        needs = 0.0
        if worked > law.LONG_WORK_H + SLACK_H:
            needs = max(law.LONG_WORK_BREAK_H, limits.work_break_h)
        elif worked > limits.work_before_break_h + SLACK_H:
            needs = limits.work_break_h
        if rested < needs - SLACK_H:
            check.say("work break", last, f"{60 * rested:.0f} min of breaks with {worked:.1f} h of work")


def _breaks_after_driving(check: Check, run: Run, day: list[Piece]) -> None:
    """No more than four and a half hours at the wheel without 45 minutes, or 15 and then 30 (Article 7)."""
    limits = check.limits
    driven, first_part = 0.0, False
    for piece in day:
        if piece.kind == "drive":
            driven += piece.hours
            if driven > limits.driving_before_break_h + SLACK_H:
                check.say("driving break", run, f"{driven:.2f} h at the wheel without the break that is due")
                return
        elif piece.kind == "break":
            long_enough = piece.hours >= limits.break_h - SLACK_H
            if long_enough or (first_part and piece.hours >= law.SECOND_PART_H - SLACK_H):
                driven, first_part = 0.0, False
            elif piece.hours >= law.FIRST_PART_H - SLACK_H:
                first_part = True


def _breaks_after_work(check: Check, run: Run, day: list[Piece]) -> None:
    """No more than six hours of work of any kind in one piece (Directive 2002/15/EC, Article 5)."""
    worked = 0.0
    for piece in day:
        if piece.kind in ("drive", "work"):
            worked += piece.hours
            if worked > check.limits.work_before_break_h + SLACK_H:
                check.say("work break", run, f"{worked:.2f} h of work in one piece")
                return
        elif piece.kind == "break" and piece.hours >= law.LEAST_BREAK_H - SLACK_H:
            worked = 0.0


def driver_weeks(check: Check) -> None:
    """Rest between two days, and the hours of a week and of two (561/2006, Articles 6 and 8; 2002/15/EC,
    Article 4), taking it that each tanker has one driver.
    """
    driving: dict[tuple[str, date], float] = defaultdict(float)
    working: dict[tuple[str, date], float] = defaultdict(float)
    long_days: dict[tuple[str, date], int] = defaultdict(int)
    short_rests: dict[tuple[str, date], int] = defaultdict(int)
    before: dict[str, tuple[date, float]] = {}
    for (day, tanker), runs in sorted(check.tanker_days().items()):
        monday = day - timedelta(days=day.weekday())
        parts = pieces(check, runs)
        driven = sum(p.hours for p in parts if p.kind == "drive")
        driving[tanker, monday] += driven
        working[tanker, monday] += sum(p.hours for p in parts if p.kind in ("drive", "work"))
        long_days[tanker, monday] += driven > law.DRIVING_A_DAY_H + SLACK_H
        leaves = hour(runs[0]["leave"])
        if tanker in before:
            last, back = before[tanker]
            rest = 24.0 * (day - last).days + leaves - back
            short_rests[tanker, monday] += rest < law.REST_H - SLACK_H
            if rest < law.SHORT_REST_H - SLACK_H:
                check.say("daily rest", runs[0], f"{rest:.1f} h since {tanker} was back")
        before[tanker] = (day, hour(runs[-1]["back_by"]))
    for (tanker, monday), hours in driving.items():
        two = hours + driving.get((tanker, monday - timedelta(days=7)), 0.0)
        if hours > law.DRIVING_A_WEEK_H or two > law.DRIVING_A_FORTNIGHT_H:
            check.say("driver's week", None, f"{tanker}: {hours:.1f} h at the wheel, week of {monday}")
        if working[tanker, monday] > law.WORK_A_WEEK_H:
            check.say(
                "driver's week", None, f"{tanker}: {working[tanker, monday]:.1f} h of work, week of {monday}"
            )
        if long_days[tanker, monday] > law.LONG_DAYS_A_WEEK:
            check.say(
                "driver's week", None, f"{tanker}: {long_days[tanker, monday]} long days, week of {monday}"
            )
        if short_rests[tanker, monday] > law.SHORT_RESTS_A_WEEK:
            check.say(
                "daily rest", None, f"{tanker}: {short_rests[tanker, monday]} short rests, week of {monday}"
            )

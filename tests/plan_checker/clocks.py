"""Kilometres, hours, the times of each run, windows and the depots' hours."""

from __future__ import annotations

from itertools import pairwise

from tests.plan_checker.context import CLOCK_H, MINUTE, Check, Run, hour

LEARNED = 0.1
LEG_H = CLOCK_H + 0.5 * MINUTE
"""Beside the clocks the plan may count the work at a stop in whole minutes. [h]"""


def kilometres(check: Check) -> None:
    """Kilometres and hours at the wheel are those of the round's rule for distances."""
    if check.roads is None:
        return
    for run in check.runs():
        way = check.way(run)
        km = sum(check.roads.km(a, b, check.factor) for a, b in pairwise(way))
        if abs(km - run["km"]) > 0.06 + 1e-3 * km:
            check.say("km", run, f"{run['km']} km, the rule gives {km:.1f}")
        driving = sum(check.legs_h(run))
        if abs(driving - run["driving_hours"]) > 0.006 + 1e-3 * driving:
            check.say("driving", run, f"{run['driving_hours']} h at the wheel, the rule gives {driving:.2f}")


def times(check: Check) -> None:
    """Each leg is as long as the road asks, no time goes without a reason, and `hours` is all of it."""
    for run in check.runs():
        legs = check.legs_h(run)
        clock = hour(run["leave"])
        for n, stop in enumerate(run["stops"]):
            arrive, start, leave = (hour(stop[k]) for k in ("arrive", "start", "leave"))
            rested = breaks_h(run, n + 1, until=arrive)
            if not clock - LEG_H <= arrive <= start <= leave:
                check.say("times", run, "times run backwards", stop)
            elif legs:
                away = arrive - clock - rested
                if abs(away - legs[n]) > LEG_H + _learned_since(check, run) * legs[n]:
                    check.say("times", run, f"{60 * away:.0f} min of road, {60 * legs[n]:.0f} needed", stop)
            _waiting(check, run, n, arrive, start)
            clock = leave
        back = hour(run["back_by"])
        rested = breaks_h(run, len(run["stops"]) + 1, until=back)
        if legs and abs(back - clock - rested - legs[-1]) > LEG_H + _learned_since(check, run) * legs[-1]:
            check.say(
                "times", run, f"{60 * (back - clock - rested):.0f} min home, {60 * legs[-1]:.0f} needed"
            )
        if abs(back - hour(run["leave"]) - run["hours"]) > CLOCK_H + 0.005:
            check.say("hours", run, f"{run['hours']} h told, {back - hour(run['leave']):.2f} by the clock")


def _learned_since(check: Check, run: Run) -> float:
    """Return by what share legs of a published run may be off: its times stay as they were told, while the
    round has learned more of its roads from odometers since.
    """
    learned = check.roads is not None and check.roads.factor is None
    return LEARNED if learned and run["frozen"] else 0.0


def work(check: Check) -> None:
    """A stop takes as long as its own tanker needs for couplings, hose and blowing."""
    for run, stop in check.stops():
        took = hour(stop["leave"]) - hour(stop["start"])
        needs = check.tanker(run).work_h(check.customer(stop).hose_m, stop["kg"])
        if abs(took - needs) > LEG_H:
            text = f"{60 * took:.0f} min, {run['tanker']} needs {60 * needs:.0f}"
            check.say("work", run, text, stop)


def _waiting(check: Check, run: Run, n: int, arrive: float, start: float) -> None:
    """A driver waits at a gate for its opening, for the time he was told, or for a break alone."""
    opens = check.customer(run["stops"][n]).from_h
    if run["frozen"] and run["stops"][n].get("told_from"):
        opens = max(opens, hour(run["stops"][n]["told_from"]))
    rested = breaks_h(run, n + 1) - breaks_h(run, n + 1, until=arrive)
    if start - arrive - rested > CLOCK_H and start > opens + CLOCK_H:
        check.say("times", run, f"waits {60 * (start - arrive):.0f} min for nothing", run["stops"][n])


def breaks_h(run: Run, before: int, until: float = 99.0) -> float:
    """Return how long the breaks before a stop are that begin before a time. [h]"""
    return sum(
        float(b["minutes"]) / 60
        for b in run["breaks"]
        if b["before_stop"] == before and hour(b["at"]) < until - 0.5 * MINUTE
    )


def windows(check: Check) -> None:
    """Work begins within the customer's hours."""
    for run, stop in check.stops():
        customer, start = check.customer(stop), hour(stop["start"])
        if not customer.from_h - 0.51 * MINUTE <= start <= customer.to_h + 0.51 * MINUTE:
            check.say(
                "window",
                run,
                f"begins at {stop['start']}, takes fuel {customer.from_h:g} to {customer.to_h:g} h",
                stop,
            )


def depots(check: Check) -> None:
    """A tanker leaves when its depot is open and is back before it shuts; between two runs it is loaded."""
    for runs in check.tanker_days().values():
        back = None
        for number, run in enumerate(runs, 1):
            depot, tanker = check.folder.depots[run["depot"]], check.tanker(run)
            leaves, home = hour(run["leave"]), hour(run["back_by"])
            if leaves < depot.opens_h - CLOCK_H or home > depot.closes_h + CLOCK_H:
                check.say(
                    "depot hours", run, f"out {run['leave']} to {run['back_by']}, open {depot.opens_h:g} to "
                    f"{depot.closes_h:g} h",
                )  # fmt: skip
            if int(run["trip"]) != number:
                check.say("times", run, f"is run {run['trip']}, the {number}. of its tanker's day")
            if back is not None and leaves - back < tanker.reload_h - CLOCK_H:
                check.say("reload", run, f"leaves {60 * (leaves - back):.0f} min after it was back")
            back = home

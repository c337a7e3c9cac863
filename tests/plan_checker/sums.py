"""Sums and money."""

from __future__ import annotations

from collections import defaultdict

from tests.plan_checker import quantities as q
from tests.plan_checker.context import MINUTE, Check
from tests.plan_checker.driver_day import pieces


def run_sums(check: Check) -> None:
    """A run's kilograms are those of its stops, positions count up, its money is kilometres and hours."""
    for run in check.runs():
        tanker = check.tanker(run)
        kg = sum(s["kg"] for s in run["stops"])
        if abs(kg - run["kg"]) > len(run["stops"]):
            check.say("sums", run, f"{run['kg']} kg, its stops get {kg}")
        if [s["position"] for s in run["stops"]] != list(range(1, len(run["stops"]) + 1)):
            check.say("sums", run, f"positions {[s['position'] for s in run['stops']]}")
        if not run["stops"]:
            check.say("sums", run, "goes nowhere")
        cost = run["km"] * tanker.per_km + run["hours"] * tanker.per_hour
        if abs(cost - run["cost"]) > 0.06 * tanker.per_km + 0.006 * tanker.per_hour + 0.01:
            check.say("money", run, f"costs {run['cost']}, kilometres and hours make {cost:.2f}")


def plan_sums(check: Check) -> None:
    """The sums of the plan and of its days are those of its runs."""
    runs, totals = list(check.runs()), check.plan["totals"]
    sums = {
        "runs": (len(runs), 0.5),
        "stops": (sum(len(r["stops"]) for r in runs), 0.5),
        "kg": (sum(r["kg"] for r in runs), 0.5 * len(runs) + 1),
        "km": (sum(r["km"] for r in runs), 0.051 * len(runs) + 0.06),
        "hours": (sum(r["hours"] for r in runs), 0.0051 * len(runs) + 0.06),
        "cost": (sum(r["cost"] for r in runs) + _overtime_cost(check), 0.0051 * len(runs) + 0.01),
    }
    for name, (found, slack) in sums.items():
        if abs(found - totals[name]) > slack:
            check.say("sums", None, f"{name} in all: {totals[name]}, the runs make {found:.2f}")
    days = {q.day(d["day"]): d for d in check.plan["per_day"]}
    for day in check.days:
        mine = [r for r in runs if q.day(r["date"]) == day]
        told = days.get(day)
        if told is None:
            check.say("sums", None, f"{day} has no sums")
            continue
        for name, found, slack in (
            ("runs", len(mine), 0.5),
            ("stops", sum(len(r["stops"]) for r in mine), 0.5),
            ("kg", sum(r["kg"] for r in mine), 0.5 * len(mine) + 1),
            ("km", sum(r["km"] for r in mine), 0.051 * len(mine) + 0.01),
            ("hours", sum(r["hours"] for r in mine), 0.0051 * len(mine) + 0.01),
        ):
            if abs(found - told[name]) > slack:
                check.say("sums", None, f"{day}: {name} {told[name]}, the runs make {found:.2f}")


def _overtime_cost(check: Check) -> float:
    """Return what the overtime that is told costs by `[rules] overtime`. [money]"""
    rate = q.price(check.folder.rules.get("overtime", 0.0))
    return rate * sum(float(day["overtime_h"]) for day in check.plan["per_day"])


def overtime(check: Check) -> None:
    """Overtime is what driving, blowing and loading of a tanker's day make beyond `[driver] hours_a_day`."""
    over: dict[str, float] = defaultdict(float)
    drivers: dict[str, int] = defaultdict(int)
    for (day, _), runs in check.tanker_days().items():
        worked = sum(p.hours for p in pieces(check, runs) if p.kind in ("drive", "work"))
        over[day.isoformat()] += max(0.0, worked - check.limits.hours_a_day)
        drivers[day.isoformat()] += 1
    for told in check.plan["per_day"]:
        if abs(told["overtime_h"] - over[told["day"]]) > 3 * MINUTE * max(1, drivers[told["day"]]):
            check.say(
                "overtime",
                None,
                f"{told['day']}: told {told['overtime_h']:.2f} h, made {over[told['day']]:.2f}",
            )

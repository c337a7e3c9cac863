"""All rules together."""

from __future__ import annotations

import copy
from collections.abc import Callable, Iterable
from pathlib import Path
from typing import Any

from tests.plan_checker import access, calendar, clocks, driver_day, loads, promises, sums
from tests.plan_checker.context import Breach, Check
from tests.plan_checker.folder import read_folder
from tests.plan_checker.texts import texts

RULES: dict[str, Callable[[Check], None]] = {
    "loads": loads.loads,
    "published_loads": loads.published_loads,
    "drops": loads.drops,
    "stock": loads.stock,
    "access": access.access,
    "credit": access.credit,
    "left": access.left,
    "days": calendar.days,
    "wishes": calendar.wishes,
    "kilometres": clocks.kilometres,
    "times": clocks.times,
    "work": clocks.work,
    "windows": clocks.windows,
    "depots": clocks.depots,
    "driver_hours": driver_day.driver_hours,
    "driver_breaks": driver_day.driver_breaks,
    "driver_weeks": driver_day.driver_weeks,
    "orders": promises.orders,
    "shared": promises.shared,
    "unasked": promises.unasked,
    "twice": promises.twice,
    "published": promises.published,
    "upset": promises.upset,
    "due": promises.due,
    "credit_reasons": promises.credit_reasons,
    "run_sums": sums.run_sums,
    "plan_sums": sums.plan_sums,
    "overtime": sums.overtime,
}
"""Every rule by its name."""


def check(
    folder: Path | str,
    plan: dict[str, Any],
    outlook: dict[str, Any] | None = None,
    *,
    leave_out: Iterable[str] = (),
) -> list[Breach]:
    """Return everything that a plan breaks, what the plan itself says of published runs included.

    Parameters
    ----------
    folder
        The round's folder as it is now.
    plan
        The document that `fuelplan runs … --json` printed, or `RunsAnswer.to_json()`.
    outlook
        That of `fuelplan outlook … --json` on the same day: whoever is due by it must be on a run or named.
    leave_out
        Names of rules (`RULES`) that are not looked at.
    """
    due = None if outlook is None else promises.deadlines_of(outlook)
    work = Check(read_folder(folder), texts(copy.deepcopy(plan)), due)
    for name, rule in RULES.items():
        if name not in set(leave_out):
            rule(work)
    return work.found


def breaches(
    folder: Path | str,
    plan: dict[str, Any],
    outlook: dict[str, Any] | None = None,
    *,
    leave_out: Iterable[str] = (),
) -> list[str]:
    """Return what a plan breaks and does not itself say, one line each; parameters as with :func:`check`."""
    return [str(b) for b in check(folder, plan, outlook, leave_out=leave_out) if not b.said]


def told_breaches(folder: Path | str, plan: dict[str, Any]) -> list[str]:
    """Return what published runs break and the plan says so."""
    return [str(b) for b in check(folder, plan) if b.said]

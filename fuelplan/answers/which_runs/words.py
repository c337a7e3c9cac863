"""The run plan in plain words, most important first."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from fuelplan.answers.round.came import ToConfirm
from fuelplan.answers.which_runs.answer import (
    DayTotals,
    DueCustomer,
    NotServed,
    PromiseAtRisk,
    Run,
    ToRing,
    WishNotKept,
)
from fuelplan.answers.who_is_due import doubts as round_doubts
from fuelplan.answers.who_is_due.doubts import ReadingDoubted


def sentences_of(
    as_of: date, runs: Sequence[Run], per_day: Sequence[DayTotals], due: Sequence[DueCustomer],
    ring: Sequence[ToRing], left: Sequence[NotServed], risky: Sequence[PromiseAtRisk],
    changes: Sequence[str], wishes: Sequence[WishNotKept] = (), faulty: int = 0,
    asked: Sequence[ToConfirm] = (), doubted: Sequence[ReadingDoubted] = (),
) -> tuple[str, ...]:  # fmt: skip
    """Return the answer: the next day's runs, the week, who is due and at risk, whom to ring.

    `faulty` is the number of published runs with a fault.
    """
    out = [_next_day(runs, per_day), _week(runs, per_day)]
    if due:
        out.append(_due(due, per_day[-1].day))
    if risky:
        names = ", ".join(f"{p.order} ({p.customer})" for p in risky[:4]) + (" …" if len(risky) > 4 else "")
        out.append(f"{_count(len(risky), 'promise')} in danger: {names}.")
    if ring:
        names = ", ".join(r.customer for r in ring[:6]) + (" …" if len(ring) > 6 else "")
        out.append(f"Ring {_count(len(ring), 'on-request customer')} whose fuel is getting low: {names}.")
    if left:
        out.append(
            f"{_count(len(left), 'customer or order', 'customers or orders')} without a run, each with its "
            "reason."
        )
    if changes:
        out.append(f"{_count(len(changes), 'published stop')} had to change.")
    if asked:
        out.append(_asked(asked))
    if doubted:
        out.append(round_doubts.asked(doubted))
    if faulty:
        out.append(f"{_count(faulty, 'published run')} cannot stay as published: please look.")
    if wishes:
        names = ", ".join(w.customer for w in wishes)
        out.append(f"{_count(len(wishes), 'wish', 'wishes')} cannot be kept, each with its reason: {names}.")
    return tuple(out)


def _due(due: Sequence[DueCustomer], until: date) -> str:
    """Return how many watched stores must be served, and how many may be too low before a tanker comes."""
    text = (
        f"{_count(len(due), 'top-up customer')} {'is' if len(due) == 1 else 'are'} due by {until.isoformat()}"
    )
    late = sum(d.overdue for d in due)
    if late:
        text += f"; {late} of them at risk: the reserve may be reached before a tanker can be there"
    return text + "."


def _asked(asked: Sequence[ToConfirm]) -> str:
    """Return the question whether published drops came, and how is planned until it is answered."""
    names = ", ".join(stop.customer for stop in asked[:6]) + (" …" if len(asked) > 6 else "")
    return (
        f"Did they come? {_count(len(asked), 'published stop')} of past days without a weigh note: {names}. "
        "Until you say so, their orders wait; days follow as if nothing had come, amounts as if all had."
    )


def faulty(runs: Sequence[Run]) -> int:
    """Return how many published runs break a rule by what is known now."""
    return sum(run.frozen and bool(run.faults) for run in runs)


def _next_day(runs: Sequence[Run], per_day: Sequence[DayTotals]) -> str:
    if not per_day:
        return "No working day lies in the days asked for."
    first = per_day[0].day
    mine = [r for r in runs if r.day == first]
    if not mine:
        later = [d.day for d in per_day if d.runs]
        return f"Nobody needs a tanker on {first.isoformat()}" + (
            f"; the next run is on {later[0].isoformat()}." if later else ", nor on any day of the plan."
        )
    tankers = list(dict.fromkeys(r.tanker for r in mine))
    stops = sum(len(r.stops) for r in mine)
    return (
        f"On {first.isoformat()}: {_count(len(mine), 'run')} by {', '.join(tankers)}, "
        f"{_count(stops, 'stop')}, "
        f"{sum(r.kg for r in mine) / 1000:.1f} t, about {sum(r.km for r in mine):.0f} km."
    )


def _week(runs: Sequence[Run], per_day: Sequence[DayTotals]) -> str:
    kg, km = sum(r.kg for r in runs), sum(r.km for r in runs)
    if not runs:
        return f"{_count(len(per_day), 'working day')} planned, no run."
    return (
        f"{_count(len(per_day), 'working day')}: {_count(len(runs), 'run')}, {kg / 1000:.0f} t, {km:.0f} km, "
        f"{1000 * km / kg:.1f} km for each tonne."
    )


def _count(number: int, one: str, many: str | None = None) -> str:
    return f"{number} {one if number == 1 else many or one + 's'}"

"""What a dispatcher writes down about runs: published ones, what has happened, a person's word on a stop."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from fuelplan.answers.runs_answer import Run, RunsAnswer
from fuelplan.round_folder import (
    Happening,
    PublishedStop,
    Round,
    Wish,
    add_happening,
    add_wish,
    write_published,
)


class RecordError(ValueError):
    """Something that cannot be written down as it was said, and what to say instead."""


def publish_runs(round_: Round, answer: RunsAnswer, days: Sequence[date]) -> int:
    """Write the runs of some days to `published.csv`, where they stay as they are; return how many stops.

    What was published for these days before is replaced; other days are left alone.
    """
    unknown = [d for d in days if d not in answer.days]
    if unknown:
        raise RecordError(f"{unknown[0].isoformat()} is no day of this plan; name one of its working days")
    chosen = set(days)
    kept = [s for s in round_.published if s.day not in chosen]
    new = [stop for run in answer.runs if run.day in chosen for stop in _published(run)]
    write_published(round_.path, [*kept, *new], known=round_)
    return len(new)


def _published(run: Run) -> list[PublishedStop]:
    return [
        PublishedStop(
            run.day, run.tanker, run.trip, s.position, s.customer, s.klass, s.kg, round(s.arrive_h, 2)
        )
        for s in run.stops
    ]


def record_happening(
    round_: Round,
    what: str,
    day: date,
    *,
    until: date | None = None,
    customer: str | None = None,
    tanker: str | None = None,
    depot: str | None = None,
    klass: str | None = None,
    factor: float = 1.0,
    reason: str = "",
) -> None:
    """Write down what upset the plan: "failed drop", "tanker out", "slow roads" or "depot out of stock".

    Raises
    ------
    RoundFaults
        Where it names nobody known, or lacks what it needs; nothing is written.
    """
    add_happening(
        round_.path,
        Happening(day, what, until or day, customer, tanker, depot, factor, klass, reason),
        known=round_,
    )


def record_wish(
    round_: Round,
    customer: str,
    wish: str,
    *,
    day: date | None = None,
    tanker: str | None = None,
    why: str = "",
) -> None:
    """Write down a person's word on a stop: "pin", "forbid" or "move"."""
    add_wish(round_.path, Wish(customer, wish, day, tanker, why=why), known=round_)

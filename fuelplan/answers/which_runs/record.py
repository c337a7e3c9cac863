"""What a dispatcher writes down about runs: published ones, what has happened, a person's word on a stop."""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from typing import Literal

from fuelplan.answers.round.came import what_came
from fuelplan.answers.round.noted_words import happening_said, wish_said
from fuelplan.answers.which_runs.answer import Run, RunsAnswer
from fuelplan.answers.which_runs.seen import changed_for_token, changed_since, place_of
from fuelplan.dispatch.published import ASKED_DAYS
from fuelplan.messages import Day, Listed, Message, Own, Refusal, message
from fuelplan.records.folder import saving
from fuelplan.records.round import (
    Happening,
    PublishedStop,
    Round,
    Wish,
    add_happening,
    add_wish,
    publish,
    remove_row,
    working_days_of,
)


@dataclass(frozen=True)
class Noted:
    """One line that was written down about the plan.

    Attributes
    ----------
    kind
        "wish" or "happening".
    row
        Its row in `wishes.csv` or `happenings.csv`, as a spreadsheet numbers it.
    said
        The line in words.
    cells
        What the row must still read when it is taken out.
    mark
        What tells this line from another that may stand in its row by now.
    """

    kind: Literal["wish", "happening"]
    row: int
    said: Message
    cells: tuple[tuple[str, str], ...]
    mark: str

    @property
    def name(self) -> str:
        """What it goes by, its row and its mark: "wish 2-1f0c9b"."""
        return f"{self.kind} {self.row}-{self.mark}"


ABOUT_A_DROP = ("failed drop", "came")
"""Happenings that are about one drop, and so about its day."""


class RecordError(Refusal):
    """Something that cannot be written down as it was said, and what to say instead."""


class PlanOutdated(RecordError):
    """A plan that is not published, because it is no longer the latest; `changed` says what has changed."""

    def __init__(self, changed: Sequence[Message]) -> None:
        """Say what has changed, and what to do."""
        self.changed = tuple(changed)
        super().__init__(
            message(
                "runs.plan_outdated",
                "nothing was published, this plan is no longer the latest: {changed}. Plan again",
                changed=Listed(self.changed, "; "),
            )
        )


@saving(message("saving.published_runs", "the published runs were not saved"))
def publish_runs(
    round_: Round, answer: RunsAnswer, days: Sequence[date], *, by: str = "", plan: str | None = None
) -> int:
    """Write the runs of some days to `published.csv`, where they stay as they are; return how many stops.

    What was published for these days before is replaced; other days are left alone. The folder is held while
    it is read again, compared with what the plan was made from, and written.

    Parameters
    ----------
    by
        Who publishes.
    plan
        The token of the plan that was looked at, where that was another answer than this one.

    Raises
    ------
    RecordError
        For a day that the plan does not have, or a plan of something else than was looked at.
    PlanOutdated
        Where orders, wishes, happenings, customers, books or published days have changed since; nothing is
        written.
    """
    unknown = [d for d in days if d not in answer.days]
    if unknown:
        raise RecordError(
            message(
                "runs.no_day_of_plan", "{day} is not a day of this plan; name one of its working days",
                day=Day(unknown[0]),
            )
        )  # fmt: skip
    if plan is not None and plan.strip() != answer.plan:
        raise PlanOutdated(changed_for_token(plan, answer.plan))
    chosen = set(days)
    made_from = answer.made_from or round_
    who = " ".join(by.split())
    new = [stop for run in answer.runs if run.day in chosen for stop in _published(run, who)]

    def stops(now: Round) -> list[PublishedStop]:
        changed = changed_since(made_from, now, answer.runs)
        if changed:
            raise PlanOutdated(changed)
        before = {place_of(s): s for s in now.published}
        kept = [s for s in now.published if s.day not in chosen]
        return [*kept, *(_first_published(s, before.get(place_of(s))) for s in new)]

    publish(round_.path, stops, sound_only=bool(round_.left_out))
    return len(new)


def _first_published(stop: PublishedStop, before: PublishedStop | None) -> PublishedStop:
    """Return a stop with the name of who published it first, where it stands in the file just so."""
    return stop if before is None or not before.by else replace(stop, by=before.by)


def _published(run: Run, by: str) -> list[PublishedStop]:
    """Return a run's stops as they are published, to the minute."""
    chambers = tuple((c.grade, float(round(c.kg))) for c in run.chambers)
    breaks = tuple((_minute(b.at_h), _minute(b.hours), b.before_stop) for b in run.breaks)
    return [
        PublishedStop(
            run.day,
            run.tanker,
            run.trip,
            s.position,
            s.customer,
            s.grade,
            s.kg,
            _minute(s.arrive_h),
            start_h=_minute(s.start_h),
            leave_h=_minute(s.leave_h),
            told_from_h=s.told_from_h,
            told_to_h=s.told_to_h,
            order=s.order,
            run_leaves_h=_minute(run.leave_h),
            run_back_h=_minute(run.back_by_h),
            chambers=chambers,
            breaks=breaks,
            by=by,
        )
        for s in run.stops
    ]


def _minute(hours: float) -> float:
    return round(60 * hours) / 60


@saving(message("saving.happened", "what happened was not saved"))
def record_happening(
    round_: Round,
    what: str,
    day: date,
    *,
    until: date | None = None,
    customer: str | None = None,
    tanker: str | None = None,
    depot: str | None = None,
    grade: str | None = None,
    factor: float = 1.0,
    kg: float | None = None,
    reason: str = "",
) -> None:
    """Write down what upset the plan: "failed drop", "tanker out", "slow roads" or "depot out of stock"; or
    that a drop "came", with `kg` where that was not what was published.

    Raises
    ------
    RoundFaults
        Where it names nobody known, or lacks what it needs; nothing is written.
    """
    add_happening(
        round_.path,
        Happening(day, what, until or day, customer, tanker, depot, factor, grade, reason, kg=kg),
        known=round_,
    )


def day_of_happening(round_: Round, what: str, as_of: date, customer: str | None = None) -> date:
    """Return the day that something noted on the evening of `as_of` is about, where no other is said.

    What is about a drop ("failed drop", "came") falls on the customer's last published day up to `as_of` that
    nobody has answered for, else the last one, else the next one to come, else today; all else on the next
    day on which tankers drive.
    """
    if what not in ABOUT_A_DROP:
        return working_days_of(round_.table).add(as_of, 1)
    asked = [s.day for s in what_came(round_, as_of).to_confirm if s.customer == customer]
    days = sorted({s.day for s in round_.published if s.customer == customer})
    recent = [d for d in days if as_of - timedelta(days=ASKED_DAYS) <= d <= as_of]
    coming = [d for d in days if d > as_of]
    return max(asked, default=None) or max(recent, default=None) or min(coming, default=as_of)


@saving(message("saving.wish", "your wish was not saved"))
def record_wish(
    round_: Round,
    customer: str,
    wish: str,
    *,
    day: date | None = None,
    tanker: str | None = None,
    by: str = "",
    why: str = "",
) -> None:
    """Write down a person's word on a stop: "pin", "forbid" or "move"."""
    add_wish(round_.path, Wish(customer, wish, day, tanker, by=by, why=why), known=round_)


def noted(round_: Round) -> tuple[Noted, ...]:
    """Return every wish and every happening of the folder, in the order of their files."""
    wishes = [Noted("wish", w.row, wish_said(round_, w), _wish_cells(w), _mark(w)) for w in round_.wishes]
    happenings = [
        Noted("happening", h.row, happening_said(round_, h), _happening_cells(h), _mark(h))
        for h in round_.happenings
    ]
    return (*wishes, *happenings)


def _mark(line: Wish | Happening) -> str:
    return hashlib.sha256(repr(replace(line, row=0)).encode("utf-8")).hexdigest()[:6]


@saving(message("saving.change", "your change was not saved"))
def take_out(round_: Round, entries: Sequence[Noted]) -> None:
    """Take wishes and happenings out of the folder, whichever and however old; each can be put back by undo.

    Raises
    ------
    EditError
        Where a row was changed meanwhile: it stays, and so do those above it.
    """
    for entry in sorted(set(entries), key=lambda e: (e.kind, -e.row)):  # from below: the rows above stay put
        remove_row(round_.path, f"{entry.kind}{'es' if entry.kind == 'wish' else 's'}", entry.row,
                   dict(entry.cells))  # fmt: skip


def noted_by_name(round_: Round, names: Sequence[str]) -> tuple[Noted, ...]:
    """Return the entries that go by names such as "wish 2-1f0c9b".

    A row alone is no name: by now another line may stand there than the one that a person was shown. A line
    whose row has changed is still found by its mark.

    Raises
    ------
    RecordError
        Where there is none of that name.
    """
    entries = noted(round_)
    found = []
    for name in names:
        plain = " ".join(name.split()).casefold()
        kind, _, mark = plain.partition(" ")[0], *plain.rpartition("-")[1:]
        same = [e for e in entries if (e.kind, e.mark) == (kind, mark)]
        if not same:
            raise RecordError(_not_there(name, entries))
        found.append(next((e for e in same if e.name == plain), same[0]))
    return tuple(found)


def _not_there(name: str, entries: Sequence[Noted]) -> Message:
    """Return that there is no entry of a name, and which there are."""
    if not entries:
        return message(
            "runs.nothing_noted",
            'there is no "{name}" in the folder (any more); nothing was taken out. Nothing is noted in it',
            name=Own(name),
        )
    there = tuple(
        message("runs.entry", "{name} ({entry})", name=Own(e.name), entry=e.said) for e in entries
    )
    return message(
        "runs.no_such_entry",
        'there is no "{name}" in the folder (any more); nothing was taken out. There is {entries}',
        name=Own(name), entries=Listed(there, "; "),
    )  # fmt: skip


def _wish_cells(wish: Wish) -> tuple[tuple[str, str], ...]:
    day = "" if wish.day is None else wish.day.isoformat()
    return (("customer", wish.customer), ("wish", wish.wish), ("date", day), ("tanker", wish.tanker or ""))


def _happening_cells(what: Happening) -> tuple[tuple[str, str], ...]:
    about = (("customer", what.customer), ("tanker", what.tanker), ("depot", what.depot))
    return (
        ("date", what.day.isoformat()),
        ("what", what.what),
        *((name, text or "") for name, text in about),
    )

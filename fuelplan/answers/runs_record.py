"""What a dispatcher writes down about runs: published ones, what has happened, a person's word on a stop."""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import Literal

from fuelplan.answers.runs_answer import Run, RunsAnswer
from fuelplan.round_folder import (
    Happening,
    PublishedStop,
    Round,
    Wish,
    add_happening,
    add_wish,
    remove_row,
    write_published,
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
        The line in words; days as 2026-01-20.
    cells
        What the row must still read when it is taken out.
    """

    kind: Literal["wish", "happening"]
    row: int
    said: str
    cells: tuple[tuple[str, str], ...]

    @property
    def mark(self) -> str:
        """What tells this line from another that may stand in its row by now."""
        return hashlib.sha256(repr((self.kind, self.said, self.cells)).encode("utf-8")).hexdigest()[:6]

    @property
    def name(self) -> str:
        """What it goes by, its row and its mark: "wish 2-1f0c9b"."""
        return f"{self.kind} {self.row}-{self.mark}"


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


def noted(round_: Round) -> tuple[Noted, ...]:
    """Return every wish and every happening of the folder, in the order of their files."""
    wishes = [Noted("wish", w.row, _wish_said(round_, w), _wish_cells(w)) for w in round_.wishes]
    happenings = [
        Noted("happening", h.row, _happening_said(round_, h), _happening_cells(h)) for h in round_.happenings
    ]
    return (*wishes, *happenings)


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
            there = "; ".join(f"{e.name} ({e.said})" for e in entries)
            raise RecordError(f'there is no "{name}" in the folder (any more); nothing was taken out. ' + (
                              f"There is {there}" if there else "Nothing is noted in it"))  # fmt: skip
        found.append(next((e for e in same if e.name == plain), same[0]))
    return tuple(found)


def _wish_said(round_: Round, wish: Wish) -> str:
    on = "" if wish.day is None else f" {'to' if wish.wish == 'move' else 'on'} {wish.day.isoformat()}"
    by = "" if wish.tanker is None else f" with {wish.tanker}"
    why = f" ({wish.why})" if wish.why else ""
    return f"{wish.wish} {_customer(round_, wish.customer)}{on}{by}{why}"


def _happening_said(round_: Round, what: Happening) -> str:
    of = what.tanker or what.depot or ""
    if what.customer is not None:
        of = _customer(round_, what.customer)
    if what.what == "slow roads":
        of = f"× {what.factor:g}" + (f" around {what.depot}" if what.depot else "")
    if what.klass:
        of += f", {what.klass}"
    until = f" to {what.until.isoformat()}" if what.until != what.day else ""
    why = f" ({what.reason})" if what.reason else ""
    return f"{what.what}: {of}, {what.day.isoformat()}{until}{why}"


def _customer(round_: Round, customer: str) -> str:
    name = str(round_.customers.name[round_.customers.number_of[customer]])
    return f"{customer} {name}".strip()


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

"""What was learned held against what was read, what is stated, and what it was before something changed."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

import numpy as np
from numpy.typing import NDArray

from fuelplan.learning import Estimate, Interval, Posterior, UseChange
from fuelplan.messages import Day, Message, Percent, Quantity, message

Floats = NDArray[np.float64]

Calendar = date  # the published key of a change is called date

SMALL_SHARE = 0.03  # less than this off the stated figure is no news
LEAST_OF_A_YEAR = 0.5
"""Readings that tell less than this share of a usual year's use are not made a year of (our choice)."""


@dataclass(frozen=True)
class FoundChange:
    """A lasting change of the building, the boiler or the people.

    `year_before_kg` and `year_after_kg` are what a usual year took before and takes since. [kg]
    """

    date: Calendar
    first_day: Calendar
    last_day: Calendar
    kind: str
    share: float
    share_p10: float
    share_p90: float
    year_before_kg: float
    year_after_kg: float
    sentence: Message

    @property
    def in_a_year(self) -> Message:
        """What it means for a usual year."""
        return message(
            "learn.change_in_a_year",
            "In a usual year that is about {after} instead of {before}.",
            after=Quantity(self.year_after_kg, "mass"),
            before=Quantity(self.year_before_kg, "mass"),
        )


def found_changes(
    changes: Sequence[UseChange], year: Estimate, degree_days: float, days: int
) -> tuple[FoundChange, ...]:
    """Return changes with what each means for a usual year of that many degree-days, in order of time."""
    after, out = year.p50, list[FoundChange]()
    for c in reversed(changes):
        before = max(0.0, after - c.kg_per_degree_day * degree_days - c.kg_per_day * days)
        out.append(
            FoundChange(
                c.day, c.first_day, c.last_day, c.kind, c.share, c.share_p10, c.share_p90,
                before, after, c.sentence,
            )
        )  # fmt: skip
        after = before
    return tuple(reversed(out))


@dataclass(frozen=True)
class Metered:
    """What the readings since the last change add up to, for a usual year.

    Attributes
    ----------
    since, until
        First and last day.
    used_kg
        What was burned between them, spells left out that were set aside. [kg]
    year_kg
        The same for a usual year: by how much a usual year takes more than these days, as learned. [kg]
    """

    since: date
    until: date
    used_kg: float
    year_kg: float


def metered(posterior: Posterior, year: Estimate) -> Metered | None:
    """Return what the readings add up to, by the meter with most stretches; None where that is too little."""
    if posterior.fit is None:
        return None
    since = posterior.changes[-1].last_day if posterior.changes else date.min
    groups: dict[str, list[Interval]] = {}
    for i in posterior.fit.intervals:
        if not i.flagged and i.first_day >= since:
            groups.setdefault(i.meter, []).append(i)
    mine = max(groups.values(), key=len, default=[])
    expected_kg = sum(i.expected_kg for i in mine)
    if not mine or expected_kg < LEAST_OF_A_YEAR * year.p50:
        return None
    used_kg = sum(i.used_kg for i in mine)
    return Metered(mine[0].first_day, mine[-1].last_day, used_kg, year.p50 * used_kg / expected_kg)


def against_folder(year: Estimate, paper_kg: float, read: Metered | None) -> tuple[Message, ...]:
    """Return how the readings stand to the folder's own figure; nothing where they differ by little."""
    paper = Quantity(paper_kg, "mass")
    year_kg = year.p50 if read is None else read.year_kg
    share = year_kg / paper_kg - 1
    if year.p10 <= paper_kg <= year.p90:
        return (message("learn.folder_fits", "The folder's own figure of {paper} fits that.", paper=paper),)
    if abs(share) < SMALL_SHARE:
        return ()
    if read is not None:
        return (_read_and_stated(read, share, paper),)
    if share > 0:
        more = message(
            "learn.more_than_folder",
            "That is about {share} more than the folder's own figure of {paper}.",
            share=Percent(share),
            paper=paper,
        )
        return (more,)
    less = message(
        "learn.less_than_folder",
        "That is about {share} less than the folder's own figure of {paper}.",
        share=Percent(-share),
        paper=paper,
    )
    return (less,)


def _read_and_stated(read: Metered, share: float, paper: Quantity) -> Message:
    since, year = Day(read.since, year=True), Quantity(read.year_kg, "mass")
    if share > 0:
        return message(
            "learn.read_more_than_folder",
            "Since {since} your readings add up to about {read} for a usual year; the folder's own figure is "
            "{paper}, and you use {share} more.",
            since=since,
            read=year,
            paper=paper,
            share=Percent(share),
        )
    return message(
        "learn.read_less_than_folder",
        "Since {since} your readings add up to about {read} for a usual year; the folder's own figure is "
        "{paper}, and you use {share} less.",
        since=since,
        read=year,
        paper=paper,
        share=Percent(-share),
    )

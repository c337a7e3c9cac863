"""When did the building, the boiler or the people change, and by how much."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date
from typing import Literal

import numpy as np

from fuelplan.learning import change_words
from fuelplan.learning.case import Case, LeftOver, left_over
from fuelplan.learning.screening import evening_of
from fuelplan.learning.state import PosteriorCells
from fuelplan.learning.sums import Floats, Ints
from fuelplan.messages import Message

Kind = Literal["all", "slope", "day"]

KINDS: tuple[Kind, ...] = ("all", "slope", "day")
"""What may change: all use by one share (a boiler), use per degree-day (windows), use a day (people)."""

LEAST_ODDS = 2.0
"""A change is told where it is more than this many times as likely as that there was none."""

WINTERS = ((0.02, 0.3), (0.05, 0.4), (0.08, 0.2), (0.12, 0.1))
"""How much heating years of a house differ for no lasting reason, as standard deviations, and how likely each
is beforehand (assumptions): a change must explain more than odd winters do."""

UNLIKELY = 0.02
"""Sizes of the noise that are less likely than this share of the likeliest are left out."""

EACH_YEARS = 10.0
"""A house changes about once in so many years, of each kind alike (an assumption). [a]"""

LEAST_SHARE = 0.05
"""Changes of less than this are not reported."""

FEWEST, LEAST_SPAN_DAYS = 10, 400
"""Readings, and days they span, below which no change is looked for: one winter may just be an odd one."""

EDGE_DAYS = 21
"""A change needs this many days of readings before and after it."""

APART_DAYS = 183
"""Two changes lie at least so far apart: nearer than that, bills cannot tell them from one. [d]"""

EARLY_DAYS, EARLY_FACTOR = 61, 20.0
"""What seems to have begun so shortly before the last reading [d] is told where it makes the readings so many
times as likely, but is not yet called lasting."""

STEP_DAYS = 5
"""Dates are tried this far apart. [d]"""

MOST = 4
"""More changes than this are not looked for."""


@dataclass(frozen=True)
class UseChange:
    """One lasting change of what the building burns.

    Attributes
    ----------
    kind
        "all": use by one share, heating and daily part alike; "slope": use per degree-day; "day": use a day
        whatever the weather.
    day, first_day, last_day
        Likeliest day of the change, and the days it lies between with 80 % probability.
    share
        Change as a share of what it was: of the use per degree-day for kind "slope", else of a mean day's
        use.
    share_p10, share_p90
        80 % interval of that.
    kg_per_degree_day, kg_per_day
        The change itself. [kg/K/d, kg/d]
    odds
        How many times as likely a change is as none.
    sentence
        For people.
    """

    kind: Kind
    day: date
    first_day: date
    last_day: date
    share: float
    share_p10: float
    share_p90: float
    kg_per_degree_day: float
    kg_per_day: float
    odds: float
    sentence: Message


@dataclass(frozen=True)
class _Step:
    """A change before it is told: its half-day indices, about its size, and the odds."""

    kind: Kind
    at: int
    first_at: int
    last_at: int
    share: float
    odds: float


def find_changes(
    case: Case, cells: PosteriorCells
) -> tuple[Case, PosteriorCells, tuple[UseChange, ...], tuple[Message, ...]]:
    """Look for lasting changes, the likeliest first; each one found becomes part of the model.

    Every date and kind has a Bayes factor: that of a change then, its size normal with
    `Assumptions.change_rel_sd`, against none. Their sum, each times how likely a change is beforehand, is the
    odds. Where several are found, each is dated again with the others in the model. What began in the last
    two months is told as something that may yet pass: the last value are such sentences.
    """
    plain, found = case, list[_Step]()
    for _ in range(MOST):
        one = _likeliest(case, cells)
        if one is None:
            break
        found.append(one)
        case = _with(plain, found)
        cells = case.solve()
    if len(found) > 1:
        found = _again(plain, found)
        case = _with(plain, found)
        cells = case.solve()
    told = _told(case, cells, found) if found else ()
    return case, cells, told, _seems(case, cells)


def _again(plain: Case, found: list[_Step]) -> list[_Step]:
    """Return each change as it is found with all others in the model; what is none any more is left out."""
    again = list[_Step]()
    for i in range(len(found)):
        others = _with(plain, again + found[i + 1 :])
        one = _likeliest(others, others.solve())
        if one is not None:
            again.append(one)
    return again


def _with(case: Case, steps: Sequence[_Step]) -> Case:
    return replace(
        case,
        slope_change_at=tuple(s.at for s in steps if s.kind != "day"),
        day_change_at=tuple(s.at for s in steps if s.kind != "slope"),
    )


def _evening(case: Case, at: int) -> date:
    return evening_of(case.record.first_day, at + 1)


def _read_at(case: Case) -> list[int]:
    return [a for a, o in zip(case.record.at, case.record.observations, strict=True) if o.kind != "room"]


def _early_at(case: Case) -> int:
    """Return the half-day index from which on it is too early to call anything lasting."""
    return max(_read_at(case), default=0) - 2 * EARLY_DAYS


def _dates(case: Case) -> Ints:
    """Half-day indices at which a change is looked for, away from the ends and from changes already known."""
    at = _read_at(case)
    if len(at) < FEWEST or max(at) - min(at) < 2 * LEAST_SPAN_DAYS:
        return np.zeros(0, dtype=np.int64)
    begin, end = min(at) + 2 * EDGE_DAYS, max(at) - 2 * EDGE_DAYS
    dates = np.arange(begin - begin % 2, end, 2 * STEP_DAYS)
    for known in (*case.slope_change_at, *case.day_change_at):
        dates = dates[np.abs(dates - known) > 2 * APART_DAYS]
    return dates


def _likeliest(case: Case, cells: PosteriorCells) -> _Step | None:
    """Return the likeliest kind and date, over all sizes of the noise; None where the odds are too low."""
    dates = _dates(case)
    dates = dates[dates <= _early_at(case)]
    if not len(dates):
        return None
    by_date, sizes = _factors(case, cells, dates)
    by_date = by_date + math.log(STEP_DAYS / 365.25 / EACH_YEARS / len(KINDS))
    odds = math.exp(min(float(np.logaddexp.reduce(by_date, axis=None)), 50.0))
    kind = int(np.argmax(np.logaddexp.reduce(by_date, axis=1)))
    share = np.exp(by_date[kind] - by_date[kind].max())
    best, until = int(np.argmax(share)), np.cumsum(share) / share.sum()
    early, late = (min(int(np.searchsorted(until, q)), len(dates) - 1) for q in (0.1, 0.9))
    if odds < LEAST_ODDS or abs(sizes[kind, best]) < LEAST_SHARE:
        return None
    first, last = int(dates[min(early, best)]), int(dates[max(late, best)])
    return _Step(KINDS[kind], int(dates[best]), first, last, float(sizes[kind, best]), odds)


def _seems(case: Case, cells: PosteriorCells) -> tuple[Message, ...]:
    """Return what seems to have changed in the last two months, in a sentence; nothing where nothing does."""
    dates = _dates(case)
    dates = dates[dates > _early_at(case)]
    if not len(dates):
        return ()
    by_date, sizes = _factors(case, cells, dates)
    best = np.unravel_index(int(np.argmax(by_date)), by_date.shape)
    mean = np.logaddexp.reduce(by_date, axis=None) - math.log(by_date.size)
    if mean < math.log(EARLY_FACTOR) or abs(sizes[best]) < LEAST_SHARE:
        return ()
    return (change_words.maybe_changed(_evening(case, int(dates[best[1]])), float(sizes[best])),)


def _factors(case: Case, cells: PosteriorCells, dates: Ints) -> tuple[Floats, Floats]:
    """Return the log Bayes factor of each kind of change at each date, and its size: (kinds, dates)."""
    lefts, weight = _against(case, cells)
    asked = [[_asked(left, kind, dates) for kind in KINDS] for left in lefts]
    prior_sd = case.assumptions.change_rel_sd
    factor = np.array([[_log_factor(z, sd, prior_sd) for z, _, sd in row] for row in asked])
    told = factor + (weight - np.logaddexp.reduce(weight))[:, None, None]
    size = np.array([[size for _, size, _ in row] for row in asked])
    likeliest = told.argmax(axis=0)[None]
    return np.logaddexp.reduce(told, axis=0), np.take_along_axis(size, likeliest, axis=0)[0]


def _against(case: Case, cells: PosteriorCells) -> tuple[list[LeftOver], Floats]:
    """Return what is left over without a change, by size of the noise and of odd winters, and the log weights
    of these before they are made to sum to 1.
    """
    likely = cells.weight[0].sum(axis=1)
    chance = np.asarray(case.assumptions.noise_weight)
    lefts, weight = list[LeftOver](), list[float]()
    for i in np.flatnonzero(likely > UNLIKELY * likely.max()):
        by_days_and_weeks = cells.noise[i] * [1.0, 1.0, 0.0]
        for winters_sd, beforehand in WINTERS:
            lefts.append(left_over(case, cells, by_days_and_weeks, winters_sd))
            weight.append(lefts[-1].log_likelihood + math.log(chance[i] * beforehand))
    return lefts, np.array(weight)


def _asked(left: LeftOver, kind: Kind, dates: Ints) -> tuple[Floats, Floats, Floats]:
    """Return z, size and standard deviation of a change at each date, as shares of what is burned there: of
    the heating for kind "slope", else of all use.
    """
    slope, day_kg = _burned(left, dates)
    mean_kg = slope * left.degree_days[-1] / max(float(left.days[-1]), 1.0) + day_kg
    heating = 0.0 if kind == "day" else slope
    daily = {"all": day_kg, "slope": np.zeros_like(day_kg), "day": mean_kg}[kind]
    marks = left.use_marks(left.degree_days, dates) * heating + left.use_marks(left.days, dates) * daily
    return left.ask(marks)


def _burned(left: LeftOver, dates: Ints) -> tuple[Floats, Floats]:
    """Return slope and daily part in force just before some half-day indices. [kg/K/d, kg/d]"""
    begin = np.array([at for at, _, _ in left.steps])[:, None] < np.maximum(dates, 1)[None, :]
    slope, day_kg = (np.array([s[i] for s in left.steps]) @ begin for i in (1, 2))
    return np.maximum(slope, 1e-9), np.maximum(day_kg, 1e-9)


def _log_factor(z: Floats, sd: Floats, prior_sd: float) -> Floats:
    """Log Bayes factors of a change of normal size against none."""
    ratio = (prior_sd / sd) ** 2
    return np.asarray(0.5 * z**2 * ratio / (1 + ratio) - 0.5 * np.log1p(ratio))


def _told(case: Case, cells: PosteriorCells, found: Sequence[_Step]) -> tuple[UseChange, ...]:
    """Return changes with their sizes as the model has them, in order of time."""
    left, out = left_over(case, cells), list[UseChange]()
    cold = left.degree_days[-1] / max(float(left.days[-1]), 1.0)
    for step in sorted(found, key=lambda s: s.at):
        slope, day_kg = (float(v[0]) for v in _burned(left, np.array([step.at])))
        by_slope, by_day, sd = left.change(step.at, 1.0 if step.kind == "slope" else float(cold))
        if step.kind == "slope":
            size, was = by_slope, slope
        else:
            size, was = by_slope * cold + by_day, slope * cold + day_kg
        spread = 1.2816 * sd / was
        share = size / was
        day, first, last = (_evening(case, at) for at in (step.at, step.first_at, step.last_at))
        said = change_words.changed(step.kind, (day, first, last), share, by_day)
        out.append(
            UseChange(
                step.kind,
                day,
                first,
                last,
                share,
                share - spread,
                share + spread,
                by_slope,
                by_day,
                step.odds,
                said,
            )
        )
    return tuple(out)

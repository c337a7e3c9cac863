"""When did the building, the boiler or the people change, and by how much."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from datetime import date
from typing import Literal

import numpy as np

from fuelplan.learning import words
from fuelplan.learning.case import Case, LeftOver, left_over
from fuelplan.learning.screening import evening_of
from fuelplan.learning.state import PosteriorCells
from fuelplan.learning.sums import Floats, Ints
from fuelplan.messages import Message

Kind = Literal["slope", "day"]

LIMIT = 4.0
"""Least z of a change, the greatest over all dates and both kinds. With it about 1 house in 80 that
never changes, read every month and looked at four times a year for ten years, hears of a change (computed,
see docs/learning.md)."""

LEAST_SHARE = 0.05
"""Changes of less than this are not reported."""

FEWEST, LEAST_SPAN_DAYS = 10, 400
"""Readings, and days they span, below which no change is looked for: one winter may just be an odd one."""

EDGE_DAYS = 21
"""A change needs this many days of readings before and after it."""

STEP_DAYS = 5
"""Dates are tried this far apart. [d]"""


DAY_NOISE = (0.06, 0.10, 0.16, 0.25, 0.40, 0.65)
DAY_NOISE_WEIGHT = (0.05, 0.15, 0.25, 0.30, 0.18, 0.07)
"""Day-to-day noise that a change is held against, and how likely each is beforehand. A season that burns more
is left out here: it could stand for any change."""

TEMPER = 0.5
"""Power of the dates' weights: noise and base temperature are not as well known as the weights suppose.

Set so that on invented houses the 80 % interval holds the true date about that often (computed).
"""


@dataclass(frozen=True)
class UseChange:
    """One lasting change of what the building burns.

    Attributes
    ----------
    kind
        "slope": use per degree-day; "day": use a day whatever the weather.
    day, first_day, last_day
        Likeliest day of the change, and the days it lies between with 80 % probability.
    share
        Change as a share of what it was; of the mean use a day for kind "day".
    share_p10, share_p90
        80 % interval of that.
    kg
        The change itself, in kg/K/d or kg/d.
    sds
        How far from no change, in standard deviations.
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
    kg: float
    sds: float
    sentence: Message


def find_changes(
    case: Case, cells: PosteriorCells, most: int = 3
) -> tuple[Case, PosteriorCells, tuple[UseChange, ...]]:
    """Look for lasting changes, the clearest first; each one found becomes part of the model.

    A change of slope leaves a mark in proportion to the degree-days since, one of the daily part in
    proportion to the days since (a generalised likelihood ratio test over all dates). The date's doubt is
    the posterior over dates, each weighed by its Bayes factor with a normal prior for the size.
    """
    found: list[UseChange] = []
    for _ in range(most):
        change = _clearest(case, cells)
        if change is None:
            break
        at, one = change
        found.append(one)
        if one.kind == "slope":
            case = replace(case, slope_change_at=(*case.slope_change_at, at))
        else:
            case = replace(case, day_change_at=(*case.day_change_at, at))
        cells = case.solve()
    return case, cells, tuple(sorted(found, key=lambda c: c.day))


def _dates(case: Case) -> Ints:
    """Half-day indices at which a change is looked for, away from the ends and from changes already known."""
    at = [a for a, o in zip(case.record.at, case.record.observations, strict=True) if o.kind != "room"]
    if len(at) < FEWEST or max(at) - min(at) < 2 * LEAST_SPAN_DAYS:
        return np.zeros(0, dtype=np.int64)
    begin, end = min(at) + 2 * EDGE_DAYS, max(at) - 2 * EDGE_DAYS
    dates = np.arange(begin - begin % 2, end, 2 * STEP_DAYS)
    for known in (*case.slope_change_at, *case.day_change_at):
        dates = dates[np.abs(dates - known) > 2 * 2 * EDGE_DAYS]
    return dates


def _clearest(case: Case, cells: PosteriorCells) -> tuple[int, UseChange] | None:
    """The date and kind of the greatest likelihood ratio; day-to-day noise may be another with a change."""
    chance = np.log(np.asarray(DAY_NOISE_WEIGHT))
    lefts = [left_over(case, cells, np.array([noise, 0.0, 0.0])) for noise in DAY_NOISE]
    dates = _dates(case)
    if not len(dates):
        return None
    none = max(left.log_likelihood + c for left, c in zip(lefts, chance, strict=True))
    best: tuple[float, Kind, LeftOver, tuple[Floats, Floats, Floats]] | None = None
    for left, c in zip(lefts, chance, strict=True):
        for kind, running in (("slope", left.degree_days), ("day", left.days)):
            asked = left.ask(left.use_marks(running, dates))
            gain = left.log_likelihood + c + 0.5 * float((asked[0] ** 2).max()) - none
            if best is None or gain > best[0]:
                best = gain, "slope" if kind == "slope" else "day", left, asked
    assert best is not None
    gain, sure, left, asked = best
    sds = math.sqrt(max(0.0, 2 * gain))
    if sds < LIMIT:
        return None
    return _change(case, left, dates, sure, asked, sds)


def _change(
    case: Case, left: LeftOver, dates: Ints, kind: Kind, asked: tuple[Floats, Floats, Floats], sds: float
) -> tuple[int, UseChange] | None:
    z, size, sd = asked
    mean_use = left.expected_kg(0, len(left.days) - 1) / max(float(left.days[-1]), 1.0)
    i = int(np.argmax(np.abs(z)))
    before = _before(left, int(dates[i]), float(size[i]), mean_use, kind)
    share = float(size[i]) / before
    if abs(share) < LEAST_SHARE:
        return None
    weight = _date_weights(z, sd, case.assumptions.change_rel_sd * before)
    until, best = np.cumsum(weight), int(np.argmax(weight))
    early, late = (min(int(np.searchsorted(until, q)), len(dates) - 1) for q in (0.1, 0.9))
    low, mid, high = int(dates[min(early, best)]), int(dates[best]), int(dates[max(late, best)])
    day, first, last = (evening_of(case.record.first_day, at + 1) for at in (mid, low, high))
    spread = 1.2816 * float(sd[i]) / before
    if kind == "slope":
        said = words.slope_changed(day, first, last, share)
    else:
        said = words.daily_part_changed(day, first, last, float(size[i]))
    return mid, UseChange(
        kind,
        day,
        first,
        last,
        share,
        share - spread,
        share + spread,
        float(size[i]),
        math.copysign(sds, share),
        said,
    )


def _before(left: LeftOver, at: int, size: float, mean_use: float, kind: str) -> float:
    """Value before the change: the fit over all days is about the mean of before and after."""
    running = left.degree_days if kind == "slope" else left.days
    begin = int(left.evidence.start_at[0])
    after = (running[-1] - running[at]) / max(running[-1] - running[begin], 1e-9)
    whole = left.slope if kind == "slope" else mean_use
    return float(max(whole - size * after, 0.05 * whole, 1e-9))


def _date_weights(z: Floats, sd: Floats, prior_sd: float) -> Floats:
    """Posterior over dates: Bayes factors of a change of normal size against none."""
    ratio = (prior_sd / sd) ** 2
    log_factor = 0.5 * z**2 * ratio / (1 + ratio) - 0.5 * np.log1p(ratio)
    weight: Floats = np.exp(TEMPER * (log_factor - log_factor.max()))
    weight /= weight.sum()
    return weight

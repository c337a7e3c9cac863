"""The textbook's regression beside what was learned: its line, its errors, what it leaves over, and where the
two part.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date

import numpy as np
from numpy.typing import NDArray

from fuelplan.learning.changes import UseChange
from fuelplan.learning.classical import ClassicalFit, CumulativeSum, cumulative_sum, fit_over_bases
from fuelplan.learning.fit import Fit, Interval, degree_days_of
from fuelplan.learning.prior import SignatureError
from fuelplan.messages import Day, Limits, Message, Quantity, Range, message
from fuelplan.weather import DailyWeather

Floats = NDArray[np.float64]

LEAST_INTERVALS = 6
"""Slope, daily part and base temperature are three unknowns; as many again are to show the line's error (our
choice)."""

YEAR_DAYS = 365
ALIKE = 0.03  # less than this share of a year's use apart: the two agree
ALIKE_K = 1.0  # and base temperatures less than this apart
WITHIN = 1.645  # standard errors that chance exceeds 1 time in 10

LOWEST_BASE_C, HIGHEST_BASE_C = -1.0, 32.25
"""Bases that are tried: 30 to 90 °F (CalTRACK 2.0). [degC]"""


@dataclass(frozen=True)
class Estimate:
    """A quantity with the range that holds it 8 times in 10."""

    p10: float
    p50: float
    p90: float


@dataclass(frozen=True)
class Learned:
    """What the line is held against."""

    year_kg: Estimate
    kg_per_degree_day: Estimate
    kg_per_day: Estimate
    base_c: Estimate
    changes: Sequence[UseChange]


@dataclass(frozen=True)
class Seen:
    """All stretches between readings, and their degree-days at every base: shapes (bases,), (bases, n).
    [degC, K·d]
    """

    intervals: Sequence[Interval]
    bases_c: Floats
    degree_days: Floats

    def line(self, which: Sequence[int]) -> ClassicalFit:
        """Return the line through some of them, weighted by days."""
        used_kg = np.array([self.intervals[i].used_kg for i in which])
        days = np.array([self.intervals[i].days for i in which])
        return fit_over_bases(used_kg, days, self.degree_days[:, list(which)], self.bases_c, method="wls")


@dataclass(frozen=True)
class TextbookPoint:
    """One stretch between two readings against the line.

    Attributes
    ----------
    degree_days
        At the line's base temperature. [K·d]
    kg_per_day, line_kg_per_day, residual_kg_per_day
        What was burned, what the line says, and the difference. [kg/d]
    cusum, cusum_bound
        Sum of the recursive residuals up to here in their standard deviations, and the limit to either side
        that chance passes anywhere with 1 line in 20; None for the first stretches, which begin the sum.
    high
        Beyond the median + 3 interquartile ranges.
    """

    first_day: date
    last_day: date
    days: float
    degree_days: float
    kg_per_day: float
    line_kg_per_day: float
    residual_kg_per_day: float
    cusum: float | None
    cusum_bound: float | None
    high: bool


@dataclass(frozen=True)
class Textbook:
    """The variable-base regression of use a day against degree-days a day, weighted by days.

    Attributes
    ----------
    kg_per_degree_day, kg_per_day
        With standard error, t and p (two-sided), the base temperature taken as known. [kg/K/d, kg/d]
    base_c, base_c_low, base_c_high
        Best base temperature, and the range that the profile holds it in 8 times in 10. [degC]
    year_kg, year_kg_se
        A usual year by the line, and its standard error. [kg]
    r2, cv_rmse
        Of the weighted fit; as shares.
    intervals, meter
        How many stretches it goes by, and of which meter; "" for level readings.
    left_limits_on
        Last day of the first stretch at which the cumulative sum lies beyond its limits.
    verdict
        Held against ASHRAE Guideline 14, in a sentence.
    points
        In order of time.
    """

    kg_per_degree_day: float
    kg_per_degree_day_se: float
    kg_per_degree_day_t: float
    kg_per_degree_day_p: float
    kg_per_day: float
    kg_per_day_se: float
    kg_per_day_t: float
    kg_per_day_p: float
    base_c: float
    base_c_low: float
    base_c_high: float
    year_kg: float
    year_kg_se: float
    r2: float
    cv_rmse: float
    intervals: int
    meter: str
    left_limits_on: date | None
    verdict: Message
    points: tuple[TextbookPoint, ...] = field(repr=False)


def textbook_line(
    fit: Fit | None, heated: DailyWeather, activity: Floats | None, year_c: Floats, learned: Learned
) -> tuple[Textbook | None, Message]:
    """Return the textbook line through the stretches between readings, and where it parts from what was
    learned; None, and why, where there is none.

    Stretches that were set aside are left out of both. Where several meters are read, the line goes by the
    one with most stretches: the same days must not count twice.

    Parameters
    ----------
    heated, activity
        What the fit was learned with.
    year_c
        Shape (365,): a usual year. [degC]
    """
    usable = [] if fit is None else _usable(fit)
    if fit is None or len(usable) < LEAST_INTERVALS:
        return None, message(
            "learn.no_line_yet",
            "There is no textbook line yet: it needs at least {least} stretches between readings, and there "
            "are {count} so far.",
            least=LEAST_INTERVALS,
            count=len(usable),
        )
    seen = Seen(fit.intervals, *degree_days_of(fit, heated.mean_c, activity, LOWEST_BASE_C, HIGHEST_BASE_C))
    try:
        line = seen.line(usable)
    except SignatureError:
        return None, message(
            "learn.no_line",
            "There is no textbook line: by these readings alone, use does not grow with the cold, or would "
            "be below zero on warm days. It needs readings from winter and summer.",
        )
    intervals = [fit.intervals[i] for i in usable]
    book = _told(line, intervals, cumulative_sum(line, _per_day(intervals)), year_c)
    return book, _parting(book, line, seen, usable, year_c, learned)


def _usable(fit: Fit) -> list[int]:
    """Return the places of the stretches of the meter, or of level readings, that has most of them."""
    groups: dict[str, list[int]] = {}
    for i, interval in enumerate(fit.intervals):
        if not interval.flagged and interval.days >= 1:
            groups.setdefault(interval.meter, []).append(i)
    return max(groups.values(), key=len, default=[])


def _per_day(intervals: Sequence[Interval]) -> Floats:
    return np.array([i.used_kg / i.days for i in intervals])


def _heating(line: ClassicalFit, year_c: Floats) -> float:
    """Return a usual year's degree-days at the line's base temperature. [K·d]"""
    return float(np.maximum(0.0, line.base_c - year_c[:YEAR_DAYS]).sum())


def _told(
    line: ClassicalFit,
    intervals: Sequence[Interval],
    sums: CumulativeSum | None,
    year_c: Floats,
) -> Textbook:
    heating = _heating(line, year_c)
    points = tuple(_point(line, sums, i, interval) for i, interval in enumerate(intervals))
    left = None if sums is None or sums.left_at is None else intervals[sums.left_at].last_day
    return Textbook(
        kg_per_degree_day=line.per_degree_day,
        kg_per_degree_day_se=line.per_degree_day_se,
        kg_per_degree_day_t=line.per_degree_day_t,
        kg_per_degree_day_p=line.per_degree_day_p,
        kg_per_day=line.per_day,
        kg_per_day_se=line.per_day_se,
        kg_per_day_t=line.per_day_t,
        kg_per_day_p=line.per_day_p,
        base_c=line.base_c,
        base_c_low=line.base_low_c,
        base_c_high=line.base_high_c,
        year_kg=float(line.predict(np.array(heating), np.array(YEAR_DAYS))),
        year_kg_se=line.predict_se(heating, YEAR_DAYS),
        r2=line.r2,
        cv_rmse=line.cv_rmse,
        intervals=line.periods,
        meter=intervals[0].meter,
        left_limits_on=left,
        verdict=line.verdict("monthly"),
        points=points,
    )


def _point(line: ClassicalFit, sums: CumulativeSum | None, i: int, interval: Interval) -> TextbookPoint:
    j = -1 if sums is None else i - sums.first
    used = interval.used_kg / interval.days
    return TextbookPoint(
        first_day=interval.first_day,
        last_day=interval.last_day,
        days=interval.days,
        degree_days=float(line.design[i, 1]) * interval.days,
        kg_per_day=used,
        line_kg_per_day=used - float(line.residuals[i]),
        residual_kg_per_day=float(line.residuals[i]),
        cusum=None if sums is None or j < 0 else float(sums.value[j]),
        cusum_bound=None if sums is None or j < 0 else float(sums.bound[j]),
        high=bool(line.high[i]),
    )


def _parting(
    book: Textbook, line: ClassicalFit, seen: Seen, usable: list[int], year_c: Floats, learned: Learned
) -> Message:
    """Say in one sentence where line and learned part, and why."""
    year, day, base = learned.year_kg, learned.kg_per_day, learned.base_c
    sd_kg = np.array([seen.intervals[i].sd_kg for i in usable])
    if not _holds(year, book.year_kg) and abs(book.year_kg / year.p50 - 1) >= ALIKE:
        part, off, asked = (
            _parted_on_year,
            book.year_kg - year.p50,
            (_heating(line, year_c), float(YEAR_DAYS)),
        )
    elif not _holds(day, book.kg_per_day) and abs(book.kg_per_day - day.p50) * YEAR_DAYS >= ALIKE * year.p50:
        part, off, asked = _parted_on_day, book.kg_per_day - day.p50, (0.0, 1.0)
    elif not _holds(base, book.base_c) and abs(book.base_c - base.p50) >= ALIKE_K:
        part, off, asked = _parted_on_base, 0.0, None
    else:
        return message(
            "learn.line_agrees",
            "The textbook line and what was learned agree: a usual year takes {line} by the line and "
            "{learned} by what was learned.",
            line=Quantity(book.year_kg, "mass"),
            learned=Range(year.p10, year.p90, "mass"),
        )
    if asked is not None:
        by_readings = abs(off) <= WITHIN * line.moved_by(sd_kg, *asked)
        by_few = abs(off) <= WITHIN * line.predict_se(*asked)
    else:  # the base has no error of its own: its profile, and what the scatter is made of
        by_readings = float(np.sum(sd_kg**2 / line.days)) >= line.sigma**2 * float(line.days.sum())
        by_few = book.base_c_low <= base.p50 <= book.base_c_high
    if _is_by_change(book, seen, usable, year_c, learned):
        return part(book, learned, _by_change(learned))
    if by_readings:
        return part(book, learned, _by_readings(float(np.median(sd_kg))))
    return part(book, learned, _by_few(line) if by_few else _by_prior())


def _holds(known: Estimate, value: float) -> bool:
    return known.p10 <= value <= known.p90


def _parted_on_year(book: Textbook, learned: Learned, reason: Message) -> Message:
    return message(
        "learn.line_parts_on_year",
        "The textbook line and what was learned part on a usual year: {line} by the line, {learned} by what "
        "was learned; the likely reason is that {reason}.",
        line=Quantity(book.year_kg, "mass"),
        learned=Range(learned.year_kg.p10, learned.year_kg.p90, "mass"),
        reason=reason,
    )


def _parted_on_day(book: Textbook, learned: Learned, reason: Message) -> Message:
    return message(
        "learn.line_parts_on_day",
        "The textbook line and what was learned agree on a usual year, but part on hot water and standby: "
        "{line} a day by the line, {learned} by what was learned; the likely reason is that {reason}.",
        line=Quantity(book.kg_per_day, "mass"),
        learned=Limits.written(learned.kg_per_day.p10, learned.kg_per_day.p90, "kg", ".1f"),
        reason=reason,
    )


def _parted_on_base(book: Textbook, learned: Learned, reason: Message) -> Message:
    return message(
        "learn.line_parts_on_base",
        "The textbook line and what was learned agree on a usual year, but part on where heating begins: "
        "below {line} by the line, below {learned} by what was learned; the likely reason is that {reason}.",
        line=Quantity(book.base_c, "temperature"),
        learned=Range(learned.base_c.p10, learned.base_c.p90, "temperature"),
        reason=reason,
    )


def _by_change(learned: Learned) -> Message:
    return message(
        "learn.line_parts_by_change",
        "the line is one for the whole time, and something changed around {day}",
        day=Day(learned.changes[-1].day, year=True),
    )


def _by_readings(sd_kg: float) -> Message:
    return message(
        "learn.line_parts_by_readings",
        "the line takes every reading as exact, but yours leave what was burned between two of them "
        "uncertain by about {amount}",
        amount=Quantity(sd_kg, "mass"),
    )


def _by_few(line: ClassicalFit) -> Message:
    return message(
        "learn.line_parts_by_few",
        "the line's {count} stretches between readings leave it that much doubt",
        count=line.periods,
    )


def _by_prior() -> Message:
    return message(
        "learn.line_parts_by_prior",
        "what was learned also goes by the figures in your settings, the line by the readings alone",
    )


def _is_by_change(book: Textbook, seen: Seen, usable: list[int], year_c: Floats, learned: Learned) -> bool:
    """Tell whether a line through the time since the last change would lie at most half as far off; with too
    few stretches since then, whether there was a change at all.
    """
    if not learned.changes:
        return False
    since = [i for i in usable if seen.intervals[i].first_day >= learned.changes[-1].day]
    if len(since) < LEAST_INTERVALS:
        return True
    try:
        later = seen.line(since)
    except SignatureError:
        return True
    heating = _heating(later, year_c)
    off = abs(float(later.predict(np.array(heating), np.array(YEAR_DAYS))) - learned.year_kg.p50)
    return off <= 0.5 * abs(book.year_kg - learned.year_kg.p50)

"""How well the learned signature tells the use of each stretch between two readings."""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import date
from itertools import pairwise

import numpy as np

from fuelplan.learning.case import Case, LeftOver, left_over
from fuelplan.learning.screening import Flag
from fuelplan.learning.state import PosteriorCells
from fuelplan.learning.sums import Floats, running_sums


@dataclass(frozen=True)
class Interval:
    """The use between two readings of the same kind.

    Attributes
    ----------
    first_day, last_day
        Days of the two readings; the use is that after the first up to the second.
    days, degree_days
        In use, at the mean base temperature. [d, K·d]
    used_kg, sd_kg
        What was burned, the site's shared errors taken out, and the doubt of it from the readings. [kg]
    expected_kg
        By the learned signature. [kg]
    cusum_kg
        Sum of used less expected up to here, flagged intervals left out. [kg]
    meter
        Name of the meter; empty for levels.
    flagged
        Whether it was set aside.
    """

    first_day: date
    last_day: date
    days: float
    degree_days: float
    used_kg: float
    sd_kg: float
    expected_kg: float
    cusum_kg: float
    meter: str
    flagged: bool


@dataclass(frozen=True)
class Fit:
    """All intervals of a record, and two figures of merit.

    Attributes
    ----------
    intervals
        In order of time, level readings and each meter by itself.
    base_c
        The base temperature their degree-days belong to. [degC]
    cv_rmse, nmbe
        Of the intervals that were used, as shares, weighed by their days (the measures of ASHRAE Guideline
        14-2014; no parameters are counted off, the prior knows most of them); NaN below two intervals.
    spans
        Half-days of the weather at which each interval begins and ends.
    """

    intervals: tuple[Interval, ...]
    base_c: float
    cv_rmse: float
    nmbe: float
    spans: tuple[tuple[int, int], ...] = ()


def fit_of(case: Case, cells: PosteriorCells, flags: tuple[Flag, ...]) -> Fit:
    """Return the intervals of a case with what the posterior means say of them."""
    left = left_over(case, cells) if case.record.observations else None
    out: list[Interval] = []
    spans: list[tuple[int, int]] = []
    base_c = float(np.einsum("nsb,nb->n", cells.weight, cells.base_c)[0])
    if left is None:
        return Fit((), base_c, math.nan, math.nan)
    rows: dict[str, list[int]] = {}
    for i, o in enumerate(case.record.observations):
        if o.kind != "room" and i not in case.aside:
            rows.setdefault(o.meter, []).append(i)
    for mine in rows.values():
        cusum = 0.0
        for i, j in pairwise(mine):
            interval = _interval(case, cells, left, i, j, flags, cusum)
            if interval is not None:
                cusum = interval.cusum_kg
                out.append(interval)
                spans.append((case.record.at[i], case.record.at[j]))
    used = [x for x in out if not x.flagged]
    cv_rmse = nmbe = math.nan
    total = sum(x.used_kg for x in used)
    if len(used) >= 2 and total > 0:
        days = sum(x.days for x in used)
        squares = sum((x.used_kg - x.expected_kg) ** 2 / max(x.days, 0.5) for x in used)
        cv_rmse = math.sqrt(squares / days) / (total / days) if days > 0 else math.nan
        nmbe = sum(x.used_kg - x.expected_kg for x in used) / total
    return Fit(tuple(out), base_c, cv_rmse, nmbe, tuple(spans))


def degree_days_of(
    fit: Fit, mean_c: Floats, activity: Floats | None, lowest_c: float, highest_c: float
) -> tuple[Floats, Floats]:
    """Return base temperatures, (bases,), and the degree-days of every interval at each, (bases, intervals).
    [degC, K·d]

    Parameters
    ----------
    mean_c, activity
        Shape (days,): the weather and the shares of usual use that the fit was learned with. [degC]
    lowest_c, highest_c
        Range of the bases. [degC]

    Returns
    -------
    (Floats, Floats)
        Base temperatures, shape (bases,), and each interval's degree-days at them, shape (bases, n).
        [degC, K·d]
    """
    begin, end = np.array(fit.spans, dtype=np.int64).reshape(-1, 2).T
    first, last = (0, 0) if len(begin) == 0 else (int(begin.min()) // 2, -(-int(end.max()) // 2))
    share = None if activity is None else activity[None, first:last]
    sums = running_sums(mean_c[None, first:last], share, lowest_c, highest_c)
    running = sums.degree_days[0]
    return sums.base_c, running[:, end - 2 * first] - running[:, begin - 2 * first]


def _interval(
    case: Case,
    cells: PosteriorCells,
    left: LeftOver,
    i: int,
    j: int,
    flags: tuple[Flag, ...],
    cusum_kg: float,
) -> Interval | None:
    """The stretch from reading i to reading j of the same kind; None where the meter began anew."""
    a, b = case.record.observations[i], case.record.observations[j]
    at = case.record.at
    if at[j] <= at[i] or (b.is_count and left.evidence.segment[0, i] != left.evidence.segment[0, j]):
        return None
    if b.is_count:
        scale = 1 + dict(zip(case.record.meters, cells.scale[0], strict=True))[b.meter]
        scale += cells.device[0, left.evidence.segment[0, j]]
        used_kg, sd_kg = (b.kg - a.kg) / scale, math.hypot(a.sd_kg, b.sd_kg) / scale
    else:
        bias = float(cells.bias[0])
        before_kg, after_kg = (o.kg / (1 + bias * o.sees_volume) for o in (a, b))
        brought = left.evidence.brought_kg[0, j] - left.evidence.brought_kg[0, i]
        brought_var = left.evidence.brought_var_kg2[0, j] - left.evidence.brought_var_kg2[0, i]
        used_kg = float(before_kg + brought - after_kg)
        sd_kg = math.sqrt(a.sd_kg**2 + b.sd_kg**2 + max(0.0, float(brought_var)))
    expected_kg = left.expected_kg(at[i], at[j])
    flagged = any(f.reading < 0 and f.first_day < b.day and f.last_day > a.day for f in flags)
    return Interval(
        first_day=a.day,
        last_day=b.day,
        days=float(left.days[at[j]] - left.days[at[i]]),
        degree_days=float(left.degree_days[at[j]] - left.degree_days[at[i]]),
        used_kg=used_kg,
        sd_kg=sd_kg,
        expected_kg=expected_kg,
        cusum_kg=cusum_kg + (0.0 if flagged else used_kg - expected_kg),
        meter=b.meter,
        flagged=flagged,
    )

"""The columns of the linear model: what each unknown, one standard deviation off, does to each reading."""

from __future__ import annotations

import numpy as np

from fuelplan.learning.prior import Assumptions
from fuelplan.learning.state import Centre, Evidence, Priors
from fuelplan.learning.sums import DegreeDaySums, Floats, Ints
from fuelplan.learning.whitening import Steps

DAYS_PER_YEAR = 365.25

NOISE_FLOOR = 0.2
"""Part of a mean day's use whose noise every day has, cold or warm (an assumption)."""

VOLUME = 2
"""Place of the volume error among the fixed columns; the zero error follows it."""

FIRST_CHANGE = 6
"""Place of the first change of the daily part among the fixed columns."""


def day_change_sd_kg(priors: Priors, assumptions: Assumptions) -> Floats:
    """Return the size a change of the daily part may have: a share of it or of a degree-day's use. [kg/d]"""
    sd: Floats = assumptions.change_rel_sd * np.maximum(priors.day_kg, priors.slope)
    return sd


def wave_sd_kg(priors: Priors, assumptions: Assumptions) -> Floats:
    """Return how far the daily part may swing with the year. [kg/d]"""
    return np.asarray(assumptions.water_season_sd * priors.day_kg)


def year_row(priors: Priors, sums: DegreeDaySums, station: Ints, grid: Ints) -> tuple[Floats, Floats, Floats]:
    """Return the stated year as one more reading of unit variance: how it sees the slope at each base of the
    grid (N, B), and the daily part (N,), one standard deviation off; and what it reads, less the mean daily
    part. Zeros where no year was stated.
    """
    days = np.maximum(sums.days[station, -1], 1.0)
    a_year = DAYS_PER_YEAR / days
    degree_days = sums.degree_days[station[:, None], grid, -1] * a_year[:, None]
    paper = sums.degree_days[station, sums.index_of_base(priors.base_c), -1] * a_year
    heating_kg = priors.slope * paper
    year_kg = heating_kg + DAYS_PER_YEAR * priors.day_kg
    stated = np.isfinite(priors.year_rel_sd) & (year_kg > 0)  # of a year without fuel a share says nothing
    sd_kg = np.where(stated, priors.year_rel_sd, 1.0) * year_kg
    sd_kg[~stated] = np.inf
    return (
        degree_days * (priors.slope_sd / sd_kg)[:, None],
        DAYS_PER_YEAR * priors.day_sd_kg / sd_kg,
        heating_kg / sd_kg,
    )


def based_columns(
    evidence: Evidence, priors: Priors, sums: DegreeDaySums, assumptions: Assumptions, grid: Ints
) -> Floats:
    """Return the columns that depend on the base temperature, shape (N, B, 1 + changes, n). [kg]

    The first is the slope, the others its change after each of `slope_change_at`.
    """
    sign = np.where(evidence.is_count > 0, 1.0, -1.0)[:, None, :]
    table, station, base = sums.degree_days, evidence.station[:, None, None], grid[:, :, None]
    at, since = evidence.at[:, None, :], evidence.since[:, None, :]
    until = table[station, base, at]
    out = [sign * (until - table[station, base, since]) * priors.slope_sd[:, None, None]]
    change_sd = (assumptions.change_rel_sd * priors.slope)[:, None, None]
    for change_at in evidence.slope_change_at:
        later = table[station, base, np.maximum(at, change_at)]
        from_then = table[station, base, np.maximum(since, change_at)]
        out.append(sign * (later - from_then) * change_sd)
    return np.stack(out, axis=2)


def fixed_columns(
    evidence: Evidence, priors: Priors, sums: DegreeDaySums, assumptions: Assumptions, centre: Centre
) -> Floats:
    """Return the columns that do not depend on it, shape (N, columns, n). [kg]

    In this order: daily part, start, volume error, zero error, habit, wave, changes of the daily part, then
    scale and drift of each meter, then what each unbroken run of counts began with, then the scales of
    those of :func:`other_devices`.
    """
    count = evidence.is_count > 0
    level = (~count).astype(float)
    table, station, base = sums.degree_days, evidence.station[:, None], centre.base[:, None]
    days = days_between(sums, station, evidence.since, evidence.at)
    use = centre.day_kg[:, None] * days
    for begin, end, slope in slope_spans(evidence, centre):
        until, then = np.clip(evidence.at, begin, end), np.clip(evidence.since, begin, end)
        use = use + slope * (table[station, base, until] - table[station, base, then])
    expected = centre.start_kg[:, None] + evidence.brought_kg - use
    expected = np.clip(expected, 0.0, 1.2 * evidence.capacity_kg[:, None])
    expected = np.where(evidence.is_room, evidence.capacity_kg[:, None], expected)  # filled up to there
    sees = evidence.sees_volume * level
    out = [
        np.where(count, 1.0, -1.0) * days * priors.day_sd_kg[:, None],
        level * evidence.start_sd_kg[:, None],
        sees * expected * assumptions.volume_rel_sd,
        sees * assumptions.offset_share_sd * evidence.capacity_kg[:, None],
    ]
    out.append(evidence.habit_kg)
    wave_sd = wave_sd_kg(priors, assumptions)[:, None]
    waves = sums.wave[station, evidence.at] - sums.wave[station, evidence.since]
    out.append(np.where(count, 1.0, -1.0) * waves * wave_sd)
    change_sd = day_change_sd_kg(priors, assumptions)[:, None]
    for change_at in evidence.day_change_at:
        after = days_between(
            sums, station, np.maximum(evidence.since, change_at), np.maximum(evidence.at, change_at)
        )
        out.append(np.where(count, 1.0, -1.0) * after * change_sd)
    half_year = 2 * DAYS_PER_YEAR
    for m in range(evidence.meter_rel_sd.shape[1]):
        mine = evidence.meter == m
        middle = 0.5 * (evidence.at + evidence.since) - evidence.meter_from[:, m, None]
        out.append(mine * use * evidence.meter_rel_sd[:, m, None])
        out.append(mine * use * middle / half_year * evidence.meter_drift_sd[:, m, None])
    yearly_kg = DAYS_PER_YEAR * mean_use_kg(evidence, centre, sums)[:, None]
    for s in range(evidence.segments):
        out.append((evidence.segment == s) * 0.5 * yearly_kg)
    for s in other_devices(evidence):
        out.append((evidence.segment == s) * use * evidence.device_sd[:, s, None])
    return np.stack(out, axis=1)


def other_devices(evidence: Evidence) -> list[int]:
    """Return the runs of counts that may be another device's, of any site."""
    return [s for s in range(evidence.segments) if evidence.device_sd[:, s].any()]


def centred(evidence: Evidence, priors: Priors, sums: DegreeDaySums) -> Floats:
    """Return the readings less what the prior means of the fixed columns say, shape (N, n). [kg]"""
    count = evidence.is_count > 0
    days = days_between(sums, evidence.station[:, None], evidence.since, evidence.at)
    daily = priors.day_kg[:, None] * days
    return np.where(
        count, evidence.y_kg - daily, evidence.y_kg - evidence.brought_kg - evidence.start_kg[:, None] + daily
    )


def days_between(sums: DegreeDaySums, station: Ints, since: Ints, at: Ints) -> Floats:
    """Return the days in use between two half-day indices. [d]"""
    days: Floats = sums.days[station, at] - sums.days[station, since]
    return days


def slope_spans(evidence: Evidence, centre: Centre) -> list[tuple[int, int, Floats]]:
    """Return spans between changes of slope: first and last half-day index, and slope there (N, 1)."""
    far = int(evidence.end_at.max())
    if centre.steps is None or not evidence.slope_change_at:
        return [(0, far, centre.slope[:, None])]
    marks = sorted(evidence.slope_change_at)
    out = []
    for begin, end in zip([0, *marks], [*marks, far], strict=True):
        later = [i for i, at in enumerate(evidence.slope_change_at) if at >= end and at != far]
        out.append((begin, end, np.maximum(0.0, centre.slope - centre.steps[:, later].sum(axis=1))[:, None]))
    return out


def mean_use_kg(evidence: Evidence, centre: Centre, sums: DegreeDaySums) -> Floats:
    """Return each site's mean use a day over the whole record at `centre`, shape (N,). [kg/d]"""
    days = (sums.days.shape[1] - 1) / 2
    heating = centre.slope * sums.degree_days[evidence.station, centre.base, -1]
    mean: Floats = (heating + centre.day_kg * sums.days[evidence.station, -1]) / max(days, 1.0)
    return mean


def floor_kg(evidence: Evidence, priors: Priors, start_kg: Floats, sums: DegreeDaySums) -> Floats:
    """Return the part of a day's use whose noise every day has, cold or warm, shape (N,): a share of a mean
    day's use on paper, since what is burned on a warm day is never known to the gram. [kg/d]
    """
    paper = Centre(priors.slope, priors.day_kg, sums.index_of_base(priors.base_c), start_kg)
    return np.asarray(NOISE_FLOOR * mean_use_kg(evidence, paper, sums))


def steps_between(evidence: Evidence, priors: Priors, centre: Centre, sums: DegreeDaySums) -> Steps:
    """Return what happens between readings: see :class:`fuelplan.learning.whitening.Steps`.

    A day's noise is a share of that day's use at `centre`, and to it comes that of :func:`floor_kg`.
    """
    station, base = evidence.station[:, None], centre.base[:, None]
    floor = floor_kg(evidence, priors, centre.start_kg, sums)[:, None]

    def use_until(at: Ints) -> Floats:
        total: Floats = centre.day_kg[:, None] * sums.days[station, at]
        for begin, end, slope in slope_spans(evidence, centre):
            now, then = np.clip(at, begin, end), np.minimum(begin, end)
            degree_days = sums.degree_days[station, base, now] - sums.degree_days[station, base, then]
            total = total + slope * degree_days
        return total

    def until(at: Ints) -> Floats:
        day_kg = centre.day_kg[:, None]
        total: Floats = floor**2 / 2 * at + day_kg**2 * sums.days_squared[station, at]
        for begin, end, slope in slope_spans(evidence, centre):
            now, then = np.clip(at, begin, end), np.minimum(begin, end)
            squares = sums.squared[station, base, now] - sums.squared[station, base, then]
            cross = sums.degree_days[station, base, now] - sums.degree_days[station, base, then]
            total = total + slope**2 * squares + 2 * slope * day_kg * cross
        return total

    before = np.concatenate([evidence.start_at[:, None], evidence.at[:, :-1]], axis=1)
    use_kg = np.maximum(0.0, use_until(evidence.at) - use_until(before))
    days = np.maximum(evidence.at - before, 0) / 2
    in_use = days_between(sums, station, before, evidence.at)
    return Steps(
        noise_kg2=np.maximum(0.0, until(evidence.at) - until(before)),
        loose_kg2=evidence.loose_kg2,
        brought_var_kg2=evidence.brought_var_kg2,
        moved_kg=np.stack([use_kg + floor * np.maximum(in_use, 0.0), use_kg]),
        days=days,
    )

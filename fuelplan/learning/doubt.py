"""Recent readings that disagree with what was expected: settled by later ones, or left open to be asked.

A reading is doubtful where it lies more than :data:`OWN_ERRORS` of its own errors from what everything before
it led to expect, and that distance is more than chance explains with the doubt of the expectation counted as
well. How much more hangs on how often somebody reads: the limit is set so that readings within their errors
lead to at most one question in two years (:data:`NEEDLESS_A_YEAR`). A doubtful reading is never averaged with
the rest. Either it is right and something before it is not – then the store is what it says, and the days
before tell nothing – or it is wrong and does not count. Readings after it decide where one of the two makes
them at least :data:`DECISIVE` times as likely; else the person is asked, and both stay possible.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from datetime import date, timedelta
from statistics import NormalDist

import numpy as np
from numpy.typing import NDArray

from fuelplan.learning import words
from fuelplan.learning.case import Case, LeftOver, left_over
from fuelplan.learning.readings import Delivery
from fuelplan.learning.screening import Flag
from fuelplan.learning.state import PosteriorCells
from fuelplan.learning.sums import Floats

OWN_ERRORS = 2.0
NEEDLESS_A_YEAR = 0.5
LEAST_SDS = 1.6
COUNT_SDS = 3.0
"""A meter is read nearly without error: what is unexpected is rather the use, which is learned from it."""

DECISIVE = 3.0
RECENT_READINGS = 8
RECENT_DAYS = 400
BURNED_SD = 0.3  # doubt of what was burned between a reading and a delivery, as a share (our choice)
WELL_KNOWN_SHARE = 0.10  # of the capacity: a level known to about that is well known (our choice)
BULK_SDS = 2.0
"""A store holds its capacity give or take the doubt of bulk density, at this many of its deviations."""


@dataclass(frozen=True)
class OpenDoubt:
    """A reading that disagrees, as the question about it needs it.

    Attributes
    ----------
    line, day
        Of the reading; line 0 where only deliveries disagree.
    is_count
        Whether it is that of a meter.
    read_kg, expected_kg
        What it says, and what was expected: levels, or what a meter should show. [kg]
    sds
        How far off, in standard deviations of both together; below 0 where it says less than expected.
    delivery_line, delivery_day, delivery_kg
        A delivery that cannot have gone in on top of it; 0 and None where there is none. [kg]
    """

    line: int
    day: date
    is_count: bool
    read_kg: float
    expected_kg: float
    sds: float
    delivery_line: int = 0
    delivery_day: date | None = None
    delivery_kg: float = 0.0


@dataclass(frozen=True)
class Weighed:
    """A case whose doubtful readings are settled, or the two cases between which only the person decides."""

    case: Case
    flags: tuple[Flag, ...]
    open: OpenDoubt | None = None
    if_right: Case | None = None


def weigh_recent(case: Case, cells: PosteriorCells) -> Weighed:
    """Return the case with every doubtful recent reading settled; with `open` its `case` leaves that out."""
    flags: list[Flag] = []
    for _ in range(RECENT_READINGS):
        left = left_over(case, cells)
        off_kg, sds = left.ahead()
        too_much = _too_full(case, left)
        i = _first_doubtful(case, off_kg, sds)
        if too_much is not None and (i is None or i >= too_much.reading):
            return _overfull(case, tuple(flags), too_much, believe=i == too_much.reading)
        if i is None:
            return Weighed(case, (*flags, *_weighed(case, off_kg)))
        if case.record.observations[i].confirmed:
            case = _believed(case, i)
            continue
        settled = _settled(case, cells, i)
        if settled is None:
            return Weighed(
                replace(case, aside=case.aside | {i}),
                tuple(flags),
                _open(case, i, float(off_kg[i]), float(sds[i])),
                _believed(case, i),
            )
        case, flag = settled
        flags.append(flag)
    return Weighed(case, tuple(flags))


def _weighed(case: Case, off_kg: Floats) -> tuple[Flag, ...]:
    """Name the newest level where it lies far off but not too far for one of that many readings: it is
    averaged with what was expected, and not in silence.
    """
    obs = case.record.observations
    i = max((i for i, o in enumerate(obs) if o.is_level and i not in case.aside), default=None)
    if i is None or obs[i].confirmed or abs(off_kg[i]) <= OWN_ERRORS * obs[i].sd_kg:
        return ()
    o, expected_kg = obs[i], max(0.0, obs[i].kg - float(off_kg[i]))
    if case.loose_kg2[i] > 0 or case.loose_brought_kg2[i] > 0:
        return ()
    said = words.both_count(o.day, o.kg, expected_kg)
    return (Flag("weighed", o.day, o.day, i, True, said, line=o.line),)


def limit_sds(case: Case) -> float:
    """Return how many standard deviations a reading may lie off, by how many there are in a year."""
    record = case.record
    year = record.as_of - timedelta(days=365)
    return limit_of(sum(o.kind != "room" and o.day > year for o in record.observations))


def limit_of(readings_a_year: int) -> float:
    """Return how many standard deviations a reading may lie off where there are so many of them in a year.

    Parameters
    ----------
    readings_a_year
        Of one customer or house.

    Returns
    -------
    float
        Standard deviations, at least :data:`LEAST_SDS`.
    """
    return max(LEAST_SDS, -NormalDist().inv_cdf(NEEDLESS_A_YEAR / 2 / max(readings_a_year, 1)))


def is_doubtful(
    off_kg: Floats | float, own_sd_kg: Floats | float, sds: Floats | float, limit: Floats | float
) -> NDArray[np.bool_]:
    """Tell whether readings disagree: by more than :data:`OWN_ERRORS` of their own errors, and by more
    standard deviations of both together than `limit`. [kg]

    Parameters
    ----------
    off_kg, own_sd_kg
        How far a reading lies off what was expected, and its own error. [kg]
    sds, limit
        The same distance in standard deviations of both together, and the most that is not doubted; see
        :func:`limit_of`.

    Returns
    -------
    NDArray[np.bool_]
        Of the shape that the four have together.
    """
    return np.asarray((np.abs(off_kg) > OWN_ERRORS * own_sd_kg) & (np.abs(sds) > limit))


def _first_doubtful(case: Case, off_kg: Floats, sds: Floats) -> int | None:
    record, limit = case.record, limit_sds(case)
    real = [i for i, o in enumerate(record.observations) if o.kind != "room"]
    since = record.as_of - timedelta(days=RECENT_DAYS)
    recent = {i for i in real[-RECENT_READINGS:] if record.observations[i].day > since}
    for i in real:
        o = record.observations[i]
        if i not in recent and not o.confirmed:
            continue
        bridged = case.loose_kg2[i] > 0 or case.loose_brought_kg2[i] > 0
        if i in case.aside or bridged or record.restarted[i]:
            continue
        enough = max(limit, COUNT_SDS) if o.is_count else limit
        if is_doubtful(off_kg[i], o.sd_kg, sds[i], enough):
            return i
    return None


def _believed(case: Case, i: int) -> Case:
    """Return the case in which a reading is right: what came or was burned before it is not known."""
    loose, brought = case.loose_kg2.copy(), case.loose_brought_kg2.copy()
    record = case.record
    (loose if record.observations[i].is_count else brought)[i] += case.size_kg**2
    seen = tuple(replace(o, confirmed=True) if j == i else o for j, o in enumerate(record.observations))
    record = replace(record, observations=seen)
    return replace(case, record=record, loose_kg2=loose, loose_brought_kg2=brought)


def _settled(case: Case, cells: PosteriorCells, i: int) -> tuple[Case, Flag] | None:
    """Return what later readings make of a doubtful one; None where they cannot tell."""
    obs = case.record.observations
    later = np.array([j > i and o.kind != "room" for j, o in enumerate(obs)])
    if not later.any():
        return None
    wrong, right = replace(case, aside=case.aside | {i}), _believed(case, i)
    if_wrong = left_over(wrong, cells).log_density(later)
    if_right = left_over(right, cells).log_density(later)
    if abs(if_right - if_wrong) < math.log(DECISIVE):
        return None
    o = obs[i]
    next_day = obs[int(np.argmax(later))].day
    if if_wrong > if_right:
        said = words.fits_neither(o.day, o.kg, next_day)
        return wrong, Flag("outlier", o.day, o.day, i, False, said, line=o.line)
    said = words.borne_out(o.day, o.kg, next_day)
    before = max((p.day for p in obs[:i] if p.kind != "room"), default=o.day)
    return right, Flag("spell", before, o.day, -1, False, said)


def _open(case: Case, i: int, off_kg: float, sds: float) -> OpenDoubt:
    o = case.record.observations[i]
    return OpenDoubt(o.line, o.day, o.is_count, o.kg, max(0.0, o.kg - off_kg), sds)


@dataclass(frozen=True)
class _TooFull:
    """A delivery that cannot have gone in: places of its "room" and of the reading before it (−1: none), the
    level before it, and by how many standard deviations it is too much. [kg]

    A reading is `borne_out` where everything before it led to expect about the same: then it is the
    delivery that is doubted.
    """

    room: int
    reading: int
    borne_out: bool
    level_kg: float
    sds: float
    came: Delivery


def _too_full(case: Case, left: LeftOver) -> _TooFull | None:
    """Return the first recent delivery that is more than the store can have taken, no reading since."""
    record, limit = case.record, limit_sds(case)
    if record.capacity_kg is None:
        return None
    most_kg = record.capacity_kg * (1 + BULK_SDS * case.assumptions.volume_rel_sd)
    since = record.as_of - timedelta(days=RECENT_DAYS)
    levels = [i for i, o in enumerate(record.observations) if o.is_level and i not in case.aside]
    for r, o in enumerate(record.observations):
        if o.kind != "room" or r in case.aside or o.day <= since or r < max(levels, default=-1):
            continue
        came = next(d for d in record.deliveries if (d.line, d.day) == (o.line, o.day))
        level_kg, sd_kg = _level_before(case, left, r, max(levels, default=-1))
        by = (level_kg + (came.kg or 0.0) - most_kg) / math.hypot(sd_kg, came.sd_kg)
        if by > limit:
            last = max(levels, default=-1)
            return _TooFull(r, last, last >= 0 and _borne_out(case, left, last), level_kg, by, came)
    return None


def _borne_out(case: Case, left: LeftOver, i: int) -> bool:
    """Tell whether a reading is about what everything before it led to expect, and that is known well."""
    off_kg, sds = (float(found[i]) for found in left.ahead())
    assert case.record.capacity_kg is not None
    known_kg = max(case.record.observations[i].sd_kg, WELL_KNOWN_SHARE * case.record.capacity_kg)
    sd_kg = off_kg / sds if sds else math.inf
    return abs(sds) < 1.5 and abs(off_kg) < 1.5 * known_kg and sd_kg < 2 * known_kg


def _level_before(case: Case, left: LeftOver, r: int, reading: int) -> tuple[float, float]:
    """Return the level before a delivery and its doubt: as the reading before it says, else as expected. [kg]

    What was expected before the reading is not mixed in: it may be what is wrong.
    """
    record = case.record
    room = record.observations[r]
    if reading < 0:
        off_kg, sds = (float(found[r]) for found in left.ahead())
        e = left.evidence
        var_kg2 = (off_kg / sds) ** 2 - e.var_kg2[0, r] - e.habit_kg[0, r] ** 2
        return float(e.y_kg[0, r]) - off_kg, math.sqrt(max(var_kg2, 1.0))
    o = record.observations[reading]
    burned_kg = left.expected_kg(record.at[reading], record.at[r])
    more_kg = record.brought(room.day, room.moment)[0] - record.brought(o.day, o.moment)[0]
    return o.kg - burned_kg + more_kg, math.hypot(o.sd_kg, BURNED_SD * burned_kg)


def _overfull(case: Case, flags: tuple[Flag, ...], found: _TooFull, *, believe: bool) -> Weighed:
    """Return the two cases of a delivery that cannot have gone in: the reading is wrong, or the amount."""
    record, came = case.record, found.came
    assert record.capacity_kg is not None
    kg = max(0.0, record.capacity_kg - max(found.level_kg, 0.0))
    fitted = replace(came, kg=kg, sd_kg=0.1 * record.capacity_kg)
    deliveries = tuple(fitted if d is came else d for d in record.deliveries)
    right = replace(case, record=replace(record, deliveries=deliveries), aside=case.aside | {found.room})
    if believe:
        right = _believed(right, found.reading)
    o = None if found.reading < 0 or found.borne_out else record.observations[found.reading]
    if found.reading >= 0 and record.observations[found.reading].confirmed:
        said = words.delivery_too_large(came.day, came.kg or 0.0)
        return Weighed(right, (*flags, Flag("delivery", came.day, came.day, -1, False, said)))
    wrong = right if o is None else replace(case, aside=case.aside | {found.reading})
    asked = OpenDoubt(
        0 if o is None else o.line,
        came.day if o is None else o.day,
        False,
        found.level_kg if o is None else o.kg,
        found.level_kg,
        found.sds,
        came.line,
        came.day,
        came.kg or 0.0,
    )
    return Weighed(wrong, flags, asked, right)

"""Readings that cannot be right and spells that are not the usual life of the house: found and named."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from datetime import date, timedelta
from typing import Literal

import numpy as np

from fuelplan.learning import words
from fuelplan.learning.case import Case, LeftOver, left_over
from fuelplan.learning.state import PosteriorCells
from fuelplan.learning.sums import Floats
from fuelplan.messages import Message

What = Literal[
    "outlier",
    "empty_house",
    "spell",
    "missing_delivery",
    "delivery",
    "estimated",
    "repeated",
    "restart",
    "weighed",
    "empty_store",
]

LIMIT = 4.0
"""Standard deviations from which a reading or spell does not fit; chance alone does that to 1 in 16,000."""

EMPTY_SHARE, EMPTY_LIMIT = 0.35, 3.3
"""With less than this share of the expected use a spell is an empty house, from so many deviations."""

EMPTY_STORE_SD = 1.0
"""A level of at most this many of its standard deviations may be an empty store."""

FEWEST_FOR_SPELLS = 8
"""With fewer readings nobody can say what the usual life of the house is."""

ALIKE = 1e-6
"""A reading and a spell that misfit alike but for this share of it: then the reading is doubted."""

MOST_SHARE = 0.2
"""Never set aside more than this share of the readings: then it is the model that does not fit."""


@dataclass(frozen=True)
class Flag:
    """Something found in the record.

    Attributes
    ----------
    what
        Its kind.
    first_day, last_day
        When; the same day twice for a reading.
    reading
        Place of the reading in the record, −1 for spells.
    used
        Whether it is used all the same.
    sentence
        What a person should read.
    sds
        How far off, in standard deviations; 0 where not measured.
    line
        Of the reading in the person's file; 0 for spells.
    """

    what: What
    first_day: date
    last_day: date
    reading: int
    used: bool
    sentence: Message
    sds: float = 0.0
    line: int = 0


def name_what_was_said(case: Case) -> tuple[Case, tuple[Flag, ...]]:
    """Name estimated readings, restarted counters, numbers carried forward and spells without any use."""
    record = case.record
    flags: list[Flag] = []
    observations, loose = list(record.observations), case.loose_kg2.copy()
    running = case.sums.degree_days[0, case.sums.index_of_base(case.priors.base_c)[0]]
    before: dict[str, int] = {}
    unburned_kg = 0.0
    believed = _truly_unchanged(case, running)
    newest = max((i for i, o in enumerate(record.observations) if o.kind != "room"), default=-1)
    for i, o in enumerate(record.observations):
        if o.kind == "room":
            continue
        j = before.get(o.meter)
        before[o.meter] = i
        if o.estimated:
            flags.append(Flag("estimated", o.day, o.day, i, True, words.estimated(o.day)))
        if j is None:
            continue
        idle = None if record.restarted[i] else _idle(case, running, j, i)
        if record.restarted[i]:
            since = observations[j].day
            said = words.began_anew(o.kind, since, o.day)
            flags.append(Flag("restart", since, o.day, i, True, said))
        elif idle is not None:
            loose[i] += (4 * idle[1]) ** 2  # so wide that the spell tells nothing
            if flags and (flags[-1].what, flags[-1].last_day) == ("empty_store", idle[0].first_day):
                idle = _empty_store(flags.pop().first_day, o.day), idle[1]
            flags.append(idle[0])
        elif i in believed:
            used_kg = _expected(case, running, j, i)
            loose[i] += (4 * used_kg) ** 2
            idle_from, idle_kg = record.observations[j].day, used_kg
            if flags and (flags[-1].what, flags[-1].last_day) == ("empty_house", idle_from):
                idle_from, idle_kg = flags.pop().first_day, unburned_kg + used_kg  # told once
            unburned_kg = idle_kg
            flags.append(_nothing_burned(idle_from, o.day, idle_kg))
        elif _carried_forward(case, running, j, i) and i != newest:  # the newest is asked about if it matters
            observations[i] = replace(o, sd_kg=3 * o.sd_kg, estimated=True)
            said = words.carried_forward(o.day, observations[j].day)
            flags.append(Flag("repeated", o.day, o.day, i, True, said))
    record = replace(record, observations=tuple(observations))
    return replace(case, record=record, loose_kg2=loose), tuple(flags)


def _idle(case: Case, running: Floats, j: int, i: int) -> tuple[Flag, float] | None:
    """Nothing burned in cold weather, or nothing there to burn: such days say nothing about the house.

    Nothing burned in warm weather does: then there is no hot water from this boiler.
    """
    a, b, at = case.record.observations[j], case.record.observations[i], case.record.at
    heating = float(case.priors.slope[0] * (running[at[i]] - running[at[j]]))
    daily = float(case.priors.day_kg[0] * (case.sums.days[0, at[i]] - case.sums.days[0, at[j]]))
    expected = heating + daily
    came = case.record.brought(b.day, b.moment)[0] - case.record.brought(a.day, a.moment)[0]
    if b.is_level and a.kg <= EMPTY_STORE_SD * a.sd_kg and b.kg <= EMPTY_STORE_SD * b.sd_kg and came == 0:
        if expected <= 2 * b.sd_kg:
            return None
        return _empty_store(a.day, b.day), expected
    used = b.kg - a.kg if b.is_count else a.kg + came - b.kg
    sure = expected > 4 * math.hypot(a.sd_kg, b.sd_kg)
    if (
        not sure
        or heating < 0.6 * expected
        or abs(used) > 0.05 * expected
        or _carried_forward(case, running, j, i)
    ):
        return None
    return _nothing_burned(a.day, b.day, expected), expected


def _nothing_burned(first: date, last: date, expected_kg: float) -> Flag:
    return Flag("empty_house", first, last, -1, False, words.nothing_burned(first, last, expected_kg))


def _truly_unchanged(case: Case, running: Floats) -> frozenset[int]:
    """Return the places of readings in runs of the very same number that cannot all be carried forward.

    Had fuel been burned as usual since the first of the run, the store would have run empty meanwhile.
    """
    obs = case.record.observations
    levels = [i for i, o in enumerate(obs) if o.is_level]
    found: set[int] = set()
    run: list[int] = []
    for i in levels:
        if not run or not _same_level(case, run[-1], i):
            run = [i]
            continue
        run.append(i)
        first = obs[run[0]]
        if _expected(case, running, run[0], i) > first.kg + 2 * first.sd_kg:
            found.update(run[1:])
    return frozenset(found)


def _expected(case: Case, running: Floats, j: int, i: int) -> float:
    """Return the use between two readings by the paper signature. [kg]"""
    since, at = case.record.at[j], case.record.at[i]
    days = case.sums.days[0, at] - case.sums.days[0, since]
    return float(case.priors.slope[0] * (running[at] - running[since]) + case.priors.day_kg[0] * days)


def _empty_store(first: date, last: date) -> Flag:
    return Flag("empty_store", first, last, -1, False, words.store_empty(first, last))


def _carried_forward(case: Case, running: Floats, j: int, i: int) -> bool:
    """The very same level by eye or mark, no delivery in between, and use enough to be seen."""
    b = case.record.observations[i]
    if b.confirmed or not _same_level(case, j, i):
        return False
    return bool(_expected(case, running, j, i) > 2 * b.sd_kg)


def _same_level(case: Case, j: int, i: int) -> bool:
    """Tell whether two levels by eye or mark are the very same, with no delivery in between."""
    a, b = case.record.observations[j], case.record.observations[i]
    if b.kind not in ("percent", "mark") or a.kg != b.kg or b.kg == 0.0 or b.kind != a.kind:
        return False
    return not any(a.day <= d.day <= b.day for d in case.record.deliveries)


def screen(case: Case, cells: PosteriorCells) -> tuple[Case, tuple[Flag, ...]]:
    """Set aside, one after the other and the worst first, what does not fit.

    A reading whose error is beyond :data:`LIMIT` is left out. A spell whose use is (an empty house, a window
    left open, a delivery missing from the list) is bridged: levels before and after keep their worth, but
    the spell says nothing about the signature.
    """
    n = len(case.record.observations)
    flags: list[Flag] = []
    if n < 4:
        return case, ()
    for _ in range(max(1, int(MOST_SHARE * n))):
        found = _worst(case, left_over(case, cells))
        if found is None:
            break
        case, flag = found
        flags.append(flag)
    return case, tuple(flags)


def _worst(case: Case, left: LeftOver) -> tuple[Case, Flag] | None:
    obs = case.record.observations
    z_reading, off_kg = left.ask_readings()
    real = np.array([o.kind != "room" and not o.confirmed and i not in case.aside for i, o in enumerate(obs)])
    z_reading = np.where(real, z_reading, 0.0)
    z_spell, more_kg, _ = left.ask(_spell_marks(left))
    bridged = (case.loose_kg2 > 0) | (case.loose_brought_kg2 > 0)
    at = left.evidence.at[0]
    same_time = np.diff(at, prepend=left.evidence.start_at[0]) <= 0
    few = int(real.sum()) < FEWEST_FOR_SPELLS
    z_spell = np.where(bridged | same_time | few, 0.0, z_spell)
    spell_limit = np.full(len(z_spell), LIMIT)
    for s in range(len(z_spell)):
        if z_spell[s] < 0 and s > 0:
            expected = left.expected_kg(int(at[s - 1]), int(at[s]))
            if expected > 0 and 0 <= expected + more_kg[s] < EMPTY_SHARE * expected:
                spell_limit[s] = EMPTY_LIMIT
    r, s = int(np.argmax(np.abs(z_reading))), int(np.argmax(np.abs(z_spell) / spell_limit))
    strong_reading, strong_spell = abs(z_reading[r]) / LIMIT, abs(z_spell[s]) / spell_limit[s]
    if max(strong_reading, strong_spell) < 1:
        return None
    # What the newest reading says fits a wrong reading and an odd spell before it alike, to the last digits.
    if strong_reading >= strong_spell * (1 - ALIKE) or s == 0:
        return replace(case, aside=case.aside | {r}), _outlier(case, r, float(off_kg[r]), float(z_reading[r]))
    return _bridge(case, left, s, float(more_kg[s]), float(z_spell[s]))


def _spell_marks(left: LeftOver) -> Floats:
    """Mark of 1 kg more burned since the reading before, for each reading: (n, n)."""
    e = left.evidence
    later = np.tri(len(e.at[0]))
    begun = e.since[0][:, None] < e.at[0][None, :]
    sign = np.where(e.is_count[0] > 0, 1.0, -1.0)[:, None]
    marks: Floats = sign * later * np.where(e.is_count[0][:, None] > 0, begun, 1.0)
    return marks


def _outlier(case: Case, i: int, off_kg: float, z: float) -> Flag:
    o = case.record.observations[i]
    said = words.reading_set_aside(o.day, o.kg, max(0.0, o.kg - off_kg))
    return Flag("outlier", o.day, o.day, i, False, said, z, o.line)


def _bridge(case: Case, left: LeftOver, i: int, more_kg: float, z: float) -> tuple[Case, Flag]:
    obs, at = case.record.observations, left.evidence.at[0]
    since = int(at[i - 1])
    first, last = obs[i - 1].day, obs[i].day
    expected = left.expected_kg(since, int(at[i]))
    used = expected + more_kg
    came = [d for d in case.record.deliveries if first <= d.day <= last and d.kg]
    loose, brought = case.loose_kg2.copy(), case.loose_brought_kg2.copy()
    what: What = "spell"
    if used < -0.05 * abs(expected) and not came:
        what, brought[i] = "missing_delivery", (2 * more_kg) ** 2
        said = words.delivery_missing(first, last, -used)
    elif came and not left.evidence.is_count.any() and (used < 0 or used > 2.5 * expected):
        what, brought[i] = "delivery", (2 * more_kg) ** 2
        better = came[0].kg or 0.0
        said = words.delivery_doubted(came[0].day, better, max(0.0, better - more_kg))
    elif used < EMPTY_SHARE * expected:
        what, loose[i] = "empty_house", (2 * more_kg) ** 2
        said = words.house_empty(first, last, max(0.0, used), expected)
    else:
        loose[i] = (2 * more_kg) ** 2
        said = words.unusual_use(first, last, used, expected)
    better_case = replace(case, loose_kg2=loose, loose_brought_kg2=brought)
    return better_case, Flag(what, first, last, -1, False, said, z)


def evening_of(first_day: date, at: int) -> date:
    """Return the day whose evening (or middle) a half-day index is."""
    return first_day + timedelta(days=max(0, (at - 1) // 2))

"""Changes of everything at once, several in one record, and what is no change: odd winters, other meters."""

from __future__ import annotations

from datetime import date

import numpy as np
import pytest

from fuelplan.learning import Observation, Posterior, Prior, learn
from fuelplan.learning import readings as r
from fuelplan.messages import codes
from tests.benchmarks.calibration.changed_houses import DAYS, FIRST_DAY, ChangedHouse, house
from tests.signature_worlds import weather_of

ALIKE = (0.0, 0.0001)
"""Winters that do not differ."""


def told(h: ChangedHouse, seen: list[Observation] | None = None, until: int = DAYS - 1) -> Posterior:
    """Learn from the house's bills up to a day, or from other readings."""
    bills = [r.counter(h.day(i), float(kg)) for i, kg in zip(h.billed, h.shown_kg, strict=True)]
    return learn(
        Prior(*h.stated, 0.3, 0.5, 1.5), weather_of(h.mean_c, FIRST_DAY), seen or bills, [], h.day(until),
        capacity_kg=6000.0,
    )  # fmt: skip


def billed(h: ChangedHouse, use_kg: np.ndarray) -> list[Observation]:
    """Bills of another use on the house's days."""
    return [
        r.counter(h.day(i), float(kg)) for i, kg in zip(h.billed, np.cumsum(use_kg)[h.billed], strict=True)
    ]


def times(*steps: tuple[int, float]) -> np.ndarray:
    """A factor of each day: from each index on so much more or less."""
    out = np.ones(DAYS)
    for at, share in steps:
        out[at:] *= 1 + share
    return out


def test_a_new_boiler_is_one_change_of_everything() -> None:
    """A fifth less of heating and hot water is told once, near its day and its size."""
    h = house(3, -0.20, on=1690, winter_sd=ALIKE)
    (found,) = told(h).changes
    assert found.kind == "all"
    assert abs((found.day - h.day(1690)).days) <= 30
    assert found.share == pytest.approx(-0.20, abs=0.03)
    assert found.share_p10 < -0.20 < found.share_p90


def test_two_changes_and_a_change_back_are_each_found() -> None:
    """Less from the third winter on and less again from the sixth; less, then as before."""
    h = house(4, winter_sd=ALIKE)
    for second in (-0.20, 0.25):
        found = told(h, billed(h, h.use_kg * times((900, -0.20), (2040, second)))).changes
        assert len(found) == 2
        assert [abs((c.day - h.day(at)).days) <= 60 for c, at in zip(found, (900, 2040), strict=True)] == [
            True
        ] * 2
        assert found[0].share == pytest.approx(-0.20, abs=0.04)
        assert found[1].share == pytest.approx(second, abs=0.04)


def test_what_began_lately_is_told_but_not_called_lasting() -> None:
    """A third less for six weeks, read each week: a sentence says so, and that it may pass; a year on it is
    a change, near its day.
    """
    h, on = house(5, winter_sd=ALIKE), 1330  # 20 February
    shown = np.cumsum(h.use_kg * times((on, -0.35)))
    seen = [r.counter(h.day(i), float(shown[i])) for i in range(4, DAYS, 7)]
    early, later = (told(h, [o for o in seen if o.day <= h.day(i)], i) for i in (on + 42, on + 450))
    assert not early.changes
    assert "change.maybe_less" in [code for note in early.notes for code in codes(note)]
    assert len(later.changes) == 1 and abs((later.changes[0].day - h.day(on)).days) <= 30


def test_odd_winters_are_no_change() -> None:
    """Twelve houses whose winters differ by 5 to 8 % for no lasting reason hear of no change, or one does."""
    assert sum(bool(told(house(300 + seed)).changes) for seed in range(12)) <= 1


def test_another_counter_that_shows_less_is_no_change() -> None:
    """Where the counter began anew and shows a tenth less since then, the counter is the likelier reason; had
    it gone on, the house would be.
    """
    h, at = house(6, winter_sd=ALIKE), 55
    kg = np.cumsum(h.use_kg)[h.billed]
    anew = np.where(np.arange(len(kg)) < at, kg, 0.9 * (kg - kg[at - 1]) + 3.0)
    goes_on = np.where(np.arange(len(kg)) < at, kg, 0.9 * (kg - kg[at - 1]) + kg[at - 1])
    swapped, same = (
        told(h, [r.counter(h.day(i), float(x)) for i, x in zip(h.billed, shown, strict=True)])
        for shown in (anew, goes_on)
    )
    assert not swapped.changes and same.changes
    burned = [i.used_kg for i in (swapped.fit.intervals if swapped.fit else ()) if not i.flagged]
    got, true = sum(burned[at:]) / sum(burned[: at - 1]), float((kg[-1] - kg[at]) / (kg[at - 1] - kg[0]))
    assert abs(got / true - 1) < 0.05  # the counters alone say a tenth less


def test_a_slow_drift_is_no_change() -> None:
    """A counter whose scale grows by a hundredth each year alarms nobody."""
    drifting = [house(400 + seed, meter_drift=0.01, winter_sd=ALIKE) for seed in range(6)]
    assert not any(told(h).changes for h in drifting)


def test_a_change_in_summer_is_dated_to_the_season() -> None:
    """A boiler changed in July shows on hot water alone until autumn: the days it lies between hold July."""
    on = 365 * 5 + 15
    found = told(house(9, -0.2, on=on, winter_sd=ALIKE)).changes
    assert (
        len(found) == 1 and found[0].first_day <= date(2017, 8, 1) and found[0].last_day >= date(2017, 7, 1)
    )

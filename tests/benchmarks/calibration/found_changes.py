"""Are changes found, and none made up? Ten years of monthly bills, a stated use up to a quarter off.

`python -m tests.benchmarks.calibration.found_changes [--houses=N] [--workers=N] [WORLD …]`.

A change counts as found where one of the same sign is told within 60 days of it in the heating season, else
where the days between which it is told hold it.
"""

from __future__ import annotations

import sys
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import partial

import numpy as np

from fuelplan.learning import Prior, learn
from fuelplan.learning import readings as r
from tests.benchmarks.calibration.changed_houses import DAYS, FIRST_DAY, ChangedHouse, house
from tests.benchmarks.calibration.run import each_house, words_given
from tests.signature_worlds import weather_of

SEED = 50_000
STEP = -0.15
DAYS_OFF = 60

WORLDS: Mapping[str, tuple[float, float]] = {
    "winters alike": (0.0, 0.0001),
    "winters differ by 2 to 4 %": (0.02, 0.04),
    "winters differ by 5 to 8 %": (0.05, 0.08),
}
"""Limits of the standard deviation of the heating years' own factors, by name."""


@dataclass(frozen=True)
class Told:
    """What was told of a house.

    Attributes
    ----------
    found
        Whether its change was.
    size_held
        Whether the 80 % interval of its size holds the true one; None where it was not found.
    others
        Changes told that were none.
    """

    found: bool
    size_held: bool | None
    others: int


def one(world: str, step: float, number: int) -> Told:
    """Ask one house."""
    h = house(SEED + number, step, winter_sd=WORLDS[world])
    bills = [r.counter(h.day(i), float(kg)) for i, kg in zip(h.billed, h.shown_kg, strict=True)]
    prior = Prior(*h.stated, 0.3, 0.5, 1.5)
    last = h.day(DAYS - 1)
    changes = learn(prior, weather_of(h.mean_c, FIRST_DAY), bills, [], last, capacity_kg=6000.0).changes
    right = [c for c in changes if step and c.share * step > 0 and _dated(h, c.day, c.first_day, c.last_day)]
    held = right[0].share_p10 <= step <= right[0].share_p90 if right else None
    return Told(bool(right), held, len(changes) - len(right[:1]))


def _dated(h: ChangedHouse, *days: object) -> bool:
    assert h.changed_on is not None
    day, first, last = days
    if h.in_heating_season():
        return abs((day - h.changed_on).days) <= DAYS_OFF  # type: ignore[operator]
    return first <= h.changed_on <= last  # type: ignore[operator]


def line_of(world: str, stepped: Sequence[Told], steady: Sequence[Told]) -> str:
    """The figures of a world."""
    found = [t for t in stepped if t.found]
    held = np.mean([bool(t.size_held) for t in found]) if found else np.nan
    return (
        f"{world:<30}{len(found):4d} of {len(stepped)}   {100 * held:4.0f} %"
        f"   {sum(t.others for t in stepped):4d}   {sum(bool(t.others) for t in steady):4d} of {len(steady)}"
    )


def main(words: list[str]) -> None:
    """Print a line for each world."""
    names, houses, workers, _ = words_given(words, WORLDS, WORLDS, 60)
    print(f"{'world':<30}{'found':>10}   size held   others   alarms without a change", flush=True)
    for name in names:
        stepped, steady = (each_house(partial(one, name, s), houses, workers) for s in (STEP, 0.0))
        print(line_of(name, stepped, steady), flush=True)


if __name__ == "__main__":
    main(sys.argv[1:])

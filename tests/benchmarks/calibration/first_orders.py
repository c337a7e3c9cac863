"""Does the tanker come in time? First orders, placed on the day that `order` tells and not looked at again.

`python -m tests.benchmarks.calibration.first_orders [--houses=N] [--workers=N] [--seed=N] [WORLD …]`.
"""

from __future__ import annotations

import sys
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from functools import partial

import numpy as np

from fuelplan.answers.when_to_order.order import answer_prepared
from tests.benchmarks.calibration.case import Case, prepared
from tests.benchmarks.calibration.run import each_house, words_given
from tests.benchmarks.calibration.worlds import worlds

LEAD_WORKING_DAYS = (4, 10)
"""What the folders say of the supplier; he keeps to it, any day as likely."""

WORLDS = (
    "every winter alike",
    "a factor each winter, sd 8 %",
    "a factor each winter, sd 12 %",
    "15 % more this winter, 3 looks",
    "15 % more this winter, 3 measured",
)


@dataclass(frozen=True)
class FirstOrder:
    """A first order and what became of it.

    Attributes
    ----------
    risk
        Chance of being late that the answer tells.
    late
        Whether the level lay below the reserve on an evening before the tanker came.
    turned_away
        Whether more was ordered than had room when it came.
    """

    risk: float
    late: bool
    turned_away: bool


def comes_on(ordered_on: date, rng: np.random.Generator) -> date:
    """The day on which the tanker comes."""
    working = int(rng.integers(LEAD_WORKING_DAYS[0], LEAD_WORKING_DAYS[1] + 1))
    day: date = np.busday_offset(np.datetime64(ordered_on), working, roll="forward").astype("O")
    return day


def first_order(case: Case, rng: np.random.Generator) -> FirstOrder | None:
    """Ask one house when to order, and wait for the tanker.

    None where the level is below the reserve already, no order is told, or the tanker comes after the days
    that are known.
    """
    level, reserve = case.truth["level"], 0.05 * case.capacity_kg
    told = answer_prepared(prepared(case), whole=False).order
    if told is None or level < reserve:
        return None
    days = (comes_on(told.order_by, rng) - case.as_of).days  # evenings before it: days - 1
    if days > len(case.ahead_kg):
        return None
    before = level - float(case.ahead_kg[: days - 1].sum())
    return FirstOrder(told.risk, before < reserve, told.amount_kg > case.capacity_kg - before)


def one(world: str, seed: int, house: int) -> FirstOrder | None:
    """Ask about one house of a world."""
    return first_order(worlds()[world](house, seed), np.random.default_rng([seed, house, 4]))


def line_of(world: str, found: Sequence[FirstOrder | None]) -> str:
    """The figures of a world: every house is one order, so its interval is that of a share."""
    orders = [f for f in found if f is not None]
    came_late = np.array([o.late for o in orders], dtype=float)
    late, error = came_late.mean(), 1.96 * came_late.std(ddof=1) / np.sqrt(len(orders))
    told = float(np.nanmean([o.risk for o in orders]))
    away = np.mean([o.turned_away for o in orders])
    return (
        f"{world:<38}{len(orders):6d}  {100 * told:5.2f} %  {100 * late:5.2f} ± {100 * error:4.2f} %"
        f"  x {late / told:4.1f} (up to {(late + error) / told:4.1f})"
        f"  {100 * away:5.2f} %"
    )


def main(words: list[str]) -> None:
    """Print a line for each world."""
    names, houses, workers, seed = words_given(words, WORLDS, worlds(), 1000)
    print(
        f"{'world':<38}{'orders':>6}  {'told':>7}  {'late':>14}  {'times the told':<19}  sent home",
        flush=True,
    )
    for name in names:
        print(line_of(name, each_house(partial(one, name, seed), houses, workers)), flush=True)


if __name__ == "__main__":
    main(sys.argv[1:])

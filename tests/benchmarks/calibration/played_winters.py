"""Is the house ever cold? Half a year lived through with `order`, and with a rule that people follow.

`python -m tests.benchmarks.calibration.played_winters [--houses=N] [--workers=N] [--seed=N] [WORLD …]`.

Every other week somebody looks into the store by eye and writes it down. With the plan, `order` is asked, and
its order is placed on the day it tells if that comes before the next look. With the rule, an order is placed
when less than 30 % is seen, for all that seems free. Supplier and looks are the same for both.
"""

from __future__ import annotations

import sys
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from functools import partial

import numpy as np

from fuelplan.answers.when_to_order.order import answer_prepared
from tests.benchmarks.calibration.books import read
from tests.benchmarks.calibration.case import Case, prepared
from tests.benchmarks.calibration.climate import FIRST_DAY
from tests.benchmarks.calibration.first_orders import WORLDS, comes_on
from tests.benchmarks.calibration.run import SEED, each_house, words_given
from tests.benchmarks.calibration.worlds import worlds

DAYS = 182
LOOK_DAYS = 14
RULE = 0.30

Wanted = tuple[date, float]
"""Day on which to place an order, and of how much. [kg]"""

Decides = Callable[[Case, float], Wanted | None]
"""What to order and when, of a folder as it stands and the share that was just seen."""


@dataclass(frozen=True)
class Lived:
    """What half a year brought.

    Attributes
    ----------
    cold_days
        Days on which the store was empty before the evening.
    orders, turned_away
        Tankers that came, and those that could not blow in all they brought.
    """

    cold_days: int
    orders: int
    turned_away: int


def the_plan(case: Case, seen: float) -> Wanted | None:
    """What `order` tells."""
    told = answer_prepared(prepared(case), whole=False).order
    return None if told is None else (told.order_by, told.amount_kg)


def the_rule(case: Case, seen: float) -> Wanted | None:
    """All that seems free, as soon as little is seen."""
    return (case.as_of, (1 - seen) * case.capacity_kg) if seen < RULE else None


def live(case: Case, decides: Decides, house: int) -> Lived:
    """Live half a year; looks and tankers are drawn by house and day, whoever decides."""
    begin, level, cold, orders, away = case.as_of, case.truth["level"], 0, 0, 0
    wanted: Wanted | None = None
    due: date | None = None
    for t in range(DAYS):
        today = begin + timedelta(days=t)
        if today == due and wanted is not None:
            came = min(wanted[1], case.capacity_kg - level)
            orders, away, level = orders + 1, away + (came < wanted[1]), level + came
            row = f"{today},{came:.0f} kg,yes,no,delivered"
            case, wanted, due = replace(case, deliveries=(*case.deliveries, row)), None, None
        if t:
            burns = float(case.ahead_kg[t - 1])
            cold, level = cold + (level < burns), max(0.0, level - burns)
        case = replace(case, as_of=today)
        if t % LOOK_DAYS == 0:
            rng = np.random.default_rng([SEED, house, 5, t])
            row = read(rng, (today - FIRST_DAY).days, level, case.capacity_kg, by_eye=True)
            case = replace(case, readings=(*case.readings, row))
            if due is None:
                wanted = decides(case, float(row.split(",")[1].split()[0]) / 100)
        if wanted is not None and due is None and wanted[0] <= today:
            due = comes_on(today, np.random.default_rng([SEED, house, 6, t]))
    return Lived(cold, orders, away)


def one(world: str, seed: int, house: int) -> tuple[Lived, Lived]:
    """Let a house of a world live by the plan and by the rule."""
    case = worlds()[world](house, seed)
    return live(case, the_plan, house), live(case, the_rule, house)


def line_of(world: str, how: str, lived: Sequence[Lived]) -> str:
    """The figures of a world and a way to decide."""
    cold = np.array([x.cold_days > 0 for x in lived], dtype=float)
    error = 1.96 * cold.std(ddof=1) / np.sqrt(len(cold))
    orders, away = (sum(getattr(x, name) for x in lived) for name in ("orders", "turned_away"))
    return (
        f"{world:<38}{how:<12}{len(lived):7d}  {100 * cold.mean():6.1f} ± {100 * error:3.1f} %"
        f"  {sum(x.cold_days for x in lived):9d}  {orders:7d}  {away:11d}"
    )


def main(words: list[str]) -> None:
    """Print two lines for each world."""
    names, houses, workers, seed = words_given(words, WORLDS, worlds(), 200)
    columns = f"{'winters':>7}  {'interrupted':>14}  {'cold days':>9}  {'tankers':>7}  {'turned away':>11}"
    print(f"{'world':<38}{'decided by':<12}{columns}", flush=True)
    for name in names:
        found = each_house(partial(one, name, seed), houses, workers)
        for how, lived in zip(("order", "below 30 %"), zip(*found, strict=True), strict=True):
            print(line_of(name, how, lived), flush=True)


if __name__ == "__main__":
    main(sys.argv[1:])

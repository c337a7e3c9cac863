"""The demo round's past winters played with its own truth: the plan beside two rules that suppliers use.

    python -m tests.benchmarks.replay_round                     # the ten winters 2015/16 to 2024/25
    python -m tests.benchmarks.replay_round --first 2003 --last 2012

The truth is harder than the model that learns it: habits by the fortnight, absences, houses that change, wind
and sun that move a whole area. Settings of the planner were chosen on winters from 2003 to 2012 alone.
"""

from __future__ import annotations

import argparse
import json
import sys
import time
from datetime import date
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from fuelplan import answers
from fuelplan.answers.past_winters.answer import ReplayAnswer
from fuelplan.cli.replay import as_text
from fuelplan.dispatch.replay import POLICIES, winter_from
from fuelplan.messages import as_message
from tests.demo_folders.round_places import customers
from tests.demo_folders.round_truth import true_use_kg

FOLDER = Path(__file__).parents[2] / "demo_sites" / "round_quellmark"
AS_OF = date(2026, 1, 15)
FIRST, LAST = 2015, 2024
WORDS = as_message("the demo round's own households, which are harder than what is learned of them")


def demo_truth(first_day: date, last_day: date) -> NDArray[np.float64]:
    """Return what the customers of the demo round really burn. [kg]"""
    return np.stack([true_use_kg(one, first_day, last_day) for one in customers()])


def demo_replay(
    first: int, last: int, moves: int | None, seed: int, workers: int, full_days: int, names: tuple[str, ...]
) -> ReplayAnswer:
    """Return the replay of the heating years that begin in `first` to `last`."""
    round_ = answers.open_round(FOLDER)
    weather = answers.weather_for_round(round_, AS_OF)
    began = time.monotonic()

    def told(share: float, what: str) -> None:
        print(f"{share:4.0%} {time.monotonic() - began:6.0f} s  {what}", file=sys.stderr, flush=True)

    return answers.replay(
        round_, weather, seed=seed, as_of=AS_OF, truth=demo_truth, truth_words=WORDS, policies=names,
        settings=answers.with_moves(moves), which=[winter_from(y) for y in range(first, last + 1)],
        workers=workers, full_days=full_days, progress=told,
    )  # fmt: skip


def main() -> None:
    """Print the table, with every winter's own figures."""
    asked = argparse.ArgumentParser(description=__doc__.split("\n")[0])
    asked.add_argument("--first", type=int, default=FIRST)
    asked.add_argument("--last", type=int, default=LAST)
    asked.add_argument("--moves", type=int)
    asked.add_argument("--seed", type=int, default=1)
    asked.add_argument("--workers", type=int, default=2)
    asked.add_argument("--full-days", type=int, default=20)
    asked.add_argument("--policies", default=",".join(POLICIES))
    asked.add_argument("--out", help="Write the JSON document here.")
    given = asked.parse_args()
    began = time.monotonic()
    answer = demo_replay(
        given.first, given.last, given.moves, given.seed, given.workers, given.full_days,
        tuple(given.policies.split(",")),
    )  # fmt: skip
    print(as_text(answer))
    print(f"\n  {'winter':<10}{'policy':<12}{'run-outs':>9}{'top-up':>9}{'km/t':>8}{'t/drop':>8}{'t':>8}")
    for t in answer.tallies:
        tonnes = t.delivered_kg / 1000
        print(
            f"  {t.winter:<10}{t.policy:<12}{t.run_outs:>9}{t.top_up_run_outs:>9}{t.km / tonnes:>8.2f}"
            f"{tonnes / t.drops:>8.2f}{tonnes:>8.0f}"
        )
    print(f"\n{time.monotonic() - began:.0f} s with {given.workers} processes")
    if given.out:
        Path(given.out).write_text(json.dumps(answer.to_json(), indent=1), encoding="utf-8")


if __name__ == "__main__":
    main()

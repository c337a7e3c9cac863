"""The judge of the benchmark's plans finds every kind of broken plan, and prices a sound one as by hand."""

from __future__ import annotations

import math
from pathlib import Path
from typing import Any

import pytest

from tests.benchmarks.inventory_routing.evaluator import Plan, evaluate

INSTANCE = """\
4 2 10 2
0 0 0 20 5 0.5
1 3 4 4 12 0 3 0.1
2 5 6 6 9 3 2 0.2
3 -3 0 5 9 0 1 0.1
"""
"""Two periods, two vehicles of 10; columns as the benchmark's `instance.py` says them."""

SOUND: Plan = [[[[1, 5], [2, 3]]], [[[1, 2], [3, 1]]]]


def judged(tmp_path: Path, plan: Any, text: str = INSTANCE) -> tuple[float, list[str]]:
    """Cost and faults of a plan."""
    path = tmp_path / "instance.dat"
    path.write_text(text, encoding="utf-8")
    return evaluate(path, plan)


def test_a_sound_plan_costs_what_a_hand_works_out(tmp_path: Path) -> None:
    """Computed by hand, distances to the nearest whole number, stocks as they stand at the end of a period.

    Way 1: 5 + √8 → 3 + √61 → 8 = 16, way 2: 5 + √52 → 7 + 3 = 15. End of period 1: depot 20 − 8 + 5 = 17 at
    0.5, customers 6 at 0.1, 7 at 0.2, 4 at 0.1: 8.5 + 0.6 + 1.4 + 0.4 = 10.9. End of period 2: depot
    17 − 3 + 5 = 19, customers 5, 5, 4: 9.5 + 0.5 + 1.0 + 0.4 = 11.4. In all 16 + 15 + 10.9 + 11.4 = 53.3.
    """
    cost, wrong = judged(tmp_path, SOUND)
    assert wrong == []
    assert cost == pytest.approx(53.3, abs=1e-9)
    with_empty_routes = [[[], [[1, 5], [2, 3]], []], [[[1, 2], [3, 1]], []]]
    assert judged(tmp_path, with_empty_routes) == (cost, [])


def test_limits_may_be_reached(tmp_path: Path) -> None:
    """A full vehicle, a full store, an empty depot and a level at its least are sound."""
    text = INSTANCE.replace("0 0 0 20 5", "0 0 0 10 5").replace("1 3 4 4 12 0 3", "1 3 4 4 11 0 3")
    text = text.replace("2 5 6 6 9 3 2", "2 5 6 6 9 5 2")
    _, wrong = judged(tmp_path, [[[[1, 7], [2, 3]]], []], text)
    assert wrong == []


NOBODY = "period 1: {} is no customer with an amount"
BROKEN: list[tuple[str, Any, list[str]]] = [
    ("too much in a route", [[[[1, 8], [2, 3]]], []], ["period 1: a route carries 11 of 10"]),
    ("too many routes", [[[[1, 5]], [[2, 3]], [[3, 1]]], [[[1, 2]]]], ["period 1: 3 routes, 2 vehicles"]),
    ("twice in a route", [[[[1, 2], [2, 3], [1, 3]]], [[[1, 2]]]], ["period 1: customer 1 is visited twice"]),
    ("twice, by two", [[[[1, 2], [2, 3]], [[1, 3]]], [[[1, 2]]]], ["period 1: customer 1 is visited twice"]),
    ("overfilled", [[[[1, 5], [2, 4]]], [[[1, 2]]]], ["period 1: customer 2 is filled to 10 of 9"]),
    ("run dry", [[[[2, 3]]], []], ["period 2: customer 1 ends at -2, 0 is the least"]),
    ("below its least", [[[[1, 5]]], [[[1, 2]]]], ["period 2: customer 2 ends at 2, 3 is the least"]),
    ("unknown customer", [[[[1, 5], [2, 3], [9, 1]]], [[[1, 2]]]], [NOBODY.format("[9, 1]")]),
    ("the depot", [[[[1, 5], [2, 3], [0, 1]]], [[[1, 2]]]], [NOBODY.format("[0, 1]")]),
    ("half a customer", [[[[1, 5], [2, 3], [3.5, 1]]], [[[1, 2]]]], [NOBODY.format("[3.5, 1]")]),
    ("no customer", [[[[1, 5], [2, 3], [math.nan, 1]]], [[[1, 2]]]], [NOBODY.format("[nan, 1]")]),
    ("a name in text", [[[[1, 5], [2, 3], ["3", 1]]], [[[1, 2]]]], [NOBODY.format("['3', 1]")]),
    ("an amount in text", [[[[1, 5], [2, 3], [3, "1"]]], [[[1, 2]]]], [NOBODY.format("[3, '1']")]),
    ("no amount", [[[[1, 5], [2, 3], [3]]], [[[1, 2]]]], [NOBODY.format("[3]")]),
    ("negative amount", [[[[1, 5], [2, 3], [3, -1]]], [[[1, 2]]]], ["period 1: customer 3 gets -1"]),
    ("nothing brought", [[[[1, 5], [2, 3], [3, 0]]], [[[1, 2]]]], ["period 1: customer 3 gets 0"]),
    ("no number", [[[[1, 5], [2, 3], [3, math.nan]]], [[[1, 2]]]], ["period 1: customer 3 gets nan"]),
    ("without end", [[[[1, 5], [2, 3], [3, math.inf]]], [[[1, 2]]]], ["period 1: customer 3 gets inf"]),
    ("a period short", [[[[1, 5], [2, 3]]]], ["2 periods are asked for, the plan has 1"]),
    ("a period long", [*SOUND, []], ["2 periods are asked for, the plan has 3"]),
]  # fmt: skip


@pytest.mark.parametrize(("plan", "says"), [case[1:] for case in BROKEN], ids=[case[0] for case in BROKEN])
def test_every_kind_of_broken_plan_is_found(tmp_path: Path, plan: Any, says: list[str]) -> None:
    """One thing is wrong in each plan, and that one thing is said, in its period."""
    assert judged(tmp_path, plan)[1] == says


def test_a_depot_cannot_give_what_it_makes_later(tmp_path: Path) -> None:
    """What the depot makes in a period goes out from the next one on."""
    poor = INSTANCE.replace("0 0 0 20 5", "0 0 0 7 5")
    assert judged(tmp_path, SOUND, poor)[1] == ["period 1: the depot has -1"]
    enough = INSTANCE.replace("0 0 0 20 5", "0 0 0 8 5")
    assert judged(tmp_path, SOUND, enough)[1] == []


def test_all_that_is_wrong_is_told_at_once(tmp_path: Path) -> None:
    """A plan with several faults in several periods has all of them told, in their order."""
    plan = [[[[1, 9], [2, 4], [7, 1]]], [[[3, 0], [3, 2]]]]
    assert judged(tmp_path, plan)[1] == [
        "period 1: customer 1 is filled to 13 of 12",
        "period 1: customer 2 is filled to 10 of 9",
        "period 1: [7, 1] is no customer with an amount",
        "period 1: a route carries 13 of 10",
        "period 2: customer 3 gets 0",
        "period 2: customer 3 is visited twice",
    ]


def test_a_plan_with_too_few_periods_costs_without_end(tmp_path: Path) -> None:
    """So that it never counts as the better of two."""
    assert judged(tmp_path, [])[0] == math.inf

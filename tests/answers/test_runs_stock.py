"""A depot's stock holds whatever the search's budget is."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from fuelplan import answers
from fuelplan.dispatch.run_plan.problem import Problem, Solution, Visit
from fuelplan.dispatch.run_plan.supply import within_supply
from tests.round_example import AS_OF, ROUND, WEATHER
from tests.round_folders import make_round
from tests.runs_planned import ORDERS_HEAD, planned

YARD_A2_KG = 45_000


@pytest.mark.parametrize("moves", [0, 50, 200])
def test_the_demo_yard_sends_no_more_than_it_has(moves: int) -> None:
    """However short the search: no more A2 leaves the yard in two days than the 45 t that lie there."""
    answer = answers.runs(ROUND, WEATHER, AS_OF, moves=moves, days=2)
    sent = sum(s.kg for r in answer.runs for s in r.stops if s.grade == "A2")
    assert YARD_A2_KG / 2 < sent <= YARD_A2_KG


@pytest.mark.parametrize("moves", [0, 1500])
def test_an_order_that_no_fuel_is_left_for_is_named(tmp_path: Path, moves: int) -> None:
    """Fuel for one drop, two orders: one comes, the other is named with a reason."""
    orders = f"""\
{ORDERS_HEAD}B1,K-03,3000,A1,,2026-01-16,318,no,no,no,
B2,K-05,3000,A1,,2026-01-16,318,no,no,no,
"""
    dry = [
        ("round.toml", 'stock = { A1 = "120 t", A2 = "40 t" }', 'stock = { A1 = "3.2 t" }'),
        ("round.toml", 'amount = "24 t"', 'amount = "10 kg"'),
        ("customers.csv", "47.221,11.402", "47.224,11.402"),
        ("customers.csv", "Zöller,valley,,", "Zöller,valley,north,"),
    ]
    folder = make_round(tmp_path / "r", files={"orders.csv": orders}, changes=dry)
    _, answer = planned(folder, moves=moves, days=4)
    served = {s.order for r in answer.runs for s in r.stops}
    named = {n.order for n in answer.not_served if n.reason}
    assert len(served & {"B1", "B2"}) == 1 and {"B1", "B2"} <= served | named


def test_cutting_down_takes_the_latest_that_nobody_asked_for() -> None:
    """By hand: 10 t for three drops of 4 t on two days. What nobody asked for shrinks to 2 t, or is
    left out where its smallest drop is more; orders stay whole.
    """
    for least, kept in ((20, [[4000.0, 4000.0], [2000.0]]), (30, [[4000.0, 4000.0], []])):
        problem = _three_drops(least)
        visits = ((Visit(0, 4000.0), Visit(1, 4000.0)), (Visit(2, 4000.0),))
        cut = within_supply(problem, Solution(visits, 0.0, 0.0, 0), np.array([True, True, False]))
        assert [[v.kg for v in route] for route in cut.routes] == kept
    whole = Solution(visits, 0.0, 0.0, 0)
    last = within_supply(problem, whole, np.array([False, True, True]))
    assert [[v.customer for v in route] for route in last.routes] == [[1], [2]]
    plenty = problem._replace(supply_kg=problem.supply_kg * 2)
    assert within_supply(plenty, whole, np.array([True, True, False])) is whole


def _three_drops(least: int) -> Problem:
    """Three customers, one tanker with one trip a day, two days, 10 t at the depot."""
    n, days = 3, 2
    return Problem(
        step_kg=np.full(n, 100.0), start=np.zeros(n, np.int64), top=np.full(n, 1),
        use=np.zeros((n, days), int),
        fit=np.ones((n, days), int), least=np.full(n, least), level_cost=np.zeros(2 * n * days),
        level_at=np.arange(n), give_cost=np.zeros((n, days)), may=np.ones((n, days), bool),
        stop_cost=np.zeros((n, days)), must=np.zeros((n, days), bool), grade=np.zeros(n, np.int64),
        stop_h=np.zeros(n), kg_h=np.zeros(n), drive_cost=np.zeros((1, n + 1, n + 1)),
        drive_h=np.zeros((n + 1, n + 1)), slow=np.ones(days), slot_type=np.zeros(1, np.int64),
        slot_depot=np.zeros(1, np.int64), slot_tanker=np.zeros(1, np.int64), slot_cost=np.zeros(1),
        slot_h=np.zeros(1), chambers_kg=np.full((1, 1, 1), 15_000.0), day_h=np.full((1, days), 9.0),
        supply_kg=np.full((1, 1, days), 10_000.0),
    )  # fmt: skip

"""A plan of which every day has been published already."""

from __future__ import annotations

from pathlib import Path

from fuelplan import answers
from fuelplan.answers import Round, RunsAnswer
from tests.round_folders import make_round
from tests.runs_planned import ORDERS_HEAD, planned, stops

ORDERS = f"""\
{ORDERS_HEAD}B1,K-03,3000,A1,,2026-01-13,318,no,no,yes,
B2,K-07,2000,A1,2026-01-14,2026-01-14,322,no,no,no,
"""


def both_published(folder: Path) -> tuple[Round, RunsAnswer]:
    """Two days with an order each, published."""
    round_, answer = planned(make_round(folder, files={"orders.csv": ORDERS}), days=2)
    assert {r.day for r in answer.runs} == set(answer.days)
    answers.publish_runs(round_, answer, answer.days)
    return round_, answer


def test_a_plan_of_published_days_alone_is_those_days(tmp_path: Path) -> None:
    """Asked for again, two published days are the same stops."""
    _, answer = both_published(tmp_path / "r")
    _, again = planned(tmp_path / "r", days=2)
    assert stops(again) == stops(answer)
    assert again.days == answer.days


def test_an_order_that_no_published_day_serves_is_on_a_run_or_named(tmp_path: Path) -> None:
    """Every day is published when a further order comes: it is on a run, or named with a reason."""
    both_published(tmp_path / "r")
    with (tmp_path / "r" / "orders.csv").open("a", encoding="utf-8") as file:
        file.write("B3,K-11,3000,A1,,2026-01-14,318,no,no,no,\n")
    _, again = planned(tmp_path / "r", days=2)
    served = {s.order for r in again.runs for s in r.stops}
    assert "B3" in served | {n.order for n in again.not_served if n.reason}

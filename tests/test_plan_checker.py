"""The plan checker: a sound plan passes, and a plan broken in one rule is caught by that rule."""

from __future__ import annotations

import ast
import json
import subprocess
import sys
from pathlib import Path

import pytest

from tests.plan_checker import breaches, check, law, told_breaches
from tests.plan_checker_example import (
    SECOND,
    add_up,
    at,
    document,
    minutes,
    run,
    runs,
    set_cell,
    write_round,
)
from tests.plans_broken import BROKEN, SPLIT_BREAK, Plan, cell, instead, row, told, toml


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """The round made by hand."""
    return write_round(tmp_path / "round")


def found(folder: Path, plan: Plan, outlook: Plan | None = None) -> set[str]:
    """The kinds of what a plan breaks in silence."""
    return {b.rule for b in check(folder, plan, outlook) if not b.said}


def test_a_sound_plan_passes(folder: Path) -> None:
    """Two runs on a day, a shared drop that was published, breaks, two classes: nothing is broken."""
    assert breaches(folder, document(runs())) == []


def test_a_split_break_passes(folder: Path) -> None:
    """A quarter of an hour, later half an hour: enough after four and a half hours (561/2006, Article 7)."""
    plan = document(runs())
    instead(2, SPLIT_BREAK)(folder, plan)
    assert breaches(folder, plan) == []


@pytest.mark.parametrize("name", list(BROKEN))
def test_a_plan_broken_in_one_rule_is_caught(folder: Path, name: str) -> None:
    """Each change breaks the rules named beside it, and no other."""
    change, rules = BROKEN[name]
    plan = document(runs())
    change(folder, plan)
    assert found(folder, plan) == rules


def test_a_lifted_credit_stop_holds_for_that_order_alone(folder: Path) -> None:
    """With a name in `lifted_by` the order may come; an unasked drop to the same customer may not."""
    set_cell(folder, "customers.csv", "K3", "credit_stop", "yes")
    set_cell(folder, "orders.csv", "B2", "lifted_by", "Anna")
    plan = document(runs())
    assert breaches(folder, plan) == []
    plan["runs"][0]["stops"][1]["order"] = None
    assert "credit stop" in found(folder, plan)


def test_what_the_outlook_calls_due_must_be_spoken_of(folder: Path) -> None:
    """A customer whose last day lies within the plan is on a run or named; later is no matter."""
    plan = document(runs())
    row = {"customer": "K8", "contract": "managed", "must_go_by": "2026-01-14"}
    assert found(folder, plan, {"customers": [row]}) == {"due"}
    assert found(folder, plan, {"customers": [{**row, "must_go_by": "2026-01-15"}]}) == set()
    assert found(folder, plan, {"customers": [{**row, "contract": "will-call"}]}) == set()
    plan["not_served"].append(
        {"customer": "K8", "name": "", "order": None, "reason": "no tanker may go there"}
    )
    assert found(folder, plan, {"customers": [row]}) == set()


def test_a_published_run_may_break_what_it_says_it_breaks(folder: Path) -> None:
    """A window narrowed after publishing: in silence a breach; with a fault that names the customer it is
    said. A run that is planned anew may not break it even so.
    """
    set_cell(folder, "customers.csv", "K3", "to", "08:00")
    plan = document(runs())
    assert found(folder, plan) == {"window"}
    plan["runs"][0]["faults"] = ["House 2: arrives at 08:12, the customer takes fuel until 08:00"]
    assert found(folder, plan) == {"window"}
    plan["runs"][0]["faults"] = ["House 3: arrives at 08:12, the customer takes fuel until 08:00"]
    assert breaches(folder, plan) == [] and len(told_breaches(folder, plan)) == 1
    plan["runs"][0]["frozen"] = False
    assert found(folder, plan) == {"window"}


def test_a_published_run_keeps_the_times_of_its_roads(folder: Path) -> None:
    """Once the round has learned its roads, a published leg may be a tenth off; a planned one may not."""
    toml("detour = 1.0\n", "")(folder, {})
    days = "".join(f"2025-12-0{n},T1,100\n" for n in range(1, 7))
    (folder / "odometer.csv").write_text("date,tanker,km\n" + days, encoding="utf-8")
    plan = document(runs())
    for s, by in zip(plan["runs"][0]["stops"], (3, 3), strict=True):
        s.update({k: at(minutes(s[k]) + by) for k in ("arrive", "start", "leave")})
    plan["runs"][0].update(back_by="09:36")
    add_up(plan)
    assert found(folder, plan) == {"reload"}
    plan["runs"][0]["frozen"] = False
    assert found(folder, plan) == {"reload", "times"}


def test_an_order_that_has_come_is_no_open_one(folder: Path) -> None:
    """An order that the plan says has come, or asks about, need not be on a run; another number is none."""
    row("orders.csv", "B7,K8,2000,A1,2026-01-13,2026-01-14,yes,no,,")(folder, {})
    plan = document(runs())
    assert found(folder, plan) == {"due", "credit stop"}
    plan["notes"] = ["Order B77 of K8 has come: 2,000 kg."]
    assert found(folder, plan) == {"due", "credit stop"}
    plan["notes"] = ["Order B7 of K8 has come: 2,000 kg."]
    assert found(folder, plan) == set()
    plan.update(notes=[], to_confirm=[{"customer": "K8", "order": "B7"}])
    assert found(folder, plan) == set()


def test_the_rest_of_an_order_that_came_in_part(folder: Path) -> None:
    """Of 3,500 kg came 1,500 by a weigh note: 2,000 more are right where the plan says so, and only those."""
    cell("B1", "kg", "3500", "orders.csv")(folder, {})
    plan = document(runs())
    plan["notes"] = ["Order B1 of K2: 1,500 of 3,500 kg came on 2026-01-09; 2,000 kg stay ordered."]
    assert found(folder, plan) == {"order amount"}  # no weigh note says so
    (folder / "deliveries.csv").write_text(
        "customer,date,kg,class,tanker,filled_full\nK2,2026-01-09,1500,A1,T1,no\n", encoding="utf-8"
    )
    assert found(folder, plan) == set()
    plan["notes"] = []
    assert found(folder, plan) == {"order amount"}
    cell("B1", "kg", "3600", "orders.csv")(folder, {})
    plan["notes"] = ["Order B1 of K2: 1,500 of 3,600 kg came on 2026-01-09; 2,000 kg stay ordered."]
    assert found(folder, plan) == {"order amount"}


def test_a_published_run_rests_by_the_clock_it_was_told_for(folder: Path) -> None:
    """A longer way believed in since then makes no longer hours before a break by the clock; a break that
    was told too late stays a breach, and so does a run that is planned anew.
    """
    long = [run(SECOND, "T1", 1, "06:30", [("K5", "A1", 4000, None)], [("A1", 4000)], [(2, 120, 45)])]
    long[0]["frozen"] = True
    plan = document([*runs()[:2], *long, runs()[3]])
    assert found(folder, plan) == set()
    toml("detour = 1.0\n", "detour = 1.3\n")(folder, {})
    assert not {"driving break", "work break"} & found(folder, plan)
    plan["runs"][2]["frozen"] = False
    assert "driving break" in found(folder, plan)
    plan["runs"][2].update(frozen=True, breaks=[])
    assert "driving break" in found(folder, plan)


def test_a_published_run_may_take_fuel_that_is_not_there_if_it_says_so(folder: Path) -> None:
    """Stock counted lower after publishing: a breach, unless the run says what its depot lacks."""
    toml('A1 = "9 t"', 'A1 = "8 t"')(folder, {})
    plan = document(runs())
    assert found(folder, plan) == {"stock"}
    plan["runs"][1].update(frozen=True, faults=["north lacks 1,000 kg A1 by then"])
    assert breaches(folder, plan) == []


@pytest.mark.parametrize(
    "limit", ["DRIVING_A_WEEK_H", "DRIVING_A_FORTNIGHT_H", "WORK_A_WEEK_H", "LONG_DAYS_A_WEEK"]
)
def test_weeks_add_up(folder: Path, monkeypatch: pytest.MonkeyPatch, limit: str) -> None:
    """What a tanker's driver does in a week is summed: 8.3 h at the wheel, 10.5 h of work, no long day."""
    plan = document(runs())
    low = {
        "DRIVING_A_WEEK_H": 8.0,
        "DRIVING_A_FORTNIGHT_H": 8.0,
        "WORK_A_WEEK_H": 10.0,
        "LONG_DAYS_A_WEEK": 0,
    }
    monkeypatch.setattr(law, limit, low[limit])
    if limit == "LONG_DAYS_A_WEEK":
        monkeypatch.setattr(law, "DRIVING_A_DAY_H", 4.0)
    assert found(folder, plan) == {"driver's week"}


def test_a_matrix_of_roads_is_read(folder: Path) -> None:
    """With a file of kilometres and minutes the plan is held against that file."""
    names = ["north", "K1", "K2", "K3", "K4", "K5", "K7"]
    km = {"north": 0, "K1": 30, "K2": 40, "K3": 40, "K4": 60, "K5": 150, "K7": 20}
    lines = [f"{a},{b},{abs(km[a] - km[b])},{abs(km[a] - km[b])}" for a in names for b in names if a < b]
    (folder / "roads.csv").write_text("from,to,km,minutes\n" + "\n".join(lines) + "\n", encoding="utf-8")
    toml("detour = 1.0", 'kind = "file"\nfile = "roads.csv"')(folder, {})
    plan = document(runs())
    assert breaches(folder, plan) == []
    text = "\n".join(["from,to,km,minutes", *lines]).replace("K1,north,30,30", "K1,north,33,30") + "\n"
    (folder / "roads.csv").write_text(text, encoding="utf-8")
    assert found(folder, plan) == {"km"}


def test_the_checker_shares_no_code_with_the_planner() -> None:
    """No module of the checker imports `fuelplan`, or more than the standard library and bank holidays."""
    for path in (Path(__file__).parent / "plan_checker").glob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            names = [a.name for a in node.names] if isinstance(node, ast.Import) else []
            names += [str(node.module)] if isinstance(node, ast.ImportFrom) else []
            for name in names:
                top = name.split(".")[0]
                own = name.startswith("tests.plan_checker")
                assert own or top == "holidays" or top in sys.stdlib_module_names, (path.name, name)


def test_the_command_prints_breaches_and_says_so_by_its_status(folder: Path, tmp_path: Path) -> None:
    """`python -m tests.plan_checker`: 0 for a sound plan, 1 and a line for each breach otherwise."""
    plan = document(runs())
    for value, status, text in (
        (40, 0, "0 breaches"),
        (41, 1, "[km] 2026-01-14 T2 1: 41 km, the rule gives 40.0"),
    ):
        told("runs", 3, "km", value=value)(folder, plan)
        file = tmp_path / "plan.json"
        file.write_text(json.dumps(plan), encoding="utf-8")
        command = [sys.executable, "-m", "tests.plan_checker", str(folder), str(file)]
        done = subprocess.run(
            command, capture_output=True, text=True, timeout=60, check=False, cwd=Path(__file__).parent.parent
        )
        assert done.returncode == status and text in done.stdout

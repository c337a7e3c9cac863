"""One deadline for each customer: the same in outlook, runs, page and sheets; nobody who is due vanishes."""

from __future__ import annotations

import json
from datetime import date
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from fuelplan import answers
from fuelplan.answers import OutlookAnswer, RunsAnswer
from fuelplan.answers.round.roads import roads_for_round
from fuelplan.answers.which_runs.from_books import desk_of, levels_of
from fuelplan.answers.who_is_due.beliefs import believe
from fuelplan.answers.who_is_due.outlook import answer_of
from fuelplan.cli import outlook as outlook_words
from fuelplan.dispatch.outlook import AHEAD_DAYS
from fuelplan.dispatch.run_plan import week_of
from fuelplan.dispatch.run_plan.week import Prices, week_problem
from fuelplan.messages import as_text
from fuelplan.pages.runs import words as runs_words
from fuelplan.papers.run_sheets import sheets_of
from tests.round_example import ROUND, WEATHER
from tests.round_folders import CUSTOMERS, make_round
from tests.round_folders import ROUND as TABLE
from tests.runs_planned import TODAY, planned

DAYS = (date(2026, 1, 15), date(2025, 12, 10), date(2025, 11, 20))
MOVES = 1500


@pytest.fixture(scope="module")
def place(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder for this module's rounds."""
    return tmp_path_factory.mktemp("rounds")


@cache
def both(day: date) -> tuple[OutlookAnswer, RunsAnswer]:
    """The demo round's outlook and run plan of a day."""
    ahead = answers.outlook(ROUND, WEATHER, day, 1)
    return ahead, answers.runs(ROUND, WEATHER, day, 1, moves=MOVES)


@pytest.mark.parametrize("day", DAYS)
def test_outlook_runs_and_page_say_the_same_of_everybody(day: date) -> None:
    """Whom to ring, who is due and at risk, and by when: the same customers and days on the three faces."""
    ahead, plan = both(day)
    of_outlook, of_runs = json.loads(json.dumps(ahead.to_json())), json.loads(json.dumps(plan.to_json()))
    rows = {row["customer"]: row for row in of_outlook["customers"]}
    assert sorted(of_outlook["to_ring"]) == sorted(r["customer"] for r in of_runs["to_ring"])
    assert sorted(of_outlook["due"]) == sorted(d["customer"] for d in of_runs["due"])
    for one in (*of_runs["to_ring"], *of_runs["calls"], *of_runs["due"], *of_runs["not_served"]):
        assert one["deliver_by"] == rows[one["customer"]]["deliver_by"]
    for run in of_runs["runs"]:
        for stop in run["stops"]:
            assert stop["deliver_by"] == rows[stop["customer"]]["deliver_by"]
    assert {d["customer"] for d in of_runs["due"] if d["overdue"]} == {
        c for c in of_outlook["due"] if rows[c]["overdue"]
    }
    late = sum(d["overdue"] for d in of_runs["due"])
    page = {as_text(fact.name): as_text(fact.value) for fact in runs_words.facts(plan, ahead)}
    assert page["Stores at risk"] == (f"{late}" if late else "none")
    assert page["To ring"] == f"{len(of_outlook['to_ring'])}"
    table = runs_words.risk_rows(plan, ahead)
    assert [row[0].rsplit("(", 1)[1].rstrip(")") for row in table] == [d["customer"] for d in of_runs["due"]]
    lists = {x["title"]: len(x["rows"]) for x in sheets_of(plan)["office"]["lists"]}
    assert lists["To ring"] == len(of_outlook["to_ring"])
    assert lists.get("Call before the stop", 0) == len(plan.calls)
    assert f"{len(plan.due)} top-up customers are due by" in " ".join(map(as_text, plan.sentences))
    assert f"{len(plan.due)} top-up customers are due by" in " ".join(map(as_text, ahead.sentences))
    assert "deliver by" in outlook_words.as_text(ahead)


@pytest.mark.parametrize("day", DAYS)
def test_everybody_who_is_due_is_on_a_run_or_named(day: date) -> None:
    """Also where the plan ends before the holidays, and where the chance is just above the limit."""
    _, plan = both(day)
    served = {s.customer for r in plan.runs for s in r.stops}
    named = {x.customer: as_text(x.reason) for x in plan.not_served}
    assert plan.due
    assert [d.customer for d in plan.due if d.customer not in served and not named.get(d.customer)] == []
    planned_on = {s.customer: r.day for r in reversed(plan.runs) for s in r.stops}
    assert {d.customer: d.planned_on for d in plan.due} == {
        d.customer: planned_on.get(d.customer) for d in plan.due
    }


@pytest.mark.parametrize("days", [14, 63, 90, 200])
def test_a_deadline_does_not_depend_on_how_far_ahead_one_looks(days: int) -> None:
    """The page looked 63 days ahead, the command line 90, the planner 41: each had deadlines of its own."""
    usual, other = both(DAYS[0])[0], answers.outlook(ROUND, WEATHER, DAYS[0], 1, days=days)
    assert np.array_equal(usual.customers.deliver_by, other.customers.deliver_by, equal_nan=True)
    assert (usual.due, usual.to_ring) == (other.due, other.to_ring)
    assert np.array_equal(usual.customers.level_kg, other.customers.level_kg)
    assert len(other.weekly_t.p50) == days // 7


def test_depots_planned_apart_keep_the_deadlines(place: Path) -> None:
    """A part of a round has the deadlines of the whole, though it knows fewer customers."""
    text = TABLE.replace("horizon_days = 10", "horizon_days = 8")
    round_ = answers.open_round(make_round(place / "depots", files={"round.toml": text}))
    weather = answers.weather_for_round(round_, TODAY, lambda _: None)
    ahead = answers.outlook(round_, weather, TODAY, 1)
    apart = answers.runs_by_depot(round_, weather, TODAY, 1, days=8, moves=800)
    last = {
        str(c): None if np.isnat(d) else d.item()
        for c, d in zip(ahead.customers.customer, ahead.customers.deliver_by, strict=True)
    }
    assert {d.customer for d in apart.due} == {str(ahead.customers.customer[i]) for i in ahead.due}
    assert apart.due and all(d.deliver_by == last[d.customer] for d in apart.due)
    assert all(s.deliver_by == last[s.customer] for r in apart.runs for s in r.stops)
    assert [r.customer for r in apart.to_ring] == [
        r.customer for r in answers.runs(round_, weather, TODAY, 1, days=8, moves=800).to_ring
    ]


def low(*customers: str) -> str:
    """Readings of the evening by which these have next to nothing left."""
    return "customer,date,kg,percent\n" + "".join(f"{c},2026-01-12,,3\n" for c in customers)


def reasons(answer: RunsAnswer) -> dict[str, str]:
    """Why a customer has no run."""
    return {x.customer: as_text(x.reason) for x in answer.not_served}


def test_where_there_is_no_time_for_all_those_without_a_run_are_named(place: Path) -> None:
    """A quarter of an hour a day serves nobody: all who are due are told with the reason."""
    text = TABLE + '\n[driver]\nhours_a_day = "20 min"\novertime = "0 h"\n'
    files = {"readings.csv": low("K-02", "K-08", "K-12"), "round.toml": text, "orders.csv": None}
    _, answer = planned(make_round(place / "no time", files=files))
    assert not answer.runs
    assert {"K-02", "K-08", "K-12"} <= {d.customer for d in answer.due} <= set(reasons(answer))
    assert reasons(answer)["K-08"] == "no run has room, time or fuel for it on these days"
    assert all(x.deliver_by is not None for x in answer.not_served if x.customer != "K-10")


def test_who_is_due_and_has_no_room_for_the_smallest_drop_is_told_so(place: Path) -> None:
    """A reserve so high that the smallest drop does not fit above it: due at once, and no tanker can help."""
    row = "K-12,New house,valley,,47.200,11.430,620,A1,4000,400,top-up,15,,,,,,,"
    assert row in CUSTOMERS
    files = {
        "customers.csv": CUSTOMERS.replace(row, row.replace("4000,400", "4000,3000") + "2500"),
        "readings.csv": "customer,date,kg,percent\nK-12,2026-01-12,3050,\n",
    }
    _, answer = planned(make_round(place / "no room", files=files), days=3)
    assert "K-12" in {d.customer for d in answer.due}
    served = {s.customer for r in answer.runs for s in r.stops}
    assert "K-12" in served or "smallest drop, 2.5 t, does not fit" in reasons(answer)["K-12"]
    assert "K-12" not in served


def test_who_is_due_before_their_order_is_told_so(place: Path) -> None:
    """A watched store with an order from a later day on is not forgotten until then."""
    head = "order,customer,kg,class,from,to,price_per_t,credit_stop,call_ahead,already_empty,split_with\n"
    orders = head + "L1,K-08,2000,A1,2026-02-16,2026-02-20,,no,no,no,\n"
    files = {"orders.csv": orders, "readings.csv": low("K-08")}
    _, answer = planned(make_round(place / "later", files=files), days=5)
    assert "K-08" in {d.customer for d in answer.due}
    assert reasons(answer)["K-08"] == "its order is promised from 16 February on"


def test_the_holidays_after_the_plan_count(place: Path) -> None:
    """On 10 December ten working days end on Christmas Eve; tankers drive again on the 29th: whoever would
    fall below the reserve in between is due, and served before."""
    _, plan = both(date(2025, 12, 10))
    eve = [d for d in plan.due if d.deliver_by == date(2025, 12, 24) == plan.days[-1]]
    assert eve and all(d.planned_on is not None for d in eve)


def keys(document: dict[str, Any], *names: str) -> bool:
    """Whether a document has all of these keys."""
    return set(names) <= set(document)


def test_the_keys_of_schema_1_are_still_there() -> None:
    """`must_go`, `must_go_by` and `to_ring` stand beside their new names, with the same values."""
    ahead, plan = both(DAYS[0])
    of_outlook, of_runs = ahead.to_json(), plan.to_json()
    assert of_outlook["must_go"] == of_outlook["due"]
    assert all(row["must_go_by"] == row["deliver_by"] for row in of_outlook["customers"])
    assert all(p["must_go_by"] == p["deliver_by"] for p in of_outlook["late_promises"])
    assert all(r["must_go_by"] == r["deliver_by"] for r in of_runs["to_ring"])
    assert keys(of_runs, "due", "calls", "to_ring") and of_outlook["late_promises"] and of_runs["to_ring"]
    frame = ahead.customers.frame()
    assert frame.must_go_by.equals(frame.deliver_by)


def test_the_search_is_charged_for_whoever_is_due_and_not_served() -> None:
    """However small the chance above the limit: no plan saves a way by leaving out a store that is due."""
    day = DAYS[1]
    beliefs = believe(ROUND, WEATHER, day, 1, AHEAD_DAYS)
    table = answer_of(beliefs).customers
    week = week_of(desk_of(ROUND, day), levels_of(beliefs, 41), 10, table.deliver_by)
    assert week.grid.end[-1] == (date(2025, 12, 28) - day).days  # tankers drive again on the 29th
    roads, prices = roads_for_round(ROUND), Prices()
    problem = week_problem(
        week.needs, week.fleet, week.grid, roads.roads.km, roads.roads.hours, np.array(roads.depot_place),
        week.supply_kg, 0.02, prices,
    )  # fmt: skip
    due = {int(i) for i in np.flatnonzero(table.due(max(week.days)))}
    seen = 0
    for n, row in enumerate(week.rows):
        if row.orders:
            continue
        last = problem.level_at[n] + (problem.days - 1) * (problem.top[n] + 1)
        nothing = int(problem.start[n] - problem.use[n].sum())  # steps left at the end if nothing comes
        saved = float(problem.level_cost[last + nothing] - problem.level_cost[last + nothing + 1])
        assert (saved >= prices.broken) == (row.customer in due)
        seen += row.customer in due
    assert seen >= 10

"""The plan checker: a sound plan passes, and a plan broken in one rule is caught by that rule."""

from __future__ import annotations

import ast
import json
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from tests.plan_checker import breaches, check, law, told_breaches
from tests.plan_checker_example import (
    FIRST,
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

Plan = dict[str, Any]
Change = Callable[[Path, Plan], None]


def toml(old: str, new: str) -> Change:
    """A change of round.toml, at its first place."""

    def change(folder: Path, _: Plan) -> None:
        path = folder / "round.toml"
        text = path.read_text(encoding="utf-8")
        assert old in text
        path.write_text(text.replace(old, new, 1), encoding="utf-8")

    return change


def cell(who: str, column: str, value: str, file: str = "customers.csv") -> Change:
    """A change of one cell."""
    return lambda folder, _: set_cell(folder, file, who, column, value)


def row(file: str, text: str) -> Change:
    """A further row."""

    def change(folder: Path, _: Plan) -> None:
        with (folder / file).open("a", encoding="utf-8") as stream:
            stream.write(text + "\n")

    return change


def told(*keys: Any, value: Any, add: bool = True) -> Change:
    """Another value in the document, the sums worked out anew unless they are what is changed."""

    def change(_: Path, plan: Plan) -> None:
        place: Any = plan
        for key in keys[:-1]:
            place = place[key]
        place[keys[-1]] = value
        if add:
            add_up(plan)

    return change


def instead(number: int, *new: Plan) -> Change:
    """Other runs in the place of one."""

    def change(_: Path, plan: Plan) -> None:
        plan["runs"][number : number + 1] = list(new)
        add_up(plan)

    return change


def shifted(number: int, by: int) -> Change:
    """All clocks of a run later by so many minutes."""

    def change(_: Path, plan: Plan) -> None:
        r = plan["runs"][number]
        for part, keys in (
            (r, ("leave", "back_by")),
            *((s, ("arrive", "start", "leave")) for s in r["stops"]),
        ):
            for key in keys:
                part[key] = at(minutes(part[key]) + by)
        for b in r["breaks"]:
            b["at"] = at(minutes(b["at"]) + by)
        add_up(plan)

    return change


def several(*changes: Change) -> Change:
    """Several changes."""

    def change(folder: Path, plan: Plan) -> None:
        for one in changes:
            one(folder, plan)

    return change


def window_told(first: str, last: str) -> Change:
    """The second published stop was told this window, and the plan still has it."""

    def change(folder: Path, plan: Plan) -> None:
        path = folder / "published.csv"
        head, *rows = path.read_text(encoding="utf-8").splitlines()
        rows = [f"{r},{first},{last}" if ",K3," in r else f"{r},," for r in rows]
        path.write_text("\n".join([f"{head},told_from,told_to", *rows]) + "\n", encoding="utf-8")
        plan["runs"][0]["stops"][1].update(told_from=first, told_to=last)

    return change


LONG_DAY = several(
    toml('opens = "06:00"', 'opens = "00:00"'),
    toml('closes = "18:00"', 'closes = "23:59"'),
    toml('hours_a_day = "9 h"', 'hours_a_day = "9 h"\nshift_start = "00:00"\nlatest_end = "23:59"'),
    cell("K1", "to", "23:00"),
)
FAR = [("K5", "A1", 4000, None)]
WITHOUT_BREAK = run(SECOND, "T1", 1, "06:30", FAR, [("A1", 4000)])
SHORT_BREAK = run(SECOND, "T1", 1, "06:30", FAR, [("A1", 4000)], [(2, 120, 30)])
SPLIT_BREAK = run(SECOND, "T1", 1, "06:30", FAR, [("A1", 4000)], [(1, 60, 15), (2, 120, 30)])
SPLIT_WRONG = run(SECOND, "T1", 1, "06:30", FAR, [("A1", 4000)], [(1, 60, 30), (2, 120, 15)])
NO_REST = run(
    FIRST, "T1", 2, "10:00", [("K1", "A1", 4000, None), ("K4", "A2", 5000, None)],
    [("A1", 4000), ("A2", 5000)],
)  # fmt: skip
LITTLE_REST = run(
    FIRST, "T1", 2, "10:00", [("K1", "A1", 4000, None), ("K4", "A2", 5000, None)],
    [("A1", 4000), ("A2", 5000)], [(3, 0, 15)],
)  # fmt: skip
ALONE = run(FIRST, "T1", 1, "07:00", [("K2", "A1", 2000, "B1")], [("A1", 2000)])
NEIGHBOUR = run(FIRST, "T2", 1, "07:00", [("K3", "A1", 3000, "B2")], [("A1", 3000)])
TWICE = run(SECOND, "T2", 1, "08:00", [("K7", "A1", 1500, None), ("K7", "A1", 1500, None)], [("A1", 3000)])
TWO_TICKETS = run(
    SECOND, "T2", 1, "08:00", [("K7", "A1", 2000, None), ("K2", "A1", 2000, "B1")], [("A1", 4000)]
)
OFTEN = several(
    instead(3, run(FIRST, "T2", 1, "08:00", [("K7", "A1", 4000, None)], [("A1", 4000)]),
            run(SECOND, "T2", 1, "08:00", [("K7", "A1", 4000, None)], [("A1", 4000)])),
    toml('A1 = "9 t"', 'A1 = "90 t"'),
)  # fmt: skip

BROKEN: dict[str, tuple[Change, set[str]]] = {
    "more than the payload": (toml('name = "T2"', 'name = "T2"\npayload = "1.5 t"'), {"payload"}),
    "a chamber of another class": (told("runs", 1, "chambers", 1, "klass", value="A1"), {"chambers"}),
    "no chambers at all": (told("runs", 0, "chambers", value=[]), {"chambers"}),
    "a chamber that is overfull": (
        several(told("runs", 1, "chambers", 1, "kg", value=5500),
            told("runs", 1, "stops", 1, "kg", value=5500)),
        {"chambers", "work"},
    ),
    "a chamber with fuel for nobody": (told("runs", 3, "chambers", 1, value={"klass": "A1", "kg": 900,
        "holds_kg": 3000}), {"chambers"}),
    "a class the customer does not take": (cell("K1", "classes", "A2"), {"class"}),
    "a class the tanker may not carry": (toml('name = "T1"', 'name = "T1"\nclasses = ["A1"]'), {"class"}),
    "less than the smallest drop": (cell("K1", "smallest_drop_kg", "5000"), {"drop"}),
    "more than the store holds": (cell("K1", "store_kg", "3900"), {"drop"}),
    "more than the depot has": (toml('A1 = "9 t"', 'A1 = "8 t"'), {"stock"}),
    "what has not arrived yet": (toml("on = 2026-01-14", "on = 2026-01-15"), {"stock"}),
    "a class that is not there": (toml(', A2 = "6 t"', ""), {"stock"}),
    "a depot that is out of a class": (
        row("happenings.csv", "2026-01-14,depot out of stock,,,north,,,A1,"), {"stock"}),
    "hose": (cell("K5", "hose_m", "45"), {"hose", "work"}),
    "width of the first of a shared drop": (cell("K2", "max_width_m", "2.4"), {"width"}),
    "width of the second of a shared drop": (cell("K3", "max_width_m", "2.4"), {"width"}),
    "weight of the second of a shared drop": (cell("K3", "max_weight_t", "18"), {"weight"}),
    "a trailer": (cell("K7", "trailer_ok", "no"), {"trailer"}),
    "a customer of another depot": (cell("K1", "depot", "south"), {"depot"}),
    "a credit stop of a customer": (cell("K1", "credit_stop", "yes"), {"credit stop"}),
    "a credit stop of the second of a shared drop": (cell("K3", "credit_stop", "yes"), {"credit stop"}),
    "a credit stop of an order": (cell("B2", "credit_stop", "yes", "orders.csv"), {"credit stop"}),
    "an order kept back in silence": (told("not_served", value=[]), {"credit stop", "due"}),
    "a customer who left": (cell("K1", "left_on", "2026-01-12"), {"left"}),
    "a day that is closed": (toml("[rules]", "[rules]\nclosed = [2026-01-14]"), {"closed day"}),
    "a weekday without tankers": (toml("[rules]", '[rules]\nweekdays = ["tuesday"]'), {"closed day"}),
    "a day left out": (several(told("days", value=[FIRST, "2026-01-15"]),
        told("runs", 2, "date", value="2026-01-15"), told("runs", 3, "date", value="2026-01-15")),
        {"closed day"}),
    "a weekday of the customer": (cell("K1", "weekdays", "Mon;Wed"), {"weekday"}),
    "a tanker out of service": (
        toml('name = "T2"', 'name = "T2"\nout_of_service = [2026-01-14]'), {"out of service"}),
    "a tanker that is out": (row("happenings.csv", "2026-01-14,tanker out,,T2,,,,,"), {"out of service"}),
    "a published tanker that is out, in silence": (
        row("happenings.csv", "2026-01-13,tanker out,,T1,,,,,"), {"out of service", "published"}),
    "a drop that failed that day": (
        row("happenings.csv", "2026-01-13,failed drop,K1,,,,,,other"), {"failed drop"}),
    "what is forbidden": (row("wishes.csv", "K1,forbid,2026-01-13,,Anna,"), {"wish"}),
    "a tanker that is forbidden": (row("wishes.csv", "K7,forbid,,T2,Anna,"), {"wish"}),
    "a pin that is not kept": (row("wishes.csv", "K7,pin,2026-01-13,,Anna,"), {"wish"}),
    "kilometres": (told("runs", 3, "km", value=41), {"km"}),
    "hours at the wheel": (told("runs", 3, "driving_hours", value=0.8), {"driving"}),
    "slow roads that were not counted": (
        row("happenings.csv", "2026-01-14,slow roads,,,,,1.5,,"), {"driving", "times",
                                                                    "driving break", "work break"}),
    "a leg too quick": (told("runs", 3, "stops", 0, "arrive", value="08:10"), {"times"}),
    "times that run backwards": (told("runs", 3, "stops", 0, "leave", value="08:10"), {"times", "work"}),
    "hours": (told("runs", 3, "hours_told", value=1.9), {"hours"}),
    "the fleet's mean in the place of the tanker's own blowing": (
        several(told("runs", 3, "stops", 0, "leave", value="08:55"),
            told("runs", 3, "back_by", value="09:15")),
        {"work"},
    ),
    "a window": (cell("K1", "to", "10:00"), {"window"}),
    "before a window opens": (cell("K7", "from", "09:00"), {"window"}),
    "a depot that is shut": (toml('closes = "18:00"', 'closes = "12:00"'), {"depot hours"}),
    "no time to load": (shifted(1, -15), {"reload"}),
    "the latest end": (
        toml('hours_a_day = "9 h"', 'hours_a_day = "9 h"\nlatest_end = "14:00"'), {"driver's day"}),
    "the earliest start": (
        toml('hours_a_day = "9 h"', 'hours_a_day = "9 h"\nshift_start = "06:45"'), {"driver's day"}),
    "hours at the wheel in all": (
        toml('hours_a_day = "9 h"', 'hours_a_day = "9 h"\ndriving_a_day = "4.9 h"'), {"driver's day"}),
    "hours and overtime of a day": (
        toml('hours_a_day = "9 h"', 'hours_a_day = "5 h"\novertime = "30 min"'),
        {"driver's day", "overtime"}),
    "no break on the road": (instead(2, WITHOUT_BREAK), {"driving break"}),
    "too short a break on the road": (instead(2, SHORT_BREAK), {"driving break"}),
    "half an hour first, a quarter later": (instead(2, SPLIT_WRONG), {"driving break"}),
    "no break over two runs": (instead(1, NO_REST), {"work break"}),
    "a quarter of an hour for a day above six hours": (instead(1, LITTLE_REST), {"work break"}),
    "a short night": (several(LONG_DAY, shifted(1, 9 * 60)), {"daily rest"}),
    "an order nobody placed": (told("runs", 3, "stops", 0, "order", value="B9"), {"order"}),
    "another amount than ordered": (cell("B1", "kg", "2500", "orders.csv"), {"order amount"}),
    "another class than ordered": (several(cell("K2", "classes", "A1;A2"),
        cell("B1", "class", "A2", "orders.csv")), {"order"}),
    "a day too early": (cell("B1", "from", "2026-01-14", "orders.csv"), {"promise"}),
    "a day too late, in silence": (several(cell("B1", "to", "2026-01-12", "orders.csv"),
        told("runs", 0, "stops", 0, "promised_to", value="2026-01-12")), {"promise"}),
    "another promise than the order's": (
        told("runs", 0, "stops", 0, "promised_to", value="2026-01-16"), {"promise"}),
    "a shared drop torn apart": (
        several(instead(0, ALONE, NEIGHBOUR), lambda f, _: (f / "published.csv").unlink()), {"shared drop"}),
    "an on-request customer who has not called": (cell("K1", "contract", "on request"), {"unasked"}),
    "twice a day": (instead(3, TWICE), {"twice"}),
    "one order on two stops": (instead(3, TWO_TICKETS), {"twice", "shared drop"}),
    "more in two days than can be burned": (OFTEN, {"twice"}),
    "a published stop that is gone": (
        row("published.csv", "2026-01-14,T2,1,2,K8,A1,2000,09:30"), {"published"}),
    "a published amount": (cell("K3", "kg", "2900", "published.csv"), {"published"}),
    "a published tanker": (cell("K3", "tanker", "T2", "published.csv"), {"published"}),
    "a time that was told": (cell("K3", "arrive", "10:00", "published.csv"), {"told time"}),
    "a window of half an hour that was told": (
        several(cell("K3", "told_window_h", "0.5"), cell("K3", "arrive", "08:30", "published.csv")),
        {"told time"}),
    "a window that was told and is left": (window_told("06:00", "07:30"), {"told time"}),
    "a window that was told and is another now": (
        several(window_told("07:00", "09:00"), told("runs", 0, "stops", 1, "told_to", value="09:30")),
        {"told time"}),
    "somebody below the reserve": (row("readings.csv", "K8,2026-01-12,300,"), {"due"}),
    "an order on no run": (row("orders.csv", "B7,K8,2000,A1,2026-01-13,2026-01-14,no,no,,"), {"due"}),
    "no reason": (told("not_served", 0, "reason", value=" "), {"due"}),
    "kilograms of a run": (told("runs", 3, "kg", value=2100, add=False), {"sums"}),
    "places in a run": (told("runs", 0, "stops", 1, "position", value=3), {"sums"}),
    "kilometres of the plan": (told("totals", "km", value=500, add=False), {"sums"}),
    "stops of a day": (told("per_day", 1, "stops", value=3, add=False), {"sums"}),
    "money": (told("runs", 3, "cost", value=150.0, add=False), {"money", "sums"}),
    "overtime": (told("per_day", 1, "overtime_h", value=0.5, add=False), {"overtime"}),
}  # fmt: skip


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

"""Ways to break a plan in one rule, each with the rules that the checker must name."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

from tests.plan_checker_example import (
    FIRST,
    SECOND,
    add_up,
    at,
    minutes,
    run,
    set_cell,
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

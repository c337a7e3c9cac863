"""A round and its plan made by hand for tests of the plan checker: every kilometre is a minute, and no figure
comes from the planner.
"""

from __future__ import annotations

import copy
from collections.abc import Sequence
from pathlib import Path
from typing import Any

KM_PER_DEGREE = 6371.0088 * 3.141592653589793 / 180

TOML = """\
format = 2
name = "By hand"
currency = "EUR"
classes = ["A1", "A2"]
[place]
country = "AT"
time_zone = "Europe/Vienna"
[weather]
source = "file"
file = "weather.csv"
[[depot]]
name = "north"
latitude = 47.0
longitude = 11.0
opens = "06:00"
closes = "18:00"
stock = { A1 = "9 t", A2 = "6 t" }
[[depot.arriving]]
on = 2026-01-14
class = "A1"
amount = "10 t"
[[tanker]]
name = "T1"
depot = "north"
chambers = ["5 t", "5 t", "5 t"]
hose = "40 m"
width = "2.5 m"
laden_weight = "26 t"
cost_per_km = "1.00 EUR/km"
cost_per_hour = "60 EUR/h"
blow_rate = "10 t/h"
set_up = "20 min"
reload = "30 min"
[[tanker]]
name = "T2"
depot = "north"
chambers = ["4 t", "3 t"]
classes = ["A1"]
width = "2.3 m"
laden_weight = "18 t"
trailer = true
cost_per_km = "1.00 EUR/km"
cost_per_hour = "60 EUR/h"
blow_rate = "5 t/h"
set_up = "20 min"
reload = "30 min"
[rules]
smallest_drop = "1500 kg"
[driver]
hours_a_day = "9 h"
[distances]
detour = 1.0
speed = "60 km/h"
"""

CUSTOMER = """\
customer name latitude longitude classes store_kg reserve_kg contract hose_m max_width_m max_weight_t
trailer_ok weekdays from to smallest_drop_kg credit_stop left_on told_window_h depot
""".split()  # noqa: SIM905
KM = {"K1": 30, "K2": 40, "K3": 40, "K4": 60, "K5": 150, "K6": 10, "K7": 20, "K8": 25}
STORES = {
    "K1": {"contract": "top-up", "from": "08:00", "to": "16:00"},
    "K2": {},
    "K3": {},
    "K4": {"contract": "top-up", "classes": "A2"},
    "K5": {"contract": "top-up", "hose_m": "35"},
    "K6": {"credit_stop": "yes"},
    "K7": {"contract": "top-up"},
    "K8": {"contract": "top-up"},
}
ORDERS = """\
order,customer,kg,class,from,to,credit_stop,already_empty,split_with,lifted_by
B1,K2,2000,A1,2026-01-13,2026-01-14,no,no,K3,
B2,K3,3000,A1,2026-01-13,2026-01-14,no,no,K2,
B3,K6,2000,A1,2026-01-13,2026-01-14,no,no,,
"""
READINGS = "customer,date,kg,percent\nK7,2026-01-12,300,\n"
PUBLISHED = """\
date,tanker,trip,position,customer,class,kg,arrive
2026-01-13,T1,1,1,K2,A1,2000,07:40
2026-01-13,T1,1,2,K3,A1,3000,08:12
"""
WISHES = "customer,wish,date,tanker,by,why\n"
HAPPENINGS = "date,what,customer,tanker,depot,until,factor,class,reason\n"


def customers_csv() -> str:
    """The customers, each so many kilometres north of the depot."""
    rows = [",".join(CUSTOMER)]
    for name, own in STORES.items():
        cells = {
            "customer": name,
            "name": f"House {name[1:]}",
            "latitude": f"{47 + KM[name] / KM_PER_DEGREE:.9f}",
            "longitude": "11.0",
            "classes": "A1",
            "store_kg": "6000",
            "reserve_kg": "500",
            **own,
        }
        rows.append(",".join(cells.get(c, "") for c in CUSTOMER))
    return "\n".join(rows) + "\n"


def write_round(folder: Path) -> Path:
    """Write the round."""
    folder.mkdir()
    texts = {
        "round.toml": TOML,
        "customers.csv": customers_csv(),
        "orders.csv": ORDERS,
        "readings.csv": READINGS,
        "published.csv": PUBLISHED,
        "wishes.csv": WISHES,
        "happenings.csv": HAPPENINGS,
    }
    for name, text in texts.items():
        (folder / name).write_text(text, encoding="utf-8")
    return folder


def set_cell(folder: Path, file: str, who: str, column: str, value: str) -> None:
    """Write another cell into the row of a customer or an order."""
    path = folder / file
    head, *rows = path.read_text(encoding="utf-8").splitlines()
    names = head.split(",")
    at, key = names.index(column), names.index("order" if "order" in names else "customer")
    for n, row in enumerate(rows):
        cells = row.split(",")
        if cells[key] == who:
            cells[at] = value
            rows[n] = ",".join(cells)
    path.write_text("\n".join([head, *rows]) + "\n", encoding="utf-8")


def at(minutes: float) -> str:
    """Write minutes since midnight as a clock."""
    whole = round(minutes)
    return f"{whole // 60:02d}:{whole % 60:02d}"


def minutes(clock: str) -> int:
    """Read a clock as minutes since midnight."""
    return 60 * int(clock[:2]) + int(clock[3:])


def run(
    day: str,
    tanker: str,
    trip: int,
    leave: str,
    stops: Sequence[tuple[str, str, int, str | None]],
    chambers: Sequence[tuple[str, int]],
    breaks: Sequence[tuple[int, int, int]] = (),
) -> dict[str, Any]:
    """Lay out a run: stops as (customer, class, kg, order); breaks as (before stop, minutes after the stop
    before, how long), taken on the road.
    """
    rate, holds = {"T1": (10000, (5000, 5000, 5000)), "T2": (5000, (4000, 3000))}[tanker]
    clock, place, driven, out, rests = minutes(leave), 0, 0, [], []
    for n, (customer, grade, kg, order) in enumerate([*stops, ("", "", 0, None)], 1):
        for before, after, length in breaks:
            if before == n:
                rests.append({"at": at(clock + after), "minutes": length, "before_stop": n})
                clock += length
        leg = abs(KM.get(customer, 0) - place)
        clock, place, driven = clock + leg, KM.get(customer, 0), driven + leg
        if not customer:
            break
        hose = 3 if customer == "K5" else 0
        leaves = clock + 20 + hose + 60 * kg / rate
        out.append({
            "position": n, "customer": customer, "name": f"House {customer[1:]}", "product": grade, "kg": kg,
            "arrive": at(clock), "start": at(clock), "leave": at(leaves), "order": order,
            "promised_to": "2026-01-14" if order else None, "why": "", "call_ahead": False, "note": "",
        })  # fmt: skip
        clock = round(leaves)
    loads = [*chambers, *[("", 0)] * (len(holds) - len(chambers))]
    return {
        "date": day, "tanker": tanker, "depot": "north", "trip": trip, "leave": leave, "back_by": at(clock),
        "stops": out, "breaks": rests, "km": driven, "driving_hours": round(driven / 60, 2), "frozen": False,
        "chambers": [{"klass": k, "kg": kg, "holds_kg": h} for (k, kg), h in zip(loads, holds, strict=True)],
        "faults": [],
    }  # fmt: skip


FIRST, SECOND = "2026-01-13", "2026-01-14"


def runs() -> list[dict[str, Any]]:
    """The runs of a sound plan: two of T1 on the first day, one published; a far one; a short one of T2."""
    shared = run(
        FIRST, "T1", 1, "07:00", [("K2", "A1", 2000, "B1"), ("K3", "A1", 3000, "B2")], [("A1", 5000)]
    )
    shared["frozen"] = True
    return [
        shared,
        run(FIRST, "T1", 2, "10:00", [("K1", "A1", 4000, None), ("K4", "A2", 5000, None)],
            [("A1", 4000), ("A2", 5000)], [(3, 0, 45)]),
        run(SECOND, "T1", 1, "06:30", [("K5", "A1", 4000, None)], [("A1", 4000)], [(2, 120, 45)]),
        run(SECOND, "T2", 1, "08:00", [("K7", "A1", 2000, None)], [("A1", 2000)]),
    ]  # fmt: skip


def document(made: list[dict[str, Any]]) -> dict[str, Any]:
    """Return the document of a plan, its sums worked out."""
    plan: dict[str, Any] = {
        "schema": 2, "as_of": "2026-01-12", "days": [FIRST, SECOND], "runs": copy.deepcopy(made),
        "not_served": [{"customer": "K6", "name": "House 6", "order": "B3", "reason": "credit stop"}],
        "promises_at_risk": [], "changes": [], "notes": [], "sentences": [],
    }  # fmt: skip
    add_up(plan)
    return plan


def add_up(plan: dict[str, Any]) -> None:
    """Work out hours, money and all sums of a plan anew."""
    for r in plan["runs"]:
        r["hours"] = r.get("hours_told") or round((minutes(r["back_by"]) - minutes(r["leave"])) / 60, 2)
        r["kg"] = sum(s["kg"] for s in r["stops"])
        r["cost"] = round(r["km"] + 60 * r["hours"], 2)

    def sums(some: list[dict[str, Any]]) -> dict[str, Any]:
        return {
            "runs": len(some),
            "stops": sum(len(r["stops"]) for r in some),
            **{k: sum(r[k] for r in some) for k in ("kg", "km", "hours")},
        }

    plan["per_day"] = [
        {"day": d, **sums([r for r in plan["runs"] if r["date"] == d]), "overtime_h": 0.0}
        for d in plan["days"]
    ]
    plan["totals"] = {**sums(plan["runs"]), "cost": sum(r["cost"] for r in plan["runs"])}

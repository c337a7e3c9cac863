"""Chambers, classes, payload, drops and the stock of depots."""

from __future__ import annotations

from collections import defaultdict

from tests.plan_checker import quantities as q
from tests.plan_checker.context import KG, Check, Run
from tests.plan_checker.roads import covers


def loads(check: Check) -> None:
    """Each stop's class comes from chambers of that class alone; chambers and payload hold what is loaded."""
    for run in check.runs():
        if not run["frozen"]:
            _loaded(check, run)


def published_loads(check: Check) -> None:
    """The same of runs that were published before."""
    for run in check.runs():
        if run["frozen"]:
            _loaded(check, run)


def _loaded(check: Check, run: Run) -> None:
    tanker = check.tanker(run)
    wanted: dict[str, float] = defaultdict(float)
    for stop in run["stops"]:
        wanted[stop["product"]] += stop["kg"]
    slack = KG * max(1, len(run["stops"]))
    if sum(wanted.values()) > tanker.payload_kg + slack:
        check.say("payload", run, f"carries {sum(wanted.values()):.0f} kg of {tanker.payload_kg:.0f}")
    for grade in sorted(set(wanted) - tanker.classes):
        check.say("class", run, f"{grade} is not carried by {tanker.name}")
    chambers = run["chambers"]
    if [float(c["holds_kg"]) for c in chambers] != list(tanker.chambers_kg):
        check.say("chambers", run, f"{len(chambers)} chambers are told of {len(tanker.chambers_kg)}")
        return
    loaded: dict[str, float] = defaultdict(float)
    for n, chamber in enumerate(chambers, 1):
        if chamber["kg"] > chamber["holds_kg"] + KG:
            check.say("chambers", run, f"chamber {n} holds {chamber['holds_kg']}, gets {chamber['kg']}")
        if chamber["kg"] > 0 and not chamber["klass"]:
            check.say("chambers", run, f"chamber {n} has {chamber['kg']} kg of no class")
        if chamber["kg"] > 0:
            loaded[chamber["klass"]] += chamber["kg"]
    for grade in sorted({*wanted, *loaded}):
        if abs(wanted[grade] - loaded[grade]) > slack:
            check.say(
                "chambers",
                run,
                f"{wanted[grade]:.0f} kg {grade} to bring, {loaded[grade]:.0f} loaded",
            )


def drops(check: Check) -> None:
    """A drop is of a class that the customer takes, fits the store, and is not smaller than agreed."""
    for run, stop in check.stops():
        customer, kg = check.customer(stop), stop["kg"]
        order = check.orders.get(stop["order"] or "")
        if stop["product"] not in customer.classes and (order is None or order.grade != stop["product"]):
            check.say("class", run, f"{customer.id} does not take {stop['product']}", stop)
        if kg > customer.store_kg + KG:
            check.say("drop", run, f"{kg} kg into a store of {customer.store_kg:.0f}", stop)
        least = min(customer.smallest_drop_kg, customer.store_kg)
        if order is None and not run["frozen"] and kg < least - KG:
            check.say("drop", run, f"{kg} kg, the smallest drop is {least:.0f}", stop)
        if kg <= 0:
            check.say("drop", run, f"{kg} kg", stop)


def stock(check: Check) -> None:
    """No depot sends out more of a class, up to any day, than lies there and has arrived by that morning."""
    for depot in check.folder.depots.values():
        sent: dict[str, float] = defaultdict(float)
        for run in sorted(check.runs(), key=lambda r: str(r["date"])):
            if run["depot"] != depot.name:
                continue
            day = q.day(run["date"])
            for stop in run["stops"]:
                sent[stop["product"]] += stop["kg"]
            for grade in {s["product"] for s in run["stops"]}:
                if depot.stock_kg is not None:
                    has = depot.stock_kg.get(grade, 0.0) + sum(
                        kg for on, k, kg in depot.arriving if k == grade and check.as_of < on <= day
                    )
                    if sent[grade] > has + KG * len(check.plan["runs"]):
                        check.say("stock", run, f"{depot.name}: {sent[grade]:.0f} kg {grade} of {has:.0f}")
                for row in check.folder.happenings:
                    if (
                        row["what"] == "depot out of stock"
                        and row.get("depot") == depot.name
                        and row.get("class", "") in ("", grade)
                        and covers(row, day)
                    ):
                        check.say("stock", run, f"{depot.name} is out of {grade} that day")

"""What every rule is given, and how it says what is broken."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import date
from functools import cached_property
from itertools import pairwise
from typing import Any

from tests.plan_checker import quantities as q
from tests.plan_checker.folder import Customer, Folder, Order, Tanker
from tests.plan_checker.law import Limits, limits_of
from tests.plan_checker.roads import Place, Roads, great_circle_km, roads_of

Run = dict[str, Any]
Stop = dict[str, Any]

MINUTE = 1 / 60
CLOCK_H = 1.01 * MINUTE
"""Two clocks are each told to the minute, so a span between them may be a minute off. [h]"""
KG = 1.01
"""Kilograms are told whole."""


@dataclass(frozen=True)
class Breach:
    """One rule that a plan breaks; `said` where the plan itself says so of a published run."""

    rule: str
    where: str
    text: str
    said: bool = False

    def __str__(self) -> str:
        """Return it in one line."""
        return f"[{self.rule}] {self.where}: {self.text}" + (" (said by the plan)" if self.said else "")


@dataclass
class Check:
    """A folder and the document of its plan."""

    folder: Folder
    plan: dict[str, Any]
    due: dict[str, date] | None = None
    found: list[Breach] = field(default_factory=list)

    @cached_property
    def limits(self) -> Limits:
        """What a driver's day must keep to."""
        return limits_of(self.folder)

    @cached_property
    def roads(self) -> Roads | None:
        """The round's roads."""
        return roads_of(self.folder)

    @cached_property
    def as_of(self) -> date:
        """The evening on which the plan is made."""
        return q.day(self.plan["as_of"])

    @cached_property
    def days(self) -> list[date]:
        """The days of the plan."""
        return [q.day(d) for d in self.plan["days"]]

    @cached_property
    def orders(self) -> dict[str, Order]:
        """The open orders by number."""
        return {o.order: o for o in self.folder.orders}

    @cached_property
    def factor(self) -> float:
        """Road kilometres for each straight one: as the rule says, else what the plan's longest run shows."""
        if self.roads is not None and self.roads.factor is not None:
            return self.roads.factor
        longest = max(self.runs(), key=lambda run: float(run["km"]), default=None)
        way = [] if longest is None else self.way(longest)
        straight = sum(great_circle_km(a[1], b[1]) for a, b in pairwise(way))
        return float(longest["km"]) / straight if longest is not None and straight > 0 else 1.0

    def runs(self) -> Iterator[Run]:
        """Go through all runs of the plan."""
        yield from self.plan["runs"]

    def stops(self) -> Iterator[tuple[Run, Stop]]:
        """Go through all stops of the plan with their runs."""
        for run in self.runs():
            for stop in run["stops"]:
                yield run, stop

    def tanker_days(self) -> dict[tuple[date, str], list[Run]]:
        """Return the runs of each tanker on each day, first to last."""
        out: dict[tuple[date, str], list[Run]] = {}
        for run in self.runs():
            out.setdefault((q.day(run["date"]), run["tanker"]), []).append(run)
        for runs in out.values():
            runs.sort(key=lambda r: int(r["trip"]))
        return out

    def tanker(self, run: Run) -> Tanker:
        """Return the tanker of a run."""
        return self.folder.tankers[run["tanker"]]

    def customer(self, stop: Stop) -> Customer:
        """Return the customer of a stop."""
        return self.folder.customers[stop["customer"]]

    def way(self, run: Run) -> list[tuple[str, Place]]:
        """Return the places of a run in order, the depot first and last."""
        depot = self.folder.depots[run["depot"]]
        home = (depot.name, depot.place)
        return [home, *((s["customer"], self.customer(s).place) for s in run["stops"]), home]

    def legs_h(self, run: Run) -> list[float]:
        """Return the driving time of each leg of a run, empty where the roads are not known. [h]"""
        if self.roads is None:
            return []
        way = self.way(run)
        slow = self.roads.slow(q.day(run["date"]))
        return [slow * self.roads.hours(a, b, self.factor) for a, b in pairwise(way)]

    def say(self, rule: str, run: Run | None, text: str, stop: Stop | None = None) -> None:
        """Note a breach. What a published run breaks is `said` where one of its own faults tells it: of this
        stop by the customer's name or number, of the run by any sentence.
        """
        where = f"{run['date']} {run['tanker']} {run['trip']}" if run is not None else "plan"
        faults = run["faults"] if run is not None and run["frozen"] else []
        if stop is not None:
            where += f" {stop['customer']}"
            faults = [f for f in faults if stop["customer"] in f or str(stop["name"]) in f]
        self.found.append(Breach(rule, where, text, bool(faults) and rule in SAYABLE))


SAYABLE = frozenset(
    {"window", "weekday", "closed day", "hose", "width", "weight", "trailer", "driver's day", "driving break",
     "work break", "depot hours", "credit stop", "left", "depot", "told time", "stock", "order amount"}
)  # fmt: skip
"""Rules that a day published before may break when the round has changed since – if the plan says it."""


def hour(text: str) -> float:
    """Return a clock of the document. [h]"""
    return q.clock(text)

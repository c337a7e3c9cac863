"""The answer to "which runs this week?": runs with stops and times, whom to ring, who is left out and why."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import date
from typing import TYPE_CHECKING, Any

from fuelplan.answers.as_json import SCHEMA, plain
from fuelplan.messages import Message, Said

if TYPE_CHECKING:
    from fuelplan.answers.round.came import ToConfirm
    from fuelplan.answers.who_is_due.doubts import ReadingDoubted
    from fuelplan.records.round import Round


@dataclass(frozen=True)
class RunStop:
    """One stop of a run.

    Attributes
    ----------
    position
        From 1 on.
    grade, kg
        What is blown in. [kg]
    arrive_h, start_h, leave_h
        Hours of the clock: at the gate, work begun, off again.
    order
        The order it serves, None for a top-up customer, who is served unasked.
    why
        Why it is served on this day.
    promised_to
        Last promised day of an order.
    deliver_by
        Last safe day for a tanker to come, None where that is far off; the same as in the outlook.
    level_p10_kg, level_p90_kg
        Level expected before the drop. [kg]
    note
        What the customer asks for ("boiler off an hour before").
    told_from_h, told_to_h
        The window that the customer was told, or will be when the run is published. [hours of the clock]
    """

    position: int
    customer: str
    name: str
    latitude: float
    longitude: float
    grade: str
    kg: float
    arrive_h: float
    start_h: float
    leave_h: float
    order: str | None
    why: Message
    promised_to: date | None
    level_p10_kg: float
    level_p90_kg: float
    store_kg: float
    hose_m: float
    call_ahead: bool
    phone: str
    note: str
    told_from_h: float | None = None
    told_to_h: float | None = None
    deliver_by: date | None = None


@dataclass(frozen=True)
class ChamberLoad:
    """What one chamber of a tanker carries, ("", 0) where empty. [kg]"""

    grade: str
    kg: float
    holds_kg: float


@dataclass(frozen=True)
class RunBreak:
    """One break of the driver: when it begins and how long it is.

    `before_stop` is the position of the stop that comes next: on the way there or at its gate. One more than
    the last stop: on the way home, or at the depot before it is loaded again.
    """

    at_h: float
    hours: float
    before_stop: int


@dataclass(frozen=True)
class Run:
    """One trip of one tanker: out from a depot, its stops, and back.

    `frozen` marks a run that has been published; `faults` says what of it breaks a rule.
    """

    day: date
    tanker: str
    depot: str
    depot_latitude: float
    depot_longitude: float
    trip: int
    stops: tuple[RunStop, ...]
    chambers: tuple[ChamberLoad, ...]
    km: float
    hours: float
    driving_h: float
    kg: float
    leave_h: float
    back_by_h: float
    cost: float
    frozen: bool
    faults: tuple[Message, ...]
    breaks: tuple[RunBreak, ...] = ()


@dataclass(frozen=True)
class ToRing:
    """A customer to ring: one whose fuel is low and who orders, or one with a stop that asks for a call."""

    customer: str
    name: str
    phone: str
    why: Message
    deliver_by: date | None
    level_p50_kg: float
    fits_kg: float


@dataclass(frozen=True)
class DueCustomer:
    """A customer whose watched store must be served within the plan.

    `overdue`: the reserve may be reached before any tanker can be there. `planned_on`: the first stop there.
    """

    customer: str
    name: str
    deliver_by: date
    overdue: bool
    planned_on: date | None


@dataclass(frozen=True)
class NotServed:
    """A customer or order that no run goes to though it should be served, and why."""

    customer: str
    name: str
    order: str | None
    reason: Message
    deliver_by: date | None = None


@dataclass(frozen=True)
class PromiseAtRisk:
    """An order whose promise may not hold: too late for the customer's level, or not on any run in time."""

    order: str
    customer: str
    name: str
    promised_to: date
    planned_on: date | None
    why: Message


@dataclass(frozen=True)
class WishNotKept:
    """A person's word on a stop that the plan does not keep, and why."""

    customer: str
    name: str
    wish: str
    date: date | None
    tanker: str | None
    reason: Message


@dataclass(frozen=True)
class DayTotals:
    """One day's sums; `free_kg` is what tankers could still bring to those who are already empty."""

    day: date
    runs: int
    stops: int
    kg: float
    free_kg: float
    km: float
    hours: float
    overtime_h: float


@dataclass(frozen=True)
class RunsAnswer:
    """The run plan of a round.

    Attributes
    ----------
    days
        The working days planned, first to last.
    runs
        By day, tanker and trip.
    due
        Whose watched stores must be served within the days planned, the most urgent first: each is on a run
        or in `not_served`.
    to_ring
        Customers who order themselves and whose fuel is low, the most urgent first: those of the outlook.
    calls
        Customers with a stop on these runs who ask for a call before it.
    changes
        What is different from the runs published before, one sentence each.
    wishes_not_kept
        What a person asked for and the plan does not have.
    sentences
        The answer in plain words, most important first.
    iterations, reproducible
        Moves the search tried; False where a budget in seconds ended it or it was stopped.
    to_confirm
        Published stops of past days of which nobody has said whether they came.
    readings_doubted
        Readings that disagree with what was expected, as in the outlook.
    plan
        Token of the plan: what publishing it is bound to.
    made_from
        The round as it was when the plan was made.
    invented
        Whether weather that stands behind it is made up.
    """

    round: str
    as_of: date
    seed: int
    currency: str
    days: tuple[date, ...]
    runs: tuple[Run, ...]
    per_day: tuple[DayTotals, ...]
    to_ring: tuple[ToRing, ...]
    not_served: tuple[NotServed, ...]
    promises_at_risk: tuple[PromiseAtRisk, ...]
    changes: tuple[Message, ...]
    sentences: tuple[Message, ...]
    notes: tuple[Said, ...]
    cautions: tuple[Said, ...]
    attributions: tuple[str, ...]
    cost: float
    iterations: int
    reproducible: bool
    wishes_not_kept: tuple[WishNotKept, ...] = ()
    to_confirm: tuple[ToConfirm, ...] = ()
    plan: str = ""
    made_from: Round | None = field(default=None, compare=False, repr=False)
    due: tuple[DueCustomer, ...] = ()
    calls: tuple[ToRing, ...] = ()
    readings_doubted: tuple[ReadingDoubted, ...] = ()
    invented: bool = False

    @property
    def kg(self) -> float:
        """What all runs deliver. [kg]"""
        return sum(run.kg for run in self.runs)

    @property
    def km(self) -> float:
        """What all runs drive. [km]"""
        return sum(run.km for run in self.runs)

    def totals(self) -> dict[str, float]:
        """Return the sums of the plan."""
        stops = sum(len(run.stops) for run in self.runs)
        return {
            "runs": len(self.runs),
            "stops": stops,
            "kg": round(self.kg),
            "km": round(self.km, 1),
            "hours": round(sum(run.hours for run in self.runs), 1),
            "overtime_hours": round(sum(day.overtime_h for day in self.per_day), 1),
            "km_per_t": round(1000 * self.km / self.kg, 2) if self.kg > 0 else 0.0,
            "kg_per_stop": round(self.kg / stops) if stops else 0.0,
            "cost": round(self.cost, 2),
        }

    def to_json(self) -> dict[str, Any]:
        """Return the document that `--json` prints."""
        return {
            "schema": SCHEMA,
            "round": self.round,
            "as_of": self.as_of.isoformat(),
            "seed": self.seed,
            "plan": self.plan,
            "days": [day.isoformat() for day in self.days],
            "horizon_days": (self.days[-1] - self.as_of).days if self.days else 0,
            "runs": [_run(run) for run in self.runs],
            "per_day": plain(self.per_day),
            "due": plain(self.due),
            "to_ring": [_ring(r) for r in self.to_ring],
            "calls": [_ring(r) for r in self.calls],
            "not_served": plain(self.not_served),
            "promises_at_risk": plain(self.promises_at_risk),
            "changes": plain(self.changes),
            "wishes_not_kept": plain(self.wishes_not_kept),
            "to_confirm": [stop.to_json() for stop in self.to_confirm],
            "readings_doubted": [d.to_json() for d in self.readings_doubted],
            "totals": self.totals(),
            "currency": self.currency,
            "sentences": plain(self.sentences),
            "notes": plain(self.notes),
            "cautions": plain(self.cautions),
            "weather": {"invented": self.invented},
            "attribution": list(self.attributions),
            "iterations": self.iterations,
            "reproducible": self.reproducible,
        }


def clock(hours: float) -> str:
    """Return hours of the clock as people write them: 7.5 → "07:30"."""
    minutes = round(hours * 60)
    return f"{minutes // 60:02d}:{minutes % 60:02d}"


def _ring(one: ToRing) -> dict[str, Any]:
    """Return one customer to ring; `must_go_by` is the name that schema 1 had for `deliver_by`."""
    return {**plain(one), "must_go_by": plain(one.deliver_by)}


def _run(run: Run) -> dict[str, Any]:
    return {
        "date": run.day.isoformat(),
        "tanker": run.tanker,
        "depot": run.depot,
        "trip": run.trip,
        "leave": clock(run.leave_h),
        "back_by": clock(run.back_by_h),
        "stops": list(_stops(run.stops)),
        "chambers": [
            {"klass": c.grade, "kg": plain(c.kg), "holds_kg": plain(c.holds_kg)} for c in run.chambers
        ],
        "breaks": [
            {"at": clock(b.at_h), "minutes": round(60 * b.hours), "before_stop": b.before_stop}
            for b in run.breaks
        ],
        "km": round(run.km, 1),
        "hours": round(run.hours, 2),
        "driving_hours": round(run.driving_h, 2),
        "kg": round(run.kg),
        "cost": round(run.cost, 2),
        "frozen": run.frozen,
        "faults": plain(run.faults),
    }


def _stops(stops: Iterable[RunStop]) -> Iterable[dict[str, Any]]:
    for stop in stops:
        yield {
            "position": stop.position,
            "customer": stop.customer,
            "name": stop.name,
            "product": stop.grade,
            "kg": round(stop.kg),
            "arrive": clock(stop.arrive_h),
            "start": clock(stop.start_h),
            "leave": clock(stop.leave_h),
            "told_from": None if stop.told_from_h is None else clock(stop.told_from_h),
            "told_to": None if stop.told_to_h is None else clock(stop.told_to_h),
            "order": stop.order,
            "promised_to": stop.promised_to.isoformat() if stop.promised_to else None,
            "deliver_by": stop.deliver_by.isoformat() if stop.deliver_by else None,
            "why": plain(stop.why),
            "call_ahead": stop.call_ahead,
            "note": stop.note,
        }

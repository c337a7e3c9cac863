"""The orders of the coming year on the draws: those placed, the one proposed, and those after it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np
from numpy.typing import NDArray

from fuelplan.answers.draws import HIGH, StockDraws, day_index
from fuelplan.answers.setting import Setting
from fuelplan.answers.when_to_order.answer import ProposedOrder
from fuelplan.answers.when_to_order.arrivals import Arrivals
from fuelplan.answers.when_to_order.on_order import on_order
from fuelplan.messages import Chance, Day, Message, Quantity, message
from fuelplan.ordering import (
    NEVER,
    Arrival,
    LastDate,
    StockPaths,
    first_day_below,
    last_safe_day,
    order_risk,
    simulate,
    steady_day,
    with_delivery_pause,
)

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

MOST_ORDERS = 12
LEAD_ROOM_DAYS = 60  # the last days of the horizon, in which an order might come beyond it
YEAR_DAYS = 365
NEARLY = 1.25  # a risk that much larger or smaller is nearly the same (our choice)
BALANCED_DAYS = 14  # a date that moves so far with nearly the same risk is said to be finely balanced


@dataclass(frozen=True)
class OrderOnItsWay:
    """An order on its way; one without an arrival should have come by now and is not counted on."""

    ordered_on: date
    due_from: date
    due_to: date
    amount_kg: float
    arrival: Arrival | None


@dataclass(frozen=True)
class OrderPlan:
    """Placed and proposed orders with the stock they lead to."""

    decision: str
    placed: tuple[OrderOnItsWay, ...]
    orders: tuple[ProposedOrder, ...]
    without_orders: StockPaths
    with_orders: StockPaths
    breach_without_orders: Ints
    empty_risk_per_year: float
    warnings: tuple[Message, ...]


class _Planner:
    """Works through the year order by order."""

    def __init__(self, setting: Setting, draws: StockDraws, risk_limit: float, coming: Arrivals) -> None:
        self.setting, self.risk_limit, self.coming = setting, risk_limit, coming
        self.supply = setting.site.table.supply
        self.draws = draws
        self.level_kg, self.demand_kg = draws.level_kg, draws.demand_kg
        self.limit_kg = max(setting.site.table.store.reserve_kg, setting.store.unusable_kg)
        self.arrivals: list[Arrival] = []
        self.warnings: list[Message] = []

    @property
    def days(self) -> int:
        """Days of the horizon."""
        return int(self.demand_kg.shape[1])

    def paths(self) -> StockPaths:
        """Stock with the arrivals so far."""
        return simulate(
            self.level_kg,
            self.demand_kg,
            self.arrivals,
            capacity_kg=self.setting.store.capacity_kg(self.setting.store.bulk_high_kg_per_m3),
            residue_kg=self.setting.store.unusable_kg,
        )

    def add(self, arrival: Arrival) -> None:
        """Count a delivery as coming, with the boiler's pause on its day."""
        self.arrivals.append(arrival)
        share = min(self.supply.delivery_pause_h / 24.0, 0.99)
        self.demand_kg = with_delivery_pause(self.demand_kg, arrival.day, share)

    def breach(self, level_kg: Floats) -> Ints:
        """First column below the limit after the last arrival so far."""
        after = np.zeros(len(level_kg), dtype=np.int64)
        for arrival in self.arrivals:
            after = np.maximum(after, np.where(arrival.day < self.days, arrival.day, 0))
        seen = np.where(np.arange(self.days)[None, :] >= after[:, None], level_kg, np.inf)
        return first_day_below(seen, self.limit_kg)


def make_plan(
    setting: Setting,
    draws: StockDraws,
    risk_limit: float,
    coming: Arrivals,
    *,
    only_first: bool = False,
    given: Sequence[ProposedOrder] = (),
) -> OrderPlan:
    """Return the plan of the coming year: each order at its last safe day, as much as surely fits.

    With `only_first` the plan ends with its first order, which is the same; what becomes of the stock after
    that, and so the risk of the year, is left open (NaN). Orders `given` come first, as they are; one whose
    delivery window is that of an order placed today counts as placed today.
    """
    planner = _Planner(setting, draws, risk_limit, coming)
    placed = tuple(_placed(planner))
    without = planner.paths()
    breach_without = _run_out_days(planner, without, bool(planner.arrivals))
    orders: list[ProposedOrder] = []
    decision = "wait"
    counted = [p for p in placed if p.arrival is not None]
    first = max([0, *(day_index(setting.as_of, p.due_to) + 1 for p in counted)])
    paths = without
    for order in given:
        day = _placed_on(setting, coming, order)
        planner.add(Arrival(coming.of(day), np.full(draws.count, order.amount_kg)))
        orders.append(order)
        paths = planner.paths()
        first = day_index(setting.as_of, order.deliver_to) + 2
    while len(orders) < MOST_ORDERS:
        found = _next_order(planner, paths, first, opening=not orders)
        if found is None:
            break
        order, last, day = found
        if not orders:
            decision = _decision(last, setting.site.table.risk.look_again_days)
        if orders and day > YEAR_DAYS and len(orders) >= 3:
            break
        orders.append(order)
        if only_first:
            break
        planner.add(Arrival(planner.coming.of(day), np.full(draws.count, order.amount_kg)))
        paths = planner.paths()
        first = day_index(setting.as_of, order.deliver_to) + 2
    unmet = paths.unmet_kg[:, :YEAR_DAYS].sum(axis=1)
    return OrderPlan(
        decision=decision,
        placed=placed,
        orders=tuple(orders),
        without_orders=without,
        with_orders=paths,
        breach_without_orders=breach_without,
        empty_risk_per_year=float("nan") if only_first else float(np.mean(unmet > 1e-9)),
        warnings=tuple(planner.warnings),
    )


def _placed_on(setting: Setting, coming: Arrivals, order: ProposedOrder) -> int:
    """Return on which day from today an order is placed: today, or on the last day for it."""
    day = max(0, (order.order_by - setting.as_of).days)
    today = setting.as_of + timedelta(days=1 + coming.span(0)[0])
    return 0 if order.deliver_from == today else day


def _run_out_days(planner: _Planner, without: StockPaths, placed: bool) -> Ints:
    """First column below the limit with what is on order, whenever that is."""
    return first_day_below(without.level_kg, planner.limit_kg) if placed else planner.breach(without.level_kg)


def _decision(last: LastDate, look_again_days: int) -> str:
    if last.late:
        return "late"
    return "order" if last.day is not None and last.day <= look_again_days else "wait"


def _next_order(
    planner: _Planner, paths: StockPaths, first: int, *, opening: bool
) -> tuple[ProposedOrder, LastDate, int] | None:
    """Return the next order, how its last safe day came out, and the day it is placed; None beyond the
    horizon.
    """
    setting, supply = planner.setting, planner.supply
    last_day = planner.days - LEAD_ROOM_DAYS
    if first >= last_day:
        return None
    breach = planner.breach(paths.level_kg)
    safe = steady_day(breach, planner.coming.of, risk_limit=planner.risk_limit, first=first, last=last_day)
    if opening:
        planner.warnings += _finely_balanced(planner, breach, first, last_day)
    if safe.day is None:
        return None
    high_kg = np.quantile(planner.draws.at_fullest(paths), HIGH, axis=0)

    earliest = planner.coming.earliest

    def fits(level_kg: float) -> float:
        return setting.store.surely_fits_kg(level_kg, supply.step_kg)

    day = safe.day
    amount = room = fits(float(high_kg[max(earliest(day) - 1, 0)]))
    if room < supply.smallest_drop_kg:
        if fits(planner.limit_kg) < supply.smallest_drop_kg:
            if opening:
                planner.warnings.append(_never_fits(planner, room))
            return None
        # The date stays the safe one: a later day would break the limit. What fits by then is said.
        amount = supply.smallest_drop_kg
        if opening:
            planner.warnings.append(_may_not_fit(planner, room))
    ordered = setting.as_of + timedelta(days=day)
    span = planner.coming.span(day)
    return (
        ProposedOrder(
            fuel=setting.fuel.name,
            order_by=ordered,
            deliver_from=setting.as_of + timedelta(days=1 + span[0]),
            deliver_to=setting.as_of + timedelta(days=1 + span[1]),
            amount_kg=amount,
            risk=safe.risk,
            fits_kg=room if room < amount else None,
        ),
        safe,
        day,
    )


def _finely_balanced(planner: _Planner, breach: Ints, first: int, last: int) -> list[Message]:
    """Say when a little more or less risk moves the last safe day by weeks: where the risk hardly grows with
    the days, as in spring, when either the last cold or the next autumn empties the store.
    """
    as_of, limit = planner.setting.as_of, planner.risk_limit
    risks = limit / NEARLY, limit * NEARLY
    early, late = (
        last_safe_day(breach, planner.coming.of, risk_limit=risk, first=first, last=last).day
        for risk in risks
    )
    end = last if late is None else late
    if early is None or end - early < BALANCED_DAYS:
        return []
    less, more = (Chance(risk, len(breach)) for risk in risks)
    by, until = (Day.relative(as_of + timedelta(days=n), as_of) for n in (early, end))
    return [
        message(
            "order.finely_balanced",
            "This date is finely balanced: at a risk of {less} the last day to order would be {by}, at "
            "{more} {until}. It keeps to the early side, and still moves with the weather. A measured level "
            "reading now makes it firmer.",
            less=less,
            by=by,
            more=more,
            until=until,
        )
    ]


def _never_fits(planner: _Planner, amount_kg: float) -> Message:
    return message(
        "order.smallest_drop_never_fits",
        "The smallest drop of {drop} does not surely fit above the reserve within the horizon ({fits} "
        "would): ask for a smaller drop, share a delivery, lower the reserve or bridge with bags.",
        drop=Quantity(planner.supply.smallest_drop_kg, "mass"),
        fits=Quantity(amount_kg, "mass"),
    )


def _may_not_fit(planner: _Planner, room_kg: float) -> Message:
    drop = Quantity(planner.supply.smallest_drop_kg, "mass", 3)
    if room_kg > 0:
        return message(
            "order.smallest_drop_may_not_fit",
            "By the last safe day only {fits} surely fit, less than the smallest drop of {drop}. Read the "
            "store again before you order: a measured reading narrows the doubt; if it still does not fit, "
            "ask for a smaller drop or share one.",
            fits=Quantity(room_kg, "mass", 3),
            drop=drop,
        )
    return message(
        "order.nothing_surely_fits",
        "By the last safe day nothing surely fits, less than the smallest drop of {drop}. Read the store "
        "again before you order: a measured reading narrows the doubt; if it still does not fit, ask for a "
        "smaller drop or share one.",
        drop=drop,
    )


def _too_much(planner: _Planner, before: StockPaths, column: Ints, kg: float) -> list[Message]:
    """Return the warning that an order on its way is more than will fit, in the middle of the draws."""
    at = np.clip(column - 1, 0, planner.days - 1)
    level = np.where(column > 0, before.level_kg[np.arange(len(column)), at], planner.level_kg)
    room = planner.setting.store.capacity_kg() - float(np.median(level))
    if kg <= room + 1.0:
        return []
    return [
        message(
            "order.more_than_will_fit",
            "The order of {amount} is more than will fit: about {fits} when it comes. Ring the supplier.",
            amount=Quantity(kg, "mass", 3),
            fits=Quantity(max(room, 0.0), "mass"),
        )
    ]


def _placed(planner: _Planner) -> list[OrderOnItsWay]:
    """Book the orders on their way. One that is overdue is not counted on: it is asked about, and until that
    is answered room is kept for it (`Draws.fuller_by_kg`).
    """
    setting = planner.setting
    found = []
    for one in on_order(setting):
        kg, due_to = one.kg, one.due_to
        if one.overdue:
            found.append(OrderOnItsWay(one.ordered_on, one.due_from, due_to, kg, None))
            continue
        tomorrow = setting.as_of + timedelta(days=1)
        days = setting.calendar.between(max(one.due_from, tomorrow), due_to)
        if len(days) == 0:
            days = np.array([max(due_to, tomorrow)], dtype="datetime64[D]")
        came = days[np.floor(planner.coming.u * len(days)).astype(np.int64)]  # a slow supplier is slow again
        column = (came - np.datetime64(setting.as_of, "D")).astype(np.int64) - 1
        arrival = Arrival(column, np.full(len(column), kg))
        before = planner.paths()
        planner.warnings += _too_much(planner, before, column, kg)
        risk = order_risk(planner.breach(before.level_kg), column)
        if risk > planner.risk_limit:
            said = message(
                "order.may_come_too_late",
                "The chance of falling below the reserve before the order of {ordered} comes is {chance}: "
                "ask whether the tanker can come earlier.",
                ordered=Day(one.ordered_on),
                chance=Chance(risk, len(column)),
            )
            planner.warnings.append(said)
        planner.add(arrival)
        found.append(
            OrderOnItsWay(one.ordered_on, max(one.due_from, tomorrow), max(due_to, tomorrow), kg, arrival)
        )
    return found


__all__ = ["NEVER", "OrderOnItsWay", "OrderPlan", "make_plan"]

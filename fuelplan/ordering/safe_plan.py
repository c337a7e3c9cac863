"""The orders of the coming year on the draws: those placed, the one proposed, and those after it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np
from numpy.typing import NDArray

from fuelplan.messages import Chance, Day, Message, Quantity, message
from fuelplan.ordering.arrivals import Arrivals
from fuelplan.ordering.last_date import LastDate, last_safe_day, order_risk, steady_day
from fuelplan.ordering.placed import OpenOrder
from fuelplan.ordering.stock import (
    Arrival,
    DrawnStock,
    StockPaths,
    first_day_below,
    simulate,
    with_delivery_pause,
)
from fuelplan.store.bulk import Store

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

HIGH = 0.95  # quantile of the level taken as its high estimate when asking what surely fits
MOST_ORDERS = 12
LEAD_ROOM_DAYS = 60  # the last days of the horizon, in which an order might come beyond it
YEAR_DAYS = 365
NEARLY = 1.25  # a risk that much larger or smaller is nearly the same (our choice)
BALANCED_DAYS = 14  # a date that moves so far with nearly the same risk is said to be finely balanced


@dataclass(frozen=True)
class OrderRules:
    """What a store, a supplier and a person ask of an order.

    Attributes
    ----------
    store
        The bulk store.
    reserve_kg
        The level one does not want to go below. [kg]
    smallest_drop_kg, step_kg
        The smallest delivery, and by how much it can be larger. [kg]
    pause_h
        How long the boiler stands still for a delivery. [h]
    risk_limit
        Highest risk of an order that is accepted, as a share.
    look_again_days
        An order whose last safe day is so near is due.
    """

    store: Store
    reserve_kg: float
    smallest_drop_kg: float
    step_kg: float
    pause_h: float
    risk_limit: float
    look_again_days: int

    @property
    def limit_kg(self) -> float:
        """Level below which an order comes too late. [kg]"""
        return max(self.reserve_kg, self.store.unusable_kg)

    @property
    def most_kg(self) -> float:
        """What the store holds of the densest fuel. [kg]"""
        return self.store.capacity_kg(self.store.bulk_high_kg_per_m3)

    def fits_kg(self, level_kg: float) -> float:
        """Return what surely fits at a level, in steps of the supplier. [kg]"""
        return self.store.surely_fits_kg(level_kg, self.step_kg)


@dataclass(frozen=True)
class PlannedOrder:
    """An order to place: the last safe day for it, when it comes, how much, and its risk.

    `fits_kg` is what surely fits when it comes, where that is not the amount. [kg, share]
    """

    order_by: date
    deliver_from: date
    deliver_to: date
    amount_kg: float
    risk: float
    fits_kg: float | None = None


@dataclass(frozen=True)
class OrderOnItsWay:
    """An order that was placed; one without an arrival should have come by now and is not counted on."""

    ordered_on: date
    due_from: date
    due_to: date
    amount_kg: float
    arrival: Arrival | None


@dataclass(frozen=True)
class SafePlan:
    """Placed and proposed orders with the stock they lead to.

    Attributes
    ----------
    decision
        "wait", "order" or "late".
    placed, orders
        What was placed, and what is to be placed, in order of time.
    without_orders, with_orders
        The stock with what is on its way alone, and with the orders as well.
    breach_without_orders
        Shape (draws,): first column below the reserve with what is on its way alone.
    empty_risk_per_year
        Share of draws in which the store runs empty within a year; NaN where that was left open.
    warnings
        What the person should know.
    """

    decision: str
    placed: tuple[OrderOnItsWay, ...]
    orders: tuple[PlannedOrder, ...]
    without_orders: StockPaths
    with_orders: StockPaths
    breach_without_orders: Ints
    empty_risk_per_year: float
    warnings: tuple[Message, ...]


class _Planner:
    """Works through the year order by order."""

    def __init__(self, rules: OrderRules, draws: DrawnStock, coming: Arrivals) -> None:
        self.rules, self.draws, self.coming = rules, draws, coming
        self.level_kg, self.demand_kg = draws.level_kg, draws.demand_kg
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
            capacity_kg=self.rules.most_kg,
            residue_kg=self.rules.store.unusable_kg,
        )

    def add(self, arrival: Arrival) -> None:
        """Count a delivery as coming, with the boiler's pause on its day."""
        self.arrivals.append(arrival)
        share = min(self.rules.pause_h / 24.0, 0.99)
        self.demand_kg = with_delivery_pause(self.demand_kg, arrival.day, share)

    def breach(self, level_kg: Floats) -> Ints:
        """First column below the limit after the last arrival so far."""
        after = np.zeros(len(level_kg), dtype=np.int64)
        for arrival in self.arrivals:
            after = np.maximum(after, np.where(arrival.day < self.days, arrival.day, 0))
        seen = np.where(np.arange(self.days)[None, :] >= after[:, None], level_kg, np.inf)
        return first_day_below(seen, self.rules.limit_kg)


def make_plan(
    rules: OrderRules,
    draws: DrawnStock,
    open_orders: Sequence[OpenOrder],
    coming: Arrivals,
    *,
    only_first: bool = False,
    given: Sequence[PlannedOrder] = (),
) -> SafePlan:
    """Return the plan of the coming year: each order at its last safe day, as much as surely fits.

    Parameters
    ----------
    draws
        The stock of every draw; its days begin on the day after that of `coming`.
    open_orders
        Orders that were placed; one that is overdue is not counted on.
    only_first
        The plan ends with its first order, which is the same; what becomes of the stock after that, and so
        the risk of the year, is left open (NaN).
    given
        Orders that come first, as they are; one whose delivery window is that of an order placed today
        counts as placed today.
    """
    planner, as_of = _Planner(rules, draws, coming), coming.as_of
    placed = tuple(_placed(planner, open_orders))
    without = planner.paths()
    breach_without = _run_out_days(planner, without, bool(planner.arrivals))
    orders: list[PlannedOrder] = []
    decision = "wait"
    counted = [p for p in placed if p.arrival is not None]
    first = max([0, *((p.due_to - as_of).days for p in counted)])
    paths = without
    for order in given:
        day = _placed_on(coming, order)
        planner.add(Arrival(coming.of(day), np.full(draws.count, order.amount_kg)))
        orders.append(order)
        paths = planner.paths()
        first = (order.deliver_to - as_of).days + 1
    while len(orders) < MOST_ORDERS:
        found = _next_order(planner, paths, first, opening=not orders)
        if found is None:
            break
        order, last, day = found
        if not orders:
            decision = _decision(last, rules.look_again_days)
        if orders and day > YEAR_DAYS and len(orders) >= 3:
            break
        orders.append(order)
        if only_first:
            break
        planner.add(Arrival(planner.coming.of(day), np.full(draws.count, order.amount_kg)))
        paths = planner.paths()
        first = (order.deliver_to - as_of).days + 1
    unmet = paths.unmet_kg[:, :YEAR_DAYS].sum(axis=1)
    return SafePlan(
        decision=decision,
        placed=placed,
        orders=tuple(orders),
        without_orders=without,
        with_orders=paths,
        breach_without_orders=breach_without,
        empty_risk_per_year=float("nan") if only_first else float(np.mean(unmet > 1e-9)),
        warnings=tuple(planner.warnings),
    )


def _placed_on(coming: Arrivals, order: PlannedOrder) -> int:
    """Return on which day from today an order is placed: today, or on the last day for it."""
    day = max(0, (order.order_by - coming.as_of).days)
    today = coming.as_of + timedelta(days=1 + coming.span(0)[0])
    return 0 if order.deliver_from == today else day


def _run_out_days(planner: _Planner, without: StockPaths, placed: bool) -> Ints:
    """First column below the limit with what is on order, whenever that is."""
    if not placed:
        return planner.breach(without.level_kg)
    return first_day_below(without.level_kg, planner.rules.limit_kg)


def _decision(last: LastDate, look_again_days: int) -> str:
    if last.late:
        return "late"
    return "order" if last.day is not None and last.day <= look_again_days else "wait"


def _next_order(
    planner: _Planner, paths: StockPaths, first: int, *, opening: bool
) -> tuple[PlannedOrder, LastDate, int] | None:
    """Return the next order, how its last safe day came out, and the day it is placed; None beyond the
    horizon.
    """
    rules, as_of = planner.rules, planner.coming.as_of
    last_day = planner.days - LEAD_ROOM_DAYS
    if first >= last_day:
        return None
    breach = planner.breach(paths.level_kg)
    safe = steady_day(breach, planner.coming.of, risk_limit=rules.risk_limit, first=first, last=last_day)
    if opening:
        planner.warnings += _finely_balanced(planner, breach, first, last_day)
    if safe.day is None:
        return None
    high_kg = np.quantile(planner.draws.at_fullest(paths), HIGH, axis=0)

    earliest = planner.coming.earliest

    day = safe.day
    amount = room = rules.fits_kg(float(high_kg[max(earliest(day) - 1, 0)]))
    if room < rules.smallest_drop_kg:
        if rules.fits_kg(rules.limit_kg) < rules.smallest_drop_kg:
            if opening:
                planner.warnings.append(_never_fits(planner, room))
            return None
        # The date stays the safe one: a later day would break the limit. What fits by then is said.
        amount = rules.smallest_drop_kg
        if opening:
            planner.warnings.append(_may_not_fit(planner, room))
    first_day, end_day = planner.coming.window(day)
    order = PlannedOrder(
        order_by=as_of + timedelta(days=day),
        deliver_from=first_day,
        deliver_to=end_day,
        amount_kg=amount,
        risk=safe.risk,
        fits_kg=room if room < amount else None,
    )
    return order, safe, day


def _finely_balanced(planner: _Planner, breach: Ints, first: int, last: int) -> list[Message]:
    """Say when a little more or less risk moves the last safe day by weeks: where the risk hardly grows with
    the days, as in spring, when either the last cold or the next autumn empties the store.
    """
    as_of, limit = planner.coming.as_of, planner.rules.risk_limit
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
        drop=Quantity(planner.rules.smallest_drop_kg, "mass"),
        fits=Quantity(amount_kg, "mass"),
    )


def _may_not_fit(planner: _Planner, room_kg: float) -> Message:
    drop = Quantity(planner.rules.smallest_drop_kg, "mass", 3)
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
    room = planner.rules.store.capacity_kg() - float(np.median(level))
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


def _placed(planner: _Planner, open_orders: Sequence[OpenOrder]) -> list[OrderOnItsWay]:
    """Book the orders on their way. One that is overdue is not counted on: it is asked about, and until that
    is answered room is kept for it (`DrawnStock.fuller_by_kg`).
    """
    coming, found = planner.coming, []
    tomorrow = coming.as_of + timedelta(days=1)
    for one in open_orders:
        kg, due_to = one.kg, one.due_to
        if one.overdue:
            found.append(OrderOnItsWay(one.ordered_on, one.due_from, due_to, kg, None))
            continue
        column = coming.promised(max(one.due_from, tomorrow), max(due_to, tomorrow))
        arrival = Arrival(column, np.full(len(column), kg))
        before = planner.paths()
        planner.warnings += _too_much(planner, before, column, kg)
        planner.warnings += _too_late(planner, order_risk(planner.breach(before.level_kg), column), one)
        planner.add(arrival)
        window = max(one.due_from, tomorrow), max(due_to, tomorrow)
        found.append(OrderOnItsWay(one.ordered_on, *window, kg, arrival))
    return found


def _too_late(planner: _Planner, risk: float, one: OpenOrder) -> list[Message]:
    """Return the warning that an order on its way may come too late."""
    if risk <= planner.rules.risk_limit:
        return []
    return [
        message(
            "order.may_come_too_late",
            "The chance of falling below the reserve before the order of {ordered} comes is {chance}: ask "
            "whether the tanker can come earlier.",
            ordered=Day(one.ordered_on),
            chance=Chance(risk, planner.draws.count),
        )
    ]

"""The best order: today's choice weighed with the value of stock, the year after it, and what simple rules
would cost.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta

import numpy as np
from numpy.typing import NDArray

from fuelplan.messages import Message
from fuelplan.ordering.arrivals import Arrivals
from fuelplan.ordering.optimum import Costs, StoreLimits, StoreTooSmall, value_of_stock
from fuelplan.ordering.plan import NextOrder, Year, plan_year
from fuelplan.ordering.prices import Tariff
from fuelplan.ordering.safe_plan import OrderRules, PlannedOrder, SafePlan
from fuelplan.ordering.stages import WEEK
from fuelplan.ordering.stock import Arrival, DrawnStock
from fuelplan.ordering.today import TodaysAlternative, TodaysOffer, cheaper_by, decide_today

Floats = NDArray[np.float64]

VALUE_WEEKS = 104
ARRIVAL_WEEKS = 53
LOOK_SHARE = (
    0.1  # of the store, standard deviation: how well a look by eye tells a level (as learning has it)
)


@dataclass(frozen=True)
class Market:
    """What fuel costs.

    Attributes
    ----------
    today
        What can be ordered today: whole bills by amount, each with the delivery weeks it names (None: the
        usual lead time).
    costs
        Whole bills of later orders, season, interest, an empty store.
    """

    today: tuple[tuple[Tariff, tuple[date, date] | None], ...]
    costs: Costs


@dataclass(frozen=True)
class BestOrder:
    """What the money says beside the last safe day.

    Attributes
    ----------
    decision
        "wait", "order" or "late"; None where no drop fits, so that the last safe day alone speaks.
    amount_kg
        To order today; 0 for waiting. [kg]
    risk
        Of an order of today, or of one in a week when waiting.
    reason
        Why, in a sentence.
    fits_kg
        Largest amount on offer that surely fits if ordered today; 0 where none does. [kg]
    saves
        What the choice saves against the other sort (ordering against waiting). [money]
    alternatives
        Waiting and each amount, with cost beside the best.
    next_orders
        Orders of the year as the plan sees them, in the middle of the draws.
    years
        A year under the plan and under simple rules, the plan first.
    warnings
        What the person should know.
    """

    decision: str | None
    amount_kg: float
    risk: float
    reason: Message
    saves: float | None
    fits_kg: float
    alternatives: tuple[TodaysAlternative, ...]
    next_orders: tuple[PlannedOrder, ...]
    years: tuple[Year, ...]
    warnings: tuple[Message, ...]

    @property
    def empty_risk_per_year(self) -> float:
        """Share of draws in which the store runs empty within a year, deciding anew each week."""
        return self.years[0].empty_risk


def best_order(
    rules: OrderRules,
    draws: DrawnStock,
    coming: Arrivals,
    pending: Sequence[Arrival],
    market: Market,
    *,
    fill_month: int | None,
) -> BestOrder | None:
    """Return the best order; None where the store cannot take the smallest drop at all.

    Parameters
    ----------
    draws
        The stock of every draw, at least 364 days; its days begin on the day after that of `coming`.
    pending
        Deliveries already ordered that are counted on.
    fill_month
        First month of the summer, in which one of the simple rules fills up; None leaves that rule out.
    """
    weekly = np.stack([coming.of(WEEK * week + 1) for week in range(ARRIVAL_WEEKS)], axis=1)
    first_day, limits = coming.as_of + timedelta(days=1), _limits(rules)
    level = np.clip(draws.level_kg, limits.residue_kg, limits.capacity_kg)
    try:
        value = value_of_stock(
            draws.demand_kg,
            weekly,
            first_day,
            limits,
            market.costs,
            risk_limit=rules.risk_limit,
            doubt_kg=_doubt_to_come(level, limits.capacity_kg),
            weeks=VALUE_WEEKS,
        )
    except StoreTooSmall:
        return None
    decision = decide_today(
        value,
        level,
        draws.demand_kg,
        coming.of(0),
        coming.of(WEEK),
        today=[
            TodaysOffer(one, coming.of(0) if weeks is None else coming.within(*weeks))
            for one, weeks in market.today
        ],
        surely_fits_kg=lambda high_kg: rules.fits_kg(high_kg + draws.fuller_by_kg),
        on_order=pending,
    )
    year = plan_year(
        value,
        level,
        draws.demand_kg,
        weekly,
        today=decision,
        fill_month=fill_month,
        on_order=_together(pending),
    )
    if year.today_kg is not None and abs(year.today_kg - decision.amount_kg) >= 1:
        decision = cheaper_by(decision, year.today_kg, year.gain, rules.risk_limit)
    no_room = decision.kind == "no_room"
    return BestOrder(
        decision=None if no_room else decision.kind,
        amount_kg=decision.amount_kg,
        risk=decision.risk,
        reason=decision.reason,
        saves=decision.saves,
        fits_kg=max((a.amount_kg for a in decision.alternatives if a.is_open), default=0.0),
        alternatives=decision.alternatives,
        next_orders=tuple(_planned(coming, one) for one in year.next_orders),
        years=year.years,
        warnings=(*((decision.reason,) if no_room else ()), *value.warnings),
    )


def _doubt_to_come(level_kg: Floats, capacity_kg: float) -> Floats:
    """Return by how much each draw lies above what will be known of its level: today's doubt, or that of a
    look by eye where today's is larger, since nobody orders without looking. [kg]
    """
    doubt = level_kg - np.median(level_kg)
    sd = float(doubt.std())
    return doubt * min(1.0, LOOK_SHARE * capacity_kg / sd) if sd > 0 else doubt


def _limits(rules: OrderRules) -> StoreLimits:
    residue = rules.store.unusable_kg
    full = rules.store.surely_full_m3 * rules.store.bulk_low_kg_per_m3
    return StoreLimits(max(full, rules.limit_kg + 1.0), rules.limit_kg, residue)


def _together(pending: Sequence[Arrival]) -> Arrival | None:
    """Return the deliveries on their way as one, on the day of the last; the year's costs hardly differ."""
    if not pending:
        return None
    day = np.max([one.day for one in pending], axis=0)
    return Arrival(day, np.sum([one.kg for one in pending], axis=0))


def _planned(coming: Arrivals, one: NextOrder) -> PlannedOrder:
    window = coming.window((one.day - coming.as_of).days)
    return PlannedOrder(one.day, *window, one.amount_kg, risk=0.0)


def orders_to_show(
    rules: OrderRules, coming: Arrivals, safe: SafePlan, best: BestOrder | None
) -> tuple[PlannedOrder, ...]:
    """Return the orders to show: the first, and those after it that the cheapest plan has.

    The first is today's where the money says order, else that of the last safe day with the plan's amount.

    Parameters
    ----------
    safe
        The plan that orders on the last safe day.
    best
        What the money says; None where no price is known, or nothing fits.
    """
    first = _first(rules, coming, safe, best)
    if first is None:
        return ()
    return (first, *(() if best is None else best.next_orders[1:3]))


def _first(
    rules: OrderRules, coming: Arrivals, plan: SafePlan, best: BestOrder | None
) -> PlannedOrder | None:
    safe = plan.orders[0] if plan.orders else None
    if best is None or best.decision is None:
        return safe
    if best.amount_kg > 0:
        today = coming.as_of
        by = today if safe is None or best.decision == "late" else max(today, safe.order_by)
        return PlannedOrder(by, *coming.window(0), best.amount_kg, best.risk, fits_kg=best.fits_kg)
    if safe is None or not best.next_orders or safe.fits_kg is not None:
        return safe
    usual = round(best.next_orders[0].amount_kg / rules.step_kg) * rules.step_kg
    amount = min(safe.amount_kg, max(usual, rules.smallest_drop_kg))
    return replace(safe, amount_kg=amount, fits_kg=safe.amount_kg)

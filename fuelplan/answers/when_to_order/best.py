"""The best order: today's choice weighed with the value of stock, the year after it, and what simple rules
would cost.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np
from numpy.typing import NDArray

from fuelplan.answers.draws import StockDraws
from fuelplan.answers.money import SitePrices
from fuelplan.answers.setting import Setting
from fuelplan.answers.when_to_order.answer import Alternative, PolicyYear, ProposedOrder, WholeBill
from fuelplan.answers.when_to_order.arrivals import Arrivals
from fuelplan.answers.when_to_order.plan import OrderOnItsWay
from fuelplan.messages import Message
from fuelplan.ordering import (
    WEEK,
    Arrival,
    Decision,
    StoreLimits,
    StoreTooSmall,
    TodaysOffer,
    decide_today,
    plan_year,
    value_of_stock,
)

Ints = NDArray[np.int64]

VALUE_WEEKS = 104
ARRIVAL_WEEKS = 53


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
    policies
        A year under the plan and under simple rules, the plan first.
    empty_risk_per_year
        Share of draws in which the store runs empty within a year, deciding anew each week.
    warnings
        What the person should know.
    """

    decision: str | None
    amount_kg: float
    risk: float
    reason: Message
    saves: float | None
    fits_kg: float
    alternatives: tuple[Alternative, ...]
    next_orders: tuple[ProposedOrder, ...]
    policies: tuple[PolicyYear, ...]
    empty_risk_per_year: float
    supplier: str
    warnings: tuple[Message, ...]


def best_order(
    setting: Setting,
    draws: StockDraws,
    coming: Arrivals,
    on_its_way: tuple[OrderOnItsWay, ...],
    money: SitePrices,
    risk_limit: float,
    *,
    simple_rules: bool = True,
) -> BestOrder | None:
    """Return the best order; None where the store cannot take the smallest drop at all.

    `simple_rules` says whether a year under simple rules is played beside the plan.
    """
    limits = _limits(setting)
    placed = [p.arrival for p in on_its_way if p.arrival is not None]
    weekly = np.stack([coming.of(WEEK * week + 1) for week in range(ARRIVAL_WEEKS)], axis=1)
    first_day = setting.as_of + timedelta(days=1)
    try:
        value = value_of_stock(
            draws.demand_kg, weekly, first_day, limits, money.costs, risk_limit=risk_limit, weeks=VALUE_WEEKS
        )
    except StoreTooSmall:
        return None
    level = np.clip(draws.level_kg, limits.residue_kg, limits.capacity_kg)
    decision = decide_today(
        value,
        level,
        draws.demand_kg,
        coming.of(0),
        coming.of(WEEK),
        today=[
            TodaysOffer(one, coming.of(0) if weeks is None else coming.within(*weeks))
            for one, weeks in money.today
        ],
        surely_fits_kg=lambda high_kg: setting.store.surely_fits_kg(
            high_kg + draws.fuller_by_kg, setting.site.table.supply.step_kg
        ),
        on_order=placed,
    )
    one = _together(placed)
    year = plan_year(
        value,
        level,
        draws.demand_kg,
        weekly,
        today_kg=decision.amount_kg,
        fill_month=setting.seasons.month(6),
        on_order=one,
        simple_rules=simple_rules,
    )
    return BestOrder(
        decision=None if decision.kind == "no_room" else decision.kind,
        amount_kg=decision.amount_kg,
        risk=decision.risk,
        reason=decision.reason,
        saves=decision.saves,
        fits_kg=max((a.amount_kg for a in decision.alternatives if a.is_open), default=0.0),
        alternatives=_alternatives(decision),
        next_orders=tuple(_proposed(setting, coming, money, o.day, o.amount_kg) for o in year.next_orders),
        policies=tuple(
            PolicyYear(
                y.name,
                y.cost,
                y.cost_p10,
                y.cost_p90,
                y.more_than_optimum,
                y.orders,
                y.empty_risk,
                y.late_per_order,
                y.said,
            )
            for y in year.years
        ),
        empty_risk_per_year=year.years[0].empty_risk,
        supplier=decision.supplier,
        warnings=(*((decision.reason,) if decision.kind == "no_room" else ()), *value.warnings),
    )


def _limits(setting: Setting) -> StoreLimits:
    residue = setting.store.unusable_kg
    reserve = max(residue, setting.site.table.store.reserve_kg)
    full = setting.store.surely_full_m3 * setting.store.bulk_low_kg_per_m3
    return StoreLimits(max(full, reserve + 1.0), reserve, residue)


def _together(placed: list[Arrival]) -> Arrival | None:
    """Return the deliveries on their way as one, on the day of the last; the year's costs hardly differ."""
    if not placed:
        return None
    day = np.max([one.day for one in placed], axis=0)
    return Arrival(day, np.sum([one.kg for one in placed], axis=0))


def _alternatives(decision: Decision) -> tuple[Alternative, ...]:
    return tuple(
        Alternative(a.amount_kg, a.cost, a.risk, a.is_open, a.why_not, a.bill) for a in decision.alternatives
    )


def _proposed(
    setting: Setting, coming: Arrivals, money: SitePrices, day: date, amount_kg: float
) -> ProposedOrder:
    order_day = (day - setting.as_of).days
    low, high = coming.span(order_day)
    return ProposedOrder(
        fuel=setting.fuel.name,
        order_by=day,
        deliver_from=setting.as_of + timedelta(days=1 + low),
        deliver_to=setting.as_of + timedelta(days=1 + high),
        amount_kg=amount_kg,
        risk=0.0,
    )


def whole_bill(money: SitePrices, setting: Setting, kg: float) -> WholeBill | None:
    """Return the cheapest bill for an amount, line by line, with the offers it was compared with."""
    from fuelplan.ordering import prices

    supply = setting.site.table.supply
    shared = None if supply.neighbour_kg is None else prices.Shared(supply.neighbour_kg)
    found = prices.compare(
        money.offers,
        kg,
        on=setting.as_of,
        hose_m=supply.hose_m,
        shared=shared,
        interest_per_year=supply.interest,
    )
    if found.best is None:
        return None
    _, best, _ = found.best
    return WholeBill(
        supplier=best.supplier,
        amount_kg=kg,
        total=best.gross,
        lines=tuple((line.text, line.gross) for line in best.lines),
        others=tuple((one.supplier, one.gross) for _, one, _ in found.bills[1:]),
        refused=tuple(text for _, text in found.refused),
        notes=best.notes,
    )


__all__ = ["BestOrder", "best_order", "whole_bill"]

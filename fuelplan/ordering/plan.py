"""The year after today: the orders that follow, what the year costs, and what simple rules would cost."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np
from numpy.typing import NDArray

from fuelplan.messages import Message, Month, Percent, message
from fuelplan.ordering import programme as dp
from fuelplan.ordering.optimum import StockValue
from fuelplan.ordering.play import Ledger, PlayedSeason, StockState, play_season
from fuelplan.ordering.policies import (
    FillInMonth,
    FixedLevel,
    FromTable,
    LastSafeDate,
    Policy,
    Sites,
    WeekOutlook,
    fill_weeks,
)
from fuelplan.ordering.stages import WEEK, YEAR_WEEKS
from fuelplan.ordering.stock import NEVER, Arrival

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

FIXED_SHARE = 0.3
SEEN_IN = 0.5  # an order is shown when this share of the draws has it within the year


@dataclass(frozen=True)
class NextOrder:
    """One order of the coming year: its day and amount in the middle of the draws, and their ranges.

    `share` is the share of draws with so many orders within the year.
    """

    day: date
    day_p10: date
    day_p90: date
    amount_kg: float
    amount_p10_kg: float
    amount_p90_kg: float
    share: float


@dataclass(frozen=True)
class Year:
    """A year of one way of deciding, over the draws.

    Attributes
    ----------
    name, said
        Which, for programs and for people.
    cost, cost_p10, cost_p90
        Bills, interest and emergencies, and the change of stock at its value a year from now. [money]
    more_than_optimum
        Mean cost above the optimum's on the same draws. [money]
    orders, empty_risk
        Orders in the year, and share of draws in which the store runs empty at least once.
    late_per_order
        Share of orders whose level falls below the reserve before they come.
    """

    name: str
    cost: float
    cost_p10: float
    cost_p90: float
    more_than_optimum: float
    orders: float
    empty_risk: float
    late_per_order: float
    said: Message


@dataclass(frozen=True)
class YearPlan:
    """The orders ahead under the optimum, and each way of deciding side by side, the optimum first."""

    next_orders: tuple[NextOrder, ...]
    years: tuple[Year, ...]


@dataclass(frozen=True)
class _StartWith:
    """Today's decision in week 0, then the policy itself."""

    policy: Policy
    first: int
    name: str

    def choose(self, week: int, seen_kg: Floats, known: WeekOutlook) -> Ints:
        """See :class:`policies.Policy`."""
        if week:
            return self.policy.choose(week, seen_kg, known)
        return np.full(len(seen_kg), self.first)


def plan_year(
    value: StockValue,
    level_kg: Floats,
    demand_kg: Floats,
    arrival_day: Ints,
    *,
    today_kg: float | None = None,
    on_order: Arrival | None = None,
    simple_rules: bool = True,
    fill_month: int | None = 6,
) -> YearPlan:
    """Play the coming year on every draw under the optimum and under simple rules.

    In each week a rule sees the level of its draw and nothing of the days to come. Levels are seen without
    error, so the year's risk is that of weather, heat and lead time; today's own risk, reading error
    included, is that of the decision.

    Parameters
    ----------
    level_kg, demand_kg
        Shapes (draws,) and (draws, days), at least 364 days. [kg]
    arrival_day
        Shape (draws, W), W ≥ 52: day index on which an order of day 7·w arrives.
    today_kg
        What today's decision orders, 0 for waiting; None leaves today to the table. [kg]
    on_order
        A delivery already under way; its bill is the same for all and left out.
    simple_rules
        Whether the simple rules are played beside the optimum.
    fill_month
        Month in whose first half one of them fills up, the first of the summer; None leaves that rule out.
    """
    draws = len(level_kg)
    if demand_kg.shape[1] < YEAR_WEEKS * WEEK or arrival_day.shape[1] < YEAR_WEEKS:
        raise ValueError("a year's plan needs paths of 364 days and arrivals for 52 weeks")
    sites = _one_site(value, draws)
    weeks = np.arange(YEAR_WEEKS)
    days = np.datetime64(value.first_day, "D") + WEEK * weeks
    price = value.costs.season.of(days) / value.costs.season.of(days[:1])
    season = PlayedSeason(
        demand_kg[:, : YEAR_WEEKS * WEEK],
        arrival_day[:, :YEAR_WEEKS] - WEEK * weeks,
        np.broadcast_to(price, (draws, YEAR_WEEKS)),
        np.zeros((draws, YEAR_WEEKS)),
    )
    rules: list[Policy] = [FromTable(sites, value.table)]
    if simple_rules:
        rules.append(LastSafeDate(sites))
        if fill_month is not None:
            rules.append(FillInMonth(sites, fill_weeks(value.first_day, YEAR_WEEKS, fill_month), fill_month))
        rules.append(FixedLevel(sites, FIXED_SHARE))
    if today_kg is not None:
        rules[0] = _StartWith(rules[0], _index_of(sites, today_kg), rules[0].name)
    played = [_play(value, rule, sites, season, level_kg, on_order) for rule in rules]
    best_cost = played[0][1]
    years = tuple(
        _year(rule, ledger, cost, best_cost) for rule, (ledger, cost) in zip(rules, played, strict=True)
    )
    return YearPlan(_orders(played[0][0].ordered_kg, value.first_day), years)


def _play(
    value: StockValue,
    rule: Policy,
    sites: Sites,
    season: PlayedSeason,
    level_kg: Floats,
    on_order: Arrival | None,
) -> tuple[Ledger, Floats]:
    """Play the year; its cost in each draw, with the stock at both ends at the year's end values.

    Otherwise a rule that lets the store run down would look cheap for a year.
    """
    draws = len(level_kg)
    state = StockState.start(np.maximum(level_kg - value.store.residue_kg, 0.0))
    start_kg = state.level_kg.copy()
    if on_order is not None:
        state.due_day, state.due_kg = on_order.day.copy(), on_order.kg.copy()
        start_kg += on_order.kg
    ledger = play_season(sites, rule, season, state, lambda week: _known(value, week, draws))
    coming = np.where(state.due_day < NEVER, state.due_kg, 0.0)
    owed = np.where(state.due_day < NEVER, state.due_cost, 0.0)
    residue = value.store.residue_kg
    end = value.of(YEAR_WEEKS, state.level_kg + coming + residue)
    return ledger, ledger.cost + owed + end - value.of(YEAR_WEEKS, start_kg + residue)


def _one_site(value: StockValue, draws: int) -> Sites:
    """The same site for every draw, above its residue."""
    store, costs = value.store, value.costs
    usual = costs.usual
    fits = usual.amounts_kg <= store.capacity_kg - store.residue_kg + 1e-9

    def rows(x: Floats | float) -> Floats:
        return np.broadcast_to(np.asarray(x, float), (draws, *np.shape(x)))

    return Sites(
        capacity_kg=rows(store.capacity_kg - store.residue_kg),
        reserve_kg=rows(store.reserve_kg - store.residue_kg),
        amounts_kg=rows(usual.amounts_kg[fits]),
        fuel=rows(usual.fuel[fits]),
        charges=rows(usual.charges[fits]),
        holding_per_kg_week=rows(costs.holding_per_kg_week()),
        unmet_per_kg=rows(costs.unmet_per_kg),
        unmet_event=rows(costs.unmet_event),
        reference_per_kg=rows(0.0),  # the value table values what is left
    )


def _known(value: StockValue, week: int, draws: int) -> WeekOutlook:
    """The limits of a week of the table, the same in every draw."""
    nothing = np.zeros((draws, 0))
    floor = np.full(draws, value.floor_kg[week] - value.store.residue_kg)
    eve = np.full(draws, -value.cases.least_before[0, week])
    no_stage = dp.Stage(nothing, nothing, nothing.astype(np.int64), nothing)
    return WeekOutlook(floor, eve, nothing, no_stage, nothing)


def _index_of(sites: Sites, kg: float) -> int:
    """Index of the amount nearest to today's, WAIT for none."""
    if kg <= 0:
        return dp.WAIT
    return int(np.abs(sites.amounts_kg[0] - kg).argmin())


def _year(rule: Policy, ledger: Ledger, cost: Floats, best_cost: Floats) -> Year:
    """Figures of one way of deciding."""
    low, high = np.quantile(cost, [0.1, 0.9])
    orders = int(ledger.orders.sum())
    return Year(
        name=rule.name,
        said=_rule_said(rule),
        cost=float(cost.mean()),
        cost_p10=float(low),
        cost_p90=float(high),
        more_than_optimum=float((cost - best_cost).mean()),
        orders=float(ledger.orders.mean()),
        empty_risk=float((ledger.run_outs > 0).mean()),
        late_per_order=float(ledger.late_orders.sum() / orders) if orders else 0.0,
    )


def _rule_said(rule: Policy) -> Message:
    """Return a way of deciding as people read it."""
    match rule:
        case LastSafeDate():
            return message("policy.last_safe_day", "Always on the last safe day")
        case FillInMonth():
            return message("policy.fill_in_month", "Fill up every {month}", month=Month(rule.month))
        case FixedLevel():
            return message("policy.fixed_level", "Order below {share}", share=Percent(rule.share))
    return message("policy.plan", "This plan")


def _orders(ordered_kg: Floats, first_day: date) -> tuple[NextOrder, ...]:
    """First, second … order of the year where at least half of the draws have one."""
    number = np.cumsum(ordered_kg > 0, axis=1)
    found = []
    for k in range(1, int(number.max(initial=0)) + 1):
        has = number[:, -1] >= k
        if has.mean() < SEEN_IN:
            break
        week = (number[has] >= k).argmax(axis=1)
        amount = ordered_kg[has, week]
        low, middle, high = np.quantile(week, [0.1, 0.5, 0.9], method="nearest")
        kg = np.quantile(amount, [0.1, 0.5, 0.9], method="nearest")
        first, mid, last = (first_day + timedelta(days=int(WEEK * w)) for w in (low, middle, high))
        found.append(NextOrder(mid, first, last, float(kg[1]), float(kg[0]), float(kg[2]), float(has.mean())))
    return tuple(found)

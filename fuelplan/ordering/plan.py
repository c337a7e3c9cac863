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
    SURELY,
    FillInMonth,
    FixedLevel,
    FromTable,
    LastSafeDate,
    Policy,
    Sites,
    WeekOutlook,
    fill_weeks,
)
from fuelplan.ordering.stages import WEEK, YEAR_WEEKS, week_of
from fuelplan.ordering.stock import NEVER, Arrival
from fuelplan.ordering.today import Decision

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
    is_open
        Whether the plan may choose it: what it does today is open, and its orders after today come too late
        no more often than the risk limit or the plan's own. No such rule costs less than the plan.
    """

    name: str
    cost: float
    cost_p10: float
    cost_p90: float
    more_than_optimum: float
    orders: float
    empty_risk: float
    late_per_order: float
    is_open: bool
    said: Message


@dataclass(frozen=True)
class YearPlan:
    """The orders ahead under the plan, and each way of deciding side by side, the plan first.

    Attributes
    ----------
    next_orders, years
        Orders of the year, and a year of each way.
    today_kg
        What the plan orders today, 0 for waiting; None where each draw decides by itself. [kg]
    gain
        What that saves against today's decision and the value of stock after it; 0 where it is that. [money]
    """

    next_orders: tuple[NextOrder, ...]
    years: tuple[Year, ...]
    today_kg: float | None
    gain: float


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
    today: Decision | None = None,
    on_order: Arrival | None = None,
    fill_month: int | None = 6,
) -> YearPlan:
    """Play the coming year on every draw under the plan and under simple rules, all knowing the same.

    Each way of deciding sees the level as well as it is known: today all draws show the same middle, so they
    share one choice, and a rule takes no more than today's decision may. In later weeks what is known is off
    by the doubt that the value of stock counts, in each draw the same all year.

    The plan is the cheapest of today's decision, with the value of stock after it, and the simple rules that
    are open to it (:attr:`Year.is_open`).

    Parameters
    ----------
    level_kg, demand_kg
        Shapes (draws,) and (draws, days), at least 364 days. [kg]
    arrival_day
        Shape (draws, W), W ≥ 52: day index on which an order of day 7·w arrives.
    today
        Today's decision and what is open beside it; None leaves today to each way.
    on_order
        A delivery already under way; its bill is the same for all and left out.
    fill_month
        Month in whose first half one of the rules fills up, the first of the summer; None leaves that rule
        out.
    """
    if demand_kg.shape[1] < YEAR_WEEKS * WEEK or arrival_day.shape[1] < YEAR_WEEKS:
        raise ValueError("a year's plan needs paths of 364 days and arrivals for 52 weeks")
    players = _Players(value, level_kg, demand_kg, arrival_day, today, on_order)
    sites = players.sites
    table: Policy = FromTable(sites, value.table)
    if today is not None:
        table = _StartWith(table, _index_of(sites, today.amount_kg), table.name)
    rules: list[Policy] = [LastSafeDate(sites)]
    if fill_month is not None:
        rules.append(FillInMonth(sites, fill_weeks(value.first_day, YEAR_WEEKS, fill_month), fill_month))
    rules.append(FixedLevel(sites, FIXED_SHARE))
    decided = players.play(table)
    played = [players.play(rule) for rule in rules]
    limit = max(value.risk_limit, decided.late_later)
    open_ones = [one for one in played if one.is_open and one.late_later <= limit]
    plan = min((decided, *open_ones), key=lambda one: one.mean)
    years = (
        _year(table, plan, plan, is_open=True),
        *(_year(rule, one, plan, one in open_ones) for rule, one in zip(rules, played, strict=True)),
    )
    orders = _orders(plan.ledger.ordered_kg, value.first_day)
    return YearPlan(orders, years, plan.today_kg, decided.mean - plan.mean)


@dataclass(frozen=True, eq=False)
class _Played:
    """A year of one way of deciding: its cost in each draw, and how it begins and keeps the limit."""

    ledger: Ledger
    cost: Floats
    today_kg: float | None
    is_open: bool
    late_later: float

    @property
    def mean(self) -> float:
        """Mean cost. [money]"""
        return float(self.cost.mean())


class _Players:
    """The same house, year and knowledge for every way of deciding."""

    def __init__(
        self,
        value: StockValue,
        level_kg: Floats,
        demand_kg: Floats,
        arrival_day: Ints,
        today: Decision | None,
        on_order: Arrival | None,
    ) -> None:
        self.value, self.today, self.on_order = value, today, on_order
        draws, weeks = len(level_kg), np.arange(YEAR_WEEKS)
        self.sites = _one_site(value, draws)
        self.level_kg = np.maximum(level_kg - value.store.residue_kg, 0.0)
        doubt_today = self.level_kg - np.median(self.level_kg)
        self.doubt_kg = np.concatenate(
            [doubt_today[:, None], np.broadcast_to(value.doubt_kg[:, None], (draws, YEAR_WEEKS - 1))], axis=1
        )
        days = np.datetime64(value.first_day, "D") + WEEK * weeks
        price = value.costs.season.of(days) / value.costs.season.of(days[:1])
        self.season = PlayedSeason(
            demand_kg[:, : YEAR_WEEKS * WEEK],
            arrival_day[:, :YEAR_WEEKS] - WEEK * weeks,
            np.broadcast_to(price, (draws, YEAR_WEEKS)),
            -self.doubt_kg,
        )
        before = np.take_along_axis(np.cumsum(demand_kg, axis=1), arrival_day[:, :1] - 1, axis=1)[:, 0]
        self.late_today = self.level_kg - before < self.sites.reserve_kg

    def play(self, rule: Policy) -> _Played:
        """Play the year; its cost in each draw, with the stock at both ends at the year's end values.

        Otherwise a rule that lets the store run down would look cheap for a year.
        """
        value = self.value
        state = StockState.start(self.level_kg)
        start_kg = state.level_kg.copy()
        if self.on_order is not None:
            state.due_day, state.due_kg = self.on_order.day.copy(), self.on_order.kg.copy()
            start_kg += self.on_order.kg
        ledger = play_season(self.sites, rule, self.season, state, self._known)
        coming = np.where(state.due_day < NEVER, state.due_kg, 0.0)
        owed = np.where(state.due_day < NEVER, state.due_cost, 0.0)
        residue = value.store.residue_kg
        end = value.of(YEAR_WEEKS, state.level_kg + coming + residue)
        cost = ledger.cost + owed + end - value.of(YEAR_WEEKS, start_kg + residue)
        first = ledger.ordered_kg[:, 0]
        today_kg = None if np.ptp(first) > 0 else float(first[0])
        if self.on_order is not None and self.today is not None:
            today_kg = self.today.amount_kg  # a second order while one is under way is not foreseen
        else:
            cost = cost + self._bill_of_today(first)
        late = ledger.late_orders.sum() - (self.late_today & (first > 0)).sum()
        later = ledger.orders.sum() - (first > 0).sum()
        return _Played(ledger, cost, today_kg, self._is_open(today_kg), float(late / later) if later else 0.0)

    def _bill_of_today(self, ordered_kg: Floats) -> Floats:
        """What the order of today costs beyond the usual bill. [money]"""
        if self.today is None or not (kg := float(ordered_kg[0])):
            return np.zeros(len(ordered_kg))
        usual = self.value.costs.usual
        bills = [a.bill for a in self.today.alternatives if a.is_open and abs(a.amount_kg - kg) < 1]
        own = float(usual.total[np.abs(usual.amounts_kg - kg).argmin()])
        return np.full(len(ordered_kg), min(bills, default=own) - own)

    def _is_open(self, today_kg: float | None) -> bool:
        """Whether today's decision may do what a rule does today."""
        if self.today is None or today_kg is None:
            return True
        return any(a.is_open and abs(a.amount_kg - today_kg) < 1 for a in self.today.alternatives)

    def _known(self, week: int) -> WeekOutlook:
        """The limits of a week with the doubt of the level in them, the same in every draw."""
        sums, doubt, draws = self.value.sums, self.doubt_kg[:, week], len(self.level_kg)
        w = int(week_of(week + 1, sums.until_next.shape[2])[-1])
        limit = 1 - self.value.risk_limit
        floor = float(np.quantile(sums.until_next[0, :, w] - doubt, limit, method="higher"))
        eve = float(np.quantile(doubt - sums.before[0, :, w], SURELY))
        if week == 0 and self.today is not None:
            fits = max((a.amount_kg for a in self.today.alternatives if a.is_open), default=0.0)
            eve = float(self.sites.capacity_kg[0] - fits - np.median(self.level_kg))
        nothing = np.zeros((draws, 0))
        no_stage = dp.Stage(nothing, nothing, nothing.astype(np.int64), nothing)
        return WeekOutlook(self.sites.reserve_kg + floor, np.full(draws, eve), nothing, no_stage, nothing)


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


def _index_of(sites: Sites, kg: float) -> int:
    """Index of the amount nearest to today's, WAIT for none."""
    if kg <= 0:
        return dp.WAIT
    return int(np.abs(sites.amounts_kg[0] - kg).argmin())


def _year(rule: Policy, played: _Played, plan: _Played, is_open: bool) -> Year:
    """Figures of one way of deciding."""
    low, high = np.quantile(played.cost, [0.1, 0.9])
    orders = int(played.ledger.orders.sum())
    return Year(
        name=rule.name,
        said=_rule_said(rule),
        cost=played.mean,
        cost_p10=float(low),
        cost_p90=float(high),
        more_than_optimum=played.mean - plan.mean,
        orders=float(played.ledger.orders.mean()),
        empty_risk=float((played.ledger.run_outs > 0).mean()),
        late_per_order=float(played.ledger.late_orders.sum() / orders) if orders else 0.0,
        is_open=is_open,
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

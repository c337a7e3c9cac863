"""The plan of the year, playing a season, and orders that were placed."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date, timedelta
from functools import lru_cache

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fuelplan.messages import message
from fuelplan.ordering import (
    FillInMonth,
    FixedLevel,
    LastSafeDate,
    PlayedSeason,
    Sites,
    StockState,
    WeekOutlook,
    play_season,
)
from fuelplan.ordering import programme as dp
from fuelplan.ordering.lead_time import LeadTime
from fuelplan.ordering.optimum import Costs, StockValue, StoreLimits, value_of_stock
from fuelplan.ordering.placed import OpenOrder, OrderError, open_order
from fuelplan.ordering.plan import YearPlan, plan_year
from fuelplan.ordering.prices import Bracket, Offer, default_season, tariff
from fuelplan.ordering.stock import Arrival
from fuelplan.ordering.today import Decision, TodaysAlternative
from fuelplan.units import WorkingDays
from tests.ordering_sites import paths_of_one_house

OFFER = Offer("Invented Fuel", "EUR", (Bracket(2000, 0.33), Bracket(4000, 0.315)), 0.07, blow_in_charge=35.0)
STORE = StoreLimits(5000.0, 300.0, 100.0)


@lru_cache
def value() -> StockValue:
    """The value of stock of the house."""
    demand, arrival, first_day = paths_of_one_house()
    usual = tariff([OFFER], np.arange(2000, 5001, 500.0))
    costs = Costs(usual, default_season(), unmet_per_kg=0.9, unmet_event=200.0)
    return value_of_stock(demand, arrival, first_day, STORE, costs, risk_limit=0.02)


def plan(level_kg: float, **more: object) -> YearPlan:
    """The plan of the year from a level."""
    demand, arrival, _ = paths_of_one_house()
    return plan_year(value(), np.full(len(demand), level_kg), demand, arrival, **more)  # type: ignore[arg-type]


def decided(kg: float) -> Decision:
    """A decision of today that leaves nothing else open."""
    only = TodaysAlternative(kg, 0.0, 0.0, is_open=True, bill=0.0)
    kind, nothing = ("order" if kg else "wait"), message("test.nothing", "Nothing.")
    return Decision(kind, kg, "", 0.0, 0.0, 0.0, None, (only,), None, nothing)


@pytest.mark.parametrize("level_kg", [900.0, 2500.0, 4300.0])
def test_the_optimum_costs_no_more_than_the_simple_rules(level_kg: float) -> None:
    """From any level the optimum's year costs least on the same draws, and keeps its risk for each order."""
    found = plan(level_kg)
    assert next(y.name for y in found.years) == "optimum"
    assert all(y.more_than_optimum > 0 for y in found.years[1:])
    assert found.years[0].late_per_order <= 0.02
    for y in found.years:
        assert y.cost_p10 < y.cost < y.cost_p90


def test_a_years_cost_does_not_hang_on_the_level_it_starts_from() -> None:
    """Stock at both ends is valued, so that a full and a low store have about the same year."""
    costs = [plan(level).years[0].cost for level in (900.0, 2500.0, 4300.0)]
    assert max(costs) - min(costs) < 0.04 * min(costs)


def test_the_plan_begins_with_todays_decision() -> None:
    """What is ordered today is the first order of the plan, in every draw; waiting today puts it later."""
    ordered = plan(1500.0, today=decided(2500.0)).next_orders
    assert (ordered[0].day, ordered[0].amount_kg, ordered[0].share) == (value().first_day, 2500.0, 1.0)
    assert ordered[0].day_p10 == ordered[0].day_p90 == ordered[0].day
    waited = plan(2500.0, today=decided(0.0)).next_orders
    assert waited[0].day > value().first_day
    for a in (*ordered, *waited):
        assert a.day_p10 <= a.day <= a.day_p90 and a.amount_p10_kg <= a.amount_kg <= a.amount_p90_kg


def test_no_way_of_deciding_knows_the_level_better_than_another() -> None:
    """With a level in wide doubt every way makes one choice for all draws today, and a rule by a fixed level,
    which cannot see the doubt, is late at times; where the level is known it never is.
    """
    demand, arrival, first_day = paths_of_one_house()
    doubt = np.random.default_rng(3).normal(0, 600, len(demand))
    level = np.maximum(1500.0 + doubt, 100.0)
    unsure = value_of_stock(
        demand, arrival, first_day, STORE, value().costs, risk_limit=0.02, doubt_kg=level - np.median(level)
    )
    found = plan_year(unsure, level, demand, arrival)
    sure = plan_year(value(), np.full(len(demand), 1500.0), demand, arrival)
    assert found.today_kg is not None
    by_share, known_share = found.years[-1], sure.years[-1]
    assert by_share.name == known_share.name == "order below 30%"
    assert known_share.late_per_order == 0 and by_share.late_per_order > 0.03
    assert not by_share.is_open


def test_a_delivery_under_way_puts_the_next_order_off() -> None:
    """With 3 t coming in a week the next order is months later than without."""
    n = len(paths_of_one_house()[0])
    coming = plan(900.0, on_order=Arrival(np.full(n, 7), np.full(n, 3000.0)))
    assert coming.next_orders[0].day > plan(900.0).next_orders[0].day + timedelta(days=40)


@pytest.mark.parametrize(("levels", "count", "share"), [(81, 9, 0.01), (161, 25, 0.005)])
def test_the_value_is_what_following_the_table_costs(levels: int, count: int, share: float) -> None:
    """With independent weeks, as the programme takes them, playing its actions costs its value.

    Within one per cent on the usual grid, half of it on one twice as fine.
    """
    demand, _, first_day = paths_of_one_house(draws=800, days=420)
    rng = np.random.default_rng(6)
    weeks = demand.reshape(800, 60, 7)
    weeks = np.stack([weeks[rng.permutation(800), w] for w in range(60)], axis=1)
    demand = weeks.reshape(800, 420)
    arrival = 7 * np.arange(53) + rng.integers(4, 16, (800, 53))
    found = value_of_stock(
        demand, arrival, first_day, STORE, value().costs, risk_limit=0.02, levels=levels, count=count
    )
    for level_kg in (700.0, 1500.0, 4300.0):
        played = plan_year(found, np.full(800, level_kg), demand, arrival).years[0].cost
        at = np.array([level_kg])
        assert played + found.of(52, at)[0] == pytest.approx(found.of(0, at)[0], rel=share)


def one_house(capacity_kg: float = 5000.0) -> Sites:
    """One store with two drops on offer."""
    one = np.ones(1)
    return Sites(
        capacity_kg=capacity_kg * one,
        reserve_kg=200 * one,
        amounts_kg=np.array([[2000.0, 4000.0]]),
        fuel=np.array([[640.0, 1240.0]]),
        charges=np.array([[35.0, 35.0]]),
        holding_per_kg_week=0 * one,
        unmet_per_kg=one,
        unmet_event=100 * one,
        reference_per_kg=0.3 * one,
    )


def known(floor_kg: float = 800.0, eve_kg: float = -50.0) -> WeekOutlook:
    """What is known where only the limits matter."""
    nothing = np.zeros((1, 0))
    stage = dp.Stage(nothing, nothing, nothing.astype(np.int64), nothing)
    return WeekOutlook(np.array([floor_kg]), np.array([eve_kg]), nothing, stage, nothing)


def steady(daily_kg: float, lead_days: int, weeks: int = 52) -> PlayedSeason:
    """A season of the same demand every day."""
    return PlayedSeason(
        np.full((1, weeks * 7), daily_kg),
        np.full((1, weeks), lead_days),
        np.ones((1, weeks)),
        np.zeros((1, weeks)),
    )


def test_simple_rules_do_what_they_say() -> None:
    """The last safe date waits down to the floor; the fixed level to its share; June fills what fits."""
    site = one_house()
    level = np.array([900.0])
    assert LastSafeDate(site).choose(3, level, known()) == dp.WAIT
    assert LastSafeDate(site).choose(3, level - 200, known()) == 1
    assert FixedLevel(site, 0.2).choose(3, level, known()) == 1
    assert FixedLevel(site, 0.1).choose(3, level, known()) == dp.WAIT
    june = FillInMonth(site, (48, 49))
    assert june.choose(48, np.array([2500.0]), known()) == 0  # 2 t fit, 4 t do not
    assert june.choose(48, np.array([4000.0]), known()) == dp.WAIT
    assert june.choose(3, level, known()) == dp.WAIT


def test_a_season_by_hand() -> None:
    """10 kg a day from 1 t, ordering 4 t below 800 kg with ten days of lead: every figure by hand."""
    site, state = one_house(), StockState.start(np.array([1000.0]))
    season = steady(10.0, 10, weeks=8)
    ledger = play_season(site, LastSafeDate(site), season, state, lambda w: known())
    # levels at the weeks' starts: 1000 930 860 790: ordered in week 3, on day 21; 4 t come on day 31
    assert ledger.ordered_kg[0].tolist() == [0, 0, 0, 4000, 0, 0, 0, 0]
    assert state.level_kg[0] == pytest.approx(1000 + 4000 - 560)
    assert ledger.bills[0] == pytest.approx(1275.0)
    assert ledger.cost[0] == pytest.approx(1275.0 - 0.3 * 3440)
    assert (ledger.orders[0], ledger.late_orders[0], ledger.run_outs[0]) == (1, 0, 0)


def test_a_late_order_and_a_run_out_by_hand() -> None:
    """With forty days of lead 500 kg fall below the reserve and to nothing before 4 t come."""
    site, state = one_house(), StockState.start(np.array([500.0]))
    ledger = play_season(site, LastSafeDate(site), steady(20.0, 40, weeks=8), state, lambda w: known())
    assert (ledger.orders[0], ledger.late_orders[0], ledger.run_outs[0]) == (1, 1, 1)
    assert ledger.unmet_kg[0] == pytest.approx(300.0)  # empty after 25 of 40 days
    assert ledger.cost[0] == pytest.approx(1275.0 + 300 * 1.0 + 100 + 0.3 * (500 - state.level_kg[0]))


@pytest.mark.parametrize(("lead", "late"), [(20, 0), (21, 1)])
def test_late_is_counted_up_to_the_eve_of_the_delivery(lead: int, late: int) -> None:
    """405 kg at 10 kg a day are above the reserve of 200 kg on the eve of day 20, below it a day later."""
    site, state = one_house(), StockState.start(np.array([405.0]))
    ledger = play_season(site, LastSafeDate(site), steady(10.0, lead, weeks=8), state, lambda w: known())
    assert (ledger.orders[0], ledger.late_orders[0], ledger.run_outs[0]) == (1, late, 0)


def test_an_order_under_way_at_the_end_comes_in_the_next_season() -> None:
    """Ordered in the last week, delivered and paid in the season after it."""
    site, state = one_house(), StockState.start(np.array([860.0]))
    first = play_season(site, LastSafeDate(site), steady(10.0, 10, weeks=2), state, lambda w: known())
    assert (first.orders[0], first.bills[0], state.due_day[0]) == (1, 0.0, 3)
    second = play_season(site, LastSafeDate(site), steady(10.0, 10, weeks=2), state, lambda w: known())
    assert (second.orders[0], second.delivered_kg[0]) == (0, 4000.0)


@settings(max_examples=30, deadline=None)
@given(st.floats(0, 5000), st.floats(1, 60), st.integers(1, 60), st.integers(0, 10_000))
def test_nothing_is_lost_in_a_season(start_kg: float, daily_kg: float, lead: int, seed: int) -> None:
    """Start + delivered − burned = end, and burned + unmet = demand, whatever happens."""
    rng = np.random.default_rng(seed)
    season = steady(daily_kg, lead)
    season = replace(
        season,
        demand_kg=season.demand_kg * rng.uniform(0, 2, season.demand_kg.shape),
        read_error_kg=rng.normal(0, 300, (1, 52)),
    )
    site, state = one_house(), StockState.start(np.array([start_kg]))
    ledger = play_season(site, FixedLevel(site, 0.3), season, state, lambda w: known())
    end = start_kg + ledger.delivered_kg[0] - ledger.burned_kg[0]
    assert state.level_kg[0] == pytest.approx(end, abs=1e-6)
    assert ledger.burned_kg[0] + ledger.unmet_kg[0] == pytest.approx(season.demand_kg.sum())


@dataclass(frozen=True)
class Always:
    """Orders 4 t whenever it may."""

    name: str = "always"

    def choose(self, week: int, seen_kg: np.ndarray, outlook: WeekOutlook) -> np.ndarray:
        """The larger drop."""
        return np.ones(len(seen_kg), dtype=np.int64)


def test_what_does_not_fit_is_neither_accepted_nor_paid() -> None:
    """4 t onto 4 t in a store of 5 t: a quarter of the drop is accepted and a quarter of the bill paid."""
    site, state = one_house(), StockState.start(np.array([4000.0]))
    ledger = play_season(site, Always(), steady(0.0, 3, weeks=1), state, lambda w: known())
    assert ledger.delivered_kg[0] == pytest.approx(1000.0)
    assert ledger.bills[0] == pytest.approx(1275.0 / 4)


WORKDAYS = WorkingDays("DE")
LEAD = LeadTime(5, 10)


def placed(ordered_on: date, due: tuple[date | None, date | None], as_of: date) -> OpenOrder:
    """An order of 4 t as it stands on a day."""
    return open_order(4000.0, ordered_on, due, LEAD, WORKDAYS, as_of)


def test_an_order_is_overdue_after_its_last_day() -> None:
    """Until its last day it is under way; on the day after, it should have come."""
    ordered, due = date(2025, 11, 3), (date(2025, 11, 10), date(2025, 11, 17))
    assert not placed(ordered, due, date(2025, 11, 17)).overdue
    assert placed(ordered, due, date(2025, 11, 18)).overdue


def test_days_that_nobody_wrote_follow_from_the_lead_time() -> None:
    """Five to ten working days after a Monday; a first day later than that is the last one, too."""
    ordered = date(2025, 11, 3)
    usual = placed(ordered, (None, None), ordered)
    assert (usual.due_from, usual.due_to) == (date(2025, 11, 10), date(2025, 11, 17))
    late = placed(ordered, (date(2025, 12, 1), None), ordered)
    assert (late.due_from, late.due_to) == (date(2025, 12, 1), date(2025, 12, 1))


def test_an_order_due_before_it_was_placed_is_refused() -> None:
    """The sentence names all three days."""
    with pytest.raises(OrderError, match="order of 3 November 2025 cannot be expected from 1 November 2025"):
        placed(date(2025, 11, 3), (None, date(2025, 11, 1)), date(2025, 11, 20))

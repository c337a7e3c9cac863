"""The value of stock and today's decision for one house."""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache

import numpy as np
import pytest

from fuelplan.messages import as_message, codes, render
from fuelplan.ordering import Sites
from fuelplan.ordering import programme as dp
from fuelplan.ordering.optimum import Costs, StockValue, StoreLimits, StoreTooSmall, value_of_stock
from fuelplan.ordering.prices import Bracket, Offer, default_season, tariff
from fuelplan.ordering.stages import PathsTooShort, path_sums
from fuelplan.ordering.stock import Arrival
from fuelplan.ordering.today import Decision, TodaysOffer, decide_today
from tests.ordering_sites import paths_of_one_house
from tests.site_replay.optimum import Optimum, outlook

OFFER = Offer(
    "Invented Fuel",
    "EUR",
    (Bracket(2000, 0.33), Bracket(3000, 0.321), Bracket(5000, 0.308)),
    0.07,
    blow_in_charge=35.0,
)
USUAL = tariff([OFFER], np.arange(2000, 5001, 500.0))
COSTS = Costs(USUAL, default_season(), unmet_per_kg=0.9, unmet_event=200.0)
STORE = StoreLimits(5000.0, 300.0, 100.0)
DRAWS = 300


@lru_cache
def value(risk_limit: float = 0.02) -> StockValue:
    """The value of stock of the house."""
    demand, arrival, first_day = paths_of_one_house(DRAWS)
    return value_of_stock(demand, arrival, first_day, STORE, COSTS, risk_limit=risk_limit)


def decide(level_kg: float, sd_kg: float = 40.0, week: int = 0, **more: object) -> Decision:
    """The decision at a level, on the day on which week `week` begins."""
    demand, arrival, first_day = paths_of_one_house(DRAWS)
    table = value()
    if week:
        demand = np.roll(demand[:, :364], -7 * week, axis=1)
        demand = np.concatenate([demand, demand[:, :56]], axis=1)
        lead = arrival - 7 * np.arange(53)
        arrival = lead + 7 * np.arange(53)
        day = np.datetime64(first_day, "D") + 7 * week
        table = value_of_stock(demand, arrival, day.astype(object), STORE, COSTS, risk_limit=0.02)
    level = np.maximum(100.0, level_kg + sd_kg * np.random.default_rng(3).standard_normal(DRAWS))
    return decide_today(table, level, demand, arrival[:, 0], arrival[:, 1], **more)  # type: ignore[arg-type]


def test_more_in_store_is_worth_more_and_never_more_than_an_emergency() -> None:
    """The value falls in cost from empty to full; a kilogram is worth more than nothing near the bottom."""
    costs = value().of(0, np.linspace(100, 5000, 81))
    assert costs[0] - costs[-1] > 0.25 * 4900
    assert np.all(np.diff(costs) < 3.0)
    assert 0.2 < value().per_kg(2500.0) < 0.9
    assert value().per_kg(200.0) > value().per_kg(3000.0)


def test_an_order_is_asked_for_below_the_floor_and_the_floor_follows_the_cold() -> None:
    """The level from which waiting is open is higher before the cold weeks than before summer."""
    floor = value().floor_kg
    assert floor[15:20].mean() > 1.5 * floor[38:44].mean()
    assert floor.min() > STORE.reserve_kg
    action = value().table.action[0]
    levels = value().table.grid.levels[0] + STORE.residue_kg
    for week in (0, 12, 20):
        assert np.all(action[week, levels < floor[week]] != dp.WAIT)


def test_waiting_is_open_only_while_an_order_next_week_keeps_the_limit() -> None:
    """Going up through the levels, orders come first; every wait has a risk next week within the limit."""
    kinds = []
    for level in np.linspace(250, 1500, 14):
        found = decide(float(level), week=14)
        kinds.append(found.kind)
        assert (found.risk_next <= 0.02) == found.alternatives[0].is_open
        if found.kind == "wait":
            assert found.risk == found.risk_next <= 0.02
    assert kinds[0] == "late" and kinds[-1] == "wait"
    order = {"late": 0, "order": 1, "wait": 2}
    assert [order[k] for k in kinds] == sorted(order[k] for k in kinds)


def test_the_risk_is_the_share_of_draws_below_the_reserve_before_arrival() -> None:
    """Counted by hand on the paths: the level at the eve of the arrival is start less what was burned."""
    demand, arrival, _ = paths_of_one_house(DRAWS)
    level = np.full(DRAWS, 500.0)
    found = decide_today(value(), level, demand, arrival[:, 0], arrival[:, 1])
    by_hand = [
        np.mean([500.0 - demand[i, : a[i]].sum() < 300.0 for i in range(DRAWS)])
        for a in (arrival[:, 0], arrival[:, 1])
    ]
    assert (found.risk_now, found.risk_next) == tuple(by_hand)
    assert 0 < found.risk_now < found.risk_next


def test_the_same_choice_as_the_weighing_of_sums() -> None:
    """Played day by day and weighed by sums, the alternatives cost the same within a euro."""
    demand, arrival, _ = paths_of_one_house(DRAWS)
    level = np.full(DRAWS, 1800.0)
    found = decide_today(value(), level, demand, arrival[:, 0], arrival[:, 1])
    sums = path_sums(demand[None], arrival[None], 52)
    stage = dp.Stage(sums.before[:, :, 0], sums.after[:, :, 0], sums.jump[:, :, 0], sums.arrival[:, :, 0])
    table = value().table
    weeks = table.action.shape[1]
    along = np.ones((1, weeks))
    problem = dp.Programme(
        table.grid,
        dp.Waiting(value().cases.week),
        dp.Ordering(
            USUAL.amounts_kg[None, :-1],
            np.broadcast_to(USUAL.total[:-1], (1, weeks, 6)),
            *(getattr(value().cases, n) for n in ("before", "after", "jump", "arrival")),
        ),
        dp.Charges(COSTS.holding_per_kg_week() * along, 0.9 * along, 200.0 * along),
        np.zeros((1, table.grid.n)),
    )
    start = np.full((1, 1, DRAWS), 1700.0)
    wait = dp.wait_cost(problem, table.value, 0, start, sums.week[:, :, 0])[0, 0]
    order = dp.order_cost(problem, table.value, 0, start, stage)[0, :, 0] + USUAL.total[:-1]
    played = [a.cost for a in found.alternatives[:5]]
    weighed = np.concatenate(([wait], order))[:5]
    np.testing.assert_allclose(np.array(played) - played[0], weighed - weighed[0], atol=1.0)

    one = np.ones(1)
    sites = Sites(
        4900 * one,
        200 * one,
        USUAL.amounts_kg[None, :-1],
        USUAL.fuel[None, :-1],
        USUAL.charges[None, :-1],
        COSTS.holding_per_kg_week() * one,
        0.9 * one,
        200 * one,
        0.32 * one,
    )
    nothing = np.zeros((1, DRAWS))
    known = outlook(sums.week[:, :, 0], stage, sums.until_next[:, :, 0], nothing, 200 * one, 0.02)
    choice = int(Optimum(sites, problem, table).choose(0, np.array([1700.0]), known)[0])
    assert found.amount_kg == (0.0 if choice == dp.WAIT else USUAL.amounts_kg[choice])


def test_no_choice_of_a_draw_depends_on_its_own_future() -> None:
    """Days after the last boundary of any alternative change nothing, and all draws share one choice."""
    demand, arrival, _ = paths_of_one_house(DRAWS)
    level = np.full(DRAWS, 1500.0)
    found = decide_today(value(), level, demand, arrival[:, 0], arrival[:, 1])
    other = demand.copy()
    other[:, 40:] = other[::-1, 40:] * 3
    assert decide_today(value(), level, other, arrival[:, 0], arrival[:, 1]) == found


def test_a_cheap_offer_of_today_is_taken() -> None:
    """At twenty per cent below the usual bills an order pays although waiting is safe."""
    usual = decide(2500.0)
    bargain = tariff([replace(OFFER, brackets=(Bracket(2000, 0.257),))], np.arange(2000, 5001, 500.0))
    found = decide(2500.0, today=(TodaysOffer(bargain, paths_of_one_house(DRAWS)[1][:, 0]),))
    assert usual.kind == "wait" and found.kind == "order"
    assert found.saves is not None and found.saves > 50
    assert codes(found.reason) == ("today.order_cheaper",)


def test_an_offer_is_judged_by_its_own_delivery_weeks() -> None:
    """A cheap offer that comes in two months is closed where the store does not last, else taken."""
    arrival = paths_of_one_house(DRAWS)[1][:, 0]
    bargain = tariff(
        [replace(OFFER, supplier="Slow Wood", brackets=(Bracket(2000, 0.25),))], np.array([2000.0, 3000.0])
    )
    offers = (TodaysOffer(USUAL, arrival), TodaysOffer(bargain, arrival + 56))
    low = decide(900.0, week=12, today=offers)
    slow = [a for a in low.alternatives if a.supplier == "Slow Wood"]
    assert len(slow) == 2 and not any(a.is_open for a in slow)
    assert {code for a in slow for code in codes(as_message(a.why_not))} <= {
        "today.too_late",
        "today.only_fits",
    }
    assert low.risk_now < slow[0].risk and low.supplier != "Slow Wood"
    enough = decide(2600.0, today=offers)
    assert (enough.kind, enough.supplier) == ("order", "Slow Wood")
    assert enough.risk <= 0.02


def test_a_delivery_under_way_lowers_the_risk() -> None:
    """With 2 t on order nothing more is ordered, and without it the house would be late."""
    alone = decide(320.0, week=14)
    soon, later = (Arrival(np.full(DRAWS, day), np.full(DRAWS, 2000.0)) for day in (1, 12))
    coming = decide(320.0, week=14, on_order=(soon,))
    assert alone.kind == "late" and alone.risk_on_order is None
    assert coming.kind == "wait" and coming.risk_now == 0
    assert coming.risk_on_order is not None and coming.risk_on_order > 0.02
    assert "today.on_order_too_late" in codes(coming.reason)
    calm = decide(1500.0, week=14, on_order=(later,))
    assert calm.kind == "wait" and calm.risk_on_order == 0
    assert "today.on_order_too_late" not in codes(calm.reason)


def test_an_order_that_comes_too_late_is_said_to_be_late() -> None:
    """Almost empty, the sentence says how often an order today is too late and asks for other heat."""
    found = decide(320.0, week=14)
    assert found.kind == "late" and found.amount_kg > 0
    assert found.risk == found.risk_now > 0.02
    assert codes(found.reason) == ("today.late",) and "have other heat ready" in render(found.reason)


def test_nothing_larger_than_what_surely_fits_is_ordered() -> None:
    """With little free space only small drops are open; with a rule of the store's own, that rule counts."""
    found = decide(700.0)
    for a in found.alternatives[1:]:
        assert a.is_open == (a.why_not == "")
    assert [a.is_open for a in found.alternatives[1:]] == sorted(
        (a.is_open for a in found.alternatives[1:]), reverse=True
    )
    none = decide(700.0, week=14, surely_fits_kg=lambda high_kg: 1500.0)
    assert none.kind == "no_room" and none.amount_kg == 0
    assert codes(none.reason) == ("today.no_room",) and "smaller drop" in render(none.reason)


def test_a_store_smaller_than_the_smallest_drop_is_refused_in_words() -> None:
    """A store of 1.8 t cannot take a drop of 2 t."""
    demand, arrival, first_day = paths_of_one_house(DRAWS)
    with pytest.raises(
        StoreTooSmall, match=r"smallest drop on offer is 2,000 kg and the store takes 1,700 kg"
    ):
        value_of_stock(demand, arrival, first_day, StoreLimits(1800.0, 200.0, 100.0), COSTS, risk_limit=0.02)


def test_a_lead_time_longer_than_the_store_lasts_is_said() -> None:
    """Ten weeks of lead time and a store for less: the weeks are counted and named from the first."""
    demand, arrival, first_day = paths_of_one_house(DRAWS)
    small = StoreLimits(2200.0, 200.0, 100.0)
    found = value_of_stock(demand, arrival + 70, first_day, small, COSTS, risk_limit=0.02)
    told = [w.code for w in found.warnings]
    assert told == ["optimum.full_store_does_not_last", "optimum.smallest_drop_fits_too_late"]
    assert render(found.warnings[0]).startswith("In ") and " of 52 weeks, the first from " in render(
        found.warnings[0]
    )
    assert value().warnings == ()


def test_paths_of_less_than_a_year_are_refused() -> None:
    """Half a year cannot value stock over a year."""
    demand, arrival, first_day = paths_of_one_house(DRAWS)
    with pytest.raises(PathsTooShort, match="364 days"):
        value_of_stock(demand[:, :180], arrival, first_day, STORE, COSTS, risk_limit=0.02)
    with pytest.raises(ValueError, match="after the day"):
        value_of_stock(demand, arrival * 0, first_day, STORE, COSTS, risk_limit=0.02)
    with pytest.raises(ValueError, match="the paths end after 20 days"):
        decide_today(value(), np.full(DRAWS, 900.0), demand[:, :20], arrival[:, 0], arrival[:, 1])


def test_limits_out_of_order_are_refused() -> None:
    """A reserve above the capacity, or a risk limit of nothing, has its sentence."""
    with pytest.raises(ValueError, match="must rise"):
        StoreLimits(1000.0, 1200.0)
    with pytest.raises(ValueError, match="share between 0 and 1"):
        value(0.0)


def test_weeks_past_the_paths_repeat_the_year() -> None:
    """With paths of one year the second year's cases are the first's, week by week."""
    found = value().cases
    np.testing.assert_array_equal(found.week[:, 60:104], found.week[:, 8:52])

"""Stocks, rules and tallies of a round that is played again."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from fuelplan.dispatch.replay.round_rules import K_KEEP, KFactor, degree_days_of, first_k, ring_shares
from fuelplan.dispatch.replay.round_stock import Stocks
from fuelplan.dispatch.replay.rounds import Tally, against, run_out_rate, summary_of

ONE = np.ones(1)


def stocks(level: float, store: float = 4000.0) -> Stocks:
    return Stocks(np.array([level]), np.array([store]), np.zeros(1, bool))


def test_a_run_out_is_counted_once() -> None:
    """A store that stays empty for days has run empty once, and a second time only after a drop."""
    s, counted = stocks(50.0), 0
    for day in range(8):
        if day == 4:
            s = s.filled(np.array([60.0]))
        s, _, out = s.burned(40 * ONE)
        counted += int(out[0])
    # 50 − 40 − 40: empty on day 1; 60 kg on day 4; empty again on day 5
    assert counted == 2


def test_what_is_missing_is_counted_apart() -> None:
    """30 kg in store and 100 kg wanted: 30 burned, 70 missing, an empty store."""
    s, missing, out = stocks(30.0).burned(100 * ONE)
    assert s.level_kg[0] == 0
    assert missing[0] == 70
    assert out[0]


def test_a_store_burned_down_to_the_last_kg_has_run_empty() -> None:
    """A store that falls to zero has run empty, even where nothing was missing that day."""
    assert stocks(40.0).burned(40 * ONE)[2][0]


def test_a_drop_that_does_not_fit_is_refused() -> None:
    """Nothing is blown in beyond the store."""
    with pytest.raises(ValueError, match="fit into the store"):
        stocks(3500.0).filled(np.array([501.0]))


@given(st.floats(0, 4000), st.lists(st.tuples(st.floats(0, 900), st.floats(0, 300)), min_size=1, max_size=40))
def test_the_fuel_adds_up(start: float, days: list[tuple[float, float]]) -> None:
    """Start + brought − burned = end, whatever comes, with what was missing not burned."""
    s, brought, burned = stocks(start), 0.0, 0.0
    for drop, use in days:
        kg = np.minimum(drop, s.room_kg())
        s = s.filled(kg)
        s, missing, _ = s.burned(use * ONE)
        brought += float(kg[0])
        burned += use - float(missing[0])
    assert start + brought - burned == pytest.approx(float(s.level_kg[0]), abs=1e-6)
    assert s.level_kg[0] >= 0


def test_k_factor_by_hand() -> None:
    """400 kg for 1,000 degree-days are K = 2.5; half of it counts beside the 2.0 of before (by hand)."""
    k = KFactor(2 * ONE, 4000 * ONE, 4000 * ONE, 0 * ONE, 0 * ONE)
    for _ in range(100):
        k = k.after_day(20 * ONE)  # 2,000 degree-days ÷ 2.0 = 1,000 kg
    assert k.level_kg[0] == pytest.approx(3000)
    k = k.after_drops(800 * ONE, np.array([True]))  # 2,000 ÷ 800 = 2.5
    assert k.k[0] == pytest.approx(K_KEEP * 2.0 + (1 - K_KEEP) * 2.5)
    assert k.level_kg[0] == 4000
    assert not k.due(0.2)[0]
    days = 0
    while not k.due(0.2025)[0]:  # 810 kg
        k = k.after_day(20 * ONE)
        days += 1
    assert days == np.ceil(3190 * 2.25 / 20)


def test_a_fill_that_did_not_fill_tells_no_k_factor() -> None:
    """Kilograms of a part fill are kept, and count at the next full one (by hand: 2,000 ÷ (300 + 700))."""
    k = KFactor(2 * ONE, 4000 * ONE, 4000 * ONE, 0 * ONE, 0 * ONE)
    k = k.after_day(1000 * ONE).after_drops(300 * ONE, np.array([False]))
    assert k.k[0] == 2.0
    assert k.level_kg[0] == pytest.approx(4000 - 500 + 300)
    k = k.after_day(1000 * ONE).after_drops(700 * ONE, np.array([True]))
    assert k.k[0] == pytest.approx(2.0)
    assert k.since_kg[0] == 0


def test_the_first_fill_of_a_customer_tells_no_k_factor() -> None:
    """Since when the degree-days count is unknown before the first full store."""
    k = first_k(np.array([5000.0]), np.array([4000.0]), np.array([4000.0]))
    assert k.k[0] == pytest.approx(0.8)
    k = k.after_day(500 * ONE).after_drops(2500 * ONE, np.array([True]))
    assert k.k[0] == pytest.approx(0.8)
    assert k.after_day(500 * ONE).after_drops(1000 * ONE, np.array([True])).k[0] == pytest.approx(0.65)


def test_degree_days_of_the_k_factor() -> None:
    """Base 65 °F (common practice): 18.3 °C less the mean, none above."""
    assert degree_days_of(np.array([-5.0, 8.3, 18.3, 25.0])) == pytest.approx([23.3, 10.0, 0.0, 0.0])


def test_customers_ring_around_the_share() -> None:
    """The middle of many customers is the share asked for, and they differ."""
    shares = ring_shares(0.2, 4000, np.random.default_rng(3))
    assert np.mean(shares) == pytest.approx(0.2, abs=0.003)
    assert 0.03 < shares.std() < 0.05
    assert shares.min() >= 0.08


def tally(policy: str, winter: str, run_outs: int = 0, km: float = 4000.0, t: float = 1000.0) -> Tally:
    return Tally(
        policy, winter, 100.0, run_outs, 0, run_outs, 0.0, 1000 * t, 1000 * t, 5e5, 5e5, 250, 120, km, 300.0,
        2.0, 5 * km, 0,
    )  # fmt: skip


def test_rates_are_sums_over_sums() -> None:
    """4,000 and 2,000 km for 1,000 and 500 t are 4 km/t; 3 run-outs in 200 customer-years 15 per 1,000."""
    s = summary_of([tally("a", "x", 3), tally("a", "y", 0, 2000.0, 500.0)])
    assert s.km_per_t.mean == pytest.approx(4.0)
    assert s.t_per_drop.mean == pytest.approx(1500 / 500)
    assert s.cost_per_t.mean == pytest.approx(20.0)
    assert s.run_outs_per_1000_customer_years.mean == pytest.approx(15.0)
    assert s.overtime_h_per_year.mean == 2.0


def test_fuller_stores_at_the_end_earn_nothing() -> None:
    """4,000 km for 1,000 t brought of which 800 t were burned: 4 km a tonne brought, 5 a tonne burned."""
    rows = [replace(tally("a", name), burned_kg=8e5, end_kg=7e5) for name in ("x", "y")]
    assert summary_of(rows).km_per_t.mean == pytest.approx(4.0)
    assert summary_of(rows).km_per_burned_t.mean == pytest.approx(5.0)


def test_run_outs_of_one_winter_leave_more_doubt_than_spread_ones() -> None:
    """Ten run-outs in one winter out of ten say less than one in each: the interval goes by winter."""
    years = np.full(10, 100.0)
    one_winter = run_out_rate(np.array([10.0] + [0.0] * 9), years)
    spread = run_out_rate(np.ones(10), years)
    assert one_winter.mean == spread.mean == pytest.approx(10.0)
    assert one_winter.high > 25 > spread.high == pytest.approx(10.0)


def test_no_run_out_is_no_proof_of_none() -> None:
    """None in 1,200 customer-years bounds the rate at about 2.5 per 1,000 (Poisson, 5 %)."""
    found = run_out_rate(np.zeros(10), np.full(10, 120.0))
    assert (found.mean, found.low) == (0.0, 0.0)
    assert found.high == pytest.approx(2.496, abs=0.001)


def test_differences_are_paired_by_winter() -> None:
    """A tenth less in each winter is a tenth less without doubt, however much the winters differ."""
    one = [tally("a", f"w{i}", 0, 900.0 * (i + 1)) for i in range(4)]
    other = [tally("b", f"w{i}", 1, 1000.0 * (i + 1)) for i in range(4)]
    found = against(one, other)
    assert found.km_per_t_less.mean == pytest.approx(0.1)
    assert found.km_per_t_less.high - found.km_per_t_less.low < 1e-9
    assert found.run_outs_fewer.mean == pytest.approx(10.0)
    with pytest.raises(ValueError, match="same winters"):
        against(one, other[::-1])

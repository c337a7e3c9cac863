"""Ordering theory against its published worked examples, to the digit."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.ordering import theory as classic

BREAKS, PRICES = (0, 400, 800), (0.75, 0.72, 0.68)
MONTHS = (69, 29, 36, 61, 61, 26, 34, 67, 45, 67, 79, 56)
MONTHS_FIXED = (85, 102, 102, 101, 98, 114, 105, 86, 119, 110, 98, 114)


def digits(value: float, printed: str) -> bool:
    """Whether a value is the printed one within one of its last digit."""
    places = len(printed.partition(".")[2])
    return abs(value - float(printed)) <= 1.0000001 * 10**-places


def test_economic_order_quantity() -> None:
    """Snyder & Shen, Fundamentals of Supply Chain Theory, example 3.1: Q 304.0467800, cost 68.4105255."""
    lot = classic.lot_size(8, 0.225, 1300)
    assert digits(lot.amount, "304.0467800") and digits(lot.cost, "68.4105255")


def test_economic_order_quantity_with_backorders() -> None:
    """Snyder & Shen, example 3.8: Q 310.8125552, x 0.0430622, cost 66.9213636."""
    lot = classic.lot_size_backorders(8, 0.225, 1300, 5)
    assert digits(lot.amount, "310.8125552")
    assert digits(lot.backordered_share, "0.0430622") and digits(lot.cost, "66.9213636")


def test_all_units_breaks() -> None:
    """Snyder & Shen, example 3.5: Q 800, cost 978.60."""
    lot = classic.lot_size_all_units(8, 0.3, 1300, BREAKS, PRICES)
    assert lot.amount == 800 and digits(lot.cost, "978.60")


def test_incremental_breaks() -> None:
    """Snyder & Shen, data of example 3.5 with incremental breaks: Q 304.0468, cost 1043.4105."""
    lot = classic.lot_size_incremental(8, 0.3, 1300, BREAKS, PRICES)
    assert digits(lot.amount, "304.0468") and digits(lot.cost, "1043.4105")


@pytest.mark.parametrize(
    ("data", "amounts", "cost"),
    [
        # Snyder & Shen, example 3.9
        (((90, 120, 80, 70), 500, 2), (210, 0, 150, 0), 1380),
        # Snyder & Shen, problem 3.27
        (((150, 100, 80, 200), 120, 0.8), (150, 180, 0, 200), 424),
        # stockpyl instance with a price that varies, recomputed
        (((400, 500, 500, 1100, 900), 100, 0.1, (3, 1, 4, 6, 6)), (400, 3000, 0, 0, 0), 4940),
        # Wagner & Whitin 1958, twelve months (data from memory)
        ((MONTHS, MONTHS_FIXED, 1), (98, 0, 97, 0, 121, 0, 0, 112, 0, 67, 135, 0), 864),
    ],
)
def test_lots_over_time(data: tuple[Any, ...], amounts: tuple[int, ...], cost: float) -> None:
    """Wagner–Whitin: Snyder & Shen ex. 3.9, problem 3.27; a stockpyl instance; the 1958 paper's months."""
    lots = classic.lots_over_time(*data)
    np.testing.assert_array_equal(lots.amounts, amounts)
    assert lots.cost == pytest.approx(cost, abs=1e-9)


def test_newsvendor_normal() -> None:
    """Snyder & Shen, example 4.3: S 56.6039559, cost 1.9976052."""
    found = classic.newsvendor_normal(0.18, 0.70, 50, 8)
    assert digits(found.level, "56.6039559") and digits(found.cost, "1.9976052")


def test_base_stock() -> None:
    """Snyder & Shen, example 4.4: lead time 4 and one period of review, S 264.7668944, cost 4.4667810."""
    found = classic.base_stock_normal(0.18, 0.70, 50, 8, 4)
    assert digits(found.level, "264.7668944") and digits(found.cost, "4.4667810")


def test_newsvendor_poisson() -> None:
    """Snyder & Shen, problem 4.8a: S 19, cost 786.0884."""
    found = classic.newsvendor_poisson(200, 270, 18)
    assert found.level == 19 and digits(found.cost, "786.0884")


def test_two_levels_snyder_shen() -> None:
    """Snyder & Shen, example 4.7: s 4, S 10, cost 8.0341116."""
    found = classic.two_levels_poisson(1, 4, 5, 6)
    assert (found.order_at, found.up_to) == (4, 10) and digits(found.cost, "8.0341116")


@pytest.mark.parametrize(
    ("mean", "order_at", "up_to", "cost"),
    [(10, 6, 40, "35.0216"), (15, 10, 49, "42.6978"), (20, 14, 62, "49.1730"), (25, 19, 56, "54.2622")],
)
def test_two_levels_zheng_federgruen(mean: float, order_at: int, up_to: int, cost: str) -> None:
    """Zheng & Federgruen 1991, K 64, h 1, p 9, Poisson 10, 15, 20 and 25 (data from memory)."""
    found = classic.two_levels_poisson(1, 9, 64, mean)
    assert (found.order_at, found.up_to) == (order_at, up_to) and digits(found.cost, cost)


def test_lot_and_point() -> None:
    """Nahmias (data from memory): Q 110.774, R 142.568, safety stock 42.568."""
    found = classic.lot_and_point_normal(50, 2, 25, 200, 100, 25)
    assert digits(found.amount, "110.774") and digits(found.order_at, "142.568")
    assert digits(found.safety, "42.568")


@settings(max_examples=60, deadline=None)
@given(
    st.lists(st.integers(0, 60), min_size=1, max_size=6).filter(lambda d: sum(d) > 0),
    st.integers(1, 200),
    st.floats(0.1, 5),
    st.integers(0, 1000),
)
def test_lots_over_time_beat_every_set_of_order_periods(
    demand: list[int], fixed: int, holding: float, seed: int
) -> None:
    """No choice of order periods, tried one by one, is cheaper, with prices that vary."""
    price = np.random.default_rng(seed).uniform(1, 6, len(demand))
    lots = classic.lots_over_time(demand, fixed, holding, list(price))
    n = len(demand)
    cheapest = float("inf")
    for chosen in range(1 << n):
        when, cost, used = -1, 0.0, set()
        for t in range(n):
            if chosen >> t & 1:
                when = t
            if demand[t] == 0:
                continue
            if when < 0:
                cost = float("inf")
                break
            used.add(when)
            cost += demand[t] * (price[when] + holding * (t - when))
        cheapest = min(cheapest, cost + fixed * len(used))
    assert lots.cost == pytest.approx(cheapest)
    assert lots.amounts.sum() == pytest.approx(sum(demand))


def test_all_units_is_never_worse_than_a_search() -> None:
    """A fine search over lot sizes finds nothing cheaper than the formula, for several break tables."""
    for breaks, prices in [(BREAKS, PRICES), ((0, 100), (0.8, 0.5)), ((0, 3000), (0.8, 0.79))]:
        found = classic.lot_size_all_units(8, 0.3, 1300, breaks, prices)
        q = np.arange(1, 5000, 0.5)
        c = np.asarray(prices)[np.searchsorted(breaks, q, side="right") - 1]
        assert found.cost <= np.min(c * 1300 + 8 * 1300 / q + 0.3 * c * q / 2) + 1e-9


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: classic.lot_size(0, 1, 1), "fixed must be above zero"),
        (lambda: classic.lot_size_all_units(1, 1, 1, (0, 5), (1,)), "each break needs a price"),
        (lambda: classic.lot_size_incremental(1, 1, 1, (5, 9), (1, 2)), "begin at 0"),
        (lambda: classic.lots_over_time((), 1, 1), "at least one period"),
        (lambda: classic.base_stock_normal(1, 1, 1, 1, -1), "below zero"),
        (lambda: classic.lot_and_point_normal(50, 2, 1, 200, 100, 25), "too small"),
    ],
)
def test_data_without_an_answer_are_refused(call: Any, words: str) -> None:
    """Each impossible input has its sentence."""
    with pytest.raises(ValueError, match=words):
        call()

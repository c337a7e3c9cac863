"""What depots have left: counted stock, what is expected, what was loaded, and depots that nobody counts."""

from __future__ import annotations

from datetime import date

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from fuelplan.dispatch.run_plan import DepotStock, Incoming, Load, stock_left, supply_kg

EVENING, FIRST, SECOND, THIRD = (date(2026, 1, day) for day in (12, 13, 14, 15))
COMING = (Incoming(SECOND, "A1", 5000.0), Incoming(EVENING, "A1", 9e9))
COUNTED = DepotStock(EVENING, {"A1": 10_000.0}, COMING)
FREE = DepotStock(EVENING, None)


def test_stock_counts_what_comes_after_the_evening_and_what_was_loaded_by_the_day() -> None:
    """10 t, 3 t loaded on the first day, 5 t come on the second: 7, 12, 12 t; what came before is in them."""
    loads = [Load(FIRST, 0, "A1", 3000.0), Load(FIRST, 1, "A1", 700.0), Load(THIRD, 0, "A2", 100.0)]
    left = [stock_left([COUNTED, FREE], loads, 0, "A1", day) for day in (FIRST, SECOND, THIRD)]
    assert left == [7000.0, 12_000.0, 12_000.0]
    assert stock_left([COUNTED, FREE], loads, 0, "A2", THIRD) == -100.0
    assert stock_left([COUNTED, FREE], loads, 1, "A1", THIRD) == np.inf


def test_what_is_promised_later_is_not_given_away_before() -> None:
    """A load on the third day lessens the supply of the first; a depot without a count has plenty."""
    supply = supply_kg([COUNTED, FREE], [Load(THIRD, 0, "A1", 4000.0)], ["A1"], [FIRST, SECOND])
    assert supply[0, 0].tolist() == [6000.0, 11_000.0]
    assert (supply[1] > 1e12).all()


@given(st.lists(st.floats(0, 1e5), max_size=6), st.floats(0, 1e5))
def test_supply_is_what_is_left_after_all_loads(loads: list[float], kg: float) -> None:
    """Books of the stock: supply on the last day is stock less loads, or nothing."""
    stock = DepotStock(EVENING, {"A1": kg})
    loaded = [Load(FIRST, 0, "A1", one) for one in loads]
    left = stock_left([stock], loaded, 0, "A1", SECOND)
    assert supply_kg([stock], loaded, ["A1"], [SECOND])[0, 0, 0] == max(0.0, left)

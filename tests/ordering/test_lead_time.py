"""The supplier's lead time: working days, months, cold weeks, delivery weekdays."""

from __future__ import annotations

from datetime import date
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from fuelplan.ordering.lead_time import (
    LeadTime,
    LeadTimeError,
    arrival_within,
)


class MondayToFriday:
    """Working days without holidays."""

    def add_array(self, days: Any, n: Any) -> Any:
        """Return the n-th working day after each day."""
        return np.busday_offset(np.busday_offset(days, 0, roll="backward"), n)


WEEK = MondayToFriday()


def test_draws_cover_the_range_evenly() -> None:
    """Three to eight working days: all six numbers come, each about equally often."""
    u = np.random.default_rng(1).random(60_000)
    drawn = LeadTime(3, 8).working_days("2025-10-06", 5.0, u)
    counts = np.bincount(drawn)
    assert counts[:3].sum() == 0 and len(counts) == 9
    np.testing.assert_allclose(counts[3:] / len(u), 1 / 6, atol=0.006)


def test_the_month_and_the_cold_of_the_past_week_add_days() -> None:
    """December adds two days; five kelvin below zero add half a day each, up to the most."""
    lead = LeadTime(3, 3, by_month=(0,) * 11 + (2,), days_per_k=0.6, most_extra_days=4)
    order = np.array(["2025-10-06", "2025-12-01", "2025-12-01", "2025-12-01"], dtype="datetime64[D]")
    np.testing.assert_array_equal(lead.working_days(order, [-0.0, 3.0, -5.0, -20.0], 0.5), [3, 5, 8, 9])


def test_delivery_is_counted_in_working_days_to_the_suppliers_weekday() -> None:
    """Ordered on Thursday, three working days are Tuesday; a lorry that comes on Fridays comes on Friday."""
    thursday = "2025-10-09"
    assert LeadTime(3, 3).arrival(thursday, 5.0, WEEK, 0.1) == np.datetime64("2025-10-14")
    fridays = LeadTime(3, 3, delivery_weekdays=(4,))
    assert fridays.arrival(thursday, 5.0, WEEK, 0.1) == np.datetime64("2025-10-17")
    assert LeadTime(0, 0).arrival(thursday, 5.0, WEEK, 0.1) == np.datetime64("2025-10-10")
    with pytest.raises(LeadTimeError, match="never working days"):
        LeadTime(3, 3, delivery_weekdays=(6,)).arrival(thursday, 5.0, WEEK, 0.1)


@given(st.integers(0, 39), st.integers(0, 1000))
def test_a_later_order_never_arrives_sooner_in_the_same_weather(day: int, seed: int) -> None:
    """With the same draw and steady weather an order put off by a day does not arrive sooner."""
    rng = np.random.default_rng(seed)
    u = rng.random(20)
    lead = LeadTime(2, 9, days_per_k=0.5, delivery_weekdays=(0, 3))
    order = np.full(20, np.datetime64("2025-11-03") + day)
    now, later = (lead.arrival(order + off, np.full(20, -3.0), WEEK, u) for off in (0, 1))
    assert np.all(later >= now)
    assert np.all(now > order)


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        ({"min_days": 8, "max_days": 3}, "3 to 8 working days"),
        ({"min_days": 1, "max_days": 3, "by_month": (0,) * 11}, "twelve"),
        ({"min_days": 1, "max_days": 3, "by_month": (-2,) * 12}, "less than nothing"),
        ({"min_days": 1, "max_days": 3, "days_per_k": -1.0}, "cold cannot shorten"),
        ({"min_days": 1, "max_days": 3, "delivery_weekdays": ()}, "at least one weekday"),
    ],
)
def test_a_lead_time_that_cannot_be_is_refused(arguments: dict[str, Any], words: str) -> None:
    """Each impossible lead time has its sentence."""
    with pytest.raises(LeadTimeError, match=words):
        LeadTime(**arguments)


def test_promised_weeks_are_any_working_day_of_them() -> None:
    """A delivery promised for a fortnight comes on one of its ten working days, never after them."""
    u = np.random.default_rng(1).random(20_000)
    first = date(2025, 10, 6)  # a Monday
    days = arrival_within(first, date(2025, 10, 13), date(2025, 10, 26), WEEK, u)
    counts = np.bincount(days)
    assert np.flatnonzero(counts).tolist() == [7, 8, 9, 10, 11, 14, 15, 16, 17, 18]
    np.testing.assert_allclose(counts[counts > 0] / len(u), 0.1, atol=0.01)
    begun = arrival_within(first, date(2025, 10, 1), date(2025, 10, 8), WEEK, u)
    assert set(begun.tolist()) == {1, 2}
    with pytest.raises(LeadTimeError, match="ended on 3 October 2025"):
        arrival_within(first, date(2025, 9, 29), date(2025, 10, 3), WEEK, u)
    with pytest.raises(LeadTimeError, match="no working day"):
        arrival_within(first, date(2025, 10, 11), date(2025, 10, 12), WEEK, u)

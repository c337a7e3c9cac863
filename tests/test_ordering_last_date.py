"""The last safe day: exactly the risk that was promised."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fuelplan.ordering.last_date import first_day_that_fits, last_safe_day, order_risk
from fuelplan.stock import NEVER


def test_risk_is_the_share_below_before_it_comes() -> None:
    """Below on the day it comes is not before it comes."""
    assert order_risk(np.array([3, 4, 5, NEVER]), np.array([4, 4, 4, 4])) == 0.25


@settings(max_examples=200, deadline=None)
@given(seed=st.integers(0, 5000), limit=st.floats(0.001, 0.4), spread=st.integers(0, 15))
def test_last_day_is_the_last_that_keeps_the_limit(seed: int, limit: float, spread: int) -> None:
    """Against trying every day one by one."""
    rng = np.random.default_rng(seed)
    breach = rng.integers(5, 120, 300)
    lead = rng.integers(2, 3 + spread, 300)

    def arrival_of(day: int) -> np.ndarray:
        return day + lead

    found = last_safe_day(breach, arrival_of, risk_limit=limit, first=0, last=200)
    risks = [order_risk(breach, arrival_of(day)) for day in range(201)]
    safe = [day for day, risk in enumerate(risks) if risk <= limit]
    if not safe:
        assert found.late
        assert (found.day, found.risk) == (0, risks[0])
    elif len(safe) == 201:
        assert found.day is None
    else:
        assert not found.late
        assert found.day == safe[-1]
        assert found.risk == risks[safe[-1]] <= limit


def test_too_late_is_said_with_its_risk() -> None:
    """Where even today's order comes too late too often, the day is today and the risk the true one."""
    found = last_safe_day(
        np.full(100, 3), lambda day: np.full(100, day + 5), risk_limit=0.02, first=0, last=50
    )
    assert (found.day, found.risk, found.late) == (0, 1.0, True)


@pytest.mark.parametrize("limit", [0.0, 1.0, -0.1])
def test_a_limit_is_a_share(limit: float) -> None:
    """0 and 1 are no limits that any order can be held to."""
    with pytest.raises(ValueError, match="risk_limit"):
        last_safe_day(np.array([3]), lambda day: np.array([day]), risk_limit=limit, first=0, last=5)


def test_first_day_that_fits_looks_at_the_evening_before_the_tanker() -> None:
    """A drop of 200 kg into 1,000 kg fits once the level is at 800 kg on the evening before it comes."""
    high = np.array([1000.0, 950.0, 850.0, 800.0, 700.0])
    day = first_day_that_fits(high, lambda d: d + 1, lambda level: 1000 - level, 200.0, first=0, last=4)
    assert day == 3
    assert (
        first_day_that_fits(high, lambda d: d + 1, lambda level: 1000 - level, 900.0, first=0, last=4) is None
    )

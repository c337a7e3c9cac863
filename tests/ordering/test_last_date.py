"""The last safe day: exactly the risk that was promised."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fuelplan.ordering.last_date import last_safe_day, order_risk, steady_day
from fuelplan.ordering.stock import NEVER


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


def _named(breach: np.ndarray, limit: float = 0.02) -> tuple[int | None, float]:
    found = steady_day(breach, lambda day: np.full(len(breach), day + 5), risk_limit=limit, first=0, last=480)
    return found.day, found.risk


def test_the_day_named_keeps_still_where_the_risk_is_flat() -> None:
    """26 draws of 1,500 run low in early spring, nearly all others in autumn, ten in between: the last safe
    day lies among these, and one draw that runs low sooner or later moves it by half a month; the day named
    moves by days.
    """
    rng = np.random.default_rng(4)
    spring, autumn = np.sort(rng.normal(60, 6, 26).astype(int)), rng.normal(260, 25, 1464).astype(int)
    breach = np.concatenate([spring, np.linspace(90, 225, 10).astype(int), autumn])

    def both(one: np.ndarray) -> tuple[int, int]:
        exact = last_safe_day(one, lambda d: np.full(1500, d + 5), risk_limit=0.02, first=0, last=480)
        named, risk = _named(one)
        assert exact.day is not None and named is not None
        assert named < exact.day
        assert risk <= 0.02
        return exact.day, named

    exact, named = both(breach)
    moves = []
    for draw in range(26, 36):
        for to in (70, 240):
            overnight = breach.copy()
            overnight[draw] = to
            moves.append(np.abs(np.subtract(both(overnight), (exact, named))))
    most_exact, most_named = np.max(moves, axis=0)
    assert most_exact >= 14  # the leap that the day named must not make
    assert most_named <= 4


def test_the_day_named_is_the_last_safe_day_where_the_risk_grows_fast() -> None:
    """In winter nothing changes: draws that run low within a few weeks of each other."""
    breach = np.random.default_rng(5).normal(80, 9, 1500).astype(int)
    exact = last_safe_day(breach, lambda d: np.full(1500, d + 5), risk_limit=0.02, first=0, last=480)
    assert _named(breach) == (exact.day, exact.risk)


def test_a_day_beyond_the_horizon_is_named_only_while_small_risks_fall_within_it() -> None:
    """Nothing ever runs low: no day. A tenth of the draws in spring are too late at once, and said so."""
    assert _named(np.full(1500, NEVER)) == (None, 0.0)
    some = np.full(1500, NEVER)
    some[:20] = 50  # below the limit of 30 draws, above a quarter of it
    day, risk = _named(some)
    assert day is not None
    assert 45 < day < 480
    assert risk <= 0.02
    some[:150] = 2
    assert steady_day(some, lambda d: np.full(1500, d + 5), risk_limit=0.02, first=0, last=480).late


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

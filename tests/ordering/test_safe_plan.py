"""Orders at their last safe day: when a date is finely balanced."""

from __future__ import annotations

from datetime import date, timedelta
from types import SimpleNamespace
from typing import Any

import numpy as np

from fuelplan.ordering.safe_plan import _finely_balanced


def planner_of(breach: Any) -> tuple[Any, Any]:
    """A planner whose supplier always needs ten days."""
    coming = SimpleNamespace(of=lambda day: np.full(len(breach), day + 10), as_of=date(2026, 3, 1))
    return SimpleNamespace(rules=SimpleNamespace(risk_limit=0.02), coming=coming), breach


def test_a_date_that_hangs_on_a_hair_is_said() -> None:
    """1.9 % of the draws fall below the reserve in April, the others from October on: both are named."""
    planner, breach = planner_of(np.where(np.arange(1000) < 19, 45, 230 + np.arange(1000) // 50))
    (said,) = _finely_balanced(planner, breach, 0, 400)
    as_of = planner.coming.as_of
    assert "be 5 April" in str(said) and as_of + timedelta(days=35) == date(2026, 4, 5)
    assert "October" in str(said) and "about 1 in 60" in str(said) and "about 1 in 40" in str(said)


def test_a_firm_date_says_nothing_of_it() -> None:
    """A risk that grows from day to day as in midwinter gives one date."""
    planner, breach = planner_of(40 + np.arange(1000) // 20)
    assert _finely_balanced(planner, breach, 0, 400) == []

"""When orders arrive in every draw: by the lead time, within a window, as promised."""

from __future__ import annotations

from datetime import date

import numpy as np
from numpy.typing import NDArray

from fuelplan.ordering import Arrivals, LeadTime
from fuelplan.units import WorkingDays

AS_OF = date(2026, 3, 2)  # a Monday
U = np.array([0.0, 0.5, 0.99])


def arrivals(lead: LeadTime, mean_c: NDArray[np.float64] | None = None) -> Arrivals:
    """Arrivals of three draws, one with a quick and one with a slow supplier."""
    weather = np.full((3, 60), 5.0) if mean_c is None else mean_c
    return Arrivals(AS_OF, lead, WorkingDays("GB", "ENG"), weather, np.full(30, 5.0), U)


def test_an_order_of_today_comes_after_its_working_days() -> None:
    """Two to four working days after a Monday: Wednesday, Thursday, Friday, as columns from tomorrow on."""
    coming = arrivals(LeadTime(2, 4))
    assert coming.of(0).tolist() == [1, 2, 3]
    assert coming.window(0) == (date(2026, 3, 4), date(2026, 3, 6))
    assert coming.earliest(4) == 7  # ordered on Friday, two working days later is Tuesday


def test_the_cold_of_the_week_before_the_order_counts_and_no_later_day() -> None:
    """A draw that is cold from the order on comes no later; one that was cold before it does."""
    lead = LeadTime(2, 2, days_per_k=1.0, cold_below_c=0.0)
    cold_later = np.full((3, 60), 5.0)
    cold_later[1, 14:] = -3.0  # from the day after the order of day 14
    cold_before = np.full((3, 60), 5.0)
    cold_before[1, 7:14] = -3.0
    usual = arrivals(lead).of(14)
    assert (arrivals(lead, cold_later).of(14) == usual).all()
    later = arrivals(lead, cold_before).of(14)
    assert (later[[0, 2]] == usual[[0, 2]]).all() and later[1] == usual[1] + 5  # over a weekend


def test_an_order_comes_on_a_working_day_of_the_days_it_is_due() -> None:
    """Due from Thursday to the Tuesday after: never at the weekend; due on Sunday alone: on that day."""
    coming = arrivals(LeadTime(2, 4))
    assert coming.promised(date(2026, 3, 5), date(2026, 3, 10)).tolist() == [2, 6, 7]
    assert coming.promised(date(2026, 3, 8), date(2026, 3, 8)).tolist() == [5, 5, 5]

"""Who may be served by whom on which day: tables, closures and wishes on a handful of customers."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import numpy as np

from fuelplan.dispatch.books import Order, OrderRow
from fuelplan.dispatch.run_plan import Access, Closure, StopWish, eligibility

MONDAY = date(2026, 1, 12)
DAYS = [MONDAY + timedelta(days=k) for k in range(3)]
ALL = Access(
    reach=np.ones((2, 2), bool),
    takes=np.ones((2, 1), bool),
    carries=np.ones((2, 1), bool),
    home=np.array([0, 1]),
    weekdays=np.ones((2, 7), bool),
    left_on=np.full(2, np.datetime64("NaT", "D")),
)
ONE, BOTH = OrderRow((0,), (), 0), OrderRow((0, 1), (), 0)


def test_what_stands_in_the_way_of_one_stands_in_the_way_of_the_drop() -> None:
    """The second neighbour is out of a tanker's reach and takes no fuel on Tuesdays: nor does the drop."""
    access = replace(ALL, reach=np.array([[True, True], [True, False]]), weekdays=np.ones((2, 7), bool))
    access.weekdays[1, 1] = False
    may, must = eligibility([ONE, BOTH], DAYS, access)
    assert may[0].all() and not must.any()
    assert may[1].tolist() == [[True, False], [False, False], [True, False]]


def test_nobody_is_served_after_the_last_day_there() -> None:
    """Whoever leaves on Tuesday is served up to Tuesday."""
    access = replace(ALL, left_on=np.array(["2026-01-13", "NaT"], "datetime64[D]"))
    may, _ = eligibility([ONE], DAYS, access)
    assert may[0].any(axis=1).tolist() == [True, True, False]


def test_a_closure_shuts_a_customer_or_a_depot_with_its_tankers() -> None:
    """A failed drop shuts its day for the customer; a depot without a class shuts its tankers."""
    shut = [Closure(MONDAY, MONDAY, customer=0), Closure(DAYS[1], DAYS[2], depot=1, grade=0)]
    may, _ = eligibility([ONE], DAYS, ALL, shut)
    assert may[0].tolist() == [[False, False], [True, False], [True, False]]
    other = [Closure(MONDAY, DAYS[2], depot=1, grade=1)]
    assert eligibility([ONE], DAYS, ALL, other)[0].all()


def test_a_pinned_stop_must_come_and_comes_on_no_other_day() -> None:
    """Pinned to Tuesday with the second tanker; what nobody can keep shuts nothing."""
    pin = StopWish(0, "pin", DAYS[1], 1)
    may, must = eligibility([ONE], DAYS, ALL, wishes=[pin])
    assert may[0].tolist() == [[False, False], [False, True], [False, False]]
    assert must[0].tolist() == [False, True, False]
    nobody = replace(ALL, reach=np.array([[True, False], [True, True]]))
    may, must = eligibility([ONE], DAYS, nobody, wishes=[pin])
    assert may[0].any(axis=1).all() and not must.any()


def test_a_stop_is_forbidden_before_it_is_pinned_and_no_pin_lies_before_the_promise() -> None:
    """Forbidden on the day it is pinned to: the pin is not kept. One before the promised days is none."""
    pin, forbid = StopWish(0, "pin", DAYS[0], None), StopWish(0, "forbid", DAYS[0], None)
    may, must = eligibility([ONE], DAYS, ALL, wishes=[pin, forbid])
    assert may[0].any(axis=1).tolist() == [False, True, True] and not must.any()
    late = replace(ONE, orders=(Order("A", "K", None, None, DAYS[1], DAYS[2]),))
    assert not eligibility([late], DAYS, ALL, wishes=[pin])[1].any()

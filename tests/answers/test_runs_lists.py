"""The lists beside a run plan: who has no run and why, promises in danger, whom to ring."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from fuelplan.messages import as_text
from tests.round_folders import make_round
from tests.runs_planned import ORDERS_HEAD, planned, usual


@pytest.fixture(scope="module")
def place(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder for this module's rounds."""
    return tmp_path_factory.mktemp("rounds")


def test_an_order_no_run_has_fuel_for_is_named_and_its_promise_is_in_danger(place: Path) -> None:
    """The depots hold fuel for one of two orders; the other one is told with the reason, twice."""
    orders = (
        ORDERS_HEAD + "E1,K-01,3000,A1,2026-01-13,2026-01-15,318,no,no,no,\n"
        "E2,K-02,3000,A1,2026-01-13,2026-01-15,318,no,no,no,\n"
    )
    changes = [
        ("round.toml", 'stock = { A1 = "120 t", A2 = "40 t" }', 'stock = { A1 = "4 t", A2 = "0 t" }'),
        ("round.toml", 'amount = "24 t"', 'amount = "1 kg"'),
        ("round.toml", "longitude = 11.45\n", 'longitude = 11.45\nstock = { A1 = "0 t", A2 = "0 t" }\n'),
    ]
    _, answer = planned(make_round(place / "scarce", files={"orders.csv": orders}, changes=changes), days=4)
    served = {s.order for r in answer.runs for s in r.stops if s.order}
    assert len(served) == 1
    left = ({"E1", "E2"} - served).pop()
    assert {n.order: as_text(n.reason) for n in answer.not_served if n.order} == {
        left: "no run has room, time or fuel for it on these days"
    }
    assert {p.order: as_text(p.why) for p in answer.promises_at_risk if p.order == left} == {
        left: "on no run within the promised days"
    }


def test_an_order_promised_for_later_is_no_order_left_out(place: Path) -> None:
    """What need not come on the planned days is not told as missing, nor its promise as in danger."""
    orders = ORDERS_HEAD + "L1,K-01,2000,A1,2026-01-26,2026-01-30,318,no,no,no,\n"
    rows = "customer,date,kg,percent\nK-01,2026-01-12,,80\n"
    files = {"orders.csv": orders, "readings.csv": rows}
    _, answer = planned(make_round(place / "later", files=files), days=3)
    assert "L1" not in {s.order for r in answer.runs for s in r.stops}
    assert "L1" not in {n.order for n in answer.not_served}
    assert "L1" not in {p.order for p in answer.promises_at_risk}


def test_an_order_that_can_only_come_late_is_planned_late_and_told(place: Path) -> None:
    """The school takes fuel on Mondays, Thursdays and Fridays: promised by Wednesday, it comes on
    Thursday.
    """
    orders = ORDERS_HEAD + "T1,K-04,4000,A1,2026-01-13,2026-01-14,318,no,no,no,\n"
    _, answer = planned(make_round(place / "late", files={"orders.csv": orders}), days=5)
    day = next(r.day for r in answer.runs if any(s.order == "T1" for s in r.stops))
    assert day == date(2026, 1, 15)
    assert next(as_text(p.why) for p in answer.promises_at_risk if p.order == "T1") == (
        "planned for 15 January, promised by 14 January"
    )


def test_a_promise_is_in_danger_where_the_store_lasts_for_less(place: Path) -> None:
    """The order comes in time, and yet the level may be below the reserve before; a full store is no
    danger.
    """
    orders = ORDERS_HEAD + "D1,K-05,3000,A1,2026-01-15,2026-01-27,318,no,no,no,\n"
    why = {}
    for percent in (3, 80):
        rows = f"customer,date,kg,percent,checked\nK-05,2026-01-12,,{percent},right\n"
        files = {"orders.csv": orders, "readings.csv": rows}
        _, answer = planned(make_round(place / f"lasts {percent}", files=files))
        why[percent] = [as_text(p.why) for p in answer.promises_at_risk if p.order == "D1"]
    assert [text.split(": ")[1] for text in why[3]] == ["the level may fall below the reserve after that"]
    assert why[80] == []


def test_stops_that_ask_for_a_call_are_a_list_of_their_own(place: Path) -> None:
    """Once each, with the day of the stop and what it brings; whom to ring because fuel is low is another."""
    _, answer = usual(place)
    asked = {s.customer: r.day for r in reversed(answer.runs) for s in r.stops if s.call_ahead}
    told = {t.customer: as_text(t.why) for t in answer.calls}
    assert asked and len(told) == len(answer.calls)
    assert set(told) == set(asked)
    for customer, text in told.items():
        assert text == f"asks for a call before the stop on {asked[customer].day} January"
    assert not any("asks for a call" in as_text(t.why) for t in answer.to_ring)


def test_a_credit_stop_is_a_reason_and_no_promise_in_danger(place: Path) -> None:
    """The order is not planned, and told once."""
    orders = ORDERS_HEAD + "C1,K-02,3000,A1,2026-01-13,2026-01-14,318,yes,no,no,\n"
    _, answer = planned(make_round(place / "credit", files={"orders.csv": orders}), days=3)
    assert "C1" not in {s.order for r in answer.runs for s in r.stops}
    assert [as_text(n.reason) for n in answer.not_served if n.order == "C1"] == [
        "credit stop: nothing is delivered until it is lifted"
    ]
    assert "C1" not in {p.order for p in answer.promises_at_risk}

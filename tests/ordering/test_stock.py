"""The stock's books: nothing appears, nothing is lost."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fuelplan.ordering.stock import NEVER, Arrival, first_day_below, simulate, with_delivery_pause


@settings(max_examples=150, deadline=None)
@given(
    seed=st.integers(0, 10_000),
    draws=st.integers(1, 12),
    days=st.integers(1, 60),
    capacity_kg=st.floats(500, 9000),
    residue_kg=st.floats(0, 400),
    deliveries=st.integers(0, 4),
)
def test_books_balance_on_every_day_of_every_draw(
    seed: int, draws: int, days: int, capacity_kg: float, residue_kg: float, deliveries: int
) -> None:
    """level = start + accepted − burned and demand = burned + unmet, to 1e-6 kg; nothing is burned below the
    residue.
    """
    rng = np.random.default_rng(seed)
    start = rng.uniform(0, capacity_kg, draws)
    demand = rng.gamma(0.7, 60, (draws, days)) * (rng.random((draws, days)) > 0.2)
    arrivals = [
        Arrival(rng.integers(0, days + 5, draws), rng.uniform(0, 5000, draws)) for _ in range(deliveries)
    ]
    found = simulate(start, demand, arrivals, capacity_kg=capacity_kg, residue_kg=residue_kg)

    books = start[:, None] + np.cumsum(found.accepted_kg - found.burned_kg, axis=1)
    assert np.abs(found.level_kg - books).max() < 1e-6
    assert np.abs(demand - found.burned_kg - found.unmet_kg).max() < 1e-6
    assert found.unmet_kg.min() >= 0
    assert found.burned_kg.min() >= 0
    before = np.concatenate([start[:, None], found.level_kg[:, :-1]], axis=1)
    assert (found.level_kg[found.burned_kg > 0] >= residue_kg - 1e-6).all()
    assert ((before + found.accepted_kg) <= np.maximum(before, capacity_kg) + 1e-6).all()
    unmet = found.unmet_kg > 1e-6
    assert (found.level_kg[unmet] <= np.maximum(residue_kg, before[unmet]) + 1e-6).all()


def test_seven_days_by_hand() -> None:
    """A store of 100 kg, 10 kg of it residue, with 40 kg asked a day and 80 kg coming on day 2."""
    found = simulate(
        np.array([100.0]),
        np.full((1, 5), 40.0),
        [Arrival(np.array([2]), np.array([80.0]))],
        capacity_kg=95,
        residue_kg=10,
    )
    assert found.level_kg[0].tolist() == [60, 20, 55, 15, 10]
    assert found.accepted_kg[0].tolist() == [0, 0, 75, 0, 0]  # 20 + 80 would be above the 95 kg that fit
    assert found.unmet_kg[0].tolist() == [0, 0, 0, 0, 35]


def test_two_deliveries_on_one_day_share_the_room() -> None:
    """The second of two tankers on a day finds the room that the first has left."""
    arrivals = [Arrival(np.array([0]), np.array([60.0])), Arrival(np.array([0]), np.array([60.0]))]
    found = simulate(np.array([0.0]), np.zeros((1, 1)), arrivals, capacity_kg=100)
    assert found.accepted_kg[0, 0] == 100
    assert found.level_kg[0, 0] == 100


@settings(max_examples=60, deadline=None)
@given(seed=st.integers(0, 1000), share=st.floats(0, 0.9))
def test_the_pause_for_filling_moves_demand_and_loses_none(seed: int, share: float) -> None:
    """What the boiler does not burn while it stands still on the delivery day is asked on the next day."""
    rng = np.random.default_rng(seed)
    demand = rng.uniform(0, 50, (6, 20))
    day = rng.integers(0, 25, 6)
    moved = with_delivery_pause(demand, day, share)
    inside = day < 19
    assert np.allclose(moved.sum(axis=1), demand.sum(axis=1))
    rows = np.flatnonzero(inside)
    assert np.allclose(moved[rows, day[rows]], demand[rows, day[rows]] * (1 - share))
    assert np.array_equal(moved[~inside], demand[~inside])


def test_first_day_below_counts_from_the_first_column() -> None:
    """A level equal to the limit is not below it; a draw that stays above has no such day."""
    level = np.array([[5.0, 4.0, 3.0], [5.0, 5.0, 5.0], [1.0, 9.0, 1.0]])
    assert first_day_below(level, 4.0).tolist() == [2, NEVER, 0]


@pytest.mark.parametrize(
    ("start", "demand", "words"),
    [
        ([-1.0], [[1.0]], "start_kg"),
        ([1.0], [[np.nan]], "demand_kg"),
        ([1.0], [[-2.0]], "demand_kg"),
        ([1.0, 2.0], [[1.0]], "must be"),
    ],
)
def test_refuses_what_no_store_can_hold(start: list[float], demand: list[list[float]], words: str) -> None:
    """Unknown weather never becomes zero demand: the simulator refuses it."""
    with pytest.raises(ValueError, match=words):
        simulate(np.array(start), np.array(demand))

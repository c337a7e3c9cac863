"""From whole paths to weeks: sums, cases and the floor, by hand."""

from __future__ import annotations

import numpy as np
import pytest

from fuelplan.ordering import programme as dp
from fuelplan.ordering.stages import cases, path_sums, wait_floor
from tests.site_replay.optimum import outlook


def steady(draws_kg: list[float], lead_days: list[int]) -> tuple[np.ndarray, np.ndarray]:
    """Paths of one demand a day each, with one lead time each."""
    demand = np.broadcast_to(np.array(draws_kg)[None, :, None], (1, len(draws_kg), 364))
    arrival = 7 * np.arange(53) + np.array(lead_days)[None, :, None]
    return demand, arrival


def test_sums_of_steady_paths_by_hand() -> None:
    """10 and 20 kg a day, leads of 3 and 9 days: before, after, until next week's order, boundaries."""
    sums = path_sums(*steady([10.0, 20.0], [3, 9]), 60)
    assert sums.week.shape == (1, 2, 52)
    for t in (0, 30, 51):
        np.testing.assert_allclose(sums.week[0, :, t], [70, 140])
        np.testing.assert_allclose(sums.before[0, :, t], [30, 180])
        np.testing.assert_allclose(sums.after[0, :, t], [40, 100])
        np.testing.assert_allclose(sums.until_next[0, :, t], [100, 320])
        np.testing.assert_array_equal(sums.jump[0, :, t], [1, 2])
        np.testing.assert_allclose(sums.arrival[0, :, t], [3 / 7, 9 / 7])


def test_an_arrival_on_a_boundary_belongs_to_the_week_it_begins() -> None:
    """A delivery on day 7 comes during that day, so the first boundary after it is day 14."""
    sums = path_sums(*steady([10.0], [7]), 10)
    assert (sums.jump[0, 0, 0], sums.before[0, 0, 0], sums.after[0, 0, 0]) == (2, 70.0, 70.0)


def test_beyond_their_end_the_paths_begin_again() -> None:
    """An order of the last week is followed into the days of 52 weeks before."""
    demand = np.zeros((1, 1, 364))
    demand[0, 0, :7] = 5.0
    arrival = 7 * np.arange(53)[None, None] + 10
    sums = path_sums(demand, arrival, 104)
    assert sums.before[0, 0, 51] == 15.0  # the last week burns nothing, then three days of 5 kg
    assert sums.until_next[0, 0, 50] == 15.0


def test_cases_keep_the_mean_and_the_order_of_the_draws() -> None:
    """Nine cases of ninety draws: sorted means of ten each, with the mean of all; later weeks repeat."""
    rng = np.random.default_rng(1)
    demand = np.broadcast_to(rng.uniform(5, 30, (1, 90, 1)), (1, 90, 364))
    arrival = 7 * np.arange(53) + rng.integers(2, 16, (1, 90, 1))
    sums = path_sums(demand, arrival, 104)
    found = cases(sums, 9, 104)
    assert found.week.shape == (1, 104, 9)
    np.testing.assert_allclose(found.week[0, 0], np.sort(sums.week[0, :, 0]).reshape(9, 10).mean(axis=1))
    for name in ("week", "before", "after", "arrival"):
        np.testing.assert_allclose(
            getattr(found, name).mean(axis=2)[0, 3], getattr(sums, name)[0, :, 3].mean()
        )
    assert np.all(np.diff(found.jump[0, 0]) >= 0)
    np.testing.assert_array_equal(found.before[:, 52], found.before[:, 0])
    np.testing.assert_allclose(found.least_before[0, 0], np.quantile(sums.before[0, :, 0], 0.02))


def test_the_floor_is_the_reserve_and_the_demand_until_next_weeks_order_comes() -> None:
    """Of a hundred draws two need more: at a limit of 2 % the floor covers all but two."""
    sums = path_sums(*steady(list(np.arange(1.0, 101.0)), [4] * 100), 52)
    floor = wait_floor(sums, np.array([50.0]), 0.02, 104)
    needs = 11 * np.arange(1.0, 101.0)
    assert floor.shape == (1, 104)
    assert np.mean(floor[0, 0] - needs < 50.0) <= 0.02
    assert floor[0, 0] == pytest.approx(50 + 11 * 99)


def test_what_is_known_counts_the_reading_error_on_the_safe_side() -> None:
    """The floor rises with doubt of the level, and the highest eve of a delivery rises too."""
    draws = 1000
    rng = np.random.default_rng(2)
    until = rng.uniform(100, 200, (1, draws))
    stage = dp.Stage(until / 2, until / 4, np.ones((1, draws), dtype=np.int64), np.ones((1, draws)))
    doubt = 80 * rng.standard_normal((1, draws))
    sure = outlook(until, stage, until, 0 * doubt, np.array([50.0]), 0.02)
    doubtful = outlook(until, stage, until, doubt, np.array([50.0]), 0.02)
    assert sure.floor_kg[0] == pytest.approx(50 + np.quantile(until, 0.98), abs=1)
    assert sure.eve_kg[0] == pytest.approx(-np.quantile(until / 2, 0.02), abs=1)
    assert doubtful.floor_kg[0] > sure.floor_kg[0] + 80
    assert doubtful.eve_kg[0] > sure.eve_kg[0] + 80
    seen = doubtful.floor_kg[0]
    assert np.mean(seen + doubt - until < 50.0) <= 0.02

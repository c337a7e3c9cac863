"""Past winters played again for single sites: nothing peeks, the risk is kept, the optimum costs least."""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache

import numpy as np
import pytest

from fuelplan.dispatch.replay.summary import mean_over_winters, ratio
from fuelplan.ordering import fill_weeks
from fuelplan.ordering.stages import YEAR_WEEKS
from tests.ordering_sites import MondayToFriday, random_houses, random_past, some_houses
from tests.site_replay.past import (
    SEASON_DAYS,
    Houses,
    Past,
    TooFewWinters,
    held_out,
    season_first_day,
)
from tests.site_replay.sites import OneWinter, Played, draw_truth, replay_sites
from tests.site_replay.summary import best_simple, difference, summarise
from tests.site_replay.winter import ForecastErrors, fit, outlook_of_week

HOUSES, AREA = random_houses(20, seed=2)
PAST = random_past(6, AREA, seed=2)
LIMIT = HOUSES.risk_limit


@lru_cache
def played() -> dict[tuple[str, int], Played]:
    """Twenty houses over six winters, without and with forecasts."""
    found = replay_sites(
        PAST,
        HOUSES,
        MondayToFriday(),
        seed=4,
        per_winter=12,
        forecasts=(ForecastErrors(0), ForecastErrors(10)),
    )
    return {(p.name, p.forecast_days): p for p in found}


@pytest.mark.parametrize("days", [0, 10])
def test_the_risk_of_an_order_is_within_its_promise(days: int) -> None:
    """At most one order in fifty falls below the reserve before it comes, and nobody runs empty."""
    summary = summarise(played()["optimum", days])
    assert summary.late_per_order.mean <= LIMIT
    assert summary.empties_per_year.mean <= 0.01
    assert summary.orders_per_year > 0.7


@pytest.mark.parametrize("days", [0, 10])
def test_the_optimum_costs_no_more_than_the_best_simple_rule(days: int) -> None:
    """Mean yearly cost over all houses and winters, against the cheapest simple rule."""
    line = [p for (_, d), p in played().items() if d == days]
    best = best_simple(line)
    assert difference(played()["optimum", days], best).by_winter.mean <= 0
    assert len(line) == 6 and best.name != "optimum"


def test_nothing_is_lost_over_the_years() -> None:
    """What was delivered is what was burned and the change of stock, which no store can exceed."""
    for p in played().values():
        change = p.delivered_kg.sum(axis=1) - p.burned_kg.sum(axis=1)
        assert np.all(np.abs(change) <= HOUSES.sites.capacity_kg + 1e-6)
        assert p.delivered_kg.sum() == pytest.approx(p.burned_kg.sum(), rel=0.15)


def test_all_ways_of_deciding_meet_the_same_demand() -> None:
    """Burned and unmet add up to the same in each."""
    demands = [p.burned_kg + p.unmet_kg for p in played().values()]
    for other in demands[1:]:
        np.testing.assert_allclose(other, demands[0], rtol=1e-9)


def test_no_day_of_the_held_out_winter_is_in_its_draws() -> None:
    """With the held-out season marked by an impossible temperature, no draw of it shows the mark."""
    for season, (_, start, length) in enumerate(PAST.seasons()):
        marked = PAST.mean_c.copy()
        marked[:, start : start + length] = 99.0
        draws = held_out(replace(PAST, mean_c=marked), HOUSES, season, 12, np.random.default_rng(1))
        assert draws.mean_c.shape == (20, 5 * 12, 7 + SEASON_DAYS)
        assert draws.mean_c.max() < 60


def test_no_policy_sees_what_is_still_to_come() -> None:
    """Weather changed from February of the first winter on leaves every order before it as it was."""
    few, past = _few(), _short(3)
    _, start, length = past.seasons()[0]
    changed = past.mean_c.copy()
    first_changed = start + 31 * 7 + ForecastErrors(10).days
    changed[:, first_changed : start + length] -= 15.0
    before, after = (
        replay_sites(
            Past(PAST.first_day, mean_c),
            few,
            MondayToFriday(),
            seed=4,
            per_winter=6,
            forecasts=(ForecastErrors(0), ForecastErrors(10)),
        )
        for mean_c in (past.mean_c, changed)
    )
    for one, other in zip(before, after, strict=True):
        np.testing.assert_array_equal(one.ordered_kg[:, 0, :32], other.ordered_kg[:, 0, :32])
        assert np.any(one.ordered_kg[:, 0, :32] > 0)
    assert any(np.any(a.ordered_kg[:, 0] != b.ordered_kg[:, 0]) for a, b in zip(before, after, strict=True))


def _short(seasons: int) -> Past:
    """The first seasons of the first four houses' weather."""
    return Past(PAST.first_day, PAST.mean_c[:4, : seasons * 365 + 60])


def _few() -> Houses:
    """The first four houses."""
    return some_houses(HOUSES, slice(0, 4))


def test_the_same_seed_plays_the_same() -> None:
    """Two replays with one seed agree to the last digit; another seed draws another truth."""
    few, past = _few(), _short(3)
    one, two = (replay_sites(past, few, MondayToFriday(), seed=9, per_winter=4)[0] for _ in range(2))
    np.testing.assert_array_equal(one.cost, two.cost)
    assert not np.array_equal(draw_truth(few, 3, 9).scale, draw_truth(few, 3, 10).scale)


def test_a_record_of_two_winters_is_refused() -> None:
    """Holding one of two winters out leaves one, and that is no range."""
    short = Past(PAST.first_day, PAST.mean_c[:, : 2 * 365 + 60])
    assert len(short.seasons()) == 2
    with pytest.raises(TooFewWinters, match="three whole seasons"):
        replay_sites(short, HOUSES, MondayToFriday(), seed=1)


def test_a_forecast_leads_the_first_days_and_its_doubt_is_kept() -> None:
    """The coming week follows a forecast with the spread of its errors, else the past winters."""
    few, past = _few(), _short(3)
    year, start, _ = past.seasons()[0]
    first_day, calendar, week = season_first_day(year), MondayToFriday(), 26
    draws = held_out(past, few, 0, 200, np.random.default_rng(1))
    fitted = fit(few, draws, first_day, calendar)
    at = start + 7 * week
    before, coming = past.mean_c[:, at - 7 : at].mean(axis=1), past.mean_c[:, at : at + 10]
    errors = ForecastErrors(10).draw(draws.lead_u.shape, np.random.default_rng(2))
    places = (few, draws, fitted, first_day, calendar, week, before)
    free = outlook_of_week(*places).week_kg
    led = outlook_of_week(*places, coming, errors).week_kg
    exact = outlook_of_week(*places, coming, 0 * errors).week_kg
    np.testing.assert_allclose(exact, few.demand_kg(coming[:, :7]).sum(axis=1)[:, None] * draws.scale)
    np.testing.assert_allclose(led.mean(axis=1), exact.mean(axis=1), rtol=0.03)
    assert np.all(exact.std(axis=1) < led.std(axis=1))
    assert np.all(led.std(axis=1) < free.std(axis=1))


def test_replayed_forecasts_are_of_the_days_to_come() -> None:
    """With perfect forecasts what houses expect of the coming week is what then happens."""
    few, past = _few(), _short(3)
    few = replace(few, rel_sd=0 * few.rel_sd)
    sure = ForecastErrors(10, first_sd_c=0.0, step_sd_c=0.0)
    winter = OneWinter(past, few, MondayToFriday(), draw_truth(few, 3, 1), 0, 4, 1)
    for week, known in enumerate(winter.outlooks(sure)):
        true_kg = winter.season.demand_kg[:, 7 * week : 7 * week + 7].sum(axis=1)
        np.testing.assert_allclose(known.week_kg, np.broadcast_to(true_kg[:, None], known.week_kg.shape))


def test_one_house_alone_is_replayed_and_gaps_are_refused() -> None:
    """A single site on its own record has all six ways of deciding; missing days are refused."""
    one = some_houses(HOUSES, slice(0, 1))
    found = replay_sites(
        Past(PAST.first_day, _short(3).mean_c[:1]), one, MondayToFriday(), seed=1, per_winter=4
    )
    assert [p.cost.shape for p in found] == [(1, 3)] * 6
    holes = _short(3).mean_c.copy()
    holes[0, 100:103] = np.nan
    with pytest.raises(ValueError, match="3 days have no temperature"):
        Past(PAST.first_day, holes)


def test_june_has_two_weeks_or_three() -> None:
    """The weeks that begin from 1 to 15 June of a season from July on."""
    for year in range(2001, 2010):
        assert len(fill_weeks(season_first_day(year), YEAR_WEEKS)) in (2, 3)


def test_intervals_are_clustered_by_winter() -> None:
    """By hand: events 0 2 1 of 10 cases each; and the same events spread evenly give a narrower interval."""
    found = ratio(np.array([0.0, 2.0, 1.0]), np.array([10.0, 10.0, 10.0]))
    # rate 0.1; residuals −1 1 0; √(3/2·2)/30 = 0.057735; t(2) = 4.302653
    assert found.mean == pytest.approx(0.1)
    assert found.high == pytest.approx(0.1 + 4.302653 * 0.0577350, rel=1e-6)
    assert found.low == 0.0
    even = ratio(np.array([1.0, 1.0, 1.0]), np.array([10.0, 10.0, 10.0]))
    assert even.high < found.high
    none = ratio(np.zeros(20), np.full(20, 300.0))
    assert none.high == pytest.approx(0.1391, abs=1e-4)
    mean = mean_over_winters(np.array([1.0, 2.0, 3.0]))
    assert (mean.mean, mean.high) == (2.0, pytest.approx(2 + 4.302653 / np.sqrt(3), rel=1e-6))


def test_forecast_errors_grow_and_hang_together() -> None:
    """The drawn errors have the spread asked for and the correlation from one day to the next."""
    errors = ForecastErrors(10, first_sd_c=1.0, step_sd_c=0.3, memory=0.7).draw(
        (40_000,), np.random.default_rng(1)
    )
    np.testing.assert_allclose(errors.std(axis=0), 1 + 0.3 * np.arange(10), rtol=0.02)
    assert np.corrcoef(errors[:, 3], errors[:, 4])[0, 1] == pytest.approx(0.7, abs=0.02)

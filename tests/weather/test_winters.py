"""Many possible winters: real runs first, honest counts, forecasts that fade, and a generator with the
right slow spread."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fuelplan.weather import (
    Forecast,
    Origin,
    Place,
    Source,
    TooLittleWeather,
    Trend,
    possible_winters,
    usual_year,
)
from fuelplan.weather.blending import blend, height_correction_c, inverse_distance_weights
from fuelplan.weather.generator import WINDOWS, fit_generator, fit_shares, model_variances, sum_variances
from fuelplan.weather.outlook import forecast_error_c, forecast_weight
from fuelplan.weather.seasons import decimal_year, fit_cycle, rolling_sums, shrunk_slope
from fuelplan.weather.sources import MonthlyRequest, load
from tests.weather_truths import moving_sums_weather, record

TWENTY = moving_sums_weather(20.3, np.random.default_rng(11))
FOUR = TWENTY.until(date(2003, 12, 31))
FIRST = date(2019, 11, 10)


def test_the_first_rows_are_the_real_winters_themselves() -> None:
    """Without a trend, row i is the run of days of its year, digit for digit but for the leap day's shift
    of the usual day."""
    winters = possible_winters(TWENTY, FIRST, 200, seed=1, trend=None)
    assert winters.winters == 19 and list(winters.year[:19]) == list(range(2000, 2019))
    for row, year in enumerate(winters.year[:19]):
        start = TWENTY.index_of(date(int(year), 11, 10))
        assert np.abs(winters.mean_c[row] - TWENTY.mean_c[start : start + 200]).max() < 0.35
    assert len(winters.year) == 2 * (19 * 5)
    assert (winters.year[95:] == 0).all() and (winters.year[:95] > 0).all()


def test_variants_shift_anomalies_and_do_not_count() -> None:
    """A record that is its usual year exactly gives variants without any shift in temperature; `winters`
    stays the years."""
    dates = np.datetime64("2000-01-01") + np.arange(365 * 14)
    still = record(9.0 - 10.0 * np.cos(2 * np.pi * (decimal_year(dates) - 0.05)), date(2000, 1, 1))
    winters = possible_winters(still, date(2013, 1, 1), 120, seed=1, method="real", trend=None)
    assert len(winters.year) == 13 + 4 * 13 - 1 * 2  # the first year has no days before its first
    assert winters.winters == 13
    assert np.ptp(winters.mean_c, axis=0).max() < 0.05  # shifted temperatures would differ by 2 K


def test_same_seed_same_paths_and_shared_by_an_area() -> None:
    """The same record, day and seed give the same numbers; another seed does not; a longer path begins the
    same way."""
    a, b = (possible_winters(FOUR, date(2004, 1, 1), 90, seed=5) for _ in range(2))
    assert np.array_equal(a.mean_c, b.mean_c)
    assert not np.array_equal(a.mean_c, possible_winters(FOUR, date(2004, 1, 1), 90, seed=6).mean_c)


def test_no_path_looks_into_the_future() -> None:
    """Days from the first day on are not looked at: spoiling them changes nothing."""
    spoiled = TWENTY.mean_c.copy()
    spoiled[TWENTY.index_of(FIRST) :] = 40.0
    a = possible_winters(TWENTY, FIRST, 150, seed=1)
    b = possible_winters(record(spoiled, TWENTY.first_day), FIRST, 150, seed=1)
    assert np.array_equal(a.mean_c, b.mean_c)


def test_hindsight_never_uses_the_days_of_the_path() -> None:
    """With hindsight later years count too, but the days to be forecast are left out."""
    day = date(2010, 11, 1)
    spoiled = TWENTY.mean_c.copy()
    spoiled[TWENTY.index_of(day) : TWENTY.index_of(day) + 100] = 40.0
    a = possible_winters(TWENTY, day, 100, seed=1, hindsight=True)
    b = possible_winters(record(spoiled, TWENTY.first_day), day, 100, seed=1, hindsight=True)
    assert np.array_equal(a.mean_c, b.mean_c)
    assert 2010 not in a.year and {2009, 2011} <= set(a.year.tolist())


def test_leap_day_starts_and_leap_days_inside() -> None:
    """A path from 29 February starts on 28 February in other years, and each path has every day."""
    winters = possible_winters(TWENTY, date(2020, 2, 29), 550, seed=1)
    assert winters.mean_c.shape[1] == 550 and np.isfinite(winters.mean_c).all()
    assert list(winters.year[:19]) == list(range(2000, 2019))  # 2019's run would end after the record
    assert winters.winters == 19


def test_a_year_with_a_gap_is_no_winter_and_a_filled_one_no_real_one() -> None:
    """A run with an unknown day is not used; one that is mostly usual days does not count as a winter."""
    mean, origin = TWENTY.mean_c.copy(), TWENTY.origin.copy()
    mean[TWENTY.index_of(date(2005, 12, 24))] = np.nan
    a = TWENTY.index_of(date(2008, 11, 10))
    origin[a : a + 60] = Origin.USUAL
    winters = possible_winters(replace(TWENTY, mean_c=mean, origin=origin), FIRST, 200, seed=1)
    assert winters.winters == 17 and not {2005, 2008} & set(winters.year[:17].tolist())


def test_a_year_that_ends_early_goes_on_with_another() -> None:
    """Few years and a long horizon: the last year, 6 K warmer than the others, goes on with one of them,
    and the step of
    6 K fades as exp(−days/3); the note says so."""
    dates = np.datetime64("2000-01-01") + np.arange(365 * 3 + 366)
    still = 9.0 - 10.0 * np.cos(2 * np.pi * (decimal_year(dates) - 0.05))
    still[365 * 2 + 366 :] += 6.0  # 2003
    weather = record(still, date(2000, 1, 1))
    winters = possible_winters(
        weather, date(2004, 1, 10), 550, seed=5, trend=None
    )  # goes on with 2000 or 2001
    assert winters.winters == 4 and "1 of 4 years end" in " ".join(map(str, winters.notes))
    seam = (date(2003, 12, 31) - date(2003, 1, 10)).days
    above = winters.mean_c[3] - winters.mean_c[0]
    assert above[: seam + 1] == pytest.approx(6.0, abs=0.1)
    later = np.arange(1, 550 - seam)
    assert np.abs(above[seam + 1 :][:10] - 6.0 * np.exp(-later / 3.0)[:10]).max() < 0.1


def test_full_runs_are_preferred() -> None:
    """With enough full runs, no path is pieced together."""
    winters = possible_winters(TWENTY, date(2020, 1, 10), 550, seed=3)
    assert "go on with another year" not in " ".join(map(str, winters.notes))
    assert winters.winters == 19


def test_paths_as_many_as_wanted() -> None:
    """`paths` gives that many, real winters first; a handful are all real."""
    assert possible_winters(TWENTY, FIRST, 30, seed=1, paths=1000).mean_c.shape == (1000, 30)
    few = possible_winters(TWENTY, FIRST, 30, seed=1, paths=7)
    assert few.winters == 7 and (few.year > 0).all()
    assert possible_winters(FOUR, date(2004, 1, 1), 30, seed=1, paths=50).mean_c.shape == (50, 30)


def test_too_little_weather_is_refused() -> None:
    """Half a year of weather makes no winters, and zero days are refused."""
    with pytest.raises(TooLittleWeather, match="twelve monthly means"):
        possible_winters(TWENTY.until(date(2000, 6, 30)), date(2000, 7, 1), 30, seed=1)
    with pytest.raises(ValueError, match="at least one of each"):
        possible_winters(TWENTY, FIRST, 0, seed=1)


def test_warming_moves_past_years_to_the_present() -> None:
    """With a slope of 1 K per decade known for sure, a winter 19 years back is raised by 1.9 K and one year
    back by 0.1."""
    sure = Trend(1.0, 1e-6)
    plain = possible_winters(TWENTY, FIRST, 100, seed=1, trend=None, method="real")
    moved = possible_winters(TWENTY, FIRST, 100, seed=1, trend=sure, method="real")
    # The usual year fitted beside the trend absorbs a hair of it, hence 0.06 K.
    assert np.mean(moved.mean_c[0] - plain.mean_c[0]) == pytest.approx(1.9, abs=0.06)
    assert np.mean(moved.mean_c[18] - plain.mean_c[18]) == pytest.approx(0.1, abs=0.06)
    assert "1.00 K per decade" in str(moved.notes[0])


def test_slope_of_a_short_record_stays_near_the_regional_figure() -> None:
    """Four years with a steep line of their own hardly move the figure; eighty years of it do."""
    trend = Trend(0.3, 0.15)
    rng = np.random.default_rng(3)

    def slope(years: int) -> float:
        at = 2000 + np.arange(years * 365) / 365.0
        return 10 * shrunk_slope(at, 0.15 * (at - 2000) + rng.normal(0, 2, len(at)), trend)

    assert slope(4) == pytest.approx(0.3, abs=0.1)
    assert slope(80) == pytest.approx(1.5, abs=0.1)
    assert slope(2) == 0.3  # two years show no slope


def forecast(shift: float, days: int = 10, issued: date = FIRST - timedelta(days=1)) -> Forecast:
    """A forecast that lies off the usual days by a constant."""
    dates = np.datetime64(issued + timedelta(days=1), "D") + np.arange(days)
    return Forecast(issued, fit_cycle(TWENTY.until(issued)).mean_c(dates) + shift, Source("test"))


def test_a_forecast_leads_the_first_days_and_fades() -> None:
    """Day by day the paths lie nearer to a cold forecast the sooner it is, spread as the error model says,
    then free."""
    plain = possible_winters(TWENTY, FIRST, 60, seed=1, trend=None)
    led = possible_winters(TWENTY, FIRST, 60, seed=1, trend=None, forecast=forecast(-6.0))
    pull = (plain.mean_c - led.mean_c).mean(axis=0)
    assert led.forecast_days == 10
    assert pull[0] > 5.0 and (np.diff(pull[:10]) < 0.3).all() and pull[9] < pull[0] / 1.5
    assert abs(pull[40:]).max() < 0.05
    spread, free = led.mean_c.std(axis=0), plain.mean_c.std(axis=0)
    sd = fit_cycle(TWENTY.until(FIRST)).sd_c(np.datetime64(FIRST, "D") + np.arange(10))
    expected = np.sqrt(1 - forecast_weight(np.arange(1.0, 11.0), sd) ** 2)
    assert np.abs(spread[:10] / free[:10] - expected).max() < 0.08
    assert np.abs(spread[30:] - free[30:]).max() < 0.01


def test_an_older_forecast_counts_by_its_age() -> None:
    """A forecast of three days ago is used from its fourth day on, with that day's error; one long past is
    not used."""
    old = possible_winters(
        TWENTY, FIRST, 40, seed=1, forecast=forecast(-6.0, issued=FIRST - timedelta(days=4))
    )
    new = possible_winters(TWENTY, FIRST, 40, seed=1, forecast=forecast(-6.0))
    assert old.forecast_days == 7
    assert old.mean_c[:, 0].std() > new.mean_c[:, 0].std()
    past = possible_winters(
        TWENTY, FIRST, 40, seed=1, forecast=forecast(-6.0, issued=FIRST - timedelta(days=40))
    )
    assert past.forecast_days == 0
    assert np.array_equal(past.mean_c, possible_winters(TWENTY, FIRST, 40, seed=1).mean_c)


def test_forecast_error_model() -> None:
    """The error is 1.2 K at one day and grows by 0.35 K a day (values from memory); beyond its use the
    weight is 0."""
    assert np.allclose(forecast_error_c(np.array([1, 2, 7])), [1.2, 1.55, 3.3])
    weights = forecast_weight(np.arange(1.0, 25.0), np.full(24, 4.0))
    assert weights[0] == pytest.approx(1 - 1.44 / 32) and (np.diff(weights) <= 0).all() and weights[-1] == 0


def test_generator_keeps_the_variance_of_slow_sums() -> None:
    """Fitted to 40 years made in another way, its 30- and 90-day sums have their variance within sampling
    error (12 %),
    where a plain first-order autoregression on days loses a third of the variance of 90-day sums."""
    truth = moving_sums_weather(40, np.random.default_rng(21))
    cycle = fit_cycle(truth)
    dates = np.datetime64("2030-01-01") + np.arange(365 * 3)
    made = replace(fit_generator(truth, cycle), years=np.inf).draw(dates, 300, np.random.default_rng(1))

    def variances(paths: np.ndarray, days: np.ndarray) -> np.ndarray:
        anomaly = (paths - cycle.mean_c(days)) / cycle.sd_c(days)
        return np.mean([sum_variances(path) for path in np.atleast_2d(anomaly)], axis=0)

    seen = variances(truth.mean_c, truth.dates)
    ratio = variances(made, dates) / seen
    assert np.abs(ratio[[list(WINDOWS).index(k) for k in (30, 90)]] - 1.0).max() < 0.12, ratio
    anomaly = (truth.mean_c - cycle.mean_c(truth.dates)) / cycle.sd_c(truth.dates)
    rho = float(np.corrcoef(anomaly[:-1], anomaly[1:])[0, 1])
    h = np.arange(1, 90)
    plain = seen[0] * (90 + 2 * ((90 - h) * rho**h).sum())
    assert plain / seen[-1] < 0.75


def test_shares_are_recovered_from_their_own_variances() -> None:
    """The variances of a known mixture give back its shares, and none is ever negative."""
    shares = np.array([0.4, 0.3, 0.0, 0.3])
    assert np.allclose(fit_shares(model_variances(WINDOWS) @ shares, WINDOWS), shares, atol=1e-8)
    assert (fit_shares(WINDOWS.astype(float), WINDOWS) >= 0).all()


def test_few_years_are_led_by_the_real_ones() -> None:
    """Four years: the real runs first, the generator's after them, and the count says how few there are."""
    winters = possible_winters(FOUR, date(2004, 1, 1), 120, seed=1)
    assert winters.winters == 4 and (winters.year[:4] > 0).all() and (winters.year[4:] == 0).all()
    assert "Only 4 real winters" in " ".join(map(str, winters.notes))


def test_monthly_means_alone() -> None:
    """From twelve means the paths have these means and the spread of the rule, and no real winter is
    claimed."""
    means = (0.0, 1.0, 5.0, 9.0, 14.0, 17.0, 19.0, 18.5, 14.0, 9.0, 4.0, 1.0)
    weather = load(MonthlyRequest(means), Place()).weather
    winters = possible_winters(weather, date(2026, 1, 1), 365, seed=1, paths=600)
    assert winters.winters == 0 and "No real winters" in str(winters.notes[0])
    assert winters.mean_c[:, :31].mean() == pytest.approx(0.0, abs=0.3)
    assert winters.mean_c[:, 181:212].mean() == pytest.approx(19.0, abs=0.3)
    assert winters.mean_c[:, :31].std(axis=0).mean() == pytest.approx(2.5 + 0.08 * 19.0, rel=0.08)


def test_usual_year_follows_the_truth() -> None:
    """The usual year follows the truth of the generator of the test within half a kelvin."""
    usual = usual_year(TWENTY)
    assert len(usual) == 366 and usual.reference_year and (usual.origin == Origin.USUAL).all()
    part = (np.arange(366) + 0.5) / 366
    truth = (
        9.0 - 9.5 * np.cos(2 * np.pi * (part - 0.05)) - 1.2 * np.cos(4 * np.pi * (part - 0.1)) + 0.02 * 10.15
    )
    assert np.sqrt(np.mean((usual.mean_c - truth) ** 2)) < 0.5
    now = usual_year(TWENTY, Trend(0.2, 1e-6))
    assert np.mean(now.mean_c - usual.mean_c) == pytest.approx(0.2, abs=0.03)


@given(
    st.lists(st.one_of(st.floats(-30, 30), st.just(float("nan"))), min_size=1, max_size=40),
    st.integers(1, 12),
)
@settings(max_examples=60, deadline=None)
def test_rolling_sums_are_plain_sums(values: list[float], length: int) -> None:
    """Each rolling sum equals the plain sum of its values, and is unknown when one of them is."""
    found = rolling_sums(np.array(values), length)
    assert len(found) == max(0, len(values) - length + 1)
    for i, value in enumerate(found):
        assert value == pytest.approx(sum(values[i : i + length]), abs=1e-9, nan_ok=True)


def test_blending_by_hand() -> None:
    """Stations at 2 and 4 km weigh 4 : 1; 200 m of height are 1.3 K; what one lacks the other gives."""
    weights = inverse_distance_weights(np.array([2.0, 4.0]))
    assert np.allclose(weights, [0.8, 0.2])
    lift = height_correction_c(np.array([500.0, 900.0]), 700.0)
    assert np.allclose(lift, [-1.3, 1.3])
    mixed = blend(np.array([[10.0, np.nan, np.nan], [5.0, 5.0, np.nan]]), weights, lift)
    assert np.allclose(mixed, [0.8 * 8.7 + 0.2 * 6.3, 6.3, np.nan], equal_nan=True)
    assert np.allclose(height_correction_c(np.array([np.nan, 900.0]), None), 0.0)


def test_an_outage_does_not_shift_the_level() -> None:
    """When the nearest station, lastingly 4 K colder, falls silent, the blend stays where it would have
    been."""
    rng = np.random.default_rng(2)
    truth = 10 + rng.normal(0, 3, 400)
    values = np.stack([truth - 4.0, truth])
    whole = blend(values, np.array([0.8, 0.2]))
    values[0, 200:] = np.nan
    assert np.abs(blend(values, np.array([0.8, 0.2])) - whole).max() < 1e-9
    assert np.abs(blend(values, np.array([0.8, 0.2]), steady=False) - whole)[200:].min() > 3.0

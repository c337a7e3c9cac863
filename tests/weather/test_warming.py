"""How fast a record warmed, and how sure that is where warm years come in rows."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import numpy as np
import pytest

from fuelplan.weather import Trend, possible_winters, record_warming
from fuelplan.weather.seasons import decimal_year, fit_cycle, yearly_means
from tests.weather_truths import moving_sums_weather, record

TWENTY = moving_sums_weather(20.3, np.random.default_rng(11))


def test_the_error_is_that_of_newey_and_west() -> None:
    """By hand: Bartlett weights 1 − l/(L + 1), the factor n/(n − 2) (Newey & West 1987, eq. 5); the slope is
    that of least squares.
    """
    found = record_warming(TWENTY)
    assert found is not None
    dates = TWENTY.dates
    usual = fit_cycle(TWENTY).mean_c(dates)
    at, means = yearly_means(decimal_year(dates), TWENTY.mean_c - usual)
    x = np.column_stack([np.ones(len(at)), at])
    bread = np.linalg.inv(x.T @ x)
    beta = bread @ x.T @ means
    scored = x * (means - x @ beta)[:, None]
    meat = scored.T @ scored
    for lag in range(1, found.lags + 1):
        across = scored[lag:].T @ scored[:-lag]
        meat += (1 - lag / (found.lags + 1)) * (across + across.T)
    n = len(at)
    error = np.sqrt((bread @ meat @ bread * n / (n - 2))[1, 1])
    assert (found.years, found.lags) == (20, 2)
    assert found.k_per_decade == pytest.approx(10 * beta[1])
    assert found.se_k_per_decade == pytest.approx(10 * error)


def test_warm_years_in_rows_make_it_less_sure_than_they_look() -> None:
    """Eighty years whose warmth wanders: the plain error is too small by far; over forty such records the
    slope lies more than two plain errors off in a third or more, and far less often beyond two robust ones.
    """
    plain = robust = 0
    for seed in range(40):
        rng = np.random.default_rng(seed)
        years, level = [], 0.0
        for _ in range(80):
            level = 0.8 * level + 0.4 * rng.standard_normal()
            years.append(np.full(365, level))
        found = record_warming(
            record(np.concatenate(years) + 10 + rng.standard_normal(80 * 365), date(1940, 1, 1))
        )
        assert found is not None
        plain += abs(found.k_per_decade) > 2 * found.plain_se_k_per_decade
        robust += abs(found.k_per_decade) > 2 * found.se_k_per_decade
    assert plain >= 13 and robust <= 0.8 * plain


def test_what_is_used_is_what_past_winters_are_corrected_for() -> None:
    """The note beside the winters and the warming name one figure."""
    found = record_warming(TWENTY)
    assert found is not None
    winters = possible_winters(TWENTY, date(2020, 1, 1), 30, seed=1, trend=Trend())
    until = record_warming(TWENTY.until(date(2019, 12, 31)))
    assert until is not None
    assert f"a warming of {until.used_k_per_decade:.2f} K per decade" in str(winters.notes[0])


def test_short_records_and_reference_years_tell_nothing_by_themselves() -> None:
    """Seven whole years, half a year, and a year put together of typical months have no warming."""
    assert record_warming(TWENTY.until(date(2007, 6, 30))) is None
    assert record_warming(TWENTY.until(date(2009, 6, 30))) is not None
    assert record_warming(TWENTY.until(date(2000, 6, 30))) is None
    assert record_warming(replace(TWENTY, reference_year=True)) is None

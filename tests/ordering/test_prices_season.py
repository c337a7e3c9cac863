"""The season of prices and the factor of the drop size."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import numpy as np
import pytest

from fuelplan.messages import render
from fuelplan.ordering.prices import (
    HistoryError,
    HistoryTooShort,
    PastPrice,
    default_season,
    drop_size_factor,
    history_from_csv,
    robust_season,
    season_from_history,
)

PUBLISHED = np.array([102.6, 102.8, 102.9, 101.1, 97.1, 97.4, 97.0, 97.6, 98.8, 100.0, 100.8, 101.8]) / 100


def history(months: int, first: int = 2015 * 12, without: tuple[int, ...] = ()) -> list[PastPrice]:
    """A price that follows the published season on a steady yearly rise of 3 %."""
    rows = []
    for t in range(months):
        if t not in without:
            year, month = divmod(first + t, 12)
            rows.append(PastPrice(date(year, month + 1, 15), 0.25 * 1.03 ** (t / 12) * PUBLISHED[month]))
    return rows


def test_default_season_is_the_published_one() -> None:
    """Swiss monthly pellet prices 2008–2019 against their centred 12-month mean (computed), to the digit."""
    season = default_season()
    np.testing.assert_allclose(np.round(season.factor * 100, 1), PUBLISHED * 100, atol=0.1001)
    assert season.factor.mean() == pytest.approx(1.0)
    assert season.cheapest_month() == 7


def test_a_history_gives_back_the_season_it_was_made_of() -> None:
    """Six years of prices with a steady trend give the season back within two parts in a thousand."""
    season = season_from_history(history(72))
    np.testing.assert_allclose(season.factor, PUBLISHED / PUBLISHED.mean(), atol=0.002)
    assert season.years == 5
    assert render(season.how) == "own price history, 15 January 2015 to 15 December 2020"


def test_short_gaps_are_filled_and_counted() -> None:
    """Two missing months in a row are bridged, counted, and hardly move the season."""
    season = season_from_history(history(72, without=(20, 30, 31)))
    assert season.filled_months == 3
    np.testing.assert_allclose(season.factor, PUBLISHED / PUBLISHED.mean(), atol=0.004)


def test_no_mean_is_taken_across_a_long_gap() -> None:
    """Half a year without prices takes the ratios around it out, and what is left may be too little."""
    season = season_from_history(history(96, without=tuple(range(40, 46))))
    assert season.filled_months == 0
    assert season.years < 7
    with pytest.raises(HistoryTooShort, match="without long gaps"):
        season_from_history(history(48, without=tuple(range(20, 26))))


def test_a_short_history_says_what_is_missing() -> None:
    """Thirty months are not enough; the sentence counts them and names the calendar months."""
    with pytest.raises(HistoryTooShort, match=r"holds 30 months.*for the months 1, 2, 3, 4, 5, 6"):
        season_from_history(history(30))
    with pytest.raises(HistoryTooShort, match="empty"):
        season_from_history([])
    assert season_from_history(history(36)).years == 2


def test_several_prices_in_a_month_are_averaged() -> None:
    """Two prices a month around the same mean give the same season."""
    twice = [
        PastPrice(p.day.replace(day=d), p.per_kg * f) for p in history(48) for d, f in ((3, 0.98), (27, 1.02))
    ]
    np.testing.assert_allclose(season_from_history(twice).factor, season_from_history(history(48)).factor)


def test_season_on_days_is_smooth_and_hits_the_month_in_its_middle() -> None:
    """The middle of a month has its factor, and from day to day nothing jumps."""
    season = default_season()
    assert season.of("2025-07-16") == pytest.approx(season.factor[6], abs=2e-4)
    year = season.of(np.arange("2024-01-01", "2026-01-01", dtype="datetime64[D]"))
    assert np.abs(np.diff(year)).max() < 0.0015


def test_csv_is_read_or_all_faults_are_listed() -> None:
    """Good rows are read; every faulty line is named at once with what to write."""
    good = history_from_csv("# mine\ndate,price_per_t\n2024-05-14,289.50\n\n2024-07-01,281\n")
    assert good == [PastPrice(date(2024, 5, 14), 0.2895), PastPrice(date(2024, 7, 1), 0.281)]
    bad = 'date,price_per_t\n14.5.2024,289.5\n2024-06-01,"289,50"\n2024-07-01,0.28\n2024-08-01\n'
    with pytest.raises(HistoryError) as caught:
        history_from_csv(bad)
    assert [line for line, _ in caught.value.faults] == [2, 3, 4, 5]
    assert "write it as 2024-05-14" in str(caught.value)
    with pytest.raises(HistoryError, match="first line"):
        history_from_csv("day;price\n")


def test_drop_size_factor_hits_the_published_points() -> None:
    """3 t 1.069, 5 t 1.028 against 8 t, and 26 t 0.951 of 6 t (computed from published prices)."""
    np.testing.assert_allclose(drop_size_factor([3000, 5000, 8000]), [1.069, 1.028, 1.0])
    assert drop_size_factor(26000) / drop_size_factor(6000) == pytest.approx(0.951)
    falling = drop_size_factor(np.linspace(1000, 30000, 200))
    assert np.all(np.diff(falling) <= 1e-12)
    assert drop_size_factor(30000) == drop_size_factor(26000)
    with pytest.raises(ValueError, match="above zero"):
        drop_size_factor(0)


def noisy(seed: int, months: int = 96, noise: float = 0.01) -> list[PastPrice]:
    """The published season with independent errors in each month."""
    rng = np.random.default_rng(seed)
    return [
        PastPrice(p.day, p.per_kg * float(np.exp(noise * rng.standard_normal()))) for p in history(months)
    ]


def test_the_factors_are_those_of_the_classical_decomposition() -> None:
    """Without gaps they are those of statsmodels' `seasonal_decompose`, multiplicative, to the
    last digits."""
    from statsmodels.tsa.seasonal import seasonal_decompose

    for months in (36, 60, 95):
        prices = noisy(5, months)
        season = season_from_history(prices)
        found = seasonal_decompose([p.per_kg for p in prices], model="multiplicative", period=12)
        first = prices[0].day.month - 1
        theirs = np.roll(found.seasonal[:12], first)
        np.testing.assert_allclose(season.factor, theirs, rtol=1e-12)


def test_the_range_holds_the_true_month_eight_times_in_ten() -> None:
    """Of 60 histories with known errors, 74 to 86 of 100 true months lie in their ranges, by either way; the
    range is Student's, with a year less than there are.
    """
    from scipy.stats import t

    truth = PUBLISHED / PUBLISHED.mean()
    for way in (season_from_history, robust_season):
        inside = []
        for seed in range(60):
            season = way(noisy(seed))
            assert season is not None
            inside.append(np.abs(season.factor - truth) < season.give_or_take())
        assert 0.74 <= np.mean(inside) <= 0.86, way
    for years in (2, 5, 8, 11, 14, 40):
        wide = replace(default_season(), sd=np.ones(12), years=float(years)).give_or_take()
        np.testing.assert_allclose(wide, t.ppf(0.9, years - 1), rtol=2e-3)


def test_a_crisis_hardly_moves_the_robust_season() -> None:
    """Three summer months at almost twice the price: the plain season is off by more than 5 %, the robust one
    by less than 1 %; in a calm history the two agree.
    """
    calm = noisy(3, noise=0.005)
    shaken = [
        PastPrice(p.day, p.per_kg * (1.9 if p.day.year == 2018 and 6 < p.day.month < 10 else 1.0))
        for p in calm
    ]
    truth = PUBLISHED / PUBLISHED.mean()
    plain, robust, quiet = season_from_history(shaken), robust_season(shaken), robust_season(calm)
    assert robust is not None and quiet is not None
    assert np.abs(plain.factor - truth).max() > 0.05
    assert np.abs(robust.factor - truth).max() < 0.01
    np.testing.assert_allclose(quiet.factor, season_from_history(calm).factor, atol=0.008)
    assert robust.factor.mean() == pytest.approx(1.0)
    assert robust.cheapest_month() == 7 and robust.dearest_month() in (1, 2, 3)


def test_a_robust_season_needs_three_years_in_a_row() -> None:
    """Gaps of two months are bridged; a longer one ends the row, and the longest row counts."""
    assert robust_season(history(35)) is None
    assert robust_season(history(36)) is not None
    bridged = robust_season(history(40, without=(20, 21)))
    assert bridged is not None and bridged.filled_months == 2
    assert robust_season(history(70, without=(33, 34, 35))) is None
    later = robust_season(history(96, without=(10, 11, 12, 13)))
    assert later is not None and later.years == pytest.approx(82 / 12)
    np.testing.assert_allclose(later.factor, PUBLISHED / PUBLISHED.mean(), atol=0.002)

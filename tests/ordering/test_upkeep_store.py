"""Cleaning the pellet store at its lowest."""

from __future__ import annotations

from datetime import date, timedelta

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fuelplan.messages import render
from fuelplan.ordering.upkeep import UpkeepError, store_cleaning

DATES = np.arange("2026-01-16", "2027-01-16", dtype="datetime64[D]")


def at(day: str) -> int:
    """Index of a day."""
    return int((np.datetime64(day) - DATES[0]).astype(int))


def saw(fill: str = "2026-06-10") -> tuple[np.ndarray, np.ndarray]:
    """A store that falls from 3 t, is filled once and falls again; two winters a little apart."""
    level = np.vstack([3000 - 18.0 * np.arange(len(DATES)), 3000 - 19.0 * np.arange(len(DATES))])
    fills = np.zeros(level.shape, dtype=bool)
    fills[:, at(fill)] = True
    level[:, at(fill) :] += 3500
    return level, fills


def test_the_lowest_stock_before_it_is_due() -> None:
    """Due in August after two years: proposed on the last day before the June fill, when the store is at
    its lowest.
    """
    level, fills = saw()
    found = store_cleaning(DATES, level, fills, last_cleaned=date(2024, 8, 20))
    assert found.due == date(2026, 8, 20)
    assert found.item is not None and found.item.day == date(2026, 6, 9)
    assert found.item.latest == date(2026, 8, 20)
    assert set(found.item.caution_ids) >= {"store-entry", "co-store", "dust", "boiler-off-before-filling"}
    assert "German pellet institute" in render(found.item.text)


def test_five_deliveries_come_before_two_years() -> None:
    """With four deliveries since the last cleaning the fill ahead is the fifth, and makes it due."""
    level, fills = saw()
    past = [date(2025, 2, 1), date(2025, 5, 1), date(2025, 9, 1), date(2025, 12, 1)]
    found = store_cleaning(DATES, level, fills, last_cleaned=date(2025, 1, 1), past_fills=past)
    assert found.due == date(2026, 6, 10)
    five = store_cleaning(
        DATES, level, fills, last_cleaned=date(2024, 12, 1), past_fills=[date(2024, 12, 20), *past]
    )
    assert five.due == date(2025, 12, 1)


@settings(max_examples=60, deadline=None)
@given(st.integers(0, 10_000), st.integers(0, 800), st.integers(0, 60))
def test_never_within_four_weeks_of_a_fill(seed: int, cleaned_before: int, filled_before: int) -> None:
    """Whatever the fills, known ones are four weeks away and possible ones to all but one winter in
    twenty.
    """
    rng = np.random.default_rng(seed)
    fills = np.zeros((40, len(DATES)), dtype=bool)
    for row in fills:
        row[rng.integers(0, len(DATES), rng.integers(0, 4))] = True
    level = rng.uniform(0, 5000, fills.shape)
    past = [date(2026, 1, 15) - timedelta(days=filled_before)]
    found = store_cleaning(
        DATES, level, fills, last_cleaned=date(2026, 1, 15) - timedelta(days=cleaned_before), past_fills=past
    )
    if found.item is None:
        return
    day = int((np.datetime64(found.item.day) - DATES[0]).astype(int))
    assert (found.item.day - past[0]).days > 28
    assert fills[:, max(0, day - 28) : day + 1].any(axis=1).mean() <= 0.05


def test_not_yet_due_is_not_proposed() -> None:
    """Cleaned last month: due beyond the year ahead, so no day is proposed yet."""
    level, fills = saw()
    found = store_cleaning(DATES, level, fills, last_cleaned=date(2025, 12, 20))
    assert found.due == date(2027, 12, 20) and found.item is None


def test_overdue_and_unknown_are_due_now() -> None:
    """Overdue or never told: the lowest day of the year ahead, and the text says which it is."""
    level, fills = saw()
    overdue = store_cleaning(DATES, level, fills, last_cleaned=date(2022, 8, 20)).item
    unknown = store_cleaning(DATES, level, fills, last_cleaned=None).item
    assert overdue is not None and unknown is not None
    assert overdue.day == unknown.day == date(2026, 6, 9)
    assert "has passed" in render(overdue.text)
    assert "not known when the store was last emptied" in render(unknown.text)


def test_a_fill_just_before_it_is_due_moves_it_behind() -> None:
    """Where every day up to the due day lies within four weeks of a fill, the first lowest day after them
    is told.
    """
    level, fills = saw("2026-01-20")
    found = store_cleaning(DATES, level, fills, last_cleaned=date(2024, 2, 1), past_fills=[date(2026, 1, 10)])
    assert found.due == date(2026, 2, 1)
    assert found.item is not None and found.item.day > date(2026, 2, 17)
    assert "cannot be kept" in render(found.item.text)


def test_a_summer_day_is_taken_though_the_winter_goes_lower() -> None:
    """1.9 t before a fill of February, 2.3 t before one of June: the June day, and what is still in it."""
    level, first, second = np.full((3, len(DATES)), 4000.0), at("2026-02-10"), at("2026-06-10")
    level[:, :first] = np.linspace(2300, 1900, first)
    level[:, first:second] = np.linspace(5000, 2300, second - first)
    fills = np.zeros(level.shape, dtype=bool)
    fills[:, [at("2026-02-10"), at("2026-06-10")]] = True
    summer = np.isin(DATES.astype("datetime64[M]").astype(int) % 12 + 1, (5, 6, 7, 8, 9))
    for last in (None, date(2024, 9, 1), date(2024, 1, 1)):
        item = store_cleaning(DATES, level, fills, last_cleaned=last, off_season=summer).item
        assert item is not None and item.day == date(2026, 6, 9)
        assert "outside of the heating season: about 2.3 t will still be in it" in render(item.text)
    anywhere = store_cleaning(DATES, level, fills, last_cleaned=None).item
    assert anywhere is not None and anywhere.day == date(2026, 2, 9)
    low = np.where(level == 2300.0, 50.0, level)
    nearly = store_cleaning(DATES, low, fills, last_cleaned=None, off_season=summer).item
    assert nearly is not None and "nearly empty" in render(nearly.text)


def test_tanks_are_never_entered() -> None:
    """A tank or fabric store is cleaned from outside by a firm."""
    level, fills = saw()
    item = store_cleaning(DATES, level, fills, last_cleaned=None, entered=False).item
    assert item is not None
    assert "store-never-enter" in item.caution_ids and "store-entry" not in item.caution_ids
    assert "never entered" in render(item.text)


def test_what_does_not_belong_together_is_refused() -> None:
    """Shapes that differ, and a last cleaning ahead, are refused."""
    level, fills = saw()
    with pytest.raises(UpkeepError, match="belong together"):
        store_cleaning(DATES[:-1], level, fills, last_cleaned=None)
    with pytest.raises(UpkeepError, match="lies ahead"):
        store_cleaning(DATES, level, fills, last_cleaned=date(2026, 5, 1))

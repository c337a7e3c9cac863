"""When to empty and clean the pellet store: every two years or five deliveries, at the lowest summer stock.

Rule of the German pellet institute; never within four weeks of a fill. The stock is lowest just before a
delivery; outside of the heating season the boiler can do without it for a while. Nothing here says that a
store may be entered.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np
from numpy.typing import ArrayLike, NDArray

from fuelplan.messages import Message, Quantity, message, paragraph
from fuelplan.ordering.upkeep.item import UpkeepError, UpkeepItem, said_day

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]
Dates = NDArray[np.datetime64]

YEARS = 2
DELIVERIES = 5
OFF_SEASON = (5, 6, 7, 8, 9)  # months outside of the heating season in the north (common practice)
CLEAR_DAYS = 28  # no entry for four weeks after filling
FILL_CHANCE = 0.05  # a day is ruled out when more winters than this see a fill in the four weeks before it
OVERDUE_DAYS = 182  # overdue or never told: the lowest stock of the next half year, where no summer is known
NEARLY_EMPTY_KG = 100.0  # less than this need not be told
LOOK_BACK_DAYS = 365  # the lowest stock is sought in the year before it is due


@dataclass(frozen=True)
class CleaningDue:
    """When the store is due, and the day proposed.

    Attributes
    ----------
    due
        Two years after the last cleaning, or the fifth delivery after it, whichever is first; None where
        the last cleaning is not known or five deliveries are not reached within the dates.
    item
        The entry; None where it is not due within the dates, or no day lies four weeks clear of every fill.
    """

    due: date | None
    item: UpkeepItem | None


def store_cleaning(
    dates: Dates,
    level_kg: ArrayLike,
    fills: ArrayLike,
    *,
    last_cleaned: date | None,
    past_fills: Sequence[date] = (),
    off_season: ArrayLike | None = None,
    entered: bool = True,
    store: Message | None = None,
) -> CleaningDue:
    """Propose the day of lowest stock off season, four weeks clear of every fill, on or before the due day.

    Where no such day lies before it is due, one after it is taken; where none lies off season, any day.

    Parameters
    ----------
    dates
        Shape (days,), from tomorrow on.
    level_kg
        Stock of each day of each possible winter, shape (paths, days). [kg]
    fills
        True on days with a delivery, shape (paths, days); a day within four weeks after one in any path is
        ruled out.
    last_cleaned
        None where not known: then it counts as due.
    past_fills
        Deliveries up to today.
    off_season
        True on days outside of the heating season, shape (days,); None where the place has no seasons.
    entered
        False for tanks and fabric stores, which are never entered.
    store
        What it is called; None: just that.

    Raises
    ------
    UpkeepError
        A last cleaning that lies ahead, or shapes that do not match.

    Notes
    -----
    Every two years or five deliveries, and no entry within four weeks of a fill: German pellet institute.
    """
    level = np.atleast_2d(np.asarray(level_kg, dtype=np.float64))
    filled = np.atleast_2d(np.asarray(fills, dtype=np.bool_))
    if level.shape != filled.shape or level.shape[1] != len(dates):
        raise UpkeepError(
            f"stock {level.shape}, fills {filled.shape} and {len(dates)} dates do not belong together"
        )
    tomorrow: date = dates[0].item()
    if last_cleaned is not None and last_cleaned >= tomorrow:
        raise UpkeepError(
            message(
                "cleaning.lies_ahead",
                "last cleaned on {day} lies ahead; write a day that has passed",
                day=said_day(last_cleaned),
            )
        )
    due = _due(dates, filled, last_cleaned, past_fills)
    window = _window(dates, due, OVERDUE_DAYS if off_season is None else LOOK_BACK_DAYS)
    clear = _clear_of_fills(dates, filled, past_fills)
    usual = np.median(level, axis=0)
    later = window | _after(dates, window)
    summer = np.ones(len(dates), dtype=np.bool_) if off_season is None else np.asarray(off_season, np.bool_)
    for days in (window & clear & summer, later & clear & summer, window & clear, later & clear):
        if window.any() and days.any():
            at = int(np.argmin(np.where(days, usual, np.inf)))
            off = off_season is not None and bool(summer[at])
            lowest = _lowest(dates[at].item(), off, float(usual[at]))
            item = _item(dates[at].item(), lowest, due, last_cleaned, entered, store)
            return CleaningDue(due, item)
    return CleaningDue(due, None)


def off_season(dates: Dates, months: Iterable[int | None]) -> Bools | None:
    """Return which days lie outside of the heating season, shape (days,); None where a place has none.

    Parameters
    ----------
    months
        :data:`OFF_SEASON` as it falls at the place, 1 for January; None for a month that has no counterpart.
    """
    there = [month for month in months if month is not None]
    if not there:
        return None
    return np.isin(dates.astype("datetime64[M]").astype(np.int64) % 12 + 1, there)


def _due(dates: Dates, filled: Bools, last: date | None, past: Sequence[date]) -> date | None:
    if last is None:
        return None
    by_years = _years_later(last, YEARS)
    before = sorted(d for d in past if d > last)
    if len(before) >= DELIVERIES:
        return min(by_years, before[DELIVERIES - 1])
    # The day by which half of the possible winters have seen the fifth delivery.
    reached = np.median(np.cumsum(filled, axis=1), axis=0) >= DELIVERIES - len(before)
    if reached.any():
        fifth: date = dates[int(np.argmax(reached))].item()
        return min(by_years, fifth)
    return by_years


def _window(dates: Dates, due: date | None, overdue_days: int) -> Bools:
    """Days looked at: the year before it is due; the next days where that has passed."""
    first: date = dates[0].item()
    if due is None or due <= first:
        return np.arange(len(dates)) < overdue_days
    start = np.datetime64(due - timedelta(days=LOOK_BACK_DAYS), "D")
    inside = (dates >= start) & (dates <= np.datetime64(due, "D"))
    # Not due within the dates: a lower stock may still come, so nothing is proposed yet.
    return inside if np.datetime64(due, "D") <= dates[-1] else np.zeros(len(dates), dtype=np.bool_)


def _after(dates: Dates, window: Bools) -> Bools:
    after = np.zeros(len(dates), dtype=np.bool_)
    if window.any():
        after[int(np.flatnonzero(window)[-1]) :] = True
    return after


def _clear_of_fills(dates: Dates, filled: Bools, past: Sequence[date]) -> Bools:
    days = len(dates)
    fallen = np.concatenate([np.zeros((len(filled), 1)), np.cumsum(filled, axis=1)], axis=1)
    start = np.maximum(np.arange(days) - CLEAR_DAYS, 0)
    recent = (fallen[:, 1:] - fallen[:, start]) > 0  # filled on the day or in the four weeks before it
    clear = np.asarray(recent.mean(axis=0) <= FILL_CHANCE)
    for fill in past:
        day = np.datetime64(fill, "D")
        clear &= (dates < day) | (dates > day + np.timedelta64(CLEAR_DAYS, "D"))
    return clear


def _item(
    day: date, lowest: Message, due: date | None, last: date | None, entered: bool, store: Message | None
) -> UpkeepItem:
    rule = message(
        "cleaning.rule", "Clean it every two years or after five deliveries (German pellet institute)."
    )
    ids: tuple[str, ...]
    if entered:
        ids = ("store-entry", "co-store", "dust", "boiler-off-before-filling")
        how = message(
            "cleaning.clear_of_fills",
            "Not within four weeks of a fill: if the delivery date has moved, move this too. Read the "
            "cautions on entry first; a specialist firm is the better choice.",
        )
    else:
        ids = ("store-never-enter", "co-store", "dust")
        how = message(
            "cleaning.never_entered",
            "This kind of store is never entered: its maker or a specialist firm cleans it from outside.",
        )
    title = message("cleaning.title", "Empty and clean the store")
    if store is not None:
        title = message("cleaning.title_of", "Empty and clean the {store}", store=store)
    text = paragraph([lowest, _because(day, due, last), rule, how])
    return UpkeepItem(day, "store_cleaning", title, text, ids, due, "store-cleaning")


def _because(day: date, due: date | None, last: date | None) -> Message:
    """Return why it is to be cleaned."""
    if last is None:
        return message(
            "cleaning.last_not_known",
            "It is not known when the store was last emptied and cleaned; enter the day if it is.",
        )
    assert due is not None
    cleaned, by = said_day(last), said_day(due)
    if day <= due:
        return message(
            "cleaning.due", "It was last cleaned on {cleaned}; due by {due}.", cleaned=cleaned, due=by
        )
    return message(
        "cleaning.overdue",
        "It was last cleaned on {cleaned}; due by {due}, which cannot be kept four weeks clear of a fill or "
        "has passed.",
        cleaned=cleaned,
        due=by,
    )


def _lowest(day: date, off_season: bool, kg: float) -> Message:
    """Return when the store is at its lowest, and what to do about the fuel that is still there. [kg]"""
    around, left = said_day(day), Quantity(kg, "mass")
    if kg < NEARLY_EMPTY_KG and off_season:
        return message(
            "cleaning.nearly_empty_off_season",
            "Around {day} the store is likely at its lowest outside of the heating season, nearly empty.",
            day=around,
        )
    if kg < NEARLY_EMPTY_KG:
        return message(
            "cleaning.nearly_empty",
            "Around {day} the store is likely at its lowest, nearly empty.",
            day=around,
        )
    if off_season:
        return message(
            "cleaning.lowest_off_season",
            "Around {day} the store is likely at its lowest outside of the heating season: about {left} will "
            "still be in it, to burn first or to have taken out.",
            day=around,
            left=left,
        )
    return message(
        "cleaning.lowest",
        "Around {day} the store is likely at its lowest: about {left} will still be in it, to burn first or "
        "to have taken out.",
        day=around,
        left=left,
    )


def _years_later(day: date, years: int) -> date:
    try:
        return day.replace(year=day.year + years)
    except ValueError:  # 29 February
        return day.replace(year=day.year + years, day=28)

"""When fuel is cheap by a person's own price history, and how sure that is."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from fuelplan.messages import Message, Month, Percent, message
from fuelplan.ordering.prices.season import PastPrice, SeasonFactors, robust_season, season_from_history

Twelve = tuple[float, ...]

CLEAR = 2.0  # standard errors by which two seasons must differ before that is said
SMALL = 0.01  # a difference of less than this share is no news


@dataclass(frozen=True)
class PriceSeason:
    """Prices by calendar month against the mean of the year.

    Attributes
    ----------
    factor, factor_se, factor_p10, factor_p90
        Shape (12,), January first: what orders go by, its standard error, and the range that holds the truth
        8 times in 10.
    robust_factor, robust_factor_se, robust_factor_p10, robust_factor_p90
        The same with unusual prices counting less (STL); None where the history has too long gaps.
    years
        Of the history.
    filled_months
        Months without a price, filled from their neighbours.
    """

    factor: Twelve
    factor_se: Twelve
    factor_p10: Twelve
    factor_p90: Twelve
    robust_factor: Twelve | None
    robust_factor_se: Twelve | None
    robust_factor_p10: Twelve | None
    robust_factor_p90: Twelve | None
    years: float
    filled_months: int


def own_season(history: Sequence[PastPrice]) -> tuple[PriceSeason, tuple[Message, ...]]:
    """Return the season of a price history, with what to say of it.

    Raises
    ------
    HistoryTooShort
        Where it shows no season.
    """
    used, robust = season_from_history(history), robust_season(history)
    mine = _columns(used)
    others = None if robust is None else _columns(robust)
    found = PriceSeason(
        factor=mine[0],
        factor_se=mine[1],
        factor_p10=mine[2],
        factor_p90=mine[3],
        robust_factor=others and others[0],
        robust_factor_se=others and others[1],
        robust_factor_p10=others and others[2],
        robust_factor_p90=others and others[3],
        years=used.years,
        filled_months=used.filled_months,
    )
    return found, (_extremes(used), *(() if robust is None else (_compared(used, robust),)))


def _columns(season: SeasonFactors) -> tuple[Twelve, Twelve, Twelve, Twelve]:
    """Return factor, standard error, and both ends of its range."""
    f, se, off = season.factor, season.sd, season.give_or_take()
    return tuple(f.tolist()), tuple(se.tolist()), tuple((f - off).tolist()), tuple((f + off).tolist())


def _extremes(used: SeasonFactors) -> Message:
    low, high, off = used.cheapest_month() - 1, used.dearest_month() - 1, used.give_or_take()
    return message(
        "learn.price_season",
        "By your own prices fuel is cheapest in {cheap}, {below} below the mean of the year (give or take "
        "{cheap_error}), and dearest in {dear}, {above} above it (give or take {dear_error}).",
        cheap=Month(low + 1),
        below=Percent(1 - float(used.factor[low]), 1),
        cheap_error=Percent(float(off[low]), 1),
        dear=Month(high + 1),
        above=Percent(float(used.factor[high]) - 1, 1),
        dear_error=Percent(float(off[high]), 1),
    )


def _compared(used: SeasonFactors, robust: SeasonFactors) -> Message:
    """Say whether unusual prices move the season."""
    off = used.factor - robust.factor
    clear = (np.abs(off) > CLEAR * robust.sd) & (np.abs(off) > SMALL)
    if not clear.any():
        return message(
            "learn.price_season_agrees",
            "A decomposition in which unusual prices count less (STL) agrees: no month differs by more than "
            "{most}.",
            most=Percent(float(np.abs(off).max()), 1),
        )
    worst = int(np.argmax(np.where(clear, np.abs(off), 0.0)))
    return message(
        "learn.price_season_odd",
        "A few unusual prices move it: in {month} it is {used} of the mean of the year, and {robust} where "
        "such prices count less (STL). Orders go by the first.",
        month=Month(worst + 1),
        used=Percent(float(used.factor[worst]), 1),
        robust=Percent(float(robust.factor[worst]), 1),
    )

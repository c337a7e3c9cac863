"""How long the weather rooms take, beside a plain pandas loop and beside the least numpy could do: one run,
ratios."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date

import numpy as np
import pandas as pd

from fuelplan.weather import DailyWeather, Source, fill_gaps, possible_winters
from fuelplan.weather.blending import blend, height_correction_c, inverse_distance_weights
from tests.benchmarks.measure import Row, compared, table_of, timed, timed_many

FLOOR = "the same numbers copied once"


def blending_row(years: int) -> Row:
    """Years of hours from four stations, one hour in fifty missing."""
    rng = np.random.default_rng(1)
    values = 10.0 + rng.normal(0.0, 5.0, (4, 8766 * years))
    values[rng.random(values.shape) < 0.02] = np.nan
    weights = inverse_distance_weights(np.array([3.0, 8.0, 15.0, 30.0]))
    lift = height_correction_c(np.array([400.0, 600.0, 300.0, 900.0]), 500.0)
    frame = pd.DataFrame(values.T)

    def plain() -> list[float]:
        out = []
        for row in frame.itertuples(index=False):
            total = weight = 0.0
            for value, w, add in zip(row, weights, lift, strict=True):
                if value == value:
                    total, weight = total + w * (value + add), weight + w
            out.append(total / weight if weight else float("nan"))
        return out

    def floor() -> object:
        return values.copy()

    ours = blend(values, weights, lift, steady=False)
    assert np.allclose(ours, plain(), equal_nan=True)
    loop = "a loop over the rows of a pandas frame", plain
    return row(
        f"blending four stations, {years} years of hours", lambda: blend(values, weights, lift), loop, floor
    )


def record(years: int) -> DailyWeather:
    """Made-up daily weather."""
    rng = np.random.default_rng(2)
    n = round(365.25 * years)
    noise = np.convolve(rng.standard_normal(n + 20), 0.75 ** np.arange(20))[:n]
    mean = 9.0 - 9.0 * np.cos(2 * np.pi * np.arange(n) / 365.25) + 2.5 * noise
    blank, zero = np.full(n, np.nan), np.zeros(n, np.uint8)
    return DailyWeather(date(2001, 1, 1), mean, blank, blank, blank, zero, zero, (Source("made up"),))


def plain_winters(weather: DailyWeather, days: int) -> list[np.ndarray]:
    """Pieces of the record from each year, moved by a week or two, as anomalies: the first thing to write."""
    series = pd.Series(weather.mean_c, index=pd.date_range(weather.first_day, periods=len(weather)))
    usual = series.groupby(series.index.day_of_year).mean()
    paths = []
    for year in range(series.index[0].year, series.index[-1].year):
        for shift in (0, -14, -7, 7, 14):
            start = pd.Timestamp(year, 1, 1) + pd.Timedelta(days=shift)
            piece = series[start : start + pd.Timedelta(days=days - 1)]
            if len(piece) == days:
                paths.append(piece.to_numpy() - usual.loc[piece.index.day_of_year].to_numpy())
    return paths


def winters_row() -> Row:
    """Twenty-five years, 550 days ahead, as the order asks for them."""
    weather = record(25)
    first, days = date(2026, 1, 1), 550

    def floor() -> object:
        return made.mean_c.copy()

    made = possible_winters(weather, first, days, seed=1)
    words = "pieces of a pandas Series, without trend, forecast or doubt"
    loop = words, lambda: plain_winters(weather, days)
    return row(
        "possible winters, 25 years × 550 days",
        lambda: possible_winters(weather, first, days, seed=1),
        loop,
        floor,
    )


def gaps_row() -> Row:
    """Twenty-five years with two days in a hundred missing, filled from a neighbour."""
    weather = record(25)
    holes = weather.mean_c.copy()
    holes[np.random.default_rng(3).random(len(holes)) < 0.02] = np.nan
    from dataclasses import replace

    gappy, other = replace(weather, mean_c=holes), replace(weather, mean_c=weather.mean_c + 1.0)
    ours_series = pd.Series(holes, index=pd.date_range(weather.first_day, periods=len(weather)))
    theirs = pd.Series(other.mean_c, index=ours_series.index)

    def plain() -> object:
        filled = ours_series.copy()
        for day in ours_series.index[ours_series.isna()]:
            same = ours_series.index.month == day.month
            filled[day] = theirs[day] + (ours_series[same] - theirs[same]).mean()
        return filled

    loop = "a pandas loop over the missing days", plain
    return row("fill gaps of 25 years from a neighbour", lambda: fill_gaps(gappy, [other]), loop, holes.copy)


def row(
    name: str,
    ours: Callable[[], object],
    plain: tuple[str, Callable[[], object]],
    floor: Callable[[], object],
) -> Row:
    """Time the three ways."""
    return compared(name, timed_many(ours), (plain[0], timed(plain[1], 1), 1.0), (FLOOR, timed_many(floor)))


def rows(quick: bool) -> list[Row]:
    """One row for each task."""
    years = 2 if quick else 10
    return [blending_row(years), winters_row(), gaps_row()]


if __name__ == "__main__":
    print("\n".join(table_of(rows(quick=False))))

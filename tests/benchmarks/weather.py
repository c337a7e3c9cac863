"""How long the weather rooms take, beside a plain pandas loop and beside the least numpy could do: one run,
ratios."""

from __future__ import annotations

import time
from collections.abc import Callable
from datetime import date

import numpy as np
import pandas as pd

from fuelplan.weather import DailyWeather, Source, fill_gaps, possible_winters
from fuelplan.weather.blending import blend, height_correction_c, inverse_distance_weights


def best_of(call: Callable[[], object], times: int = 5) -> float:
    """Shortest time of several. [s]"""
    found = []
    for _ in range(times):
        start = time.perf_counter()
        call()
        found.append(time.perf_counter() - start)
    return min(found)


def blending_row() -> dict[str, object]:
    """Ten years of hours from four stations, one hour in fifty missing."""
    rng = np.random.default_rng(1)
    values = 10.0 + rng.normal(0.0, 5.0, (4, 87_672))
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
        return np.nansum(values * weights[:, None], axis=0)

    ours = blend(values, weights, lift, steady=False)
    assert np.allclose(ours, plain(), equal_nan=True)
    return row("blend 4 stations × 10 years of hours", lambda: blend(values, weights, lift), plain, floor, 1)


def record(years: int) -> DailyWeather:
    """Made-up daily weather."""
    rng = np.random.default_rng(2)
    n = round(365.25 * years)
    noise = np.convolve(rng.standard_normal(n + 20), 0.75 ** np.arange(20))[:n]
    mean = 9.0 - 9.0 * np.cos(2 * np.pi * np.arange(n) / 365.25) + 2.5 * noise
    blank, zero = np.full(n, np.nan), np.zeros(n, np.uint8)
    return DailyWeather(date(2001, 1, 1), mean, blank, blank, blank, zero, zero, (Source("made up"),))


def winters_row() -> dict[str, object]:
    """Twenty-five years, 550 days ahead, as the order asks for them."""
    weather = record(25)
    first, days = date(2026, 1, 1), 550
    series = pd.Series(weather.mean_c, index=pd.date_range(weather.first_day, periods=len(weather)))

    def plain() -> list[object]:
        usual = series.groupby(series.index.day_of_year).mean()
        paths = []
        for year in range(2001, 2025):
            for shift in (0, -14, -7, 7, 14):
                start = pd.Timestamp(year, 1, 1) + pd.Timedelta(days=shift)
                piece = series[start : start + pd.Timedelta(days=days - 1)]
                if len(piece) == days:
                    anomaly = piece.to_numpy() - usual.loc[piece.index.day_of_year].to_numpy()
                    paths.append(anomaly)
        return paths

    def floor() -> object:
        return np.random.default_rng(1).standard_normal((4, days, 118)).sum(axis=0)

    return row(
        "possible winters, 25 years × 550 days",
        lambda: possible_winters(weather, first, days, seed=1),
        plain,
        floor,
    )


def gaps_row() -> dict[str, object]:
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

    return row("fill gaps of 25 years from a neighbour", lambda: fill_gaps(gappy, [other]), plain,
               lambda: np.where(np.isnan(holes), other.mean_c - 1.0, holes), 1)  # fmt: skip


def row(
    name: str,
    ours: Callable[[], object],
    plain: Callable[[], object],
    floor: Callable[[], object],
    plain_times: int = 3,
) -> dict[str, object]:
    """Time the three ways."""
    ours_s, plain_s, floor_s = best_of(ours), best_of(plain, plain_times), best_of(floor)
    return {
        "name": name, "ours_s": ours_s, "plain_s": plain_s, "floor_s": floor_s,
        "ratio_plain": plain_s / ours_s, "ratio_floor": ours_s / floor_s,
    }  # fmt: skip


def run() -> list[dict[str, object]]:
    """Return a row per task: seconds, how many times faster than the plain way, how many times the floor."""
    return [blending_row(), winters_row(), gaps_row()]


if __name__ == "__main__":
    print(f"{'task':<42} {'ours':>9} {'plain pandas':>13} {'numpy floor':>12} {'faster':>8} {'× floor':>8}")
    for entry in run():
        print(
            f"{entry['name']:<42} {entry['ours_s']:8.4f}s {entry['plain_s']:12.4f}s "
            f"{entry['floor_s']:11.5f}s "
            f"{entry['ratio_plain']:7.1f}× {entry['ratio_floor']:7.1f}×"
        )

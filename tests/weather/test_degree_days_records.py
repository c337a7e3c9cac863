"""Degree-days of real records that come with packages, read here by a few lines of their own."""

from __future__ import annotations

import csv
from datetime import date
from importlib.util import find_spec
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray

from fuelplan.weather import degree_days as dd

Floats = NDArray[np.float64]


def package_folder(name: str) -> Path:
    """Folder of an installed package, without running it."""
    spec = find_spec(name)
    assert spec is not None and spec.submodule_search_locations, (
        f"{name} is not installed (tests/data_packages.txt)"
    )
    return Path(next(iter(spec.submodule_search_locations)))


def epw_hours(path: Path) -> Floats:
    """Dry-bulb temperature of an EPW file, shape (365, 24): column 7 after eight lines of header."""
    with path.open(encoding="latin-1") as lines:
        rows = list(csv.reader(lines))[8:]
    return np.array([float(row[6]) for row in rows]).reshape(365, 24)


def chicago_hours() -> Floats:
    """Hours of the typical year of Chicago O'Hare."""
    name = "USA_IL_Chicago.OHare.Intl.AP.725300_TMY3.epw"
    return epw_hours(package_folder("diyepw") / "data" / "tmy_epw_files" / name)


def german_hours(region: int) -> Floats:
    """Hours of a German reference year, shape (365, 24): the ninth column after the line of asterisks."""
    path = package_folder("demandlib") / "vdi" / "resources_weather" / f"TRY2010_{region:02d}_Jahr.dat"
    lines = path.read_text("latin-1").splitlines()
    start = next(i for i, line in enumerate(lines) if line.startswith("***")) + 1
    return np.array([float(line.split()[8]) for line in lines[start:] if line.strip()]).reshape(365, 24)


def seattle_days() -> tuple[Floats, Floats]:
    """Lowest and highest temperature of Seattle's days 2012-2015. [degC]"""
    with (package_folder("vega_datasets") / "_data" / "seattle-weather.csv").open(encoding="utf-8") as lines:
        rows = list(csv.DictReader(lines))
    assert rows[0]["date"] == "2012/01/01" and len(rows) == 1461
    return np.array([float(r["temp_min"]) for r in rows]), np.array([float(r["temp_max"]) for r in rows])


CHICAGO = {
    18: ([702, 575, 439, 268, 104, 12, 1, 2, 38, 218, 398, 672], 3430),
    10: ([454, 352, 197, 89, 3, 0, 0, 0, 0, 30, 199, 424], 1748),
}


@pytest.mark.parametrize("base_c", sorted(CHICAGO))
def test_chicago_to_the_digit(base_c: int) -> None:
    """Hours → daily means → degree-days of Chicago O'Hare by month and year: the station's .stat file
    (NREL).
    """
    printed, year = CHICAGO[base_c]
    daily = dd.heating_from_mean(chicago_hours().mean(axis=1), base_c)
    found = dd.by_period(date(2023, 1, 1), daily, "month")
    assert np.round(found.values).astype(int).tolist() == printed
    assert round(daily.sum()) == year


def test_mannheim_by_five_methods() -> None:
    """Mannheim's reference year: computed from the German TRY2010 region 12 in demandlib, not published."""
    hours = german_hours(12)
    mean, low, high = hours.mean(axis=1), hours.min(axis=1), hours.max(axis=1)
    assert dd.indoor_20_15(mean).sum() == pytest.approx(3131.9, abs=0.1)
    assert dd.heating_day(mean, 15).sum() == 241
    assert dd.heating_from_mean(mean, 15).sum() == pytest.approx(1926.9, abs=0.1)
    assert dd.heating_from_mean(mean, 15.5).sum() == pytest.approx(2049.0, abs=0.1)
    assert dd.heating_from_hours(hours, 15.5).sum() == pytest.approx(2140.2, abs=0.1)
    assert dd.heating_from_max_min(low, high, 15.5).sum() == pytest.approx(2152.7, abs=0.1)


@pytest.mark.parametrize("region", range(1, 16))
def test_indoor_sums_follow_from_the_base_and_the_heating_days(region: int) -> None:
    """20/15 = HDD15 + 5 × heating days, 20/12 = HDD12 + 8 × heating days: definitions of VDI 3807 and SIA
    381/3, on the German reference years.
    """
    mean = german_hours(region).mean(axis=1)
    for found, threshold in ((dd.indoor_20_15(mean), 15), (dd.indoor_20_12(mean), 12)):
        expected = dd.heating_from_mean(mean, threshold).sum() + (20 - threshold) * (mean < threshold).sum()
        assert found.sum() == pytest.approx(expected)


def test_seattle_by_the_us_rule() -> None:
    """Seattle's four years by the US rule at 65 °F: computed from the NOAA record in vega_datasets."""
    low, high = seattle_days()
    years = dd.by_period(date(2012, 1, 1), dd.heating_us(low, high, (65 - 32) * 5 / 9) * 9 / 5, "year")
    assert np.round(years.values, 6).tolist() == [4738, 4381, 3889, 3800]
    assert years.days.tolist() == [366, 365, 365, 365]


@pytest.mark.parametrize("base_c", [5, 10, 12, 15, 15.5, 18, 20])
def test_degree_hours_are_never_fewer(base_c: float) -> None:
    """Degree-hours/24 ≥ degree-days at the same base on every hourly record: ASHRAE Fundamentals 2021 ch.
    19.
    """
    for hours in (chicago_hours(), german_hours(12), german_hours(14)):
        by_hour = dd.heating_from_hours(hours, base_c)
        by_day = dd.heating_from_mean(hours.mean(axis=1), base_c)
        assert (by_hour >= by_day - 1e-12).all()
        assert by_hour.sum() > by_day.sum()


@pytest.mark.parametrize("base_c", sorted(CHICAGO))
def test_erbs_against_chicago(base_c: int) -> None:
    """Erbs, Klein and Beckman (formula from memory) within 5 % of the year in the station's .stat file
    (NREL).
    """
    data = dd.DayData(date(2023, 1, 1), chicago_hours().mean(axis=1))
    found = dd.degree_days(data, base_c, method="erbs", by="year").values[0]
    assert found == pytest.approx(CHICAGO[base_c][1], rel=0.05)


@pytest.mark.parametrize("base_c", [15.5, 18])
def test_monthly_formulas_on_real_years(base_c: float) -> None:
    """Every monthly formula comes within 5 % of the sum of the days on the German reference years and
    Chicago's typical year, computed; those that know the spread of the days within 1 %.
    """
    for hours in (chicago_hours(), *(german_hours(region) for region in range(1, 16))):
        data = dd.DayData(date(2023, 1, 1), hours.mean(axis=1))
        days = dd.degree_days(data, base_c, by="year").values[0]
        for method, within in (("erbs", 0.05), ("hitchin", 0.05), ("iso-monthly", 0.01), ("normal", 0.01)):
            months = dd.degree_days(data, base_c, method=method, by="year").values[0]
            assert months == pytest.approx(days, rel=within), method

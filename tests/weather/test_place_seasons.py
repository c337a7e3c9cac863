"""Seasons of a place: the published months of the north moved in the south, silent near the equator."""

from __future__ import annotations

import csv
import shutil
from collections.abc import Callable
from datetime import date, timedelta
from pathlib import Path

import numpy as np
import pytest

from fuelplan import answers
from fuelplan.answers.money import usual_season
from fuelplan.dispatch.replay import past_winters
from fuelplan.messages import as_text
from fuelplan.records.schema.logs import SecondSourceTable
from fuelplan.records.site.to_domain import second_sources_of
from fuelplan.weather import DailyWeather, Origin, PlaceSeasons, Source, place_seasons
from tests.site_folders import make_site, wave_c

SITES = Path(__file__).parents[2] / "demo_sites"
NORTH, SOUTH, NONE = PlaceSeasons(0), PlaceSeasons(6), PlaceSeasons(None)
HALF_A_YEAR = timedelta(days=181)


def record(mean_c: np.ndarray, first: date = date(2010, 1, 15)) -> DailyWeather:
    """A record of daily means alone."""
    unknown = np.full(len(mean_c), np.nan)
    return DailyWeather(
        first_day=first, mean_c=mean_c, min_c=unknown, max_c=unknown, humidity_pct=unknown,
        origin=np.full(len(mean_c), Origin.OBSERVED, np.uint8), source=np.zeros(len(mean_c), np.uint8),
        sources=(Source("test", "", ""),),
    )  # fmt: skip


def moved(folder: Path, to: Path, days: timedelta, squeeze: Callable[[float], float] = float) -> Path:
    """A copy of a demo folder whose whole record, readings and deliveries lie later by so many days."""
    shutil.copytree(folder, to)
    for name in ("weather.csv", "readings.csv", "deliveries.csv"):
        with (to / name).open(newline="") as file:
            rows = list(csv.reader(file))
        for row in rows[1:]:
            for i, cell in enumerate(row):
                if len(cell) == 10 and cell[4] == cell[7] == "-":
                    row[i] = (date.fromisoformat(cell) + days).isoformat()
        if name == "weather.csv":
            for row in rows[1:]:
                row[1:4] = [f"{squeeze(float(c)):.1f}" if c else c for c in row[1:4]]
        with (to / name).open("w", newline="") as file:
            csv.writer(file).writerows(rows)
    return to


def said(path: Path, day: date) -> tuple[answers.OrderAnswer, str]:
    """The order answer, and everything it says in words."""
    site = answers.open_site(path)
    found = answers.order(site, answers.weather_for(site, day), day)
    words = [*map(str, (found.sentence, *found.warnings, *found.explanation))]
    words += [str(u.text) for u in found.upkeep]
    if found.advice is not None:
        words += [str(found.advice.reason), *(p.name for p in found.advice.policies)]
    if found.logs is not None:
        words += map(str, found.logs.cut_by)
    return found, "\n".join(words)


def test_the_record_tells_the_half_of_the_year_that_is_cold() -> None:
    """A wave coldest in January, the same half a year later, and a year of 4 K between its months."""
    days = 4 * 365
    assert place_seasons(record(wave_c(days))) == NORTH
    assert place_seasons(record(wave_c(days), date(2010, 7, 16))) == SOUTH
    assert place_seasons(record(wave_c(days, mean=12.0, swing=2.0))) == NONE
    assert place_seasons(record(wave_c(days, swing=3.6))) == NORTH  # 7.2 K: a mild coast still has a winter
    assert place_seasons(record(wave_c(200))) == NORTH  # half a year of days, and the cold ones among them


def test_twelve_figures_and_dates_move_with_the_place() -> None:
    """January's figure of the north is July's in the south; without seasons every month has the mean."""
    north = tuple(float(i) for i in range(12))
    assert NORTH.here(north) == north
    assert SOUTH.here(north)[6] == 0.0 and SOUTH.here(north)[0] == 6.0
    assert NONE.here(north) == (5.5,) * 12
    assert [s.month(7) for s in (NORTH, SOUTH, NONE)] == [7, 1, None]
    assert SOUTH.next_start(7, date(2026, 1, 1)) == date(2026, 1, 1)
    assert SOUTH.next_start(7, date(2026, 1, 2)) == date(2027, 1, 1)
    assert NORTH.next_start(7, date(2026, 1, 2)) == date(2026, 7, 1)
    with pytest.raises(ValueError, match="twelve"):
        NORTH.here((1.0, 2.0))


def test_prices_solar_heat_and_heating_years_follow_the_place() -> None:
    """Pellets cheap and collectors strong in the place's own summer, a heating year with a whole winter."""
    assert usual_season(NORTH).cheapest_month() == 7
    assert usual_season(SOUTH).cheapest_month() == 1
    assert np.ptp(usual_season(NONE).factor) == 0
    solar = SecondSourceTable.model_validate({"kind": "solar"})
    (north,), (south,) = (second_sources_of([solar], s.here) for s in (NORTH, SOUTH))
    assert int(np.argmax(north.share_by_month)) == 6 and int(np.argmax(south.share_by_month)) == 0
    own = SecondSourceTable.model_validate({"kind": "solar", "share_by_month": [0.1] * 11 + [0.9]})
    assert second_sources_of([own], SOUTH.here)[0].share_by_month[11] == 0.9
    (winter,) = past_winters(date(2026, 3, 1), 1, month=1)
    assert (winter.name, winter.first_day, winter.last_day) == ("2025", date(2025, 1, 1), date(2025, 12, 31))


def test_a_house_in_the_south_is_told_of_its_own_summer(tmp_path: Path) -> None:
    """The demo house half a year later says January and December where the demo says July and June."""
    day = date(2026, 1, 15)
    north, words = said(SITES / "family_house", day)
    assert "cheapest in July" in words and "fill up every June" in words
    path = moved(SITES / "family_house", tmp_path / "south", HALF_A_YEAR)
    south, words = said(path, day + HALF_A_YEAR)
    assert "cheapest in January" in words and "fill up every December" in words
    assert "cheapest in July" not in words and "June" not in words
    assert south.stocks[0].kg == pytest.approx(north.stocks[0].kg, rel=0.05)


def test_logs_in_the_south_are_split_for_its_own_winter(tmp_path: Path) -> None:
    """Wood is told to be split for the winter that begins in April; the rule of whole summers moves along."""
    path = moved(SITES / "farmhouse", tmp_path / "south", HALF_A_YEAR)
    found, _ = said(path, date(2026, 1, 15) + HALF_A_YEAR)
    assert found.logs is not None and found.logs.cut_by
    assert all("April" in s and "October 202" not in s.split(",")[0] for s in map(str, found.logs.cut_by))


def test_near_the_equator_nothing_is_said_of_seasons(tmp_path: Path) -> None:
    """The demo's record squeezed to 3 K: no cheap month, no month to fill in, no winter to split for."""
    for name in ("family_house", "farmhouse"):
        path = moved(SITES / name, tmp_path / name, timedelta(0), lambda c: 11.0 + 0.1 * (c - 8.0))
        found, words = said(path, date(2026, 1, 15))
        assert "cheapest in" not in words and "fill up every" not in words
        assert found.logs is None or not found.logs.cut_by


def test_store_sizes_count_whole_winters_and_cheap_months_of_the_place(tmp_path: Path) -> None:
    """In the south a year of heating begins in January; pellets are cheapest from November to February."""
    south = make_site(tmp_path / "south", first=date(2000, 7, 15), mean_c=list(wave_c(20 * 365)))
    site = answers.open_for_sizing(south)
    day = date(2020, 3, 1)
    found = answers.size(site, answers.weather_for(site, day), day)
    taken = "\n".join(as_text(a.text) for a in found.assumptions)
    assert "cheapest in November to February" in taken
    assert found.worst_winter is not None and found.worst_winter.dates[0].item().month == 1
    flat = make_site(tmp_path / "flat", mean_c=list(wave_c(20 * 365, mean=12.0, swing=1.0)))
    site = answers.open_for_sizing(flat)
    found = answers.size(site, answers.weather_for(site, day), day)
    assert "cheapest" not in "\n".join(as_text(a.text) for a in found.assumptions)

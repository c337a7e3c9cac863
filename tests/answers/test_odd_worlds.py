"""Places and houses unlike most: no winter, the other half of the globe, nothing burned, hot water alone."""

from __future__ import annotations

import json
import math
from datetime import date
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from fuelplan import answers
from fuelplan.answers import OrderAnswer
from tests.round_folders import make_round
from tests.site_folders import make_site, wave_c, write_weather

DAY = date(2020, 12, 1)
DAYS = 365 * 21
AWAY = "[[away]]\nfrom = 2019-01-01\nto = 2022-12-31\nboiler_off = true\n[supply]"
READ_FOR_TWO_YEARS = "date,reading,how\n" + "".join(
    f"{2019 + m // 12}-{m % 12 + 1:02d}-01,4 t,measured\n" for m in range(23)
)
FLOOR = 'floor_area = "140 m2"\nbuilt = 1990\n'


def warm_all_year() -> np.ndarray:
    """Daily means of a tropical place: 27 °C, a kelvin warmer or colder. [degC]"""
    return 27.0 + 0.1 * (wave_c(DAYS) - 8.0)


def south() -> np.ndarray:
    """The plain yearly wave of the tests with its winter in July. [degC]"""
    return 16.0 - wave_c(DAYS)


WORLDS: dict[str, dict[str, Any]] = {
    "tropical, a stated year": {"mean_c": warm_all_year()},
    "tropical, hot water": {"mean_c": warm_all_year(), "building": FLOOR + "people = 3"},
    "tropical, nothing": {"mean_c": warm_all_year(), "building": FLOOR + "hot_water = false"},
    "southern": {"mean_c": south()},
    "empty house": {"changes": [("[supply]", AWAY)], "readings": READ_FOR_TWO_YEARS},
    "hot water alone": {"building": 'pellets_a_year = "0.6 t"\npeople = 3'},
}


def folder_of(world: str, place: Path) -> Path:
    """A folder of one of the worlds."""
    return make_site(place, **WORLDS[world])


def numbers(document: Any) -> list[float]:
    """Every number of a document."""
    if isinstance(document, dict):
        return [x for value in document.values() for x in numbers(value)]
    if isinstance(document, list):
        return [x for value in document for x in numbers(value)]
    return [document] if isinstance(document, float) else []


def ordered(folder: Path) -> OrderAnswer:
    """The order answer on the day."""
    site = answers.open_site(folder)
    return answers.order(site, answers.weather_for(site, DAY), DAY)


@pytest.mark.parametrize("world", WORLDS)
def test_every_question_is_answered_with_numbers(tmp_path: Path, world: str) -> None:
    """Order, learn and size answer in every odd world, and no figure of their documents is none."""
    site = answers.open_site(folder_of(world, tmp_path / "a"))
    weather = answers.weather_for(site, DAY)
    for ask in (answers.order, answers.learn, answers.size):
        document = json.loads(json.dumps(ask(site, weather, DAY).to_json(), default=str))
        assert all(math.isfinite(x) for x in numbers(document)), ask


@pytest.mark.parametrize("world", ["tropical, nothing", "empty house", "tropical, hot water"])
def test_who_burns_next_to_nothing_needs_no_order(tmp_path: Path, world: str) -> None:
    """With 4 t in store and at most hot water to burn, the answer says that no order is needed: the run-out
    lies beyond the horizon, and the headline blames no fault.
    """
    found = ordered(folder_of(world, tmp_path / "a"))
    assert found.order is None and found.decision == "wait"
    assert "No further order is needed within the horizon." in str(found.sentence)
    assert found.run_out[0].p50 is None


def test_an_empty_house_burns_nothing_and_its_years_cost_no_fuel(tmp_path: Path) -> None:
    """With the boiler off for years, use and cost of a year are zero, and the store never runs empty."""
    found = ordered(folder_of("empty house", tmp_path / "a"))
    assert [use.p90 for use in found.use_kg] == [0.0, 0.0, 0.0]
    assert (found.cost.year_p10, found.cost.year_p90, found.empty_risk_per_year) == (0.0, 0.0, 0.0)


def test_a_year_stated_in_the_tropics_is_burned_every_day_alike(tmp_path: Path) -> None:
    """No day is cold, so the 4 t that the house burns a year go day by day: a quarter in a quarter, half in
    half, and the next year holds the 4 t.
    """
    found = ordered(folder_of("tropical, a stated year", tmp_path / "a"))
    use = {one.days: one.p50 for one in found.use_kg}
    assert use[90] == pytest.approx(use[365] * 90 / 365, rel=0.03)
    assert found.use_kg[2].p10 < 4000 < found.use_kg[2].p90


def test_a_southern_year_is_a_northern_one_half_a_year_later(tmp_path: Path) -> None:
    """With its winter in July the house burns least in the northern winter, fills up in December where the
    north does in June, and its sizes are counted from January on: the best range is the northern one.
    """
    here, there = (answers.open_site(folder_of("southern", tmp_path / "s")), make_site(tmp_path / "n"))
    north = answers.open_site(there)
    of_north, of_south = (answers.weather_for(s, DAY) for s in (north, here))
    found, other = answers.order(here, of_south, DAY), answers.order(north, of_north, DAY)
    assert found.use_kg[1].p50 < 0.3 * other.use_kg[1].p50
    assert found.use_kg[2].p50 == pytest.approx(other.use_kg[2].p50, rel=0.05)
    assert found.advice is not None and other.advice is not None
    ways = [[str(way.said) for way in one.policies] for one in (found.advice, other.advice)]
    assert "Fill up every December" in ways[0] and "Fill up every June" in ways[1]
    sizes = [answers.size(s, w, DAY) for s, w in ((here, of_south), (north, of_north))]
    ranges = [size.to_json()["best_range_m3"] for size in sizes]
    assert ranges[0] == ranges[1]


def test_a_few_cold_days_do_not_carry_a_years_heating(tmp_path: Path) -> None:
    """Near the tropics a single cold week a year must not take the whole yearly use."""
    mild = 22.0 + 0.1 * (wave_c(DAYS) - 8.0)
    mild[:: 365 // 3] = 12.0
    found = ordered(make_site(tmp_path / "a", mean_c=mild))
    assert max(one.p90 / one.days for one in found.use_kg) < 2 * 4000 / 365


def test_months_without_weather_are_filled_and_said(tmp_path: Path) -> None:
    """A record that lacks two winters' months answers, and says what it filled."""
    folder = make_site(tmp_path / "a")
    gone = ("2012-07", "2016-02", "2018-11", "2018-12")
    rows = (folder / "weather.csv").read_text(encoding="utf-8").splitlines()
    kept = [row for row in rows if not row.startswith(gone)]
    (folder / "weather.csv").write_text("\n".join(kept) + "\n", encoding="utf-8")
    found, whole = ordered(folder), ordered(make_site(tmp_path / "b"))
    assert found.use_kg[2].p50 == pytest.approx(whole.use_kg[2].p50, rel=0.05)
    assert found.weather.winters < whole.weather.winters


def burned_weekly_t(folder: Path, mean_c: np.ndarray) -> list[float]:
    """What the customers of the test round burn in each week, with another weather in both areas. [t]"""
    make_round(folder)
    for name in ("weather.csv", "weather_upland.csv"):
        write_weather(folder / name, date(2020, 1, 15), list(mean_c[: 365 * 6]))
    round_ = answers.open_round(folder)
    found = answers.outlook(round_, answers.weather_for_round(round_), date(2026, 1, 12))
    weekly: list[float] = found.to_json()["weekly_burned_t"]["p50"]
    return weekly


def test_a_supplier_in_the_tropics_delivers_what_the_customers_burn(tmp_path: Path) -> None:
    """Twelve customers who burn about 100 t a year burn about 2 t a week where no day is cold, not their
    year's heating in a few cool days.
    """
    weekly = burned_weekly_t(tmp_path / "a", warm_all_year())
    assert len(weekly) > 8 and all(1.0 < burned < 3.0 for burned in weekly), weekly


def test_a_southern_supplier_burns_little_in_january(tmp_path: Path) -> None:
    """In the southern January next to nothing but hot water is burned."""
    weekly = burned_weekly_t(tmp_path / "a", south())
    assert max(weekly[:3]) < 1.0, weekly

"""Figures of a house that cannot belong together are told, with the one that is most likely wrong."""

from __future__ import annotations

import json
import subprocess
import sys
from datetime import date
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fuelplan import answers
from fuelplan.answers.house.new import FieldFaults, NewHouse, draft_house
from fuelplan.answers.house.settings import change_settings
from fuelplan.heat.building.plausible import Stated, doubts_of
from fuelplan.messages import as_text
from tests.site_folders import make_site

DAY = date(2020, 11, 20)
DEMOS = Path(__file__).parents[2] / "demo_sites"
BOILER = '[boiler]\nseasonal_efficiency = "80 %"'
USUAL = Stated(
    year_key="building.pellets_a_year", year_kwh=20_000.0, year_stated=5_200.0, year_quantity="mass",
    year_pellets_kg=5_200.0, water_kwh=1_700.0, design_kw=10.0, outdoor_c=-12.0, indoor_c=20.0, area_m2=150.0,
    rated_kw=15.0, store_kg=6_000.0, kelvin_h=75_000.0,
)  # fmt: skip


def changed(**figures: float | None) -> Stated:
    """Return the usual house with some figures replaced; a factor on the year goes to all of its forms."""
    values = {**vars(USUAL), **figures}
    factor = values.pop("year_factor", 1.0)
    for name in ("year_kwh", "year_stated", "year_pellets_kg"):
        if values[name] is not None:
            values[name] *= factor
    return Stated(**values)


@pytest.mark.parametrize(
    ("figures", "key", "meant", "impossible"),
    [
        ({"year_factor": 100.0}, "building.pellets_a_year", "5.2 t", True),
        ({"year_factor": 0.001}, "building.pellets_a_year", "5.2 t", True),
        ({"design_kw": 1000.0}, "building.design_loss", "10 kW", True),
        ({"outdoor_c": 12.0}, "building.design_outdoor", "-12 °C", True),
        ({"area_m2": 1.5}, "building.floor_area", "150 m²", True),
        ({"rated_kw": 0.15}, "boiler.rated", "15 kW", True),
        ({"store_kg": 60_000_000.0}, "store.capacity", "t", False),
        ({"outdoor_c": 4.0}, "building.design_outdoor", "-4 °C", False),
    ],
)
def test_the_figure_that_is_wrong_is_named(
    figures: dict[str, float], key: str, meant: str, impossible: bool
) -> None:
    """One slip of the pen among figures that fit: it is named, and what was most likely meant."""
    found = doubts_of(changed(**figures))
    assert [(d.key, d.impossible) for d in found] == [(key, impossible)]
    assert meant in as_text(found[0].text)


def test_with_two_figures_alone_the_unusual_one_is_named() -> None:
    """500 t a year beside a boiler of 15 kW and a store of 6 t are named, not the boiler."""
    found = doubts_of(changed(year_factor=500 / 5.2, design_kw=None, outdoor_c=None, area_m2=None))
    assert [d.key for d in found] == ["building.pellets_a_year"]
    assert "128," in as_text(found[0].text) and "8,760" in as_text(found[0].text)  # full hours of the boiler


def test_an_oversized_boiler_is_no_error() -> None:
    """Few hours against the rated output say that the boiler is too large; nothing is doubted."""
    assert doubts_of(changed(rated_kw=60.0)) == ()


def test_hot_water_alone_is_exempt() -> None:
    """A boiler that makes hot water alone has few hours against the heat loss, and that is right."""
    assert doubts_of(changed(year_factor=0.08)) == ()


def test_one_figure_alone_is_not_doubted() -> None:
    """Without a second figure there is nothing to hold it against."""
    alone = Stated(year_key="building.heat_a_year", year_kwh=2e6, year_stated=2e6, year_quantity="energy",
                   year_pellets_kg=5e5, store_kg=200_000.0)  # fmt: skip
    assert doubts_of(alone) == ()


@given(
    st.floats(3, 400), st.floats(1200, 2800), st.floats(30, 120), st.floats(0.7, 4), st.floats(0.15, 2.5),
    st.floats(-25, 0),
)  # fmt: skip
def test_sound_houses_are_not_doubted(
    load_kw: float, hours: float, w_per_m2: float, boiler_share: float, years_in_store: float, outdoor: float
) -> None:
    """Whatever its size, a house whose figures belong together passes."""
    year = load_kw * hours + 1700
    kg = year / 4.8 / 0.8
    sound = Stated(
        year_key="building.pellets_a_year", year_kwh=year, year_stated=kg, year_quantity="mass",
        year_pellets_kg=kg, water_kwh=1700, design_kw=load_kw, outdoor_c=outdoor, indoor_c=20.0,
        area_m2=1000 * load_kw / w_per_m2, rated_kw=load_kw * boiler_share, store_kg=kg * years_in_store,
        kelvin_h=hours * (20.0 - outdoor),
    )  # fmt: skip
    assert doubts_of(sound) == ()


@pytest.mark.parametrize("name", ["family_house", "farmhouse", "village_school"])
def test_the_demo_houses_are_not_doubted(name: str) -> None:
    """Nothing about the invented houses is doubted, with their weather, too."""
    site = answers.open_site(DEMOS / name)
    assert answers.check_plausible(site) == []


FORGOTTEN = 'design_loss = "13 kW"\ndesign_outdoor = "14 degC"'
TOO_MUCH = 'pellets_a_year = "500 t"'


@pytest.mark.parametrize(
    ("building", "key", "meant"),
    [(FORGOTTEN, "building.design_outdoor", "-14 °C"), (TOO_MUCH, "building.pellets_a_year", "5 t")],
)
def test_what_cannot_be_is_a_fault_of_the_folder(tmp_path: Path, building: str, key: str, meant: str) -> None:
    """check names the figure and what was meant, and no answer is worked out from it."""
    rated = '[boiler]\nrated = "15 kW"\nseasonal_efficiency = "80 %"'
    folder = make_site(tmp_path / "a", building=building, changes=[(BOILER, rated)])
    _, faults = answers.check_folder(folder)
    assert [f.key for f in faults] == [key]
    assert "most likely" in faults[0].message and meant in faults[0].message
    assert faults[0].line is not None
    with pytest.raises(answers.SiteFaults):
        answers.open_site(folder)


def test_what_is_only_unlikely_is_said_and_used(tmp_path: Path) -> None:
    """A design temperature of +4 °C in a cold place: order and size warn of that figure, not of the boiler;
    check tells it as a warning and leaves with 0.
    """
    changes = [(BOILER, '[boiler]\nrated = "9 kW"\nseasonal_efficiency = "80 %"')]
    building = 'design_loss = "13 kW"\ndesign_outdoor = "4 degC"'
    folder = make_site(tmp_path / "a", building=building, changes=changes)
    site = answers.open_site(folder)
    answer = answers.order(site, answers.weather_for(site, DAY), DAY)
    said = "design outdoor temperature is most likely wrong"
    assert any(said in w and "-4 °C" in w for w in map(str, answer.warnings))
    assert not any("smaller than the load" in w for w in map(str, answer.warnings))
    size = answers.size(site, answers.weather_for(site, DAY), DAY)
    assert any(said in w for w in map(str, size.warnings))
    command = [sys.executable, "-m", "fuelplan", "check", str(folder)]
    done = subprocess.run(command, capture_output=True, text=True, timeout=120)
    assert done.returncode == 0 and done.stderr == "1 warning\n"
    assert "building.design_outdoor" in done.stdout and "sound" in done.stdout
    listed = json.loads(subprocess.run([*command, "--json"], capture_output=True, timeout=120).stdout)
    assert [(f["key"], f["warning"]) for f in listed["faults"]] == [("building.design_outdoor", True)]


def test_the_form_for_a_new_house_asks_again(tmp_path: Path) -> None:
    """500 t a year in a store of 6 t are refused at the field of the yearly use."""
    house = NewHouse(use="500 t", store="6 t", level="2 t", weather="monthly", monthly_means="0 " * 12)
    with pytest.raises(FieldFaults) as caught:
        draft_house(house, tmp_path, DAY)
    assert list(caught.value.faults) == ["use"]


def test_the_settings_page_asks_again(tmp_path: Path) -> None:
    """A yearly use of 500 t is refused at its setting, and nothing is written."""
    folder = make_site(tmp_path / "a")
    before = answers.site_text(folder)
    with pytest.raises(FieldFaults) as caught:
        change_settings(folder, before, {"building.pellets_a_year": "500 t"})
    assert list(caught.value.faults) == ["building.pellets_a_year"]
    assert answers.site_text(folder) == before

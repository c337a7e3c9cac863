"""Numbers and dates as their reader reads them: US units, the month first, and every page in them."""

from __future__ import annotations

import re
from datetime import date
from pathlib import Path

import pytest
import streamlit as st
from streamlit.testing.v1 import AppTest

from fuelplan import units
from fuelplan.pages.parts import reading
from tests.ui_pages import copy_of, heading, opened, words

US = units.reader_in("US")
METRIC = re.compile(r"(?<![\w/])[0-9][0-9.,]*[ \u00a0](?:kg|t|°C|kWh|MWh|kW|W|m³|cm|m|l|K)(?![\w/³²])")


def test_a_reader_sets_units_and_dates_for_one_piece_of_work() -> None:
    """Inside the block pounds and the month first; outside, and where a system is asked for, as before."""
    day = date(2026, 3, 14)
    assert units.show(2100, "mass") == "2.1 t"
    with units.written_for(US):
        assert units.show(2100, "mass") == "4,600 lb"
        assert units.show(2100, "mass", "metric") == "2.1 t"
        assert units.show_date(day) == "March 14"
        assert units.show_date(day, year=True) == "March 14, 2026"
    assert units.show(2100, "mass") == "2.1 t"
    assert units.show_date(day, year=True) == "14 March 2026"


def test_countries_and_what_they_read() -> None:
    """The US in its own units, all others metric, unless a person chooses."""
    assert units.Reader("us", "month first") == US
    assert units.reader_in("AT") == units.reader_in(None) == units.Reader("metric", "day first")
    assert units.reader_in("US", "metric") == units.Reader("metric", "month first")
    assert units.reader_in("GB", "us") == units.Reader("us", "day first")


@pytest.mark.parametrize(
    ("country", "form"),
    [
        ("US", "MM/DD/YYYY"),
        ("DE", "DD.MM.YYYY"),
        ("GB", "DD/MM/YYYY"),
        ("SE", "YYYY-MM-DD"),
        (None, "YYYY-MM-DD"),
    ],
)
def test_fields_for_a_day_are_filled_in_as_the_country_writes(country: str | None, form: str) -> None:
    """Common practice of each land."""
    assert reading.date_field(country) == form


# Pages -----------------------------------------------------------------------------------------------------


@pytest.fixture(autouse=True)
def _fresh() -> object:
    """No answer written for one reader may stay for another test."""
    st.cache_resource.clear()
    yield
    st.cache_resource.clear()


def american(folder: Path, house: str) -> Path:
    """A copy of a demo house that stands in the US."""
    made = copy_of(house, folder)
    text = (made / "site.toml").read_text()
    (made / "site.toml").write_text(text.replace('country = "AT"', 'country = "US"'))
    return made


def own_words_of(folder: Path) -> str:
    """What the folder itself says, which no page may change."""
    return (folder / "site.toml").read_text()


def left_metric(page: AppTest) -> list[str]:
    """Metric quantities that still stand on a page."""
    shown = re.sub(r"<style>.*?</style>", "", words(page), flags=re.DOTALL)
    shown = re.sub(r'src="data:[^"]*"', "", shown)
    text = re.sub(r"<[^>]+>", "\n", shown)
    return METRIC.findall(text)


@pytest.mark.parametrize(
    ("house", "name"),
    [("family_house", "when_to_order"), ("farmhouse", "when_to_order"), ("family_house", "what_we_burn"),
     ("village_school", "how_big")],
)  # fmt: skip
def test_a_page_in_the_us_holds_no_metric_quantity(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, house: str, name: str
) -> None:
    """Every number of the answer is in pounds, feet and Fahrenheit, every date has the month first."""
    page = opened(name, american(tmp_path / "house", house), monkeypatch)
    assert left_metric(page) == []
    text = re.sub(r"<[^>]+>", "\n", words(page))
    assert "lb" in text or "cu ft" in text
    assert not re.search(r"\b[0-9]{1,2} (?:January|February|March|November|December)\b", text)


def test_units_can_be_chosen_on_the_page(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """One click turns the whole page into pounds, another one back; the decision stays the same."""
    page = opened("when_to_order", copy_of("family_house", tmp_path / "house"), monkeypatch)
    before = heading(page)
    assert " t by " in before
    (toggle,) = [c for c in page.segmented_control if c.key.startswith("units-")]
    toggle.set_value("us").run()
    assert " lb by " in heading(page)
    assert heading(page).rsplit(" by ")[1] == before.rsplit(" by ")[1], "the date is the same"
    (chart,) = page.get("vega_lite_chart")
    assert "lb" in chart.proto.alt and " t " not in chart.proto.alt
    toggle = next(c for c in page.segmented_control if c.key.startswith("units-"))
    toggle.set_value("metric").run()
    assert heading(page) == before


def test_what_if_follows_the_units(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """In the US the sliders count degrees Fahrenheit, and the comparison is in pounds."""
    page = opened("when_to_order", american(tmp_path / "house", "family_house"), monkeypatch)
    page.slider(key="if-colder-us").set_value(4).run()
    assert "days earlier" in words(page)
    assert left_metric(page) == []

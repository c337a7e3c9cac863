"""The page on which a house is set up: from nothing to an answer, faults at their fields, a folder at
will."""

from __future__ import annotations

from pathlib import Path

import pytest
import streamlit as st
from streamlit.testing.v1 import AppTest

from fuelplan import answers
from fuelplan.answers.weather_of_site import INVENTED as INVENTED_WEATHER
from fuelplan.answers.weather_of_site import invented_headline
from fuelplan.messages import Own, as_text, render
from fuelplan.pages.new_house.form import EMPTY, MORE
from tests.page_texts import new_house as texts
from tests.ui_pages import WRONG, click, field_faults, heading, opened, words

INVENTED_SAID = render(INVENTED_WEATHER)
INVENTED = render(invented_headline(Own(""), True)).strip()
FIELDS = ["use", "store", "level", "delivered", "town", "monthly_means", *(name for name, _, _ in MORE)]


@pytest.fixture
def page(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> AppTest:
    """The form with the invented weather chosen, and nobody's houses around it."""
    st.cache_resource.clear()
    monkeypatch.setenv("FUELPLAN_HOUSES", str(tmp_path / "houses"))
    page = opened("new_house", None, monkeypatch)
    page.radio(key="new-house-weather").set_value("invented")
    return page


def fill(page: AppTest, **entries: str) -> AppTest:
    """Write into fields."""
    for field, text in entries.items():
        page.text_input(key=f"new-house-{field}").set_value(text)
    return page


def test_every_field_says_what_it_is_for(page: AppTest) -> None:
    """Under each field stands its purpose, units to write, and what happens if it is left out."""
    said = words(page)
    for why in (
        *(as_text(why) for _, _, why in MORE),
        texts.USE_WHY,
        texts.HOLDS_WHY,
        texts.LEVEL_WHY,
        texts.TOWN_WHY,
    ):
        assert why in said
        assert "eft out" in why
    keys = {widget.key for widget in (*page.text_input, *page.selectbox, *page.radio, *page.checkbox)}
    keys |= {widget.key for widget in page.date_input}
    assert keys == {f"new-house-{field}" for field in EMPTY}


def test_three_entries_give_a_first_try_at_once(page: AppTest, tmp_path: Path) -> None:
    """Use, store, level and the invented weather: the answer is on the page; nothing was kept."""
    click(fill(page, use="5 t", store="6 t", level="40 %"), texts.SHOW)
    assert heading(page).startswith(INVENTED)
    assert INVENTED_SAID in words(page)
    assert len(page.get("vega_lite_chart")) == 1
    assert not (tmp_path / "houses").exists()


def test_keeping_makes_a_folder_that_opens(page: AppTest, tmp_path: Path) -> None:
    """After “Keep this house” its folder stands where the page said, and answers."""
    click(fill(page, use="5 t", store="6 t", level="40 %", name="Mill <b>"), texts.SHOW)
    folder = tmp_path / "houses" / "mill_b"
    assert str(folder) in words(page)
    click(page, texts.KEEP)
    assert answers.open_site(folder).name == "Mill <b>"


@pytest.mark.parametrize("field", FIELDS)
def test_wrong_entries_are_said_at_their_field(page: AppTest, field: str) -> None:
    """Whatever is typed: one sentence under the field, what was typed stays, no answer is shown."""
    sound = {"use": "5 t", "store": "6 t", "level": "40 %"}
    page.selectbox(key="new-house-country").set_value("AT")
    if field == "monthly_means":
        page.radio(key="new-house-weather").set_value("monthly")
    for name, text in WRONG.items():
        click(fill(page, **{**sound, field: text}), texts.SHOW)
        faults = field_faults(page)
        assert faults, name
        assert all(10 < len(fault) < 500 for fault in faults), name
        kept = page.text_input(key=f"new-house-{field}")
        assert kept.value == text[: kept.proto.max_chars], name
        assert heading(page) == texts.QUESTION, name
        raw = "".join(piece.proto.body for piece in page.get("html"))
        assert "<script" not in raw, name


def test_an_empty_form_says_what_is_needed(page: AppTest) -> None:
    """Without anything written the three fields that cannot be left out say so."""
    click(page, texts.SHOW)
    assert len(field_faults(page)) == 3
    assert texts.mended(3) in words(page)


def test_what_was_written_outlasts_the_fault_and_the_answer(page: AppTest) -> None:
    """After a mistake, and after an answer, all fields still hold what was written."""
    entries = {"use": "11000 lb", "store": "13 m3", "price": "310 EUR/t", "people": "x"}
    click(fill(page, **entries), texts.SHOW)
    for field, text in entries.items():
        assert page.text_input(key=f"new-house-{field}").value == text
    click(fill(page, people="4", level="full"), texts.SHOW)
    assert not field_faults(page)
    assert page.text_input(key="new-house-store").value == "13 m3"


def test_a_second_try_takes_the_place_of_the_first(page: AppTest) -> None:
    """Changing an entry gives another answer; the draft of before is gone from the disk."""
    click(fill(page, use="5 t", store="6 t", level="full"), texts.SHOW)
    before, first = heading(page), Path(page.session_state["draft-house"])
    click(fill(page, level="10 %"), texts.SHOW)
    assert heading(page) != before
    assert not first.exists()
    assert Path(page.session_state["draft-house"]).is_dir()


@pytest.fixture
def fresh(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> AppTest:
    """The form as a newcomer finds it; no weather server can be reached."""
    st.cache_resource.clear()
    monkeypatch.setenv("FUELPLAN_HOUSES", str(tmp_path / "houses"))
    monkeypatch.setenv("FUELPLAN_WEATHER_STORE", str(tmp_path / "weather.sqlite"))

    def nothing(*_: object, **__: object) -> object:
        raise answers.WeatherUnavailable("no server answers")

    monkeypatch.setattr("fuelplan.weather.sources.loading.load", nothing)
    monkeypatch.setattr("fuelplan.answers.weather_of_site.load", nothing)
    return opened("new_house", None, monkeypatch)


def test_the_towns_own_weather_is_the_default(fresh: AppTest, tmp_path: Path) -> None:
    """Nothing chosen: stations of the town are asked for, and invented weather is never taken by itself."""
    assert fresh.radio(key="new-house-weather").value == "stations"
    fresh.selectbox(key="new-house-country").set_value("AT")
    click(fill(fresh, use="5 t", store="6 t", level="40 %", town="Innsbruck"), texts.SHOW)
    table = answers.open_site(Path(fresh.session_state["draft-house"])).table
    assert (table.weather.source, table.weather.invented) == ("meteostat", False)
    assert INVENTED_SAID not in words(fresh)


@pytest.mark.parametrize("town", ["", "Innsbruck"])
def test_other_weather_is_offered_by_buttons(fresh: AppTest, town: str) -> None:
    """Without a town, or where no server answers: three buttons; the invented weather gives a try at once."""
    fresh.selectbox(key="new-house-country").set_value("AT")
    click(fill(fresh, use="5 t", store="6 t", level="40 %", town=town), texts.SHOW)
    assert texts.OTHER_TITLE in [part.value for part in fresh.subheader]
    assert ("no server answers" in words(fresh)) == bool(town)
    labels = [button.label for button in fresh.button]
    assert all(label in labels for label in texts.OTHERS.values())


def test_a_button_takes_the_place_of_the_choice(fresh: AppTest, monkeypatch: pytest.MonkeyPatch) -> None:
    """Monthly means: their field says what is needed, and all that was written stays."""
    click(fill(fresh, use="5 t", store="6 t", level="40 %"), texts.SHOW)
    click(fresh, texts.OTHERS["monthly"])
    assert fresh.radio(key="new-house-weather").value == "monthly"
    assert any("twelve mean temperatures" in fault for fault in field_faults(fresh))
    monkeypatch.undo()
    click(fill(fresh, monthly_means="-2 0 4 9 13 17 19 18 14 9 3 -1"), texts.SHOW)
    assert not field_faults(fresh)
    assert INVENTED_SAID not in words(fresh)
    assert fresh.text_input(key="new-house-use").value == "5 t"


def test_the_button_for_invented_weather_gives_a_try(fresh: AppTest, monkeypatch: pytest.MonkeyPatch) -> None:
    """One click after the form: an answer whose headline and sentence say that its weather is made up."""
    click(fill(fresh, use="5 t", store="6 t", level="40 %"), texts.SHOW)
    monkeypatch.undo()
    click(fresh, texts.OTHERS["invented"])
    assert heading(fresh).startswith(INVENTED)
    assert INVENTED_SAID in words(fresh)
    assert fresh.radio(key="new-house-weather").value == "invented"

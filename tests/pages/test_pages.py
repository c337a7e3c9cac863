"""The pages' logic, run without a browser: answers, what-if, entries, faults, and no dead end."""

from __future__ import annotations

import shutil
import sys
from collections.abc import Callable
from html import unescape
from pathlib import Path

import pyarrow as pa
import pytest
import streamlit as st
from streamlit.testing.v1 import AppTest

import fuelplan.pages
from fuelplan import answers
from fuelplan.answers.when_to_order import ORDER_BY
from fuelplan.charts import near_days
from fuelplan.messages import as_text
from fuelplan.pages.order.record import LONGEST_AMOUNT
from fuelplan.pages.parts.ways_in import WAYS_IN
from fuelplan.pages.texts import logs as logs_texts
from tests.order_example import example_answer, with_placed_order
from tests.page_texts import common as texts
from tests.page_texts import record
from tests.ui_pages import click, field_faults

UI = Path(fuelplan.pages.__file__).parent
DEMO = UI.parent.parent / "demo_sites" / "family_house"
Open = Callable[..., AppTest]


@pytest.fixture
def house(tmp_path: Path) -> Path:
    """A folder of one's own: a copy of the demo house."""
    folder = tmp_path / "own_house"
    shutil.copytree(DEMO, folder)
    return folder


@pytest.fixture
def open_page(monkeypatch: pytest.MonkeyPatch) -> Open:
    """Opens one page for a folder, as the server does."""

    def open_it(page: str, folder: Path | None) -> AppTest:
        monkeypatch.setattr(sys, "argv", ["page.py", *([str(folder)] if folder else [])])
        return AppTest.from_file(str(UI / "questions" / f"{page}.py"), default_timeout=60).run()

    return open_it


@pytest.fixture
def made_up(monkeypatch: pytest.MonkeyPatch) -> Callable[..., None]:
    """Puts a made-up answer, or an error, in the place of the computed one."""

    def put(answer: object) -> None:
        def order(*_: object, **__: object) -> object:
            if isinstance(answer, Exception):
                raise answer
            return answer

        st.cache_resource.clear()
        monkeypatch.setattr(answers, "weather_for", lambda *_: None)
        monkeypatch.setattr(answers, "order", order)

    return put


@pytest.fixture(autouse=True)
def _forget_made_up_answers() -> object:
    """No made-up answer may stay in the cache for the next test."""
    yield
    st.cache_resource.clear()


def words(page: AppTest) -> str:
    """All text of our own pieces on a page."""
    assert not page.exception, page.exception
    return unescape("\n".join(piece.proto.body for piece in page.get("html")))


def days_drawn(page: AppTest) -> int:
    """How many days the level band of the chart has."""
    (chart,) = page.get("vega_lite_chart")
    return max(pa.ipc.open_stream(part.data.data).read_all().num_rows for part in chart.proto.datasets)


def heading(page: AppTest) -> str:
    """The answer at the top of a page."""
    text = words(page)
    return text.split('<h1 class="fp-answer">')[1].split("</h1>")[0]


def test_order_page_answers_first(open_page: Open, house: Path) -> None:
    """The page opens with a decision, then shows picture, table, dates, cautions and the numbers' origin."""
    page = open_page("when_to_order", house)
    said = heading(page).removeprefix("Invented weather, so only a try. ")
    assert said.startswith("Order ") and said != heading(page)
    assert [part.value for part in page.subheader] == [
        texts.LEVEL_TITLE,
        texts.WHAT_IF_TITLE,
        texts.DATES_TITLE,
        texts.COST_TITLE,
        as_text(logs_texts.UPKEEP_TITLE),
        record.TITLE,
        texts.CAUTIONS_TITLE,
        texts.ORIGIN_TITLE,
    ]
    text = words(page)
    assert "House by the lime tree" in text
    assert "15 January 2026" in text
    assert "Invented weather" in text
    assert "If it is not off: do not fill" in text
    (chart,) = page.get("vega_lite_chart")
    assert "Level of pellets in the store" in chart.proto.alt


def test_what_if_shows_both_plans_side_by_side(open_page: Open, house: Path) -> None:
    """A slower supplier, or less risk, means an earlier day, shown beside the plan, which stays as it is."""
    page = open_page("when_to_order", house)
    before = heading(page)
    assert "days earlier" not in words(page)
    page.slider(key="if-lead").set_value(10).run()
    after = words(page)
    assert "days earlier" in after
    assert "What if" in after
    assert heading(page) == before, "what if is no change of the plan"
    page.slider(key="if-lead").set_value(0).run()
    assert "days earlier" not in words(page)
    page.select_slider(key="if-risk").set_value(0.005).run()
    row = words(page).split(f">{as_text(ORDER_BY)}</th>")[1].split("</tr>")[0]
    assert "earlier" in row, "less risk is an earlier day"


def test_a_whole_year_can_be_shown(open_page: Open, house: Path, made_up: Callable[..., None]) -> None:
    """The picture shows the next months first, and a whole year on request."""
    made_up(example_answer())
    page = open_page("when_to_order", house)
    assert days_drawn(page) == near_days(example_answer())
    page.segmented_control(key="level-span").set_value("year").run()
    assert days_drawn(page) == 366


def test_front_page_answers_each_question_it_offers(
    house: Path, made_up: Callable[..., None], monkeypatch: pytest.MonkeyPatch
) -> None:
    """The front page offers only what exists, with the answer in one sentence."""
    made_up(example_answer())
    monkeypatch.setattr(sys, "argv", ["page.py", str(house)])
    page = AppTest.from_file(str(UI / "page.py"), default_timeout=60).run()
    text = words(page)
    assert texts.FRONT_TITLE in text
    assert "Order 3.5 t by 28 January. Nothing to do today." in text
    assert [part.value for part in page.subheader] == [as_text(way.question) for way in WAYS_IN]


def test_an_order_on_its_way_is_shown(open_page: Open, house: Path, made_up: Callable[..., None]) -> None:
    """With an order placed the page says when it comes, and lets the person say what became of it."""
    made_up(with_placed_order())
    page = open_page("when_to_order", house)
    assert heading(page) == "3 t on its way: 20 January to 28 January."
    kinds = page.segmented_control(key="record-kind-0")
    assert record.FELL_THROUGH in kinds.options


def test_nothing_due_is_no_dead_end(open_page: Open, house: Path, made_up: Callable[..., None]) -> None:
    """Without any order due the page still answers, and says for how long that holds."""
    made_up(example_answer(order=None, next_orders=()))
    page = open_page("when_to_order", house)
    assert heading(page) == "Nothing to order before 15 January 2027."
    assert "No order is due within 365 days." in words(page)


# Faults ----------------------------------------------------------------------------------------------------


def test_faults_are_listed_with_their_lines(open_page: Open, house: Path) -> None:
    """A folder that cannot be used shows every fault with file and line; mended, it answers."""
    file = house / "readings.csv"
    sound = file.read_text(encoding="utf-8")
    file.write_text(sound + "2026-01-10,<b>much</b>,,pellets,\n", encoding="utf-8")
    page = open_page("when_to_order", house)
    assert heading(page) == texts.FAULTS_TITLE
    text = words(page)
    assert "readings.csv" in text
    assert f'data-head="Line">{len(sound.splitlines()) + 1}<' in text
    assert "<b>" not in "".join(piece.proto.body for piece in page.get("html"))
    file.write_text(sound, encoding="utf-8")
    page.button[0].click().run()
    assert heading(page) != texts.FAULTS_TITLE


def test_missing_site_file_is_said(open_page: Open, tmp_path: Path) -> None:
    """A folder without site.toml is no crash but a fault that names the file."""
    page = open_page("when_to_order", tmp_path)
    assert heading(page) == texts.FAULTS_TITLE
    assert "site.toml" in words(page)


def test_weather_that_cannot_be_had_is_said(
    open_page: Open, house: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Without weather there is no answer and no guess, but what to do."""

    def offline(*_: object) -> object:
        raise answers.WeatherUnavailable("the stations could not be reached; try again with a network")

    st.cache_resource.clear()
    monkeypatch.setattr(answers, "weather_for", offline)
    page = open_page("when_to_order", house)
    assert heading(page) == texts.WEATHER_TITLE
    assert "try again with a network" in words(page)
    assert page.button[0].label == texts.LOOK_AGAIN


def test_our_own_mistake_shows_no_inside(
    house: Path,
    made_up: Callable[..., None],
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    """A mistake in the program is owned up to in words; its details go to the terminal, not to the page."""
    made_up(RuntimeError("secret inside"))
    monkeypatch.setattr(sys, "argv", ["page.py", str(house)])
    page = AppTest.from_file(str(UI / "page.py"), default_timeout=60).run()
    assert texts.OUR_MISTAKE_TITLE in words(page)
    assert texts.OUR_MISTAKE in words(page)
    assert "secret inside" not in words(page)
    assert "secret inside" in capsys.readouterr().err


# Entries ---------------------------------------------------------------------------------------------------


def test_a_reading_becomes_a_line_and_changes_the_answer(open_page: Open, house: Path) -> None:
    """A reading entered on the page is a line in readings.csv and the new starting point of the answer."""
    page = open_page("when_to_order", house)
    assert "your reading is 12 days old" in words(page)
    before = (house / "readings.csv").read_text(encoding="utf-8")
    page.text_input(key="record-read-0").set_value("1500 kg")
    click(page, texts.SAVE)
    after = (house / "readings.csv").read_text(encoding="utf-8")
    assert after.startswith(before.rstrip("\n"))
    assert "2026-01-15,1500 kg" in after[len(before.rstrip()) :]
    assert "your reading is 12 days old" not in words(page)
    assert page.text_input(key="record-read-1").value == "", "saved twice by a second click otherwise"


def test_an_order_entered_is_on_its_way(open_page: Open, house: Path) -> None:
    """An order entered on the page is remembered in deliveries.csv and shown as on its way."""
    page = open_page("when_to_order", house)
    page.segmented_control(key="record-kind-0").set_value("order").run()
    page.text_input(key="record-ordered-0").set_value("3 t")
    click(page, texts.SAVE)
    last = (house / "deliveries.csv").read_text(encoding="utf-8").splitlines()[-1]
    assert "2026-01-15" in last
    assert "3 t" in last
    assert "On its way, ordered 15 January" in words(page)


WRONG = {
    "letters": "a lot",
    "negative": "-3 t",
    "huge": "99999999 t",
    "empty": "   ",
    "another unit": "20 kW",
    "no unit": "1500",
    "decimal comma": "1,5 t",
    "html": "<script>alert(1)</script>",
    "formula": "=1+1",
    "emoji": "🔥🔥",
    "long": "9" * 10_000,
}


def test_wrong_amounts_are_refused_at_the_form(
    open_page: Open, house: Path, made_up: Callable[..., None]
) -> None:
    """Whatever is typed as a reading: a message at the form, no byte changed, nothing typed lost."""
    made_up(example_answer())
    page = open_page("when_to_order", house)
    before = {file.name: file.read_bytes() for file in house.iterdir()}
    for name, text in WRONG.items():
        page.text_input(key="record-read-0").set_value(text)
        click(page, texts.SAVE)
        assert not page.exception, name
        (fault,) = field_faults(page)
        assert len(fault) > 20, name
        assert {file.name: file.read_bytes() for file in house.iterdir()} == before, name
        assert page.text_input(key="record-read-0").value == text[:LONGEST_AMOUNT], name


def test_demo_houses_stay_as_they_are(open_page: Open) -> None:
    """The demo houses of the project offer no form that would change them."""
    page = open_page("when_to_order", DEMO)
    assert record.DEMO in words(page)
    assert not page.text_input

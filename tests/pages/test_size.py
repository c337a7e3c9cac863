"""The page about store sizes: answer first, drawing to scale, a room to try, faults in words."""

from __future__ import annotations

import base64
import re
import shutil
import sys
from collections.abc import Callable
from html import unescape
from pathlib import Path

import pytest
import streamlit as st
from playwright.sync_api import Browser, expect
from streamlit.testing.v1 import AppTest

import fuelplan.pages
from tests.page_texts import common as texts
from tests.page_texts import size as size_texts

UI = Path(fuelplan.pages.__file__).parent
SCHOOL = UI.parent.parent / "demo_sites" / "village_school"
Open = Callable[[Path], AppTest]
SLOW_MS = 90_000


@pytest.fixture(autouse=True)
def _forget_answers() -> object:
    """No answer of one test may stay in the cache for the next."""
    yield
    st.cache_resource.clear()


@pytest.fixture
def school(tmp_path: Path) -> Path:
    """A copy of the demo school that may be changed."""
    folder = tmp_path / "school"
    shutil.copytree(SCHOOL, folder)
    return folder


@pytest.fixture
def open_page(monkeypatch: pytest.MonkeyPatch) -> Open:
    """Opens the page for a folder, as the server does."""

    def open_it(folder: Path) -> AppTest:
        monkeypatch.setattr(sys, "argv", ["page.py", str(folder)])
        return AppTest.from_file(str(UI / "questions" / "how_big.py"), default_timeout=120).run()

    return open_it


def words(page: AppTest) -> str:
    """All text of our own pieces on a page."""
    assert not page.exception, page.exception
    return unescape("\n".join(piece.proto.body for piece in page.get("html")))


def change(folder: Path, old: str, new: str) -> None:
    """Replace a piece of `site.toml`."""
    text = (folder / "site.toml").read_text()
    assert old in text
    (folder / "site.toml").write_text(text.replace(old, new))


def test_answer_drawing_and_lists_are_on_the_page(open_page: Open, school: Path) -> None:
    """The heading answers; the section is drawn, with words; charts are there; cautions defer to trades."""
    page = open_page(school)
    shown = words(page)
    heading = re.search(r'<h1 class="fp-answer">(.*?)</h1>', shown)
    assert heading is not None
    assert re.fullmatch(
        r"Invented weather, so only a try\. \d+ m³ of room \(\d+ t of pellets to use\) for the store; "
        r"\d+ to \d+ m³ cost about the same\.",
        heading[1],
    )
    assert len(page.get("vega_lite_chart")) == 3
    drawings = re.findall(r'src="data:image/svg\+xml;base64,([^"]+)"', shown)
    assert len(drawings) == 2
    assert all("full: " in base64.b64decode(drawing).decode() for drawing in drawings)
    assert 'alt="The store in section, to scale' in shown
    titles = [part.value for part in page.subheader]
    for title in (
        size_texts.SECTION,
        size_texts.SIZES,
        size_texts.HOPPER,
        size_texts.FIT,
        texts.CAUTIONS_TITLE,
    ):
        assert title in titles
    for said in (
        "best",
        "as good",
        "not met",
        "common practice",
        "licensed trades come first",
        "Invented weather",
    ):
        assert said in shown
    assert "safe to enter" not in shown


def test_a_room_can_be_tried(open_page: Open, school: Path) -> None:
    """A large room is enough where the small one of the folder is judged; the page's answer stays."""
    page = open_page(school)
    before = re.search(r'<h1 class="fp-answer">(.*?)</h1>', words(page))
    for field, value in zip(page.number_input, (7.0, 4.0, 3.0), strict=True):
        field.set_value(value)
    page.button[0].click().run()
    shown = words(page)
    assert "A cellar of 7 x 4 x 3 m is enough" in shown
    after = re.search(r'<h1 class="fp-answer">(.*?)</h1>', shown)
    assert before is not None and after is not None and before[1] == after[1]


def test_a_store_without_a_shape_asks_for_it(open_page: Open, school: Path) -> None:
    """Where only a capacity is known nothing is drawn; the page says what would make a drawing."""
    text = (school / "site.toml").read_text()
    shape = text[text.index('shape = "two slopes"') : text.index('reserve = "1500 kg"')]
    change(school, shape, 'capacity = "26 t"\n')
    (school / "readings.csv").write_text("date,reading,how\n2026-01-07,14 t,measured\n")
    shown = words(open_page(school))
    assert size_texts.SECTION_NONE in shown
    assert "data:image" not in shown


def test_faults_are_shown_where_they_are(open_page: Open, school: Path) -> None:
    """A suction line of 40 m: file, entry and what to write, no traceback."""
    change(school, 'line = "15 m"', 'line = "40 m"')
    shown = words(open_page(school))
    assert texts.FAULTS_TITLE in shown
    assert "40 m is longer than the 20 m" in shown


@pytest.mark.parametrize(("width", "height", "colours"), [(1280, 900, "light"), (390, 844, "dark")])
def test_in_a_real_browser(
    chromium: Browser, served: int, tmp_path: Path, width: int, height: int, colours: str
) -> None:
    """From the front page to the sizes: nothing over the edge, the report comes down, nothing leaves."""
    context = chromium.new_context(
        viewport={"width": width, "height": height},
        color_scheme=colours,
        accept_downloads=True,  # type: ignore[arg-type]
    )
    page = context.new_page()
    page.set_default_timeout(SLOW_MS)
    asked: set[str] = set()
    complaints: list[str] = []
    page.on(
        "request",
        lambda request: asked.add(
            request.url.split("/")[2] if request.url.startswith("http") else "127.0.0.1"
        ),
    )
    page.on("pageerror", lambda problem: complaints.append(str(problem)))
    page.goto(f"http://127.0.0.1:{served}/")
    page.get_by_role("link", name=size_texts.OPEN).click()
    expect(page.get_by_test_id("stVegaLiteChart").first).to_be_visible(timeout=SLOW_MS)
    expect(page.locator("h1.fp-answer")).to_contain_text("m³")
    expect(page.locator(".fp-foot")).to_be_visible(timeout=SLOW_MS)
    drawing = page.locator('img[alt^="The store in section"]')
    box = drawing.bounding_box()
    assert box is not None and 0 < box["width"] <= width
    wide = page.evaluate("() => [document.documentElement.scrollWidth, window.innerWidth]")
    assert wide[0] <= wide[1]
    with page.expect_download() as download:
        page.get_by_role("button", name=size_texts.REPORT_BUTTON).click()
    file = tmp_path / "report.pdf"
    download.value.save_as(file)
    assert file.read_bytes().startswith(b"%PDF-")
    assert complaints == []
    assert {host.split(":")[0] for host in asked} == {"127.0.0.1"}
    context.close()

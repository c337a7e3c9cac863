"""Every page in a real Chromium: from empty to an answer, read by axe-core, no other machine asked."""

from __future__ import annotations

import shutil
import subprocess
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, expect

from fuelplan import answers
from fuelplan.pages import server_command
from fuelplan.pages.parts.ways_in import SIDE_PAGES, WAYS_IN
from tests.browser_pages import SCREEN_NAMES, SCREENS, Visit, begin
from tests.conftest import DEMO_HOUSE, free_port, wait_until_served
from tests.page_texts import common as texts
from tests.page_texts import my_house as my_house_texts
from tests.page_texts import new_house as new_house_texts
from tests.page_texts import spreadsheet as spreadsheet_texts

ANSWER = "h1.fp-answer"
PAGES = ["", *(way.file for way in WAYS_IN), *(side.file for side in SIDE_PAGES)]
Go = Callable[..., Visit]


@pytest.fixture(scope="module")
def houses(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder for houses with one in it: a copy of the demo."""
    folder = tmp_path_factory.mktemp("houses")
    shutil.copytree(DEMO_HOUSE, folder / "lime_tree")
    return folder


@pytest.fixture(scope="module")
def port(houses: Path) -> Iterator[int]:
    """The port on which the pages are served for those houses."""
    port = free_port()
    command = server_command(str(houses), port)
    server = subprocess.Popen(command, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    try:
        wait_until_served(port, server)
        yield port
    finally:
        server.terminate()
        server.wait(timeout=20)


@pytest.fixture(params=SCREENS, ids=SCREEN_NAMES)
def go(
    request: pytest.FixtureRequest, chromium: Browser, port: int, tmp_path_factory: pytest.TempPathFactory
) -> Iterator[Go]:
    """Opens a page on a desktop in light and on a telephone in dark colours; checks each visit at its end."""
    visits: list[Visit] = []
    pictures = tmp_path_factory.getbasetemp() / "pictures"

    def open_it(page: str) -> Visit:
        visits.append(begin(chromium, request.param, port, page.replace("_", "-"), pictures))
        return visits[-1]

    yield open_it
    for visit in visits:
        assert visit.outside() == [], "a request left the machine"
        assert visit.complaints == []
        visit.context.close()


@pytest.mark.parametrize("page", PAGES, ids=[page or "start" for page in PAGES])
def test_every_page_can_be_read_by_everybody(go: Go, page: str) -> None:
    """axe-core finds nothing serious or critical; one heading of the first rank; nothing over the edge."""
    visit = go(page)
    expect(visit.page.locator(ANSWER)).to_be_visible()
    visit.picture(page or "start")
    assert visit.faults() == []
    assert visit.fits()
    expect(visit.page.get_by_role("heading", level=1)).to_have_count(1)


def test_from_nothing_to_an_answer_and_a_folder(go: Go, houses: Path) -> None:
    """Three fields and the invented weather for a try: a newcomer sees the answer and keeps the house."""
    visit = go("")
    page = visit.page
    page.get_by_role("link", name=new_house_texts.LINK).click()
    expect(page.locator(ANSWER)).to_have_text(new_house_texts.QUESTION)
    page.get_by_label(new_house_texts.USE, exact=True).fill("5 t")
    page.get_by_label(new_house_texts.HOLDS, exact=True).fill("6 t")
    page.get_by_label(new_house_texts.LEVEL, exact=True).fill("20 kW")
    page.get_by_role("button", name=new_house_texts.SHOW).click()
    fault = page.get_by_role("alert").filter(has_text="20 kW")
    expect(fault).to_be_visible()
    expect(page.get_by_label(new_house_texts.USE, exact=True)).to_have_value("5 t")
    visit.picture("new-house-fault")
    page.get_by_label(new_house_texts.LEVEL, exact=True).fill("40 %")
    page.get_by_role("button", name=new_house_texts.SHOW).click()
    expect(page.get_by_role("heading", name=new_house_texts.OTHER_TITLE)).to_be_visible()
    visit.picture("new-house-other-weather")
    page.get_by_role("button", name=new_house_texts.OTHERS["invented"]).click()
    expect(page.locator(ANSWER)).to_contain_text(" t ")
    expect(page.get_by_test_id("stVegaLiteChart")).to_be_visible()
    visit.settled()
    assert page.locator(ANSWER).evaluate("n => n.getBoundingClientRect().top < innerHeight"), "out of sight"
    visit.picture("new-house-answer")
    assert visit.faults() == []
    before = set(houses.iterdir())
    page.get_by_role("button", name=new_house_texts.KEEP).click()
    expect(page.get_by_role("status").filter(has_text="Kept in")).to_be_visible()
    expect(page.get_by_role("heading", name=texts.DATES_TITLE)).to_be_visible()
    visit.picture("new-house-kept")
    (made,) = set(houses.iterdir()) - before
    assert answers.open_site(made).table.building.pellets_a_year_kg == 5000
    shutil.rmtree(made)


def test_a_setting_is_changed_and_taken_back(go: Go, houses: Path) -> None:
    """On the page of the house: a new reserve is saved, and one click brings the old one back."""
    file = houses / "lime_tree" / "site.toml"
    before = file.read_text()
    visit = go("my_house")
    page = visit.page
    page.get_by_label(new_house_texts.RESERVE, exact=True).fill("500 kg")
    page.get_by_role("button", name=my_house_texts.SAVE).click()
    expect(page.get_by_role("status").filter(has_text="changed in site.toml")).to_be_visible()
    assert file.read_text() == before.replace('"350 kg"', '"500 kg"')
    visit.settled()
    page.get_by_role("button", name=my_house_texts.UNDO).click()
    expect(page.get_by_role("status").filter(has_text="Undone")).to_be_visible()
    assert file.read_text() == before


def test_a_spreadsheet_is_brought_in(go: Go, houses: Path) -> None:
    """Handed in, looked at row by row, written, and taken back."""
    file = houses / "lime_tree" / "readings.csv"
    before = file.read_text()
    visit = go("spreadsheet")
    page = visit.page
    page.get_by_label(spreadsheet_texts.INTO).click()
    page.get_by_role("option", name=spreadsheet_texts.INTO_NAMES["readings"]).click()
    visit.settled()
    page.locator("input[type=file]").set_input_files(
        {
            "name": "t.csv",
            "mimeType": "text/csv",
            "buffer": b"Date,Level (kg)\n2026-01-10,1650\nx,<b>1</b>\n",
        }
    )
    expect(page.locator("table", has_text="1650 kg")).to_be_visible()
    expect(page.locator("table", has_text="<b>1</b>")).to_have_count(0)
    visit.settled()
    visit.picture("spreadsheet-preview")
    assert visit.faults() == []
    page.get_by_role("button", name=spreadsheet_texts.write(1)).click()
    expect(page.get_by_role("status").filter(has_text="Written into the folder: 1")).to_be_visible()
    assert "2026-01-10,1650 kg" in file.read_text()
    visit.settled()
    page.get_by_role("button", name=my_house_texts.UNDO).click()
    expect(page.get_by_role("status").filter(has_text="Undone")).to_be_visible()
    assert file.read_text() == before


def test_units_are_turned_on_the_page(go: Go) -> None:
    """The choice in “House, day and units” turns the answer and its chart into pounds."""
    visit = go("when_to_order")
    page = visit.page
    expect(page.locator(ANSWER)).to_contain_text(" t by ")
    page.get_by_role("button", name=texts.CHANGE).click()
    page.get_by_role("radio", name=texts.UNITS_NAMES["us"]).click()
    expect(page.locator(ANSWER).first).to_contain_text(" lb by ")  # the one before may still stand under it
    visit.settled()
    expect(page.locator(ANSWER)).to_have_count(1)
    page.keyboard.press("Escape")
    visit.picture("order-us")

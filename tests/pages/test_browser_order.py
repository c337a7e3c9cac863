"""The order page in a real browser: it answers, a slider changes the answer, nothing leaves the machine."""

from __future__ import annotations

import socket
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from urllib.parse import urlsplit

import pytest
from icalendar import Calendar
from playwright.sync_api import Browser, Page, expect

from tests.page_texts import common as texts

ANSWER = "h1.fp-answer"
SLOW_MS = 60_000  # a busy machine may take its time; how long it takes is no matter of these tests


@dataclass
class Visit:
    """A page of the browser, what it asked for and what it complained about."""

    page: Page
    asked: list[str] = field(default_factory=list)
    complaints: list[str] = field(default_factory=list)

    def hosts(self) -> set[str]:
        """Which machines were asked for something."""
        return {
            urlsplit(url).hostname or "" for url in self.asked if urlsplit(url).scheme not in ("data", "blob")
        }


@pytest.fixture(params=[(1280, 900, "light"), (390, 844, "dark")], ids=["desktop", "telephone-dark"])
def visit(request: pytest.FixtureRequest, chromium: Browser, served: int) -> Iterator[Visit]:
    """A visit to the front page, on a desktop in light and on a telephone in dark colours."""
    width, height, colours = request.param
    context = chromium.new_context(
        viewport={"width": width, "height": height}, color_scheme=colours, accept_downloads=True
    )
    page = context.new_page()
    page.set_default_timeout(SLOW_MS)
    expect.set_options(timeout=SLOW_MS)
    seen = Visit(page)
    page.on("request", lambda asked: seen.asked.append(asked.url))
    page.on("websocket", lambda opened: seen.asked.append(opened.url.replace("ws://", "http://")))
    page.on("pageerror", lambda problem: seen.complaints.append(str(problem)))
    page.goto(f"http://127.0.0.1:{served}/")
    yield seen
    context.close()


def settled(page: Page) -> None:
    """Wait until the page has drawn all that it has to show."""
    expect(page.locator(".fp-foot")).to_be_visible()
    expect(page.get_by_test_id("stStatusWidget")).to_have_count(0)


def open_order_page(page: Page) -> None:
    """Go from the front page to the whole answer."""
    page.get_by_role("link", name=texts.FRONT_OPEN).click()
    expect(page.locator(".vega-embed svg, .vega-embed canvas").first).to_be_visible()
    settled(page)


def test_from_the_front_page_to_another_answer(visit: Visit, tmp_path: Path) -> None:
    """The question is answered, a slower supplier brings an earlier day, and nothing leaves the machine."""
    page = visit.page
    expect(page.locator(ANSWER)).to_have_text(texts.FRONT_TITLE)
    expect(page.locator(".fp-short")).to_contain_text("Order")
    open_order_page(page)
    answer = page.locator(ANSWER)
    expect(answer).to_contain_text("t by")
    before = answer.inner_text()
    expect(page.get_by_role("heading", level=1)).to_have_count(1)

    comparison = page.locator("table", has_text="Your plan")
    expect(comparison).to_have_count(0)
    thumb = page.get_by_role("slider", name=texts.LEAD)
    thumb.focus()
    for _ in range(10):
        page.keyboard.press("ArrowRight")
    expect(comparison).to_contain_text("days earlier")
    assert answer.inner_text() == before, "what if is no change of the plan"

    for name in ("whole", "screen"):
        file = tmp_path / f"order-{name}.png"
        page.screenshot(path=file, full_page=name == "whole")
        assert file.stat().st_size > 10_000
    wide = page.evaluate("() => [document.documentElement.scrollWidth, window.innerWidth]")
    assert wide[0] <= wide[1], "nothing reaches beyond the edge of the screen"
    assert visit.complaints == []
    assert visit.hosts() == {"127.0.0.1"}


def test_calendar_is_downloaded(visit: Visit, tmp_path: Path) -> None:
    """The calendar button gives a file with the last day to order and the delivery."""
    page = visit.page
    open_order_page(page)
    with page.expect_download() as download:
        page.get_by_role("button", name=texts.CALENDAR_BUTTON).click()
    file = tmp_path / "dates.ics"
    download.value.save_as(file)
    titles = [str(event["SUMMARY"]) for event in Calendar.from_ical(file.read_bytes()).walk("VEVENT")]
    assert titles[0].startswith("Invented weather: Last day to order")
    assert "boiler off beforehand" in titles[1]


def test_chart_has_words_and_a_table(visit: Visit) -> None:
    """Who cannot see the chart finds its text alternative, and a table that opens under it."""
    page = visit.page
    open_order_page(page)
    chart = page.get_by_test_id("stVegaLiteChart")
    assert "Level of pellets in the store from 15 January 2026" in str(chart.evaluate("n => n.outerHTML"))
    page.get_by_text(texts.TABLE_TITLE).click()
    table = page.locator("table", has_text=texts.TABLE_HEAD[2])
    expect(table).to_be_visible()
    assert table.locator("tbody tr").count() >= 12


def handshake(port: int, host: str, origin: str) -> int:
    """What the server answers when a page of `origin` wants to open the stream that carries all data."""
    ask = [
        "GET /_stcore/stream HTTP/1.1",
        f"Host: {host}",
        f"Origin: {origin}",
        "Upgrade: websocket",
        "Connection: Upgrade",
        "Sec-WebSocket-Version: 13",
        "Sec-WebSocket-Key: MDEyMzQ1Njc4OWFiY2RlZg==",
    ]
    with socket.create_connection(("127.0.0.1", port), timeout=20) as line:
        line.sendall("\r\n".join([*ask, "", ""]).encode())
        return int(line.recv(64).split()[1])


def test_no_other_site_can_read_along(served: int) -> None:
    """The stream opens for the page itself, and for no other name or origin (another tab, a false name)."""
    ours = f"127.0.0.1:{served}"
    assert handshake(served, ours, f"http://{ours}") == 101
    theirs = f"attacker.example:{served}"  # a name that its owner lets point to 127.0.0.1
    assert handshake(served, theirs, f"http://{theirs}") == 403
    assert handshake(served, theirs, f"http://{ours}") == 403
    assert handshake(served, ours, "http://attacker.example") == 403


def test_server_listens_to_this_machine_only(served: int) -> None:
    """The server answers on 127.0.0.1 and on no other address."""
    with socket.socket() as probe:
        probe.settimeout(5)
        assert probe.connect_ex(("127.0.0.1", served)) == 0
    for family, _, _, _, address in socket.getaddrinfo(socket.gethostname(), served, type=socket.SOCK_STREAM):
        if address[0] != "127.0.0.1":
            with socket.socket(family) as probe:
                probe.settimeout(2)
                assert probe.connect_ex(address) != 0, address
    with socket.socket() as probe:
        probe.settimeout(2)
        assert probe.connect_ex(("127.0.0.2", served)) != 0, "it listens on every address"

"""What the tests in a real browser share: a visit that counts what it asks for, axe-core, pictures."""

from __future__ import annotations

import os
from dataclasses import dataclass, field
from pathlib import Path
from urllib.parse import urlsplit

from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, BrowserContext, Page, expect

SLOW_MS = 90_000  # a busy machine may take its time; how long it takes is no matter of these tests
SCREENS = [(1280, 900, "light"), (390, 844, "dark")]
SCREEN_NAMES = ["desktop", "telephone-dark"]
PICTURES_VARIABLE = "FUELPLAN_PICTURES"


@dataclass
class Visit:
    """A page of the browser, what it asked for and what it complained about."""

    page: Page
    context: BrowserContext
    pictures: Path
    asked: list[str] = field(default_factory=list)
    complaints: list[str] = field(default_factory=list)

    def outside(self) -> list[str]:
        """Every request that would leave this machine."""
        parts = [(url, urlsplit(url)) for url in self.asked]
        return [u for u, p in parts if p.scheme not in ("data", "blob") and p.hostname != "127.0.0.1"]

    def picture(self, name: str) -> None:
        """Keep a picture of the whole page."""
        tall = self.page.evaluate("document.querySelector('[data-testid=stMain]').scrollHeight")
        before = self.page.viewport_size
        assert before is not None
        self.page.set_viewport_size({"width": before["width"], "height": min(int(tall) + 40, 6000)})
        self.page.wait_for_timeout(300)
        file = self.pictures / f"{name}-{before['width']}.png"
        self.page.screenshot(path=file)
        self.page.set_viewport_size(before)
        assert file.stat().st_size > 10_000

    def faults(self) -> list[str]:
        """What axe-core finds on the page that is serious or critical."""
        found = Axe().run(self.page).response["violations"]
        return [
            f"{rule['id']}: {node['target']} {node['html'][:160]}"
            for rule in found
            if rule["impact"] in ("serious", "critical")
            for node in rule["nodes"]
        ]

    def fits(self) -> bool:
        """Whether nothing reaches beyond the edge of the screen."""
        script = "() => [document.documentElement.scrollWidth, window.innerWidth]"
        wide = self.page.evaluate(script)
        return bool(wide[0] <= wide[1])

    def settled(self) -> None:
        """Wait until the page has drawn all that it has to show."""
        expect(self.page.locator(".fp-foot")).to_be_visible(timeout=SLOW_MS)
        expect(self.page.get_by_test_id("stStatusWidget")).to_have_count(0, timeout=SLOW_MS)
        self.page.wait_for_timeout(200)


def begin(browser: Browser, screen: tuple[int, int, str], port: int, page: str, pictures: Path) -> Visit:
    """Open a page on a screen of this size and these colours."""
    width, height, colours = screen
    context = browser.new_context(
        viewport={"width": width, "height": height},
        color_scheme="dark" if colours == "dark" else "light",
        accept_downloads=True,
        reduced_motion="reduce",
    )
    opened = context.new_page()
    opened.set_default_timeout(SLOW_MS)
    expect.set_options(timeout=SLOW_MS)
    named = os.environ.get(PICTURES_VARIABLE)
    place = Path(named) if named else pictures
    place.mkdir(parents=True, exist_ok=True)
    visit = Visit(opened, context, place)
    opened.on("request", lambda asked: visit.asked.append(asked.url))
    opened.on("websocket", lambda made: visit.asked.append(made.url.replace("ws://", "http://")))
    opened.on("pageerror", lambda problem: visit.complaints.append(str(problem)))
    opened.goto(f"http://127.0.0.1:{port}/{page}")
    visit.settled()
    return visit

"""Make the pictures of the README again, in Chromium: `python -m tests.pictures`."""

from __future__ import annotations

import shutil
import subprocess
import sys
from pathlib import Path

from playwright.sync_api import Browser, Page, sync_playwright

from fuelplan.pages import server_command
from tests.conftest import BROWSER_FLAGS, DEMO_HOUSE, free_port, wait_until_served
from tests.page_texts import common as texts

FOLDER = Path(__file__).parent.parent / "fuelplan" / "docs" / "pictures"
DESKTOP, TELEPHONE = (1280, 1270), (390, 844)


def main() -> int:
    """Serve the demo house and take every picture."""
    path = shutil.which("chromium") or shutil.which("chromium-browser")
    if path is None:
        sys.stderr.write("the pictures are taken in Chromium: apt-get install chromium\n")
        return 1
    FOLDER.mkdir(parents=True, exist_ok=True)
    port = free_port()
    server = subprocess.Popen(server_command(str(DEMO_HOUSE), port), stdout=subprocess.DEVNULL)
    try:
        wait_until_served(port, server)
        with sync_playwright() as playwright:
            browser = playwright.chromium.launch(executable_path=path, args=list(BROWSER_FLAGS))
            take_all(browser, f"http://127.0.0.1:{port}/")
            browser.close()
    finally:
        server.terminate()
        server.wait(timeout=20)
    return 0


def take_all(browser: Browser, address: str) -> None:
    """Take the front page, the order page on three screens, and the comparison."""
    take(browser, address, "start", (DESKTOP[0], 960), "light")
    take(browser, address + "when-to-order", "order", DESKTOP, "light")
    take(browser, address + "when-to-order", "order-dark", DESKTOP, "dark")
    take(browser, address + "when-to-order", "order-telephone", TELEPHONE, "light")
    take(browser, address + "when-to-order", "what-if", DESKTOP, "light", slower_supplier=True)


def take(
    browser: Browser,
    address: str,
    name: str,
    size: tuple[int, int],
    colours: str,
    slower_supplier: bool = False,
) -> None:
    """Take one picture of what fits on a screen."""
    context = browser.new_context(
        viewport={"width": size[0], "height": size[1]},
        color_scheme="dark" if colours == "dark" else "light",
        device_scale_factor=1,
        reduced_motion="reduce",
    )
    page = context.new_page()
    page.set_default_timeout(60_000)
    page.goto(address)
    page.locator(".fp-foot").wait_for()
    if slower_supplier:
        move_lead_time(page)
    page.get_by_test_id("stStatusWidget").wait_for(state="detached")
    page.wait_for_timeout(1500)  # the chart draws after the page has settled
    file = FOLDER / f"{name}.png"
    page.screenshot(path=file)
    sys.stderr.write(f"{file.name}: {file.stat().st_size / 1000:.0f} kB\n")
    context.close()


def move_lead_time(page: Page) -> None:
    """Let the supplier need ten more working days, and bring the comparison into view."""
    thumb = page.get_by_role("slider", name=texts.LEAD)
    thumb.focus()
    for _ in range(10):
        page.keyboard.press("ArrowRight")
    page.locator("table", has_text=texts.WHAT_IF_HEAD[1]).wait_for()
    page.get_by_role("heading", name=texts.WHAT_IF_TITLE).scroll_into_view_if_needed()
    page.locator("table", has_text=texts.WHAT_IF_HEAD[1]).scroll_into_view_if_needed()


if __name__ == "__main__":
    raise SystemExit(main())

"""How long a person waits at the page: `python -m tests.benchmarks.page` (needs Chromium).

First page: from an empty browser at a server that has just started to the answer on the screen. Click: from a
key press on a what-if slider to the comparison on the screen, each time a new value.
"""

from __future__ import annotations

import statistics
import subprocess
import time
from pathlib import Path

from playwright.sync_api import Page, sync_playwright

from fuelplan.ui import server_command, texts
from tests.conftest import free_port, wait_until_served

DEMO = Path(__file__).resolve().parents[2] / "demo_sites" / "family_house"
CLICKS = 9
ARGUMENTS = ["--no-sandbox", "--disable-gpu", "--disable-dev-shm-usage"]


def first_page_s(page: Page, port: int) -> float:
    """Return the wait for the order page at a fresh server. [s]"""
    start = time.perf_counter()
    page.goto(f"http://127.0.0.1:{port}/when-to-order")
    page.locator(".fp-answer", has_text="t by").wait_for(timeout=60_000)
    return time.perf_counter() - start


def clicks_s(page: Page) -> list[float]:
    """Return the waits for the comparison, one a new value of the slider. [s]"""
    slider = page.get_by_role("slider", name=texts.LEAD)
    slider.focus()
    before, waits = "", []
    for _ in range(CLICKS):
        start = time.perf_counter()
        page.keyboard.press("ArrowRight")
        page.wait_for_function(
            "old => { const t = [...document.querySelectorAll('table')].find(x => "
            "x.innerText.includes('Your plan'));"
            " return t && t.innerText !== old; }",
            arg=before,
            timeout=30_000,
        )
        waits.append(time.perf_counter() - start)
        before = page.locator("table", has_text="Your plan").inner_text()
        time.sleep(0.5)
    return waits


def run() -> dict[str, float]:
    """Return the waits at the demo house's page. [s]"""
    port = free_port()
    server = subprocess.Popen(
        server_command(str(DEMO), port), stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL
    )
    try:
        wait_until_served(port, server)
        with sync_playwright() as web:
            browser = web.chromium.launch(executable_path="/usr/bin/chromium", args=ARGUMENTS)
            page = browser.new_page(viewport={"width": 1280, "height": 900})
            first = first_page_s(page, port)
            time.sleep(3)
            waits = clicks_s(page)
            browser.close()
    finally:
        server.terminate()
        server.wait()
    return {"first page": first, "click, median": statistics.median(waits), "click, slowest": max(waits)}


def main() -> None:
    """Print the table."""
    for name, seconds in run().items():
        print(f"{name:<16}{seconds:>7.2f} s")


if __name__ == "__main__":
    main()

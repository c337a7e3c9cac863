"""How long a person waits at the page: `python -m tests.benchmarks.page` (needs Chromium).

First page: from an empty browser at a server that has just started to the answer on the screen. Click: from a
key press on a what-if slider to the comparison on the screen, each time a new value.
"""

from __future__ import annotations

import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

from playwright.sync_api import Page, sync_playwright

from fuelplan.pages import server_command
from tests.benchmarks.measure import Row
from tests.conftest import free_port, wait_until_served
from tests.page_texts import common as texts

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


BARE = """
import streamlit as st
value = st.slider("bare", 0, 50, 1)
st.write(f"value {value} shown")
"""


def bare_command(script: Path, port: int) -> list[str]:
    """Serve a script of one slider as the dashboard is served."""
    return [
        sys.executable, "-m", "streamlit", "run", str(script), "--server.port", str(port),
        "--server.address", "127.0.0.1", "--server.headless", "true", "--browser.gatherUsageStats", "false",
        "--server.fileWatcherType", "none",
    ]  # fmt: skip


def bare_first_s(page: Page, port: int) -> float:
    """Return the wait for the bare page. [s]"""
    start = time.perf_counter()
    page.goto(f"http://127.0.0.1:{port}/")
    page.get_by_text("value 1 shown").wait_for(timeout=60_000)
    return time.perf_counter() - start


def bare_clicks_s(page: Page) -> list[float]:
    """Return the waits of the bare page's slider. [s]"""
    page.get_by_role("slider", name="bare").focus()
    waits = []
    for n in range(CLICKS):
        start = time.perf_counter()
        page.keyboard.press("ArrowRight")
        page.get_by_text(f"value {n + 2} shown").wait_for(timeout=30_000)
        waits.append(time.perf_counter() - start)
        time.sleep(0.5)
    return waits


def run() -> dict[str, float]:
    """Return the waits at the demo house's page, and of the framework alone at a page of one slider. [s]"""
    found = _waits(lambda port: server_command(str(DEMO), port), first_page_s, clicks_s)
    with tempfile.TemporaryDirectory() as place:
        script = Path(place) / "bare.py"
        script.write_text(BARE, encoding="utf-8")
        bare = _waits(lambda port: bare_command(script, port), bare_first_s, bare_clicks_s)
    return {**found, **{f"{name}, framework alone": seconds for name, seconds in bare.items()}}


def rows(quick: bool) -> list[Row]:
    """First page and click, beside a page of the same framework that holds one slider and one word."""
    found = run()
    return [
        Row(
            what, found[key], None, floor="a page of the same framework with one slider, by the clock",
            times_floor=found[key] / found[f"{key}, framework alone"],
        )
        for key, what in (
            ("first page", "first page, cold, at a server just started"),
            ("click, median", "a click on the page to the new answer, median"),
        )
    ]  # fmt: skip


def _waits(
    command: Callable[[int], list[str]],
    first: Callable[[Page, int], float],
    clicks: Callable[[Page], list[float]],
) -> dict[str, float]:
    """Start a server and measure its first page and clicks. [s]"""
    port = free_port()
    server = subprocess.Popen(command(port), stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    try:
        wait_until_served(port, server)
        with sync_playwright() as web:
            browser = web.chromium.launch(executable_path="/usr/bin/chromium", args=ARGUMENTS)
            page = browser.new_page(viewport={"width": 1280, "height": 900})
            first_s = first(page, port)
            time.sleep(3)
            waits = clicks(page)
            browser.close()
    finally:
        server.terminate()
        server.wait()
    return {"first page": first_s, "click, median": statistics.median(waits), "click, slowest": max(waits)}


def main() -> None:
    """Print the table."""
    for name, seconds in run().items():
        print(f"{name:<34}{seconds:>7.2f} s")


if __name__ == "__main__":
    main()

"""What several test files share: the pages served on this machine, a real browser to look at them, and the
eye on every run plan.
"""

from __future__ import annotations

import shutil
import socket
import subprocess
import sys
import time
import urllib.error
import urllib.request
from collections.abc import Iterator
from pathlib import Path

import pytest
from hypothesis import settings

from fuelplan.units import Reader
from tests.plans_checked import plans_checked

BROWSER_FLAGS = ("--no-sandbox", "--disable-gpu", "--disable-dev-shm-usage")
# No test asserts a duration: by itself hypothesis fails an example that takes more than 200 ms.
settings.register_profile("no duration", deadline=None)
settings.load_profile("no duration")
DEMO_HOUSE = Path(__file__).parent.parent / "demo_sites" / "family_house"


@pytest.fixture(scope="session", autouse=True)
def units_part_from_numbers() -> Iterator[None]:
    """Pages and papers hold a number and its unit together by a no-break space; tests compare their texts
    with plain ones. What holds them is put back in `tests/units/test_unbroken.py`.
    """
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(sys.modules[Reader.__module__], "NO_BREAK", " ")
        yield


@pytest.fixture(autouse=True)
def main_module_stays() -> Iterator[None]:
    """Put back the main module, in whose place tests of pages lay the page: a process that a later test
    spawns would run it.
    """
    main = sys.modules["__main__"]
    yield
    sys.modules["__main__"] = main


@pytest.fixture(autouse=True)
def every_run_plan_is_checked(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """Fail a test whose run plans break a rule that the plan checker knows."""
    with plans_checked(monkeypatch) as broken:
        yield
    assert broken == []


def free_port() -> int:
    """A port on the loopback address that nothing listens on."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


def wait_until_served(port: int, server: subprocess.Popen[bytes], seconds: float = 60) -> None:
    """Return once the server answers; fail when it ends or never does."""
    until = time.monotonic() + seconds
    while time.monotonic() < until:
        assert server.poll() is None, "the server ended by itself"
        try:
            with urllib.request.urlopen(f"http://127.0.0.1:{port}/_stcore/health", timeout=2):
                return
        except (urllib.error.URLError, OSError):
            time.sleep(0.1)
    raise AssertionError("the server never answered")


@pytest.fixture(scope="session")
def own_house(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A site folder of one's own: a copy of the demo house that tests may change."""
    folder = tmp_path_factory.mktemp("sites") / "own_house"
    shutil.copytree(DEMO_HOUSE, folder)
    return folder


@pytest.fixture(scope="session")
def served(own_house: Path) -> Iterator[int]:
    """The port on which the pages are served for `own_house`."""
    from fuelplan.pages import server_command

    port = free_port()
    server = subprocess.Popen(
        server_command(str(own_house), port), stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL
    )
    try:
        wait_until_served(port, server)
        yield port
    finally:
        server.terminate()
        server.wait(timeout=20)


@pytest.fixture(scope="session")
def chromium() -> Iterator[object]:
    """Debian's Chromium, driven by Playwright."""
    from playwright.sync_api import sync_playwright

    path = shutil.which("chromium") or shutil.which("chromium-browser")
    assert path, "the pages are tested in Chromium: apt-get install chromium"
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=path, args=list(BROWSER_FLAGS))
        try:
            yield browser
        finally:
            browser.close()

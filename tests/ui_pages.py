"""What the tests of the pages share: opening one without a browser, and reading what it shows."""

from __future__ import annotations

import re
import shutil
import sys
from collections.abc import Callable
from html import unescape
from pathlib import Path

import pytest
from streamlit.testing.v1 import AppTest

import fuelplan.pages

UI = Path(fuelplan.pages.__file__).parent
DEMO_SITES = UI.parent.parent / "demo_sites"
Open = Callable[..., AppTest]
WRONG = {
    "letters": "a lot",
    "negative": "-3 t",
    "huge": "99999999 t",
    "another unit": "20 m2",
    "decimal comma": "1,5 t",
    "html": "<script>alert(1)</script>",
    "formula": "=1+1",
    "emoji": "🔥🔥",
    "long": "9" * 10_000,
}
"""What people and others type into a field for an amount."""


def copy_of(house: str, folder: Path) -> Path:
    """A copy of a demo house that a test may change."""
    shutil.copytree(DEMO_SITES / house, folder)
    return folder


def opened(page: str, folder: Path | None, monkeypatch: pytest.MonkeyPatch) -> AppTest:
    """One page for a folder, as the server shows it; new houses are kept beside that folder."""
    monkeypatch.setattr(sys, "argv", ["page.py", *([str(folder)] if folder else [])])
    return AppTest.from_file(str(UI / "questions" / f"{page}.py"), default_timeout=120).run()


def words(page: AppTest) -> str:
    """All text of our own pieces on a page."""
    assert not page.exception, page.exception
    return unescape("\n".join(piece.proto.body for piece in page.get("html")))


def heading(page: AppTest) -> str:
    """The answer at the top of a page."""
    return words(page).split('<h1 class="fp-answer">')[1].split("</h1>")[0]


def field_faults(page: AppTest) -> list[str]:
    """What stands under fields that were filled in wrongly."""
    return re.findall(r'<p class="fp-fault" role="alert">(.*?)</p>', words(page))


def click(page: AppTest, label: str) -> AppTest:
    """Press the button of that name."""
    (button,) = [b for b in page.button if b.label == label]
    return button.click().run()

"""How the pages of one house begin where there is nothing to answer for."""

import pytest

from fuelplan.pages.parts import folders
from tests.page_texts import common as texts
from tests.ui_pages import heading, opened, words


@pytest.mark.parametrize("page", ["when_to_order", "how_big", "what_we_burn"])
def test_without_a_house_the_page_says_so_and_what_to_do(page: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """No folder was given, none was made here, and the examples are gone: no traceback, no empty page."""
    monkeypatch.setattr(folders, "offered", list)
    shown = opened(page, None, monkeypatch)
    assert heading(shown) == texts.NO_FOLDER_TITLE
    assert texts.NO_FOLDER in words(shown)

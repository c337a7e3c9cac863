"""What a helper process answers is what the server would answer, and its end is no end of the page."""

from __future__ import annotations

import sys
from concurrent.futures import BrokenExecutor, Future
from datetime import date
from pathlib import Path
from types import ModuleType

import pytest
import streamlit as st

from fuelplan import answers, units
from fuelplan.answers.when_to_order.answer import OrderAnswer
from fuelplan.messages import render
from fuelplan.pages.parts import helpers, load
from tests.ui_pages import copy_of

DAY = date(2026, 1, 15)
WHAT_IF = answers.WhatIf(extra_lead_days=5)


@pytest.fixture
def house(tmp_path: Path) -> Path:
    """A copy of the demo house, and an empty cache."""
    st.cache_resource.clear()
    return copy_of("family_house", tmp_path / "house")


def test_a_helper_gives_the_same_answer_for_the_same_reader(
    house: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """To the kilogram and to the letter, in the reader's own units."""
    # A page run by an earlier test leaves its script, long gone, as the main module that helpers would read.
    monkeypatch.setitem(sys.modules, "__main__", ModuleType("__main__"))
    own = load.order_answer(house, DAY, WHAT_IF)
    asked = helpers.ask(str(house), load.fingerprint(house), DAY, WHAT_IF)
    assert asked is not None
    found = asked.result(timeout=120)
    assert (found.order, found.sentence, found.decision) == (own.order, own.sentence, own.decision)
    with units.written_for(units.reader_in("US")):
        american = helpers.ask(str(house), load.fingerprint(house), DAY, WHAT_IF)
    assert american is not None
    assert " lb" in render(american.result(timeout=120).sentence, units.reader_in("US"))


def test_a_helper_that_has_ended_is_no_end_of_the_page(house: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Where a helper breaks off, the server answers itself; where none is free, it does so at once."""
    broken: Future[OrderAnswer] = Future()
    broken.set_exception(BrokenExecutor("gone"))
    monkeypatch.setattr(load, "anyone_waits", lambda: True)
    monkeypatch.setattr(helpers, "ask", lambda *_: broken)
    assert load.order_answer(house, DAY, WHAT_IF).order is not None
    monkeypatch.setattr(helpers, "ask", lambda *_: None)
    assert load.order_answer(house, DAY, answers.WhatIf(extra_lead_days=6)).order is not None

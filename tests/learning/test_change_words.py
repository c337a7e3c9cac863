"""What is said of changes: since when, by how much, and which way, for every reader."""

from __future__ import annotations

from datetime import date

import pytest

from fuelplan.learning.change_words import changed, maybe_changed
from fuelplan.messages import render, strict
from fuelplan.units import Reader

US = Reader("us", "month first")
WHAT = {"all": "for heating and hot water alike", "slope": "per degree-day", "day": "whatever the weather"}


@pytest.mark.parametrize("kind", WHAT)
@pytest.mark.parametrize("up", [False, True])
@pytest.mark.parametrize("sure", [False, True])
def test_a_change_is_told_by_its_time_its_size_and_its_way(kind: str, up: bool, sure: bool) -> None:
    """A date known to weeks is told by its part of a month, else the months it lies between are."""
    middle = date(2024, 11, 4)
    days = (middle, date(2024, 10, 25) if sure else date(2024, 4, 3), date(2024, 11, 20))
    with strict():
        said = changed(kind, days, 0.16 if up else -0.16, 2.4 if up else -2.4)
        metric, us = render(said), render(said, US)
    assert ("Since about early November 2024" in metric) == sure
    assert ("Some time between April 2024 and November 2024" in metric) == (not sure)
    assert WHAT[kind] in metric and (" more" in metric) == up and (" less" in metric) == (not up)
    assert ("2.4 kg a day" in metric) == (kind == "day") and ("16%" in metric) == (kind != "day")
    assert " kg" not in us


@pytest.mark.parametrize("share", [-0.2, 0.2])
def test_what_began_lately_is_not_called_lasting(share: float) -> None:
    """Which way it seems to go is told, and that it may pass."""
    text = render(maybe_changed(date(2024, 11, 4), share))
    assert "early November 2024" in text and "too early" in text
    assert ("more" in text) == (share > 0) and ("use less" in text) == (share < 0)

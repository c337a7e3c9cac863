"""A number never parts from its unit at the end of a line; programs read a plain space."""

from __future__ import annotations

import json
import re
import sys
from datetime import date
from pathlib import Path

import pytest

from fuelplan import answers
from fuelplan.cli.outcome import hung
from fuelplan.messages import (
    Limits,
    Message,
    Money,
    Percent,
    Price,
    Quantity,
    Range,
    Sides,
    as_message,
    in_document,
    message,
    render,
)
from fuelplan.papers import order_calendar
from fuelplan.units import Reader, unbroken, written_for
from tests.ui_pages import copy_of, heading, opened

DAY = date(2026, 1, 15)
HELD = "\u00a0"
VALUES = (
    (Quantity(3000, "mass"), "3~t", "6,600~lb"),
    (Quantity(20, "temperature"), "20~°C", "68~°F"),
    (Quantity(0.15, "share"), "15%", "15%"),
    (Percent(0.15), "15%", "15%"),
    (Percent(-0.001), "0%", "0%"),
    (Range(1740, 2410, "mass"), "1.7 to 2.5~t", "3,800 to 5,400~lb"),
    (Limits.written(2, 5, "m"), "2 to 5~m", "6.6 to 16~ft"),
    (Sides((2.1, 2.6, 2.2)), "2.1 x 2.6 x 2.2~m", "6.9~ft x 8.5~ft x 7.2~ft"),
    (Money(1090, "EUR"), "1,090~EUR", "1,090~EUR"),
    (Price(0.31, "EUR"), "310~EUR/t", "281~EUR per short ton"),
)


@pytest.fixture(autouse=True)
def held(monkeypatch: pytest.MonkeyPatch) -> None:
    """Here the space is the real one."""
    monkeypatch.setattr(sys.modules[Reader.__module__], "NO_BREAK", HELD)


@pytest.mark.parametrize(("value", "metric", "us"), VALUES)
def test_the_space_before_a_unit_is_held_where_lines_are_made(
    value: Quantity | Range, metric: str, us: str
) -> None:
    """One no-break space between number and unit, none where the sign stands close; else a plain one."""
    for system, text in (("metric", metric), ("us", us)):
        reader = Reader(system)  # type: ignore[arg-type]
        assert render(value, reader) == text.replace("~", " ")
        with written_for(reader), unbroken():
            assert render(value) == text.replace("~", HELD)


def test_a_terminal_never_parts_a_number_from_its_unit() -> None:
    """Whatever stands before it; and what is printed has plain spaces, to be searched and copied."""
    amount = Quantity(3000, "mass")
    for before in range(60, 120):
        said = message("test.line", "{words} {amount} more", words=_words(before), amount=amount)
        lines = hung("", said, "").splitlines()
        assert any("3 t" in line for line in lines) and HELD not in "".join(lines)


def _words(letters: int) -> Message:
    return as_message("x " * (letters // 2) + "x" * (letters % 2))


def test_pages_and_papers_hold_units_and_programs_get_plain_spaces(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The page's answer has "3 t" in one piece; JSON and the calendar have no odd space, whoever asks."""
    folder = copy_of("family_house", tmp_path / "house")
    page = opened("when_to_order", folder, monkeypatch)
    assert re.search(f"\\d{HELD}t", heading(page)) and not re.search(r"\d t\b", heading(page))
    site = answers.open_site(folder)
    with unbroken():
        answer = answers.order(site, answers.weather_for(site, DAY), DAY)
        assert HELD not in json.dumps(in_document(answer.sentence), ensure_ascii=False)
        assert HELD not in order_calendar(answer).decode()

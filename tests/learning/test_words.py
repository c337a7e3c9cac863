"""What is said of a record is said for every reader: days as people write them, amounts in their units."""

from __future__ import annotations

import inspect
import re
from collections.abc import Callable
from datetime import date, timedelta
from typing import Any, get_type_hints

import pytest

from fuelplan.learning import words
from fuelplan.messages import Message, render, strict
from fuelplan.units import Reader

US = Reader("us", "month first")
SAID = [
    one
    for name, one in inspect.getmembers(words, inspect.isfunction)
    if one.__module__ == words.__name__ and not name.startswith("_") and "date" in str(inspect.signature(one))
]


def said_by(function: Callable[..., Message]) -> tuple[Message, int, int]:
    """Call it with days of 2025 and amounts of some hundred kilograms; how many of each it was given."""
    given: dict[str, Any] = {}
    for name, kind in get_type_hints(function).items():
        if name == "return":
            continue
        many = len(given)
        day, kg = date(2025, 1, 3) + timedelta(days=40 * many), 400.0 + 111 * many
        both = (day, day + timedelta(days=30))
        of_kind = {date: day, tuple[date, date]: both, float: kg, str: "heat_meter"}
        given[name] = 0.12 if name == "share" else of_kind[kind]
    told = [day for value in given.values() for day in (value if isinstance(value, tuple) else (value,))]
    days = sum(isinstance(day, date) for day in told)
    return function(**given), days, sum(name.endswith("kg") for name in given)


@pytest.mark.parametrize("function", SAID, ids=lambda one: str(one.__name__))
def test_every_day_and_amount_is_for_its_reader(function: Callable[..., Message]) -> None:
    """No day stands as files write it, and who reads pounds reads no kilogram."""
    with strict():
        said, days, amounts = said_by(function)
        metric, us = render(said), render(said, US)
    for text in (metric, us):
        assert not re.search(r"\d{4}-\d\d-\d\d", text)
    months = "January|February|March|April|May|June|July"
    assert len(re.findall(rf"\b(?:{months})\b", metric)) == days, metric
    assert len(re.findall(rf"\b(?:{months}) \d|(?:early|mid|late) (?:{months})\b", us)) == days, us
    assert len(re.findall(r"\d (?:kg|t)\b", metric)) == amounts, metric
    assert len(re.findall(r"\d (?:lb|short tons?)\b", us)) == amounts and not re.search(r"\d kg\b", us), us


def test_all_that_is_said_of_days_is_looked_at() -> None:
    """The functions found are those that name a reading, a delivery, a spell or a change."""
    assert len(SAID) >= 15

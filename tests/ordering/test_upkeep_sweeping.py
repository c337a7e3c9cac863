"""Chimney sweeping by the rule of the place."""

from __future__ import annotations

from datetime import date

import pytest

from fuelplan.messages import message, render
from fuelplan.ordering.upkeep import SweepingRule, UpkeepError, sweeping_items

AS_OF, UNTIL = date(2026, 1, 15), date(2026, 12, 31)


def test_without_a_rule_it_is_asked_and_not_assumed() -> None:
    """No rule, no date: one question, which names the common practice and, for logs, that more may be
    asked.
    """
    (item,) = sweeping_items(AS_OF, UNTIL, None, logs=True)
    assert item.kind == "question"
    assert (
        "not known here" in render(item.text)
        and "Twice a year is common" in render(item.text)
        and "ask for more" in render(item.text)
    )
    (without_logs,) = sweeping_items(AS_OF, UNTIL, None)
    assert "ask for more" not in render(without_logs.text)


def test_dates_follow_the_rule() -> None:
    """Named months fall in their middle; else evenly from the last sweeping; overdue at once."""
    by_month = sweeping_items(AS_OF, UNTIL, SweepingRule(2, (9, 2)))
    assert [i.day for i in by_month] == [date(2026, 2, 15), date(2026, 9, 15)]
    evenly = sweeping_items(AS_OF, UNTIL, SweepingRule(2), last_swept=date(2025, 10, 1))
    assert [i.day for i in evenly] == [date(2026, 4, 2), date(2026, 10, 2)]
    overdue = sweeping_items(
        AS_OF,
        UNTIL,
        SweepingRule(1, said_by=message("test.code", "the town's code")),
        last_swept=date(2024, 1, 1),
    )
    assert overdue[0].day == date(2026, 1, 16)
    assert "as the town's code asks" in render(overdue[0].text)
    assert sweeping_items(AS_OF, UNTIL, SweepingRule(4))[0].day == date(2026, 2, 14)
    assert all(i.kind == "sweeping" and i.caution_ids == ("sweeping",) for i in evenly)


def test_rules_that_cannot_be() -> None:
    """No sweeping, months that do not match the number, or a last sweeping ahead are refused."""
    for make in (
        lambda: SweepingRule(0),
        lambda: SweepingRule(2, (13, 1)),
        lambda: SweepingRule(2, (3,)),
        lambda: sweeping_items(AS_OF, UNTIL, SweepingRule(1), last_swept=date(2026, 2, 1)),
    ):
        with pytest.raises(UpkeepError):
            make()

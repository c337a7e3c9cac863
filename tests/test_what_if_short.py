"""An answer for comparison leaves out what nobody compares, and says the same of all the rest."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from pathlib import Path

from fuelplan import answers

HOUSE = Path(__file__).parents[1] / "demo_sites" / "family_house"
DAY = date(2026, 1, 15)


def test_a_short_answer_says_what_the_whole_one_says():
    """Date, amount, risk, use and money are those of the whole answer; levels, upkeep and rules are gone."""
    site = answers.open_site(HOUSE)
    prepared = answers.prepare(site, answers.weather_for(site, DAY), DAY)
    what_if = answers.WhatIf(colder_c=1.5, extra_lead_days=4)
    whole = answers.answer_prepared(prepared, what_if)
    short = answers.answer_prepared(prepared, what_if, whole=False)
    assert whole.levels and whole.upkeep and whole.advice is not None
    assert not short.levels and not short.upkeep
    plan, *rules = whole.advice.policies
    assert rules
    said = replace(whole, levels=(), upkeep=(), advice=replace(whole.advice, policies=(plan,)))
    assert repr(short) == repr(said)  # NaN stands for "decided later" and equals nothing

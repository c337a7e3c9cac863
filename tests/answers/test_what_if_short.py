"""An answer for comparison leaves out what nobody compares, and says the same of all the rest."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import date
from pathlib import Path
from shutil import copytree

from fuelplan import answers

HOUSE = Path(__file__).parents[2] / "demo_sites" / "family_house"
DAY = date(2026, 1, 15)


def test_a_short_answer_says_what_the_whole_one_says():
    """Date, amount, risk, use and money are those of the whole answer; levels, upkeep, rules and the later
    orders are gone.
    """
    site = answers.open_site(HOUSE)
    prepared = answers.prepare(site, answers.weather_for(site, DAY), DAY)
    what_if = answers.WhatIf(colder_c=1.5, extra_lead_days=4)
    whole = answers.answer_prepared(prepared, what_if)
    short = answers.answer_prepared(prepared, what_if, whole=False)
    assert whole.levels and whole.upkeep and whole.next_orders and whole.advice is not None
    assert not short.levels and not short.upkeep and not short.next_orders
    plan, *rules = whole.advice.policies
    assert rules
    said = replace(
        whole, levels=(), upkeep=(), next_orders=(), advice=replace(whole.advice, policies=(plan,))
    )
    assert repr(short) == repr(said)  # NaN stands for "decided later" and equals nothing


def test_a_store_without_room_for_a_drop_is_answered_alike(tmp_path):
    """Where no drop fits, nothing is decided anew each week: the risk of a year is that of the plan."""
    folder = copytree(HOUSE, tmp_path / "house")
    table = folder / "site.toml"
    text = table.read_text(encoding="utf-8")
    table.write_text(re.sub(r"(?m)^smallest_drop = .*$", 'smallest_drop = "5.4 t"', text), encoding="utf-8")
    site = answers.open_site(folder)
    prepared = answers.prepare(site, answers.weather_for(site, DAY), DAY)
    short, whole = (answers.answer_prepared(prepared, whole=which) for which in (False, True))
    assert whole.advice is None
    assert short.empty_risk_per_year == whole.empty_risk_per_year > 0
    assert short.warnings == whole.warnings

"""Sizes for a boiler that also burns logs: its buffer by the rules for boilers fed by hand, its store by what
logs and other heat leave to the pellets.
"""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from fuelplan import answers
from fuelplan.answers import SizeAnswer
from fuelplan.messages import as_text
from fuelplan.store import buffer
from tests.answers.test_size import changed

SITES = Path(__file__).parents[2] / "demo_sites"
FARM = SITES / "farmhouse"
DAY = date(2026, 1, 15)


def sized(path: Path) -> SizeAnswer:
    """The size answer of a folder."""
    site = answers.open_for_sizing(path)
    return answers.size(site, answers.weather_for(site, DAY), DAY)


def test_a_boiler_fed_by_hand_gets_the_buffer_of_its_logs(tmp_path: Path) -> None:
    """25 kW by hand: at least 55 l/kW (1. BImSchV §5, elsewhere guidance), and one full load over 40 K.

    24 kg of beech at 18 % water hold 3.98 kWh/kg (5.00·0.82 − 0.68·0.18, ISO 18125), of which about nine
    tenths become useful heat: 85 kWh, and 1.163 Wh per litre and kelvin.
    """
    found = sized(FARM)
    litres = {as_text(rule.source): rule.litres for rule in found.buffer.rules}
    assert litres["guidance: 55 l per kW"] == 55 * 25
    assert litres["arithmetic"] == pytest.approx(24 * 3.98 * 0.9 / (1.163e-3 * 40), rel=0.05)
    assert found.buffer_l == max(litres.values()) == litres["arithmetic"]
    assert "fed by hand" in as_text(found.sentence) and "of about 500 l" not in as_text(found.sentence)
    assert not any("BImSchV" in as_text(r.source) for r in found.buffer.rules)  # a farm in Austria


def test_the_chamber_counts_and_is_asked_for(tmp_path: Path) -> None:
    """12 l per litre of fuel chamber (1. BImSchV §5): 160 l ask for 1,920 l; unknown, it is asked for."""
    assert any("fuel chamber hold? Above 153 l it asks" in as_text(q) for q in sized(FARM).open_questions)
    known = sized(changed(tmp_path, ('load = "24 kg"', 'load = "24 kg"\nchamber = "160 litre"'), of=FARM))
    assert known.buffer_l == 1920
    assert not any("fuel chamber" in as_text(q) for q in known.open_questions)


def test_german_law_is_named_in_germany_only(tmp_path: Path) -> None:
    """The ordinance is the law in Germany; elsewhere it is not named."""
    for country, named in (("DE", True), ("AT", False), (None, False)):
        for by_hand in (True, False):
            rules = buffer.size_rules(25, by_hand=by_hand, house_kw=12, country=country)
            assert any("BImSchV" in as_text(r.source) for r in rules) == named
    assert buffer.size_rules(25, by_hand=False, house_kw=12)[0].litres == 500
    german = changed(tmp_path, ('country = "AT"', 'country = "DE"'), of=FARM)
    assert any("BImSchV" in as_text(r.source) for r in sized(german).buffer.rules)


def test_the_store_holds_what_logs_leave_to_the_pellets() -> None:
    """The farm's year of pellets lies in the range that its order answer says, not at that of a house without
    logs; what it takes without a fire stands beside it.
    """
    site = answers.open_site(FARM)
    ordered = answers.order(site, answers.weather_for(site, DAY), DAY)
    year = next(u for u in ordered.use_kg if u.days == 365 and u.fuel == "pellets")
    found = sized(FARM)
    assert year.p10 * 0.9 <= found.use.mean_kg <= year.p90
    said = next(a.text for a in found.assumptions if a.text.code == "size.logs_loaded")
    assert "if nobody lights a fire" in as_text(said)
    assert found.use.doubt_low < 1 < found.use.doubt_high < 1.5


def test_other_heat_leaves_less_to_the_store(tmp_path: Path) -> None:
    """A heat pump beside the boiler: the size answer burns what the order answer burns, less than without."""
    pump = '[[second_source]]\nkind = "heat pump"\npower = "4 kW"\ndown_to = "2 degC"\n\n[supply]'
    path = changed(tmp_path, ("[supply]", pump), of=SITES / "family_house")
    site = answers.open_site(path)
    ordered = answers.order(site, answers.weather_for(site, DAY), DAY)
    year = next(u for u in ordered.use_kg if u.days == 365)
    found = sized(path)
    assert found.use.mean_kg == pytest.approx(year.p50, rel=0.1)
    assert any("other heat" in as_text(a.text) for a in found.assumptions)

"""The free height over a full store: which was taken, what another published one costs, what is asked."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from pathlib import Path

import pytest

from fuelplan import answers
from fuelplan.answers import OrderAnswer, SizeAnswer
from fuelplan.records.site.to_domain import store_of
from fuelplan.store.bulk import SlopedRoom, Store
from tests.site_folders import make_site

DAY = date(2020, 12, 1)
ROOM = (
    'capacity = "6 t"',
    'shape = "two slopes"\nlength = "3 m"\nwidth = "2 m"\nheight = "2.4 m"\nslope = "45 deg"',
)
ASKED = "How far below the ceiling is the middle of the inlet pipe?"


def both(folder: Path, changes: Sequence[tuple[str, str]]) -> tuple[OrderAnswer, SizeAnswer, Store]:
    """Return the order and the size answer of a house with a sloped room, and its store."""
    site = answers.open_site(make_site(folder, changes=[*changes]))
    weather = answers.weather_for(site, DAY)
    return answers.order(site, weather, DAY), answers.size(site, weather, DAY), store_of(site.table)


def lost_kg(store: Store) -> float:
    """Return what 0.53 m of free height instead of 0.3 m costs a room of 3 x 2 x 2.4 m at 45 deg. [kg]"""
    room = SlopedRoom(length_m=3, width_m=2, height_m=2.4, slope_deg=45)
    return (Store(room).full_m3 - Store(room, dead_height_m=0.53).full_m3) * store.bulk_kg_per_m3


def test_the_assumed_free_height_is_said_with_what_more_would_cost(tmp_path: Path) -> None:
    """Nothing said: 0.3 m is taken, the answer says so, what 0.53 m would cost, and asks for the inlet."""
    order, size, store = both(tmp_path / "a", [ROOM])
    assert store.dead_height_m == 0.3
    cost = f"{lost_kg(store) / 10:.0f}"  # 0.23 m of 6 m2 at 650 kg/m3
    for told in ([*map(str, order.explanation)], [str(a.text) for a in size.assumptions]):
        said = next(text for text in told if "A full store" in text)
        assert "30 cm below the ceiling (assumed)" in said and "53 cm" in said and f"{cost}0 kg less" in said
    assert ASKED in map(str, size.open_questions)
    assert any(ASKED in text for text in map(str, order.explanation))


def test_a_stated_free_height_is_not_asked_for(tmp_path: Path) -> None:
    """ullage = 0.4 m: that one is taken, and nothing is asked."""
    order, size, store = both(tmp_path / "a", [ROOM, ("residue", 'ullage = "0.4 m"\nresidue')])
    assert store.dead_height_m == pytest.approx(0.4)
    assert not any("53 cm" in text for text in map(str, order.explanation))
    assert ASKED not in map(str, size.open_questions) and not any(
        ASKED in text for text in map(str, order.explanation)
    )


def test_fuel_never_lies_above_the_inlet(tmp_path: Path) -> None:
    """The middle of the inlet 55 cm below the ceiling: the store holds less, and less surely fits."""
    inlet = ("[supply]", '[access]\ninlet_below_ceiling = "55 cm"\n[supply]')
    order, size, low = both(tmp_path / "a", [ROOM, inlet])
    usual = both(tmp_path / "b", [ROOM])[2]
    assert low.dead_height_m == pytest.approx(0.55) and low.inlet_clearance_m == pytest.approx(0.55)
    assert low.capacity_kg() < usual.capacity_kg() and low.surely_fits_kg(0) < usual.surely_fits_kg(0)
    told = map(str, order.explanation)
    assert any("55 cm below the ceiling, no higher than the inlet pipe" in text for text in told)
    assert ASKED not in map(str, size.open_questions)
    high = ("[supply]", '[access]\ninlet_below_ceiling = "20 cm"\n[supply]')
    assert both(tmp_path / "c", [ROOM, high])[2].dead_height_m == 0.3


def test_a_capacity_alone_has_no_ceiling(tmp_path: Path) -> None:
    """Where only a capacity is known nothing is said of a free height."""
    order, size, _ = both(tmp_path / "a", [])
    assert not any("A full store" in text for text in map(str, order.explanation))
    assert ASKED not in map(str, size.open_questions)


def test_the_settings_page_asks_for_the_inlet_of_a_room(tmp_path: Path) -> None:
    """Beside measures of a room the inlet can be entered and the store follows; not beside a capacity."""
    folder = make_site(tmp_path / "a", changes=[ROOM])
    assert answers.settings_of(folder)["access.inlet_below_ceiling"] == ""
    answers.change_settings(folder, answers.site_text(folder), {"access.inlet_below_ceiling": "50 cm"})
    assert store_of(answers.open_site(folder).table).dead_height_m == pytest.approx(0.5)
    assert "access.inlet_below_ceiling" not in answers.settings_of(make_site(tmp_path / "b"))

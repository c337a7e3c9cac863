"""Stores that can really be built and filled: rooms with piles, tanks and bags by their own measure."""

from __future__ import annotations

import math
from datetime import date
from pathlib import Path

import pytest

from fuelplan import answers
from fuelplan.answers import SizeAnswer
from fuelplan.messages import as_text
from fuelplan.pages.size import words as size_words
from fuelplan.sizing import LONGEST_M, WIDEST_M, in_question
from fuelplan.store.bulk import FlatRoom, SlopedRoom, Store, filled_volume_m3
from tests.answers.test_size import changed

SITES = Path(__file__).parents[2] / "demo_sites"
SCHOOL, HOUSE = SITES / "village_school", SITES / "family_house"
DAY = date(2026, 1, 20)
SHAPE = 'shape = "two slopes"\nlength = "2.9 m"\nwidth = "2.0 m"\nheight = "2.4 m"\nslope = 45\n'


def sized(path: Path) -> SizeAnswer:
    """The size answer of a folder."""
    site = answers.open_for_sizing(path)
    return answers.size(site, answers.weather_for(site, DAY), DAY)


def test_a_long_room_holds_its_pile_not_its_volume() -> None:
    """320 m³ in a row with one inlet: a pile that falls off by 10 degrees ends after 13 m, by hand.

    Flat floor, 32 x 4 m, 2.5 m high, clearance 0.2 m: the ridge is 2.3/tan 10° = 13.0 m long, so less than
    half of the room's length holds anything; with eight inlets in the side most of it does.
    """
    room = FlatRoom(length_m=32.0, width_m=4.0, height_m=2.5)
    reach_m = 2.3 / math.tan(math.radians(10.0))
    assert reach_m == pytest.approx(13.04, abs=0.01)
    wedge_m3 = 4.0 * reach_m * 2.3 / 2  # a straight wedge; the cone holds a little less
    one, many = Store(room), Store(room, inlets=8, inlets_at="side", suction_points=12)
    assert 0.9 * wedge_m3 < one.surely_full_m3 < wedge_m3
    assert 0 <= one.usable_kg() < one.surely_full_m3 * 650
    assert one.usable_kg() < 0.2 * 320 * 650 < many.usable_kg()


def test_inlets_side_by_side_are_the_highest_of_their_piles() -> None:
    """Two inlets never hold less than one; from a long side the way across is the shorter one."""
    room = SlopedRoom(length_m=6.0, width_m=3.2, height_m=3.0, slope_deg=40.0, channel_m=0.3)
    held = [filled_volume_m3(room, 0.2, 10.0, inlets=n) for n in (1, 2, 3)]
    assert held == sorted(held)
    ends, sides = (filled_volume_m3(room, 0.2, 10.0, inlets=2, along=w) for w in ("end", "side"))
    assert sides > ends


def test_sizes_vary_within_what_a_room_can_be() -> None:
    """Every size is within what a room can be, has inlets for its piles, and holds more the larger it is."""
    store = Store(SlopedRoom(length_m=6.0, width_m=3.2, height_m=3.0, slope_deg=40.0, channel_m=0.3))
    asked = in_question(store, "room", [15.0, 36.0, 58.0, 95.0, 145.0, 320.0, 900.0])
    assert len(asked.builds) == len(asked.sizes) < 7
    assert asked.too_large_m3 in (320.0, 900.0)
    for build, m3 in zip(asked.builds, asked.sizes.room_m3, strict=True):
        assert build.length_m <= LONGEST_M and build.width_m <= WIDEST_M
        assert build.length_m * build.width_m * 3.0 == pytest.approx(m3)
    assert asked.builds[-1].inlets > 1
    share = asked.sizes.usable_kg / asked.sizes.room_m3
    assert (share > 0.45 * share.max()).all()
    assert (asked.sizes.usable_kg[1:] > asked.sizes.usable_kg[:-1]).all()


def test_keys_of_the_inlets_reach_the_store(tmp_path: Path) -> None:
    """Two inlets in the side of the school's store: more can be used of it than through one in its end."""
    two = changed(tmp_path, ("[store]\n", '[store]\ninlets = 2\ninlets_at = "side"\n'))
    assert sized(two).present.usable_kg > 1.1 * sized(SCHOOL).present.usable_kg


def test_a_tank_is_held_against_tanks(tmp_path: Path) -> None:
    """A buried tank of 15 m³ that holds more than the range is told so, and speaks of tank, not of room."""
    tank = changed(tmp_path, (SHAPE, 'shape = "buried tank"\ndiameter = "2.2 m"\nlength = "4 m"\n'), of=HOUSE)
    found = sized(tank)
    assert found.present.room_m3 == pytest.approx(math.pi * 1.1**2 * 4.0, rel=0.01)  # 15.2 m³ inside
    assert "smaller" not in as_text(found.present_said) and "less than" not in as_text(found.present_said)
    assert as_text(found.present_said).startswith("The tank of the folder (15 m³,")
    assert "of tank" in as_text(found.sentence) and "of room" not in as_text(found.sentence)
    assert "of tank" in as_text(size_words.headline(found))
    per_m3 = [o.usable_kg / o.room_m3 for o in found.options]
    own = found.present.usable_kg / found.present.room_m3
    assert per_m3 == pytest.approx([own] * len(per_m3), rel=1e-6)
    assert found.builds == ()


def test_bags_stand_on_pallets(tmp_path: Path) -> None:
    """Bags carried by hand: pallets and their floor, nothing about hoses, couplings, mats or vent lines."""
    by_hand = '[conveying]\nhow = "hand"\nbag = "15 kg"\n\n[risk]'
    bags = changed(tmp_path, (SHAPE, 'capacity = "3 t"\n'), ("[risk]", by_hand), of=HOUSE)
    for name in ("readings.csv", "deliveries.csv"):
        first = (bags / name).read_text().splitlines()[0]
        (bags / name).write_text(first + "\n")
    found = sized(bags)
    assert found.thing == "pallets"
    assert "pallets" in as_text(found.sentence) and "of floor" in as_text(found.sentence)
    assert as_text(found.present_said).startswith("The stock of the folder (3 t in bags)")
    said = " ".join(as_text(line.question) for line in found.fit).lower()
    assert not any(word in said for word in ("hose", "coupling", "mat", "ventilation", "suction", "inlet"))
    assert "Width of the way in" in [as_text(line.question) for line in found.fit]
    assert all(o.usable_kg % 1000 == 0 for o in found.options)


def test_one_size_comes_first_and_a_hopper_that_no_night_empties() -> None:
    """Sentence and headline begin with one size; the hopper told is empty on no night of its own table."""
    for path in (SCHOOL, HOUSE, SITES / "farmhouse"):
        found = sized(path)
        assert found.store is not None and found.hopper is not None
        first = f"A store of {found.store.room_m3:.0f} m³ of room"
        assert first in as_text(found.sentence).removeprefix(
            "Worked out with invented weather: do not act on it. "
        )
        assert "costs within 3%" in as_text(found.sentence)
        assert f"{found.store.room_m3:.0f} m³ of room" in as_text(size_words.headline(found)).split(";")[0]
        asked = found.hopper.proposed_kg
        assert asked is not None
        row = min(found.hopper.options, key=lambda o: abs(o.size_kg - asked))
        assert row.size_kg == pytest.approx(asked) and row.nights_empty_per_winter == 0
        assert row.works_in_coldest_week

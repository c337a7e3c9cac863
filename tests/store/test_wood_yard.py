"""The wood yard: stacks that are filled, counted, measured and burned."""

from __future__ import annotations

from datetime import date, timedelta

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fuelplan.heat.fuels import MoistureWet, logs, species
from fuelplan.store.log_pile import PileClimate, PileLot, Stack, StackCount, yard_on
from fuelplan.store.log_pile.climate import USUAL_HUMIDITY_PCT

AIR_C = (0.0, 1.5, 5.0, 9.0, 13.5, 17.0, 19.0, 18.5, 14.5, 9.5, 4.5, 1.0)
CLIMATE = PileClimate(AIR_C, USUAL_HUMIDITY_PCT)
DAY, START = date(2025, 12, 31), date(2025, 10, 1)
BEECH, SPRUCE = species("beech"), species("spruce")
WALL, BARN = Stack("wall", BEECH), Stack("barn", SPRUCE)
OLD = PileLot(BEECH, 8.0, date(2023, 3, 1), name="wall")
GREEN = PileLot(SPRUCE, 6.0, date(2025, 10, 20), name="barn")
KWH_A_M3 = logs("beech", MoistureWet(0.14)).kwh_per_stacked_m3


def burned(m3_a_day: float) -> tuple[date, np.ndarray]:
    """Every day of the winter so much of dry beech."""
    return START, np.full((DAY - START).days + 1, m3_a_day * KWH_A_M3)


def left(lots: tuple[PileLot, ...]) -> dict[str, float]:
    """Stacked metres by stack."""
    names = {lot.name for lot in lots}
    return {name: sum(lot.stacked_m3 for lot in lots if lot.name == name) for name in names}


def test_burning_takes_dry_wood_and_leaves_green() -> None:
    """92 days of 0.05 m³ come from the dry wall; ten times as much empties it and never touches the barn."""
    some = yard_on([WALL, BARN], [OLD, GREEN], [], DAY, CLIMATE, burned_kwh=burned(0.05))
    assert left(some)["wall"] == pytest.approx(8.0 - 92 * 0.05, rel=0.02) and left(some)["barn"] == 6.0
    most = yard_on([WALL, BARN], [OLD, GREEN], [], DAY, CLIMATE, burned_kwh=burned(0.5))
    assert left(most) == {"barn": 6.0}


def test_a_count_holds_for_its_stack_alone() -> None:
    """What was counted is there on that evening and shrinks from then on; the other stack stays."""
    count = StackCount("wall", date(2025, 12, 21), 3.0, "stacked_m3")
    now = yard_on([WALL, BARN], [OLD, GREEN], [count], DAY, CLIMATE, burned_kwh=burned(0.05))
    assert left(now)["wall"] == pytest.approx(3.0 - 10 * 0.05, rel=0.02) and left(now)["barn"] == 6.0
    then = yard_on([WALL, BARN], [OLD, GREEN], [count], count.day, CLIMATE, burned_kwh=burned(0.05))
    assert left(then)["wall"] == pytest.approx(3.0)


def test_a_stack_that_people_count_is_the_one_in_use() -> None:
    """Two dry stacks: the younger one is counted, so the older one is not burned by reckoning."""
    other = PileLot(BEECH, 5.0, date(2022, 3, 1), name="barn")
    count = StackCount("wall", date(2025, 11, 1), 7.0, "stacked_m3")
    now = yard_on([WALL, BARN], [OLD, other], [count], DAY, CLIMATE, burned_kwh=burned(0.05))
    assert left(now)["barn"] == 5.0 and left(now)["wall"] == pytest.approx(7.0 - 60 * 0.05, rel=0.02)


def test_a_count_in_kilograms_is_of_the_wood_that_lies_there() -> None:
    """900 kg of green spruce are far less wood than 900 kg of dry spruce."""
    green = StackCount("barn", DAY, 900.0, "kg")
    dry = StackCount("barn", DAY, 900.0, "kg", MoistureWet(0.15))
    wet, measured = (
        left(yard_on([BARN], [GREEN], [c], DAY, CLIMATE, burned_kwh=burned(0)))["barn"] for c in (green, dry)
    )
    assert measured == pytest.approx(900 / logs("spruce", MoistureWet(0.15)).kg_per_stacked_m3)
    assert wet < 0.75 * measured


def test_a_mixed_stack_loses_its_dry_wood_first() -> None:
    """4 of 14 m³ are gone from a stack of dry beech under green spruce: it was beech that was burned."""
    top = PileLot(SPRUCE, 6.0, date(2025, 10, 20), name="wall")
    count = StackCount("wall", DAY, 10.0, "stacked_m3")
    now = yard_on([WALL], [OLD, top], [count], DAY, CLIMATE, burned_kwh=burned(0))
    assert {lot.species.name: lot.stacked_m3 for lot in now} == pytest.approx({"beech": 4.0, "spruce": 6.0})


def test_more_than_was_known_is_of_the_stack_s_own_kind() -> None:
    """A stack in which more is found, or of which nothing was known, holds what its settings say."""
    count = StackCount("wall", DAY, 11.0, "stacked_m3")
    more = yard_on([WALL], [OLD], [count], DAY, CLIMATE, burned_kwh=burned(0))
    assert [(lot.since, lot.stacked_m3) for lot in more] == [(OLD.since, 11.0)]
    alone = Stack("", BEECH, MoistureWet(0.18))
    count = StackCount("", DAY, 2.0, "stacked_m3")
    (new,) = yard_on([alone], [], [count], DAY, CLIMATE, burned_kwh=burned(0))
    assert new.stacked_m3 == pytest.approx(2.0) and new.moisture == MoistureWet(0.18)


@settings(max_examples=60, deadline=None)
@given(st.floats(0, 0.4), st.floats(0, 12), st.floats(0, 12), st.integers(0, 91), st.integers(0, 91))
def test_the_books_of_the_yard_balance(
    a_day: float, found: float, came: float, on: int, came_on: int
) -> None:
    """No stack goes below nothing; a stack that nobody counts never grows but by what is brought; a count is
    what lies there on its evening.
    """
    counted_on = START + timedelta(days=on)
    lots = [OLD, GREEN, PileLot(BEECH, came, START + timedelta(days=came_on), MoistureWet(0.17), name="barn")]
    counts = [StackCount("wall", counted_on, found, "stacked_m3")]
    now = yard_on([WALL, BARN], lots, counts, DAY, CLIMATE, burned_kwh=burned(a_day))
    assert all(lot.stacked_m3 > 0 for lot in now)
    assert 6.0 - 1e-9 <= left(now)["barn"] <= 6.0 + came + 1e-9
    assert left(now).get("wall", 0.0) <= found + 1e-9
    then = yard_on([WALL, BARN], lots, counts, counted_on, CLIMATE, burned_kwh=burned(a_day))
    assert left(then).get("wall", 0.0) == pytest.approx(found, abs=1e-6)

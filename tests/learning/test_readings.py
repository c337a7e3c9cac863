"""Readings and deliveries of every kind become kilograms with their errors."""

from __future__ import annotations

import math
from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fuelplan.learning import readings as r

DAY = date(2024, 1, 10)


def test_per_cent_by_eye_is_ten_points_of_the_capacity() -> None:
    """Half a store of 6 t told by eye is 3 t, give or take 600 kg, and sees a volume."""
    o = r.percent(DAY, 0.5, 6000.0)
    assert (o.kg, o.sd_kg) == (3000.0, 600.0)
    assert o.sees_volume and o.is_level and not o.is_count
    assert o.moment == "evening"


def test_marks_at_several_points_add_the_unevenness() -> None:
    """Three depths are averaged through the store's rule; a crater widens the doubt."""
    rule = lambda cm: (20.0 * cm, 60.0)  # noqa: E731
    one = r.mark(DAY, 80.0, rule)
    flat = r.mark(DAY, [80.0, 80.0, 80.0], rule)
    crater = r.mark(DAY, [110.0, 40.0, 90.0], rule)
    assert one.kg == flat.kg == crater.kg == 1600.0
    assert flat.sd_kg == one.sd_kg == 60.0
    # spread of 2200, 800, 1800 kg: sd 721.1, standard error 416.3
    assert crater.sd_kg == pytest.approx(math.hypot(60.0, 721.110 / math.sqrt(3)), rel=1e-4)


def test_bags_and_full_and_empty() -> None:
    """20 bags are 300 kg; a full store is its capacity, an empty one was so before the day's delivery."""
    assert r.bags(DAY, 20).kg == 300.0 and r.bags(DAY, 20).sd_kg == 7.5
    assert r.full(DAY, 5000.0).kg == 5000.0 and r.full(DAY, 5000.0).sees_volume
    empty = r.ran_empty(DAY, 5000.0)
    assert empty.kg == 0.0 and empty.moment == "before_delivery" and not empty.sees_volume


def test_heat_meter_is_kilograms_by_useful_heat() -> None:
    """8,200 kWh at 4.1 kWh per kg are 2,000 kg on a meter whose scale is doubtful."""
    o = r.heat_meter(DAY, 8200.0, 4.1)
    assert o.kg == pytest.approx(2000.0) and o.is_count and o.scale_rel_sd == 0.10 and o.meter == "heat"


def test_deliveries_weighed_unweighed_and_ordered_only() -> None:
    """A weigh note is good to 1 %, none to 10 %; an ordered amount to 10 % or 200 kg, whichever is more."""
    assert r.delivery(DAY, 4000.0).sd_kg == 40.0
    assert r.delivery(DAY, 4000.0, weighed_ticket=False).sd_kg == 400.0
    ordered = r.delivery(DAY, ordered_kg=1500.0)
    assert (ordered.kg, ordered.sd_kg, ordered.weighed) == (1500.0, 200.0, False)
    assert r.delivery(DAY, ordered_kg=6000.0).sd_kg == 600.0


def test_ordered_amount_never_replaces_what_came() -> None:
    """Where both are known, what came counts."""
    d = r.delivery(DAY, 3400.0, ordered_kg=4000.0)
    assert d.kg == 3400.0 and d.ordered_kg == 4000.0


def test_what_went_in_says_how_much_there_can_have_been() -> None:
    """4 t into a store of 6 t: there were at most 2 t before, give or take what the weigh note is off."""
    room = r.room_for(r.Delivery(DAY, 4000.0, 40.0), 6000.0)
    assert room is not None and room.kg == 2000.0 and room.sd_kg == 40.0 and not room.is_level
    assert r.room_for(r.Delivery(DAY, 7000.0, 70.0), 6000.0) is None


@pytest.mark.parametrize(
    ("make", "says"),
    [
        (lambda: r.percent(DAY, 50.0, 6000.0), "0 % to 100 %"),
        (lambda: r.percent(DAY, 0.5, 0.0), "capacity"),
        (lambda: r.weighed(DAY, -5.0), "0 kg or more"),
        (lambda: r.mark(DAY, [], lambda cm: (cm, 1.0)), "depths of fill"),
        (lambda: r.heat_meter(DAY, 10.0, 0.0), "above 0"),
        (lambda: r.delivery(DAY), "write the kg on the weigh note"),
        (lambda: r.Delivery(DAY, float("nan"), 1.0), "no amount"),
        (lambda: r.Observation(DAY, 10.0, 1.0, "counter"), "name of its meter"),
        (lambda: r.Observation(DAY, 10.0, 0.0), "above 0 kg"),
    ],
)
def test_what_cannot_be_is_refused_in_a_sentence(make: object, says: str) -> None:
    """Each impossible reading says what is wrong and what to write."""
    with pytest.raises(r.ReadingError, match=says):
        make()  # type: ignore[operator]


@given(st.floats(0, 1), st.floats(100, 20_000))
def test_a_share_stays_inside_the_store(share: float, capacity_kg: float) -> None:
    """A share of the store is never below nothing or above its capacity, and its doubt is above 0."""
    o = r.percent(DAY, share, capacity_kg)
    assert 0 <= o.kg <= capacity_kg and o.sd_kg > 0


def test_a_guess_is_named_and_widened() -> None:
    """An estimated reading keeps its number, is named, and counts for less."""
    o = r.guessed(r.weighed(DAY, 1000.0))
    assert o.estimated and o.kg == 1000.0 and o.sd_kg == 60.0

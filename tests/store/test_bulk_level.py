"""A store's usable mass, what surely fits, level marks and the drawing in section."""

from __future__ import annotations

import math
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import fuelplan
from fuelplan.store.bulk import (
    FabricBag,
    FlatRoom,
    HorizontalTank,
    PyramidBottom,
    Shape,
    SlopedRoom,
    SphereTank,
    Store,
    StoreError,
    UprightTank,
    section_of,
)

SHAPES: list[Shape] = [
    SlopedRoom(3.0, 2.0, 2.4, 45.0),
    SlopedRoom(2.6, 2.1, 2.2, 40.0, 0.3, 1),
    FlatRoom(3.0, 2.0, 2.4),
    PyramidBottom(2.2, 2.0, 2.3, 0.9, 0.2),
    FabricBag(2.0, 2.0, 2.2, 0.8),
    HorizontalTank(2.0, 3.5),
    SphereTank(2.5),
    UprightTank(2.5, 4.0, 1.2),
]
shapes = st.sampled_from(SHAPES)
ROOM = Store(SHAPES[0])


def test_room_rule_of_the_associations() -> None:
    """Austrian and German pellet associations' room rule: two thirds of 14.4 m³ at 650 kg/m³ and 5 kWh/kg."""
    assert ROOM.full_m3 == pytest.approx(9.6, abs=0.05)
    assert ROOM.capacity_kg() * 5.0 == pytest.approx(9.6 * 650 * 5.0, rel=1e-9)


def test_what_surely_fits_by_hand() -> None:
    """A known capacity of 6,500 kg at 650 kg/m³ is 10 m³: 6,000 kg at 600 kg/m³, less 1,234 kg, in whole
    steps."""
    store = Store.of_capacity(6500.0)
    assert store.surely_fits_kg(1234.0) == 4700.0
    assert store.surely_fits_kg(1234.0, step_kg=500.0) == 4500.0
    assert store.surely_fits_kg(6100.0) == 0.0


def test_cone_and_inlet_clearance_are_taken_off() -> None:
    """In a shaped room less surely fits than the flat dead height alone would leave, and less with a
    steeper cone."""
    level_only = math.floor(ROOM.full_m3 * 600.0 / 100.0) * 100.0
    assert ROOM.surely_fits_kg(0.0) < level_only
    assert Store(SHAPES[0], cone_deg=20.0).surely_fits_kg(0.0) < ROOM.surely_fits_kg(0.0)
    assert Store(SHAPES[0], inlet_clearance_m=0.5).surely_fits_kg(0.0) < ROOM.surely_fits_kg(0.0)


@given(
    shape=shapes, level=st.floats(0, 9000), more=st.floats(0, 2000), step=st.sampled_from([1.0, 100.0, 500.0])
)
def test_what_surely_fits_really_fits(shape: Shape, level: float, more: float, step: float) -> None:
    """At 600 kg/m³ stock and drop never exceed the full volume; more stock never makes more room."""
    store = Store(shape)
    fits = store.surely_fits_kg(level, step)
    assert fits % step == pytest.approx(0.0, abs=1e-6)
    assert fits == 0.0 or (fits + level) / 600.0 <= store.full_m3 + 1e-9
    assert store.surely_fits_kg(level + more, step) <= fits


def test_residue_depends_on_how_fuel_is_drawn() -> None:
    """Steep floors with an auger leave 1 %; one suction point in the long channel leaves far more; a stated
    one counts."""
    assert ROOM.unusable_kg == pytest.approx(0.01 * ROOM.capacity_kg())
    assert Store(SHAPES[0], suction_points=1).unusable_kg > 5 * ROOM.unusable_kg
    assert Store(SHAPES[0], suction_points=3).unusable_kg < Store(SHAPES[0], suction_points=1).unusable_kg
    filled_kg = ROOM.surely_full_m3 * ROOM.bulk_kg_per_m3
    assert Store(SHAPES[0], residue_kg=400.0).usable_kg() == pytest.approx(filled_kg - 400.0)
    assert Store(FlatRoom(3.0, 2.0, 2.4)).unusable_kg > 1000.0
    assert Store.of_capacity(4000.0).usable_kg() == pytest.approx(3880.0)


@settings(max_examples=40, deadline=None)
@given(shape=shapes, at=st.floats(0.45, 0.7), down=st.floats(0.01, 0.1))
def test_a_higher_mark_is_more_fuel(shape: Shape, at: float, down: float) -> None:
    """From the top or from the bottom, one mark or three: kilograms rise with the level."""
    store = Store(shape)
    top = 100 * shape.top_m
    low, high = at * top, (at + down) * top
    assert store.kg_from_mark(high, "bottom").kg > store.kg_from_mark(low, "bottom").kg
    assert store.kg_from_mark(top - high).kg == pytest.approx(store.kg_from_mark(high, "bottom").kg)
    three = (0.0, 5.0, -5.0)
    lower, higher = (store.kg_from_mark(tuple(z + t for t in three), "bottom") for z in (low, high))
    assert higher.kg > lower.kg


@pytest.mark.parametrize("shape", SHAPES, ids=lambda s: s.kind)
def test_marks_round_a_level_surface_give_its_mass(shape: Shape) -> None:
    """Five marks on a level surface at half height give the mass below it within 5 %, and a small error."""
    store = Store(shape)
    half = shape.top_m * 50
    w, d = shape.width_x_m * 0.25, shape.length_y_m * 0.35
    level = store.kg_from_mark((half,) * 5, "top", points=((0, 0), (w, d), (-w, d), (w, -d), (-w, -d)))
    true_kg = float(shape.volume_below_m3(shape.top_m / 2)) * 650.0
    assert level.kg == pytest.approx(true_kg, rel=0.05)
    assert level.sd_kg < 0.12 * true_kg


@pytest.mark.parametrize("shape", SHAPES, ids=lambda s: s.kind)
def test_more_marks_say_more(shape: Shape) -> None:
    """Three marks have a smaller error than one; the bulk density's doubt always stays."""
    store = Store(shape)
    middle = 50 * shape.top_m
    one, three = store.kg_from_mark(middle), store.kg_from_mark((middle,) * 3)
    assert three.sd_kg < one.sd_kg
    assert three.sd_kg > three.kg * store.bulk_sd_kg_per_m3 / 650.0


@pytest.mark.parametrize("shape", [SHAPES[0], SHAPES[1], SHAPES[5]], ids=lambda s: s.kind)
@pytest.mark.parametrize("count", [1, 3])
def test_the_stated_error_covers_random_surfaces(shape: Shape, count: int) -> None:
    """For 200 random cones and craters no steeper than 35°, the 8-in-10 range holds 7 to 9 in 10, without
    bias."""
    store = Store(shape, bulk_low_kg_per_m3=649.999, bulk_kg_per_m3=650.0, bulk_high_kg_per_m3=650.001)
    rng = np.random.default_rng(5)
    plan = shape.plan(40)
    points = tuple((0.0, y * shape.length_y_m) for y in ((0.0,) if count == 1 else (-0.27, 0.0, 0.27)))
    held, off = 0, []
    while len(off) < 200:
        x, y = rng.uniform(-0.5, 0.5) * shape.width_x_m, rng.uniform(-0.5, 0.5) * shape.length_y_m
        tan = math.tan(math.radians(rng.triangular(-35, 0, 35)))
        middle = 0.55 * shape.top_m - 0.3 * tan * shape.length_y_m
        height = middle + tan * np.hypot(plan.x_m - x, plan.y_m - y)
        true_kg = float((np.clip(height, plan.floor_m, plan.ceiling_m) - plan.floor_m) @ plan.area_m2) * 650.0
        at = np.array([middle + tan * math.hypot(px - x, py - y) for px, py in points])
        seen = tuple((100 * at + rng.normal(0, 2.0, count) + rng.normal(0, 5.0, count)).tolist())
        if max(seen) > 100 * shape.top_m or min(seen) < 0:
            continue
        level = store.kg_from_mark(seen, "bottom", points)
        held += abs(true_kg - level.kg) <= 1.28 * level.sd_kg
        off.append((true_kg - level.kg) / level.sd_kg)
    assert 0.70 <= held / 200 <= 0.90
    assert abs(np.mean(off)) < 0.25


def test_a_mark_line_for_the_wall() -> None:
    """Where 1,000 kg stand is a mark that a level surface gives back."""
    cm = ROOM.mark_from_kg(1000.0, "bottom")
    assert (
        float(ROOM.shape.volume_below_m3(cm / 100)) * 650.0 == pytest.approx(1000.0) if ROOM.shape else False
    )
    assert ROOM.mark_from_kg(1000.0, "top") == pytest.approx(240.0 - cm)


@pytest.mark.parametrize(
    ("act", "says"),
    [
        (lambda: ROOM.kg_from_mark(250.0), "240 cm high"),
        (lambda: ROOM.kg_from_mark(-3.0), "does not lie in a store"),
        (lambda: ROOM.kg_from_mark(20.0, "bottom", ((0.9, 0.0),)), "below the floor there"),
        (lambda: Store(SHAPES[6]).kg_from_mark(10.0, "top", ((0.0, 1.1),)), "above the ceiling there"),
        (lambda: ROOM.kg_from_mark(100.0, "top", ((3.0, 0.0),)), "outside the store"),
        (lambda: ROOM.kg_from_mark((100.0, 90.0), "top", ((0.0, 0.0),)), "one point for each mark"),
        (lambda: ROOM.kg_from_mark(()), "at least one mark"),
        (lambda: Store.of_capacity(4000).kg_from_mark(100.0), "only a capacity is known"),
        (lambda: Store.of_capacity(4000).mark_from_kg(100.0), "only a capacity is known"),
        (lambda: Store.of_capacity(0.0), "write e.g. 3500 kg"),
        (lambda: Store(SHAPES[0], dead_height_m=2.4), "leaves nothing of a store"),
        (lambda: Store(SHAPES[0], inlet_clearance_m=-0.1), "leaves nothing of a store"),
        (lambda: Store(SHAPES[0], residue_kg=9000.0), "leaves nothing to use"),
        (lambda: Store(SHAPES[0], cone_deg=90.0), "usually 30 to 40"),
        (lambda: Store(SHAPES[0], bulk_kg_per_m3=500.0), "must rise"),
        (lambda: Store(None), "either a shape or a capacity"),
        (lambda: ROOM.surely_fits_kg(-1.0), "amounts above zero"),
        (lambda: section_of(ROOM, 9000.0), "holds 7410 kg up to its ceiling"),
        (lambda: section_of(Store.of_capacity(4000), 0.0), "give its shape"),
    ],
)
def test_what_cannot_be_is_refused_in_one_sentence(act: Callable[[], object], says: str) -> None:
    """Ullage above the ceiling, a mark below the floor, no shape: each says what to write instead."""
    with pytest.raises(StoreError, match=says):
        act()


def area_m2(polygon: tuple[tuple[float, float], ...]) -> float:
    """Area of a closed polygon (shoelace)."""
    return 0.5 * abs(
        sum(x0 * z1 - x1 * z0 for (x0, z0), (x1, z1) in zip(polygon, polygon[1:] + polygon[:1], strict=True))
    )


@pytest.mark.parametrize("shape", SHAPES, ids=lambda s: s.kind)
@pytest.mark.parametrize("view", ["across", "along"])
def test_the_drawing_is_to_scale(shape: Shape, view: str) -> None:
    """The outline spans the store's width or length and height, and the fuel stands at the level of its
    mass."""
    store = Store(shape)
    kg = 0.5 * store.capacity_kg()
    drawn = section_of(store, kg, view)  # type: ignore[arg-type]
    xs, zs = zip(*drawn.outline, strict=True)
    wide = shape.width_x_m if view == "across" else shape.length_y_m
    assert max(xs) - min(xs) == pytest.approx(wide, rel=0.002)
    assert max(zs) == pytest.approx(shape.top_m)
    assert max(z for _, z in drawn.fuel) == pytest.approx(float(shape.height_of_m(kg / 650.0)))
    assert drawn.full_line[0][1] == pytest.approx(shape.top_m - 0.3)
    assert drawn.level_line is not None
    assert drawn.level_line[0][1] < drawn.full_line[0][1]


def test_the_drawn_fuel_is_its_volume_in_a_prismatic_room() -> None:
    """In a room the drawn area across, times the length, is the volume of the fuel."""
    for shape in SHAPES[:3]:
        drawn = section_of(Store(shape), 2000.0)
        assert area_m2(drawn.fuel) * shape.length_y_m == pytest.approx(2000.0 / 650.0, rel=1e-6)


def test_an_empty_store_is_drawn_empty() -> None:
    """No fuel, no level line; the full line and the deflector mat stay."""
    drawn = section_of(ROOM, 0.0, "along")
    assert drawn.fuel == ()
    assert drawn.level_line is None
    assert drawn.mat is not None


def test_the_document_tells_the_computed_figures() -> None:
    """The figures printed in docs/stores_and_hoppers.md are those the code gives, to the digits printed
    there."""
    text = (Path(fuelplan.__file__).parent / "docs" / "stores_and_hoppers.md").read_text(encoding="utf-8")
    room = SlopedRoom(3.0, 2.0, 2.4, 40.0, 0.2, 2)
    auger, three, one = (Store(room, suction_points=n).unusable_kg for n in (0, 3, 1))
    assert f"about {auger:.0f}"[:-1] + "0 kg with an auger" in text
    assert f"{round(three, -1):.0f} kg with three" in text
    assert f"{round(one, -2):,.0f} kg with one" in text
    store, corners = Store(room), ((0.0, 0.0), (0.5, 1.0), (-0.5, 1.0), (0.5, -1.0), (-0.5, -1.0))
    errors = (
        store.kg_from_mark(100.0).sd_kg,
        store.kg_from_mark((100.0,) * 3).sd_kg,
        store.kg_from_mark((100.0,) * 5, points=corners).sd_kg,
    )
    for words, sd_kg in zip(
        ("one in the middle", "three along the middle", "five, middle and corners"), errors, strict=True
    ):
        assert f"| {words} | about {round(sd_kg, -1):.0f} kg" in text

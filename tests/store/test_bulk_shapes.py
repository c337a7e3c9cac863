"""Shapes of a bulk store: volumes against published geometry and against plain numerical integration."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from fuelplan.store.bulk import (
    FabricBag,
    FlatRoom,
    HorizontalTank,
    PyramidBottom,
    Shape,
    SlopedRoom,
    SphereTank,
    StoreError,
    UprightTank,
    filled_volume_m3,
    left_behind_m3,
)

side = st.floats(0.8, 5.0)
share = st.floats(0.02, 0.98)


def test_two_sloped_floors_leave_two_thirds_of_the_room() -> None:
    """Geometry V = L·[w·(H−h) − ((w−c)²/4)·tan α]: w 2, H 2.4, 45°, c 0, h 0.3 gives 66.7 % of the room."""
    room = SlopedRoom(length_m=3.0, width_m=2.0, height_m=2.4, slope_deg=45.0)
    assert float(room.volume_below_m3(2.1)) / room.room_m3 == pytest.approx(0.667, abs=0.0005)


def test_room_rule_two_thirds_usable() -> None:
    """Austrian and German pellet associations' room rule: 13.5 m³ of room hold 5,850 kg at 650 kg/m³."""
    room = SlopedRoom(length_m=13.5 / (2.0 * 2.4), width_m=2.0, height_m=2.4, slope_deg=45.0)
    assert float(room.volume_below_m3(2.1)) * 650.0 == pytest.approx(5850.0, abs=1.0)


@given(length=side, width=side, height=side, channel=st.floats(0, 1), slope=st.floats(1, 60), h=share)
def test_sloped_floors_follow_the_printed_formula(
    length: float, width: float, height: float, channel: float, slope: float, h: float
) -> None:
    """Geometry: /4 with two slopes, /2 with one, wherever the slopes end below the fill line."""
    c, dead, tan = channel * width, h * height, math.tan(math.radians(slope))
    for slopes, divisor in ((2, 4), (1, 2)):
        assume((width - c) / slopes * tan < height - dead)
        room = SlopedRoom(length, width, height, slope, c, slopes)
        printed = length * (width * (height - dead) - (width - c) ** 2 / divisor * tan)
        assert float(room.volume_below_m3(height - dead)) == pytest.approx(printed, rel=1e-9)


def test_square_pyramid() -> None:
    """Geometry s²·hp/3 for a square pyramid."""
    silo = PyramidBottom(length_m=2.0, width_m=2.0, height_m=2.5, funnel_m=0.9)
    assert float(silo.volume_below_m3(0.9)) == pytest.approx(2.0**2 * 0.9 / 3, rel=1e-12)


def test_ball_and_cylinders_hold_what_geometry_says() -> None:
    """Full ball πd³/6, full cylinder πd²L/4, cone a third of its cylinder."""
    assert SphereTank(2.0).room_m3 == pytest.approx(math.pi * 8 / 6, rel=1e-12)
    assert HorizontalTank(2.0, 3.0).room_m3 == pytest.approx(math.pi * 3, rel=1e-12)
    assert float(UprightTank(2.0, 3.0, 1.2).volume_below_m3(1.2)) == pytest.approx(
        math.pi * 1.2 / 3, rel=1e-12
    )


# Each case draws a shape and describes the same solid once more: for a point (x, y), does height z lie
# inside?
Inside = Callable[[np.ndarray, np.ndarray, np.ndarray], np.ndarray]


@st.composite
def solids(draw: st.DrawFn) -> tuple[Shape, Inside]:
    """A random shape, and the same solid as inequalities written independently of the code under test."""
    a, b, h, f = draw(side), draw(side), draw(side), draw(st.floats(0.1, 0.9))
    kind = draw(st.sampled_from(["flat", "one", "two", "pyramid", "bag", "lying", "ball", "upright"]))
    if kind == "flat":
        return FlatRoom(a, b, h), lambda x, y, z: (abs(x) < b / 2) & (abs(y) < a / 2)
    if kind in ("one", "two"):
        channel, slopes = draw(st.floats(0, 0.9)) * b, 1 if kind == "one" else 2
        rise = f * h
        slope = math.degrees(math.atan(rise / ((b - channel) / slopes)))
        assume(slope < 79)
        room = SlopedRoom(a, b, h, slope, channel, slopes)

        def in_room(x: np.ndarray, y: np.ndarray, z: np.ndarray) -> np.ndarray:
            from_wall = x + b / 2
            run = abs(x) - channel / 2 if slopes == 2 else from_wall - channel
            return (abs(x) < b / 2) & (abs(y) < a / 2) & (z > run * rise / ((b - channel) / slopes))

        return room, in_room
    if kind in ("pyramid", "bag"):
        outlet = draw(st.floats(0, 0.5)) * min(a, b)
        build = PyramidBottom if kind == "pyramid" else FabricBag

        def in_funnel(x: np.ndarray, y: np.ndarray, z: np.ndarray) -> np.ndarray:
            up = np.minimum(1.0, z / (f * h))
            return (abs(x) < (outlet + (b - outlet) * up) / 2) & (abs(y) < (outlet + (a - outlet) * up) / 2)

        return build(a, b, h, f * h, outlet), in_funnel
    if kind == "lying":
        return HorizontalTank(a, b), lambda x, y, z: (abs(y) < b / 2) & (x**2 + (z - a / 2) ** 2 < a**2 / 4)
    if kind == "ball":
        return SphereTank(a), lambda x, y, z: x**2 + y**2 + (z - a / 2) ** 2 < a**2 / 4
    return (
        UprightTank(a, h, f * h),
        lambda x, y, z: x**2 + y**2 < (a / 2 * np.minimum(1.0, z / (f * h))) ** 2,
    )


def integrated_m3(shape: Shape, inside: Inside, height_m: float, cells: int = 60) -> float:
    """Count small cells of the bounding box that lie inside the solid and below a height."""
    step = (np.arange(cells) + 0.5) / cells
    x = (step - 0.5) * shape.width_x_m
    y = (step - 0.5) * shape.length_y_m
    z = step * height_m
    count = inside(x[:, None, None], y[None, :, None], z[None, None, :])
    box = shape.width_x_m * shape.length_y_m * height_m
    return float(np.broadcast_to(count, (cells, cells, cells)).mean()) * box


@settings(max_examples=150, deadline=None)
@given(solid=solids(), at=share)
def test_volumes_agree_with_numerical_integration(solid: tuple[Shape, Inside], at: float) -> None:
    """For random shapes and heights the closed form is the volume counted cell by cell, to 3 % of the box."""
    shape, inside = solid
    height = at * shape.top_m
    box = shape.width_x_m * shape.length_y_m * height
    assert float(shape.volume_below_m3(height)) == pytest.approx(
        integrated_m3(shape, inside, height), abs=0.03 * box
    )


@settings(max_examples=100, deadline=None)
@given(solid=solids(), at=share)
def test_the_plan_holds_the_same_volume_as_the_closed_form(solid: tuple[Shape, Inside], at: float) -> None:
    """Floor and ceiling in plan, summed cell by cell under a level surface, give the volume to 1 %."""
    shape, _ = solid
    plan = shape.plan(80)
    height = at * shape.top_m
    deep = np.clip(height, plan.floor_m, plan.ceiling_m) - plan.floor_m
    full = float(shape.volume_below_m3(shape.top_m))
    assert float(deep @ plan.area_m2) == pytest.approx(float(shape.volume_below_m3(height)), abs=0.01 * full)


@settings(max_examples=100, deadline=None)
@given(solid=solids())
def test_volume_rises_with_height_and_height_comes_back(solid: tuple[Shape, Inside]) -> None:
    """Volume is monotone in height, and the height of a volume is the height it came from."""
    shape, _ = solid
    z = np.linspace(0.0, shape.top_m, 41)
    volume = shape.volume_below_m3(z)
    assert volume[0] == 0.0
    assert np.all(np.diff(volume) > 0)
    assert shape.volume_below_m3(shape.height_of_m(volume)) == pytest.approx(volume, abs=1e-9 * volume[-1])


@settings(max_examples=60, deadline=None)
@given(solid=solids(), clearance=st.floats(0, 0.5), cone=st.floats(0, 40))
def test_a_cone_never_adds_fuel(solid: tuple[Shape, Inside], clearance: float, cone: float) -> None:
    """What fits under a cone is at most what fits under a level surface at its peak, and falls with its
    slope."""
    shape, _ = solid
    free = clearance * shape.top_m
    level = filled_volume_m3(shape, free, 0.0, cells=60)
    assert level == pytest.approx(float(shape.volume_below_m3(shape.top_m - free)), abs=0.012 * shape.room_m3)
    flatter, steeper = filled_volume_m3(shape, free, cone / 2), filled_volume_m3(shape, free, cone)
    assert steeper <= flatter + 1e-9
    assert flatter <= filled_volume_m3(shape, free, 0.0) + 1e-9


def test_cone_in_a_long_room_by_hand() -> None:
    """A ridge-free strip: in a room 10 cm wide and 3 m long the 10° cone from the far end costs L²/2·tan
    10°·w."""
    room = FlatRoom(length_m=3.0, width_m=0.1, height_m=2.0)
    by_hand = 0.1 * (3.0 * 1.8 - 3.0**2 / 2 * math.tan(math.radians(10)))
    assert filled_volume_m3(room, 0.2, 10.0, cells=60) == pytest.approx(by_hand, rel=2e-3)


def test_what_stays_on_a_flat_floor_by_hand() -> None:
    """Around one outlet in the middle of a round floor, fuel stands at 35°: 2/3·π·r³·tan 35°."""
    silo = UprightTank(diameter_m=2.0, height_m=3.0)
    by_hand = 2 / 3 * math.pi * math.tan(math.radians(35))
    assert left_behind_m3(silo, ((0.0, 0.0),), 35.0, cells=60) == pytest.approx(by_hand, rel=2e-3)


@pytest.mark.parametrize(
    ("build", "says"),
    [
        (lambda: SlopedRoom(3, 2, 2.4, 90.0), "is a wall"),
        (lambda: SlopedRoom(3, 5, 2.0, 45.0, 0.0, 1), "reach the ceiling"),
        (lambda: SlopedRoom(3, 2, 2.4, 40.0, 2.5), "wider than the room"),
        (lambda: SlopedRoom(3, 2, 2.4, 40.0, 0.0, 3), "1 or 2 sloped floors"),
        (lambda: SlopedRoom(3, 2, 2.4, float("nan")), "slope_deg is nan"),
        (lambda: FlatRoom(0.0, 2, 2), "length_m is 0"),
        (lambda: FlatRoom(3, -2, 2), "width_m is -2"),
        (lambda: PyramidBottom(2, 2, 2, 2.0), "reaches the ceiling"),
        (lambda: PyramidBottom(2, 2, 2, 1.0, 3.0), "wider than the store"),
        (lambda: UprightTank(2, 2, 2.5), "reaches the top"),
        (lambda: FlatRoom(3, 2, 2).volume_below_m3(2.2), "from 0 to 2.00 m"),
        (lambda: FlatRoom(3, 2, 2).height_of_m(13.0), "13.00 m³ do not lie"),
    ],
)
def test_what_cannot_be_built_is_refused_in_one_sentence(build: Callable[[], object], says: str) -> None:
    """A wall for a floor, slopes through the ceiling, no length: each says what is wrong."""
    with pytest.raises(StoreError, match=says):
        build()


def test_a_flat_floor_is_a_shape() -> None:
    """A slope of 0° and a flat room hold the same; neither is refused."""
    assert float(SlopedRoom(3, 2, 2.4, 0.0).volume_below_m3(2.0)) == float(
        FlatRoom(3, 2, 2.4).volume_below_m3(2.0)
    )

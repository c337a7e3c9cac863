"""Fit for delivery, ventilation, fire thresholds: every line with guidance, source and an honest answer."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import fields, replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fuelplan.messages import as_text
from fuelplan.store.access import (
    AccessError,
    DeliveryPlace,
    FireThreshold,
    cleaning_line,
    fire_line,
    fit_for_delivery,
    open_questions,
    ventilation,
)

GOOD = DeliveryPlace(
    hose_m=20.0,
    road_width_m=3.5,
    road_height_m=4.2,
    weight_limit_t=26.0,
    axle_limit_t=11.5,
    tanker_t=26.0,
    tanker_axle_t=11.0,
    trailer_comes=True,
    trailer_can_pass=True,
    coupling_type="DN 100",
    supplier_coupling="dn 100",
    fill_height_m=1.2,
    exhaust_height_m=1.2,
    fill_outdoors=True,
    exhaust_outdoors=True,
    metal_pipes=True,
    pipes_earthed=True,
    gentle_bends=True,
    mat=True,
    inlet_below_ceiling_m=0.2,
    door_boards=True,
    slope_deg=42.0,
    walls_checked=True,
    electrics_inside=False,
    socket=True,
    suction_m=12.0,
    suction_floors=1.0,
)


def answers(place: DeliveryPlace) -> dict[str, str]:
    """Answer by the id of the line."""
    return {line.id: line.answer for line in fit_for_delivery(place, stock_kg=6000.0)}


def test_what_nobody_has_seen_is_ask() -> None:
    """An empty list of facts gives "ask" on every line, never "met"."""
    found = answers(DeliveryPlace())
    assert len(found) == 21
    assert set(found.values()) == {"ask"}


def test_a_good_place_meets_every_line() -> None:
    """With everything seen and fit every line is met, and nothing is left to ask."""
    assert set(answers(GOOD).values()) == {"met"}
    assert open_questions(fit_for_delivery(GOOD, stock_kg=6000.0)) == ()


@pytest.mark.parametrize(
    ("change", "line"),
    [
        ({"hose_m": 30.5}, "hose"),
        ({"road_width_m": 2.9}, "road-width"),
        ({"road_height_m": 3.9}, "road-height"),
    ],
)
def test_access_of_the_tanker(change: dict[str, float], line: str) -> None:
    """COFORD 2008 and national guides: hose at most 30 m, road at least 3 m wide and 4 m high."""
    assert answers(replace(GOOD, **change))[line] == "not met"
    edge = {"hose_m": 30.0, "road_width_m": 3.0, "road_height_m": 4.0}
    assert answers(replace(GOOD, **edge))[line] == "met"


@pytest.mark.parametrize(
    ("metres", "floors", "answer"), [(20.0, 2.0, "met"), (20.5, 1.0, "not met"), (10.0, 3.0, "not met")]
)
def test_suction_line(metres: float, floors: float, answer: str) -> None:
    """Guidance of pellet associations: a suction line of at most 20 m and two floors."""
    assert answers(replace(GOOD, suction_m=metres, suction_floors=floors))["suction-line"] == answer


@pytest.mark.parametrize(
    ("slope", "answer"),
    [(40.0, "met"), (45.0, "met"), (35.0, "not met"), (0.0, "ask"), (50.0, "not met")],
)
def test_floor_slope(slope: float, answer: str) -> None:
    """Guidance of pellet associations: a floor slope of 40 to 45 degrees."""
    assert answers(replace(GOOD, slope_deg=slope))["slope"] == answer


@pytest.mark.parametrize(
    ("change", "line"),
    [
        ({"weight_limit_t": 12.0}, "weight"),
        ({"axle_limit_t": 8.0}, "axle"),
        ({"trailer_can_pass": False}, "trailer"),
        ({"supplier_coupling": "DN 80"}, "coupling-type"),
        ({"fill_height_m": 2.4}, "fill-height"),
        ({"exhaust_height_m": 0.2}, "exhaust-height"),
        ({"fill_outdoors": False}, "fill-outdoors"),
        ({"exhaust_outdoors": False}, "exhaust-outdoors"),
        ({"metal_pipes": False}, "metal-pipes"),
        ({"pipes_earthed": False}, "earthed"),
        ({"gentle_bends": False}, "bends"),
        ({"mat": False}, "mat"),
        ({"inlet_below_ceiling_m": 0.05}, "inlet-clear"),
        ({"door_boards": False}, "door-boards"),
        ({"electrics_inside": True}, "electrics"),
        ({"socket": False}, "socket"),
    ],
)
def test_one_fault_is_one_line(change: dict[str, object], line: str) -> None:
    """Common practice: each thing that is not as usual is "not met" on its own line and on no other."""
    found = answers(replace(GOOD, **change))  # type: ignore[arg-type]
    assert found.pop(line) == "not met"
    assert set(found.values()) == {"met"}


def test_wall_load_is_never_answered_by_the_tool() -> None:
    """Only somebody competent can say that the walls bear the load: without that it stays "ask", with the
    load told."""
    for seen in (None, False):
        line = next(
            x
            for x in fit_for_delivery(replace(GOOD, walls_checked=seen), stock_kg=6000.0, pile_m=2.0)
            if x.id == "wall-load"
        )
        assert line.answer == "ask"
        assert "6.0 t" in as_text(line.seen)
        assert "15 kPa" in as_text(line.seen)  # 750 kg/m3 · 9.81 m/s2 · 2 m


def test_no_trailer_no_question() -> None:
    """A supplier without a trailer needs no room for one; one that is not known to come without needs an
    answer."""
    assert answers(replace(GOOD, trailer_comes=False, trailer_can_pass=None))["trailer"] == "met"
    assert answers(replace(GOOD, trailer_comes=None, trailer_can_pass=None))["trailer"] == "ask"


def test_every_line_has_guidance_and_source() -> None:
    """Each line names what is usual and who says so."""
    lines = (
        fit_for_delivery(GOOD, stock_kg=6000.0)
        + ventilation(20.0, both_couplings_outdoors=False, vent_line_m=3.0).lines
    )
    for line in lines:
        assert line.guidance
        assert line.source
        assert line.question
    assert len({line.id for line in fit_for_delivery(GOOD, stock_kg=6000.0)}) == 22


def test_open_questions_are_the_asks() -> None:
    """Each "ask" becomes one question with its source."""
    questions = tuple(
        map(as_text, open_questions(fit_for_delivery(replace(GOOD, hose_m=None), stock_kg=6000.0)))
    )
    assert len(questions) == 1
    assert "Hose" in questions[0]
    assert "COFORD" in questions[0]


@given(
    tonnes=st.floats(0.1, 80),
    outdoors=st.sampled_from([None, True, False]),
    line_m=st.one_of(st.none(), st.floats(0, 12)),
)
def test_vented_caps_only_where_both_couplings_end_outdoors(
    tonnes: float, outdoors: bool | None, line_m: float | None
) -> None:
    """VDI 3464 as summarised by the German pellet institute: otherwise sealed caps and a separate vent."""
    vent = ventilation(tonnes, both_couplings_outdoors=outdoors, vent_line_m=line_m)
    if vent.caps:
        assert outdoors is True
        assert tonnes <= 10
    if outdoors is False and tonnes <= 40:
        assert any("sealed caps and a separate vent" in as_text(line.guidance) for line in vent.lines)
    assert all(line.answer == "ask" for line in vent.lines)


@pytest.mark.parametrize(
    ("tonnes", "line_m", "caps", "cm2", "fan", "specialist"),
    [
        (10.0, None, True, None, False, False),
        (20.0, None, False, 80.0, False, False),
        (12.0, None, False, 48.0, False, False),
        (12.0, 3.0, False, 100.0, False, False),
        (30.0, 3.0, False, 120.0, False, False),
        (8.0, 2.0, True, 100.0, False, False),
        (8.0, 6.0, True, None, True, False),
        (40.0, 1.0, False, 160.0, False, False),
        (40.5, 1.0, False, None, False, True),
    ],
)
def test_ventilation_by_tonnage_and_vent_line(
    tonnes: float, line_m: float | None, caps: bool, cm2: float | None, fan: bool, specialist: bool
) -> None:
    """VDI 3464 as summarised by the German pellet institute, October 2015: to 10 t two venting caps; to 40
    t 4 cm² per tonne (20 t: 80 cm²); a vent line of 2 to 5 m at least 100 cm², longer a fan; above 40 t a
    specialist."""
    vent = ventilation(tonnes, both_couplings_outdoors=True, vent_line_m=line_m)
    assert (vent.caps, vent.opening_cm2, vent.fan, vent.specialist) == (caps, cm2, fan, specialist)


def test_fire_thresholds_are_never_a_verdict() -> None:
    """Thresholds differ by land (6,500 kg, 10,000 l, 15 m³ …): a setting, and always "ask"."""
    above = fire_line(7000.0, 11.0, FireThreshold(6500.0, "kg", "setting of this site"))
    below = fire_line(7000.0, 11.0, FireThreshold(15.0, "m3", "setting of this site"))
    litres = fire_line(7000.0, 11.0, FireThreshold(10000.0, "litre", "setting of this site"))
    unset = fire_line(7000.0, 11.0, None)
    assert {x.answer for x in (above, below, litres, unset)} == {"ask"}
    assert "7,000 kg here, above the 6,500 kg" in as_text(above.seen)
    assert "11 m³ here, not above the 15 m³" in as_text(below.seen)
    assert "11,000 l here, above the 10,000 l" in as_text(litres.seen)
    assert "no threshold set" in as_text(unset.seen)


def test_cleaning() -> None:
    """German pellet institute: empty and clean every 2 years or after 5 deliveries."""
    assert cleaning_line(1.9, 4).answer == "met"
    assert cleaning_line(2.0, 1).answer == "not met"
    assert cleaning_line(0.5, 5).answer == "not met"
    assert cleaning_line(None, None).answer == "ask"
    assert cleaning_line(0.5, None).answer == "ask"
    assert cleaning_line(None, 6).answer == "not met"


def test_no_text_says_a_store_may_be_entered() -> None:
    """No line of this room says that a store is safe, or calculates a concentration of gas."""
    lines = [
        *fit_for_delivery(GOOD, stock_kg=6000.0),
        *fit_for_delivery(DeliveryPlace(suction_m=1.0), stock_kg=6000.0),
        fire_line(7000.0, 11.0, None),
        cleaning_line(0.1, 1),
    ]
    for tonnes in (5.0, 20.0, 60.0):
        for outdoors in (None, True, False):
            for line_m in (None, 1.0, 3.0, 9.0):
                lines += ventilation(tonnes, both_couplings_outdoors=outdoors, vent_line_m=line_m).lines
    for line in lines:
        text = f"{as_text(line.question)} {as_text(line.guidance)} {as_text(line.seen)}".lower()
        assert "safe" not in text
        assert "ppm" not in text
        assert "enter " not in text


@pytest.mark.parametrize(
    ("act", "says"),
    [
        (lambda: DeliveryPlace(hose_m=-1.0), "hose_m is -1"),
        (lambda: DeliveryPlace(road_width_m=float("nan")), "road_width_m is nan"),
        (lambda: fit_for_delivery(DeliveryPlace(), stock_kg=0.0), "most that the store holds"),
        (lambda: ventilation(0.0), "above zero"),
        (lambda: ventilation(5.0, vent_line_m=-1.0), "from zero up"),
        (lambda: fire_line(0.0, 1.0, None), "above zero"),
    ],
)
def test_facts_that_cannot_be_are_refused(act: Callable[[], object], says: str) -> None:
    """Lengths below zero and no stock: one sentence each."""
    with pytest.raises(AccessError, match=says):
        act()


def test_every_fact_is_used() -> None:
    """No fact of a place is asked for without changing a line: each, when unknown, leaves something to ask
    or drop."""
    for f in fields(DeliveryPlace):
        without = replace(GOOD, **{f.name: None})
        if f.name == "trailer_comes":
            continue  # a trailer that can pass answers the line by itself
        assert answers(without) != answers(GOOD), f.name

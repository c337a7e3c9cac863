"""The buffer: size rules, heat held, and when to light next."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from fuelplan.messages import as_text
from fuelplan.store import buffer
from fuelplan.store.buffer import Buffer, BufferError


def test_heat_held() -> None:
    """Physics: 1.163 Wh per litre and kelvin; 55 l over 40 K hold 2.56 kWh."""
    assert buffer.heat_held_kwh(55, 40) == pytest.approx(2.56, abs=0.005)


def test_formula_for_log_boilers() -> None:
    """EN 303-5 (secondary): V = 15 T_B Q_N (1 - 0.3 Q_H / Q_min); none needed under 300 l."""
    assert buffer.litres_en_303_5(30, 5, 15, 15) == pytest.approx(15 * 5 * 30 * 0.7)
    assert buffer.litres_en_303_5(20, 2, 30, 10) == 0.0  # 60 l by the formula


def test_law_and_test_rules() -> None:
    """1. BImSchV §5: 55 l/kW by hand or 12 l per litre of chamber, 20 l/kW automatic; EU 2015/1189 test
    buffers.
    """
    assert buffer.litres_german_ordinance(25, by_hand=True) == pytest.approx(1375)
    assert buffer.litres_german_ordinance(25, by_hand=True, chamber_l=150) == pytest.approx(1800)
    assert buffer.litres_german_ordinance(25, by_hand=False) == pytest.approx(500)
    assert buffer.litres_eu_test(25, by_hand=True) == pytest.approx(45 * 25 * (1 - 2.7 / 25))
    assert buffer.litres_eu_test(5, by_hand=True) == 300
    assert buffer.litres_eu_test(25, by_hand=False) == 500


def test_rules_side_by_side() -> None:
    """All rules are listed with their source, largest first."""
    rules = buffer.size_rules(30, by_hand=True, house_kw=12, burn_h=5, batch_kwh=130, country="DE")
    assert [r.litres for r in rules] == sorted((r.litres for r in rules), reverse=True)
    assert {as_text(r.source) for r in rules} == {
        "1. BImSchV §5",
        "EU 2015/1189",
        "EN 303-5 (secondary)",
        "arithmetic",
    }
    assert next(r.litres for r in rules if as_text(r.source) == "arithmetic") == pytest.approx(130 / 0.04652)


def test_heat_now() -> None:
    """Four layers of 250 l: the two below 40 degC hold nothing usable, but take heat."""
    b = Buffer(1000, useful_from_c=40, full_c=80)
    assert b.held_kwh([70, 50, 38, 30]) == pytest.approx(1.163 * 0.25 * (30 + 10))
    assert b.free_kwh([70, 50, 38, 30]) == pytest.approx(1.163 * 0.25 * (10 + 30 + 42 + 50))
    assert b.held_kwh([80]) == pytest.approx(b.capacity_kwh)


def test_when_to_light_next() -> None:
    """23 kWh held against 4 kW and the buffer's own loss last a little under six hours; one load fits now."""
    b = Buffer(1000, loss_w_per_k=2.5, room_c=15)
    answer = buffer.light_next(b, [60, 60], np.full(48, 4.0), batch_kg=10, batch_kwh=40, batch_h=4)
    loss_kw = 2.5 * 45 / 1000
    assert answer.held_kwh == pytest.approx(23.26)
    assert answer.hours == pytest.approx(23.26 / (4 + loss_kw))
    # Free are 23.26 kWh; while a load burns the house takes 16.45: 39.7 < 40 does not fit, a quarter of an
    # hour later it does.
    assert answer.loads_now == 0
    assert answer.first_hours == pytest.approx(1.0)
    assert answer.loads_then == 1
    # 23.26 of the 40 kWh of 10 kg
    assert answer.kg_now == pytest.approx(5.815, abs=0.001)
    said = "about 5 kg of logs now; for a full load of 10 kg wait for about one hour. Lit when it is empty"
    assert said in as_text(answer.sentence)
    now = buffer.light_next(b, [60, 50], np.full(48, 4.0), batch_kg=10, batch_kwh=40, batch_h=4)
    assert now.loads_now == 1 and now.kg_now == pytest.approx(29.075 / 4)
    assert "about 7 kg of logs now; a full load of 10 kg fits only with what" in as_text(now.sentence)
    cold = buffer.light_next(b, [40, 30], np.full(48, 4.0), batch_kg=10, batch_kwh=40, batch_h=4)
    assert cold.kg_now == 10 and "a full load of 10 kg now" in as_text(cold.sentence)


def test_never_light_into_a_full_buffer() -> None:
    """A full buffer in summer: no load fits in the days looked ahead, and the sentence says not to light."""
    answer = buffer.light_next(Buffer(800), [80, 79], np.full(24, 0.2), batch_kg=15, batch_kwh=60, batch_h=4)
    assert (answer.loads_now, answer.first_hours) == (0, None)
    assert answer.hours is None
    assert "do not light" in as_text(answer.sentence)


@given(
    st.lists(st.floats(20, 90), min_size=1, max_size=5),
    st.floats(0, 20),
    st.floats(5, 200),
    st.floats(1, 10),
)
def test_loads_that_fit_do_not_overfill(layers: list[float], kw: float, batch: float, hours: float) -> None:
    """As many loads as are told fit into the free heat plus what is taken meanwhile; one more in the day
    would not.
    """
    b = Buffer(1500, loss_w_per_k=0.0)
    tops = sorted(layers, reverse=True)
    answer = buffer.light_next(b, tops, np.full(72, kw), batch_kg=12, batch_kwh=batch, batch_h=hours)
    free, n = b.free_kwh(tops), answer.loads_now
    assert n * batch <= free + n * hours * kw + 1e-6
    assert answer.kg_now / 12 * batch <= max(free, 0.0) + 1e-6
    if n < max(1, int(24 // hours)):
        assert (n + 1) * batch > free + (n + 1) * hours * kw - 1e-6
    assert answer.loads_then >= n


def test_a_fire_waits_for_somebody_who_is_there() -> None:
    """A load fits after two hours, but nobody is there before the tenth; now always counts."""
    b, there = Buffer(1000, loss_w_per_k=0.0), np.arange(24) == 10
    full = {"batch_kg": 12.0, "batch_kwh": 24.0, "batch_h": 4.0}
    alone = buffer.light_next(b, [80, 80], np.full(24, 4.0), **full)
    waits = buffer.light_next(b, [80, 80], np.full(24, 4.0), may_light=there, **full)
    assert (alone.first_hours, waits.first_hours) == (2.0, 10.0)
    cold = buffer.light_next(b, [45, 40], np.full(24, 4.0), may_light=there, **full)
    assert cold.first_hours == 0.0


def light(load_kw: list[float], batch_kwh: float) -> buffer.LightNext:
    """When to light next, of a small buffer."""
    return buffer.light_next(Buffer(500), [60], load_kw, batch_kg=10, batch_kwh=batch_kwh, batch_h=4)


@pytest.mark.parametrize(
    ("make", "says"),
    [
        (lambda: Buffer(0), "1000 l"),
        (lambda: Buffer(500, useful_from_c=80, full_c=60), "40 degC and 80 degC"),
        (lambda: Buffer(500).held_kwh([40, 70]), "top"),
        (lambda: Buffer(500).held_kwh([]), "at least one"),
        (lambda: Buffer(500).held_kwh([160.0]), "unit"),
        (lambda: buffer.litres_en_303_5(20, 3, 10, 25), "no larger than the rated"),
        (lambda: light([-1.0], 40), "zero or more kW"),
        (lambda: light([1.0], 0), "above zero"),
    ],
)
def test_buffers_that_cannot_be(make, says: str) -> None:
    """Impossible buffers and readings are refused with what to write instead."""
    with pytest.raises(BufferError, match=says):
        make()

"""Hopper and conveying: limits, rates, heat held."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from fuelplan.store.hopper import Burner, Conveying, HopperError, bags, held_kwh


def test_suction_line_of_twenty_metres_is_the_limit() -> None:
    """Suction lines are at most 20 m and two floors (guidance of pellet associations)."""
    assert Conveying("suction", line_m=20.0, rise_m=6.0).line_rate_kg_per_h == pytest.approx(0.6 * 400.0)
    with pytest.raises(HopperError, match="40 m is longer than the 20 m"):
        Conveying("suction", line_m=40.0)
    with pytest.raises(HopperError, match="rises 7 m"):
        Conveying("suction", line_m=10.0, rise_m=7.0)


def test_the_makers_longer_limit_counts() -> None:
    """A maker's own limit replaces the guidance."""
    assert Conveying("suction", line_m=24.0, line_limit_m=25.0).line_rate_kg_per_h > 0


def test_rate_falls_with_line_and_rise() -> None:
    """A longer or steeper suction line conveys less; a short one its full rate; an auger always its rate."""
    rates = [Conveying("suction", rate_kg_per_h=500.0, line_m=m).line_rate_kg_per_h for m in (0, 5, 10, 20)]
    assert rates[0] == 500.0
    assert rates == sorted(rates, reverse=True)
    assert len(set(rates)) == 4
    assert (
        Conveying("suction", rise_m=6.0).line_rate_kg_per_h
        < Conveying("suction", rise_m=1.0).line_rate_kg_per_h
    )
    assert Conveying("auger", rate_kg_per_h=150.0).line_rate_kg_per_h == 150.0


def test_heat_held_in_a_buffer() -> None:
    """1.163 Wh per litre and kelvin: 55 l over 40 K hold 2.56 kWh (physics); the building adds what it may
    cool."""
    assert held_kwh(55.0, 40.0) == pytest.approx(2.56, abs=0.005)
    assert held_kwh(0.0, 40.0, 6.0, 0.5) == pytest.approx(3.0)


def test_bags_are_rounded_up() -> None:
    """Sellers' practice, 15 kg a bag: 46 kg are four bags, 45 kg are three."""
    assert bags(46.0) == 4
    assert bags(45.0) == 3
    assert bags(0.0) == 0


def test_quiet_hours_past_midnight() -> None:
    """From 22 to 6 are eight hours, from 1 to 5 four, none zero."""
    assert Conveying("auger", quiet_from_h=22, quiet_to_h=6).quiet_hours == 8
    assert Conveying("auger", quiet_from_h=1, quiet_to_h=5).quiet_hours == 4
    assert Conveying("auger").quiet_hours == 0


@pytest.mark.parametrize(
    ("build", "says"),
    [
        (lambda: Conveying("bucket"), "not a valid way to fill"),  # type: ignore[arg-type]
        (lambda: Conveying("auger", rate_kg_per_h=0.0), "moves nothing"),
        (lambda: Conveying("auger", burn_out_h=-1.0), "times of 0 to 6 h"),
        (lambda: Conveying("auger", quiet_from_h=22.0), "both a beginning and an end"),
        (lambda: Conveying("auger", quiet_from_h=22.0, quiet_to_h=22.0), "leave both out"),
        (lambda: Conveying("auger", quiet_from_h=25.0, quiet_to_h=6.0), "not a valid hour of the day"),
        (lambda: Conveying("auger", refill_share=1.0), "share from 0 to below 1"),
        (lambda: Conveying("hand", visits_h=()), "at least one visit"),
        (lambda: Conveying("suction", line_m=-1.0), "metres from zero up"),
        (lambda: Burner(0.0, 4.0), "gives no heat"),
        (lambda: Burner(15.0, 7.0), "cannot be"),
        (lambda: held_kwh(-1.0, 40.0), "from zero up"),
        (lambda: bags(-1.0), "above zero"),
    ],
)
def test_what_cannot_work_is_refused_in_one_sentence(build: Callable[[], object], says: str) -> None:
    """Each fault says what to write instead."""
    with pytest.raises(HopperError, match=says):
        build()

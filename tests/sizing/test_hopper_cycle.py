"""The hopper's cycle: interlock, mass balance, clock and disturbances, over random settings."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from fuelplan.sizing.hopper_cycle import BoilerState, Cycle, Disturbances, simulate
from fuelplan.sizing.hopper_cycle.clock import burn_out_steps, clock_of, quiet_steps, steps_left
from fuelplan.store.hopper import Burner, Conveying, HopperError
from tests.benchmarks.hopper import invented_heat, plain

BURNER = Burner(rated_kw=20.0, kwh_per_kg=4.2)


@st.composite
def plays(
    draw: st.DrawFn, beside_fire: bool = False
) -> tuple[Conveying, Cycle, dict[str, np.ndarray | float]]:
    """A random setting, played for two winters of six days with every step kept."""
    quiet = draw(st.one_of(st.none(), st.tuples(st.floats(0, 24), st.floats(0, 24))))
    if quiet is not None:
        assume(quiet[0] != quiet[1])
    how = draw(st.sampled_from(["auger", "suction", "hand"]))
    conveying = Conveying(
        how,
        while_burning=beside_fire,
        rate_kg_per_h=draw(st.floats(20, 600)),
        line_m=draw(st.floats(0, 20)),
        burn_out_h=draw(st.floats(0, 1.2)),
        ignite_h=draw(st.floats(0, 0.8)),
        quiet_from_h=quiet[0] if quiet else None,
        quiet_to_h=quiet[1] if quiet else None,
        refill_share=draw(st.floats(0, 0.9)),
        top_up_before_quiet=draw(st.booleans()),
        visits_h=(draw(st.floats(0, 23.9)), draw(st.floats(0, 23.9))),
    )
    rng = np.random.default_rng(draw(st.integers(0, 10_000)))
    step_min = draw(st.sampled_from([15, 5]))
    per_day = 24 * 60 // step_min
    steps = 6 * per_day
    heat = rng.uniform(0, draw(st.floats(0.5, 25)) * step_min / 60, (2, steps))
    sizes = np.sort(rng.uniform(15, 150, 3))
    held = draw(st.floats(0, 20))
    start_share, store = draw(st.floats(0, 1)), rng.uniform(0, 600, 2)

    def spell(share: float) -> np.ndarray | None:
        if draw(st.booleans()):
            return None
        on = np.zeros((2, steps), dtype=bool)
        for w in range(2):
            begin = rng.integers(0, steps)
            on[w, begin : begin + int(share * steps)] = True
        return on

    arrivals = np.zeros((2, steps))
    arrivals[:, rng.integers(0, steps)] = rng.uniform(0, 500)
    between = Disturbances(spell(0.05), spell(0.3), arrivals)
    cycle = simulate(
        heat,
        sizes,
        conveying,
        BURNER,
        held_kwh=held,
        step_min=step_min,
        start_share=start_share,
        store_kg=store,
        disturbances=between,
        keep=True,
    )
    given_ = {
        "heat": heat,
        "sizes": sizes,
        "held": held,
        "start": start_share * sizes,
        "store": store,
        "arrivals": arrivals,
        "locked": np.zeros((2, steps), bool) if between.locked is None else between.locked,
        "per_hour": 60 // step_min,
    }
    return conveying, cycle, given_


@settings(max_examples=150, deadline=None)
@given(play=plays())
def test_the_hopper_is_never_filled_while_the_boiler_burns(play: tuple[Conveying, Cycle, dict]) -> None:
    """Under "burn-out first" no step both burns and conveys, and a whole burn-out lies before every
    filling."""
    conveying, cycle, given_ = play
    trace = cycle.trace
    assert trace is not None
    assert not np.any((trace.burned_kg > 0) & (trace.conveyed_kg > 0))
    assert np.all(trace.burned_kg[trace.state != BoilerState.BURN] == 0)
    assert np.all(trace.conveyed_kg[trace.state != BoilerState.CONVEY] == 0)
    pause = burn_out_steps(conveying, int(given_["per_hour"]))
    burned = trace.burned_kg > 0
    for back in range(1, pause + 1):
        assert not np.any(burned[:-back] & (trace.conveyed_kg[back:] > 0))


@settings(max_examples=150, deadline=None)
@given(play=st.one_of(plays(), plays(beside_fire=True)))
def test_mass_and_heat_balance_in_every_step(play: tuple[Conveying, Cycle, dict]) -> None:
    """Store, conveying and hopper balance to 1e-6 kg, heat to 1e-6 kWh; nothing is negative or over the
    full sensor."""
    _, cycle, given_ = play
    trace = cycle.trace
    assert trace is not None
    start, sizes, held = given_["start"][:, None], given_["sizes"][:, None], given_["held"]
    gone = np.cumsum(trace.burned_kg, axis=0)
    moved = np.cumsum(trace.conveyed_kg, axis=0)
    came = np.cumsum(given_["arrivals"].T, axis=0)[:, None, :]
    assert np.abs(trace.hopper_kg - (start + moved - gone)).max() < 1e-6
    assert np.abs(trace.store_kg - (given_["store"] + came - moved)).max() < 1e-6
    heat_in = np.cumsum(trace.burned_kg, axis=0) * BURNER.kwh_per_kg
    out = np.cumsum(given_["heat"].T, axis=0)[:, None, :]
    unmet = np.cumsum(trace.unmet_kwh, axis=0)
    assert np.abs(trace.held_kwh - (held + heat_in + unmet - out)).max() < 1e-6
    assert trace.hopper_kg.min() >= -1e-9
    assert np.all(trace.hopper_kg <= sizes + 1e-6)
    assert trace.store_kg.min() >= -1e-9
    assert trace.held_kwh.min() >= 0.0
    assert trace.held_kwh.max() <= held + 1e-9


@settings(max_examples=80, deadline=None)
@given(play=st.one_of(plays(), plays(beside_fire=True)))
def test_quiet_hours_and_lockouts_are_kept(play: tuple[Conveying, Cycle, dict]) -> None:
    """No conveyor runs in quiet hours; while locked out nothing burns and nothing is conveyed."""
    conveying, cycle, given_ = play
    trace = cycle.trace
    assert trace is not None
    days = len(trace.state) // (24 * int(given_["per_hour"]))
    quiet = np.tile(quiet_steps(conveying, int(given_["per_hour"])), days)
    if conveying.how != "hand":
        assert trace.conveyed_kg[quiet].sum() == 0.0
    shut = np.broadcast_to(given_["locked"].T[:, None, :], trace.burned_kg.shape)
    assert trace.conveyed_kg[shut].sum() == 0.0
    if not conveying.while_burning:
        assert trace.burned_kg[shut].sum() == 0.0


@settings(max_examples=40, deadline=None)
@given(play=st.one_of(plays(), plays(beside_fire=True)))
def test_counts_agree_with_the_steps(play: tuple[Conveying, Cycle, dict]) -> None:
    """Daily sums, hours of interruption and fillings by hour are those of the single steps."""
    _, cycle, given_ = play
    trace = cycle.trace
    assert trace is not None
    per_hour, days = int(given_["per_hour"]), len(cycle.burned_kg)
    for name, steps in (("burned_kg", trace.burned_kg), ("conveyed_kg", trace.conveyed_kg)):
        assert getattr(cycle, name) == pytest.approx(steps.reshape(days, -1, 3, 2).sum(axis=1), abs=1e-9)
    cold = trace.unmet_kwh > 1e-9
    assert cycle.interrupted_h == pytest.approx(cold.sum(axis=0) / per_hour)
    rises = cold & ~np.concatenate([np.zeros((1, 3, 2), bool), cold[:-1]])
    assert np.array_equal(cycle.interruptions, rises.sum(axis=0))
    assert np.array_equal(cycle.fillings_by_hour.sum(axis=0), cycle.fillings.sum(axis=(0, 2)))
    assert np.array_equal(cycle.hopper_end_kg, trace.hopper_kg[-1])
    by_day = trace.hopper_kg.reshape(days, -1, 3, 2)
    before = np.concatenate([np.broadcast_to(given_["start"][:, None], (1, 3, 2)), by_day[:-1, -1]])
    assert np.array_equal(cycle.lowest_kg, np.minimum(before, by_day.min(axis=1)))


def test_a_plain_loop_finds_the_same() -> None:
    """An ordinary Python loop over one hopper and one winter, written separately, burns and conveys the
    same."""
    heat = invented_heat(winters=2, days=40)
    for quiet in ((None, None), (22.0, 6.0), (12.0, 15.5)):
        conveying = Conveying(
            "suction", line_m=8.0, quiet_from_h=quiet[0], quiet_to_h=quiet[1], top_up_before_quiet=False
        )
        sizes = np.array([18.0, 60.0, 200.0])
        cycle = simulate(heat, sizes, conveying, BURNER, held_kwh=6.0)
        for j, size in enumerate(sizes):
            for w in range(2):
                slow = plain(heat[w].tolist(), float(size), conveying, BURNER, 6.0)
                assert cycle.burned_kg[:, j, w].sum() == pytest.approx(slow["burned"], abs=1e-6)
                assert cycle.conveyed_kg[:, j, w].sum() == pytest.approx(slow["conveyed"], abs=1e-6)
                assert cycle.unmet_kwh[:, j, w].sum() == pytest.approx(slow["unmet"], abs=1e-6)
                assert cycle.fillings[:, j, w].sum() == slow["fillings"]
                assert cycle.hopper_end_kg[j, w] == pytest.approx(slow["hopper"], abs=1e-6)


def test_one_filling_by_hand_calculation() -> None:
    """4.2 kW burn 1 kg/h: a 10 kg hopper calls at 3 kg after 7 h, rests 45 min, and is filled at 40 kg/h in
    15 min."""
    conveying = Conveying("auger", rate_kg_per_h=40.0, burn_out_h=0.5, ignite_h=0.25)
    heat = np.full((1, 96), 4.2 / 4)
    cycle = simulate(heat, np.array([10.0]), conveying, Burner(4.2, 4.2), held_kwh=0.0, keep=True)
    assert cycle.trace is not None
    state = cycle.trace.state[:, 0, 0].tolist()
    assert state[:28] == [BoilerState.BURN] * 28
    assert state[28:33] == [BoilerState.BURN_OUT] * 2 + [BoilerState.CONVEY] + [BoilerState.IGNITE] + [
        BoilerState.BURN
    ]
    assert cycle.trace.conveyed_kg[30, 0, 0] == pytest.approx(7.0)
    assert cycle.trace.unmet_kwh[28:32, 0, 0] == pytest.approx([1.05] * 4)
    assert cycle.longest_h[0, 0] == pytest.approx(1.0)


def test_a_buffer_bridges_the_pause() -> None:
    """With 4.2 kWh held and a boiler of 8 kW the one-hour pause of a 4.2 kW load is no interruption."""
    conveying = Conveying("auger", rate_kg_per_h=40.0, burn_out_h=0.5, ignite_h=0.25)
    heat = np.full((1, 4 * 96), 4.2 / 4)
    assert (
        simulate(heat, np.array([10.0]), conveying, Burner(8.0, 4.2), held_kwh=4.2).interrupted_h[0, 0] == 0
    )
    assert simulate(heat, np.array([10.0]), conveying, Burner(8.0, 4.2), held_kwh=3.0).interrupted_h[0, 0] > 0


def test_topped_up_before_the_quiet_hours() -> None:
    """Filled once more before 22, so that a hopper worth one night lasts until 6; without it the night ends
    empty."""
    heat = np.full((1, 5 * 96), 4.2 / 4)
    quiet = {"quiet_from_h": 22.0, "quiet_to_h": 6.0, "refill_share": 0.1}
    with_it = simulate(heat, np.array([12.0]), Conveying("suction", **quiet), BURNER)
    without = simulate(
        heat, np.array([12.0]), Conveying("suction", top_up_before_quiet=False, **quiet), BURNER
    )
    assert with_it.empty_at_dawn.sum() == 0
    assert without.empty_at_dawn.any()
    assert with_it.fillings_by_hour[20:22].sum() >= 4


def test_a_hopper_smaller_than_one_night_ends_it_empty() -> None:
    """A 5 kg hopper cannot last eight quiet hours of 1 kg each: empty at every dawn."""
    heat = np.full((1, 5 * 96), 4.2 / 4)
    cycle = simulate(heat, np.array([5.0]), Conveying("auger", quiet_from_h=22.0, quiet_to_h=6.0), BURNER)
    assert cycle.empty_at_dawn[1:].all()
    assert cycle.unmet_kwh.sum() > 0


def test_bags_come_whole_and_at_the_visits() -> None:
    """By hand only whole bags of 15 kg (sellers' practice) go in, only at 7 and 18 h after the fire is
    out."""
    heat = np.full((1, 10 * 96), 4.2 * 3 / 4)
    cycle = simulate(heat, np.array([60.0]), Conveying("hand"), BURNER, keep=True)
    assert cycle.trace is not None
    amounts = cycle.trace.conveyed_kg[cycle.trace.conveyed_kg > 0]
    assert np.allclose(amounts % 15.0, 0.0)
    assert set(np.flatnonzero(cycle.fillings_by_hour[:, 0])) == {7, 18}


def test_a_blocked_line_stops_one_boiler_trying() -> None:
    """A line blocked for a day is tried once, not over and over; when it is cleared conveying goes on."""
    heat = np.full((1, 4 * 96), 4.2 / 4)
    blocked = np.zeros((1, 4 * 96), dtype=bool)
    blocked[0, 96:192] = True
    cycle = simulate(
        heat,
        np.array([10.0]),
        Conveying("auger"),
        BURNER,
        disturbances=Disturbances(blocked=blocked),
        keep=True,
    )
    assert cycle.trace is not None
    tried = cycle.trace.state[96:192, 0, 0] == BoilerState.CONVEY
    assert tried.sum() == 1
    assert cycle.trace.conveyed_kg[96:192].sum() == 0.0
    assert cycle.unmet_kwh[1].sum() > 0
    assert cycle.trace.conveyed_kg[192:].sum() > 0


def test_locked_out_while_igniting() -> None:
    """A delivery that begins while the boiler ignites keeps it off until it ends; then it ignites anew."""
    heat = np.full((1, 96), 4.2 / 4)
    locked = np.zeros((1, 96), dtype=bool)
    locked[0, 32:40] = True
    conveying = Conveying("auger", rate_kg_per_h=40.0, burn_out_h=0.5, ignite_h=0.25)
    between = Disturbances(locked=locked)
    cycle = simulate(heat, np.array([10.0]), conveying, Burner(4.2, 4.2), disturbances=between, keep=True)
    assert cycle.trace is not None
    state = cycle.trace.state[:, 0, 0].tolist()
    assert state[31:42] == [BoilerState.IGNITE] + [BoilerState.WAIT] * 8 + [
        BoilerState.IGNITE,
        BoilerState.BURN,
    ]


def test_a_bulk_store_that_runs_dry_ends_conveying() -> None:
    """With 20 kg in the bulk store just 20 kg are conveyed, and the boiler goes out afterwards."""
    heat = np.full((1, 4 * 96), 4.2 / 4)
    cycle = simulate(heat, np.array([10.0]), Conveying("auger"), BURNER, store_kg=np.array([20.0]))
    assert cycle.conveyed_kg.sum() == pytest.approx(20.0)
    assert cycle.store_end_kg[0, 0] == pytest.approx(0.0)
    assert cycle.burned_kg.sum() == pytest.approx(30.0)


def test_allowed_while_burning_needs_no_pause() -> None:
    """Feeds that may convey beside the fire never interrupt it."""
    heat = np.full((1, 4 * 96), 4.2 / 4)
    beside = simulate(heat, np.array([10.0]), Conveying("auger", while_burning=True), BURNER, keep=True)
    assert beside.trace is not None
    assert beside.unmet_kwh.sum() == 0.0
    assert np.any((beside.trace.burned_kg > 0) & (beside.trace.conveyed_kg > 0))


def test_a_finer_step_says_nearly_the_same() -> None:
    """At 5 minutes the winter's fuel is that at 15 minutes within 0.1 %, the fillings within a tenth."""
    coarse = invented_heat(winters=1, days=30)
    fine = np.repeat(coarse / 3, 3, axis=1)
    conveying = Conveying("suction", quiet_from_h=22, quiet_to_h=6)
    a = simulate(coarse, np.array([40.0, 90.0]), conveying, BURNER, held_kwh=20.0)
    b = simulate(fine, np.array([40.0, 90.0]), conveying, BURNER, held_kwh=20.0, step_min=5)
    assert a.burned_kg.sum() == pytest.approx(b.burned_kg.sum(), rel=1e-3)
    assert a.fillings.sum(axis=(0, 2)) == pytest.approx(b.fillings.sum(axis=(0, 2)), rel=0.1)


def test_the_clock_of_quiet_hours() -> None:
    """From 22:10 to 6 the step at 22:00 counts as quiet; two steps remain at 21:30."""
    quiet = quiet_steps(Conveying("auger", quiet_from_h=22 + 1 / 6, quiet_to_h=6.0), 4)
    assert quiet[88]
    assert not quiet[87]
    assert not quiet[24]
    assert quiet.sum() == 32
    assert steps_left(quiet)[86] == 2
    assert steps_left(quiet)[24] == 64


def test_burn_out_is_begun_only_if_conveying_can_follow() -> None:
    """With 30 min of burn-out no fire is put out at 21:30 for quiet hours from 22."""
    clock = clock_of(
        Conveying("auger", quiet_from_h=22.0, quiet_to_h=6.0, top_up_before_quiet=False), np.array([50.0]), 4
    )
    assert clock.start_kg[85, 0] > 0
    assert clock.start_kg[86, 0] < 0
    assert clock.go_kg[86, 0] > 0


@pytest.mark.parametrize(
    ("act", "says"),
    [
        (
            lambda: simulate(np.zeros((1, 95)), np.array([10.0]), Conveying("auger"), BURNER),
            "whole days of 96",
        ),
        (lambda: simulate(np.zeros((1, 96)), np.array([-1.0]), Conveying("auger"), BURNER), "above zero"),
        (
            lambda: simulate(np.full((1, 96), np.nan), np.array([9.0]), Conveying("auger"), BURNER),
            "fill the gaps",
        ),
        (
            lambda: simulate(np.zeros((1, 96)), np.array([9.0]), Conveying("hand"), BURNER),
            "does not take one bag",
        ),
        (
            lambda: simulate(np.zeros((1, 96)), np.array([9.0]), Conveying("auger"), BURNER, step_min=20),
            "write 15",
        ),
        (
            lambda: simulate(
                np.zeros((1, 96)),
                np.array([9.0]),
                Conveying("auger"),
                BURNER,
                disturbances=Disturbances(locked=np.zeros((1, 5), bool)),
            ),
            "must be",
        ),
        (
            lambda: simulate(
                np.zeros((1, 96)), np.array([9.0]), Conveying("auger"), BURNER, store_kg=np.array([1.0, 2.0])
            ),
            "for each of 1 winters",
        ),
        (
            lambda: simulate(np.zeros((1, 96)), np.array([9.0]), Conveying("auger"), BURNER, start_share=2.0),
            "from 0 to 1",
        ),
    ],
)
def test_what_cannot_be_played_is_refused(act: Callable[[], object], says: str) -> None:
    """Parts of days, negative sizes, gaps in the weather, steps of 20 minutes: one sentence each."""
    with pytest.raises(HopperError, match=says):
        act()

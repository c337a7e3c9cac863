"""Boilers for logs and pellets: balances in every step, the person's rule, and what loading saves."""

from __future__ import annotations

from datetime import date

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fuelplan.heat.boiler import Boiler
from fuelplan.messages import as_text
from fuelplan.store.buffer import Buffer
from fuelplan.store.log_heating import (
    NEVER,
    LoadingRule,
    LogHeatingError,
    LogLoad,
    LogPelletBoiler,
    LogPelletRun,
    run,
    spread_over_day,
    value_of_loading,
)

DATES = np.arange("2026-01-01", "2026-01-22", dtype="datetime64[D]")


def farm(
    buffer_l: float = 2500.0,
    kg: float = 30.0,
    burn_h: float = 4.5,
    pellets: bool = True,
    rated_kw: float = 30.0,
) -> LogPelletBoiler:
    """A farmhouse boiler of our own invention."""
    return LogPelletBoiler(
        Boiler.typical(rated_kw, "logs", installed=2021),
        Boiler.typical(rated_kw * 0.8, "pellets", installed=2021) if pellets else None,
        Buffer(buffer_l),
        LogLoad(kg, 4.0, burn_h),
    )


def winter_c(paths: int = 3, seed: int = 1) -> np.ndarray:
    """Cold, uneven weather, shape (paths, days)."""
    return np.random.default_rng(seed).normal(-1.0, 5.0, (paths, len(DATES)))


def load_kw(mean_c: np.ndarray, w_per_k: float = 350.0, steps: int = 24) -> np.ndarray:
    """House load of that weather with hot water."""
    return spread_over_day(0.024 * w_per_k * np.maximum(16.0 - mean_c, 0.0), 9.0, steps)


def played(plant: LogPelletBoiler, rule: LoadingRule, mean_c: np.ndarray, **more: object) -> LogPelletRun:
    """Run the weather with the rule."""
    return run(plant, load_kw(mean_c), rule.may_load(DATES, mean_c, 24), keep_steps=True, **more)  # type: ignore[arg-type]


@settings(max_examples=40, deadline=None)
@given(
    seed=st.integers(0, 10_000),
    buffer_l=st.floats(200, 6000),
    kg=st.floats(3, 80),
    burn_h=st.floats(1.5, 12),
    w_per_k=st.floats(0, 2500),
    steps=st.sampled_from([24, 96]),
    pellets=st.booleans(),
    pellets_kg=st.sampled_from([np.inf, 0.0, 150.0]),
    logs_kg=st.sampled_from([np.inf, 200.0]),
    share=st.floats(0, 1),
)
def test_energy_closes_in_every_step(
    seed, buffer_l, kg, burn_h, w_per_k, steps, pellets, pellets_kg, logs_kg, share
) -> None:
    """Boiler, buffer and house: fuel in = heat out + losses + what is held, to 1e-6 in every step of every
    winter.
    """
    rated_kw = max(8.0, 1.05 * kg * 4.0 / burn_h)
    plant = farm(buffer_l, kg, burn_h, pellets, rated_kw)
    days = DATES[:6]
    mean = np.random.default_rng(seed).normal(0.0, 8.0, (2, len(days)))
    load = load_kw(mean, w_per_k, steps) * np.random.default_rng(seed).uniform(0, 2, (2, len(days) * steps))
    may = np.random.default_rng(seed + 1).random(load.shape) < 0.4
    r = run(
        plant,
        load,
        may,
        steps_per_day=steps,
        buffer_share=share,
        logs_kg=logs_kg,
        pellets_kg=pellets_kg,
        keep_steps=True,
    )
    assert r.ledger is not None
    b = r.ledger
    assert b.load_kwh == pytest.approx((load * 24 / steps).T)
    useful = b.log_heat_kwh + b.pellet_heat_kwh
    assert np.abs(b.logs_kg * 4.0 + b.pellets_kg * 4.8 - useful - b.boiler_loss_kwh).max() < 1e-6
    rise = np.diff(b.buffer_kwh, axis=0, prepend=share * plant.buffer.capacity_kwh)
    assert np.abs(useful - b.delivered_kwh - rise - b.buffer_loss_kwh - b.dumped_kwh).max() < 1e-6
    lack_rise = np.diff(b.lack_kwh, axis=0, prepend=0.0)
    assert np.abs(b.load_kwh - b.delivered_kwh - lack_rise - b.spared_kwh).max() < 1e-6
    for name in (
        "delivered_kwh",
        "log_heat_kwh",
        "pellet_heat_kwh",
        "boiler_loss_kwh",
        "dumped_kwh",
        "lack_kwh",
    ):
        assert getattr(b, name).min() >= -1e-9, name
    assert b.buffer_kwh.max() <= plant.buffer.capacity_kwh + 1e-9
    assert r.pellets_kg.sum(axis=1).max() <= pellets_kg + 1e-6
    assert r.logs_kg.sum(axis=1).max() <= logs_kg + 1e-6


def test_logs_burned_are_logs_loaded() -> None:
    """Each load burns whole; days and steps tell the same sums."""
    r = played(farm(), LoadingRule(), winter_c())
    assert r.ledger is not None
    assert r.loads.sum() > 10
    burning = 30.0 * r.ledger.loads.sum() - r.ledger.logs_kg.sum()
    assert -1e-6 <= burning <= 3 * 30.0  # at most one load in each winter still burns at the end
    assert r.pellets_kg.sum() == pytest.approx(r.ledger.pellets_kg.sum())
    assert r.pellets_kg.shape == (3, len(DATES))


def test_loading_keeps_to_the_persons_hours() -> None:
    """Evenings on weekdays, all day at week-ends, in cold spells, never when away."""
    mean = np.full((1, len(DATES)), 2.0)
    mean[0, 5] = -9.0  # Tuesday, 6 January
    rule = LoadingRule(
        weekday_hours=((17, 21),),
        weekend_hours=((9, 20),),
        cold_below_c=-5.0,
        cold_hours=((6, 22),),
        away=[(date(2026, 1, 10), date(2026, 1, 13))],
    )
    may = rule.may_load(DATES, mean, 24).reshape(len(DATES), 24)
    assert list(np.flatnonzero(may[0])) == [17, 18, 19, 20]  # Thursday, 1 January 2026
    assert list(np.flatnonzero(may[2])) == list(range(9, 20))  # Saturday
    assert list(np.flatnonzero(may[5])) == list(range(6, 22))
    assert not may[9:13].any()
    assert may[13].sum() == 4
    r = played(farm(), rule, mean)
    assert r.ledger is not None
    lit = r.ledger.loads[:, 0].reshape(len(DATES), 24) > 0
    assert lit.any() and not (lit & ~may).any()


def test_no_fire_in_warm_weather_or_outside_the_months() -> None:
    """On days above the limit, and outside the months, nobody lights."""
    rule = LoadingRule(not_above_c=12.0, months=(11, 12))
    assert not rule.may_load(DATES, np.full((1, len(DATES)), 2.0), 24).any()
    rule = LoadingRule(not_above_c=12.0)
    assert not rule.may_load(DATES, np.full((1, len(DATES)), 13.0), 24).any()


def test_pellets_take_the_rest() -> None:
    """Without logs the pellets carry the house; with logs they burn less; the house is warm either way."""
    mean = winter_c()
    with_logs, without = (played(farm(), rule, mean) for rule in (LoadingRule(), NEVER))
    assert without.logs_kg.sum() == 0 and without.pellets_kg.sum() > 500
    assert with_logs.pellets_kg.sum() < 0.9 * without.pellets_kg.sum()
    for r in (with_logs, without):
        assert r.ledger is not None
        assert r.lack_kwh.max() < 1e-6 and r.dumped_kwh.sum() == pytest.approx(0, abs=1e-6)
    away = LoadingRule(away=[(date(2026, 1, 1), date(2026, 1, 31))])
    assert played(farm(), away, mean).pellets_kg == pytest.approx(without.pellets_kg)


def test_pellets_never_burn_beside_logs() -> None:
    """While a load burns, the pellets stand still."""
    r = played(farm(), LoadingRule(), winter_c())
    assert r.ledger is not None
    assert ((r.ledger.log_heat_kwh > 0) & (r.ledger.pellet_heat_kwh > 0)).sum() == 0


def test_a_load_is_lit_only_where_it_fits() -> None:
    """A buffer that cannot take a load, beside what the house takes meanwhile, sees none or a half."""
    mean = np.full((1, len(DATES)), 8.0)
    assert played(farm(buffer_l=300.0), LoadingRule(), mean).loads.sum() == 0
    small = played(farm(buffer_l=1500.0), LoadingRule(), mean)
    assert small.ledger is not None
    assert set(np.unique(small.ledger.loads)) == {0.0, 0.5}
    may = LoadingRule().may_load(DATES, mean, 24)
    assert run(farm(buffer_l=1500.0), load_kw(mean), may, half_loads=False).loads.sum() == 0
    large = played(farm(buffer_l=4000.0), LoadingRule(), mean)
    assert large.ledger is not None
    assert 1.0 in np.unique(large.ledger.loads)


def test_an_empty_pile_leaves_it_to_the_pellets() -> None:
    """With 100 kg of logs left, at most three full loads of 30 kg burn, then pellets alone."""
    mean = winter_c()
    r = played(farm(), LoadingRule(), mean, logs_kg=100.0)
    assert (r.logs_kg.sum(axis=1) <= 100.0 + 1e-6).all()
    assert (r.logs_kg.sum(axis=1) > 60.0).all()
    assert r.logs_kg[:, -5:].sum() == 0 and (r.pellets_kg[:, -5:].sum(axis=1) > 0).all()


def test_without_any_fuel_the_house_grows_cold() -> None:
    """Logs only and nobody home: the lack grows towards the load times the time constant, and nothing is
    invented.
    """
    load = np.full((1, 24 * 40), 6.0)
    r = run(
        farm(pellets=False),
        load,
        np.zeros(load.shape, dtype=bool),
        buffer_share=0.0,
        house_h=50.0,
        keep_steps=True,
    )
    assert r.logs_kg.sum() == 0
    assert r.lack_kwh[0, -1] == pytest.approx(6.0 / (np.exp(1 / 50) - 1), rel=1e-3)


def test_most_loads_a_day() -> None:
    """A cold day with everybody at home still sees no more loads than the person said."""
    mean = np.full((1, len(DATES)), -12.0)
    rule = LoadingRule(weekday_hours=((0, 24),), weekend_hours=((0, 24),))
    r = played(farm(), rule, mean, most_loads_a_day=2)
    assert r.loads.max() == 2.0


def test_hours_and_quarters_agree() -> None:
    """Stepping in quarters of an hour changes pellets by less than a tenth and the heat not at all."""
    mean = winter_c(6)
    rule = LoadingRule()
    by_hour = run(farm(), load_kw(mean), rule.may_load(DATES, mean, 24))
    by_quarter = run(farm(), load_kw(mean, steps=96), rule.may_load(DATES, mean, 96), steps_per_day=96)
    heat = [(r.log_heat_kwh + r.pellet_heat_kwh).sum() for r in (by_hour, by_quarter)]
    assert heat[0] == pytest.approx(heat[1], rel=0.01)
    assert by_hour.pellets_kg.sum() == pytest.approx(by_quarter.pellets_kg.sum(), rel=0.10)


def test_winters_do_not_touch_each_other() -> None:
    """A winter played alone burns what it burns among others."""
    mean = winter_c(4)
    together = played(farm(), LoadingRule(cold_below_c=-3.0), mean)
    alone = played(farm(), LoadingRule(cold_below_c=-3.0), mean[2:3])
    assert alone.pellets_kg[0] == pytest.approx(together.pellets_kg[2])
    assert alone.loads[0] == pytest.approx(together.loads[2])


def test_what_an_hour_of_loading_saves() -> None:
    """Pellets saved over the hours spent: the useful heat of the loads in pellets, a third of an hour for
    each fire.
    """
    mean = winter_c(5)
    plant = farm()
    logs, none = played(plant, LoadingRule(), mean), played(plant, NEVER, mean)
    value = value_of_loading(logs, none, minutes_per_fire=20)
    assert logs.fires.sum() > logs.loads.sum() > 0.5 * logs.fires.sum()
    assert value.hours.sum() == pytest.approx(logs.fires.sum() / 3)
    in_pellets = 3 * logs.loads.sum() / logs.fires.sum() * plant.load_useful_kwh / 4.8
    assert in_pellets < value.kg_per_hour < 1.35 * in_pellets  # pellets burn at less than 100 %
    assert f"{value.kg_per_hour:.0f} kg for each hour" in as_text(value.sentence)
    nothing = value_of_loading(none, none)
    assert np.isnan(nothing.kg_per_hour) and "No logs" in as_text(nothing.sentence)


def test_a_house_that_grows_cold_is_told() -> None:
    """A boiler too small for the cold says on how many days; one that follows says so."""
    mean = winter_c()
    assert "as warm as asked on every day" in as_text(played(farm(), NEVER, mean).answer_on_size)
    mean[0] += 25.0  # one winter of three is mild
    cold = run(farm(), load_kw(mean, w_per_k=1500.0), NEVER.may_load(DATES, mean, 24))
    share = (cold.lack_kwh > 1.0).mean()
    assert 0 < share < 1 and (cold.lack_kwh[0] < 1.0).all()
    assert f"On {share:.1%} of the days" in as_text(
        cold.answer_on_size
    ) and "(in 67% of the winters)" in as_text(cold.answer_on_size)
    assert "heating engineer" in as_text(cold.answer_on_size)


def test_hot_water_is_spread_without_loss() -> None:
    """The steps of a day add up to its heat, with the hot water in the morning and evening."""
    load = spread_over_day(np.array([[48.0]]), 10.0, 96)
    assert load.shape == (1, 96)
    assert load.sum() / 4 == pytest.approx(58.0)
    assert load[0, 28] > load[0, 8]


@pytest.mark.parametrize(
    ("make", "says"),
    [
        (lambda: LogLoad(0, 4, 4), "above zero"),
        (lambda: farm(kg=200.0, burn_h=2.0), "more than the rated"),
        (lambda: LogPelletBoiler(None, None, Buffer(500)), "neither logs nor pellets"),
        (lambda: LogPelletBoiler(None, Boiler(20), Buffer(500), LogLoad(10, 4, 3)), "full load of logs"),
        (lambda: LogPelletBoiler(None, Boiler(20), Buffer(500), pellets_on_share=0.7), "lower share"),
        (lambda: LoadingRule(weekday_hours=((22, 6),)), "17 to 22"),
        (lambda: LoadingRule(months=(0,)), "1 to 12"),
        (lambda: LoadingRule(away=[(date(2026, 2, 1), date(2026, 1, 1))]), "swap the dates"),
        (lambda: run(farm(), np.ones((1, 24)), np.ones((1, 23), dtype=bool)), "must be the same"),
        (lambda: run(farm(), np.ones((1, 23)), np.ones((1, 23), dtype=bool)), "no whole days"),
        (lambda: run(farm(), -np.ones((1, 24)), np.ones((1, 24), dtype=bool)), "zero or more"),
        (
            lambda: run(farm(), np.ones((1, 24)), np.ones((1, 24), dtype=bool), logs_kg=-1.0),
            "zero or more kg",
        ),
        (lambda: spread_over_day([[1.0]], 0.0, 12), "24 or 96"),
    ],
)
def test_what_cannot_be_is_refused(make, says: str) -> None:
    """Impossible boilers, rules and runs are refused with what to write instead."""
    with pytest.raises(LogHeatingError, match=says):
        make()


def test_days_alone_and_days_with_every_step_agree() -> None:
    """Played a week at a time without the steps, every day is the same as played in one go with them."""
    mean, rule = winter_c(3, seed=9), LoadingRule(cold_below_c=-4.0, most_loads_a_day=3)
    space = 0.024 * 350.0 * np.maximum(16.0 - mean, 0.0)
    load, may = spread_over_day(space, 9.0, 24), rule.may_load(DATES, mean, 24)
    kept, daily = (
        run(farm(), load, may, most_loads_a_day=3, pellets_kg=900.0, keep_steps=k) for k in (True, False)
    )
    assert kept.ledger is not None and daily.ledger is None
    for name in ("logs_kg", "pellets_kg", "loads", "lack_kwh", "pellet_starts", "dumped_kwh"):
        assert getattr(daily, name) == pytest.approx(getattr(kept, name), abs=1e-9), name
    assert daily.pellets_kg.sum() > 0


def test_the_last_pellets_are_burned_and_no_more() -> None:
    """A stock of 150 kg in the cold is burned to the last gram, then the house is without."""
    mean = np.full((1, len(DATES)), -8.0)
    r = played(farm(), NEVER, mean, pellets_kg=150.0)
    assert r.pellets_kg.sum() == pytest.approx(150.0, abs=1e-6)
    assert r.lack_kwh[0, -1] > 100.0 and r.pellets_kg[0, -5:].sum() == 0.0


def test_the_house_takes_usable_heat_only() -> None:
    """Without fuel the house empties the buffer to its lowest useful temperature; below that only its own
    loss cools it.
    """
    load = np.full((1, 48), 6.0)
    r = run(farm(pellets=False), load, np.zeros(load.shape, dtype=bool), buffer_share=0.4, keep_steps=True)
    assert r.ledger is not None
    held = r.ledger.buffer_kwh[:, 0]
    empty = int(np.argmax(held < 1e-6))
    assert 0 < empty < 40
    assert held[empty] == pytest.approx(0.0, abs=1e-9)
    assert r.ledger.delivered_kwh[empty + 1 :].sum() == 0.0
    assert np.diff(held[empty:]) == pytest.approx(-r.ledger.buffer_loss_kwh[empty + 1 :, 0])

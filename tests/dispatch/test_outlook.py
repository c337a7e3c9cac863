"""The outlook of many customers against one written down day by day, and what must always hold."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fuelplan.dispatch.outlook import (
    CustomerDraws,
    CustomerStores,
    LevelTable,
    Outlook,
    OutlookError,
    OutlookSettings,
    Summary,
    WinterTables,
    deliver_by_day,
    deviates,
    draws_of_summary,
    level_table,
    outlook_of,
    outlook_of_draws,
    share_beyond,
    use_paths,
    week_ends,
    winter_tables,
)
from tests.outlook_worlds import draws_for, stores_of, summary_for, tables_of, winters_c


def day_by_day(mean_c: np.ndarray, store: CustomerStores, draws: CustomerDraws) -> tuple[np.ndarray, ...]:
    """Each draw of each customer, one evening after the other, as a person would reckon it.

    Returns first empty and first low evening (days + 1 for never) and burned and delivered kg by day.
    """
    days, winters = mean_c.shape[2], mean_c.shape[1]
    n, m = draws.level_kg.shape
    empty, low = np.full((n, m), days + 1), np.full((n, m), days + 1)
    burned, delivered = np.zeros((m, days + 1)), np.zeros((m, days + 1))
    for i in range(n):
        for k in range(m):
            s, d, base = draws.kg_per_degree_day[i, k], draws.kg_per_day[i, k], draws.base_c[i, k]
            use = [s * max(0.0, base - c) + d for c in mean_c[store.area[i], k % winters]]
            total = sum(use)
            e = draws.shake[i, k] * math.sqrt(sum(u * u for u in use) / total) if total > 0 else 0.0
            level = there = draws.level_kg[i, k]
            gone = plain = 0.0
            for t in range(days + 1):
                if t:
                    plain += use[t - 1]
                now = max(0.0, plain + e * math.sqrt(plain))
                burned[k, t] += now - gone
                level, gone = level - (now - gone), now
                if there - gone <= 0 and empty[i, k] > days:
                    empty[i, k] = t
                if there - gone <= store.reserve_kg[i] and low[i, k] > days:
                    low[i, k] = t
                if level <= store.reserve_kg[i]:
                    delivered[k, t] += store.fill_kg[i] - level
                    level = store.fill_kg[i]
    return empty, low, burned, delivered


def counted(first: np.ndarray, days: int) -> np.ndarray:
    """Share of the draws that are there by each evening."""
    return (first[..., None] <= np.arange(days + 1)).mean(axis=1)


def drawn(tables: WinterTables, summary: Summary, draws: int, seed: int = 1) -> CustomerDraws:
    """The draws that an outlook makes of summaries."""
    low, high = float(tables.base_c[0]), float(tables.base_c[-1])
    return draws_of_summary(summary, deviates(seed), draws, low, high)


def of_draws(
    tables: WinterTables, store: CustomerStores, draws: CustomerDraws
) -> tuple[np.ndarray, np.ndarray, np.ndarray, np.ndarray]:
    """Chances of being empty and below the reserve by each evening, and kilograms by week, of draws."""
    empty, below, burned, delivered = outlook_of_draws(
        tables, store, draws, week_ends(tables.days), store.groups
    )
    chances = (np.cumsum(counts, axis=1)[:, :-1] / draws.draws for counts in (empty, below))
    return *chances, burned, delivered


@pytest.mark.parametrize("compiled", [False, True])
def test_the_outlook_is_what_is_reckoned_day_by_day(compiled: bool) -> None:
    """Run-out days, levels and weekly kilograms equal those of a loop over customers, draws and days."""
    mean_c, days = winters_c(2, 6, 40, 5), 40
    tables = winter_tables(mean_c, np.arange(9, 21.25, 0.25))
    store = stores_of(23)
    summary = summary_for(23, store)
    draws = drawn(tables, summary, 12)
    ask = OutlookSettings(12, 1, level_shares=(0.1, 0.5, 0.9))
    found = outlook_of(tables, store, summary, ask, compiled=compiled)
    empty, low, burned, delivered = day_by_day(mean_c, store, draws)
    assert (empty < low.max()).any() and (empty > days).any(), "the example must hold both kinds"
    for q, share in enumerate(found.shares):
        for first, told in ((empty, found.empty_day), (low, found.below_day)):
            nth = np.sort(first, axis=1)[:, math.ceil(share * 12) - 1]
            assert np.array_equal(told[:, q], np.where(nth > days, -1, nth))
    assert np.allclose(found.level_kg, np.quantile(draws.level_kg, ask.level_shares, axis=1).T)
    weeks = [slice(0, 8), slice(8, 15), slice(15, 22), slice(22, 29), slice(29, 36)]  # evening 0 counts first
    assert np.allclose(found.burned_kg[0], np.stack([burned[:, w].sum(axis=1) for w in weeks], axis=1))
    assert np.allclose(found.delivered_kg[0], np.stack([delivered[:, w].sum(axis=1) for w in weeks], axis=1))
    assert (delivered > 0).sum() > 20


def test_tables_by_hand() -> None:
    """Days of 20, 10 and 14 °C have 0, 2, 0 degree-days below 12 °C and 0, 5, 1 below 15 °C."""
    tables = winter_tables(np.array([[[20.0, 10.0, 14.0]]]), np.array([15.0, 12.0, 15.0]))
    assert tables.base_c.tolist() == [12, 15]
    assert tables.sum_kd[0, :, 0].tolist() == [[0, 0, 2, 2], [0, 0, 5, 6]]
    assert tables.squares_k2d[0, :, 0].tolist() == [4, 26]
    assert tables.row_of(np.array([9.0, 13.4, 13.6, 20.0])).tolist() == [0, 0, 1, 1]


@settings(max_examples=30, deadline=None)
@given(seed=st.integers(0, 10**6), days=st.integers(2, 40))
def test_the_plain_way_is_what_is_reckoned_day_by_day(seed: int, days: int) -> None:
    """Chances and kilograms of any draws, some of which burn nothing, are those of the loop."""
    mean_c = winters_c(2, 3, days, seed)
    tables = winter_tables(mean_c, np.arange(9, 21.25, 0.25))
    store, draws = stores_of(4, seed), draws_for(4, 6, seed)
    empty, low, *_ = day_by_day(mean_c, store, draws)
    empty_chance, below_chance, *_ = of_draws(tables, store, draws)
    assert np.allclose(empty_chance, counted(empty, days)) and np.allclose(below_chance, counted(low, days))


@settings(max_examples=40, deadline=None)
@given(
    customers=st.integers(1, 40),
    times=st.integers(1, 3),
    winters=st.integers(1, 20),
    days=st.integers(1, 60),
    seed=st.integers(0, 10**6),
)
def test_compiled_and_plain_agree(customers: int, times: int, winters: int, days: int, seed: int) -> None:
    """For any customers, winters and horizon both ways tell the same days, levels and kilograms."""
    tables, store = tables_of(2, winters, days, seed), stores_of(customers, seed)
    summary = summary_for(customers, store, seed)
    ask = OutlookSettings(times * winters, seed, level_shares=(0.1, 0.5, 0.9))
    a, b = (outlook_of(tables, store, summary, ask, compiled=way) for way in (True, False))
    for name in ("empty_day", "below_day"):
        assert np.array_equal(getattr(a, name), getattr(b, name)), name
    for name in ("level_kg", "burned_kg", "delivered_kg"):
        assert np.allclose(getattr(a, name), getattr(b, name)), name


def test_counts_that_rounding_could_touch_are_made_again() -> None:
    """Levels that are used up exactly on an evening give the plain day although single precision would not.

    Slope 0 and a daily part of a third of a kilogram: after day t the customer has burned t thirds, and the
    store held just that, give or take the last bit.
    """
    days, winters, n = 60, 5, 400
    tables = tables_of(1, winters, days)
    rng = np.random.default_rng(0)
    evening = rng.integers(1, days, n)
    bit = rng.integers(-1, 2, n)
    level = (1 / 3) * evening
    level = np.where(bit < 0, np.nextafter(level, 0), np.where(bit > 0, np.nextafter(level, 99), level))
    mean = np.stack([np.zeros(n), np.full(n, 1 / 3), np.full(n, 15.0), level], axis=1)
    summary = Summary(np.arange(n), mean, np.zeros((n, 4, 4)), np.zeros(n), np.full(n, 1e6))
    store = CustomerStores(np.zeros(n, np.int64), np.zeros(n), np.full(n, 5000.0))
    ask = OutlookSettings(winters, 1)
    quick, plain = (outlook_of(tables, store, summary, ask, compiled=way) for way in (True, False))
    assert np.array_equal(quick.empty_day, plain.empty_day)
    single = (mean[:, 1].astype(np.float32) * np.arange(1, days + 1, dtype=np.float32)[:, None]).T
    by_single = 1 + (single >= level.astype(np.float32)[:, None]).argmax(axis=1)
    assert (by_single != plain.empty_day[:, 0]).any(), "the example must be one that rounding touches"


def test_the_sum_is_made_before_the_quantile() -> None:
    """Customers of one area freeze together: the 90 % week of the sum is far above what independent winters
    would give, and no more than the sum of everybody's own 90 % weeks.
    """
    tables, n = tables_of(1, 40, 28, 7), 200
    store = stores_of(n, areas=1)
    draws = draws_for(n, 40)
    steady = CustomerDraws(
        np.full((n, 40), 2.0), np.full((n, 40), 1.0), np.full((n, 40), 15.0), draws.level_kg, 0 * draws.shake
    )
    low, high = np.quantile(of_draws(tables, store, steady)[2][0], [0.1, 0.9], axis=0)
    paths = use_paths(tables, store.area, steady)
    own = np.diff(paths[..., [0, 7, 14, 21, 28]], axis=-1)
    own_low, own_high = np.quantile(own, [0.1, 0.9], axis=1).sum(axis=1)
    assert np.allclose(high - low, own_high - own_low)  # all burn alike, so together they swing as one does
    rng = np.random.default_rng(1)
    mixed = np.stack([own[i][rng.permutation(40)] for i in range(n)]).sum(axis=0)
    apart = np.diff(np.quantile(mixed, [0.1, 0.9], axis=0), axis=0)[0]
    assert (high - low > 5 * apart).all()


@pytest.mark.parametrize("compiled", [False, True])
def test_groups_add_up_to_all(compiled: bool) -> None:
    """What two classes of fuel need is what their customers alone would need, and together all."""
    tables, store = tables_of(2, 6, 30), stores_of(40)
    group, summary = np.arange(40) % 3, summary_for(40, store)
    both = replace(store, group=group)

    def ahead(stores: CustomerStores, summaries: Summary) -> Outlook:
        return outlook_of(tables, stores, summaries, OutlookSettings(12, 1), compiled=compiled)

    found, whole = ahead(both, summary), ahead(store, summary)
    assert found.burned_kg.shape == (3, 12, 4)
    assert np.allclose(found.delivered_kg.sum(axis=0), whole.delivered_kg[0])
    assert np.allclose(found.burned_t(), whole.burned_t())
    for g in range(3):
        mine = group == g
        alone = ahead(store.rows(mine), summary.rows(mine))
        assert np.allclose(found.delivered_t(group=g), alone.delivered_t())
        assert np.allclose(found.burned_kg[g], alone.burned_kg[0])
    with pytest.raises(OutlookError, match="group"):
        replace(store, group=group[:3])


def test_week_ends_are_whole_weeks() -> None:
    """Only whole weeks are told."""
    assert week_ends(20).tolist() == [7, 14] and week_ends(6).size == 0


@settings(max_examples=30, deadline=None)
@given(seed=st.integers(0, 10**6), days=st.integers(2, 40))
def test_what_must_always_hold(seed: int, days: int) -> None:
    """Chances rise with time, the reserve is reached before the store is empty, burned weeks add up, and
    deliveries never exceed what was burned by more than the room there was.
    """
    tables, store, draws = tables_of(2, 5, days, seed), stores_of(9, seed), draws_for(9, 10, seed)
    empty_chance, below_chance, burned, delivered = of_draws(tables, store, draws)
    assert (np.diff(empty_chance, axis=1) >= 0).all() and (np.diff(below_chance, axis=1) >= 0).all()
    assert (below_chance >= empty_chance).all()
    whole = 7 * (days // 7)
    paths = use_paths(tables, store.area, draws)
    assert (paths >= 0).all()
    assert np.allclose(burned[0].sum(axis=1), paths[:, :, whole].sum(axis=0))
    room = np.maximum(store.fill_kg[:, None] - draws.level_kg, 0).sum(axis=0)
    assert (delivered[0].sum(axis=1) <= burned[0].sum(axis=1) + room + 1e-6).all()


def test_more_fuel_lasts_longer_and_colder_winters_do_not() -> None:
    """No run-out day comes earlier with more in store, none later in colder winters."""
    mean_c, store = winters_c(2, 8, 50, 3), stores_of(30)
    summary, base, ask = summary_for(30, store), np.arange(9, 21.25, 0.25), OutlookSettings(8, 1)
    steady = replace(summary, root=0 * summary.root, day_noise=0 * summary.day_noise)

    def days(colder_c: float, more_kg: float, believed: Summary) -> np.ndarray:
        mean = believed.mean + np.array([0, 0, 0, more_kg])
        more = replace(believed, mean=mean, most_kg=believed.most_kg + more_kg)
        found = outlook_of(winter_tables(mean_c - colder_c, base), store, more, ask).empty_day
        return np.where(found < 0, 99, found)

    usual, longer = days(0, 0, steady), days(0, 300, steady)
    assert (longer >= usual).all() and (longer > usual).any()
    quiet = replace(summary, day_noise=0 * summary.day_noise)
    assert (days(2, 0, quiet) <= days(0, 0, quiet)).all()


def test_day_to_day_noise_has_the_size_that_independent_days_add_up_to() -> None:
    """The spread of what is burned in 40 days equals that of days shaken one by one, within a twentieth."""
    mean_c = winters_c(1, 1, 40, 2)
    tables = winter_tables(mean_c, np.array([15.0]))
    rng = np.random.default_rng(5)
    n = 40_000
    one = np.ones((1, n))
    draws = CustomerDraws(2 * one, 1 * one, 15 * one, 9e9 * one, 0.3 * rng.standard_normal((1, n)))
    found = use_paths(tables, np.array([0]), draws)[0, :, -1]
    use = 2 * np.maximum(0, 15 - mean_c[0, 0]) + 1
    shaken = (use * (1 + 0.3 * rng.standard_normal((n, 40)))).sum(axis=1)
    assert found.std() == pytest.approx(shaken.std(), rel=0.05)
    assert found.mean() == pytest.approx(shaken.mean(), rel=0.005)


def test_a_summary_is_drawn_inside_its_limits() -> None:
    """Draws keep to 0 and the store, have the summary's moments where the limits are far, and no two
    customers share their deviates.
    """
    n = 300
    store = stores_of(n)
    summary = summary_for(n, store)
    drawn = draws_of_summary(summary, deviates(3), 200, 0.0, 30.0)
    assert (drawn.kg_per_degree_day >= 0).all() and (drawn.kg_per_day >= 0).all()
    assert (drawn.level_kg >= 0).all() and (drawn.level_kg <= store.fill_kg[:, None]).all()
    at_limit = (drawn.level_kg == 0) | (drawn.level_kg == store.fill_kg[:, None])
    assert at_limit.mean() < 0.001
    far = np.abs(summary.mean[:, 3] / store.fill_kg - 0.5) < 0.05
    z = (drawn.level_kg[far].mean(axis=1) - summary.mean[far, 3]) / store.fill_kg[far]
    assert far.sum() > 20 and np.abs(z.mean()) < 0.005
    spread = drawn.level_kg[far].std(axis=1) / store.fill_kg[far]
    assert spread.mean() == pytest.approx(0.13, abs=0.01)
    assert len({row.tobytes() for row in drawn.shake / summary.day_noise[:, None]}) == n


def test_levels_to_come_tell_chances_for_any_delivery() -> None:
    """The table's chance of a level below a bar is the share of draws there, whatever is delivered."""
    tables, store, draws = tables_of(2, 20, 30, 4), stores_of(15), draws_for(15, 400)
    table = level_table(tables, store.area, draws.rows, 400)
    levels = draws.level_kg[..., None] - use_paths(tables, store.area, draws)
    assert np.allclose(table.mean_kg, levels.mean(axis=1))
    for delivered in (0.0, 500.0, 2500.0):
        bar = store.reserve_kg[:, None] - delivered + np.zeros(31)
        share = (levels < bar[:, None, :]).mean(axis=1)
        assert np.abs(table.chance_below(bar) - share).max() < 0.04
        both = table.chance_below(np.stack([bar, bar + 100], axis=-1))
        assert np.allclose(both[..., 0], table.chance_below(bar)) and (both[..., 1] >= both[..., 0]).all()
    assert (table.chance_below(table.kg[..., 0].astype(float)) == 0).all()
    assert np.allclose(table.chance_below(table.kg[..., -1].astype(float)), 1)


def test_deliver_by_days_by_hand() -> None:
    """The chance on the evening before the delivery keeps within the limit, on the next it would not."""
    chance = np.array([[0, 0, 0.01, 0.02, 0.03], [0.03, 0.1, 0.2, 0.3, 1], [0, 0, 0, 0, 0.02]], np.float32)
    chance = np.minimum(chance, np.float32(1))
    assert deliver_by_day(chance, 0.0201).tolist() == [4, 0, -1]
    with pytest.raises(OutlookError, match=r"0\.02"):
        deliver_by_day(chance, 0.0)


@settings(max_examples=30, deadline=None)
@given(seed=st.integers(0, 10**6), limit=st.sampled_from([0.02, 0.1, 0.25, 0.5]))
def test_the_accepted_chance_is_used_up_on_the_day_that_chances_tell(seed: int, limit: float) -> None:
    """The first evening of the share beyond a limit is the last safe day by the chances of every evening."""
    tables, store = tables_of(2, 20, 60, seed), stores_of(12, seed)
    summary, draws = summary_for(12, store, seed), 100
    ask = OutlookSettings(draws, 1, below_shares=(share_beyond(limit, draws),))
    found = outlook_of(tables, store, summary, ask).below_day[:, 0]
    chance = of_draws(tables, store, drawn(tables, summary, draws))[1].astype(np.float32)
    assert np.array_equal(found, deliver_by_day(chance, limit))
    with pytest.raises(OutlookError, match=r"0\.02"):
        share_beyond(0.0, draws)


def test_the_result_does_not_depend_on_threads() -> None:
    """One thread and four give the same numbers to the last bit."""
    tables, n = tables_of(2, 10, 30), 5000
    store, ask = stores_of(n), OutlookSettings(10, 1)
    a, b = (outlook_of(tables, store, summary_for(n, store), ask, workers=w, compiled=True) for w in (1, 4))
    assert np.array_equal(a.below_day, b.below_day)
    assert a.burned_kg.tobytes() == b.burned_kg.tobytes()
    assert a.delivered_kg.tobytes() == b.delivered_kg.tobytes()


def test_progress_counts_all_customers() -> None:
    """Progress ends with everybody done."""
    seen: list[tuple[int, int]] = []
    store, ask = stores_of(2100), OutlookSettings(4, 1)
    summary = summary_for(2100, store)
    outlook_of(tables_of(2, 4, 10), store, summary, ask, progress=lambda *p: seen.append(p))
    assert seen[-1] == (2100, 2100) and len(seen) > 1


def test_what_does_not_fit_is_refused() -> None:
    """Wrong shapes, an odd number of draws and impossible stores are named."""
    tables, store = tables_of(2, 6, 10), stores_of(3)
    summary = summary_for(3, store)
    with pytest.raises(OutlookError, match="multiple of the 6 winters"):
        outlook_of(tables, store, summary, OutlookSettings(13, 1))
    with pytest.raises(OutlookError, match="above 0"):
        outlook_of(tables, store, summary, OutlookSettings(12, 1, (0.0, 0.5)))
    with pytest.raises(OutlookError, match="below fill_kg"):
        CustomerStores(np.array([0]), np.array([500.0]), np.array([400.0]))
    with pytest.raises(OutlookError, match="0 or more"):
        CustomerDraws(*(-np.ones((1, 1)) for _ in range(5)))
    with pytest.raises(OutlookError, match="one shape"):
        CustomerDraws(np.ones((1, 2)), *(np.ones((1, 1)) for _ in range(4)))
    with pytest.raises(OutlookError, match="without a temperature"):
        winter_tables(np.full((1, 1, 3), np.nan), np.array([15.0]))
    with pytest.raises(OutlookError, match="areas, winters, days"):
        winter_tables(np.zeros((3, 3)), np.array([15.0]))
    ask = OutlookSettings(6, 1)
    with pytest.raises(OutlookError, match=r"steps of 0\.25"):
        outlook_of(winter_tables(np.zeros((2, 6, 5)), np.array([15.0, 16.0])), store, summary, ask)
    for shares in ({"shares": (0.5, 0.1)}, {"below_shares": (0.5, 0.1)}):
        with pytest.raises(OutlookError, match="rise"):
            outlook_of(tables, store, summary, replace(ask, **shares))
    with pytest.raises(OutlookError, match="2 summaries"):
        outlook_of(tables, store, summary.rows(slice(2)), ask)
    with pytest.raises(OutlookError, match="must begin with the shape"):
        LevelTable(np.array([0.0, 1.0]), np.zeros((2, 3, 2), np.float32), np.zeros((2, 3))).chance_below(
            np.zeros((3, 3))
        )

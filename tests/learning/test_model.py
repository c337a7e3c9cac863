"""The closed-form posterior is the right one, and honest about its doubt."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import numpy as np
import pytest

from fuelplan.learning import Assumptions, Prior, learn
from fuelplan.learning import readings as r
from fuelplan.learning.bulk import learn_many
from fuelplan.learning.case import Case, left_over
from fuelplan.learning.evidence import put_in_order
from fuelplan.learning.learn import priors_of, site_sums
from fuelplan.messages import render
from tests.signature_worlds import FIRST_DAY, YEARS_DAYS, coverage, invent, temperatures, weather_of

NARROW = Assumptions(noise=((0.25, 0.0, 0.0),), noise_weight=(1.0,), water_season_sd=0.0)


def day(i: int):  # type: ignore[no-untyped-def]
    return FIRST_DAY + timedelta(i)


def test_posterior_equals_brute_force_on_a_linear_case() -> None:
    """With the base known and one size of noise, mean and covariance equal a dense normal calculation.

    The reference draws nothing and shares no code: it writes level = start + deliveries - use as one joint
    normal vector and conditions on the readings.
    """
    days = 120
    weather = weather_of(temperatures(days, 1, 1)[0])
    prior = Prior(2.0, 4.0, 15.0, 0.3, 0.5, 0.001)  # the base is known
    seen = {20: 4000.0, 50: 3500.0, 90: 4600.0, 110: 4200.0}
    sd, start_sd, capacity = 80.0, 0.35 * 6000.0, 6000.0
    told = learn(
        prior, weather, [r.weighed(day(i), kg, sd) for i, kg in seen.items()],
        [r.Delivery(day(70), 2000.0, 30.0)], day(days - 1), assumptions=NARROW, screening=False,
        changes=False, capacity_kg=capacity,
    )  # fmt: skip
    # the room left for the delivery is a reading too: 4,000 kg wide, six tenths of its doubt its own
    heating = np.maximum(0, 15.0 - weather.mean_c)
    centre_slope, centre_day = told.weight @ told.mean[:, 0], told.weight @ told.mean[:, 1]
    use = centre_slope * heating + centre_day
    paper = (2.0 * heating + 4.0).mean()
    noise_var = 0.25**2 * (use**2 + (0.2 * paper) ** 2)
    first = 20  # the reckoning begins with the first reading, in the evening of day 20
    begin = first + 1
    # unknowns: slope, day, start, habit, W at each reading time (cumulative), V
    width = 4000.0 / np.sqrt(12)
    times = [21.0, 51.0, 70.5, 91.0, 111.0, float(days)]

    def until(x, t):  # type: ignore[no-untyped-def]
        c = np.concatenate([[0.0], np.cumsum(x)])
        return c[int(t)] if t == int(t) else 0.5 * (c[int(t)] + c[int(t) + 1])

    dd = np.array([until(heating, t) - until(heating, begin) for t in times])
    dt = np.array([t - begin for t in times])
    w = np.array([until(noise_var, t) - until(noise_var, begin) for t in times])
    cov = np.diag([0.6**2, 2.0**2, start_sd**2, 1.0])
    design = np.column_stack([-dd, -dt, np.ones(6), np.zeros(6)])
    brought = np.array([0, 0, 0, 1, 1, 1.0])
    joint = design @ cov @ design.T + np.minimum.outer(w, w) + 30.0**2 * np.outer(brought, brought)
    mean = design @ np.array([2.0, 4.0, 3000.0, 0.0]) + 2000.0 * brought
    h = np.eye(6)[:5]
    habit = np.array([0, 0, 0.8 * width, 0, 0])
    noise = np.diag([sd**2, sd**2, (0.6 * width) ** 2 + 30.0**2, sd**2, sd**2]) + np.outer(habit, habit)
    y = np.array([4000.0, 3500.0, 2000.0, 4600.0, 4200.0])
    gain_of = np.linalg.solve(h @ joint @ h.T + noise, y - h @ mean)
    cross = np.vstack([(cov @ design.T @ h.T)[:2], (joint @ h.T)[5]])
    wanted = np.array([2.0, 4.0, mean[5]]) + cross @ gain_of
    wanted_cov = np.zeros((3, 3))
    wanted_cov[:2, :2] = cov[:2, :2]
    wanted_cov[2, 2] = joint[5, 5]
    wanted_cov[:2, 2] = wanted_cov[2, :2] = (cov @ design.T)[:2, 5]
    wanted_cov -= cross @ np.linalg.solve(h @ joint @ h.T + noise, cross.T)
    got, got_cov = told.moments()
    keep = [0, 1, 3]
    assert got[keep] == pytest.approx(wanted, rel=3e-3)
    assert np.sqrt(np.diag(got_cov))[keep] == pytest.approx(np.sqrt(np.diag(wanted_cov)), rel=5e-3)


def test_parts_that_fade_equal_a_dense_calculation() -> None:
    """Level, signature and both parts on the last evening equal conditioning one dense normal vector.

    The reference sums the exponential covariances on a grid of a tenth of a day. Days burn alike here, for
    which the filter's closed form is exact; a stated year is one of the readings.
    """
    days, sizes, capacity = 260, (0.2, 0.15, 0.10), 9000.0
    seen = {10: 8200.0, 40: 7700.0, 45: 7500.0, 130: 6000.0, 220: 4300.0}
    sd = 40.0
    told = learn(
        Prior(2.0, 4.0, 15.0, 0.3, 0.5, 0.001, year_rel_sd=0.1), weather_of(np.full(days, 7.0)),
        [r.weighed(day(i), kg, sd) for i, kg in seen.items()], [], day(days - 1), screening=False,
        assumptions=Assumptions(noise=(sizes,), noise_weight=(1.0,), water_season_sd=0.0), changes=False,
        capacity_kg=capacity,
    )  # fmt: skip
    use = 8.0 * (told.weight @ told.mean[:, 0]) + told.weight @ told.mean[:, 1]
    floor = 0.2 * 20.0  # of a mean day on paper
    ends = np.array([11.0, 41.0, 46.0, 131.0, 221.0, float(days)]) - 11.0
    t = (np.arange(int(10 * ends[-1])) + 0.5) / 10
    until = (t[None, :] < ends[:, None]) * 0.1
    w = 0.2**2 * (use**2 + floor**2) * np.minimum.outer(ends, ends)
    with_last = np.zeros((6, 2))
    for k, (size, lasting, kg) in enumerate(zip(sizes[1:], (20.0, 250.0), (use + floor, use), strict=True)):
        apart = size**2 * np.exp(-np.abs(t[:, None] - t[None, :]) / lasting)
        w += kg**2 * until @ apart @ until.T
        with_last[:, k] = kg * until @ (size**2 * np.exp(-(ends[-1] - t) / lasting))
    # slope, daily part, start, W at each time, then the parts on the last evening
    cov = np.zeros((11, 11))
    cov[:3, :3] = np.diag([0.6, 2.0, 0.35 * capacity]) ** 2
    cov[3:9, 3:9], cov[3:9, 9:], cov[9:, 3:9] = w, with_last, with_last.T
    cov[9:, 9:] = np.diag(sizes[1:]) ** 2
    mean = np.array([2.0, 4.0, 0.5 * capacity, *np.zeros(8)])
    level = np.column_stack([-8.0 * ends, -ends, np.ones(6), -np.eye(6), np.zeros((6, 2))])
    year = np.array([[8.0 * 365.25, 365.25, *np.zeros(9)]])
    h = np.vstack([level[:5], year])
    noise = np.diag([*[sd**2] * 5, (0.1 * 20.0 * 365.25) ** 2])
    y = np.array([*seen.values(), 20.0 * 365.25])
    gain = cov @ h.T @ np.linalg.inv(h @ cov @ h.T + noise)
    see = np.vstack([np.eye(11)[:2], level[5:], np.eye(11)[9:]])
    wanted = see @ (mean + gain @ (y - h @ mean))
    wanted_cov = see @ (cov - gain @ h @ cov) @ see.T
    off = told.mean - told.weight @ told.mean
    got_cov = np.einsum("g,gi,gj->ij", told.weight, off, off) + np.einsum("g,gij->ij", told.weight, told.cov)
    assert (told.weight @ told.mean)[:5] == pytest.approx(wanted, rel=3e-3, abs=3e-4)
    assert got_cov[:5, :5] == pytest.approx(wanted_cov, rel=0.01, abs=1e-3)


def test_what_readings_say_counts_the_stated_year_too() -> None:
    """Slope and daily part by the readings' covariance, with which they are screened, are those of the
    posterior, far from paper and with a stated year.
    """
    prior = Prior(2.0, 4.0, 15.0, 0.5, 0.5, 0.001, year_rel_sd=0.05)
    weather = weather_of(temperatures(260, 1, 3)[0])
    seen = [r.weighed(day(i), 8200.0 - 9.0 * i, 40.0) for i in (10, 40, 45, 130, 220)]
    record = put_in_order(weather, seen, [], day(259), 9000.0)
    none = np.zeros(len(seen))
    sums = site_sums(weather, record, prior, None)
    alone = Assumptions(noise=((0.2, 0.15, 0.10),), noise_weight=(1.0,), water_season_sd=0.0)
    case = Case(record, priors_of(prior), sums, alone, 9000.0, none, none)
    cells = case.solve()
    mean = np.einsum("nsb,nsbq->nq", cells.weight, cells.mean)[0]
    assert left_over(case, cells).steps[0][1:] == pytest.approx(tuple(mean[:2]), rel=0.01)
    free = replace(case, priors=priors_of(replace(prior, year_rel_sd=None)))
    assert left_over(free, cells).steps[0][1:] != pytest.approx(tuple(mean[:2]), rel=0.03)


def test_no_reading_is_the_prior() -> None:
    """With nothing read the coefficients are the paper's, and the level may be anything in the store."""
    prior = Prior(2.0, 4.0, 15.0)
    told = learn(prior, weather_of(temperatures(200, 1, 1)[0]), [], [], day(150), capacity_kg=6000.0)
    mean, cov = told.moments()
    assert mean[:3] == pytest.approx([2.0, 4.0, 15.0], abs=0.02)
    assert np.sqrt(np.diag(cov))[:3] == pytest.approx([0.6, 2.0, 2.0], rel=0.05)
    low, high = told.quantile((0.05, 0.95))["level_kg"]
    assert low < 1200 and high > 4800
    assert any("No reading tells" in render(n) for n in told.notes)


def test_many_readings_find_the_truth() -> None:
    """With 300 weighings of a house that burns a third more than on paper, the data decide, not the paper."""
    mean_c = temperatures(900, 1, 4)[0]
    rng = np.random.default_rng(5)
    use = (2.7 * np.maximum(0, 14.0 - mean_c) + 5.0) * (1 + 0.2 * rng.standard_normal(900))
    level = 60_000 - np.cumsum(use)
    seen = [r.weighed(day(i), level[i] + 20 * rng.standard_normal(), 20.0) for i in range(0, 900, 3)]
    told = learn(Prior(2.0, 4.0, 15.0), weather_of(mean_c), seen, [], day(899), capacity_kg=60_000.0)
    q = told.quantile((0.05, 0.5, 0.95))
    for name, truth in (("kg_per_degree_day", 2.7), ("kg_per_day", 5.0), ("base_c", 14.0)):
        assert q[name][0] <= truth <= q[name][2], name
    assert q["kg_per_degree_day"][1] == pytest.approx(2.7, rel=0.06)
    assert not told.changes


def test_counter_scale_is_learned_from_weighed_deliveries() -> None:
    """A counter that shows 12 % too much is found out when two "filled full" deliveries bracket its count."""
    mean_c = temperatures(700, 1, 8)[0]
    use = 2.0 * np.maximum(0, 15.0 - mean_c) + 4.0
    shown = 1.12 * np.cumsum(use)
    counter = [r.counter(day(i), shown[i]) for i in range(30, 690, 15)]
    between = use[100:465].sum()
    came = [
        r.delivery(day(100), 2500.0, filled_full=True),
        r.delivery(day(465), float(between), filled_full=True),
    ]
    told = learn(Prior(2.0, 4.0, 15.0), weather_of(mean_c), counter, came, day(690), capacity_kg=12_000.0)
    assert dict(told.scale_error)["boiler"] == pytest.approx(0.12, abs=0.04)


def test_nothing_after_the_evening_asked_for_is_read() -> None:
    """Readings and deliveries dated later change nothing."""
    weather = weather_of(temperatures(300, 1, 2)[0])
    early = [r.percent(day(50), 0.6, 6000.0)]
    late = [r.percent(day(201), 0.1, 6000.0)]
    a = learn(Prior(2, 4, 15), weather, early, [], day(200), capacity_kg=6000.0)
    b = learn(
        Prior(2, 4, 15), weather, early + late, [r.delivery(day(250), 3000.0)], day(200), capacity_kg=6000.0
    )
    assert np.array_equal(a.moments()[0], b.moments()[0])


def test_draws_keep_the_limits_and_repeat_with_a_seed() -> None:
    """Draws are never below zero nor above what the store holds; the same generator gives the same."""
    weather = weather_of(temperatures(300, 1, 2)[0])
    told = learn(
        Prior(1, 0.2, 15, 0.9, 2.0), weather, [r.ran_empty(day(90), 800.0)], [], day(91), capacity_kg=800.0
    )
    a, b = (told.draw(3000, np.random.default_rng(3)) for _ in range(2))
    assert np.array_equal(a.level_kg, b.level_kg)
    for name in ("kg_per_degree_day", "kg_per_day", "level_kg"):
        assert getattr(a, name).min() >= 0, name
    assert a.level_kg.max() <= told.most_kg


def test_level_and_slope_are_drawn_together() -> None:
    """Long after the last reading a thirsty house is emptier: slope and level go against each other."""
    weather = weather_of(temperatures(300, 1, 2)[0])
    told = learn(Prior(2, 4, 15), weather, [r.weighed(day(120), 6000.0)], [], day(220), capacity_kg=8000.0)
    draws = told.draw(4000, np.random.default_rng(1))
    assert np.corrcoef(draws.kg_per_degree_day, draws.level_kg)[0, 1] < -0.5


def test_band_holds_the_line_and_widens_away_from_the_readings() -> None:
    """The band of the chart lies around the true line, narrower where winters were read than beyond."""
    mean_c = temperatures(500, 1, 4)[0]
    use = 2.5 * np.maximum(0, 15.0 - mean_c) + 4.0
    seen = [r.weighed(day(i), float(20_000 - use[:i].sum()), 20.0) for i in range(20, 490, 10)]
    told = learn(Prior(2.0, 4.0, 15.0), weather_of(mean_c), seen, [], day(495), capacity_kg=20_000.0)
    x = np.array([2.0, 10.0, 40.0])
    low, mid, high = told.band(x)
    assert mid == pytest.approx(2.5 * x + 4.0, rel=0.06)
    assert (low < mid).all() and (mid < high).all()
    assert (high - low)[2] > (high - low)[1]


def test_days_away_burn_nothing() -> None:
    """A winter month marked as away leaves the store as it was."""
    weather = weather_of(temperatures(300, 1, 2)[0])
    away = np.ones(300)
    away[185:215] = 0.0
    seen = [r.weighed(day(184), 4000.0, 10.0)]
    kwargs = {"as_of": day(214), "capacity_kg": 6000.0}
    at_home = learn(Prior(2, 4, 15), weather, seen, [], **kwargs).quantile()["level_kg"][1]
    gone = learn(Prior(2, 4, 15), weather, seen, [], activity=away, **kwargs).quantile()["level_kg"][1]
    assert gone == pytest.approx(4000.0, abs=10)
    assert at_home < 3600


@pytest.mark.parametrize("readings", [1, 3, 12, 100])
def test_eighty_per_cent_intervals_hold_the_truth_in_eighty_per_cent(readings: int) -> None:
    """The true yearly use of 2,000 invented sites lies inside the 80 % interval in 77 to 83 % of them."""
    world = invent(2000, readings, seed=31)
    many = learn_many(
        world.priors, FIRST_DAY, world.mean_c, world.customers, FIRST_DAY + timedelta(YEARS_DAYS - 1)
    )
    year, _slope, _level = coverage(world, many, 300, 3)
    assert 0.77 <= year <= 0.83


def test_bulk_equals_one_by_one() -> None:
    """Fifty customers with levels, counters, restarts, full and part deliveries: the same either way."""
    rng = np.random.default_rng(6)
    world = invent(50, 12, seed=6)
    c = world.customers
    counted = np.zeros(c.is_count.shape, dtype=bool)
    counted[::3, 5:] = True
    kg = np.where(counted, rng.uniform(0, 4000, counted.shape), c.reading_kg)
    full = (c.delivery_day >= 0) & (rng.random(c.delivery_day.shape) < 0.4)
    c = replace(
        c, is_count=counted, sees_volume=~counted, reading_kg=np.maximum(kg, 0), filled_full=full,
        reading_sd_kg=np.where(counted, 4.0, c.reading_sd_kg),
    )  # fmt: skip
    as_of = FIRST_DAY + timedelta(YEARS_DAYS - 1)
    many = learn_many(world.priors, FIRST_DAY, world.mean_c, c, as_of)
    p = world.priors
    for i in range(50):
        seen = [
            r.counter(day(int(d)), float(x), sd_kg=4.0)
            if n
            else r.Observation(day(int(d)), float(x), float(s), "percent")
            for d, x, s, n in zip(
                c.reading_day[i], c.reading_kg[i], c.reading_sd_kg[i], counted[i], strict=True
            )
        ]
        came = [
            r.Delivery(day(int(d)), float(x), float(s), bool(f))
            for d, x, s, f in zip(
                c.delivery_day[i], c.delivery_kg[i], c.delivery_sd_kg[i], full[i], strict=True
            )
            if d >= 0
        ]
        prior = Prior(p.slope[i], p.day_kg[i], p.base_c[i], 0.3, 0.5, 1.5)
        told = learn(
            prior, weather_of(world.mean_c[c.station[i]]), seen, came, as_of,
            capacity_kg=float(c.capacity_kg[i]), screening=False, changes=False,
        )  # fmt: skip
        mean, cov = told.moments()
        assert mean == pytest.approx(many.mean[i], abs=1e-6 * np.abs(many.mean[i]).max())
        assert np.sqrt(np.diag(cov)) == pytest.approx(many.sd[i], rel=1e-5)
        if i < 3:
            assert many.one(i).moments()[0] == pytest.approx(mean)


def test_bulk_draws_agree_with_single_draws() -> None:
    """Draws for many customers have the quantiles of each one's own draws."""
    world = invent(6, 12, seed=9)
    as_of = FIRST_DAY + timedelta(YEARS_DAYS - 1)
    many = learn_many(world.priors, FIRST_DAY, world.mean_c, world.customers, as_of)
    drawn = many.draw(np.arange(6), 6000, np.random.default_rng(1))
    for i in range(6):
        one = many.one(i).quantile((0.1, 0.5, 0.9), n=6000)
        assert np.quantile(drawn.level_kg[i], [0.1, 0.5, 0.9]) == pytest.approx(
            one["level_kg"], rel=0.05, abs=40
        )
        assert np.quantile(drawn.kg_per_degree_day[i], 0.5) == pytest.approx(
            one["kg_per_degree_day"][1], rel=0.04
        )

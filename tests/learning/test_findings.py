"""What is found in a record – bad readings, empty houses, missing deliveries, changes – and odd records."""

from __future__ import annotations

from datetime import date, timedelta

import numpy as np
import pytest

from fuelplan.learning import LevelUnknown, Posterior, Prior, SignatureError, learn
from fuelplan.learning import readings as r
from fuelplan.messages import render
from tests.signature_worlds import FIRST_DAY, temperatures, weather_of

PRIOR = Prior(2.0, 4.0, 15.0, 0.3, 0.5, 1.5)
CAPACITY = 6000.0


def day(i: int) -> date:
    """Day i of the invented weather, whose winter is days 110 to 290."""
    return FIRST_DAY + timedelta(i)


def house(
    seed: int,
    days: int,
    change: tuple[int, float] | None = None,
    noise: float = 0.2,
    away: slice | None = None,
) -> tuple[np.ndarray, np.ndarray]:
    """Weather and daily use of a house a tenth thirstier than on paper."""
    rng = np.random.default_rng(seed)
    mean_c = temperatures(days, 1, seed + 50)[0]
    factor = np.ones(days)
    if change:
        factor[change[0] :] += change[1]
    use = (2.2 * factor * np.maximum(0, 15.0 - mean_c) + 4.0) * (1 + noise * rng.standard_normal(days))
    if away is not None:
        use[away] = 0.1
    return mean_c, np.maximum(use, 0)


def counted(use: np.ndarray, step: int, start: int = 5) -> list[r.Observation]:
    """The boiler's counter every `step` days, 5 % too high."""
    shown = 1.05 * np.cumsum(use)
    return [r.counter(day(i), float(shown[i])) for i in range(start, len(use), step)]


def told(mean_c: np.ndarray, seen: list[r.Observation], came: list[r.Delivery] | None = None) -> Posterior:
    """Learn up to the last day."""
    return learn(PRIOR, weather_of(mean_c), seen, came or [], day(len(mean_c) - 1), capacity_kg=CAPACITY)


def test_a_typing_error_is_found_and_set_aside() -> None:
    """A weighing of 350 instead of 3500 kg is named by its day, and the signature is that without it."""
    mean_c, use = house(1, 300)
    level = 5900 - np.cumsum(use)
    good = [r.weighed(day(i), float(level[i])) for i in range(10, 200, 10)]
    bad = list(good)
    bad[6] = r.weighed(good[6].day, good[6].kg / 10)
    spoilt, clean = told(mean_c, bad), told(mean_c, good)
    flags = [f for f in spoilt.flags if f.what == "outlier"]
    assert [f.first_day for f in flags] == [good[6].day] and not flags[0].used
    assert f"{good[6].day.day} {good[6].day:%B %Y}" in render(flags[0].sentence)
    assert spoilt.moments()[0] == pytest.approx(clean.moments()[0], rel=0.05)
    assert not clean.flags


def test_an_empty_house_is_found_and_not_learned_from() -> None:
    """Three winter weeks without use are named, and do not make the house look thrifty."""
    mean_c, use = house(2, 400, away=slice(185, 207))
    spoilt = told(mean_c, counted(use, 7))
    clean = told(mean_c, counted(house(2, 400)[1], 7))
    found = [f for f in spoilt.flags if f.what == "empty_house"]
    assert (
        found and min(f.first_day for f in found) >= day(178) and max(f.last_day for f in found) <= day(214)
    )
    assert spoilt.quantile()["kg_per_degree_day"][1] == pytest.approx(
        clean.quantile()["kg_per_degree_day"][1], rel=0.05
    )


def test_a_missing_delivery_is_asked_for() -> None:
    """A level that rises by 2.5 t with no delivery is no negative use but a delivery not on the list."""
    mean_c, use = house(3, 330)
    level = 4000 - np.cumsum(use) + np.where(np.arange(330) >= 195, 2500.0, 0.0)
    seen = [r.weighed(day(i), float(level[i])) for i in range(10, 320, 10) if level[i] > 0]
    out = told(mean_c, seen)
    found = [f for f in out.flags if f.what == "missing_delivery"]
    assert len(found) == 1 and found[0].first_day <= day(195) <= found[0].last_day
    assert out.quantile()["kg_per_degree_day"][1] == pytest.approx(2.2, rel=0.12)


def test_a_guess_a_number_carried_forward_and_a_restart_are_named() -> None:
    """What was said or can be seen in the numbers themselves is named and still used."""
    mean_c, use = house(4, 400)
    shown = np.cumsum(use)
    seen = [
        r.counter(day(i), float(shown[i] if i < 200 else shown[i] - shown[199])) for i in range(5, 390, 14)
    ]
    eye = [r.percent(day(120), 0.7, CAPACITY), r.percent(day(220), 0.7, CAPACITY)]
    out = told(mean_c, [*seen, *eye, r.guessed(r.percent(day(300), 0.2, CAPACITY))])
    assert {f.what for f in out.flags} == {"restart", "repeated", "estimated"}
    assert all(f.used for f in out.flags)
    assert out.quantile()["kg_per_degree_day"][1] == pytest.approx(2.2, rel=0.2)


def test_clean_records_are_left_alone() -> None:
    """On twelve houses with nothing wrong at most one spell is flagged."""
    flags = [
        f for s in range(12) for f in told(house(20 + s, 500)[0], counted(house(20 + s, 500)[1], 10)).flags
    ]
    assert len(flags) <= 1


# --- odd records --------------------------------------------------------------------------------------------


MEAN_C = temperatures(800, 1, 3)[0]


def short(
    seen: list[r.Observation], came: list[r.Delivery], as_of: int, capacity: float | None = CAPACITY
) -> Posterior:
    """Learn from a few lines."""
    return learn(PRIOR, weather_of(MEAN_C), seen, came, day(as_of), capacity_kg=capacity)


def test_two_readings_on_one_day_are_both_used() -> None:
    """50 % and 60 % on one evening make about 55 %, better known than by one."""
    one = short([r.percent(day(50), 0.5, CAPACITY)], [], 50)
    two = short([r.percent(day(50), 0.5, CAPACITY), r.percent(day(50), 0.6, CAPACITY)], [], 50)
    low1, _, high1 = one.quantile()["level_kg"]
    low2, mid2, high2 = two.quantile()["level_kg"]
    assert mid2 == pytest.approx(0.55 * CAPACITY, abs=150)
    assert high2 - low2 < high1 - low1


def test_a_delivery_between_identical_readings_is_the_use() -> None:
    """The same level before and after 900 kg came means that about 900 kg were burned."""
    seen = [r.weighed(day(150), 3000.0), r.weighed(day(180), 3000.0)]
    out = short(seen, [r.delivery(day(165), 900.0)], 181)
    assert out.fit is not None and out.fit.intervals[0].used_kg == pytest.approx(900.0)
    assert not out.flags


def test_zero_use_for_a_winter_month_says_nothing_about_the_house() -> None:
    """Nothing burned in December is an empty house or a boiler that is off; the paper stays."""
    out = short([r.counter(day(155), 100.0), r.counter(day(185), 100.0)], [], 186)
    assert [f.what for f in out.flags] == ["empty_house"]
    assert out.moments()[0][0] == pytest.approx(2.0, rel=0.05)


def test_zero_use_for_a_summer_month_is_no_hot_water() -> None:
    """Nothing burned in July and August teaches that there is no daily part, and leaves the slope open."""
    out = short([r.counter(day(5), 100.0), r.counter(day(50), 100.0)], [], 50)
    q = out.quantile()
    assert q["kg_per_day"][2] < 1.0
    assert q["kg_per_degree_day"][2] > 2.0


def test_use_without_degree_days_is_daily_use() -> None:
    """At 25 °C all year 5 kg a day are hot water, and the slope stays the paper's."""
    warm = weather_of(np.full(300, 25.0))
    seen = [r.weighed(day(i), 3000.0 - 5 * i) for i in range(10, 200, 10)]
    q = learn(PRIOR, warm, seen, [], day(200), capacity_kg=CAPACITY).quantile()
    assert q["kg_per_day"][1] == pytest.approx(5.0, abs=0.3)
    assert q["kg_per_degree_day"][1] == pytest.approx(2.0, abs=0.15)


def test_a_counter_that_was_reset_loses_only_the_gap() -> None:
    """A count that fell began anew; what it counted before and after still counts."""
    use = 2.2 * np.maximum(0, 15.0 - MEAN_C) + 4.0
    shown = np.cumsum(use)
    seen = [r.counter(day(i), float(shown[i] - (shown[200] if i >= 201 else 0))) for i in range(100, 340, 20)]
    out = short(seen, [], 341)
    assert [f.what for f in out.flags] == ["restart"]
    assert out.intervals == len(seen) - 2


def test_one_single_delivery() -> None:
    """Filled full is a level; an amount alone bounds it through the capacity; else nothing is known."""
    full = short([], [r.delivery(day(90), 4000.0, filled_full=True)], 120).quantile()["level_kg"]
    part = short([], [r.delivery(day(90), 4000.0)], 120).quantile()["level_kg"]
    assert full[2] - full[0] < part[2] - part[0] < 2500
    with pytest.raises(LevelUnknown, match="write one reading"):
        short([], [r.delivery(day(90), 4000.0)], 120, None)
    with pytest.raises(SignatureError, match="capacity"):
        short([], [r.delivery(day(90), 4000.0, filled_full=True)], 120, None)


def test_an_impossible_reckoning_is_said() -> None:
    """A delivery larger than the store after a reading cannot be: the notes say so and draws stay inside."""
    out = short([r.weighed(day(100), 3000.0)], [r.delivery(day(110), 9000.0)], 111)
    assert any("fuller than it can be" in render(n) for n in out.notes)
    assert out.draw(100, np.random.default_rng(0)).level_kg.max() <= out.most_kg


def test_an_empty_store_that_stays_empty_is_no_thrift() -> None:
    """Weeks with nothing left to burn say nothing about the need."""
    mean_c, use = house(6, 260)
    level = np.maximum(0, 2500 - np.cumsum(np.where(np.arange(260) >= 110, use, 0)))
    seen = [r.weighed(day(i), float(level[i])) for i in range(110, 255, 10)]
    out = told(mean_c, seen)
    assert [f.what for f in out.flags] == ["empty_store"]
    assert out.quantile()["kg_per_degree_day"][1] > 1.9


def test_readings_outside_the_weather_are_refused_with_dates() -> None:
    """The message names both spans."""
    with pytest.raises(SignatureError, match="21 June 2020"):
        short([r.weighed(day(-10), 3000.0)], [], 100)


def test_intervals_and_cusum_add_up() -> None:
    """Used less expected is summed up interval by interval; without a change the sum ends near 0."""
    mean_c, use = house(7, 700)
    out = told(mean_c, counted(use, 14))
    assert out.fit is not None
    steps = [x.used_kg - x.expected_kg for x in out.fit.intervals]
    assert out.fit.intervals[-1].cusum_kg == pytest.approx(sum(steps))
    assert abs(out.fit.intervals[-1].cusum_kg) < 0.05 * use.sum()
    assert 0 < out.fit.cv_rmse < 0.2 and abs(out.fit.nmbe) < 0.05


def test_hundreds_of_readings_are_thinned_not_refused() -> None:
    """Three years of daily counts take no more than the readings kept, and find the house."""
    mean_c, use = house(8, 1100)
    out = told(mean_c, counted(use, 1))
    assert 400 <= out.readings <= 601
    assert out.quantile()["base_c"][1] == pytest.approx(15.0, abs=0.5)

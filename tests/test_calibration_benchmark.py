"""The benchmark of calibration: scores are right where the truth is known, every world can be asked."""

from __future__ import annotations

from datetime import date, timedelta
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from tests.benchmarks.calibration import first_orders, found_changes, played_winters
from tests.benchmarks.calibration.case import Case, asked
from tests.benchmarks.calibration.climate import DAYS, autoregression, climate
from tests.benchmarks.calibration.houses import House
from tests.benchmarks.calibration.run import rows_of
from tests.benchmarks.calibration.score import asked_of, clustered_sd, pinball, score
from tests.benchmarks.calibration.worlds import worlds


@pytest.mark.parametrize(("spread", "in_80"), [(1.0, 0.80), (0.5, 0.478), (2.0, 0.990)])
def test_shares_are_those_of_the_normal_law(spread: float, in_80: float) -> None:
    """Bands of the right size hold the truth as often as they say, narrower ones less often, wider ones more.

    P(|z| < 1.2816 k) for k = 1, 0.5, 2 (tables of the normal distribution).
    """
    rng = np.random.default_rng(3)
    draws = 100 + 10 * spread * rng.standard_normal(4000)
    truths = 100 + 10 * rng.standard_normal(3000)
    found = score([asked_of(draws, t, 100.0, k) for k, t in enumerate(truths)])
    assert found.share[1] == pytest.approx(in_80, abs=0.025)
    assert found.width == pytest.approx(2 * 1.2816 * 0.1 * spread, rel=0.05)
    assert abs(found.off) < 3 * found.off_sd + 0.005


def test_bias_and_pinball_have_their_sign_and_size() -> None:
    """Draws 10 above the truth are off by +10 %; a sure number loses half its distance at the median."""
    one = asked_of(np.full(9, 110.0), 100.0, 100.0, 0)
    assert one.off == pytest.approx(0.10) and one.inside == (False, False, False)
    assert pinball((110.0, 110.0, 110.0), 100.0) == pytest.approx((9 + 5 + 1) / 3)


def test_clusters_widen_the_interval() -> None:
    """Ten times the same house tells no more than one house."""
    values = np.random.default_rng(1).standard_normal(50)
    alone = clustered_sd(values, np.arange(50))
    assert alone == pytest.approx(values.std(ddof=1) / np.sqrt(50))
    again = clustered_sd(np.repeat(values, 10), np.repeat(np.arange(50), 10))
    assert again == pytest.approx(alone)


def test_the_weather_hangs_together_and_warms() -> None:
    """The autoregression has its memory and size, and the climate its trend."""
    x = autoregression(np.random.default_rng(5), 200_000, 10.0, 2.0)
    assert x.std() == pytest.approx(2.0, rel=0.05)
    assert np.corrcoef(x[:-10], x[10:])[0, 1] == pytest.approx(np.exp(-1), abs=0.03)
    years = np.mean([climate(h, 9)[: 23 * 365].reshape(23, 365).mean(axis=1) for h in range(60)], axis=0)
    assert np.polyfit(np.arange(23), years, 1)[0] == pytest.approx(0.035, abs=0.012)


def test_a_house_burns_its_year() -> None:
    """The last ten years come to the yearly use the house is named after, and the cold asks for more."""
    rng = np.random.default_rng(7)
    mean_c = climate(0, 7)
    house = House.invented(rng, mean_c)
    burned = house.burned(mean_c, rng)
    assert burned[11 * 365 : 21 * 365].mean() * 365.25 == pytest.approx(house.year_kg, rel=0.03)
    assert burned[mean_c < 0].mean() > 2 * burned[mean_c > 15].mean()
    assert len(burned) == DAYS


@pytest.mark.parametrize("name", worlds())
def test_every_world_can_be_asked(name: str) -> None:
    """Two houses of each world: draws for every truth, all of them finite, and not all the same house."""
    one, other = (worlds()[name](house, 11) for house in (0, 1))
    draws = asked(one)
    for what, true in one.truth.items():
        assert np.isfinite(true) and np.isfinite(draws[what]).all() and len(draws[what]) > 100
    assert one.truth != other.truth


def test_a_row_for_each_world(monkeypatch: pytest.MonkeyPatch) -> None:
    """The common table has a row for each world, with its shares."""
    name = next(iter(worlds()))
    monkeypatch.setattr("tests.benchmarks.calibration.run.worlds", lambda: {name: worlds()[name]})
    (row,) = rows_of(2)
    assert name in row.what and all(0 <= share <= 1 for _, share in row.more) and row.more


def _certain(order_by: date, amount_kg: float, risk: float) -> Any:
    """What stands for an answer that tells one order."""
    told = SimpleNamespace(order_by=order_by, amount_kg=amount_kg, risk=risk)
    return lambda prepared, whole: SimpleNamespace(order=told)


@pytest.mark.parametrize(
    ("level_kg", "waits_days", "late", "turned_away"),
    [(1000.0, 0, False, True), (1000.0, 41, False, False), (1000.0, 42, True, False), (499.0, 0, None, None)],
)
def test_a_first_order_comes_late_where_the_level_is_below_the_reserve(
    monkeypatch: pytest.MonkeyPatch, level_kg: float, waits_days: int, late: bool | None, turned_away: bool
) -> None:
    """A store of 10 t, 10 kg a day: 1 t lasts 50 evenings down to its reserve of 500 kg; ten days' wait."""
    as_of = date(2024, 11, 4)
    case = Case(
        "", (), (), 10_000.0, np.zeros(1), as_of, {"level": level_kg}, ahead_kg=np.full(300, 10.0)
    )  # fmt: skip
    monkeypatch.setattr(first_orders, "prepared", lambda case: None)
    monkeypatch.setattr(first_orders, "comes_on", lambda ordered_on, rng: ordered_on + timedelta(days=10))
    answer = _certain(as_of + timedelta(days=waits_days), 9_200.0, 0.02)
    monkeypatch.setattr(first_orders, "answer_prepared", answer)
    found = first_orders.first_order(case, np.random.default_rng(1))
    if late is None:
        assert found is None
    else:
        assert found == first_orders.FirstOrder(0.02, late, turned_away)


def test_tankers_come_within_their_working_days() -> None:
    """Four to ten working days after a Monday are the Friday of that week to the Monday two weeks later."""
    rng = np.random.default_rng(1)
    came = {first_orders.comes_on(date(2024, 11, 4), rng) for _ in range(300)}
    assert min(came) == date(2024, 11, 8) and max(came) == date(2024, 11, 18)
    assert all(day.weekday() < 5 for day in came) and len(came) == 7


def test_half_a_year_is_lived_through() -> None:
    """Who never orders is cold once the store is empty; who always orders too much sends tankers home."""
    as_of = date(2024, 11, 4)
    case = Case(
        "", (), (), 1_000.0, np.zeros(1), as_of, {"level": 1_000.0}, ahead_kg=np.full(300, 10.0)
    )  # fmt: skip
    never = played_winters.live(case, lambda case, seen: None, 1)
    assert never == played_winters.Lived(played_winters.DAYS - 1 - 100, 0, 0)
    always = played_winters.live(case, lambda case, seen: (case.as_of, 1_000.0), 1)
    assert always.cold_days == 0 and always.orders > 5 and always.turned_away == always.orders
    later = played_winters.live(case, lambda case, seen: (case.as_of + timedelta(days=200), 100.0), 1)
    assert later == never


def test_a_change_is_found_near_its_day() -> None:
    """A clear step in a house whose winters are alike is found, with no other; a day too far off is not."""
    told = found_changes.one("winters alike", found_changes.STEP, 0)
    assert told == found_changes.Told(found=True, size_held=True, others=0)
    on = date(2016, 1, 10)
    h = SimpleNamespace(changed_on=on, in_heating_season=lambda: True)
    assert found_changes._dated(h, on + timedelta(days=60), on, on)  # type: ignore[arg-type]
    assert not found_changes._dated(h, on + timedelta(days=61), on, on)  # type: ignore[arg-type]
    h.in_heating_season = lambda: False
    assert found_changes._dated(h, on + timedelta(days=99), on, on)  # type: ignore[arg-type]
    assert not found_changes._dated(h, on, on + timedelta(days=1), on + timedelta(days=9))  # type: ignore[arg-type]

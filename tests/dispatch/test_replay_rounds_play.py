"""A small round's winter played day by day: nothing is looked up before its day, and the fuel adds up."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from functools import cache
from pathlib import Path
from tempfile import mkdtemp

import numpy as np
import pytest
from numpy.typing import NDArray

from fuelplan.answers.past_winters.planner import planner_of
from fuelplan.answers.past_winters.replay import ReplayInputError, replay
from fuelplan.answers.past_winters.world import RoundWorld, truth_of_books
from fuelplan.answers.round.roads import RoundRoads, roads_for_round
from fuelplan.answers.who_is_due.weather import RoundWeather, weather_for_round
from fuelplan.dispatch.replay import (
    BOOK_DAYS,
    K_FACTOR,
    PLAN,
    POLICIES,
    RINGS,
    PastWinter,
    PlanSettings,
    PlayedWinter,
    past_winters,
    play,
)
from fuelplan.records.round import Round, open_round
from tests.round_folders import make_round

Floats = NDArray[np.float64]

AS_OF = date(2026, 1, 12)
WINTER = PastWinter("part", date(2024, 12, 2), date(2024, 12, 13))
QUICK = PlanSettings(moves=60, days=5, draws=40, route_iterations=20)
CUT = 4
"""Days of the winter that stay the same where what comes after is changed."""


@cache
def a_round() -> tuple[Round, RoundWeather, RoundRoads]:
    round_ = open_round(make_round(Path(mkdtemp()) / "round"))
    return round_, weather_for_round(round_, AS_OF), roads_for_round(round_)


@cache
def use_kg() -> Floats:
    round_, weather, _ = a_round()
    return truth_of_books(round_, weather, AS_OF, 2)(WINTER.books_from, WINTER.last_day)


def changed(weather: RoundWeather, day: date) -> RoundWeather:
    """Return the weather with 15 K less from a day on."""
    areas = []
    for area in weather.areas:
        mean = area.record.mean_c.copy()
        mean[area.record.index_of(day) :] -= 15.0
        record = replace(area.record, mean_c=mean, min_c=mean, max_c=mean)
        areas.append(replace(area, record=record, weather=record))
    return RoundWeather(tuple(areas))


@cache
def played(policy: str, cold: bool = False, hungry: bool = False) -> PlayedWinter:
    round_, weather, roads = a_round()
    day = WINTER.first_day + timedelta(days=CUT)
    burned = use_kg().copy()
    if hungry:
        burned[:, BOOK_DAYS + CUT :] *= 2.5
    world = RoundWorld(round_, changed(weather, day) if cold else weather, WINTER, burned, AS_OF, 1)
    return play(world, planner_of(policy, world, roads, QUICK, 1))


@pytest.mark.parametrize("policy", POLICIES)
@pytest.mark.parametrize("what", ["cold", "hungry"])
def test_nothing_is_looked_up_before_its_day(policy: str, what: str) -> None:
    """Other weather, or other use, from a day on changes no drop up to and with that day's morning."""
    one, other = played(policy), played(policy, cold=what == "cold", hungry=what == "hungry")
    limit = WINTER.first_day + timedelta(days=CUT)
    before = [d for d in one.drops if d.day <= limit]
    assert before == [d for d in other.drops if d.day <= limit]
    assert before or policy != PLAN, "no drop before the change: the test would prove nothing"
    np.testing.assert_array_equal(one.level_kg[:, :CUT], other.level_kg[:, :CUT])
    if what == "hungry":
        assert not np.array_equal(one.level_kg, other.level_kg)


@pytest.mark.parametrize("policy", POLICIES)
def test_the_fuel_of_every_customer_adds_up(policy: str) -> None:
    """Level before + drops − burned = level after, by customer and day; what was missing is not burned."""
    p = played(policy)
    n, days = p.level_kg.shape
    came = np.zeros((n, days))
    for drop in p.drops:
        came[drop.customer, (drop.day - WINTER.first_day).days] += drop.kg
        assert 0 <= drop.kg <= drop.planned_kg
    burned = use_kg()[:, BOOK_DAYS:] - p.missing_kg
    change = np.diff(p.level_kg, axis=1)
    np.testing.assert_allclose(change, came[:, 1:] - burned[:, 1:], atol=1e-6)
    books = p.tally
    out_kg = books.start_kg + books.delivered_kg - books.burned_kg - books.end_kg
    assert out_kg == pytest.approx(0, abs=1e-3)
    assert p.tally.drops == sum(drop.kg > 0 for drop in p.drops)
    assert (p.level_kg <= a_round()[0].customers.store_kg[:, None] + 1e-6).all()


class _Nobody:
    """Never delivers; customers ring and are reckoned with as under a policy."""

    def __init__(self, policy: str, world: RoundWorld) -> None:
        planner = planner_of(policy, world, a_round()[2], QUICK, 1)
        self.name, self.rings, self.by_k_factor = policy, planner.rings, planner.by_k_factor

    def drive(self, books: object, day: date, full_moves: int | None) -> None:
        """Drive nothing."""


def test_who_is_never_served_runs_empty_once() -> None:
    """Without a drop everyone whose store holds less than the winter takes runs empty, each once."""
    round_, weather, _ = a_round()
    burned = use_kg().copy()
    burned[:, BOOK_DAYS:] *= 8
    world = RoundWorld(round_, weather, WINTER, burned, AS_OF, 1)
    start = world.stocks.level_kg.copy()
    expected = int((burned[:, BOOK_DAYS:].sum(axis=1) >= start).sum())
    p = play(world, _Nobody(RINGS, world))
    assert expected >= 4
    assert p.tally.run_outs == expected
    assert p.tally.dry_days >= expected
    assert p.tally.delivered_kg == p.tally.km == p.tally.cost == 0


def test_who_runs_empty_rings_at_once() -> None:
    """Whatever the contract and the policy, an empty store is an order for the next working day."""
    round_, weather, _ = a_round()
    burned = use_kg().copy()
    burned[:, BOOK_DAYS:] = 0.0
    burned[:, BOOK_DAYS + 4] = 50_000.0  # on Friday 6 December all that there is
    for policy in POLICIES:
        world = RoundWorld(round_, weather, WINTER, burned, AS_OF, 1)
        p = play(world, _Nobody(policy, world))
        assert p.tally.run_outs == 12
        assert set(world.books.orders) == set(range(12))
        for order in world.books.orders.values():
            assert order.already_empty
            assert order.last == date(2024, 12, 9)


def test_an_empty_store_is_filled_as_soon_as_a_tanker_can_come() -> None:
    """After a week-end on which all ran empty, most have fuel within two working days."""
    round_, weather, roads = a_round()
    burned = use_kg().copy()
    burned[:, BOOK_DAYS + 4] = 50_000.0
    world = RoundWorld(round_, weather, WINTER, burned, AS_OF, 1)
    p = play(world, planner_of(PLAN, world, roads, QUICK, 1))
    soon = {d.customer for d in p.drops if date(2024, 12, 9) <= d.day <= date(2024, 12, 10) and d.kg > 0}
    assert len(soon) >= 8


def test_the_same_seed_gives_the_same_bytes() -> None:
    """Two replays with one seed are the same document, whoever plays the winters; another seed is another."""
    round_, weather, _ = a_round()
    which = tuple(PastWinter(str(y), date(y, 12, 3), date(y, 12, 5)) for y in (2023, 2024))

    def document(seed: int, workers: int = 1) -> dict[str, object]:
        return replay(
            round_, weather, seed=seed, as_of=AS_OF, settings=QUICK, which=which, workers=workers,
            policies=(PLAN, RINGS), full_days=0,
        ).to_json()  # fmt: skip

    first = document(1)
    assert first == document(1, workers=2)
    assert first["by_winter"] != document(2)["by_winter"]
    assert [p["name"] for p in first["policies"]] == ["plan", "rings"]  # type: ignore[attr-defined]


def test_past_winters_are_whole_ones() -> None:
    """On 15 January 2026 the last whole heating year is 2024/25; on 30 June it is over in the evening."""
    assert [w.name for w in past_winters(date(2026, 1, 15), 2)] == ["2023/24", "2024/25"]
    assert past_winters(date(2026, 6, 30), 1)[0].name == "2025/26"
    assert past_winters(date(2026, 6, 29), 1)[0].name == "2024/25"
    assert past_winters(date(2026, 1, 15), 1)[0].days == 365


def test_one_winter_tells_no_spread() -> None:
    """A single winter, or one that lies before the weather, is refused with what to ask instead."""
    round_, weather, _ = a_round()
    with pytest.raises(ReplayInputError, match="2 or more"):
        replay(round_, weather, 1, as_of=AS_OF)
    with pytest.raises(ReplayInputError, match="no policy"):
        replay(round_, weather, 2, as_of=AS_OF, policies=("guess",))
    with pytest.raises(ValueError, match="fewer winters"):
        replay(round_, weather, 9, as_of=AS_OF)


def test_the_k_factor_rule_delivers_to_top_up_customers_alone() -> None:
    """On-request customers ring by themselves there, too."""
    p = played(K_FACTOR)
    assert p.tally.policy == K_FACTOR
    assert p.tally.customer_years == pytest.approx(12 * 12 / 365.25)

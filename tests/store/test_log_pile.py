"""The log pile: equilibrium moisture, drying, what is dry by when, and when to cut."""

from __future__ import annotations

from datetime import date, timedelta

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fuelplan.heat.fuels import MoistureDry, MoistureWet, species
from fuelplan.messages import as_text
from fuelplan.store import log_pile
from fuelplan.store.log_pile import PileClimate, PileError, PileLot
from fuelplan.store.log_pile.climate import USUAL_HUMIDITY_PCT

# An invented lowland.
AIR_C = (0.0, 1.5, 5.0, 9.0, 13.5, 17.0, 19.0, 18.5, 14.5, 9.5, 4.5, 1.0)
CLIMATE = PileClimate(AIR_C, USUAL_HUMIDITY_PCT)
DAMP = PileClimate(AIR_C, tuple(min(96.0, h + 10) for h in USUAL_HUMIDITY_PCT))


@pytest.mark.parametrize(
    ("humidity", "emc_pct"), [(5, 1.3), (30, 6.2), (50, 9.2), (75, 14.4), (85, 17.9), (95, 23.9)]
)
def test_equilibrium_moisture(humidity: float, emc_pct: float) -> None:
    """USDA Wood Handbook FPL-GTR-282 (2021), table 4-2 at 21.1 degC (±1 in the last digit), by its
    equation 4-5.
    """
    assert 100 * float(log_pile.equilibrium_dry_share(21.1, humidity)) == pytest.approx(emc_pct, abs=0.1)


@pytest.mark.parametrize("kind", ["beech", "spruce"])
def test_split_logs_are_dry_in_28_weeks(kind: str) -> None:
    """Upper Austria trial: split beech and spruce reach less than 20 % (wet basis) in 28 weeks; not in
    half of that.
    """
    path = log_pile.drying_path(PileLot(species(kind), 1.0, date(2025, 3, 1)), CLIMATE, 28 * 7)
    assert MoistureDry(path[-1]).wet.share < 0.20
    assert MoistureDry(path[14 * 7]).wet.share > 0.20


def test_the_year_after_felling() -> None:
    """TFZ: 15 to 20 % of the wet mass in under a year; beech two years by the cautious rule, met by a slow
    pile too.
    """
    lot = PileLot(species("beech"), 1.0, date(2025, 3, 1))
    path = [MoistureDry(u).wet.share for u in log_pile.drying_path(lot, CLIMATE, 365)]
    assert 0.13 < min(path) < 0.20
    slow = log_pile.moisture_on(lot, date(2027, 3, 1), CLIMATE, pace=log_pile.CAUTIOUS_PACE)
    assert slow.wet.share < 0.20


@settings(max_examples=40, deadline=None)
@given(
    st.sampled_from(["beech", "oak", "spruce", "poplar"]),
    st.floats(0.05, 1.4),
    st.integers(0, 364),
    st.booleans(),
)
def test_drying_stays_between_start_and_air(kind: str, start: float, day: int, split: bool) -> None:
    """Wood never overshoots: it stays between its start and the driest and dampest air, and comes to the
    same end.
    """
    since = date(2025, 1, 1) + timedelta(days=day)
    lot = PileLot(species(kind), 1.0, since, MoistureDry(start), split=split)
    path = log_pile.drying_path(lot, CLIMATE, 5 * 365)
    air = log_pile.equilibrium_dry_share(
        *CLIMATE.on(np.arange("2025-01-01", "2026-01-01", dtype="datetime64[D]"))
    )
    assert min(start, air.min()) - 1e-9 <= path.min() and path.max() <= max(start, air.max()) + 1e-9
    drier = log_pile.drying_path(
        PileLot(species(kind), 1.0, since, MoistureDry(start / 2), split=split), CLIMATE, 5 * 365
    )
    assert (drier <= path + 1e-12).all()
    assert path[-1] - drier[-1] < 0.15 * start


def test_what_slows_drying() -> None:
    """Rounds, oak, a shed, an open pile and damp air are each dry later than split, roofed beech."""
    since = date(2025, 3, 1)
    first = log_pile.dry_on(PileLot(species("beech"), 1.0, since), CLIMATE)
    assert first is not None
    slower = [
        (PileLot(species("oak"), 1.0, since), CLIMATE),
        (PileLot(species("beech"), 1.0, since, split=False), CLIMATE),
        (PileLot(species("beech"), 1.0, since, kept="shed"), CLIMATE),
        (PileLot(species("beech"), 1.0, since, kept="open"), CLIMATE),
        (PileLot(species("beech"), 1.0, since), DAMP),
    ]
    for lot, climate in slower:
        later = log_pile.dry_on(lot, climate)
        assert later is None or later > first, lot


def test_a_measurement_starts_anew() -> None:
    """A measured lot starts from its measurement, on either basis."""
    wet, dry = (
        PileLot(species("beech"), 2.0, date(2025, 6, 1), m)
        for m in (MoistureWet(0.3), MoistureDry(0.3 / 0.7))
    )
    for lot in (wet, dry):
        assert log_pile.moisture_on(lot, date(2025, 6, 1), CLIMATE).wet.share == pytest.approx(0.3)
    assert log_pile.moisture_on(wet, date(2025, 8, 1), CLIMATE) == log_pile.moisture_on(
        dry, date(2025, 8, 1), CLIMATE
    )


def test_state_of_a_lot() -> None:
    """A lot tells its water, when it is dry, what wet logs do, and asks for a measurement; it counts as dry
    only from when it is dry even if it dries slowly.
    """
    lot = PileLot(species("beech"), 8.0, date(2025, 3, 1), name="behind the barn")
    early = log_pile.lot_state(lot, date(2025, 5, 1), CLIMATE)
    assert not early.is_dry
    assert early.dry_from == log_pile.dry_on(lot, CLIMATE)
    assert early.dry_from_cautious is not None and early.dry_from is not None
    assert early.dry_from_cautious > early.dry_from
    wet = "behind the barn, 8 m³ of stacked beech: do not burn them yet. Wet logs leave tar"
    assert as_text(early.sentence).startswith(wet) and "meter" in as_text(early.sentence)
    between = log_pile.lot_state(lot, early.dry_from + timedelta(days=10), CLIMATE)
    assert between.moisture.wet.share < 0.20 < between.moisture_slow.wet.share and not between.is_dry
    assert "measure before you burn them" in as_text(between.sentence)
    late = log_pile.lot_state(lot, date(2026, 9, 1), CLIMATE)
    assert late.is_dry and "dry enough" in as_text(late.sentence)
    assert late.kg < early.kg and late.kwh > early.kwh


def test_what_becomes_dry_later_is_told_by_the_slow_pace() -> None:
    """A stack that is dry does not come again; one of this summer comes when it is dry even if it dries
    slowly, with the energy it then has; one bought dry is dry on its day.
    """
    old = PileLot(species("beech"), 10.0, date(2024, 3, 1))
    fresh = PileLot(species("beech"), 5.0, date(2025, 7, 1))
    bought = PileLot(species("beech"), 5.0, date(2025, 9, 1), MoistureWet(0.16))
    ((day, kwh),) = log_pile.dried_later([old, fresh, bought], date(2025, 10, 1), CLIMATE)
    assert day == log_pile.dry_on(fresh, CLIMATE, pace=log_pile.CAUTIOUS_PACE)
    assert log_pile.dry_on(fresh, CLIMATE) < day  # type: ignore[operator]
    assert 7_500 < kwh < 11_000  # five stacked metres of dry beech


def test_seasons_ahead() -> None:
    """In January the next season begins this October, the winter after next a year later."""
    assert log_pile.next_season(date(2026, 1, 15)) == date(2026, 10, 1)
    assert log_pile.winter_after_next(date(2026, 1, 15)) == date(2027, 10, 1)
    assert log_pile.next_season(date(2026, 10, 1)) == date(2027, 10, 1)


def test_when_to_cut_for_the_winter_after_next() -> None:
    """The last day to split is the last that is dry in time: a day later it is not."""
    season = log_pile.winter_after_next(date(2026, 1, 15))
    cut = log_pile.cut_by(species("spruce"), season, CLIMATE, as_of=date(2026, 1, 15))
    assert cut.usual is not None and cut.cautious is not None and cut.cautious < cut.usual
    for since, dry in ((cut.usual, True), (cut.usual + timedelta(days=1), False)):
        share = log_pile.moisture_on(PileLot(species("spruce"), 1.0, since), season, CLIMATE).wet.share
        assert (share <= 0.20) is dry
    assert cut.rule == date(2027, 4, 1)
    assert f"split spruce by about {min(cut.cautious, cut.rule).day} " in as_text(cut.sentence)


def test_too_late_is_said() -> None:
    """A day that has passed is told as such: try a windy place, or buy dry logs."""
    beech, season = species("beech"), date(2027, 10, 1)
    early, late = (
        as_text(log_pile.cut_by(beech, season, CLIMATE, as_of=date(2026, m, 1)).sentence) for m in (1, 9)
    )
    assert "split beech by about 1 April 2026" in early
    assert "should have been split by 1 April 2026" in late
    assert "buy dry logs" in as_text(log_pile.cut_by(beech, season, CLIMATE, as_of=date(2027, 8, 1)).sentence)


def test_climate_from_days() -> None:
    """Months are averaged over what is known; without humidity the usual one stands in, and it is said."""
    dates = np.arange("2023-01-01", "2025-01-01", dtype="datetime64[D]")
    months = dates.astype("datetime64[M]").astype(int) % 12
    mean = np.array(AIR_C)[months].copy()
    mean[3] = np.nan
    climate = PileClimate.from_days(dates, mean)
    assert climate.month_c == pytest.approx(AIR_C)
    assert not climate.humidity_known
    known = PileClimate.from_days(dates, mean, np.full(len(dates), 70.0))
    assert known.humidity_known and known.month_humidity_pct == pytest.approx((70.0,) * 12)
    middle_of_july = np.array(["2024-07-16"], dtype="datetime64[D]")
    assert known.on(middle_of_july)[0] == pytest.approx(19.0, abs=0.1)
    with pytest.raises(PileError, match="whole year"):
        PileClimate.from_days(dates[:100], mean[:100])


@pytest.mark.parametrize(
    ("make", "says"),
    [
        (lambda: PileLot(species("beech"), -1.0, date(2025, 1, 1)), "zero or more"),
        (lambda: PileLot(species("beech"), 1.0, date(2025, 1, 1), kept="cellar"), "not a valid way to keep"),  # type: ignore[arg-type]
        (lambda: log_pile.equilibrium_dry_share(10.0, 0.0), "humidity"),
        (lambda: PileClimate(AIR_C[:11], USUAL_HUMIDITY_PCT), "twelve"),
        (
            lambda: log_pile.lot_state(
                PileLot(species("beech"), 1, date(2025, 9, 1)), date(2025, 1, 1), CLIMATE
            ),
            "after",
        ),
    ],
)
def test_piles_that_cannot_be(make, says: str) -> None:
    """Impossible piles are refused with what to write instead."""
    with pytest.raises(PileError, match=says):
        make()

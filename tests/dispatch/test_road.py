"""Great circles, detours, speeds and the table of roads."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fuelplan.dispatch.roads import (
    DETOUR,
    LORRY,
    NATIONAL_DETOURS,
    Roads,
    Speed,
    Tour,
    driving_h,
    great_circle_km,
    great_circle_table_km,
    learn_detour,
    roads_between,
    roads_by_detour,
    slow,
)
from fuelplan.messages import as_message, render, strict
from fuelplan.units import Reader

latitudes = st.floats(-90, 90)
longitudes = st.floats(-180, 180)
X = as_message("x")


def test_paris_to_london() -> None:
    """Paris (48.8566, 2.3522) – London (51.5074, −0.1278) = 343.556 km with R = 6371.0088 km (spherical
    trigonometry; last printed digit ±1)."""
    assert float(great_circle_km(48.8566, 2.3522, 51.5074, -0.1278)) == pytest.approx(343.556, abs=1.001e-3)


def test_a_quarter_of_the_earth() -> None:
    """From the equator to the pole is a quarter of 2 π R, and to the other side of the earth a half."""
    quarter = np.pi / 2 * 6371.0088
    assert float(great_circle_km(0, 0, 90, 77)) == pytest.approx(quarter)
    assert float(great_circle_km(0, 0, 0, 180)) == pytest.approx(2 * quarter)


@settings(deadline=None)
@given(latitudes, longitudes, latitudes, longitudes)
def test_there_is_as_far_as_back(a: float, b: float, c: float, d: float) -> None:
    """The great circle is the same both ways, and never longer than half the earth's circumference."""
    there = float(great_circle_km(a, b, c, d))
    assert there == pytest.approx(float(great_circle_km(c, d, a, b)), abs=1e-9)
    assert 0.0 <= there <= np.pi * 6371.0088 + 1e-6


def test_one_metre_apart_keeps_its_digits() -> None:
    """Places a metre apart are a metre apart, not nothing (1 m = 1/111,195 degree of latitude)."""
    assert float(great_circle_km(47.0, 11.0, 47.0 + 1 / 111_195.08, 11.0)) == pytest.approx(0.001, rel=1e-5)


def test_table_in_blocks_is_the_table(monkeypatch: pytest.MonkeyPatch) -> None:
    """The table made block by block equals the one made at once."""
    rng = np.random.default_rng(2)
    a, b = 47 + rng.random(23), 10 + rng.random(23)
    whole = great_circle_km(a[:, None], b[:, None], a[None, :7], b[None, :7])
    monkeypatch.setattr("fuelplan.dispatch.roads.great_circle._BLOCK_CELLS", 21)
    assert great_circle_table_km(a, b, a[:7], b[:7]) == pytest.approx(whole, rel=1e-6)


def test_short_trips_are_slower() -> None:
    """5 km take 8.6 minutes and 60 km 64 (worked out by hand from the formula with 30 and 65 km/h and 8 km);
    nothing takes no time; no road takes for ever."""
    hours = driving_h(np.array([0.0, 5.0, 60.0, np.inf]))
    assert hours[0] == 0.0
    assert hours[1] * 60 == pytest.approx(8.62, abs=0.01)
    assert hours[2] * 60 == pytest.approx(63.995, abs=0.01)
    assert np.isinf(hours[3])


@settings(deadline=None)
@given(st.floats(0, 500), st.floats(0, 500))
def test_a_detour_is_never_quicker(a: float, b: float) -> None:
    """Time grows with distance, and two legs take no less than one of the same length."""
    first, second, both = driving_h(np.array([a, b, a + b])).astype(float)
    assert both <= first + second + 1e-5
    assert both >= max(first, second) - 1e-6


def test_speeds_that_cannot_be_are_refused() -> None:
    """The open road is not slower than the lane."""
    with pytest.raises(ValueError, match="near one no more than the far one"):
        Speed(near_km_h=70, far_km_h=60)
    with pytest.raises(ValueError, match="near_km"):
        Speed(near_km=0)


def test_default_detour_is_the_published_mean() -> None:
    """Road / great circle is 1.343, the mean of 300 European cities (Environment and Planning B 2023, doi
    10.1177/23998083231168870), and the table says so; national factors (Ballou et al. 2002, from memory) lie
    around it."""
    roads = roads_by_detour([48.8566, 51.5074], [2.3522, -0.1278])
    assert roads.km[0, 1] == pytest.approx(343.5565 * 1.343, rel=1e-5)
    assert "10.1177/23998083231168870" in render(roads.source)
    assert min(NATIONAL_DETOURS.values()) < DETOUR < max(NATIONAL_DETOURS.values())


def test_two_customers_at_one_place() -> None:
    """Two customers at one address are 0 km and 0 hours apart."""
    roads = roads_by_detour([47.1, 47.1], [11.2, 11.2])
    assert roads.km.tolist() == [[0, 0], [0, 0]]
    assert roads.hours.tolist() == [[0, 0], [0, 0]]


def test_snow_doubles_times_and_not_distances() -> None:
    """Snow that doubles driving times leaves the kilometres as they are, and the table says so."""
    roads = roads_by_detour([47.0, 47.3], [11.0, 11.3])
    snowed = slow(roads, 2.0)
    assert snowed.hours == pytest.approx(roads.hours * 2)
    assert (snowed.km == roads.km).all()
    assert "driving times × 2" in render(snowed.source)
    assert slow(roads, 1.0) is roads
    with pytest.raises(ValueError, match="such as 2 for snow"):
        slow(roads, 0.0)


def test_blocks_of_rows_are_the_table() -> None:
    """A block of rows against all places equals those rows of the whole table."""
    rng = np.random.default_rng(4)
    lat, lon = 47 + rng.random(9), 10 + rng.random(9)
    roads = roads_by_detour(lat, lon, 1.3)
    km, hours = roads_between(lat[3:6], lon[3:6], lat, lon, 1.3)
    assert (km == roads.km[3:6]).all()
    assert (hours == roads.hours[3:6]).all()
    assert km.dtype == np.float32


@pytest.mark.parametrize(
    ("lat", "lon", "said"),
    [
        ([47.0, 95.0], [11.0, 11.0], "place 1: latitude 95"),
        ([47.0], [np.nan], "place 0"),
        ([47.0], [11.0, 12.0], "1 latitudes and 2 longitudes"),
    ],
)
def test_places_that_are_none(lat: list[float], lon: list[float], said: str) -> None:
    """A place that is not on earth is refused and numbered."""
    with pytest.raises(ValueError, match=said):
        roads_by_detour(lat, lon)


def test_tables_that_are_none() -> None:
    """A table that is not square, negative or has holes is refused."""
    ok = np.zeros((2, 2), np.float32)
    with pytest.raises(ValueError, match=r"\(n, n\)"):
        Roads(np.zeros((2, 3), np.float32), np.zeros((2, 3), np.float32), X)
    with pytest.raises(ValueError, match="distances are negative or missing"):
        Roads(ok - 1, ok, X)
    with pytest.raises(ValueError, match="times are negative or missing"):
        Roads(ok, ok * np.nan, X)
    with pytest.raises(ValueError, match=r"detour factor of 0\.5"):
        roads_by_detour([47.0], [11.0], 0.5)


def _tours(factor: float, n: int, seed: int, spread: float = 0.06) -> list[Tour]:
    """Tours of about eight stops whose odometers follow a factor with some spread."""
    rng = np.random.default_rng(seed)
    out = []
    for i in range(n):
        lat = np.r_[47.0, 47 + rng.random(8) * 0.5, 47.0]
        lon = np.r_[10.0, 10 + rng.random(8) * 0.7, 10.0]
        straight = great_circle_km(lat[:-1], lon[:-1], lat[1:], lon[1:]).sum()
        km = straight * factor * (1 + rng.normal(0, spread))
        out.append(Tour(lat.tolist(), lon.tolist(), float(km), f"day {i + 1}"))
    return out


def test_detour_is_learned_from_the_odometer() -> None:
    """Forty days driven at 1.55 × the great circle teach 1.55, with a small doubt."""
    found = learn_detour(_tours(1.55, 40, 1))
    assert found.factor == pytest.approx(1.55, abs=0.03)
    assert found.p10 < found.factor < found.p90
    assert found.p90 - found.p10 < 0.1
    assert found.tours == 40
    assert "learned from 40 tours" in render(found.source)
    lat, lon = [47.0, 47.3], [11.0, 11.3]
    assert roads_by_detour(lat, lon, found).source == found.source
    assert roads_by_detour(lat, lon, found).km == pytest.approx(roads_by_detour(lat, lon, found.factor).km)


def test_doubt_about_the_detour_tells_the_truth() -> None:
    """Over 300 regions, the region's own factor lies between p10 and p90 in about 8 of 10 (limits: three
    standard errors of a share of 0.8)."""
    rng = np.random.default_rng(11)
    inside = 0
    for seed in range(300):
        factor = rng.normal(DETOUR, 0.15)
        found = learn_detour(_tours(factor, 12, seed, 0.10))
        inside += found.p10 <= factor <= found.p90
    assert abs(inside / 300 - 0.8) < 3 * np.sqrt(0.8 * 0.2 / 300)


def _mean_ratio(tours: list[Tour]) -> float:
    """The plain mean of the tours' factors, which one wrong reading spoils."""
    ratios = []
    for t in tours:
        lat, lon = np.array(t.lat), np.array(t.lon)
        ratios.append(t.odometer_km / great_circle_km(lat[:-1], lon[:-1], lat[1:], lon[1:]).sum())
    return float(np.mean(ratios))


def test_wrong_odometers_do_little() -> None:
    """One day in five with half of its stops unwritten moves the factor by less than 0.05, where the mean of
    the days moves by more than 0.2."""
    good = _tours(1.3, 30, 3)
    spoiled = [Tour(t.lat, t.lon, t.odometer_km * 1.9) for t in good[:6]] + good[6:]
    assert abs(learn_detour(spoiled).factor - learn_detour(good).factor) < 0.05
    assert _mean_ratio(spoiled) - _mean_ratio(good) > 0.2


def test_few_tours_do_not_overrule_the_published_figure() -> None:
    """Three days at 1.8 pull the factor up, but not up to 1.8; no day at all leaves the published one."""
    some = learn_detour(_tours(1.8, 3, 5))
    assert DETOUR + 0.1 < some.factor < 1.77
    none = learn_detour([])
    assert (none.factor, none.tours) == (DETOUR, 0)
    assert none.p10 < 1.18 + 0.05 and none.p90 > 1.5
    assert learn_detour([], prior=NATIONAL_DETOURS["FR"]).factor == 1.65


def test_tours_that_cannot_be_are_named() -> None:
    """A tour shorter than the crow flies, one that is far too long, one of a single place, one without a
    reading and one that is too short to tell are left out, each with a sentence."""
    lat, lon = [47.0, 47.5, 47.0], [10.0, 10.0, 10.0]
    found = learn_detour(
        [
            Tour(lat, lon, 80.0, "Monday"),
            Tour(lat, lon, 500.0, "Tuesday"),
            Tour([47.0], [10.0], 50.0),
            Tour(lat, lon, float("nan"), "Thursday"),
            Tour([47.0, 47.001], [10.0, 10.0], 3.0, "Friday"),
        ]
    )
    assert found.tours == 0
    names = [render(s).split(" ")[0] for s in found.left_out]
    assert names == ["Monday", "Tuesday", "tour", "Thursday", "Friday"]
    with strict():
        us = " ".join(render(s, Reader("us")) for s in (*found.left_out, found.source))
    assert "69.1 miles long as the crow flies, the odometer says 49.7 miles" in us and " km" not in us
    assert "111 km long as the crow flies, the odometer says 80 km" in render(found.left_out[0])
    assert "places are missing" in render(found.left_out[1])


def test_default_speed_is_a_lorrys() -> None:
    """A leg of 100 km is driven at about 60 km/h (common practice: 55 to 65 km/h)."""
    assert 100 / float(driving_h(np.array([100.0]), LORRY)[0]) == pytest.approx(60, abs=3)

"""What must hold for every degree-day method whatever the temperatures."""

from __future__ import annotations

from datetime import date

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays
from numpy.typing import NDArray

from fuelplan.weather import degree_days as dd

Floats = NDArray[np.float64]
TEMPERATURES = st.floats(-45, 45).map(lambda t: round(t, 2))
BASES = st.floats(0, 25).map(lambda t: round(t, 2))


STEADY = settings(deadline=None, max_examples=60, suppress_health_check=[HealthCheck.too_slow])
"""The same on a slow machine as on a fast one."""


def days_of(least: int = 1, most: int = 60) -> st.SearchStrategy[Floats]:
    """Daily temperatures."""
    return st.integers(least, most).flatmap(lambda n: arrays(np.float64, n, elements=TEMPERATURES))


@STEADY
@given(days_of(), days_of(), BASES)
def test_warmer_days_never_need_more(a: Floats, b: Floats, base: float) -> None:
    """Every method falls or stays when a day gets warmer, and is never below zero."""
    n = min(len(a), len(b))
    cold, warm = np.minimum(a[:n], b[:n]), np.maximum(a[:n], b[:n])
    for one in (
        lambda t: dd.heating_from_mean(t, base),
        lambda t: dd.heating_from_max_min(t - 4, t + 4, base),
        lambda t: dd.heating_from_middle(t - 4, t + 4, base),
        lambda t: dd.heating_us(t - 4, t + 4, base),
        lambda t: dd.heating_from_hours(t[:, None] + np.linspace(-4, 4, 24), base),
        lambda t: dd.heating_hitchin(t, 30, base),
        lambda t: dd.heating_iso(t, 3.5, 30, base),
        lambda t: dd.heating_normal(t, 3.5, 30, base),
        dd.indoor_20_15,
        dd.indoor_20_12,
        dd.indoor_18_15,
    ):
        assert (one(cold) >= one(warm) - 1e-9).all()
        assert (one(warm) >= 0).all()


@STEADY
@given(days_of(), st.floats(0, 15), BASES)
def test_max_min_rules_lie_between_the_middle_and_half_the_spread_more(
    middle: Floats, half: float, base: float
) -> None:
    """The four rules never give less than the middle alone, nor more than a quarter of the half-spread above
    it, except for the quarter that the rules themselves lose at the two ends.
    """
    rules = dd.heating_from_max_min(middle - half, middle + half, base)
    alone = dd.heating_from_mean(middle, base)
    assert (rules >= alone - half / 2 - 1e-9).all()
    assert (rules <= alone + half / 4 + 1e-9).all()
    outside = (middle - half >= base) | (middle + half < base)
    np.testing.assert_allclose(rules[outside], alone[outside], atol=1e-9)


@STEADY
@given(days_of(), st.floats(0, 15), BASES)
def test_heating_less_cooling_is_base_less_mean(middle: Floats, half: float, base: float) -> None:
    """HDD − CDD = Tb − Tm for each day by mean and hours; cooling is heating of the mirrored temperatures."""
    gap = base - middle
    hours = middle[:, None] + half * np.sin(np.arange(24) / 12 * np.pi)
    np.testing.assert_allclose(
        dd.heating_from_mean(middle, base) - dd.heating_from_mean(-middle, -base), gap, atol=1e-9
    )
    np.testing.assert_allclose(
        dd.heating_from_hours(hours, base) - dd.heating_from_hours(-hours, -base), gap, atol=1e-9
    )


@STEADY
@given(st.floats(-30, 40), st.floats(0, 12), st.integers(1, 31), BASES)
def test_monthly_formulas_lie_above_the_mean_alone(mean: float, sd: float, days: int, base: float) -> None:
    """A month has at least N·max(0, Tb − Tm), is finite, and heating less cooling is N(Tb − Tm)."""
    least = days * max(0.0, base - mean)
    for heating, cooling in (
        (dd.heating_hitchin(mean, days, base), dd.heating_hitchin(-mean, days, -base)),
        (dd.heating_iso(mean, sd, days, base), dd.heating_iso(-mean, sd, days, -base)),
        (dd.heating_normal(mean, sd, days, base), dd.heating_normal(-mean, sd, days, -base)),
    ):
        assert np.isfinite(heating) and heating >= least - 1e-7
        assert heating - cooling == pytest.approx(days * (base - mean), abs=1e-6)
    erbs = dd.heating_erbs(mean, days, base, sd_of_months_c=7)
    assert np.isfinite(erbs) and erbs >= least - 1e-7


@pytest.mark.parametrize("x", [-1e4, -1e-3, -1e-8, -1e-12, 0.0, 1e-12, 1e-8, 1e-3, 1e4])
def test_smooth_corner_is_smooth(x: float) -> None:
    """Hitchin's formula runs smoothly through its limit N/k and to its ends, without overflow (formula from
    memory).
    """
    found = dd.heating_hitchin(15.5 - x, 1, 15.5)
    if abs(x) < 1:
        assert found == pytest.approx(1 / 0.71 + x / 2 + 0.71 * x * x / 12, rel=1e-6)
    else:
        assert found == pytest.approx(max(x, 0.0), abs=1e-9)


def test_no_spread_is_the_mean_alone() -> None:
    """With a spread of 0 a month is N·max(0, Tb − Tm) by both formulas that take one."""
    for formula in (dd.heating_iso, dd.heating_normal):
        assert formula([10.0, 20.0], 0.0, 30, 15.5).tolist() == [165.0, 0.0]
        with pytest.raises(ValueError, match="negative"):
            formula(10.0, -1.0, 30, 15.5)


def test_normal_formula_agrees_with_a_million_days() -> None:
    """The formula for normally distributed days against the mean of a million such days drawn with a seed."""
    days = np.random.default_rng(1).normal(12.0, 4.0, 1_000_000)
    drawn = dd.heating_from_mean(days, 15.5).mean()
    assert dd.heating_normal(12.0, 4.0, 1, 15.5) == pytest.approx(drawn, abs=0.02)


def test_a_missing_temperature_is_never_zero_demand() -> None:
    """NaN in, NaN out, by every method; and the next day is not touched."""
    gap = np.array([np.nan, 3.0])
    hours = np.full((2, 24), 3.0)
    hours[0, 7] = np.nan
    for found in (
        dd.heating_from_mean(gap, 15),
        dd.heating_from_hours(hours, 15),
        dd.heating_from_max_min(gap, gap + 5, 15),
        dd.heating_from_max_min([3.0, 3.0], gap + 5, 15),
        dd.heating_from_middle(gap, gap + 5, 15),
        dd.heating_us(gap, gap + 5, 15),
        dd.indoor_20_15(gap),
        dd.indoor_20_12(gap),
        dd.indoor_18_15(gap),
        dd.heating_day(gap, 15),
        dd.heating_hitchin(gap, 30, 15),
        dd.heating_iso(gap, 3, 30, 15),
        dd.heating_iso([3.0, 3.0], gap, 30, 15),
        dd.heating_normal(gap, 3, 30, 15),
        dd.heating_erbs(gap, 30, 15, sd_of_months_c=7),
    ):
        assert np.isnan(found[0]) and found[1] > 0


def test_any_shape_broadcasts() -> None:
    """Winters × days against a base for each winter, for days and for hours."""
    mean = np.arange(12.0).reshape(3, 4)
    base = np.array([[10.0], [12.0], [15.0]])
    np.testing.assert_array_equal(dd.heating_from_mean(mean, base)[2], [7, 6, 5, 4])
    hours = np.repeat(mean[..., None], 24, axis=-1)
    np.testing.assert_allclose(dd.heating_from_hours(hours, base), dd.heating_from_mean(mean, base))
    np.testing.assert_allclose(dd.heating_from_max_min(mean, mean, base), dd.heating_from_mean(mean, base))


def test_crossed_temperatures_are_refused() -> None:
    """A lowest temperature above the highest is a fault, named with its entry."""
    for function in (dd.heating_from_max_min, dd.heating_from_middle, dd.heating_us):
        with pytest.raises(ValueError, match=r"lowest temperature .* is above the highest .* \(entry 1\)"):
            function([1.0, 9.0], [5.0, 4.0], 15.5)


def test_us_rule_takes_whole_degrees() -> None:
    """Half a degree Fahrenheit is refused, since rounding twice would shift the sum."""
    with pytest.raises(ValueError, match="whole degrees"):
        dd.heating_whole_fahrenheit(30.5, 40)


def test_half_up_of_celsius() -> None:
    """12.5 °C is 54.5 °F and goes up to 55, where rounding to even would give 54; −0.5 goes up to 0."""
    assert dd.half_up(np.array([12.5 * 9 / 5 + 32, 0.5, -0.5, -1.5, 2.4999])).tolist() == [55, 1, 0, -1, 2]


@STEADY
@given(
    st.integers(1, 800),
    st.dates(date(1990, 1, 1), date(2030, 1, 1)),
    st.integers(0, 2**32 - 1),
    st.floats(0, 1),
)
def test_sums_by_any_period_agree(days: int, first: date, seed: int, share: float) -> None:
    """Days, months and years add up to the same total, and count the same days and the same missing ones."""
    rng = np.random.default_rng(seed)
    values = rng.gamma(2, 4, days)
    gone = rng.random(days) < share
    values[gone] = np.nan
    for by in ("day", "month", "year"):
        found = dd.by_period(first, values, by)
        assert found.days.sum() == days and found.missing.sum() == gone.sum()
        assert np.isnan(found.values).tolist() == (found.missing == found.days).tolist()
        assert np.nansum(found.values) == pytest.approx(np.nansum(values))


def test_months_are_calendar_months() -> None:
    """A record over the turn of a leap year's February: 10 days of January, 29 of February, 1 of March."""
    found = dd.by_period(date(2024, 1, 22), np.ones(40), "month")
    assert found.start.astype(str).tolist() == ["2024-01-01", "2024-02-01", "2024-03-01"]
    assert found.days.tolist() == [10, 29, 1] and found.values.tolist() == [10, 29, 1]


def test_empty_and_odd_input_to_sums() -> None:
    """No days sum to 0; two axes and an unknown period are refused."""
    assert len(dd.by_period(date(2024, 1, 1), [], "month").values) == 0
    with pytest.raises(ValueError, match="one value a day"):
        dd.by_period(date(2024, 1, 1), np.ones((2, 2)), "month")
    with pytest.raises(ValueError, match="write day, month or year"):
        dd.by_period(date(2024, 1, 1), [1.0], "week")  # type: ignore[arg-type]

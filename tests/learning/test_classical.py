"""The classical regression, the efficiency check and the prior from similar customers."""

from __future__ import annotations

import math
from dataclasses import replace
from datetime import date, timedelta

import numpy as np
import pytest

from fuelplan.learning import Prior, SignatureError, learn
from fuelplan.learning import readings as r
from fuelplan.learning.bulk import learn_many
from fuelplan.learning.classical import (
    cumulative_sum,
    degree_days_a_day,
    fit_line,
    fit_over_bases,
    fit_variable_base,
)
from fuelplan.learning.efficiency import seasonal_efficiency
from fuelplan.learning.fit import Interval
from fuelplan.learning.similar import between, prior_from_similar
from fuelplan.learning.sums import Floats, Ints
from fuelplan.messages import render
from tests.signature_real_data import illinois_days, illinois_gas, whiteside
from tests.signature_worlds import FIRST_DAY, YEARS_DAYS, invent, temperatures, weather_of


def base_c(base_f: float) -> float:
    """Fahrenheit to Celsius."""
    return (base_f - 32) / 1.8


@pytest.mark.parametrize(
    ("half", "intercept", "slope", "s", "r2"),
    [("Before", 6.85383, -0.39324, 0.2813, 0.944), ("After", 4.72385, -0.27793, 0.3548, 0.813)],
)
def test_whiteside_lines(half: str, intercept: float, slope: float, s: float, r2: float) -> None:
    """Gas of one house before and after cavity insulation, MASS `whiteside` (Hand et al. 1993); computed."""
    insulation, temperature_c, gas = whiteside()
    mine = insulation == half
    fit = fit_line(gas[mine], temperature_c[mine])
    assert fit.per_day == pytest.approx(intercept, abs=1e-5)
    assert fit.per_degree_day == pytest.approx(slope, abs=1e-5)
    assert fit.sigma == pytest.approx(s, abs=1e-4)
    assert fit.r2 == pytest.approx(r2, abs=1e-3)


def test_whiteside_saving_and_change_of_slope() -> None:
    """At 5 °C the insulation saves 31.8 %, t = 3.59: MASS `whiteside` (Hand et al. 1993), computed."""
    import statsmodels.api as sm

    insulation, temperature_c, gas = whiteside()
    after = insulation == "After"
    fits = {
        half: fit_line(gas[insulation == half], temperature_c[insulation == half])
        for half in ("Before", "After")
    }
    at_5 = {half: f.per_day + 5 * f.per_degree_day for half, f in fits.items()}
    assert 1 - at_5["After"] / at_5["Before"] == pytest.approx(0.318, abs=0.0005)
    design = np.column_stack([np.ones(len(gas)), temperature_c, after, after * temperature_c])
    assert sm.OLS(gas, design).fit().tvalues[3] == pytest.approx(3.59, abs=0.01)


def test_illinois_daily_fit() -> None:
    """Daily gas of the year before 26 December 2016, samples of PyPI `eemeter` 4.1.1 (Apache-2.0); computed.

    Base 60 °F, 0.78673 therm a day and 0.21757 per °F-day, adjusted R² 0.9076; rules of CalTRACK 2.0.
    """
    first, mean_c = illinois_days()
    days, gas = illinois_gas("daily")
    begin = np.array([(d - first).days for d in days[:-1]])
    year = np.array([date(2015, 12, 27) <= d < date(2016, 12, 26) for d in days[:-1]])
    fit = fit_variable_base(gas[:-1][year], mean_c, begin[year], begin[year] + 1)
    assert fit.method == "ols" and fit.periods == 365
    assert fit.base_c == pytest.approx(base_c(60))
    assert fit.per_day == pytest.approx(0.78673, abs=1e-5)
    assert fit.per_degree_day / 1.8 == pytest.approx(0.21757, abs=1e-5)
    assert fit.adjusted_r2 == pytest.approx(0.9076, abs=1e-4)
    assert "misses" in render(fit.verdict("daily"))


def test_illinois_monthly_fit() -> None:
    """Thirteen bills before 26 December 2016, samples of PyPI `eemeter` 4.1.1 (Apache-2.0); computed.

    Day-weighted: 0.74641 therm a day and 0.21804 per °F-day, adjusted R² 0.9960. How that computation cut
    bills at the change of the clock is not known; days of Chicago give 0.74592 and 0.21809, so three digits
    are compared.
    """
    first, mean_c = illinois_days()
    days, gas = illinois_gas("billing_monthly")
    begin = np.array([(d - first).days for d in days])
    fit = fit_variable_base(gas[:13], mean_c, begin[:13], begin[1:14])
    assert fit.method == "wls" and fit.periods == 13
    assert fit.base_c == pytest.approx(base_c(60))
    assert fit.per_day == pytest.approx(0.746, abs=1e-3)
    assert fit.per_degree_day / 1.8 == pytest.approx(0.218, abs=1e-3)
    assert fit.adjusted_r2 == pytest.approx(0.9960, abs=1e-4)
    assert "keeps" in render(fit.verdict("monthly"))


def test_illinois_stated_truth_and_mean_degree_days() -> None:
    """The learned signature finds 250 + 750 therm a year; HDD60 and HDD61 are 11.05 and 11.61 a day.

    Samples of PyPI `eemeter` 4.1.1 (Apache-2.0), metadata for the truth; computed.
    """
    first, mean_c = illinois_days()
    whole = mean_c[:-1]  # the last day has one hour only
    ends = np.array([0]), np.array([len(whole)])
    hdd = degree_days_a_day(whole, *ends, np.array([base_c(60), base_c(61)]))[:, 0] * 1.8
    assert np.round(hdd, 2) == pytest.approx([11.05, 11.61], abs=0.0101)
    gas = illinois_gas("daily")[1]
    shown = np.concatenate([[0.0], np.cumsum(gas[:400])])
    seen = [
        r.counter(first + timedelta(i - 1), float(shown[i]), sd_kg=0.5, scale_rel_sd=0.01)
        for i in range(35, 401, 5)
    ]
    out = learn(Prior(0.27, 0.9, 15.5), weather_of(mean_c, first), seen, [], seen[-1].day, capacity_kg=3000.0)
    draws = out.draw(3000, np.random.default_rng(0))
    low, high = np.quantile(365 * draws.kg_per_day, [0.1, 0.9])
    year = draws.use_kg(mean_c[35:400])
    assert low * 0.9 <= 250 <= high * 1.25
    # this year may have burned a little more than usual: its own figure lies in the range of usual years
    low, middle, high = np.quantile(year, [0.1, 0.5, 0.9])
    assert low <= gas[35:400].sum() <= high and high - low < 0.16 * middle


def weekly(lasting: float = 0.0, seed: int = 2) -> tuple[Floats, Floats, Ints, Ints]:
    """Two years of weeks at 5 a day and 2 a degree-day below 15 °C: use, weather, first and last days."""
    mean_c = temperatures(730, 1, 5)[0]
    begin = np.arange(0, 728, 7)
    rng = np.random.default_rng(seed)
    error = np.zeros(len(begin))
    for i in range(1, len(begin)):
        error[i] = lasting * error[i - 1] + rng.standard_normal()
    use = 7 * (5 + 2 * degree_days_a_day(mean_c, begin, begin + 7, np.array([15.0]))[0] + error)
    return use, mean_c, begin, begin + 7


def test_methods_agree_on_periods_of_one_length() -> None:
    """OLS and WLS find the same line where all periods are weeks."""
    use, mean_c, begin, end = weekly(0.8)
    ols, wls = (fit_variable_base(use, mean_c, begin, end, method=m) for m in ("ols", "wls"))
    assert ols.per_degree_day == pytest.approx(wls.per_degree_day)
    assert ols.per_degree_day == pytest.approx(2.0, rel=0.1)
    assert ols.per_day_se == pytest.approx(wls.per_day_se)


def test_errors_and_tests_by_hand() -> None:
    """The textbook's formulas for seven points: slope Sxy/Sxx, its error s/√Sxx, t and p from Student's table
    (t(0.975; 5) = 2.571, printed in any table).
    """
    x = np.array([0.0, 2.0, 4.0, 6.0, 8.0, 10.0, 12.0])
    y = np.array([1.0, 6.0, 8.0, 14.0, 15.0, 22.0, 25.0])
    fit = fit_line(y, x)
    assert fit.per_degree_day == pytest.approx(222 / 112)
    left = y - (13 + 222 / 112 * (x - 6))
    s = math.sqrt(float(left @ left) / 5)
    assert fit.per_degree_day_se == pytest.approx(s / math.sqrt(112))
    assert fit.per_day_se == pytest.approx(s * math.sqrt(1 / 7 + 36 / 112))
    assert fit.per_degree_day_t == pytest.approx(fit.per_degree_day / fit.per_degree_day_se)
    assert fit.predict_se(6.0, 1.0) == pytest.approx(s / math.sqrt(7))
    edge = fit_line(2.571 * s / math.sqrt(112) * x + left, x)  # the same errors about a flatter line
    assert edge.per_degree_day_p == pytest.approx(0.05, abs=1e-4)
    assert fit.cv_rmse == pytest.approx(s / 13)


def test_errors_of_the_readings_move_the_line_as_a_simulation_says() -> None:
    """The error that readings put on a year's use, by the line, is that of a thousand lines through use with
    such errors; periods of unequal length.
    """
    rng = np.random.default_rng(4)
    days = rng.integers(10, 120, 14).astype(float)
    heating = days * rng.uniform(0, 15, 14)
    use, sd = 2 * days + 1.2 * heating, rng.uniform(20, 200, 14)
    base = np.array([15.0])
    fit = fit_over_bases(use, days, heating[None], base)
    assert fit.method == "wls"
    years = []
    for _ in range(1000):
        x, w = np.column_stack([np.ones(14), heating / days]), np.sqrt(days)
        spoilt = (use + sd * rng.standard_normal(14)) / days
        years.append(np.linalg.lstsq(x * w[:, None], spoilt * w, rcond=None)[0] @ [365, 2500])
    assert fit.moved_by(sd, 2500.0, 365.0) == pytest.approx(np.std(years), rel=0.07)


def test_the_range_of_bases_holds_the_truth_eight_times_in_ten() -> None:
    """Of 300 worlds with a base of 15 °C, the profile's range holds it in 74 to 86 of 100."""
    inside = 0
    for seed in range(300):
        use, mean_c, begin, end = weekly(0.0, seed)
        fit = fit_variable_base(use, mean_c, begin, end, base_c=np.arange(10.0, 20.01, 0.25))
        assert fit.base_low_c <= fit.base_c <= fit.base_high_c
        inside += fit.base_low_c - 0.125 <= 15.0 <= fit.base_high_c + 0.125
    assert 0.74 <= inside / 300 <= 0.86


def test_recursive_residuals_are_those_of_lines_through_the_periods_before() -> None:
    """Each is what a line fitted to all earlier periods misses, over √(1 + x'(X'X)⁻¹x); the limits are
    ±0.948·(√v + 2j/√v) (Brown, Durbin & Evans 1975, eq. 2 and table 1), and hold statsmodels' own.
    """
    import statsmodels.api as sm
    from statsmodels.stats.diagnostic import recursive_olsresiduals

    use, mean_c, begin, end = weekly()
    fit = fit_variable_base(use, mean_c, begin, end, method="ols")
    y = use / 7
    found = cumulative_sum(fit, y)
    assert found is not None
    left = []
    for i in range(found.first, len(y)):
        x, seen = fit.design[:i], fit.design[i]
        inverse = np.linalg.inv(x.T @ x)
        left.append((y[i] - seen @ inverse @ x.T @ y[:i]) / math.sqrt(1 + seen @ inverse @ seen))
    np.testing.assert_allclose(found.value, np.cumsum(left) / np.std(left, ddof=1), rtol=1e-6)
    v = len(left)
    assert found.bound[-1] == pytest.approx(3 * 0.948 * math.sqrt(v))
    theirs = recursive_olsresiduals(sm.OLS(y, fit.design).fit(), skip=found.first)[6][1]
    np.testing.assert_allclose(found.bound[:-1], theirs[1:])


def test_the_cumulative_sum_leaves_its_limits_after_a_change_and_seldom_without() -> None:
    """A quarter less per degree-day after the first year is seen; of 200 unchanged worlds at most 1 in 10
    leaves the limits of 1 in 20.
    """
    use, mean_c, begin, end = weekly()
    changed = np.where(np.arange(len(use)) < 52, use, 0.75 * use)
    steady = cumulative_sum(fit_variable_base(use, mean_c, begin, end), use / 7)
    assert steady is not None and steady.left_at is None
    bent = cumulative_sum(fit_variable_base(changed, mean_c, begin, end), changed / 7)
    assert bent is not None and bent.left_at is not None and bent.left_at > 52
    false = 0
    for seed in range(200):
        told, mean_c, begin, end = weekly(0.0, seed)
        found = cumulative_sum(fit_variable_base(told, mean_c, begin, end), told / 7)
        false += found is not None and found.left_at is not None
    assert false <= 20


def test_no_cumulative_sum_of_too_few_periods_or_of_nothing() -> None:
    """Four periods leave two to add up; use that lies on the line leaves rounding alone."""
    use, mean_c, begin, end = weekly()
    few = fit_variable_base(use[:4], mean_c, begin[:4], end[:4], base_c=np.array([15.0]))
    assert cumulative_sum(few, use[:4] / 7) is None
    straight = 7 * (5 + 2 * degree_days_a_day(mean_c, begin, end, np.array([15.0]))[0])
    exact = fit_variable_base(straight, mean_c, begin, end, base_c=np.array([15.0]))
    assert cumulative_sum(exact, straight / 7) is None


def test_irregular_periods_and_high_use_are_handled() -> None:
    """Periods of 3 to 40 days are weighed by their days; one month of ten times the use is flagged."""
    rng = np.random.default_rng(3)
    mean_c = temperatures(900, 1, 6)[0]
    edges = np.cumsum(rng.integers(3, 40, 38))
    begin, end = edges[:-1], edges[1:]
    use = (end - begin) * (4 + 1.5 * degree_days_a_day(mean_c, begin, end, np.array([15.0]))[0])
    clean = fit_variable_base(use, mean_c, begin, end, base_c=np.array([13.0, 14.0, 15.0, 16.0]))
    assert clean.method == "wls" and clean.base_c == 15.0
    assert (clean.per_day, clean.per_degree_day) == pytest.approx((4.0, 1.5))
    assert clean.cv_rmse < 1e-9 and not clean.high.any()
    warm = fit_variable_base(use, mean_c, begin, end, base_c=np.array([12.0, 15.0, 30.0]))
    assert warm.candidates == 2  # at 30 °C the use a day would be below 0
    noisy = use * (1 + 0.3 * rng.standard_normal(len(use)))
    bases = np.arange(11.0, 16.0, 0.25)
    alone = [fit_variable_base(noisy, mean_c, begin, end, method="wls", base_c=np.array([b])) for b in bases]
    best = max(alone, key=lambda f: f.adjusted_r2)
    assert fit_variable_base(noisy, mean_c, begin, end, base_c=bases).base_c == best.base_c
    spoilt = use.copy()
    coldest = int(np.argmax(use / (end - begin)))
    spoilt[coldest] *= 10
    assert np.flatnonzero(fit_variable_base(spoilt, mean_c, begin, end).high).tolist() == [coldest]


@pytest.mark.parametrize(
    ("use", "says"),
    [([1.0, 2.0, 3.0], "at least 4"), ([1.0, 5.0, 9.0, 14.0, 20.0, 30.0], "grows with the cold")],
)
def test_lines_that_cannot_be_drawn_are_refused(use: list[float], says: str) -> None:
    """Too few periods, or use that grows with warmth, give a sentence and no line."""
    n = len(use)
    mean_c = np.repeat(np.linspace(-5, 15, n), 10)
    begin = np.arange(n) * 10
    with pytest.raises(SignatureError, match=says):
        fit_variable_base(np.array(use), mean_c, begin, begin + 10)


# --- efficiency ---------------------------------------------------------------------------------------------


def stretches(shares: list[float]) -> tuple[list[Interval], list[tuple[date, float]]]:
    """Quarters with 1,000 kg burned each, and the heat meter at their ends, at 4.8 kWh/kg."""
    fuel, heat, shown = [], [(date(2020, 1, 1), 0.0)], 0.0
    for i, share in enumerate(shares):
        first, last = date(2020, 1, 1) + timedelta(91 * i), date(2020, 1, 1) + timedelta(91 * (i + 1))
        shown += 4800 * share
        heat.append((last, shown))
        fuel.append(Interval(first, last, 91, 500, 1000.0, 20.0, 1000.0, 0.0, "", False))
    return fuel, heat


def test_efficiency_is_heat_over_fuel() -> None:
    """4,080 of 4,800 kWh are 85 %, with no drift to speak of."""
    out = seasonal_efficiency(*stretches([0.85] * 8), 4.8)
    assert out.share == pytest.approx(0.85) and out.periods == 8
    assert out.share_p10 < 0.85 < out.share_p90
    assert out.drift_per_year == pytest.approx(0.0, abs=1e-9) and "falls" not in render(out.sentence)


def test_efficiency_drift_is_found_and_said() -> None:
    """Two points a year less, over three years, are found and named; one flagged stretch is left out."""
    fuel, heat = stretches([0.90 - 0.005 * i for i in range(12)])
    out = seasonal_efficiency(fuel, heat, 4.8)
    assert out.drift_per_year == pytest.approx(-0.02, abs=0.001)
    assert "falls by about 2.0 points a year" in render(out.sentence)
    flagged = [*fuel[:-1], Interval(*[*vars(fuel[-1]).values()][:-1], True)]
    assert seasonal_efficiency(flagged, heat, 4.8).periods == 11


def test_efficiency_without_common_days_or_beyond_one_is_said() -> None:
    """No stretch with both is an error; more heat than fuel is a hint to look at the meter."""
    fuel, heat = stretches([1.2] * 4)
    assert "cannot be" in render(seasonal_efficiency(fuel, heat, 4.8).sentence)
    assert math.isnan(seasonal_efficiency(fuel[:1], heat, 4.8).drift_per_year)
    with pytest.raises(SignatureError, match="both fuel and heat"):
        seasonal_efficiency(fuel, [], 4.8)


# --- similar customers --------------------------------------------------------------------------------------


def test_between_by_hand() -> None:
    """Values 1, 2, 3 with errors of 0.1: mean 2, spread between them about sqrt(1 - 0.01)."""
    mean, error, spread = between(np.array([1.0, 2.0, 3.0]), np.full(3, 0.1))
    assert mean == pytest.approx(2.0)
    assert spread == pytest.approx(math.sqrt(0.99))
    assert error == pytest.approx(math.sqrt(1.0 / 3))


def test_new_customers_borrow_from_similar_ones() -> None:
    """Where all houses of a round burn a quarter more than on paper, a new one is expected to.

    The borrowed prior comes nearer to the truth than the paper in most of 60 new houses, and its 80 %
    interval holds the truth about as often as it says.
    """
    world = invent(160, 12, seed=77)
    as_of = FIRST_DAY + timedelta(YEARS_DAYS - 1)
    # all papers are too low by the same quarter
    low = world.priors.slope / 1.25
    told = replace(world.priors, slope=low, slope_sd=0.3 * low)
    many = learn_many(told, FIRST_DAY, world.mean_c, world.customers, as_of)
    old, new = np.arange(100), np.arange(100, 160)
    own = tuple(Prior(low[i], told.day_kg[i], told.base_c[i], 0.3, 0.5, 1.5) for i in old)
    nearer, inside = 0, 0
    for i in new:
        borrowed = prior_from_similar(many.mean[old], many.sd[old], low[old], float(low[i]), own)
        truth = world.slope[i]
        nearer += abs(borrowed.kg_per_degree_day - truth) < abs(low[i] - truth)
        inside += abs(borrowed.kg_per_degree_day - truth) < 1.2816 * borrowed.sd_slope
    assert nearer >= 40
    assert 0.65 <= inside / 60 <= 0.95


def test_paper_and_neighbours_are_combined_by_their_doubt() -> None:
    """Neighbours who agree with each other outweigh a doubtful paper; too few of them lend nothing."""
    mean = np.array([[2.0, 4.0, 15.0, 0]] * 6) * np.linspace(0.95, 1.05, 6)[:, None]
    sd = np.array([[0.1, 0.3, 0.4, 0]] * 6)
    paper = Prior(4.0, 4.0, 15.0, 0.5)
    both = prior_from_similar(mean, sd, np.ones(6), 1.0, paper=paper)
    assert both.kg_per_degree_day == pytest.approx(2.0, rel=0.05)
    alone = prior_from_similar(mean[:2], sd[:2], np.ones(2), 1.0, paper=paper)
    assert alone.kg_per_degree_day == pytest.approx(4.0)
    with pytest.raises(SignatureError, match="similar customers"):
        prior_from_similar(mean[:2], sd[:2], np.ones(2), 1.0)

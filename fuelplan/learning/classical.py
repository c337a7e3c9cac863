"""The classical regression beside the learned signature: use a day against degree-days, base variable.

Use a day = daily part + slope × degree-days a day, the base temperature found by profile: the three-parameter
heating model of Kissock, Haberl & Claridge (Inverse Modeling Toolkit, ASHRAE Transactions 109, 2003), in the
variable-base form of ASHRAE Guideline 14. Rules of the fit: a grid of base temperatures from 30 to 90 °F in
steps of at most 3 °F; ordinary least squares for daily data, day-weighted least squares for bills;
coefficients of 0 or less are rejected; the best adjusted R² is kept; use beyond the median + 3 interquartile
ranges is flagged (CalTRACK 2.0 methods).
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Any, Literal

import numpy as np
from numpy.typing import NDArray

from fuelplan.learning import words
from fuelplan.learning.prior import SignatureError
from fuelplan.learning.sums import Floats, Ints
from fuelplan.messages import Message

Method = Literal["ols", "wls"]

GRID_F = tuple(range(30, 91))
"""Base temperatures tried, by whole degrees. [degF]"""

LIMITS = {"monthly": (0.05, 0.15), "hourly": (0.10, 0.30)}
"""Greatest NMBE and CV(RMSE) as shares (ASHRAE Guideline 14-2014 as quoted in ASHRAE Fundamentals)."""

FEWEST = 4
"""Periods below which no line is fitted: two coefficients and a base are three unknowns."""


@dataclass(frozen=True)
class ClassicalFit:
    """A line of use a day against degree-days a day.

    Attributes
    ----------
    method
        "ols" or "wls" (weighed by days).
    base_c
        Best base temperature. [degC]
    per_day, per_degree_day
        Intercept and slope, in the unit of the use a day and per kelvin-day.
    per_day_se, per_degree_day_se, covariance
        Their standard errors and covariance (2, 2), the base taken as known.
    per_day_t, per_degree_day_t, per_day_p, per_degree_day_p
        How many standard errors they lie from 0, and the chance of that where the truth is 0 (two-sided,
        Student's t with n − 2 degrees of freedom).
    sigma
        Residual standard deviation, in the unit of the use a day.
    r2, adjusted_r2
        Of the weighed fit.
    cv_rmse, nmbe
        As shares; n − p degrees of freedom (p = 2).
    periods
        How many were used.
    candidates
        How many bases gave two coefficients above 0.
    base_low_c, base_high_c
        The bases that the periods do not tell from the best one: their profile holds the truth 8 times in
        10. [degC]
    high
        Shape (n,): use flagged as uncommonly high.
    residuals
        Shape (n,): use a day less fitted.
    design, days
        Shapes (n, 2) and (n,): ones and degree-days a day of the periods used, and their days.
    """

    method: Method
    base_c: float
    per_day: float
    per_degree_day: float
    per_day_se: float
    per_degree_day_se: float
    per_day_t: float
    per_degree_day_t: float
    per_day_p: float
    per_degree_day_p: float
    covariance: Floats
    sigma: float
    r2: float
    adjusted_r2: float
    cv_rmse: float
    nmbe: float
    periods: int
    candidates: int
    base_low_c: float
    base_high_c: float
    high: NDArray[np.bool_]
    residuals: Floats
    design: Floats
    days: Floats

    def predict(self, degree_days: Floats, days: Floats) -> Floats:
        """Return the use of periods with some degree-days (at :attr:`base_c`) and days."""
        total: Floats = self.per_day * np.asarray(days) + self.per_degree_day * np.asarray(degree_days)
        return total

    def predict_se(self, degree_days: float, days: float) -> float:
        """Return the standard error of what :meth:`predict` gives for one period, the base taken as known."""
        x = np.array([days, degree_days])
        return math.sqrt(float(x @ self.covariance @ x))

    def moved_by(self, use_sd: Floats, degree_days: float, days: float) -> float:
        """Return how far errors of the periods' use, independent ones, move :meth:`predict`: one standard
        deviation, in the unit of the use.

        Parameters
        ----------
        use_sd
            Shape (n,): standard deviation of the use of each period.
        """
        weighed = self.design * (self.days if self.method == "wls" else np.ones(self.periods))[:, None]
        hat = np.linalg.solve(weighed.T @ self.design, weighed.T)
        share = np.array([days, degree_days]) @ hat / self.days
        return math.sqrt(float(((share * use_sd) ** 2).sum()))

    def verdict(self, data: Literal["monthly", "daily", "hourly"]) -> Message:
        """Return in a sentence whether the fit keeps the Guideline 14 limits for its kind of data.

        There are limits for monthly and hourly data only; daily data are held against those for hourly ones
        (common practice).
        """
        nmbe_limit, cv_limit = LIMITS["monthly" if data == "monthly" else "hourly"]
        good = abs(self.nmbe) < nmbe_limit and self.cv_rmse < cv_limit
        return words.guideline_kept(
            good, data == "monthly", self.cv_rmse, cv_limit, abs(self.nmbe), nmbe_limit
        )


def degree_days_a_day(mean_c: Floats, begin: Ints, end: Ints, base_c: Floats) -> Floats:
    """Return mean degree-days a day of periods, shape (bases, n).

    Parameters
    ----------
    mean_c
        Shape (days,). [degC]
    begin, end
        Shape (n,): first day of each period, and the day after its last.
    base_c
        Shape (bases,). [degC]
    """
    if (np.asarray(end) <= np.asarray(begin)).any():
        raise SignatureError("every period must have at least one day")
    if (np.asarray(begin) < 0).any() or (np.asarray(end) > len(mean_c)).any():
        raise SignatureError("a period lies outside the weather; get weather for all of its days")
    daily = np.maximum(0.0, np.asarray(base_c)[:, None] - np.asarray(mean_c)[None, :])
    until = np.concatenate([np.zeros((len(daily), 1)), np.cumsum(daily, axis=1)], axis=1)
    out: Floats = (until[:, end] - until[:, begin]) / (np.asarray(end) - np.asarray(begin))
    return out


def fit_variable_base(
    use: Floats,
    mean_c: Floats,
    begin: Ints,
    end: Ints,
    *,
    method: Method | None = None,
    base_c: Floats | None = None,
) -> ClassicalFit:
    """Fit use against degree-days for every base of a grid and keep the best.

    Parameters
    ----------
    use
        Shape (n,), use of each period, NaN where not known. Daily, weekly, monthly or irregular periods.
    mean_c, begin, end
        See :func:`degree_days_a_day`.
    method
        None takes "ols" where all periods have the same length and "wls" otherwise.
    base_c
        Bases to try; None for 30 to 90 °F by whole degrees. [degC]
    """
    use, begin, end = np.asarray(use, dtype=float), np.asarray(begin), np.asarray(end)
    bases = (np.array(GRID_F, dtype=float) - 32) / 1.8 if base_c is None else np.atleast_1d(base_c)
    days = (end - begin).astype(float)
    degree_days = degree_days_a_day(mean_c, begin, end, bases) * days
    return fit_over_bases(use, days, degree_days, bases, method=method)


def fit_over_bases(
    use: Floats, days: Floats, degree_days: Floats, base_c: Floats, *, method: Method | None = None
) -> ClassicalFit:
    """Fit use against degree-days that are known for every base, and keep the best base.

    Parameters
    ----------
    use, days
        Shape (n,): use of each period, NaN where not known, and its days.
    degree_days
        Shape (bases, n). [K·d]
    base_c
        Shape (bases,), ascending. [degC]
    method
        None takes "ols" where all periods have the same length and "wls" otherwise.

    Returns
    -------
    ClassicalFit
        The line at the base with the best adjusted R².

    Raises
    ------
    SignatureError
        With fewer than :data:`FEWEST` periods, or where no base gives two coefficients above 0.
    """
    known = np.isfinite(use)
    if known.sum() < FEWEST:
        raise SignatureError(f"{int(known.sum())} periods with a use; a line needs at least {FEWEST}")
    days = days[known]
    x, y = degree_days[:, known] / days, use[known] / days
    if method is None:
        method = "ols" if np.all(days == days[0]) else "wls"
    good, adjusted_r2 = _all_lines(y, x, np.ones(len(y)) if method == "ols" else days)
    if not good.any():
        raise SignatureError(
            "no base temperature gives a use that grows with the cold and a use a day above 0; "
            "more periods, winter and summer, are needed"
        )
    best = int(np.argmax(np.where(good, adjusted_r2, -np.inf)))
    high = np.zeros(len(use), dtype=bool)
    high[known] = too_high(y)
    fit = _result(method, float(base_c[best]), _line(y, x[best], days, method), y, x[best], days, high)
    low_c, high_c = _base_range(base_c, good, adjusted_r2, best, len(y))
    return replace(fit, candidates=int(good.sum()), base_low_c=low_c, base_high_c=high_c)


def _base_range(
    base_c: Floats, good: NDArray[np.bool_], adjusted_r2: Floats, best: int, n: int
) -> tuple[float, float]:
    """Return the bases around the best one whose sum of squares does not exceed the least by more than
    F(0.8; 1, n − 3) mean squares: the profile of a nonlinear least-squares parameter (Bates & Watts 1988,
    ch. 6).
    """
    from scipy.stats import f

    free = n - 3
    if free < 1:
        return float(base_c[good][0]), float(base_c[good][-1])
    left = np.where(good, 1 - adjusted_r2, np.inf)  # in proportion to the sums of squares
    near = left <= left[best] * (1 + float(f.ppf(0.8, 1, free)) / free)
    low = high = best
    while low > 0 and near[low - 1]:
        low -= 1
    while high < len(near) - 1 and near[high + 1]:
        high += 1
    return float(base_c[low]), float(base_c[high])


def fit_line(
    use_per_day: Floats, x: Floats, days: Floats | None = None, method: Method = "ols"
) -> ClassicalFit:
    """Fit use a day against a given column (degree-days a day, or minus a temperature), with no base to find.

    The slope may have any sign; :attr:`ClassicalFit.base_c` is NaN.
    """
    y, x = np.asarray(use_per_day, dtype=float), np.asarray(x, dtype=float)
    days = np.ones(len(y)) if days is None else np.asarray(days, dtype=float)
    fit = _line(y, x, days, method) if len(y) >= FEWEST else None
    if fit is None:
        raise SignatureError(f"a line needs at least {FEWEST} periods that differ in their weather")
    return _result(method, math.nan, fit, y, x, days, too_high(y))


def too_high(use_per_day: Floats) -> NDArray[np.bool_]:
    """Flag use beyond the median + 3 interquartile ranges (CalTRACK 2.0)."""
    low, median, high = np.percentile(use_per_day, [25, 50, 75])
    return np.asarray(use_per_day > median + 3 * (high - low))


def _all_lines(y: Floats, x: Floats, weight: Floats) -> tuple[NDArray[np.bool_], Floats]:
    """Whether both coefficients are above 0, and adjusted R², for the column of every base; each (bases,)."""
    w = weight / weight.sum()
    x_mean, y_mean = x @ w, float(y @ w)
    dx, dy = x - x_mean[:, None], y - y_mean
    sxx, sxy, syy = (dx**2) @ w, dx @ (w * dy), float(dy @ (w * dy))
    slope = sxy / np.where(sxx > 0, sxx, np.inf)
    good = (sxx > 1e-12) & (slope > 0) & (y_mean - slope * x_mean > 0)
    r2 = slope * sxy / syy if syy > 0 else np.zeros(len(x))
    return good, 1 - (1 - r2) * (len(y) - 1) / (len(y) - 2)


def _line(y: Floats, x: Floats, days: Floats, method: Method) -> Any:
    from statsmodels.regression.linear_model import OLS, WLS

    if np.ptp(x) <= 0:
        return None
    design = np.column_stack([np.ones(len(x)), x])
    return OLS(y, design).fit() if method == "ols" else WLS(y, design, weights=days).fit()


def _result(
    method: Method, base_c: float, fit: Any, y: Floats, x: Floats, days: Floats, high: NDArray[np.bool_]
) -> ClassicalFit:
    residuals = y - fit.params[0] - fit.params[1] * x
    n, mean = len(y), float(np.average(y, weights=days))
    weight = days / days.mean()
    sigma = math.sqrt(float(residuals @ (weight * residuals)) / (n - 2))
    return ClassicalFit(
        method=method,
        base_c=base_c,
        per_day=float(fit.params[0]),
        per_degree_day=float(fit.params[1]),
        per_day_se=float(fit.bse[0]),
        per_degree_day_se=float(fit.bse[1]),
        per_day_t=float(fit.tvalues[0]),
        per_degree_day_t=float(fit.tvalues[1]),
        per_day_p=float(fit.pvalues[0]),
        per_degree_day_p=float(fit.pvalues[1]),
        covariance=np.asarray(fit.cov_params(), dtype=float),
        sigma=sigma,
        r2=float(fit.rsquared),
        adjusted_r2=float(fit.rsquared_adj),
        cv_rmse=sigma / mean if mean > 0 else math.nan,
        nmbe=float(residuals @ weight) / (n - 2) / mean if mean > 0 else math.nan,
        periods=n,
        candidates=1,
        base_low_c=base_c,
        base_high_c=base_c,
        high=high,
        residuals=residuals,
        design=np.column_stack([np.ones(n), x]),
        days=days,
    )


@dataclass(frozen=True)
class CumulativeSum:
    """The running sum of the recursive residuals of a line, in their standard deviations.

    Attributes
    ----------
    first
        Place of the first period that has one: those before it are needed to begin.
    value, bound
        Shape (n − first,): the sum, and the limit to either side that chance passes anywhere with 1 line in
        20.
    """

    first: int
    value: Floats
    bound: Floats

    @property
    def left_at(self) -> int | None:
        """Place of the first period at which the sum lies beyond its limit; None where it never does."""
        out = np.flatnonzero(np.abs(self.value) > self.bound)
        return int(out[0]) + self.first if len(out) else None


BOUND = 0.948
"""Of the cumulative sum at 5 %: ±0.948·(√v + 2·j/√v) after j of v recursive residuals (Brown, Durbin & Evans
1975)."""

LEAST_RESIDUALS = 3


def cumulative_sum(fit: ClassicalFit, use_per_day: Floats) -> CumulativeSum | None:
    """Return the cumulative sum of a line's recursive residuals, its periods in order of time.

    Each period is compared with the line through those before it alone, so a change shows as a drift. None
    with fewer than three periods after the first two that differ in their weather, or with nothing left over.

    Parameters
    ----------
    use_per_day
        Shape (n,), of the periods used.

    Returns
    -------
    CumulativeSum or None
        None where there are too few periods for a sum.
    """
    from statsmodels.regression.linear_model import OLS
    from statsmodels.stats.diagnostic import recursive_olsresiduals

    root = np.sqrt(fit.days if fit.method == "wls" else np.ones(fit.periods))
    x, y = fit.design * root[:, None], np.asarray(use_per_day) * root
    spread = np.ptp(fit.design[:, 1])
    apart = np.flatnonzero(np.abs(fit.design[:, 1] - fit.design[0, 1]) > 0.1 * spread)
    first = max(2, int(apart[0]) + 1) if spread > 0 else fit.periods
    after = fit.periods - first
    if after < LEAST_RESIDUALS:
        return None
    found = recursive_olsresiduals(OLS(y, x).fit(), skip=first)
    scaled, standardised = found[4][first:], found[3][first:]
    if np.ptp(scaled) <= 1e-9 * np.abs(y).max():
        return None  # a line through every period: what is left is rounding
    step = np.arange(1, after + 1)
    bound = BOUND * (math.sqrt(after) + 2 * step / math.sqrt(after))
    return CumulativeSum(first, np.cumsum(standardised), bound)

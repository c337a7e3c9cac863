"""The classical regression beside the learned signature: use a day against degree-days, base variable.

Rules of the fit: a grid of base temperatures from 30 to 90 °F in steps of at most 3 °F; ordinary least
squares for daily data, day-weighted least squares for bills; coefficients of 0 or less are rejected; the best
adjusted R² is kept; use beyond the median + 3 interquartile ranges is flagged (CalTRACK 2.0 methods).
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any, Literal

import numpy as np
from numpy.typing import NDArray

from fuelplan.learning.prior import SignatureError
from fuelplan.learning.sums import Floats, Ints

Method = Literal["ols", "wls", "gls"]

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
        "ols", "wls" (weighed by days) or "gls" (errors of neighbouring periods go together).
    base_c
        Best base temperature. [degC]
    per_day, per_degree_day
        Intercept and slope, in the unit of the use a day and per kelvin-day.
    per_day_se, per_degree_day_se
        Their standard errors, the base taken as known.
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
    high
        Shape (n,): use flagged as uncommonly high.
    residuals
        Shape (n,): use a day less fitted.
    """

    method: Method
    base_c: float
    per_day: float
    per_degree_day: float
    per_day_se: float
    per_degree_day_se: float
    sigma: float
    r2: float
    adjusted_r2: float
    cv_rmse: float
    nmbe: float
    periods: int
    candidates: int
    high: NDArray[np.bool_]
    residuals: Floats

    def predict(self, degree_days: Floats, days: Floats) -> Floats:
        """Return the use of periods with some degree-days (at :attr:`base_c`) and days."""
        total: Floats = self.per_day * np.asarray(days) + self.per_degree_day * np.asarray(degree_days)
        return total

    def verdict(self, data: Literal["monthly", "daily", "hourly"]) -> str:
        """Return in a sentence whether the fit keeps the Guideline 14 limits for its kind of data.

        There are limits for monthly and hourly data only; daily data are held against those for hourly ones
        (common practice).
        """
        nmbe_limit, cv_limit = LIMITS["monthly" if data == "monthly" else "hourly"]
        good = abs(self.nmbe) < nmbe_limit and self.cv_rmse < cv_limit
        return (
            f"The line {'keeps' if good else 'misses'} the limits of ASHRAE Guideline 14 for "
            f"{'monthly' if data == 'monthly' else 'hourly'} data: CV(RMSE) {100 * self.cv_rmse:.0f} % "
            f"(below {100 * cv_limit:.0f} %), NMBE {100 * self.nmbe:.1f} % (below {100 * nmbe_limit:.0f} %)."
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
    known = np.isfinite(use)
    if known.sum() < FEWEST:
        raise SignatureError(f"{int(known.sum())} periods with a use; a line needs at least {FEWEST}")
    days = (end - begin).astype(float)
    x = degree_days_a_day(mean_c, begin[known], end[known], bases)
    y, days = use[known] / days[known], days[known]
    if method is None:
        method = "ols" if np.all(days == days[0]) else "wls"
    weight = np.ones(len(y)) if method == "ols" else days
    good, adjusted_r2 = _all_lines(y, x, weight)
    candidates = int(good.sum())
    if not candidates:
        raise SignatureError(
            "no base temperature gives a use that grows with the cold and a use a day above 0; "
            "more periods, winter and summer, are needed"
        )
    best = int(np.argmax(np.where(good, adjusted_r2, -np.inf)))
    high = np.zeros(len(use), dtype=bool)
    high[known] = too_high(y)
    fit = _line(y, x[best], days, method)
    return _result(method, float(bases[best]), fit, y, x[best], days, candidates, high)


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
    return _result(method, math.nan, fit, y, x, days, 1, too_high(y))


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
    import statsmodels.api as sm

    if np.ptp(x) <= 0:
        return None
    design = np.column_stack([np.ones(len(x)), x])
    if method == "ols":
        return sm.OLS(y, design).fit()
    if method == "wls":
        return sm.WLS(y, design, weights=days).fit()
    first = sm.WLS(y, design, weights=days).fit()
    e = first.resid * np.sqrt(days)
    rho = float(np.clip(e[1:] @ e[:-1] / max(e @ e, 1e-12), -0.95, 0.95))
    apart = np.abs(np.subtract.outer(np.arange(len(y)), np.arange(len(y))))
    return sm.GLS(y, design, sigma=rho**apart / np.sqrt(np.outer(days, days))).fit()


def _result(
    method: Method,
    base_c: float,
    fit: Any,
    y: Floats,
    x: Floats,
    days: Floats,
    candidates: int,
    high: NDArray[np.bool_],
) -> ClassicalFit:
    residuals = y - fit.params[0] - fit.params[1] * x
    n, mean = len(y), float(np.average(y, weights=days))
    weight = days / days.mean()
    return ClassicalFit(
        method=method,
        base_c=base_c,
        per_day=float(fit.params[0]),
        per_degree_day=float(fit.params[1]),
        per_day_se=float(fit.bse[0]),
        per_degree_day_se=float(fit.bse[1]),
        sigma=math.sqrt(float(residuals @ (weight * residuals)) / (n - 2)),
        r2=float(fit.rsquared),
        adjusted_r2=float(fit.rsquared_adj),
        cv_rmse=math.sqrt(float(residuals @ (weight * residuals)) / (n - 2)) / mean if mean > 0 else math.nan,
        nmbe=float(residuals @ weight) / (n - 2) / mean if mean > 0 else math.nan,
        periods=n,
        candidates=candidates,
        high=high,
        residuals=residuals,
    )

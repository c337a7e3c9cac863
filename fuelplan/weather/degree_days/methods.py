"""Every method by name: the data it needs, what it does in a sentence, its source; and one way to use it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from fuelplan.messages import Listed, Message, Own, Quantity, Refusal, message
from fuelplan.weather.degree_days import daily, indoor, monthly
from fuelplan.weather.degree_days.daily import Floats
from fuelplan.weather.degree_days.sums import Period, Periods, by_period

Needs = Literal["mean", "min and max", "hours"]
DEFAULT = "daily-mean"


@dataclass(frozen=True)
class DayData:
    """The record a method works on; shapes (days,), and (days, 24) for hours; NaN where missing. [degC]"""

    first_day: date
    mean_c: Floats
    min_c: Floats | None = None
    max_c: Floats | None = None
    hourly_c: Floats | None = None


@dataclass(frozen=True)
class Method:
    """One published method.

    Attributes
    ----------
    name
        As written on the command line.
    needs
        The data it needs of each day.
    monthly
        Whether it gives whole months, not days.
    base
        Whether it takes a base temperature; False where the method fixes its own temperatures.
    says
        What it does, in one sentence for anyone.
    source
        Where it comes from.
    compute
        (record, base_c) → daily degree-days, shape (days,); for a monthly method the sums by month.
    """

    name: str
    needs: Needs
    monthly: bool
    base: bool
    says: Message
    source: Message
    compute: Callable[[DayData, float], Floats | Periods]


@dataclass(frozen=True)
class _Months:
    """The months of a record: known days, their mean and standard deviation, month 0 to 11; shapes
    (months,).
    """

    sums: Periods
    known: Floats
    mean_c: Floats
    sd_c: Floats
    calendar: NDArray[np.int64]


def _months(data: DayData) -> _Months:
    """Sum a record up by months."""
    sums = by_period(data.first_day, data.mean_c, "month")
    known = (sums.days - sums.missing).astype(np.float64)
    mean = sums.values / np.where(known > 0, known, np.nan)
    month_of = np.repeat(np.arange(len(known)), sums.days)
    squares = by_period(data.first_day, (data.mean_c - mean[month_of]) ** 2, "month").values
    sd = np.sqrt(squares / np.where(known > 1, known - 1, np.nan))
    return _Months(sums, known, mean, sd, sums.start.astype("datetime64[M]").astype(np.int64) % 12)


def _by_month(formula: Callable[[_Months, float], Floats]) -> Callable[[DayData, float], Periods]:
    """Make a method of a monthly formula; only known days count, and a month without result is missing."""

    def compute(data: DayData, base_c: float) -> Periods:
        months = _months(data)
        values = formula(months, base_c)
        missing = np.where(np.isnan(values), months.sums.days, months.sums.missing)
        return Periods(months.sums.start, values, months.sums.days, missing)

    return compute


def _erbs(months: _Months, base_c: float) -> Floats:
    """Apply the formula of Erbs; the spread is that of the twelve calendar months over all years."""
    known = np.isfinite(months.mean_c)
    count = np.bincount(months.calendar[known], minlength=12)
    if (count == 0).any():
        raise Refusal(
            message(
                "degree_days.needs_all_months",
                'the method "erbs" needs the mean of each of the twelve months; use "hitchin" otherwise',
            )
        )
    usual_c = np.bincount(months.calendar[known], weights=months.mean_c[known], minlength=12) / count
    return monthly.heating_erbs(months.mean_c, months.known, base_c, sd_of_months_c=usual_c.std())


def _max_min(data: DayData, name: str) -> tuple[Floats, Floats]:
    """Return the lowest and highest temperatures of a record that has them."""
    if data.min_c is None or data.max_c is None or np.isnan(data.min_c + data.max_c).all():
        raise Refusal(
            message(
                "degree_days.needs_lowest_and_highest",
                'the method "{method}" needs the lowest and highest temperature of each day; use "{other}"',
                method=Own(name),
                other=Own(DEFAULT),
            )
        )
    return data.min_c, data.max_c


def _hours(data: DayData) -> Floats:
    """Return the hourly temperatures of a record that has them."""
    if data.hourly_c is None or np.isnan(data.hourly_c).all():
        raise Refusal(
            message(
                "degree_days.needs_hours",
                'the method "hourly" needs hourly temperatures; use "{other}"',
                other=Own(DEFAULT),
            )
        )
    return data.hourly_c


def _c(value: float) -> Quantity:
    return Quantity.written(value, "degC")


_ALL = (
    Method(
        DEFAULT,
        "mean",
        False,
        True,
        message(
            "degree_days.says_daily_mean",
            "Base less the mean temperature of each day, where that is above zero.",
        ),
        message("degree_days.source_daily_mean", "ASHRAE Handbook of Fundamentals 2021, chapter 14"),
        lambda data, base: daily.heating_from_mean(data.mean_c, base),
    ),
    Method(
        "hourly",
        "hours",
        False,
        True,
        message(
            "degree_days.says_hourly",
            "The same hour by hour, averaged over the day: mild days with cold nights count, too.",
        ),
        message("degree_days.source_hourly", "ISO 15927-6:2007"),
        lambda data, base: daily.heating_from_hours(_hours(data), base),
    ),
    Method(
        "max-min",
        "min and max",
        False,
        True,
        message(
            "degree_days.says_max_min",
            "Four rules that guess the hours below the base from the day's lowest and highest temperature.",
        ),
        message("degree_days.source_max_min", "UK Met Office rules as printed by Met Éireann"),
        lambda data, base: daily.heating_from_max_min(*_max_min(data, "max-min"), base),
    ),
    Method(
        "middle",
        "min and max",
        False,
        True,
        message(
            "degree_days.says_middle",
            "Base less the middle between the day's lowest and highest temperature.",
        ),
        message("degree_days.source_middle", "common practice"),
        lambda data, base: daily.heating_from_middle(*_max_min(data, "middle"), base),
    ),
    Method(
        "us-whole-degrees",
        "min and max",
        False,
        True,
        message(
            "degree_days.says_us_whole_degrees",
            "The middle between lowest and highest in whole degrees Fahrenheit, rounded half up.",
        ),
        message("degree_days.source_us_whole_degrees", "US National Weather Service, form F-6"),
        lambda data, base: daily.heating_us(*_max_min(data, "us-whole-degrees"), base),
    ),
    Method(
        "indoor-20-15",
        "mean",
        False,
        False,
        message(
            "degree_days.says_indoor_20_15",
            "{indoor} less the day's mean, on days with a mean below {limit}.",
            indoor=_c(20),
            limit=_c(15),
        ),
        message("degree_days.source_indoor_20_15", "VDI 3807"),
        lambda data, base: indoor.indoor_20_15(data.mean_c),
    ),
    Method(
        "indoor-20-12",
        "mean",
        False,
        False,
        message(
            "degree_days.says_indoor_20_12",
            "{indoor} less the day's mean, on days with a mean below {limit}.",
            indoor=_c(20),
            limit=_c(12),
        ),
        message("degree_days.source_indoor_20_12", "SIA 381/3"),
        lambda data, base: indoor.indoor_20_12(data.mean_c),
    ),
    Method(
        "indoor-18-15",
        "mean",
        False,
        False,
        message(
            "degree_days.says_indoor_18_15",
            "{indoor} less the day's mean, on days with a mean of {limit} or less.",
            indoor=_c(18),
            limit=_c(15),
        ),
        message("degree_days.source_indoor_18_15", "Eurostat's definition (from memory)"),
        lambda data, base: indoor.indoor_18_15(data.mean_c),
    ),
    Method(
        "hitchin",
        "mean",
        True,
        True,
        message("degree_days.says_hitchin", "A formula for a month of which only the mean is known."),
        message("degree_days.source_hitchin", "Hitchin's formula, CIBSE TM41 (formula from memory)"),
        _by_month(lambda m, base: monthly.heating_hitchin(m.mean_c, m.known, base)),
    ),
    Method(
        "erbs",
        "mean",
        True,
        True,
        message(
            "degree_days.says_erbs",
            "A formula for the twelve months of a year of which only the means are known.",
        ),
        message("degree_days.source_erbs", "Erbs, Klein and Beckman 1983 (formula from memory)"),
        _by_month(_erbs),
    ),
    Method(
        "iso-monthly",
        "mean",
        True,
        True,
        message(
            "degree_days.says_iso_monthly",
            "A formula for a month of which the mean and the spread of the days are known.",
        ),
        message(
            "degree_days.source_iso_monthly",
            "ISO 15927-6:2007 form, ASHRAE Handbook of Fundamentals 2021, chapter 14",
        ),
        _by_month(lambda m, base: monthly.heating_iso(m.mean_c, m.sd_c, m.known, base)),
    ),
    Method(
        "normal",
        "mean",
        True,
        True,
        message(
            "degree_days.says_normal",
            "The same for days that scatter about the mean by the normal distribution.",
        ),
        message(
            "degree_days.source_normal",
            "Schoenau and Kehrig 1990, ASHRAE Handbook of Fundamentals 2021, chapter 14",
        ),
        _by_month(lambda m, base: monthly.heating_normal(m.mean_c, m.sd_c, m.known, base)),
    ),
)

METHODS: dict[str, Method] = {method.name: method for method in _ALL}
"""Every method by the name it has on the command line."""


def degree_days(data: DayData, base_c: float, *, method: str = DEFAULT, by: Period = "month") -> Periods:
    """Degree-days of a record by a named method, summed by day, month or year.

    Parameters
    ----------
    data
        The daily record.
    base_c
        Base temperature; not used by the methods that fix their own. [degC]
    method
        A name in `METHODS`.
    by
        "day", "month" or "year"; a monthly method gives no days.

    Returns
    -------
    Periods
        Sums with the number of days missing from each.

    Raises
    ------
    Refusal
        For an unknown method, data the method needs and the record has not, or days of a monthly method.
    ValueError
        For an unknown period.
    """
    if method not in METHODS:
        raise Refusal(
            message(
                "degree_days.unknown_method",
                '"{method}" is not a method; write one of {methods}',
                method=Own(method),
                methods=Listed(tuple(map(Own, METHODS)), ", "),
            )
        )
    chosen = METHODS[method]
    if chosen.monthly and by == "day":
        raise Refusal(
            message(
                "degree_days.gives_months",
                'the method "{method}" gives whole months, not days; write "--by month" or use "{other}"',
                method=Own(method),
                other=Own(DEFAULT),
            )
        )
    values = chosen.compute(data, base_c)
    if not isinstance(values, Periods):
        return by_period(data.first_day, values, by)
    return values if by == "month" else _years(values)


def _years(months: Periods) -> Periods:
    """Sum months to years."""
    years, inverse = np.unique(months.start.astype("datetime64[Y]"), return_inverse=True)
    size = len(years)
    days = np.bincount(inverse, weights=months.days, minlength=size).astype(np.int64)
    missing = np.bincount(inverse, weights=months.missing, minlength=size).astype(np.int64)
    sums = np.bincount(inverse, weights=np.nan_to_num(months.values), minlength=size)
    return Periods(years.astype("datetime64[D]"), np.where(missing == days, np.nan, sums), days, missing)

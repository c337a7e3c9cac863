"""Degree-days by every published method: pure functions on arrays. A missing day never counts as zero."""

from fuelplan.weather.degree_days.daily import (
    half_up,
    heating_from_hours,
    heating_from_max_min,
    heating_from_mean,
    heating_from_middle,
    heating_us,
    heating_whole_fahrenheit,
)
from fuelplan.weather.degree_days.indoor import (
    heating_day,
    indoor_18_15,
    indoor_20_12,
    indoor_20_15,
    indoor_referenced,
)
from fuelplan.weather.degree_days.methods import DEFAULT, METHODS, DayData, Method, degree_days
from fuelplan.weather.degree_days.monthly import (
    erbs_spread,
    heating_erbs,
    heating_hitchin,
    heating_iso,
    heating_normal,
)
from fuelplan.weather.degree_days.sums import Period, Periods, by_period

__all__ = [
    "DEFAULT",
    "METHODS",
    "DayData",
    "Method",
    "Period",
    "Periods",
    "by_period",
    "degree_days",
    "erbs_spread",
    "half_up",
    "heating_day",
    "heating_erbs",
    "heating_from_hours",
    "heating_from_max_min",
    "heating_from_mean",
    "heating_from_middle",
    "heating_hitchin",
    "heating_iso",
    "heating_normal",
    "heating_us",
    "heating_whole_fahrenheit",
    "indoor_18_15",
    "indoor_20_12",
    "indoor_20_15",
    "indoor_referenced",
]

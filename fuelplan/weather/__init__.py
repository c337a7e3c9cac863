"""Weather as the house uses it: records with provenance, gaps, blending, many possible winters. No input or
output."""

from fuelplan.weather.clock import ClockShift, clock_shifts
from fuelplan.weather.gaps import GapReport, WeatherTooThin, fill_gaps
from fuelplan.weather.place_seasons import PlaceSeasons, place_seasons
from fuelplan.weather.record import LOTS, DailyWeather, Forecast, Origin, Place, Source, Winters
from fuelplan.weather.seasons import Trend, coldest_window, monthly_means, usual_days, usual_year
from fuelplan.weather.steady import steady_normals
from fuelplan.weather.winters import TooLittleWeather, possible_winters

__all__ = [
    "LOTS",
    "ClockShift",
    "DailyWeather",
    "Forecast",
    "GapReport",
    "Origin",
    "Place",
    "PlaceSeasons",
    "Source",
    "TooLittleWeather",
    "Trend",
    "WeatherTooThin",
    "Winters",
    "clock_shifts",
    "coldest_window",
    "fill_gaps",
    "monthly_means",
    "place_seasons",
    "possible_winters",
    "steady_normals",
    "usual_days",
    "usual_year",
]

"""From a request to a record, with a fall-back where the first source has nothing."""

from __future__ import annotations

from datetime import date

from fuelplan.weather.record import Place
from fuelplan.weather_sources.csv_file import load_csv
from fuelplan.weather_sources.epw_file import load_epw
from fuelplan.weather_sources.monthly import load_monthly
from fuelplan.weather_sources.requests import (
    FileRequest,
    Loaded,
    MonthlyRequest,
    Progress,
    Request,
)


def load(
    request: Request, place: Place, *, as_of: date | None = None, progress: Progress | None = None
) -> Loaded:
    """Return the weather asked for, nothing in it dated after `as_of`.

    Parameters
    ----------
    request
        Which source, and how.
    place
        Where; its time zone decides what a day is.
    as_of
        Nothing dated later is read, save a forecast that had been issued by then. None: everything there is.
    progress
        Told in a few words what is being fetched.

    Raises
    ------
    WeatherFault
        If a file cannot be used as it is.
    WeatherUnavailable
        If the weather cannot be had now.
    """
    if isinstance(request, FileRequest):
        kind = request.kind or ("epw" if request.path.suffix.lower() == ".epw" else "csv")
        return load_epw(request, place, as_of) if kind == "epw" else load_csv(request, place, as_of)
    if isinstance(request, MonthlyRequest):
        return load_monthly(request, place)
    from fuelplan.weather_sources.meteostat_source import load_meteostat

    return load_meteostat(request, place, as_of, progress)

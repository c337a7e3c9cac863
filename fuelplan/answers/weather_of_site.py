"""The weather of a site: loaded by what its folder asks for, then as it was known on the evening of a day."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import date, timedelta

import numpy as np

from fuelplan import units
from fuelplan.site import Fault, Site
from fuelplan.site.as_rooms import place_of
from fuelplan.weather import DailyWeather, Forecast, Origin, fill_gaps, usual_year
from fuelplan.weather_sources import FileRequest, Loaded, MeteostatRequest, MonthlyRequest, WeatherFault, WeatherUnavailable, load
from fuelplan.weather_sources.requests import Request

Progress = Callable[[str], None]

OLD_AFTER_DAYS = 3  # weather older than this against the day asked is worth saying


@dataclass(frozen=True)
class SiteWeather:
    """Weather for one site.

    Attributes
    ----------
    record
        As loaded, gaps and all.
    weather
        Without gaps and reaching to the day asked, where it was made by :func:`known_weather`.
    forecast
        Issued by the day asked, if there is one.
    notes
        What the person should know about it.
    """

    record: DailyWeather
    weather: DailyWeather
    forecast: Forecast | None
    notes: tuple[str, ...]


def weather_for(site: Site, as_of: date | None = None, progress: Progress | None = None) -> SiteWeather:
    """Return the weather that a folder asks for.

    Raises
    ------
    WeatherFault
        Where a weather file cannot be used.
    WeatherUnavailable
        Where the weather cannot be had and there is no fall-back.
    """
    table = site.table.weather
    try:
        loaded = _load(site, table.source, as_of, progress)
    except WeatherUnavailable as error:
        if table.fallback is None:
            raise
        loaded = _load(site, table.fallback, as_of, progress)
        loaded = replace(loaded, notes=(f"The first weather source could not be had ({error}); the fall-back serves.", *loaded.notes))
    record = loaded.weather
    if table.invented:
        origin = np.where(record.origin == Origin.OBSERVED, Origin.INVENTED, record.origin).astype(np.uint8)
        record = replace(record, origin=origin)
    return SiteWeather(record, record, loaded.forecast, loaded.notes)


def check_weather(site: Site) -> list[Fault]:
    """Return the faults of a folder's own weather file; sources on the network are not asked."""
    table = site.table.weather
    if "file" not in {table.source, table.fallback} or table.file is None or not (site.path / table.file).is_file():
        return []
    try:
        _load(site, "file", None, None)
    except WeatherFault as error:
        return [Fault(table.file, fault.line or None, fault.column, fault.message) for fault in error.faults]
    return []


def request_of(site: Site, source: str, as_of: date | None) -> Request:
    """Return the request for one of the sources a folder can name."""
    table = site.table.weather
    if source == "file":
        assert table.file is not None  # the model of the file makes sure
        name = "invented weather" if table.invented else table.file
        return FileRequest(
            path=site.path / table.file,
            columns=dict(table.columns) or None,
            unit=table.unit,
            name=name,
            licence=table.licence,
            attribution=table.attribution,
        )
    if source == "monthly":
        assert table.monthly_means_c is not None
        return MonthlyRequest(mean_c=table.monthly_means_c)
    return MeteostatRequest(first_day=date(table.first_year, 1, 1), last_day=as_of, stations=table.stations)


def _load(site: Site, source: str, as_of: date | None, progress: Progress | None) -> Loaded:
    return load(request_of(site, source, as_of), place_of(site.table.place), as_of=as_of, progress=progress)


def known_weather(site: Site, given: DailyWeather | SiteWeather, as_of: date) -> SiteWeather:
    """Return the weather known on the evening of `as_of`: cut there, gaps filled and marked, and reaching to that day.

    Raises
    ------
    WeatherTooThin
        Where too much is missing.
    ValueError
        Where the record begins after `as_of`.
    """
    found = given if isinstance(given, SiteWeather) else SiteWeather(given, given, None, ())
    notes = list(found.notes)
    record = found.record
    if record.reference_year:
        return SiteWeather(record, record, found.forecast, tuple(notes))
    record = record.until(as_of)
    if len(record) == 0:
        raise ValueError(
            f"the weather record begins on {found.record.first_day}, after the day asked ({as_of}); give older weather or a later day"
        )
    weather, report = fill_gaps(record)
    notes += report.notes
    missing = (as_of - weather.last_day).days
    if missing > 0:
        weather = _usual_to(weather, as_of)
        if missing > OLD_AFTER_DAYS:
            notes.append(
                f"The weather record ends on {units.show_date(record.last_day, year=True)}; for the {missing} days since then usual "
                "weather is taken."
            )
    forecast = found.forecast if found.forecast is not None and found.forecast.issued_on <= as_of else None
    return SiteWeather(record, weather, forecast, tuple(notes))


def _usual_to(weather: DailyWeather, day: date) -> DailyWeather:
    """Return the record with the usual weather of the season up to `day`, marked so."""
    extra = (day - weather.last_day).days
    usual = usual_year(weather)
    dates = [weather.last_day + timedelta(days=i + 1) for i in range(extra)]
    by_day = {(d.month, d.day): i for i, d in enumerate(usual.dates.tolist())}
    at = [by_day.get((d.month, d.day), by_day[(2, 28)]) for d in dates]
    unknown = np.full(extra, np.nan)

    def longer(values: np.ndarray, more: np.ndarray) -> np.ndarray:
        return np.concatenate([values, more])

    return replace(
        weather,
        mean_c=longer(weather.mean_c, usual.mean_c[at]),
        min_c=longer(weather.min_c, unknown),
        max_c=longer(weather.max_c, unknown),
        humidity_pct=longer(weather.humidity_pct, unknown),
        origin=longer(weather.origin, np.full(extra, Origin.USUAL, np.uint8)),
        source=longer(weather.source, np.full(extra, weather.source[-1], np.uint8)),
        hourly_c=None if weather.hourly_c is None else np.concatenate([weather.hourly_c, np.full((extra, 24), np.nan)]),
    )

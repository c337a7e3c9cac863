"""The weather of a site: loaded by what its folder asks for, then as it was known on the evening of a day."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import date, timedelta
from pathlib import Path
from typing import Protocol

import numpy as np

from fuelplan.messages import Day, Listed, Message, Percent, Refusal, Said, as_message, message
from fuelplan.records.schema import PlaceTable, WeatherTable
from fuelplan.records.site import (
    Site,
    load_doubts,
    named_file_faults,
    place_of,
    plausible_faults,
    stack_doubts,
    with_lines_of,
)
from fuelplan.records.tables import Fault
from fuelplan.weather import DailyWeather, Forecast, Origin, WeatherTooThin, fill_gaps, usual_year
from fuelplan.weather.sources import (
    FileRequest,
    MeteostatRequest,
    MonthlyRequest,
    Request,
    load,
    load_with_fallback,
)
from fuelplan.weather.sources import WeatherFault as WeatherFault
from fuelplan.weather.sources import WeatherUnavailable as WeatherUnavailable

Progress = Callable[[Said], None]

INVENTED = message("weather.invented", "Worked out with invented weather: do not act on it.")
INVENTED_NAME = message("weather.invented_name", "invented weather")

OLD_AFTER_DAYS = 3  # weather older than this against the day asked is worth saying


def if_invented(invented: bool) -> tuple[Message, ...]:
    """Return what an answer says first where its weather is made up; nothing else."""
    return (INVENTED,) if invented else ()


def invented_headline(headline: Message, invented: bool) -> Message:
    """Return a headline; where the weather behind it is made up, that is said before it."""
    if not invented:
        return headline
    return message(
        "weather.invented_headline", "Invented weather, so only a try. {headline}", headline=headline
    )


def invented_title(title: Message) -> Message:
    """Return the title of an entry in a calendar that rests on invented weather."""
    return message("calendar.invented_title", "Invented weather: {title}", title=title)


class WeatherKeys(Protocol):
    """What weather is asked for, and for where."""

    @property
    def place(self) -> PlaceTable:
        """Where it is."""

    @property
    def weather(self) -> WeatherTable:
        """Which weather."""


class WeatherFolder(Protocol):
    """A site, or one area of a round: the folder of its weather files, and what it asks for."""

    @property
    def beside(self) -> Path:
        """The folder of the files that its settings name."""

    @property
    def table(self) -> WeatherKeys:
        """Place and weather as the folder has them."""


@dataclass(frozen=True)
class SiteWeather:
    """Weather for one site.

    Attributes
    ----------
    record
        As loaded, gaps and all.
    weather
        Without gaps and reaching to the day asked, where it was made by :func:`known_weather`; a reference
        year is laid over
        the dates.
    forecast
        Issued by the day asked, if there is one.
    notes
        What the person should know about it.
    shortfall
        What a weather server did not send of what it was asked for; None where that is not so.
    """

    record: DailyWeather
    weather: DailyWeather
    forecast: Forecast | None
    notes: tuple[Message, ...]
    shortfall: Message | None = None

    @property
    def invented(self) -> bool:
        """Whether any of its days are made up."""
        return bool((self.record.origin == Origin.INVENTED).any())

    @property
    def for_winters(self) -> DailyWeather:
        """The record that possible winters are made from."""
        return self.record if self.record.reference_year else self.weather


def weather_for(
    site: WeatherFolder, as_of: date | None = None, progress: Progress | None = None, *, refetch: bool = False
) -> SiteWeather:
    """Return the weather that a folder asks for.

    Parameters
    ----------
    refetch
        Ask a weather server for all of it anew, instead of using what is stored; files are read anew anyway.

    Raises
    ------
    WeatherFault
        Where a weather file cannot be used.
    WeatherUnavailable
        Where the weather cannot be had and there is no fall-back.
    """
    table = site.table.weather
    sources = [table.source, *([table.fallback] if table.fallback is not None else [])]
    requests = [request_of(site, source, as_of, refetch=refetch) for source in sources]
    place = place_of(site.table.place)
    if len(requests) == 1:
        loaded = load(requests[0], place, as_of=as_of, progress=progress)
    else:
        loaded = load_with_fallback(requests, place, as_of=as_of, progress=progress)
    record = loaded.weather
    _refuse_holes(site, record)
    if table.invented:
        record = _marked_invented(record)
    return SiteWeather(record, record, loaded.forecast, loaded.notes, loaded.shortfall)


def sources_said(record: DailyWeather) -> Message:
    """Return what the sources of a record are known by."""
    names = tuple(as_message(source.name) for source in record.sources)
    return names[0] if len(names) == 1 else message("weather.sources", "{names}", names=Listed(names, "; "))


def attributions(record: DailyWeather) -> str:
    """Return what those whose data it is ask to be said, in their words."""
    return "; ".join(dict.fromkeys(s.attribution for s in record.sources if s.attribution))


def _marked_invented(record: DailyWeather) -> DailyWeather:
    """Return the record with the days that come from the folder's own figures marked as made up.

    Days that a station server gave are what was measured, whatever the folder says of its fall-back.
    """
    own = [i for i, source in enumerate(record.sources) if source.invented]
    made_up = np.isin(record.source, own) & (record.origin != Origin.MISSING)
    return replace(record, origin=np.where(made_up, Origin.INVENTED, record.origin).astype(np.uint8))


def check_weather(site: WeatherFolder) -> list[Fault]:
    """Return the faults of a folder's own weather file; sources on the network are not asked."""
    table = site.table.weather
    if "file" not in {table.source, table.fallback} or table.file is None:
        return []
    if named_file_faults(site.beside, "", "", table.file):
        return []  # the folder's check names it; nothing outside the folder is opened
    try:
        _refuse_holes(site, load(request_of(site, "file", None), place_of(site.table.place)).weather)
    except WeatherFault as error:
        return [replace(fault, file=table.file) for fault in error.faults]
    return []


def check_plausible(site: Site) -> list[Fault]:
    """Return the figures of a house that do not belong together but are used all the same, as warnings; the
    weather is looked at where no network is needed for it.
    """
    table, mean_c = site.table.weather, None
    if table.source != "meteostat" and not check_weather(site):
        mean_c = load(request_of(site, table.source, None), place_of(site.table.place)).weather.mean_c
    found = [*plausible_faults(site, mean_c), *stack_doubts(site), *load_doubts(site.table)]
    return with_lines_of(site.path, [replace(fault, warning=True) for fault in found])


def _refuse_holes(site: WeatherFolder, record: DailyWeather) -> None:
    """Raise where a reference year has no temperature for a day: no other year could lend it one."""
    if not record.reference_year or site.table.weather.file is None:
        return
    held = {(d.month, d.day) for d, c in zip(record.dates.tolist(), record.mean_c, strict=True) if c == c}
    days = [date(2001, 1, 1) + timedelta(days=i) for i in range(365)]
    holes = [day for day in days if (day.month, day.day) not in held]
    if holes:
        said = message(
            "weather_file.reference_year_holes",
            "a reference year needs all of its days; {count} have no temperature, the first {first}",
            count=len(holes),
            first=Day(holes[0]),
        )
        path = site.beside / site.table.weather.file
        raise WeatherFault(path, [Fault(path.name, None, "", said)])


def request_of(site: WeatherFolder, source: str, as_of: date | None, *, refetch: bool = False) -> Request:
    """Return the request for one of the sources a folder can name."""
    table = site.table.weather
    if source == "file":
        assert table.file is not None  # the model of the file makes sure
        return FileRequest(
            path=site.beside / table.file,
            columns=dict(table.columns) or None,
            unit=table.unit,
            decimal=table.decimal,
            date_format=table.date_format,
            clock=table.clock,
            name=INVENTED_NAME if table.invented else table.file,
            licence=table.licence,
            attribution=table.attribution,
            invented=table.invented,
            folder=site.beside,
        )
    if source == "monthly":
        assert table.monthly_means_c is not None
        means = MonthlyRequest(mean_c=table.monthly_means_c)
        return replace(means, name=INVENTED_NAME, invented=True) if table.invented else means
    return MeteostatRequest(
        first_day=date(table.first_year, 1, 1),
        last_day=as_of,
        stations=table.stations,
        radius_km=table.radius_km,
        resolution=table.resolution,
        refetch=refetch,
    )


def known_weather(site: Site, given: DailyWeather | SiteWeather, as_of: date) -> SiteWeather:
    """Return the weather known on the evening of `as_of`: cut there, gaps filled and marked, and reaching to
    that day.

    Raises
    ------
    WeatherTooThin
        Where too much is missing.
    WeatherUnavailable
        Where that is because a weather server did not send it.
    Refusal
        Where the record begins after `as_of`.
    """
    found = given if isinstance(given, SiteWeather) else SiteWeather(given, given, None, ())
    notes = list(found.notes)
    record = found.record
    if record.reference_year:
        notes.append(
            message(
                "weather.of_reference_year",
                "The weather is that of a reference year, not of the days since your readings; what was "
                "burned since then is the usual, and no real winters stand behind the range.",
            )
        )
        return SiteWeather(record, _repeated(record, _first_needed(site, as_of), as_of), None, tuple(notes))
    record = record.until(as_of)
    if len(record) == 0:
        raise Refusal(
            message(
                "weather.begins_later",
                "the weather record begins on {first}, after the day asked ({day}); give older weather or a "
                "later day",
                first=Day(found.record.first_day, year=True),
                day=Day(as_of, year=True),
            )
        )
    try:
        weather, report = fill_gaps(record)
    except WeatherTooThin as error:
        if found.shortfall is None:
            raise
        said = message(
            "weather.shortfall",
            "{share} of the days have no weather: {reason}",
            share=Percent(error.missing_share),
            reason=found.shortfall,
        )
        raise WeatherUnavailable(said) from error
    notes += report.notes
    missing = (as_of - weather.last_day).days
    if missing > 0:
        weather = _usual_to(weather, as_of)
        if missing > OLD_AFTER_DAYS:
            notes.append(
                message(
                    "weather.record_ends",
                    "The weather record ends on {day}; for the {days} days since then usual weather is "
                    "taken.",
                    day=Day(record.last_day, year=True),
                    days=missing,
                )
            )
    forecast = found.forecast if found.forecast is not None and found.forecast.issued_on <= as_of else None
    return SiteWeather(record, weather, forecast, tuple(notes))


def _first_needed(site: Site, as_of: date) -> date:
    """Return the evening before the first reading or delivery, and a whole year before the day asked at
    least.
    """
    days = [r.day for r in site.read_by(as_of)] + [
        r.delivered_on for r in site.delivered(as_of) if r.delivered_on is not None
    ]
    return min([*days, as_of - timedelta(days=365)]) - timedelta(days=1)


def _repeated(record: DailyWeather, first: date, last: date) -> DailyWeather:
    """Return the days of a reference year laid over real dates, marked as usual weather."""
    by_day = {(d.month, d.day): i for i, d in enumerate(record.dates.tolist())}
    days = [first + timedelta(days=i) for i in range((last - first).days + 1)]
    at = [by_day.get((d.month, d.day), by_day[(2, 28)]) for d in days]
    return replace(
        record,
        first_day=first,
        mean_c=record.mean_c[at],
        min_c=record.min_c[at],
        max_c=record.max_c[at],
        humidity_pct=record.humidity_pct[at],
        origin=np.full(len(at), Origin.USUAL, np.uint8),
        source=record.source[at],
        hourly_c=None if record.hourly_c is None else record.hourly_c[at],
        spread_c=None if record.spread_c is None else record.spread_c[at],
        reference_year=False,
    )


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
        hourly_c=None
        if weather.hourly_c is None
        else np.concatenate([weather.hourly_c, np.full((extra, 24), np.nan)]),
    )

"""Station weather through the meteostat library and our own store: what is new is fetched, the rest is
read."""

from __future__ import annotations

import time
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

import numpy as np
from numpy.typing import NDArray

from fuelplan.messages import Listed, Message, Own, Quantity, message
from fuelplan.weather.blending import blend, height_correction_c, inverse_distance_weights
from fuelplan.weather.gaps import HIGHEST_C, LOWEST_C
from fuelplan.weather.hours import bridge_short_gaps, daily_from_hourly, local_clock_hours, table_of_days
from fuelplan.weather.record import DailyWeather, Floats, Forecast, Origin, Place, Source
from fuelplan.weather.sources.meteostat_fetch import (
    BOUNDS,
    LATER,
    HostSilent,
    fetch_year,
    look_nearby,
    split_at,
)
from fuelplan.weather.sources.meteostat_visit import LibraryVisit, coverage_notes, nothing, shortfall
from fuelplan.weather.sources.requests import Loaded, MeteostatRequest, Progress, WeatherUnavailable
from fuelplan.weather.sources.store import (
    Fetch,
    Rows,
    Station,
    WeatherStore,
    bounds_of,
    default_path,
    rows_of,
)

SETTLED_DAYS = 45
"""A year fetched this long after its end, with every day in it, is taken as settled. [days]"""

LONGEST_PAUSE_DAYS = 64
"""A year with days missing is asked for again after 1, 2, 4 … days, at last after so many. [days]"""

MOST_REFUSALS = 3
"""So often in a row a server may say no before it is left alone. [answers]"""

STATION_LIST_DAYS = 90
FORECAST_FRESH_DAYS = 4
FORECAST_REACH_DAYS = 12
OFFLINE = message("station.offline", "the network is not to be used")
LOOKING = message("station.looking", "looking for weather stations nearby")
LICENCE = "CC BY 4.0"
ATTRIBUTION = "Meteostat"
EPOCH = date(1970, 1, 1)
MIDDLE_C, HALF_C = (LOWEST_C + HIGHEST_C) / 2, (HIGHEST_C - LOWEST_C) / 2
Flags = NDArray[np.bool_]


def load_meteostat(
    request: MeteostatRequest,
    place: Place,
    as_of: date | None,
    progress: Progress | None,
    today: date | None = None,
) -> Loaded:
    """Return the blended weather of the stations around a place.

    Years never fetched are fetched; the running year once a day; a year that ended more than 45 days before
    it was fetched never again if it came whole, else after ever longer pauses. Without a network the store is
    used as it is, and a note gives its age.

    Parameters
    ----------
    today
        The day of fetching; None: the clock's, in the time zone of the place.

    Raises
    ------
    WeatherUnavailable
        If nothing can be had, with what to do.
    """
    if place.latitude is None or place.longitude is None:
        raise WeatherUnavailable(
            message(
                "station.no_place",
                "weather stations are looked for around a place; give its latitude and longitude",
            )
        )
    today = datetime.now(ZoneInfo(place.time_zone)).date() if today is None else today
    last = min(day for day in (request.last_day, as_of, today) if day is not None)
    if request.first_day > last:
        said = message(
            "station.first_after_last",
            "the first day wanted, {first}, lies after the last, {last}",
            first=Own(str(request.first_day)),
            last=Own(str(last)),
        )
        raise WeatherUnavailable(said)
    visit = LibraryVisit(
        request, place, today, request.first_day, last, time.monotonic() + request.total_s, progress,
        silent=OFFLINE if request.offline else None,
    )  # fmt: skip
    with WeatherStore(request.store_path or default_path()) as store:
        stations = _stations(visit, store)
        _refresh(visit, store, stations)
        loaded = _read(visit, store, stations, as_of)
    return loaded


def _stations(visit: LibraryVisit, store: WeatherStore) -> tuple[Station, ...]:
    """Return the stations to blend, from the store while its list is fresh or the network is silent."""
    place, request = visit.place, visit.request
    key = f"{place.latitude:.3f},{place.longitude:.3f},{request.radius_km:g}"
    kept = store.nearby(key)
    # A list from a day to come was kept while the clock was wrong.
    fresh = kept is not None and 0 <= (visit.today - kept[1]).days <= STATION_LIST_DAYS
    if kept is not None and (visit.silent or (fresh and not request.refetch)):
        return kept[0][: request.stations]
    found: tuple[Station, ...] = ()
    if not visit.silent:
        visit.say(LOOKING)
        try:
            # More than asked: some stations turn out to have no weather for these years.
            found = look_nearby(
                place, request.radius_km, max(12, 3 * request.stations), request.timeout_s, visit.deadline,
                request.slow_s,
            )  # fmt: skip
            store.keep_nearby(key, found, visit.today)
        except HostSilent as error:
            visit.give_up(error.said, error.advice)
    if found or kept is not None:
        return (found or (kept[0] if kept else ()))[: 3 * request.stations]
    if visit.silent:
        raise WeatherUnavailable(
            message(
                "station.none_known",
                "no weather stations are known for this place and none could be looked up ({why}); {advice}, "
                'or use a weather file: source = "file"',
                why=visit.silent,
                advice=visit.advice,
            )
        )
    raise WeatherUnavailable(
        message(
            "station.none_near",
            "there is no weather station within {radius}; widen the radius, or use a weather file",
            radius=Quantity.written(request.radius_km, "km", "g"),
        )
    )


def _years(visit: LibraryVisit) -> range:
    """Return the years to have, the next one too when the forecast reaches into it."""
    reach = visit.today + timedelta(days=FORECAST_REACH_DAYS) if visit.last == visit.today else visit.last
    # Hours by the local clock begin or end in the year before or after by UTC.
    return range(visit.first.year, reach.year + 1)


def _refresh(visit: LibraryVisit, store: WeatherStore, stations: tuple[Station, ...]) -> None:
    """Fetch what is not in the store, station by station, until enough stations have weather."""
    step = visit.request.resolution
    with_weather = 0
    for station in stations:
        if with_weather >= visit.request.stations:
            break
        known = store.fetches(station.id, step)
        for year in _years(visit):
            if not visit.request.refetch and _need_not_ask(known.get(year), year, step, visit.today):
                continue
            if visit.silent or date(year, 1, 1) > visit.today + timedelta(days=FORECAST_REACH_DAYS):
                break
            _fetch_one(visit, store, station, year)
        fetches = store.fetches(station.id, step)
        visit.short |= {y for y in _years(visit) if y in fetches and not _whole(fetches[y], y, step)}
        with_weather += any(fetch.rows > 0 for fetch in fetches.values())


def _whole(fetch: Fetch, year: int, step: str) -> bool:
    """Tell whether every day of a year that has ended is stored."""
    first, last = bounds_of(year, step)
    return fetch.rows > last - first or date(year, 12, 31) >= fetch.fetched_on


def _need_not_ask(fetch: Fetch | None, year: int, step: str, today: date) -> bool:
    """Tell whether a year is as it will stay, or was asked for not long ago."""
    # What was fetched on a day to come was fetched while the clock was wrong: it says nothing.
    if fetch is None or fetch.fetched_on > today:
        return False
    if fetch.fetched_on == today:
        return True
    if fetch.fetched_on <= date(year, 12, 31) + timedelta(days=SETTLED_DAYS):
        return False
    pause = min(2 ** max(fetch.tries - 1, 0), LONGEST_PAUSE_DAYS)
    return _whole(fetch, year, step) or (today - fetch.fetched_on).days < pause


def _fetch_one(visit: LibraryVisit, store: WeatherStore, station: Station, year: int) -> None:
    """Fetch one year of one station and keep it; a file that is not there is remembered, a broken one is
    not."""
    step, request = visit.request.resolution, visit.request
    name = Own(f"{station.name} {year}")
    visit.say(message("station.fetching", "fetching {station}", station=name))
    try:
        found = fetch_year(station, step, year, request.timeout_s, visit.deadline, request.slow_s)
    except HostSilent as error:
        visit.give_up(error.said, error.advice)
        return
    visit.refusals = visit.refusals + 1 if found.refused else 0
    if found.refused is not None and visit.refusals >= MOST_REFUSALS:
        visit.give_up(found.refused, LATER)
    if found.trouble is not None:
        visit.notes.append(found.trouble)
        visit.short.add(year)
        return
    if found.left_out:
        visit.notes.append(
            message(
                "station.values_left_out",
                "{station}: {count} values outside of {range} were left out.",
                station=name,
                count=found.left_out,
                range=BOUNDS,
            )
        )
    rows, forecast = (
        (rows_of([]), rows_of([])) if found.rows is None else split_at(found.rows, visit.today, step)
    )
    store.keep_year(
        station.id, step, year, rows, forecast, visit.today, found.attribution, instead=request.refetch
    )


@dataclass(frozen=True)
class _Blend:
    """Blended values over a span: temperatures, humidity, and whether observed, each of the shape (n,)."""

    temp_c: Floats
    min_c: Floats
    max_c: Floats
    humidity_pct: Floats
    observed: Flags


def _read(
    visit: LibraryVisit, store: WeatherStore, stations: tuple[Station, ...], as_of: date | None
) -> Loaded:
    step, per_day = visit.request.resolution, 1 if visit.request.resolution == "daily" else 24
    first = (visit.first - EPOCH).days * per_day - (per_day > 1) * 24
    last = ((visit.last - EPOCH).days + 1) * per_day - 1 + (per_day > 1) * 24
    pairs = [(station, store.read(station.id, step, first, last)) for station in stations]
    pairs = [(station, rows) for station, rows in pairs if len(rows)][: visit.request.stations]
    if not pairs:
        raise WeatherUnavailable(nothing(visit))
    used = tuple(station for station, _ in pairs)
    mixed = _blended(used, [rows for _, rows in pairs], first, last, visit.place)
    source = _source(store, used, step)
    weather = _daily(visit, mixed, source) if step == "daily" else _from_hours(visit, mixed, first, source)
    oldest = min(
        (fetch.fetched_on for station in used for year, fetch in store.fetches(station.id, step).items()
         if year == visit.last.year), default=None,
    )  # fmt: skip
    forecast = _forecast(visit, store, used, source)
    notes = (*visit.notes, *coverage_notes(visit, weather, oldest, len(used)))
    return Loaded(weather, forecast, notes, shortfall(visit))


def _blended(stations: tuple[Station, ...], rows: list[Rows], first: int, last: int, place: Place) -> _Blend:
    """Blend the stations' rows; a model's value counts only at times when no station has an observation."""
    n = last - first + 1
    tables = np.full((4, len(rows), n), np.nan)
    observed = np.zeros((len(rows), n), dtype=np.bool_)
    for i, row in enumerate(rows):
        at = row.at - first
        for j, values in enumerate((row.temp_c, row.min_c, row.max_c, row.humidity_pct)):
            # A store of an older program may hold what is impossible.
            tables[j, i, at] = values
            if j < 3:
                tables[j, i, at[abs(values - MIDDLE_C) > HALF_C]] = np.nan
        observed[i, at] = ~row.model & np.isfinite(tables[0, i, at])
    any_observed: Flags = np.asarray(observed.any(axis=0))
    tables[:, ~observed & any_observed] = np.nan
    weights = inverse_distance_weights(np.array([station.distance_km for station in stations]))
    heights = np.array([np.nan if s.elevation_m is None else s.elevation_m for s in stations])
    lift = height_correction_c(heights, place.elevation_m)
    temp, low, high = (blend(table, weights, lift) for table in tables[:3])
    return _Blend(temp, low, high, blend(tables[3], weights, steady=False), any_observed)


def _source(store: WeatherStore, stations: tuple[Station, ...], step: str) -> Source:
    said = sorted(
        {part.strip() for station in stations for fetch in store.fetches(station.id, step).values()
         for part in fetch.attribution.split(",") if part.strip()} - {ATTRIBUTION}
    )  # fmt: skip
    names = Listed(tuple(map(_named, stations)), ", ")
    name = message("station.sources", "weather stations {names}", names=names)
    return Source(name, LICENCE, ", ".join([ATTRIBUTION, *said]))


def _named(station: Station) -> Message:
    return message(
        "station.at_distance",
        "{name} ({distance})",
        name=Own(station.name),
        distance=Quantity.written(station.distance_km, "km"),
    )


def _daily(visit: LibraryVisit, mixed: _Blend, source: Source) -> DailyWeather:
    return _record(visit.first, mixed, None, visit.place, source)


def _from_hours(visit: LibraryVisit, mixed: _Blend, first: int, source: Source) -> DailyWeather:
    """Put blended UTC hours into local days; a day is observed if most of its hours are."""
    at = np.arange(first, first + len(mixed.temp_c))
    clock = local_clock_hours(at, visit.place.time_zone)
    start, table = table_of_days(clock, mixed.temp_c)
    _, humidity = table_of_days(clock, mixed.humidity_pct)
    size = len(table)
    share = table_of_days(clock, mixed.observed.astype(np.float64))[1]
    table = bridge_short_gaps(table)
    mean, low, high = daily_from_hourly(table)
    days = _Blend(
        mean, low, high, daily_from_hourly(humidity)[0], np.asarray(np.nanmean(share, axis=1) >= 0.5)
    )
    record = _record(start, days, table, visit.place, source)
    assert len(record) == size
    return record.between(visit.first, visit.last)


def _record(first: date, days: _Blend, hourly: Floats | None, place: Place, source: Source) -> DailyWeather:
    known = np.isfinite(days.temp_c)
    origin = np.where(known, np.where(days.observed, Origin.OBSERVED, Origin.MODEL), Origin.MISSING)
    return DailyWeather(
        first, days.temp_c, days.min_c, days.max_c, days.humidity_pct, origin.astype(np.uint8),
        np.zeros(len(known), np.uint8), (source,), place, hourly,
    )  # fmt: skip


def _forecast(
    visit: LibraryVisit, store: WeatherStore, stations: tuple[Station, ...], source: Source
) -> Forecast | None:
    """Return the newest forecast fetched by the last day wanted, if it is at most four days old."""
    step, per_day = visit.request.resolution, 1 if visit.request.resolution == "daily" else 24
    for text in store.forecast_days(tuple(station.id for station in stations), step, visit.last):
        issued = date.fromisoformat(text)
        if (visit.last - issued).days > FORECAST_FRESH_DAYS:
            return None
        rows = [store.latest_forecast(station.id, step, text) for station in stations]
        have = [i for i, row in enumerate(rows) if len(row)]
        first = ((issued - EPOCH).days + 1) * per_day - (per_day > 1) * 24
        last = max(int(rows[i].at[-1]) for i in have)
        mixed = _blended(tuple(stations[i] for i in have), [rows[i] for i in have], first, last, visit.place)
        means = mixed.temp_c
        if step == "hourly":
            clock = local_clock_hours(np.arange(first, last + 1), visit.place.time_zone)
            start, table = table_of_days(clock, mixed.temp_c)
            skip = max(0, (issued - start).days + 1)
            means = daily_from_hourly(bridge_short_gaps(table))[0][skip:]
        known = np.flatnonzero(np.isfinite(means))
        if len(known):
            return Forecast(issued, means[: known[-1] + 1], source)
    return None

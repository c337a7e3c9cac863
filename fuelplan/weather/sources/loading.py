"""From a request to a record, with a fall-back where the first source has nothing."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date

import numpy as np
from numpy.typing import NDArray

from fuelplan.messages import Listed, Message, as_message, counted_message, message
from fuelplan.weather.clock import clock_shifts
from fuelplan.weather.record import DailyWeather, Origin, Place
from fuelplan.weather.sources.csv_file import load_csv
from fuelplan.weather.sources.epw_file import load_epw
from fuelplan.weather.sources.monthly import load_monthly
from fuelplan.weather.sources.requests import (
    FileRequest,
    Loaded,
    MonthlyRequest,
    Progress,
    Request,
    WeatherUnavailable,
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

    Returns
    -------
    Loaded
        The record with its gaps, a forecast where one had been issued, and what must be said.

    Raises
    ------
    WeatherFault
        If a file cannot be used as it is.
    WeatherUnavailable
        If the weather cannot be had now.
    """
    loaded = _load_one(request, place, as_of, progress)
    if loaded.weather.hourly_c is None or loaded.weather.reference_year:
        return loaded
    told = tuple(shift.said(_name_of(loaded.weather)) for shift in clock_shifts(loaded.weather))
    return replace(loaded, notes=(*loaded.notes, *told))


def _name_of(weather: DailyWeather) -> Message:
    """Return what people know a record by."""
    if weather.sources:
        return as_message(weather.sources[0].name)
    return message("weather.unnamed_record", "the record")


def _load_one(request: Request, place: Place, as_of: date | None, progress: Progress | None) -> Loaded:
    if isinstance(request, FileRequest):
        kind = request.kind or ("epw" if request.path.suffix.lower() == ".epw" else "csv")
        return load_epw(request, place, as_of) if kind == "epw" else load_csv(request, place, as_of)
    if isinstance(request, MonthlyRequest):
        return load_monthly(request, place)
    from fuelplan.weather.sources.meteostat_source import load_meteostat

    return load_meteostat(request, place, as_of, progress)


def load_with_fallback(
    requests: Sequence[Request], place: Place, *, as_of: date | None = None, progress: Progress | None = None
) -> Loaded:
    """Return the weather of the first source that has each day; the record says which days came from which.

    A later source fills days that the earlier ones do not have: its level is not corrected here (see
    `fill_gaps`, which corrects a neighbour's). A reference year or monthly means stand in only when nothing
    else can be had.

    Parameters
    ----------
    requests
        The main source first.
    place
        Where the weather is wanted, for stations near it.
    as_of
        Nothing dated later is read, save a forecast issued by then. None: everything there is.
    progress
        Told in a few words what is being fetched.

    Returns
    -------
    Loaded
        As of :func:`load`; its notes name the sources that could not be used.

    Raises
    ------
    WeatherFault
        If a file cannot be used as it is: a fault is to be put right, not to be hidden by a fall-back.
    WeatherUnavailable
        If no source has weather; the reasons of all of them.
    """
    loaded: Loaded | None = None
    reasons: list[Message] = []
    for request in requests:
        if loaded is not None and (
            isinstance(request, MonthlyRequest) or np.isfinite(loaded.weather.mean_c).all()
        ):
            break
        try:
            found = load(request, place, as_of=as_of, progress=progress)
        except WeatherUnavailable as error:
            reasons.append(error.said)
            continue
        loaded = found if loaded is None else _filled_from(loaded, found)
    if loaded is None:
        raise WeatherUnavailable(_none_to_be_had(reasons))
    notes = tuple(
        message("weather.source_unusable", "A weather source could not be used: {reason}", reason=reason)
        for reason in reasons
    )
    return replace(loaded, notes=(*notes, *loaded.notes))


def _none_to_be_had(reasons: Sequence[Message]) -> Message:
    if not reasons:
        return message("weather.no_source", "no weather source is named; name one")
    if len(reasons) == 1:
        return reasons[0]
    return message("weather.no_source_usable", "{reasons}", reasons=Listed(tuple(reasons), "; "))


def _filled_from(main: Loaded, other: Loaded) -> Loaded:
    """Fill what the main record does not have, before, within and after it, from another."""
    a, b = main.weather, other.weather
    if a.reference_year or b.reference_year:
        return main
    first, last = min(a.first_day, b.first_day), max(a.last_day, b.last_day)
    size = (last - first).days + 1
    sources = (*a.sources, *(source for source in b.sources if source not in a.sources))
    take_b = np.zeros(size, dtype=np.bool_)
    at_b = slice((b.first_day - first).days, (b.first_day - first).days + len(b))
    at_a = slice((a.first_day - first).days, (a.first_day - first).days + len(a))
    take_b[at_b] = np.isfinite(b.mean_c)
    take_b[at_a] &= ~np.isfinite(a.mean_c)

    def joined(name: str, blank: float) -> NDArray[np.float64]:
        column = np.full(size, blank)
        column[at_a] = getattr(a, name)
        theirs = np.full(size, blank)
        theirs[at_b] = getattr(b, name)
        return np.where(take_b, theirs, column)

    number = np.array([sources.index(source) for source in b.sources], dtype=np.uint8)
    source = np.zeros(size, dtype=np.uint8)
    source[at_a] = a.source
    theirs = np.zeros(size, dtype=np.uint8)
    theirs[at_b] = number[b.source]
    weather = DailyWeather(
        first_day=first,
        mean_c=joined("mean_c", np.nan),
        min_c=joined("min_c", np.nan),
        max_c=joined("max_c", np.nan),
        humidity_pct=joined("humidity_pct", np.nan),
        origin=joined("origin", Origin.MISSING).astype(np.uint8),
        source=np.where(take_b, theirs, source).astype(np.uint8),
        sources=sources,
        place=a.place,
        hourly_c=_joined_hours(a, b, size, at_a, at_b, take_b),
    )
    note = counted_message(
        "weather.days_from_fallback",
        "{n} day that the main source does not have comes from {name}.",
        "{n} days that the main source does not have come from {name}.",
        int(take_b.sum()),
        name=_name_of(b),
    )
    notes = (*main.notes, *other.notes, *((note,) if take_b.any() else ()))
    return Loaded(weather, main.forecast or other.forecast, notes, main.shortfall or other.shortfall)


def _joined_hours(
    a: DailyWeather, b: DailyWeather, size: int, at_a: slice, at_b: slice, take_b: NDArray[np.bool_]
) -> NDArray[np.float64] | None:
    if a.hourly_c is None and b.hourly_c is None:
        return None
    table, theirs = np.full((size, 24), np.nan), np.full((size, 24), np.nan)
    if a.hourly_c is not None:
        table[at_a] = a.hourly_c
    if b.hourly_c is not None:
        theirs[at_b] = b.hourly_c
    return np.where(take_b[:, None], theirs, table)

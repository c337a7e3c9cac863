"""The one door to the meteostat library: bounded in time, its cache unused, its silence told apart from "no
data"."""

from __future__ import annotations

import logging
import re
import socket
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import date
from typing import Any, Literal, TypeVar

import numpy as np

from fuelplan.units.plain_text import one_line
from fuelplan.weather.gaps import HIGHEST_C, LOWEST_C
from fuelplan.weather.record import Place
from fuelplan.weather.sources.bounded import CHUNK, Arrivals, ServerSaid, TooMuch, WebPage, bound_downloads
from fuelplan.weather.sources.store import Rows, Station, rows_of

T = TypeVar("T")
_ONE_AT_A_TIME = threading.Lock()
Step = Literal["daily", "hourly"]
BOUNDS = f"{LOWEST_C:g} to {HIGHEST_C:g} °C"
FORECAST_WORDS = ("mosmix", "forecast", "model", "era5")
"""A row is a model's when any word of its label holds one of these, whatever the library grades it."""


CONNECT = "connect to the internet once"
LATER = "try again later"
IMPOSSIBLE_SHARE = 0.02
"""A table of which more than this is impossible is wrong throughout, say in its unit: none of it is used."""


class HostSilent(RuntimeError):
    """A host that cannot be reached, does not answer, or says no: asking it again at once is no use."""

    def __init__(self, reason: str, advice: str = CONNECT) -> None:
        """Keep the reason, and what to do."""
        super().__init__(reason)
        self.advice = advice


@dataclass(frozen=True)
class FetchedYear:
    """What came for one station and year.

    Attributes
    ----------
    rows
        None when nothing came.
    attribution
        What must be said with the data.
    trouble
        Why nothing came: "" if there is no such file, else a sentence.
    refused
        What the server said instead of sending a file, of any station and year; "" where it said nothing.
    left_out
        How many values were impossible and left out.
    """

    rows: Rows | None
    attribution: str
    trouble: str = ""
    refused: str = ""
    left_out: int = 0


class _Ears(logging.Handler):
    """Hears what the library only logs: whether a file was not there, or could not be had."""

    def __init__(self) -> None:
        super().__init__(logging.DEBUG)
        self.missing = False
        self.error: BaseException | None = None

    def emit(self, record: logging.LogRecord) -> None:
        """Keep the last error."""
        if "was not found" in record.getMessage():
            self.missing = True
        elif record.exc_info and record.exc_info[1] is not None:
            self.error = record.exc_info[1]


@contextmanager
def library(timeout_s: float) -> Iterator[Any]:
    """Give the library with its cache off and every wait bounded; leave all settings as they were.

    The daily and hourly downloads of the library know no time-out of their own, so the default of sockets
    is set. Its settings are those of the whole program: one fetches at a time.
    """
    with _ONE_AT_A_TIME, _set_up(timeout_s) as meteostat:
        yield meteostat


@contextmanager
def _set_up(timeout_s: float) -> Iterator[Any]:
    import meteostat
    from meteostat.api.config import config

    bound_downloads()
    names = (
        "cache_enable",
        "network_timeout",
        "network_max_retries",
        "stations_db_file",
        "include_model_data",
    )
    before = {name: getattr(config, name) for name in names}
    socket_before = socket.getdefaulttimeout()
    logger = logging.getLogger("meteostat")
    level, propagate = logger.level, logger.propagate
    quiet = logging.NullHandler()  # without a handler Python would print the library's warnings to the person
    logger.addHandler(quiet)
    try:
        config.cache_enable, config.network_timeout, config.network_max_retries = False, timeout_s, 0
        config.stations_db_file, config.include_model_data = None, True
        socket.setdefaulttimeout(timeout_s)
        logger.setLevel(logging.INFO)
        logger.propagate = False
        yield meteostat
    finally:
        logger.removeHandler(quiet)
        logger.setLevel(level)
        logger.propagate = propagate
        socket.setdefaulttimeout(socket_before)
        for name, value in before.items():
            setattr(config, name, value)


def within(call: Callable[[], T], seconds: float, slow_s: float) -> T:
    """Return what a call gives, or give up on it after some seconds, or when for `slow_s` no piece arrived.

    Raises
    ------
    HostSilent
        If the time runs out.
    """
    answer: list[T] = []
    failure: list[BaseException] = []

    def work() -> None:
        try:
            answer.append(call())
        except BaseException as error:
            failure.append(error)

    thread = threading.Thread(target=work, daemon=True)
    thread.start()
    end = time.monotonic() + max(seconds, 0.0)
    while thread.is_alive():
        left, arrived = end - time.monotonic(), Arrivals.pieces
        thread.join(max(0.0, min(left, slow_s)))
        if thread.is_alive() and (left <= slow_s or Arrivals.pieces == arrived):
            break
    if failure:
        raise failure[0]
    if answer:
        return answer[0]
    if left <= slow_s:
        raise HostSilent(f"no answer within {seconds:.0f} s", LATER)
    slow = f"less than {CHUNK // 1024} kB came in {slow_s:.0f} s"
    raise HostSilent(f"the weather server is too slow: {slow}", LATER)


def fetch_year(
    meteostat: Any, station: Station, step: Step, year: int, deadline: float, slow_s: float
) -> FetchedYear:
    """Fetch one year of one station.

    Parameters
    ----------
    deadline
        By `time.monotonic`. [s]
    slow_s
        As in :class:`MeteostatRequest`. [s]

    Raises
    ------
    HostSilent
        If the host cannot be reached, does not answer, has had too many questions, or the deadline passes.
    """
    ears, logger = _Ears(), logging.getLogger("meteostat")
    elevation = None if station.elevation_m is None else round(station.elevation_m)
    there = meteostat.Station(
        id=station.id, latitude=station.latitude, longitude=station.longitude, elevation=elevation
    )
    kinds = meteostat.Parameter
    asked = [kinds.TEMP, kinds.RHUM] + ([kinds.TMIN, kinds.TMAX] if step == "daily" else [])

    def call() -> tuple[Any, str]:
        from datetime import datetime

        start, end = datetime(year, 1, 1), datetime(year, 12, 31, 23, 59)
        series = getattr(meteostat, step)(there, start, end, parameters=asked)
        frame = series.fetch(sources=True, clean=False)  # cleaning would take values out in silence
        return frame, series.attribution if frame is not None else ""

    name = f"{station.name} {year}"
    logger.addHandler(ears)
    try:
        frame, attribution = within(call, deadline - time.monotonic(), slow_s)
        rows, out = None, 0
        if not _is_empty(frame):
            rows, out = _rows_of_frame(frame, step, forecast_providers(meteostat))
    except HostSilent:
        raise
    except Exception as error:  # whatever stands in the file, the library meets it in its own ways
        return FetchedYear(None, "", f"{name}: the file could not be read ({_short(error)})")
    finally:
        logger.removeHandler(ears)
    if rows is None:
        return _nothing_came(name, ears)
    if out > IMPOSSIBLE_SHARE * (len(rows) + out):
        said = f"{out} of {len(rows) + out} values lie outside of {BOUNDS}; this table is not used"
        return FetchedYear(None, "", f"{name}: {said}")
    return FetchedYear(rows, attribution, left_out=out)


def _nothing_came(name: str, ears: _Ears) -> FetchedYear:
    """Say why, from what the library logged."""
    if ears.error is None or _is_missing(ears.error):
        gone = ears.missing or ears.error is not None
        return FetchedYear(None, "", "" if gone else f"{name}: nothing came")
    refused = _refusal(ears.error)
    if refused:
        return FetchedYear(None, "", f"{name}: {refused}", refused)
    _raise_if_silent(ears.error)
    return FetchedYear(None, "", f"{name}: the file could not be read ({_short(ears.error)})")


def _refusal(error: BaseException) -> str:
    """Return what a server says instead of sending a file; "" where it says nothing of the kind.

    Raises
    ------
    HostSilent
        Where it has had too many questions: the next one makes it worse.
    """
    from urllib.error import HTTPError

    if isinstance(error, WebPage):
        return str(error)
    status = error.status if isinstance(error, ServerSaid) else getattr(error, "code", None)
    if not isinstance(error, ServerSaid | HTTPError) or not isinstance(status, int):
        return ""
    if status == 429:
        raise HostSilent(f"the weather server has had too many questions and wants a pause ({status})", LATER)
    if status >= 500:
        return f"the weather server has trouble of its own ({status})"
    return f"the weather server refuses the question ({status})"


def _is_empty(frame: Any) -> bool:
    return frame is None or frame.empty or "temp" not in frame


def _is_missing(error: BaseException) -> bool:
    """Return True for a bulk file on disk that is not there, as a 404 is for one on the network."""
    return isinstance(getattr(error, "reason", error), FileNotFoundError)


def _raise_if_silent(error: BaseException) -> None:
    """A host that is not there will not be there for the next year either; a broken file says nothing of
    the next."""
    from http.client import IncompleteRead, RemoteDisconnected
    from urllib.error import HTTPError, URLError

    if isinstance(error, HTTPError):
        return
    reason = error.reason if isinstance(error, URLError) else error
    if isinstance(reason, FileNotFoundError | IncompleteRead | EOFError):
        return
    if isinstance(reason, socket.gaierror | TimeoutError | ConnectionError | RemoteDisconnected) or (
        isinstance(error, URLError) and isinstance(reason, OSError)
    ):
        raise HostSilent(_short(reason)) from error


def _short(error: object) -> str:
    return one_line(re.sub(r"\s+", " ", str(error)))[:120] or type(error).__name__


def forecast_providers(meteostat: Any) -> frozenset[str]:
    """Return the names of providers whose values are forecasts or analyses of a model."""
    from meteostat.core.providers import provider_service
    from meteostat.enumerations import Grade

    return frozenset(
        str(provider.id)
        for provider in provider_service.providers
        if provider.grade in (Grade.FORECAST, Grade.ANALYSIS)
    )


def is_model(label: str, providers: frozenset[str]) -> bool:
    """Return True if any word of a label such as "dwd_poi dwd_mosmix" is a model's."""
    return any(
        word in providers or any(part in word for part in FORECAST_WORDS) for word in label.lower().split()
    )


def _rows_of_frame(frame: Any, step: Step, providers: frozenset[str]) -> tuple[Rows, int]:
    """Cast the library's nullable frame into plain arrays; rows without a possible temperature are left out.
    Also return how many had an impossible one.
    """
    frame = frame[frame["temp"].notna()]
    possible = frame["temp"].between(LOWEST_C, HIGHEST_C)
    frame, out = frame[possible], int((~possible).sum())
    if frame.empty:
        return rows_of([]), out
    unit = "datetime64[D]" if step == "daily" else "datetime64[h]"
    at = frame.index.get_level_values("time").to_numpy().astype(unit).astype(np.int64)

    def column(name: str, lowest: float = LOWEST_C, highest: float = HIGHEST_C) -> Any:
        if name not in frame:
            return np.full(len(frame), np.nan)
        values = frame[name].astype("Float64").to_numpy(dtype=np.float64, na_value=np.nan)
        return np.where((values >= lowest) & (values <= highest), values, np.nan)

    label = frame["temp_source"].astype("string").fillna("").to_numpy(dtype=object)
    known = {text: is_model(text, providers) for text in set(label.tolist())}
    model = np.array([known[text] for text in label.tolist()], dtype=np.bool_)
    rows = Rows(at, column("temp"), column("tmin"), column("tmax"), column("rhum", 0.0, 100.0), label, model)
    order = np.argsort(at, kind="stable")
    return Rows(*(getattr(rows, name)[order] for name in Rows.__dataclass_fields__)), out


def look_nearby(
    meteostat: Any, place: Place, radius_km: float, limit: int, deadline: float, slow_s: float
) -> tuple[Station, ...]:
    """Return the stations around a place, nearest first.

    Raises
    ------
    HostSilent
        If the list of stations cannot be had.
    """
    point = meteostat.Point(place.latitude, place.longitude)

    def call() -> Any:
        return meteostat.stations.nearby(point, radius=radius_km * 1000.0, limit=limit)

    try:
        frame = within(call, deadline - time.monotonic(), slow_s)
    except HostSilent:
        raise
    except Exception as error:  # the library raises plain Exception here, and sqlite3 errors on rubbish
        refused, ours = _refusal(error), isinstance(error, TooMuch | OSError)
        why = refused or (_short(error) if ours else "what came is no list of stations")
        advice = CONNECT if isinstance(error, OSError) else LATER
        raise HostSilent(f"the list of stations could not be had ({why})", advice) from error
    found = []
    for entry in frame.reset_index().to_dict("records"):
        elevation = entry["elevation"]
        found.append(
            Station(
                str(entry["id"]),
                "".join(c if c.isprintable() else "?" for c in str(entry["name"])[:80]),
                float(entry["latitude"]),
                float(entry["longitude"]),
                None if elevation is None or elevation != elevation else float(elevation),
                float(entry["distance"]) / 1000.0,
            )
        )
    return tuple(found)


def split_at(rows: Rows, last_day: date, step: Step) -> tuple[Rows, Rows]:
    """Return rows up to the day of fetching and those after it; that day itself is not over, so it counts
    as a model's.

    An observation of the morning says nothing of the evening: tomorrow's fetch replaces it.
    """
    number = (last_day - date(1970, 1, 1)).days
    per_day = 1 if step == "daily" else 24
    day = rows.at // per_day
    model = rows.model | ((day == number) if step == "daily" else False)
    marked = Rows(rows.at, rows.temp_c, rows.min_c, rows.max_c, rows.humidity_pct, rows.label, model)

    def part(keep: Any) -> Rows:
        return Rows(*(getattr(marked, name)[keep] for name in Rows.__dataclass_fields__))

    return part(day <= number), part(day > number)

"""The one door to the meteostat library: what it reads is downloaded here, bounded in time and size, and what
went wrong is told."""

from __future__ import annotations

import re
import socket
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import date, datetime
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any, Literal, TypeVar

import numpy as np

from fuelplan.messages import Message, Number, Own, Range, Refusal, message
from fuelplan.units import one_line
from fuelplan.weather.gaps import HIGHEST_C, LOWEST_C
from fuelplan.weather.record import Place
from fuelplan.weather.sources.bounded import (
    CHUNK,
    NO_LIST,
    DownloadProgress,
    TooMuch,
    WebPage,
    arrivals,
    station_list,
    table,
)
from fuelplan.weather.sources.meteostat_tables import PARAMETERS, at_hand, registered
from fuelplan.weather.sources.store import Rows, Station, rows_of

T = TypeVar("T")
_ONE_AT_A_TIME = threading.Lock()
Step = Literal["daily", "hourly"]
BOUNDS = Range(LOWEST_C, HIGHEST_C, "temperature")
FORECAST_WORDS = ("mosmix", "forecast", "model", "era5")
"""A row is a model's when any word of its label holds one of these, whatever the library grades it."""


CONNECT = message("station.connect", "connect to the internet once")
LATER = message("station.try_later", "try again later")
IMPOSSIBLE_SHARE = 0.02
"""A table of which more than this is impossible is wrong throughout, say in its unit: none of it is used."""


class HostSilent(Refusal):
    """A host that cannot be reached, does not answer, or says no: asking it again at once is no use."""

    def __init__(self, reason: Message, advice: Message = CONNECT) -> None:
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
        Why nothing came; None if there is no such file.
    refused
        What the server said instead of sending a file, of any station and year; None where it said nothing.
    left_out
        How many values were impossible and left out.
    """

    rows: Rows | None
    attribution: str
    trouble: Message | None = None
    refused: Message | None = None
    left_out: int = 0


@contextmanager
def _stations_in(content: bytes) -> Iterator[Any]:
    """Give the library's stations out of a list that was downloaded here; its settings are left as they were.

    Its settings are those of the whole program: one looks at a time.
    """
    from meteostat import config, stations

    names = ("stations_db_file", "stations_db_ttl")
    with _ONE_AT_A_TIME, TemporaryDirectory(prefix="fuelplan-") as folder:
        file = Path(folder) / "stations.db"
        file.write_bytes(content)
        before = {name: getattr(config, name) for name in names}
        config.stations_db_file, config.stations_db_ttl = str(file), 86_400
        try:
            yield stations
        finally:
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
    seen = DownloadProgress()

    def work() -> None:
        arrivals.set(seen)  # a thread has a context of its own
        try:
            answer.append(call())
        except BaseException as error:
            failure.append(error)

    thread = threading.Thread(target=work, daemon=True)
    thread.start()
    end = time.monotonic() + max(seconds, 0.0)
    while thread.is_alive():
        left, arrived = end - time.monotonic(), seen.pieces
        thread.join(max(0.0, min(left, slow_s)))
        if thread.is_alive() and (left <= slow_s or seen.pieces == arrived):
            break
    if failure:
        raise failure[0]
    if answer:
        return answer[0]
    if left <= slow_s:
        no_answer = message("station.no_answer", "no answer within {seconds} s", seconds=Number(seconds))
        raise HostSilent(no_answer, LATER)
    raise HostSilent(
        message(
            "station.too_slow",
            "the weather server is too slow: less than {kb} kB came in {seconds} s",
            kb=CHUNK // 1024,
            seconds=Number(slow_s),
        ),
        LATER,
    )


def fetch_year(
    station: Station, step: Step, year: int, timeout_s: float, deadline: float, slow_s: float
) -> FetchedYear:
    """Fetch one year of one station.

    Parameters
    ----------
    timeout_s, slow_s
        As in :class:`MeteostatRequest`. [s]
    deadline
        By `time.monotonic`. [s]

    Raises
    ------
    HostSilent
        If the host cannot be reached, does not answer, has had too many questions, or the deadline passes.
    """
    name = Own(f"{station.name} {year}")
    try:
        frame, attribution = within(
            lambda: _frame(station, step, year, timeout_s), deadline - time.monotonic(), slow_s
        )
        if _is_empty(frame):
            nothing = message("station.nothing_came", "{station}: nothing came", station=name)
            return FetchedYear(None, "", nothing)
        rows, out = _rows_of_frame(frame, step, forecast_providers())
    except HostSilent:
        raise
    except Exception as error:  # whatever stands in the file, the library meets it in its own ways
        return _nothing_came(name, error)
    if out > IMPOSSIBLE_SHARE * (len(rows) + out):
        said = message(
            "station.table_impossible",
            "{station}: {out} of {all} values lie outside of {range}; this table is not used",
            station=name,
            out=out,
            all=len(rows) + out,
            range=BOUNDS,
        )
        return FetchedYear(None, "", said)
    return FetchedYear(rows, attribution, left_out=out)


def _frame(station: Station, step: Step, year: int, timeout_s: float) -> tuple[Any, str]:
    """Download one table and have the library read it: its frame, and what must be said with it."""
    import meteostat

    where = meteostat.config.daily_endpoint if step == "daily" else meteostat.config.hourly_endpoint
    content = table(where.format(station=station.id, year=year), timeout_s)
    elevation = None if station.elevation_m is None else round(station.elevation_m)
    there = meteostat.Station(
        id=station.id, latitude=station.latitude, longitude=station.longitude, elevation=elevation
    )
    parameters = [meteostat.Parameter[p] for p in PARAMETERS[step]]
    start, end = datetime(year, 1, 1), datetime(year, 12, 31, 23, 59)
    ask = meteostat.daily if step == "daily" else meteostat.hourly
    with at_hand(content, step) as held:
        series = ask(there, start, end, parameters=parameters, providers=[registered(step)])
    if held.error is not None:
        raise held.error
    frame = series.fetch(sources=True, clean=False)  # cleaning would take values out in silence
    return frame, "" if frame is None else series.attribution


def _nothing_came(name: Own, error: Exception) -> FetchedYear:
    """Say why a year did not come; nothing where there is no such file."""
    if _is_missing(error):
        return FetchedYear(None, "")
    refused = _refusal(error)
    if refused is not None:
        said = message("station.refused", "{station}: {reason}", station=name, reason=refused)
        return FetchedYear(None, "", said, refused)
    _raise_if_silent(error)
    return FetchedYear(
        None,
        "",
        message(
            "station.unreadable",
            "{station}: the file could not be read ({why})",
            station=name,
            why=_short(error),
        ),
    )


def _refusal(error: BaseException) -> Message | None:
    """Return what a server says instead of sending a file; None where it says nothing of the kind.

    Raises
    ------
    HostSilent
        Where it has had too many questions: the next one makes it worse.
    """
    from urllib.error import HTTPError

    if isinstance(error, WebPage):
        return error.said
    if not isinstance(error, HTTPError):
        return None
    status = error.code
    if status == 429:
        said = message(
            "station.too_many_questions",
            "the weather server has had too many questions and wants a pause ({status})",
            status=status,
        )
        raise HostSilent(said, LATER)
    if status >= 500:
        return message(
            "station.own_trouble", "the weather server has trouble of its own ({status})", status=status
        )
    return message(
        "station.refuses_question", "the weather server refuses the question ({status})", status=status
    )


def _is_empty(frame: Any) -> bool:
    return frame is None or frame.empty or "temp" not in frame


def _is_missing(error: BaseException) -> bool:
    """Return True where there is no such file, on the network or on a disk."""
    gone = isinstance(getattr(error, "reason", error), FileNotFoundError)
    return gone or getattr(error, "code", None) == 404


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
        raise HostSilent(message("station.silent", "{why}", why=_short(reason))) from error


def _short(error: object) -> Message | Own:
    """Return what an error says: our own in words, another in one line as it is."""
    if isinstance(error, Refusal):
        return error.said
    return Own(one_line(re.sub(r"\s+", " ", str(error)))[:120] or type(error).__name__)


def forecast_providers() -> frozenset[str]:
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
    place: Place, radius_km: float, limit: int, timeout_s: float, deadline: float, slow_s: float
) -> tuple[Station, ...]:
    """Return the stations around a place, nearest first.

    Raises
    ------
    HostSilent
        If the list of stations cannot be had.
    """

    def call() -> Any:
        import meteostat

        content = station_list(meteostat.config.stations_db_endpoints, timeout_s)
        with _stations_in(content) as stations:
            point = meteostat.Point(place.latitude, place.longitude)
            return stations.nearby(point, radius=radius_km * 1000.0, limit=limit)

    try:
        frame = within(call, deadline - time.monotonic(), slow_s)
    except HostSilent:
        raise
    except Exception as error:  # sqlite3 and pandas have errors of their own for a list that is none
        refused, ours = _refusal(error), isinstance(error, TooMuch | OSError)
        why = refused or (_short(error) if ours else NO_LIST)
        advice = LATER if refused or not isinstance(error, OSError) else CONNECT
        said = message("station.no_list", "the list of stations could not be had ({why})", why=why)
        raise HostSilent(said, advice) from error
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

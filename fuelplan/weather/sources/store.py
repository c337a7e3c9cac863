"""The store of fetched weather: SQLite, one transaction per station and year, a good row never lost to a
worse one."""

from __future__ import annotations

import json
import os
import sqlite3
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import asdict, dataclass
from datetime import date
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from fuelplan.files import refuse_what_is_no_file
from fuelplan.messages import Message, Own, message
from fuelplan.weather.record import Floats
from fuelplan.weather.sources.requests import WeatherUnavailable

Ints = NDArray[np.int64]
FORMAT = 2
BUSY_S = 60.0
VARIABLE = "FUELPLAN_WEATHER_STORE"

SCHEMA = """
CREATE TABLE IF NOT EXISTS weather (
    station TEXT NOT NULL, step TEXT NOT NULL, at INTEGER NOT NULL,
    temp_c REAL, min_c REAL, max_c REAL, humidity_pct REAL,
    label TEXT NOT NULL, model INTEGER NOT NULL, fetched_on TEXT NOT NULL,
    PRIMARY KEY (station, step, at)) WITHOUT ROWID;
CREATE TABLE IF NOT EXISTS forecast (
    station TEXT NOT NULL, step TEXT NOT NULL, issued_on TEXT NOT NULL, at INTEGER NOT NULL,
    temp_c REAL NOT NULL, label TEXT NOT NULL,
    PRIMARY KEY (station, step, issued_on, at)) WITHOUT ROWID;
CREATE TABLE IF NOT EXISTS fetched (
    station TEXT NOT NULL, step TEXT NOT NULL, year INTEGER NOT NULL,
    fetched_on TEXT NOT NULL, rows INTEGER NOT NULL, attribution TEXT NOT NULL,
    tries INTEGER NOT NULL DEFAULT 0,
    PRIMARY KEY (station, step, year)) WITHOUT ROWID;
CREATE TABLE IF NOT EXISTS nearby (place TEXT PRIMARY KEY, fetched_on TEXT NOT NULL, stations TEXT NOT NULL);
"""

# A row takes the place of another unless it says less: no temperature, or a model where there was an
# observation.
KEEP_THE_BETTER = """
INSERT INTO weather VALUES (?,?,?,?,?,?,?,?,?,?)
ON CONFLICT (station, step, at) DO UPDATE SET
    temp_c = excluded.temp_c,
    min_c = COALESCE(excluded.min_c, min_c),
    max_c = COALESCE(excluded.max_c, max_c),
    humidity_pct = COALESCE(excluded.humidity_pct, humidity_pct),
    label = excluded.label, model = excluded.model, fetched_on = excluded.fetched_on
WHERE excluded.temp_c IS NOT NULL AND (weather.temp_c IS NULL OR excluded.model <= weather.model)
"""

KEEP_FETCH = """
INSERT INTO fetched (station, step, year, fetched_on, rows, attribution, tries) VALUES (?,?,?,?,?,?,1)
ON CONFLICT (station, step, year) DO UPDATE SET
    fetched_on = excluded.fetched_on, rows = excluded.rows,
    attribution = CASE excluded.attribution WHEN '' THEN attribution ELSE excluded.attribution END,
    tries = CASE WHEN excluded.rows > rows THEN 1 ELSE tries + 1 END
"""

WHOLE_YEAR = "station=? AND step=? AND at BETWEEN ? AND ?"


def bounds_of(year: int, step: str) -> tuple[int, int]:
    """Return the first and the last time of a year. [days or hours since 1970]"""
    first, after = ((date(y, 1, 1) - date(1970, 1, 1)).days for y in (year, year + 1))
    return (first, after - 1) if step == "daily" else (24 * first, 24 * after - 1)


@dataclass(frozen=True)
class Station:
    """A weather station. [degrees, degrees, m, km from the place]"""

    id: str
    name: str
    latitude: float
    longitude: float
    elevation_m: float | None
    distance_km: float


@dataclass(frozen=True)
class Rows:
    """Rows of one station: when (days or hours since 1970), what, and who says so, all of the shape (n,)."""

    at: Ints
    temp_c: Floats
    min_c: Floats
    max_c: Floats
    humidity_pct: Floats
    label: NDArray[np.object_]
    model: NDArray[np.bool_]

    def __len__(self) -> int:
        """Return the number of rows."""
        return len(self.at)


@dataclass(frozen=True)
class Fetch:
    """When a station's year was last fetched, how many rows with a temperature are stored, what must be said
    with them, and how often in a row it came no fuller than it was.
    """

    fetched_on: date
    rows: int
    attribution: str
    tries: int = 1


def default_path() -> Path:
    """Return the store's place: the environment's FUELPLAN_WEATHER_STORE, else the user's cache directory."""
    named = os.environ.get(VARIABLE)
    if named:
        return Path(named).expanduser()
    if sys.platform == "win32":
        base = Path(os.environ.get("LOCALAPPDATA", Path.home() / "AppData" / "Local"))
    elif sys.platform == "darwin":
        base = Path.home() / "Library" / "Caches"
    else:
        base = Path(os.environ.get("XDG_CACHE_HOME") or Path.home() / ".cache")
    return base / "fuelplan" / "weather.sqlite"


def _what_is_wrong(text: str) -> Message:
    """Return what the database's own words mean to a person."""
    if "full" in text or "disk I/O" in text or "File too large" in text:
        return message("weather_store.no_room", "there is no room to keep more weather; free some disk space")
    if "not a database" in text or "malformed" in text:
        return message(
            "weather_store.damaged",
            "the weather store is damaged; move it away, and it will be fetched anew",
        )
    if "locked" in text:
        return message(
            "weather_store.busy",
            "another program keeps the weather store busy; try again when it has ended",
        )
    return message("weather_store.other", "the weather store cannot be used ({why})", why=Own(text))


class WeatherStore:
    """An open store; use it in a `with` block.

    Raises
    ------
    WeatherUnavailable
        If the store cannot be opened, is damaged, or the disk is full; what had been stored stays.
    """

    def __init__(self, path: Path) -> None:
        """Open or create the store."""
        self.path = path
        with self._said_plainly():
            path.parent.mkdir(parents=True, exist_ok=True)
            refuse_what_is_no_file(path)
            self._db = sqlite3.connect(path, timeout=BUSY_S, isolation_level=None)
            try:
                self._prepare()
            except sqlite3.Error:
                self._db.close()
                raise

    def __enter__(self) -> WeatherStore:
        """Return the open store."""
        return self

    def __exit__(self, *_: object) -> None:
        """Close the store."""
        self._db.close()

    def _prepare(self) -> None:
        """Set the store up; two programs may do so at the same moment, and one of them then has to try
        again."""
        self._db.execute(f"PRAGMA busy_timeout={int(BUSY_S * 1000)}")
        until = time.monotonic() + BUSY_S
        while True:
            try:
                if self._db.execute("PRAGMA journal_mode").fetchone()[0] != "wal":
                    self._db.execute("PRAGMA journal_mode=WAL")
                break
            except sqlite3.OperationalError as error:
                if "locked" not in str(error) or time.monotonic() > until:
                    raise
                time.sleep(0.05)
        self._db.execute("PRAGMA synchronous=NORMAL")
        version = self._db.execute("PRAGMA user_version").fetchone()[0]
        if version > FORMAT:
            raise WeatherUnavailable(
                message(
                    "weather_store.newer",
                    "the weather store {store} was written by a newer program; update this one, or name "
                    "another store in {variable}",
                    store=Own(self.path.name),
                    variable=Own(VARIABLE),
                )
            )
        if version < FORMAT:
            with self._transaction():
                for statement in SCHEMA.split(";"):
                    if statement.strip():
                        self._db.execute(statement)
                names = [row[1] for row in self._db.execute("PRAGMA table_info(fetched)").fetchall()]
                if "tries" not in names:  # a store of format 1
                    self._db.execute("ALTER TABLE fetched ADD COLUMN tries INTEGER NOT NULL DEFAULT 0")
                self._db.execute(f"PRAGMA user_version={FORMAT}")

    @contextmanager
    def _transaction(self) -> Iterator[None]:
        """All or nothing, and only one program at a time writes."""
        self._db.execute("BEGIN IMMEDIATE")
        try:
            yield
        except BaseException:
            # A full disk may have rolled the transaction back already.
            if self._db.in_transaction:
                self._db.execute("ROLLBACK")
            raise
        self._db.execute("COMMIT")

    @contextmanager
    def _said_plainly(self) -> Iterator[None]:
        """Turn what the database says into what the person can do."""
        try:
            yield
        except WeatherUnavailable:
            raise
        except (sqlite3.Error, OSError, ValueError, TypeError, OverflowError) as error:
            text = str(error) if isinstance(error, sqlite3.Error | OSError) else "malformed"
            raise WeatherUnavailable(
                message(
                    "weather_store.unusable",
                    "{what}, or name another store in {variable} ({path})",
                    what=_what_is_wrong(text),
                    variable=Own(VARIABLE),
                    path=Own(str(self.path)),
                )
            ) from error

    def keep_year(
        self,
        station: str,
        step: str,
        year: int,
        rows: Rows,
        forecast: Rows,
        fetched_on: date,
        attribution: str,
        *,
        instead: bool = False,
    ) -> None:
        """Keep what was fetched for one station and year, all of it or nothing.

        Parameters
        ----------
        step
            "daily" or "hourly".
        rows
            Up to the day of fetching; a row without a temperature never replaces one with it, a model value
            never an observation.
        forecast
            After the day of fetching; kept under the day it was fetched.
        instead
            Put the rows in the place of all that was stored for the year; no rows replace nothing.
        """
        day = fetched_on.isoformat()
        whole = (station, step, *bounds_of(year, step))
        with self._said_plainly(), self._transaction():
            if instead and len(rows):
                self._db.execute(f"DELETE FROM weather WHERE {WHOLE_YEAR}", whole)
            self._db.executemany(KEEP_THE_BETTER, _as_tuples(station, step, rows, day))
            self._db.executemany(
                "INSERT OR REPLACE INTO forecast VALUES (?,?,?,?,?,?)",
                [
                    (station, step, day, int(at), float(temp), str(label))
                    for at, temp, label in zip(forecast.at, forecast.temp_c, forecast.label, strict=True)
                    if np.isfinite(temp)
                ],
            )
            stored = self._db.execute(f"SELECT count(temp_c) FROM weather WHERE {WHOLE_YEAR}", whole)
            (count,) = stored.fetchone()
            self._db.execute(KEEP_FETCH, (station, step, year, day, count, attribution))

    def fetches(self, station: str, step: str) -> dict[int, Fetch]:
        """Return what is known of each year fetched."""
        with self._said_plainly():
            found = self._db.execute(
                "SELECT year, fetched_on, rows, attribution, tries FROM fetched WHERE station=? AND step=?",
                (station, step),
            ).fetchall()
            return {
                int(year): Fetch(date.fromisoformat(day), int(rows), str(said), int(tries))
                for year, day, rows, said, tries in found
            }

    def read(self, station: str, step: str, first: int, last: int) -> Rows:
        """Return the rows from `first` to `last`, both included, in order. [days or hours since 1970]"""
        with self._said_plainly():
            found = self._db.execute(
                "SELECT at, temp_c, min_c, max_c, humidity_pct, label, model FROM weather "
                "WHERE station=? AND step=? AND at BETWEEN ? AND ? ORDER BY at",
                (station, step, first, last),
            ).fetchall()
            return rows_of(found)

    def latest_forecast(self, station: str, step: str, issued: str) -> Rows:
        """Return a station's forecast as fetched on one day."""
        with self._said_plainly():
            found = self._db.execute(
                "SELECT at, temp_c, NULL, NULL, NULL, label, 1 FROM forecast WHERE station=? AND "
                "step=? AND issued_on=? "
                "ORDER BY at",
                (station, step, issued),
            ).fetchall()
            return rows_of(found)

    def forecast_days(self, stations: tuple[str, ...], step: str, until: date) -> list[str]:
        """Return the days, newest first, on which forecasts of these stations were fetched, none after
        `until`."""
        marks = ",".join("?" * len(stations))
        with self._said_plainly():
            found = self._db.execute(
                f"SELECT DISTINCT issued_on FROM forecast WHERE station IN ({marks}) AND step=? AND "
                "issued_on<=? "
                "ORDER BY issued_on DESC",
                (*stations, step, until.isoformat()),
            ).fetchall()
        return [day for (day,) in found]

    def keep_nearby(self, place: str, stations: tuple[Station, ...], fetched_on: date) -> None:
        """Keep which stations lie near a place; an empty list never replaces a good one."""
        if not stations:
            return
        text = json.dumps([asdict(station) for station in stations])
        with self._said_plainly(), self._transaction():
            self._db.execute(
                "INSERT OR REPLACE INTO nearby VALUES (?,?,?)", (place, fetched_on.isoformat(), text)
            )

    def nearby(self, place: str) -> tuple[tuple[Station, ...], date] | None:
        """Return the stations near a place and when they were looked up."""
        with self._said_plainly():
            found = self._db.execute(
                "SELECT stations, fetched_on FROM nearby WHERE place=?", (place,)
            ).fetchone()
            if found is None:
                return None
            return tuple(Station(**entry) for entry in json.loads(found[0])), date.fromisoformat(found[1])

    def check(self) -> str:
        """Return "ok", or what the database finds wrong with itself."""
        with self._said_plainly():
            return str(self._db.execute("PRAGMA integrity_check").fetchone()[0])


def _as_tuples(station: str, step: str, rows: Rows, day: str) -> list[tuple[object, ...]]:
    def plain(values: Floats) -> list[float | None]:
        return [None if x != x else x for x in values.tolist()]

    columns = (plain(rows.temp_c), plain(rows.min_c), plain(rows.max_c), plain(rows.humidity_pct))
    return [
        (station, step, at, temp, low, high, humidity, str(label), int(model), day)
        for at, temp, low, high, humidity, label, model in zip(
            rows.at.tolist(), *columns, rows.label.tolist(), rows.model.tolist(), strict=True
        )
    ]


def rows_of(found: list[tuple[object, ...]]) -> Rows:
    """Return rows as arrays, NaN for what is not known."""
    if not found:
        none = np.empty(0)
        return Rows(np.empty(0, np.int64), none, none, none, none, np.empty(0, object), np.empty(0, np.bool_))
    at, temp, low, high, humidity, label, model = zip(*found, strict=True)
    return Rows(
        np.array(at, dtype=np.int64),
        np.array(temp, dtype=np.float64),
        np.array(low, dtype=np.float64),
        np.array(high, dtype=np.float64),
        np.array(humidity, dtype=np.float64),
        np.array(label, dtype=object),
        np.array(model, dtype=np.bool_),
    )

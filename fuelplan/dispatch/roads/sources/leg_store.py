"""Distances that a service was asked for once: SQLite, one file, by coordinates."""

from __future__ import annotations

import os
import sqlite3
import sys
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from fuelplan.dispatch.roads.sources.faults import RoadServiceError
from fuelplan.files import refuse_what_is_no_file
from fuelplan.messages import Message, Own, as_message, message

Floats32 = NDArray[np.float32]

VARIABLE = "FUELPLAN_ROAD_STORE"
BUSY_S = 60.0

# A place is known by its degrees × 10^5, about a metre.
_GRID = 100_000

_SCHEMA = """
CREATE TABLE IF NOT EXISTS service (id INTEGER PRIMARY KEY, address TEXT NOT NULL, profile TEXT NOT NULL,
    UNIQUE (address, profile));
CREATE TABLE IF NOT EXISTS place (id INTEGER PRIMARY KEY, lat INTEGER NOT NULL, lon INTEGER NOT NULL,
    UNIQUE (lat, lon));
CREATE TABLE IF NOT EXISTS leg (service INTEGER NOT NULL, start INTEGER NOT NULL, finish INTEGER NOT NULL,
    metres REAL, seconds REAL, PRIMARY KEY (service, start, finish)) WITHOUT ROWID;
"""


def default_path() -> Path:
    """Return where the store lies: the environment variable, or the user's cache directory."""
    named = os.environ.get(VARIABLE)
    if named:
        return Path(named)
    if sys.platform == "win32":
        base = Path(os.environ.get("LOCALAPPDATA") or Path.home() / "AppData" / "Local")
    elif sys.platform == "darwin":
        base = Path.home() / "Library" / "Caches"
    else:
        base = Path(os.environ.get("XDG_CACHE_HOME") or Path.home() / ".cache")
    return base / "fuelplan" / "roads.sqlite"


def _reason(error: Exception, file: Own) -> Message:
    """Say what to do about a store that cannot be used."""
    text, variable = str(error), Own(VARIABLE)
    if "full" in text or "disk I/O" in text:
        return message(
            "leg_store.full", "the disk has no space left for the store of distances {file}; free some, or "
            "name another file in {variable}", file=file, variable=variable,
        )  # fmt: skip
    if "locked" in text:
        return message(
            "leg_store.busy", "another program keeps the store of distances {file} busy; try again when it "
            "has ended, or name another file in {variable}", file=file, variable=variable,
        )  # fmt: skip
    if isinstance(error, sqlite3.DatabaseError) and not isinstance(error, sqlite3.OperationalError):
        return message(
            "leg_store.damaged", "the store of distances {file} is damaged; move it away, and the service is "
            "asked again, or name another file in {variable}", file=file, variable=variable,
        )  # fmt: skip
    return message(
        "leg_store.unusable", "the store of distances {file} cannot be used ({why}); look at its rights, "
        "move it away, or name another file in {variable}", file=file, why=as_message(text[:120]),
        variable=variable,
    )  # fmt: skip


def _number(value: object) -> float:
    """Return a number of the store: inf where there is no road, nan (ask again) where it is none."""
    if value is None:
        return float("inf")
    return float(value) if isinstance(value, int | float) else float("nan")


class LegStore:
    """Legs of one service and profile."""

    def __init__(self, path: Path, address: str, profile: str) -> None:
        """Remember where; nothing is opened or made before it is needed."""
        self.path, self.address, self.profile = path, address, profile

    @contextmanager
    def _open(self) -> Iterator[sqlite3.Connection]:
        """Open the store for one transaction; closed in any case.

        Raises
        ------
        RoadServiceError
            Where it is damaged, busy, or the disk does not take it.
        """
        try:
            self.path.parent.mkdir(parents=True, exist_ok=True)
            refuse_what_is_no_file(self.path)
            connection = sqlite3.connect(self.path, timeout=BUSY_S)
            try:
                connection.execute("PRAGMA journal_mode=WAL")
                connection.executescript(_SCHEMA)
                with connection:
                    yield connection
            finally:
                connection.close()
        except (sqlite3.Error, OSError) as error:
            raise RoadServiceError(_reason(error, Own(self.path.name))) from error

    def _service(self, db: sqlite3.Connection) -> int:
        db.execute(
            "INSERT OR IGNORE INTO service (address, profile) VALUES (?, ?)", (self.address, self.profile)
        )
        row = db.execute(
            "SELECT id FROM service WHERE address = ? AND profile = ?", (self.address, self.profile)
        ).fetchone()
        return int(row[0])

    @staticmethod
    def _places(db: sqlite3.Connection, lat: Sequence[float], lon: Sequence[float]) -> list[int]:
        keys = [(round(a * _GRID), round(b * _GRID)) for a, b in zip(lat, lon, strict=True)]
        db.executemany("INSERT OR IGNORE INTO place (lat, lon) VALUES (?, ?)", keys)
        find = "SELECT id FROM place WHERE lat = ? AND lon = ?"
        return [int(db.execute(find, key).fetchone()[0]) for key in keys]

    def read(self, lat: Sequence[float], lon: Sequence[float]) -> tuple[Floats32, Floats32]:
        """Return metres and seconds of every pair: inf where there is no road, nan where nobody asked yet."""
        n = len(lat)
        metres = np.full((n, n), np.nan, dtype=np.float32)
        seconds = np.full((n, n), np.nan, dtype=np.float32)
        with self._open() as db:
            service = self._service(db)
            ids = self._places(db, lat, lon)
            rows: dict[int, list[int]] = {}
            for i, place in enumerate(ids):
                rows.setdefault(place, []).append(i)
            find = "SELECT finish, metres, seconds FROM leg WHERE service = ? AND start = ?"
            for place, starts in rows.items():
                for finish, m, s in db.execute(find, (service, place)):
                    for j in rows.get(finish, ()):
                        for i in starts:
                            metres[i, j], seconds[i, j] = _number(m), _number(s)
        return metres, seconds

    def write(
        self,
        lat_a: Sequence[float],
        lon_a: Sequence[float],
        lat_b: Sequence[float],
        lon_b: Sequence[float],
        metres: Floats32,
        seconds: Floats32,
    ) -> None:
        """Keep a block of legs, in one transaction; inf becomes empty."""
        with self._open() as db:
            service = self._service(db)
            starts = self._places(db, lat_a, lon_a)
            finishes = self._places(db, lat_b, lon_b)
            far, long = metres.tolist(), seconds.tolist()
            none = float("inf")
            db.executemany(
                "INSERT OR REPLACE INTO leg VALUES (?, ?, ?, ?, ?)",
                (
                    (service, a, b, None if m == none else m, None if s == none else s)
                    for a, m_row, s_row in zip(starts, far, long, strict=True)
                    for b, m, s in zip(finishes, m_row, s_row, strict=True)
                ),
            )

"""Bulk weather files and a station list as the tests need them, and hosts that behave well or badly."""

from __future__ import annotations

import gzip
import sqlite3
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import date, timedelta
from functools import lru_cache
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path

import numpy as np

STATIONS = [
    # id, name, latitude, longitude, elevation
    ("T0001", "Lower mill", 47.00, 9.00, 500),
    ("T0002", "Upper farm", 47.10, 9.10, 900),
    ("T0003", "Far pass", 47.30, 9.20, 1500),
]


def sea_level_c(day: date) -> float:
    """A made-up daily mean at sea level that every station shares."""
    number = day.toordinal()
    return float(
        12.0 - 10.0 * np.cos(2 * np.pi * (day.timetuple().tm_yday - 20) / 365.25) + 3.0 * np.sin(number * 0.7)
    )


def station_c(day: date, elevation_m: float) -> float:
    """The mean at a height, by 6.5 K per km, as the file prints it."""
    return round(sea_level_c(day) - 0.0065 * elevation_m, 1)


@lru_cache
def daily_bytes(year: int, elevation_m: float, last: date, label: Callable[[date], str]) -> bytes:
    """A daily bulk file of one year, up to a last day."""
    lines = ["year,month,day,temp,temp_source,tmin,tmin_source,tmax,tmax_source,rhum,rhum_source"]
    day = date(year, 1, 1)
    while day.year == year and day <= last:
        t, s = station_c(day, elevation_m), label(day)
        lines.append(f"{day.year},{day.month},{day.day},{t},{s},{t - 4:.1f},{s},{t + 4:.1f},{s},80,{s}")
        day += timedelta(days=1)
    return gzip.compress(("\n".join(lines) + "\n").encode())


@lru_cache
def hourly_bytes(year: int, elevation_m: float, last: date) -> bytes:
    """An hourly bulk file in UTC of one year: the daily mean and a wave of 4 K over the UTC day."""
    lines = ["year,month,day,hour,temp,temp_source,rhum,rhum_source"]
    day = date(year, 1, 1)
    wave = 4.0 * np.cos(2 * np.pi * (np.arange(24) - 14) / 24)
    while day.year == year and day <= last:
        t = station_c(day, elevation_m)
        lines += [
            f"{day.year},{day.month},{day.day},{h},{t + wave[h]:.2f},isd_lite,75,isd_lite" for h in range(24)
        ]
        day += timedelta(days=1)
    return gzip.compress(("\n".join(lines) + "\n").encode())


def station_list_bytes(folder: Path) -> bytes:
    """A station list as the library expects it: an SQLite file."""
    path = folder / "stations.db"
    path.unlink(missing_ok=True)
    db = sqlite3.connect(path)
    db.executescript(
        "CREATE TABLE stations (id TEXT, country TEXT, region TEXT, latitude REAL, longitude REAL, "
        "elevation INTEGER,"
        " timezone TEXT);"
        "CREATE TABLE names (station TEXT, language TEXT, name TEXT);"
        "CREATE TABLE identifiers (station TEXT, key TEXT, value TEXT);"
        "CREATE TABLE inventory (station TEXT, provider TEXT, parameter TEXT, start TEXT, end TEXT, "
        "completeness REAL);"
    )
    for key, name, latitude, longitude, elevation in STATIONS:
        db.execute(
            "INSERT INTO stations VALUES (?,?,?,?,?,?,?)",
            (key, "XX", None, latitude, longitude, elevation, "UTC"),
        )
        db.execute("INSERT INTO names VALUES (?,?,?)", (key, "en", name))
    db.commit()
    db.close()
    return path.read_bytes()


class BulkHost:
    """A loopback host; `files` maps a path to its bytes, `count` says how often each was asked for."""

    def __init__(self) -> None:
        self.files: dict[str, bytes] = {}
        self.count: dict[str, int] = {}
        self.silent = False
        self.drip = False
        self.dripping = ""  # only paths that begin so
        self.broken = False
        self.status: dict[str, int] = {}
        self.released = threading.Event()
        host = self

        class Handler(BaseHTTPRequestHandler):
            def do_GET(self) -> None:
                host.count[self.path] = host.count.get(self.path, 0) + 1
                if host.silent:
                    host.released.wait(30)
                    return
                body = host.files.get(self.path)
                if host.broken or body is None or self.path in host.status:
                    self.send_response(host.status.get(self.path, 500 if host.broken else 404))
                    self.end_headers()
                    return
                self.send_response(200)
                self.send_header("Content-Length", str(len(body)))
                self.end_headers()
                if host.drip and self.path.startswith(host.dripping):
                    for i in range(len(body)):
                        if host.released.wait(0.05):
                            return
                        self.wfile.write(body[i : i + 1])
                    return
                self.wfile.write(body)

            def log_message(self, *_: object) -> None:
                pass

        self.server = ThreadingHTTPServer(("127.0.0.1", 0), Handler)
        self.server.daemon_threads = True
        threading.Thread(target=self.server.serve_forever, daemon=True).start()

    @property
    def address(self) -> str:
        return f"http://127.0.0.1:{self.server.server_address[1]}"

    def environment(self) -> dict[str, str]:
        """What points a program of its own at this host."""
        return {
            "MS_DAILY_ENDPOINT": self.address + "/daily/{year}/{station}.csv.gz",
            "MS_HOURLY_ENDPOINT": self.address + "/hourly/{year}/{station}.csv.gz",
            "MS_STATIONS_DB_ENDPOINTS": f'["{self.address}/stations.db"]',
        }

    def serve(
        self, folder: Path, years: range, last: date, label: Callable[[date], str], hourly: bool = False
    ) -> None:
        """Hold the station list and the bulk files of all stations."""
        self.files["/stations.db"] = station_list_bytes(folder)
        for key, _, _, _, elevation in STATIONS:
            for year in years:
                self.files[f"/daily/{year}/{key}.csv.gz"] = daily_bytes(year, elevation, last, label)
                if hourly:
                    self.files[f"/hourly/{year}/{key}.csv.gz"] = hourly_bytes(year, elevation, last)

    def close(self) -> None:
        self.released.set()
        self.server.shutdown()
        self.server.server_close()


@contextmanager
def pointed_at(host: BulkHost) -> Iterator[None]:
    """Point the library, in this program, at a host by its own settings, and back."""
    from meteostat import config

    before = config.daily_endpoint, config.hourly_endpoint, config.stations_db_endpoints
    config.daily_endpoint = host.address + "/daily/{year}/{station}.csv.gz"
    config.hourly_endpoint = host.address + "/hourly/{year}/{station}.csv.gz"
    config.stations_db_endpoints = [host.address + "/stations.db"]
    try:
        yield
    finally:
        config.daily_endpoint, config.hourly_endpoint, config.stations_db_endpoints = before

"""Readers of what comes from elsewhere: weather, its stations and stores, distances."""

from __future__ import annotations

import contextlib
from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import Any

from fuelplan.dispatch.roads.sources import RoadFileFaults, read_matrix
from fuelplan.dispatch.roads.sources.leg_store import LegStore
from fuelplan.dispatch.roads.sources.table_service import _tables
from fuelplan.weather import Place
from fuelplan.weather.sources import FileRequest, load
from fuelplan.weather.sources.meteostat_fetch import fetch_year, look_nearby
from fuelplan.weather.sources.store import Rows, WeatherStore
from tests.campaigns.seeds import STATION

SOUND, REFUSED = "sound", "refused"
HERE = Place(47.0, 9.0, 600.0, "Europe/Zurich")


def weather(place: Path, data: bytes) -> str:
    path = place / "weather.csv"
    path.write_bytes(data)
    # The options come from the file, so that the same input is read the same way.
    number = sum(data[:200])
    options: dict[str, Any] = {
        "unit": ("degC", "degF", "K")[number % 3],
        "decimal": ".,"[number % 2],
        "date_format": (None, None, "%d.%m.%Y", "%Y%Y", "%", "%H:%M")[number % 6],
        "clock": ("local", "standard", "utc")[number % 3],
    }
    load(FileRequest(path, **(options if number % 4 == 0 else {})), HERE)
    return SOUND


def epw(place: Path, data: bytes) -> str:
    path = place / "weather.epw"
    path.write_bytes(data)
    load(FileRequest(path), HERE)
    return SOUND


def bulk(step: str) -> Callable[[Path, bytes], str]:
    """Return a call that lets the weather library read a bulk file, as if a server had sent it."""

    def call(place: Path, data: bytes) -> str:
        import time

        from meteostat import config

        (place / "bulk.csv.gz").write_bytes(data)
        before = config.daily_endpoint, config.hourly_endpoint
        config.daily_endpoint = config.hourly_endpoint = f"file://{place}/bulk.csv.gz"
        try:
            found = fetch_year(STATION, step, 2024, 5.0, time.monotonic() + 20, 20.0)  # type: ignore[arg-type]
        finally:
            config.daily_endpoint, config.hourly_endpoint = before
        if found.rows is None:
            return REFUSED
        with WeatherStore(place / "kept.sqlite") as store:
            store.keep_year("T0001", step, 2024, found.rows, _none(), date(2025, 1, 1), found.attribution)
            store.read("T0001", step, 0, 10**6)
        return SOUND

    return call


def _none() -> Rows:
    from fuelplan.weather.sources.store import rows_of

    return rows_of([])


def stations(place: Path, data: bytes) -> str:
    import time

    from meteostat import config

    from fuelplan.weather.sources.meteostat_fetch import HostSilent

    (place / "stations.db").write_bytes(data)
    before = config.stations_db_endpoints
    config.stations_db_endpoints = [f"file://{place}/stations.db"]
    try:
        look_nearby(HERE, 50.0, 4, 5.0, time.monotonic() + 20, 20.0)
    except HostSilent:  # its callers turn it into words
        return REFUSED
    finally:
        config.stations_db_endpoints = before
    return SOUND


def store(place: Path, data: bytes) -> str:
    path = place / "store.sqlite"
    for ending in ("", "-wal", "-shm"):
        Path(f"{path}{ending}").unlink(missing_ok=True)
    path.write_bytes(data)
    with WeatherStore(path) as store:
        store.fetches("T0001", "daily")
        store.read("T0001", "daily", 0, 10**6)
        for day in store.forecast_days(("T0001",), "daily", date(2030, 1, 1)):
            store.latest_forecast("T0001", "daily", day)
        store.nearby("47.000,9.000,50")
    return SOUND


def legs(place: Path, data: bytes) -> str:
    path = place / "legs.sqlite"
    for ending in ("", "-wal", "-shm"):
        Path(f"{path}{ending}").unlink(missing_ok=True)
    path.write_bytes(data)
    LegStore(path, "http://localhost:5000", "driving").read([47.0, 47.1], [9.0, 9.1])
    return SOUND


def matrix(place: Path, data: bytes) -> str:
    path = place / "roads.csv"
    path.write_bytes(data)
    if data[:1] == b"k":
        with contextlib.suppress(RoadFileFaults):
            read_matrix(path, minutes_path=path)
    read_matrix(path)
    return SOUND


def service(_: Path, data: bytes) -> str:
    _tables(data, 2, 2, "localhost")
    return SOUND

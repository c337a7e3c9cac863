"""Station weather through the real library, against a host on this machine: fetched once, kept soundly,
told honestly."""

from __future__ import annotations

import os
import signal
import socket
import sqlite3
import subprocess
import sys
import time
from collections.abc import Iterator
from datetime import date, timedelta
from pathlib import Path

import numpy as np
import pytest

from fuelplan.weather import Origin, Place
from fuelplan.weather.sources import MeteostatRequest, WeatherUnavailable
from fuelplan.weather.sources.meteostat_source import load_meteostat
from fuelplan.weather.sources.store import WeatherStore
from tests.weather_bulk_files import BulkHost, pointed_at, sea_level_c, station_c

TODAY = date(2026, 1, 15)
HERE = Place(47.01, 9.01, 600.0, "Europe/Zurich")


def label(day: date) -> str:
    """Observed up to yesterday, a mixture today, a forecast after; and one model row in the past."""
    if day == date(2025, 3, 3) or day > TODAY:
        return "dwd_mosmix"
    return "dwd_poi dwd_mosmix" if day == TODAY else "isd_lite"


@pytest.fixture
def host(tmp_path: Path) -> Iterator[BulkHost]:
    """A host with three stations, 2023 to the forecast of 25 January 2026."""
    bulk = BulkHost()
    bulk.serve(tmp_path, range(2023, 2027), date(2026, 1, 25), label)
    with pointed_at(bulk):
        yield bulk
    bulk.close()


def ask(tmp_path: Path, **changes: object) -> MeteostatRequest:
    """A request with short patience."""
    settings: dict[str, object] = {
        "first_day": date(2025, 1, 1), "stations": 2, "store_path": tmp_path / "weather.sqlite",
        "timeout_s": 1.0, "total_s": 20.0,
    }  # fmt: skip
    return MeteostatRequest(**{**settings, **changes})  # type: ignore[arg-type]


def test_stations_are_blended_at_the_height_of_the_place(host: BulkHost, tmp_path: Path) -> None:
    """Two stations at other heights, corrected by 6.5 K per km, give the temperature of the place between
    them."""
    loaded = load_meteostat(ask(tmp_path), HERE, None, None, TODAY)
    weather = loaded.weather
    assert (weather.first_day, weather.last_day) == (date(2025, 1, 1), TODAY)
    expected = np.array(
        [sea_level_c(weather.first_day + timedelta(days=i)) - 3.9 for i in range(len(weather))]
    )
    assert np.abs(weather.mean_c - expected).max() <= 0.05 + 1e-9  # files print tenths
    assert np.allclose(weather.max_c - weather.min_c, 8.0)
    assert (weather.humidity_pct == 80).all()
    assert weather.sources[0].licence == "CC BY 4.0"
    assert weather.sources[0].attribution.startswith("Meteostat")
    name = str(weather.sources[0].name)
    assert "Lower mill" in name and "Upper farm" in name


def test_model_rows_and_the_forecast_are_told_apart(host: BulkHost, tmp_path: Path) -> None:
    """A row whose label holds a forecast provider is a model's; days after today are the forecast, never
    the record."""
    loaded = load_meteostat(ask(tmp_path), HERE, None, None, TODAY)
    origin = loaded.weather.origin
    assert origin[loaded.weather.index_of(date(2025, 3, 3))] == Origin.MODEL
    assert origin[loaded.weather.index_of(TODAY)] == Origin.MODEL
    assert (origin == Origin.OBSERVED).sum() == len(origin) - 2
    assert loaded.forecast is not None
    assert loaded.forecast.issued_on == TODAY and len(loaded.forecast) == 10
    assert loaded.forecast.mean_c[0] == pytest.approx(sea_level_c(date(2026, 1, 16)) - 3.9, abs=0.06)


def test_nothing_after_as_of_is_read(host: BulkHost, tmp_path: Path) -> None:
    """With an earlier `as_of` the record ends there, and a forecast fetched later is not used."""
    load_meteostat(ask(tmp_path), HERE, None, None, TODAY)
    loaded = load_meteostat(ask(tmp_path), HERE, date(2025, 12, 1), None, TODAY)
    assert loaded.weather.last_day == date(2025, 12, 1)
    assert loaded.forecast is None


def test_only_what_is_new_is_fetched(host: BulkHost, tmp_path: Path) -> None:
    """A second look on the same day asks the host for nothing; the next day for the running years alone."""
    load_meteostat(ask(tmp_path), HERE, None, None, TODAY)
    host.count.clear()
    load_meteostat(ask(tmp_path), HERE, None, None, TODAY)
    assert host.count == {}
    load_meteostat(ask(tmp_path), HERE, None, None, TODAY + timedelta(days=1))
    years = {path.split("/")[2] for path in host.count}
    assert years == {"2025", "2026"}  # 2025 ended less than 45 days ago


def test_offline_with_a_full_store(host: BulkHost, tmp_path: Path) -> None:
    """Without a host the store answers, and a note says how old it is."""
    first = load_meteostat(ask(tmp_path), HERE, None, None, TODAY)
    host.close()
    later = TODAY + timedelta(days=2)
    loaded = load_meteostat(ask(tmp_path), HERE, None, None, later)
    kept = loaded.weather.mean_c[: len(first.weather)]
    assert np.array_equal(kept, first.weather.mean_c)
    assert np.isnan(loaded.weather.mean_c[-2:]).all()
    assert any("2 days ago" in str(note) for note in loaded.notes)
    assert loaded.forecast is not None and loaded.forecast.issued_on == TODAY


def test_offline_with_an_empty_store_says_what_to_do(host: BulkHost, tmp_path: Path) -> None:
    """With neither host nor store the error names the way out, for downloads and for `offline` alike."""
    host.close()
    for request in (ask(tmp_path), ask(tmp_path, offline=True)):
        with pytest.raises(WeatherUnavailable, match="connect to the internet once, or use a weather file"):
            load_meteostat(request, HERE, None, None, TODAY)


def test_a_missing_year_is_told(host: BulkHost, tmp_path: Path) -> None:
    """A year that one station lacks comes from the other; one that both lack is reported, and not asked for
    again."""
    del host.files["/daily/2025/T0001.csv.gz"]
    loaded = load_meteostat(ask(tmp_path), HERE, None, None, TODAY)
    assert np.isfinite(loaded.weather.mean_c).all()
    for key in ("T0001", "T0002", "T0003"):
        host.files.pop(f"/daily/2024/{key}.csv.gz")
    loaded = load_meteostat(ask(tmp_path, first_day=date(2024, 1, 1)), HERE, None, None, TODAY)
    assert any("2024: 366" in str(note) for note in loaded.notes)
    assert np.isnan(loaded.weather.mean_c[:366]).all()
    host.count.clear()
    load_meteostat(ask(tmp_path, first_day=date(2024, 1, 1)), HERE, None, None, TODAY)
    assert host.count == {}


def test_a_silent_host_is_bounded(host: BulkHost, tmp_path: Path) -> None:
    """A host that takes the call and says nothing costs one time-out, not one per station and year."""
    load_meteostat(ask(tmp_path), HERE, None, None, TODAY)
    host.silent = True
    host.count.clear()
    before, start = socket.getdefaulttimeout(), time.monotonic()
    loaded = load_meteostat(ask(tmp_path, first_day=date(2023, 1, 1), timeout_s=0.4), HERE, None, None, TODAY)
    assert time.monotonic() - start < 10  # two patient minutes would be the library's own way
    assert sum(host.count.values()) == 1
    assert socket.getdefaulttimeout() == before
    assert any("Nothing new could be fetched" in str(note) for note in loaded.notes)
    assert np.isfinite(loaded.weather.between(date(2025, 1, 1), TODAY).mean_c).all()


def test_a_dripping_host_is_bounded(host: BulkHost, tmp_path: Path) -> None:
    """A host that sends a byte now and then, so that no read ever times out, is given up after the total
    time."""
    load_meteostat(ask(tmp_path), HERE, None, None, TODAY)
    host.drip = True
    start = time.monotonic()
    loaded = load_meteostat(ask(tmp_path, first_day=date(2024, 1, 1), total_s=0.6), HERE, None, None, TODAY)
    assert time.monotonic() - start < 10
    assert any("no answer within" in str(note) for note in loaded.notes)


@pytest.mark.parametrize("damage", ["truncated", "rubbish", "empty", "wrong columns", "server error"])
def test_a_broken_file_never_harms_the_store(host: BulkHost, tmp_path: Path, damage: str) -> None:
    """A broken refresh leaves every good row, and the year is asked for again."""
    import gzip

    first = load_meteostat(ask(tmp_path), HERE, None, None, TODAY)
    good = dict(host.files)
    for path in [p for p in host.files if p.startswith(("/daily/2026", "/daily/2025"))]:
        body = host.files[path]
        host.files[path] = {
            "truncated": body[: len(body) // 2],
            "rubbish": b"\x00\xff<html>nothing here</html>",
            "empty": b"",
            "wrong columns": gzip.compress(b"a,b,c,d\n1,2,3,4\n"),
            "server error": body,
        }[damage]
    host.broken = damage == "server error"
    tomorrow = TODAY + timedelta(days=1)
    loaded = load_meteostat(ask(tmp_path), HERE, None, None, tomorrow)
    assert np.array_equal(loaded.weather.mean_c[: len(first.weather)], first.weather.mean_c)
    assert loaded.notes
    host.files, host.broken = good, False
    healed = load_meteostat(ask(tmp_path), HERE, None, None, tomorrow)
    assert np.isfinite(healed.weather.mean_c).all()


def test_a_worse_row_never_replaces_a_better_one(host: BulkHost, tmp_path: Path) -> None:
    """A later file with a model's value, or none, where there was an observation changes nothing; an
    observation does."""
    first = load_meteostat(ask(tmp_path), HERE, None, None, TODAY)
    day = date(2026, 1, 10)
    for key, elevation in (("T0001", 500), ("T0002", 900), ("T0003", 1500)):
        header = "year,month,day,temp,temp_source,tmin,tmin_source,tmax,tmax_source,rhum,rhum_source\n"
        rows = "2026,1,9,,,,,,,,\n2026,1,10,30.0,dwd_mosmix,,,,,,\n"
        rows += f"2026,1,11,{-20 - elevation / 1e3:.1f},isd_lite,,,,,,\n"
        import gzip

        host.files[f"/daily/2026/{key}.csv.gz"] = gzip.compress((header + rows).encode())
    loaded = load_meteostat(ask(tmp_path), HERE, None, None, TODAY + timedelta(days=1))
    i = first.weather.index_of(day)
    assert loaded.weather.mean_c[i] == first.weather.mean_c[i]
    assert loaded.weather.mean_c[i - 1] == first.weather.mean_c[i - 1]
    assert loaded.weather.mean_c[i + 1] < -15
    assert loaded.weather.humidity_pct[i + 1] == 80  # what the new row does not know, the old one still says


def test_hours_in_utc_become_local_days(host: BulkHost, tmp_path: Path) -> None:
    """Hourly rows are blended, put on the local clock with summer time, and averaged over local days."""
    host.serve(tmp_path, range(2024, 2026), date(2025, 12, 31), label, hourly=True)
    request = ask(tmp_path, resolution="hourly", first_day=date(2024, 3, 1), last_day=date(2024, 11, 30))
    weather = load_meteostat(request, HERE, None, None, date(2025, 12, 31)).weather
    assert weather.hourly_c is not None and weather.hourly_c.shape == (275, 24)
    assert np.isfinite(weather.mean_c).all() and (weather.humidity_pct == 75).all()
    warmest = np.nanargmax(weather.hourly_c, axis=1)
    # The wave peaks at 14 UTC: 15 by the winter clock of Zurich, 16 by the summer clock.
    assert set(warmest[5:25]) == {15}
    assert set(warmest[40:200]) == {16}
    middle = weather.index_of(date(2024, 7, 10))
    by_hand = [station_c(date(2024, 7, 10), 600.0)] * 22 + [station_c(date(2024, 7, 9), 600.0)] * 2
    wave = 4.0 * np.cos(2 * np.pi * (np.arange(24) - 14) / 24)
    assert weather.mean_c[middle] == pytest.approx(np.mean(by_hand) + wave.mean(), abs=0.06)


RUN = """
import sys
from datetime import date
from pathlib import Path
from fuelplan.weather import Place
from fuelplan.weather.sources import MeteostatRequest
from fuelplan.weather.sources.meteostat_source import load_meteostat
request = MeteostatRequest(date(2023, 1, 1), stations=3, store_path=Path(sys.argv[1]), timeout_s=5.0)
loaded = load_meteostat(request, Place(47.01, 9.01, 600.0, "UTC"), None, lambda text: print(text, flush=True),
                        date(2026, 1, 15))
print("days", len(loaded.weather))
"""


def run(host: BulkHost, store: Path, **more: object) -> subprocess.Popen[str]:
    """Start a program of its own that loads three stations and four years."""
    return subprocess.Popen(
        [sys.executable, "-c", RUN, str(store)], env={**os.environ, **host.environment()}, text=True,
        stdout=subprocess.PIPE, stderr=subprocess.PIPE, **more,  # type: ignore[call-overload]
    )  # fmt: skip


def whole_years(store: Path) -> dict[tuple[str, int], int]:
    """Rows in the store by station and year, after the database has checked itself."""
    db = sqlite3.connect(store)
    assert db.execute("PRAGMA integrity_check").fetchone()[0] == "ok"
    rows = db.execute("SELECT station, at FROM weather WHERE temp_c IS NOT NULL").fetchall()
    db.close()
    counts: dict[tuple[str, int], int] = {}
    for station, at in rows:
        key = (station, (date(1970, 1, 1) + timedelta(days=at)).year)
        counts[key] = counts.get(key, 0) + 1
    return counts


def test_a_killed_run_leaves_the_store_sound(host: BulkHost, tmp_path: Path) -> None:
    """Killed with SIGKILL half way, the store holds whole years only, and the next run completes it."""
    store = tmp_path / "killed.sqlite"
    program = run(host, store)
    assert program.stdout is not None
    for line in program.stdout:
        if "T0002" in line or "Upper farm 2024" in line:
            break
    program.send_signal(signal.SIGKILL)
    assert program.wait(10) == -signal.SIGKILL
    counts = whole_years(store)
    assert counts[("T0001", 2023)] == 365 and counts[("T0001", 2024)] == 366
    assert all(count in (15, 365, 366) for count in counts.values())
    assert ("T0003", 2025) not in counts  # it really was half way
    loaded = load_meteostat(ask(tmp_path, store_path=store, stations=3), HERE, None, None, TODAY)
    assert np.isfinite(loaded.weather.mean_c).all()


def test_two_programs_at_once_share_the_store(host: BulkHost, tmp_path: Path) -> None:
    """Two programs that fill one new store at the same moment both succeed, and every row is there once."""
    store = tmp_path / "shared" / "weather.sqlite"
    programs = [run(host, store) for _ in range(2)]
    answers = [program.communicate(timeout=60) for program in programs]
    assert [program.returncode for program in programs] == [0, 0], answers
    counts = whole_years(store)
    assert len(counts) == 12
    assert {counts[(station, 2025)] for station in ("T0001", "T0002", "T0003")} == {365}


def test_a_full_disk_leaves_the_store_sound(host: BulkHost, tmp_path: Path) -> None:
    """When the files may grow no further, the error says so, and all that was stored stays readable."""
    import resource

    store = tmp_path / "full.sqlite"
    load_meteostat(
        ask(tmp_path, store_path=store, first_day=date(2025, 1, 1), stations=1), HERE, None, None, TODAY
    )
    before = whole_years(store)

    def no_more_room() -> None:
        signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
        limit = store.stat().st_size + 4096
        resource.setrlimit(resource.RLIMIT_FSIZE, (limit, limit))

    program = run(host, store, preexec_fn=no_more_room)
    _, said = program.communicate(timeout=60)
    assert program.returncode == 1
    assert "free some disk space" in said
    after = whole_years(store)
    assert all(after[key] == count for key, count in before.items())
    loaded = load_meteostat(
        ask(tmp_path, store_path=store, offline=True, first_day=date(2025, 1, 1)), HERE, None, None, TODAY
    )
    assert np.isfinite(loaded.weather.mean_c).all()


@pytest.mark.parametrize(
    "damage", ["UPDATE fetched SET fetched_on = x'00ff'", "UPDATE fetched SET rows = 'many'",
               "UPDATE weather SET temp_c = 'warm'", "UPDATE nearby SET stations = '[1]'"],
)  # fmt: skip
def test_a_store_with_odd_contents_says_what_to_do(host: BulkHost, tmp_path: Path, damage: str) -> None:
    """A sound database with words for numbers in it, or bytes for a day, is named as damaged."""
    load_meteostat(ask(tmp_path), HERE, None, None, TODAY)
    db = sqlite3.connect(tmp_path / "weather.sqlite")
    db.execute(damage)
    db.commit()
    db.close()
    with pytest.raises(WeatherUnavailable, match="damaged; move it away"):
        load_meteostat(ask(tmp_path), HERE, None, None, TODAY)


def test_a_damaged_store_says_what_to_do(tmp_path: Path) -> None:
    """A file that is no store is left alone and named, and a store of a newer program is refused."""
    path = tmp_path / "weather.sqlite"
    path.write_bytes(b"this is no database, but somebody's notes" * 100)
    with pytest.raises(WeatherUnavailable, match="damaged; move it away"):
        WeatherStore(path)
    assert path.read_bytes().startswith(b"this is no database")
    newer = tmp_path / "newer.sqlite"
    with WeatherStore(newer) as store:
        assert store.check() == "ok"
    db = sqlite3.connect(newer)
    db.execute("PRAGMA user_version=99")
    db.close()
    with pytest.raises(WeatherUnavailable, match="newer program"):
        WeatherStore(newer)


def test_the_store_lies_in_the_cache_directory(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """The environment names the store; without it the user's cache directory holds it."""
    from fuelplan.weather.sources.store import default_path

    monkeypatch.setenv("FUELPLAN_WEATHER_STORE", str(tmp_path / "mine.sqlite"))
    assert default_path() == tmp_path / "mine.sqlite"
    monkeypatch.delenv("FUELPLAN_WEATHER_STORE")
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "cache"))
    monkeypatch.setattr(sys, "platform", "linux")
    assert default_path() == tmp_path / "cache" / "fuelplan" / "weather.sqlite"


def test_a_place_without_position_or_stations_is_refused(host: BulkHost, tmp_path: Path) -> None:
    """Stations are looked for around a position, and a radius that holds none says so."""
    with pytest.raises(WeatherUnavailable, match="latitude and longitude"):
        load_meteostat(ask(tmp_path), Place(), None, None, TODAY)
    with pytest.raises(WeatherUnavailable, match="widen the radius"):
        load_meteostat(ask(tmp_path, radius_km=5.0), Place(10.0, 10.0, 0.0), None, None, TODAY)

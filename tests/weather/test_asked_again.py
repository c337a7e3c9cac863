"""A weather server that was wrong once is asked again; what it says is bounded, told as it is, and ended."""

from __future__ import annotations

import gzip
import socket
import threading
from collections.abc import Iterator
from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path

import numpy as np
import pytest

from fuelplan.weather import Place
from fuelplan.weather.sources import Loaded, MeteostatRequest, WeatherUnavailable
from fuelplan.weather.sources.meteostat_source import load_meteostat
from fuelplan.weather.sources.store import WeatherStore
from tests.weather_bulk_files import BulkHost, pointed_at

TODAY = date(2026, 1, 15)
HERE = Place(47.01, 9.01, 600.0, "Europe/Zurich")
FIRST = date(2019, 2, 14)
DAYS = (TODAY - FIRST).days + 1


def label(_: date) -> str:
    """Everything observed."""
    return "isd_lite"


@pytest.fixture
def host(tmp_path: Path) -> Iterator[BulkHost]:
    """A host with three stations, 2019 to the spring of 2026."""
    bulk = BulkHost()
    bulk.serve(tmp_path, range(2019, 2027), date(2026, 4, 30), label)
    with pointed_at(bulk):
        yield bulk
    bulk.close()


def ask(tmp_path: Path, **changes: object) -> MeteostatRequest:
    """A request for seven years, with short patience."""
    settings: dict[str, object] = {
        "first_day": FIRST, "stations": 2, "store_path": tmp_path / "weather.sqlite",
        "timeout_s": 2.0, "total_s": 30.0,
    }  # fmt: skip
    return MeteostatRequest(**{**settings, **changes})  # type: ignore[arg-type]


def missing(loaded: Loaded) -> int:
    """Days without a temperature."""
    return int(np.isnan(loaded.weather.mean_c).sum())


def cut(body: bytes, lines: int = 30) -> bytes:
    """A table that ends after some lines, packed soundly."""
    return gzip.compress(b"\n".join(gzip.decompress(body).splitlines()[: lines + 1]) + b"\n")


@pytest.mark.parametrize("wrong", ["404", "cut short"])
def test_what_came_back_incomplete_is_asked_for_again(host: BulkHost, tmp_path: Path, wrong: str) -> None:
    """Once every table was missing or cut short; the next day, on a healthy server, no day is missing."""
    good = dict(host.files)
    for path in [p for p in good if p.startswith("/daily/") and not p.startswith("/daily/2026")]:
        if wrong == "404":
            del host.files[path]
        else:
            host.files[path] = cut(good[path])
    assert missing(load_meteostat(ask(tmp_path), HERE, None, None, TODAY)) > 2000
    host.files = good
    assert missing(load_meteostat(ask(tmp_path), HERE, None, None, TODAY + timedelta(days=1))) == 0


def test_a_store_that_got_stuck_before_heals(host: BulkHost, tmp_path: Path) -> None:
    """A store of an older program with empty years counts as one to be asked for again."""
    good = dict(host.files)
    host.files = {p: b for p, b in good.items() if not p.startswith("/daily/202") or "2026" in p}
    load_meteostat(ask(tmp_path), HERE, None, None, TODAY)
    with WeatherStore(tmp_path / "weather.sqlite") as store:
        store._db.execute("ALTER TABLE fetched DROP COLUMN tries")
        store._db.execute("PRAGMA user_version=1")
    host.files = good
    later = load_meteostat(ask(tmp_path), HERE, None, None, TODAY + timedelta(days=90))
    assert missing(load_meteostat(ask(tmp_path), HERE, TODAY, None, TODAY + timedelta(days=90))) == 0
    assert missing(later) == 0


def test_a_year_that_is_truly_empty_is_asked_for_ever_more_seldom(host: BulkHost, tmp_path: Path) -> None:
    """Asked again after 1, 2, 4 … 64 days, not at every look: half a year: seven times."""
    for key in ("T0001", "T0002", "T0003"):
        del host.files[f"/daily/2020/{key}.csv.gz"]
    days = []
    for n in (0, 1, 2, 3, 6, 7, 14, 15, 30, 31, 62, 63, 126, 127, 190):
        host.count.clear()
        load_meteostat(ask(tmp_path), HERE, TODAY, None, TODAY + timedelta(days=n))
        if any(path.startswith("/daily/2020") for path in host.count):
            days.append(n)
        assert not any(path.startswith(("/daily/2019", "/daily/2021")) and n for path in host.count)
    assert days == [0, 1, 3, 7, 15, 31, 63, 127]


WRONG = {"ten times": lambda t: t * 10 + 600, "9999": lambda _: 9999.0, "inf": lambda _: float("inf")}


def spoilt(body: bytes, days: range, value: object) -> bytes:
    """A table with the temperatures of some of its days changed."""
    lines = gzip.decompress(body).decode().splitlines()
    for i in days:
        cells = lines[1 + i].split(",")
        cells[3] = str(value(float(cells[3])))  # type: ignore[operator]
        lines[1 + i] = ",".join(cells)
    return gzip.compress(("\n".join(lines) + "\n").encode())


@pytest.mark.parametrize("kind", list(WRONG))
def test_impossible_temperatures_never_reach_the_store(host: BulkHost, tmp_path: Path, kind: str) -> None:
    """A few are left out and told; the day is had again from the healthy table."""
    good = dict(host.files)
    for path in [p for p in good if p.startswith("/daily/2022")]:
        host.files[path] = spoilt(good[path], range(40, 43), WRONG[kind])
    loaded = load_meteostat(ask(tmp_path), HERE, None, None, TODAY)
    assert missing(loaded) == 3
    assert any("2022: 3 values outside of -60 to 55 °C" in str(note) for note in loaded.notes)
    with WeatherStore(tmp_path / "weather.sqlite") as store:
        low, high = store._db.execute("SELECT min(temp_c), max(temp_c) FROM weather").fetchone()
    assert low >= -60 and high <= 55
    host.files = good
    assert missing(load_meteostat(ask(tmp_path), HERE, None, None, TODAY + timedelta(days=1))) == 0


def test_a_table_that_is_wrong_throughout_is_not_believed_at_all(host: BulkHost, tmp_path: Path) -> None:
    """Ten times too high, its winter looks like summer: where many values are impossible, none is kept."""
    good = dict(host.files)
    for path in [p for p in good if p.startswith("/daily/2022")]:
        host.files[path] = spoilt(good[path], range(365), lambda t: round(t * 10, 1))
    loaded = load_meteostat(ask(tmp_path), HERE, None, None, TODAY)
    assert missing(loaded) == 365
    assert any("2022" in str(note) and "not used" in str(note) for note in loaded.notes)
    host.files = good
    assert missing(load_meteostat(ask(tmp_path), HERE, None, None, TODAY)) == 0


@pytest.mark.parametrize(
    ("status", "said"),
    [
        (403, "refuses"),
        (401, "refuses"),
        (429, "too many questions"),
        (500, "trouble of its own"),
        (503, "trouble of its own"),
    ],
)
@pytest.mark.parametrize("where", ["stations", "tables"])
def test_what_the_server_says_is_told(
    host: BulkHost, tmp_path: Path, status: int, said: str, where: str
) -> None:
    """The number it answers with, in words, and what to do: neither radius nor network is to blame."""
    prefix = "/stations" if where == "stations" else "/daily"
    host.status = {path: status for path in host.files if path.startswith(prefix)}
    with pytest.raises(WeatherUnavailable) as caught:
        load_meteostat(ask(tmp_path), HERE, None, None, TODAY)
    text = str(caught.value)
    assert said in text and str(status) in text
    assert "radius" not in text and "connect to the internet" not in text and "weather file" in text
    assert sum(host.count.values()) <= 5, "a server that says no is not asked hundreds of times"


def test_a_web_page_is_no_list_of_stations(host: BulkHost, tmp_path: Path) -> None:
    """The sign-in page of a network, sent for everything: said as what it is, without a word of SQL."""
    good = dict(host.files)
    page = b"<!DOCTYPE html><html><body>Please sign in</body></html>"
    host.files = dict.fromkeys(good, page)
    with pytest.raises(WeatherUnavailable, match="web page") as caught:
        load_meteostat(ask(tmp_path), HERE, None, None, TODAY)
    assert "sql" not in str(caught.value).lower() and "database" not in str(caught.value).lower()
    host.files = {**host.files, "/stations.db": good["/stations.db"]}
    with pytest.raises(WeatherUnavailable, match="web page"):
        load_meteostat(ask(tmp_path), HERE, None, None, TODAY)


def test_a_server_of_one_byte_at_a_time_has_an_end(host: BulkHost, tmp_path: Path) -> None:
    """Less than a piece within the patience for one: given up long before the total time."""
    for first in ("stations", "tables"):
        host.drip = True
        if first == "tables":
            host.dripping = "/daily"
        with pytest.raises(WeatherUnavailable, match="too slow"):
            load_meteostat(ask(tmp_path, slow_s=0.3, total_s=1000.0), HERE, None, None, TODAY)
    assert MeteostatRequest(FIRST).slow_s == 60.0


def test_refetch_takes_the_years_anew(host: BulkHost, tmp_path: Path) -> None:
    """Wrong but possible values of a settled year are replaced, rows that the server no longer has go, and a
    year that cannot be had now stays as it was."""
    good = dict(host.files)
    for path in [p for p in good if p.startswith(("/daily/2021", "/daily/2022"))]:
        host.files[path] = spoilt(good[path], range(365), lambda t: t + 7)
    wrong = load_meteostat(ask(tmp_path), HERE, None, None, TODAY).weather
    host.files = dict(good)
    for path in [p for p in good if p.startswith("/daily/2022")]:
        host.files[path] = b""
    for path in [p for p in good if p.startswith("/daily/2021")]:
        host.files[path] = cut(good[path], 100)
    assert np.array_equal(load_meteostat(ask(tmp_path), HERE, None, None, TODAY).weather.mean_c, wrong.mean_c)
    host.count.clear()
    loaded = load_meteostat(replace(ask(tmp_path), refetch=True), HERE, None, None, TODAY)
    anew = loaded.weather
    assert "/stations.db" in host.count and len(host.count) >= 2 * 8 + 1
    year = slice(anew.index_of(date(2021, 1, 1)), anew.index_of(date(2022, 1, 1)))
    assert np.isfinite(anew.mean_c[year]).sum() == 100
    assert np.allclose(anew.mean_c[year][:100], wrong.mean_c[year][:100] - 7)
    same = slice(anew.index_of(date(2022, 1, 1)), anew.index_of(date(2023, 1, 1)))
    assert np.array_equal(anew.mean_c[same], wrong.mean_c[same])
    assert any("2022" in str(note) and "could not be read" in str(note) for note in loaded.notes)


def test_two_visits_that_fetch_at_once_change_no_setting_of_the_program(
    host: BulkHost, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The pages serve several people from one program: while two fetch at once, the time-out of all sockets
    is never touched, and afterwards every setting of the library is the old one.
    """
    from meteostat import config

    touched: list[float | None] = []
    monkeypatch.setattr(socket, "setdefaulttimeout", touched.append)
    before = dict(vars(config))
    found: list[int] = []

    def visit(number: int) -> None:
        request = ask(tmp_path, store_path=tmp_path / f"{number}.sqlite")
        found.append(missing(load_meteostat(request, HERE, None, None, TODAY)))

    threads = [threading.Thread(target=visit, args=(number,)) for number in range(2)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(30)
    assert found == [0, 0]
    assert touched == [] and vars(config) == before

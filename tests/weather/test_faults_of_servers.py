"""Servers that send without end, too much, rubbish, or never come to the point: a sentence, and an end."""

from __future__ import annotations

import gzip
import io
import json
import socket
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import date, timedelta
from functools import partial
from pathlib import Path

import numpy as np
import pytest

from fuelplan.dispatch.roads.sources import RoadServiceError, TableService, roads_from_service, table_service
from fuelplan.messages import message
from fuelplan.weather import Place
from fuelplan.weather.sources import MeteostatRequest, WeatherUnavailable, bounded
from fuelplan.weather.sources.meteostat_source import load_meteostat
from fuelplan.weather.sources.store import WeatherStore
from tests.weather_bulk_files import BulkHost, pointed_at

TODAY = date(2026, 1, 15)
HERE = Place(47.01, 9.01, 600.0, "Europe/Zurich")


@pytest.fixture
def host(tmp_path: Path) -> Iterator[BulkHost]:
    """A host with three stations, 2025 and 2026."""
    bulk = BulkHost()
    bulk.serve(tmp_path, range(2025, 2027), date(2026, 1, 20), _label)
    with pointed_at(bulk):
        yield bulk
    bulk.close()


def _label(_: date) -> str:
    return "isd_lite"


def ask(tmp_path: Path) -> MeteostatRequest:
    """A request with short patience."""
    return MeteostatRequest(
        first_day=date(2025, 1, 1),
        stations=2,
        store_path=tmp_path / "weather.sqlite",
        timeout_s=1.0,
        total_s=20,
    )


BOMB = gzip.compress(b"year,month,day,temp,temp_source\n" + b"0" * 3_000_000)
ODD = {
    "a bomb": BOMB,
    "gzip in gzip": gzip.compress(gzip.compress(b"year,month,day\n")),
    "a wrong check sum": gzip.compress(b"year,month,day,temp\n2025,1,1,3\n")[:-8] + b"\x00" * 8,
    "a table of a thousand columns": gzip.compress(("a," * 3000 + "b\n" + "1," * 3000 + "1\n").encode()),
    "words for numbers": gzip.compress(b"year,month,day,temp,temp_source\n2025,1,1,cold,x\n"),
    "an empty name of a column": gzip.compress(b"year,month,day,temp,,tmin\n2025,1,1,3,isd,1\n"),
    "days that are none": gzip.compress(b"year,month,day,temp,temp_source\n2025,13,45,3,x\n"),
    "numbers without end": gzip.compress(
        b"year,month,day,temp,temp_source\n2025,1,1," + b"9" * 5000 + b",x\n"
    ),
}


@pytest.mark.parametrize("kind", list(ODD))
def test_odd_weather_files_leave_the_store_and_are_told(
    host: BulkHost, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, kind: str
) -> None:
    """The good rows stay, the record goes on, and a note says that a file could not be read."""
    first = load_meteostat(ask(tmp_path), HERE, None, None, TODAY)
    monkeypatch.setattr(bounded, "MOST_UNPACKED", 1_000_000)
    for path in [p for p in host.files if p.startswith("/daily/2026")]:
        host.files[path] = ODD[kind]
    loaded = load_meteostat(ask(tmp_path), HERE, None, None, TODAY + timedelta(days=1))
    assert np.array_equal(loaded.weather.mean_c[: len(first.weather)], first.weather.mean_c)
    assert any("2026" in str(note) for note in loaded.notes)
    if kind == "a bomb":
        assert any("more than 1 MB were sent" in str(note) for note in loaded.notes)


def test_a_weather_server_that_never_stops_sending_is_cut_off(
    host: BulkHost, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """No more is taken than any such file has, of a year's weather and of the list of stations alike."""
    monkeypatch.setattr(bounded, "MOST_PACKED", 300_000)
    monkeypatch.setattr(bounded, "MOST_STATIONS", 300_000)
    good = dict(host.files)
    host.files = {path: body + b"\x00" * 2_000_000 for path, body in good.items()}
    with pytest.raises(WeatherUnavailable, match=r"none could be looked up \(the list of stations"):
        load_meteostat(ask(tmp_path), HERE, None, None, TODAY)
    host.files["/stations.db"] = good["/stations.db"]
    with pytest.raises(WeatherUnavailable, match="could not be read"):
        load_meteostat(ask(tmp_path), HERE, None, None, TODAY)
    host.files = good
    assert np.isfinite(load_meteostat(ask(tmp_path), HERE, None, None, TODAY).weather.mean_c).all()


def test_gzip_is_unpacked_to_a_limit(monkeypatch: pytest.MonkeyPatch) -> None:
    """A small file that unpacks to a large one is given up at the limit, a sound one comes out whole."""
    assert bounded.unpacked(gzip.compress(b"abc" * 1000)) == b"abc" * 1000
    monkeypatch.setattr(bounded, "MOST_UNPACKED", 100_000)
    with pytest.raises(bounded.TooMuch):
        bounded.unpacked(gzip.compress(b"0" * 10_000_000))
    with pytest.raises(EOFError):
        bounded.unpacked(gzip.compress(b"abc" * 1000)[:-12])
    with pytest.raises(OSError):
        bounded.unpacked(b"no gzip at all")


def test_the_clock_was_ahead_when_weather_was_fetched(host: BulkHost, tmp_path: Path) -> None:
    """A year fetched while the clock stood in 2035 is asked for again once it is right."""
    load_meteostat(ask(tmp_path), HERE, None, None, TODAY)
    with WeatherStore(tmp_path / "weather.sqlite") as store:
        store._db.execute("UPDATE fetched SET fetched_on = '2035-06-01'")
        store._db.execute("UPDATE nearby SET fetched_on = '2035-06-01'")
    host.count.clear()
    load_meteostat(ask(tmp_path), HERE, None, None, TODAY + timedelta(days=1))
    assert {path.split("/")[2] for path in host.count if path.startswith("/daily")} >= {"2025", "2026"}
    assert "/stations.db" in host.count


@contextmanager
def speaking(words: Callable[[socket.socket], None]) -> Iterator[str]:
    """Serve connections, one after the other, by a function that speaks on them; yield the address."""
    ear = socket.create_server(("127.0.0.1", 0))
    over = threading.Event()

    def serve() -> None:
        while not over.is_set():
            try:
                caller, _ = ear.accept()
            except OSError:
                return
            with caller:
                caller.settimeout(5)
                try:
                    caller.recv(65_536)
                    words(caller)
                except OSError:
                    pass

    thread = threading.Thread(target=serve, daemon=True)
    thread.start()
    try:
        yield f"http://127.0.0.1:{ear.getsockname()[1]}"
    finally:
        over.set()
        ear.close()
        thread.join(0.1)  # it may still be speaking


def _continue_for_ever(caller: socket.socket) -> None:
    for _ in range(100_000):
        caller.sendall(b"HTTP/1.1 100 Continue\r\n\r\n")


def _one_letter_at_a_time(caller: socket.socket) -> None:
    caller.sendall(b"HTTP/1.1 200 OK\r\nX-Slow: ")
    for _ in range(2000):
        caller.sendall(b"a")
        threading.Event().wait(0.02)


def _headers_without_end(caller: socket.socket) -> None:
    caller.sendall(b"HTTP/1.1 200 OK\r\n")
    for _ in range(100_000):
        caller.sendall(b"X-More: yes\r\n")


def _a_terminal_steered(caller: socket.socket) -> None:
    body = b'{"code": "No", "message": "\\u001b[2J"}'
    caller.sendall(b"HTTP/1.1 400 Bad\r\nContent-Length: %d\r\n\r\n" % len(body) + body)


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (_continue_for_ever, "did not"),
        (_one_letter_at_a_time, "did not"),
        (_headers_without_end, "not a web page"),
        (_a_terminal_steered, "refused the question"),
    ],
)
def test_a_table_service_that_never_comes_to_the_point(
    tmp_path: Path, words: Callable[[socket.socket], None], said: str
) -> None:
    """Asking has an end even where every single wait is short enough."""
    with speaking(words) as address, pytest.raises(RoadServiceError, match=said):
        roads_from_service(TableService(address, time_out_s=0.4), [47.0, 47.1], [9.0, 9.1], tmp_path / "s")


def test_a_slow_table_service_is_given_up_in_the_time_for_one_question(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Asked twice, together no longer than one question has: 20 s for a service that a folder names."""
    given: list[float] = []

    def slow(_: object, __: str, time_out_s: float, *___: object) -> bytes:
        given.append(time_out_s)
        raise table_service.TryAgain(message("test.silent", "the host did not answer"))

    monkeypatch.setattr(table_service, "get", slow)
    with pytest.raises(RoadServiceError, match="asked twice"):
        roads_from_service(TableService("http://localhost:1"), [47.0, 47.1], [9.0, 9.1], tmp_path / "s")
    assert len(given) == 2 and sum(given) <= 20


def _say(answer: bytes, caller: socket.socket) -> None:
    caller.sendall(answer)


@pytest.mark.parametrize("sign", ["\n", "\r\n", "\u2028", "\x85"])
def test_what_a_table_service_says_prints_no_line_of_its_own(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], sign: str
) -> None:
    """A line break in its message, or in a cell of its table, is a space: no line is forged."""
    bodies = [
        json.dumps({"code": "No", "message": f"a{sign}fuelplan: order 9 t today"}),
        json.dumps({"code": "Ok", "distances": [[0, f"b{sign}fuelplan: x"]] * 2, "durations": [[0, 1]] * 2}),
    ]
    for body in bodies:
        answer = b"HTTP/1.1 200 OK\r\nContent-Length: %d\r\n\r\n" % len(body) + body.encode()
        says = partial(_say, answer)
        with speaking(says) as address, pytest.raises(RoadServiceError) as caught:
            roads_from_service(TableService(address), [47.0, 47.1], [9.0, 9.1], tmp_path / "s")
        assert len(str(caught.value).splitlines()) == 1 and "fuelplan:" in str(caught.value)


def test_what_a_server_says_does_not_steer_the_terminal(capsys: pytest.CaptureFixture[str]) -> None:
    """An error that quotes a server is shown without its control characters."""
    from fuelplan.cli.outcome import show_error

    show_error("input", "it says: \x1b[2J\x9b1m\u202e", as_json=False)
    assert capsys.readouterr().err == "fuelplan: it says: ?[2J?1m?\n"


def test_a_body_is_taken_piece_by_piece() -> None:
    """Exactly the limit is taken, one byte more is too much."""
    assert len(bounded._taken(io.BytesIO(b"x" * 1000).read, 1000)) == 1000
    with pytest.raises(bounded.TooMuch):
        bounded._taken(io.BytesIO(b"x" * 1001).read, 1000)

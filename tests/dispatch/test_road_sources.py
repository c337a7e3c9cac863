"""Tables of distances from files and from a service on the loopback interface."""

from __future__ import annotations

import contextlib
import json
import threading
import time
from collections.abc import Callable, Iterator
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from urllib.parse import parse_qs, urlsplit

import numpy as np
import pytest

from fuelplan.dispatch.roads import roads_by_detour
from fuelplan.dispatch.roads.sources import (
    RoadFileFaults,
    RoadServiceError,
    TableService,
    read_matrix,
    roads_from_service,
)

# ---- files
from fuelplan.messages import render


def _file(folder: Path, text: str, name: str = "roads.csv") -> Path:
    path = folder / name
    path.write_text(text, encoding="utf-8")
    return path


def test_a_line_per_pair(tmp_path: Path) -> None:
    """Kilometres and minutes of each pair are read; what is given one way counts for the way back, too."""
    named = read_matrix(
        _file(
            tmp_path,
            "from,to,km,minutes\nDepot,Mill farm,12.5,18\nMill farm,Depot,13,20\n"
            "Depot,School,4,8\nSchool,Mill farm,,\n",
        )
    )
    assert named.names == ("Depot", "Mill farm", "School")
    assert named.roads.km.tolist() == [[0, 12.5, 4], [13, 0, np.inf], [4, np.inf, 0]]
    assert named.roads.hours[0, 1] == pytest.approx(0.3)
    assert named.roads.hours[1, 0] == pytest.approx(1 / 3)
    assert np.isinf(named.roads.hours[1, 2])
    assert [str(note) for note in named.notes] == [
        "2 ways back in roads.csv are counted as long as the way there."
    ]


def test_decimal_commas_and_a_byte_order_mark(tmp_path: Path) -> None:
    """A spreadsheet's file with semicolons, decimal commas, a mark at its head and a remark is read."""
    named = read_matrix(_file(tmp_path, "\ufefffrom;to;km;minutes\n# by the map\nA;B;12,5;18,0\n"))
    assert named.roads.km[0, 1] == 12.5


def test_times_follow_from_distances(tmp_path: Path) -> None:
    """Without minutes the times are a lorry's usual ones: 5 km in 8.6 minutes."""
    named = read_matrix(_file(tmp_path, "from,to,km\nA,B,5\n"))
    assert named.roads.hours[0, 1] * 60 == pytest.approx(8.62, abs=0.01)
    assert "usual speed" in render(named.roads.source)


def test_a_square_table_with_its_minutes(tmp_path: Path) -> None:
    """A square table gives km by row = from, column = to; a second one gives minutes."""
    km = _file(tmp_path, "km\tA\tB\tC\nA\t-\t10\t\nB\t11\t\t7\nC\t\t7\t0\n")
    minutes = _file(tmp_path, "min\tA\tB\tC\nA\t\t12\t5\nB\t15\t\t9\nC\t\t9\t\n", "minutes.csv")
    named = read_matrix(km, minutes_path=minutes)
    assert named.names == ("A", "B", "C")
    assert named.roads.km.tolist() == [[0, 10, np.inf], [11, 0, 7], [np.inf, 7, 0]]
    assert named.roads.hours[1, 0] == pytest.approx(0.25)
    assert np.isinf(named.roads.hours[0, 2])
    assert np.isfinite(read_matrix(km).roads.hours[0, 1])


def test_all_faults_at_once_with_line_and_column(tmp_path: Path) -> None:
    """Every fault of a file comes in one go, with its line, its column and what to write instead."""
    path = _file(
        tmp_path,
        "from,to,km,minutes\nA,B,12 km,18\nA,C,-3,4\nA,B,12,18\n,C,1,2\n"
        "A,A,4,2\nB,C,100,1.5\nB,D,7\nC,D,5,\nA,D,9,9\nC,B,8,9\n",
    )
    with pytest.raises(RoadFileFaults) as caught:
        read_matrix(path)
    got = {(f.line, f.key): f.message for f in caught.value.faults}
    assert "not a valid number" in got[2, "km"]
    assert "-3 km cannot be" in got[3, "km"]
    assert "line 2 already" in got[4, ""]
    assert "name the place" in got[5, "from"]
    assert "itself must be 0" in got[6, "km"]
    assert "minutes, not hours" in got[7, "minutes"]
    assert "3 cells, the header has 4" in got[8, ""]
    assert "give both" in got[9, "minutes"]
    assert '"B" – "D" has no line' in got[None, ""]
    assert str(caught.value).startswith("9 faults: roads.csv: ")


def test_faults_of_a_square_table(tmp_path: Path) -> None:
    """A square table with a name twice, a row of another length, an unknown row and a bad cell names each."""
    path = _file(tmp_path, "km,A,B,B\nA,0,1,2\nB,1,0\nX,1,2,3\nA,0,x,4\n")
    with pytest.raises(RoadFileFaults) as caught:
        read_matrix(path)
    got = {(f.line, f.key) for f in caught.value.faults}
    assert {(1, "B"), (3, ""), (4, ""), (5, ""), (5, "B")} <= got


def test_a_row_that_is_missing(tmp_path: Path) -> None:
    """A place of the first line without a row is named."""
    with pytest.raises(RoadFileFaults, match=r"roads\.csv: B: has no row"):
        read_matrix(_file(tmp_path, "km,A,B\nA,0,1\n"))


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"", "is empty"),
        (b"PK\x03\x04\0\0", "save the table as CSV"),
        (b"from,to\nA,B\n", "column named km"),
        ("from,to,km\nD\u00f6rfl,B,1\n".encode("latin-1"), "not UTF-8"),
        (b"from,to,km,hours\nA,B,1,1\n", "is not a column"),
        (b"x" * 300_000, "not a line of a table"),
        (b"hello\nworld\n", "neither with from,to,km,minutes"),
    ],
)
def test_files_that_are_no_table(tmp_path: Path, content: bytes, said: str) -> None:
    """What is no table of distances is refused with a sentence, never with a traceback of ours."""
    path = tmp_path / "roads.csv"
    path.write_bytes(content)
    with pytest.raises(RoadFileFaults, match=said):
        read_matrix(path)


def test_a_file_that_is_not_there(tmp_path: Path) -> None:
    """A missing file is said to be missing."""
    with pytest.raises(RoadFileFaults, match="cannot be read"):
        read_matrix(tmp_path / "none.csv")


def test_other_names_in_the_second_table(tmp_path: Path) -> None:
    """Minutes for other places than the kilometres are refused; a pair file takes no second file."""
    km = _file(tmp_path, "km,A,B\nA,0,1\nB,1,0\n")
    minutes = _file(tmp_path, "km,B,A\nA,0,1\nB,1,0\n", "m.csv")
    with pytest.raises(RoadFileFaults, match="another order"):
        read_matrix(km, minutes_path=minutes)
    with pytest.raises(RoadFileFaults, match="leave the second file out"):
        read_matrix(_file(tmp_path, "from,to,km\nA,B,1\n", "long.csv"), minutes_path=minutes)


def test_faults_without_end_are_counted(tmp_path: Path) -> None:
    """A file with thousands of faults gives the first thousand and the number of the others."""
    text = "from,to,km\n" + "".join(f"A,P{i},x\n" for i in range(1_500))
    with pytest.raises(RoadFileFaults) as caught:
        read_matrix(_file(tmp_path, text))
    assert len(caught.value.faults) == 1_001
    assert any("more faults" in f.message for f in caught.value.faults)


# ---- service


class _Service(ThreadingHTTPServer):
    """A table service on the loopback interface that answers as a test says."""

    daemon_threads = True
    answer: Callable[[BaseHTTPRequestHandler, int], None]

    def __init__(self) -> None:
        super().__init__(("127.0.0.1", 0), _Handler)
        self.asked: list[str] = []

    @property
    def address(self) -> str:
        return f"http://127.0.0.1:{self.server_address[1]}"


class _Handler(BaseHTTPRequestHandler):
    server: _Service

    def do_GET(self) -> None:
        self.server.asked.append(self.path)
        with contextlib.suppress(BrokenPipeError, ConnectionResetError):
            self.server.answer(self, len(self.server.asked))

    def log_message(self, format: str, *args: object) -> None:
        pass


@pytest.fixture
def service() -> Iterator[_Service]:
    """A running service that answers well until a test says otherwise."""
    server = _Service()
    server.answer = good
    thread = threading.Thread(target=server.serve_forever, kwargs={"poll_interval": 0.02})
    thread.start()
    yield server
    server.shutdown()
    server.server_close()
    thread.join()


def table_of(path: str) -> tuple[list[list[float]], list[list[float]]]:
    """What the service says to a question: metres = 1,000 × the great circle in km, one way 7 m longer."""
    parts = urlsplit(path)
    coordinates = [tuple(map(float, p.split(","))) for p in parts.path.rsplit("/", 1)[1].split(";")]
    query = parse_qs(parts.query)
    rows = [int(i) for i in query["sources"][0].split(";")]
    columns = [int(i) for i in query["destinations"][0].split(";")]
    lon, lat = np.array(coordinates).T
    km = roads_by_detour(lat, lon, 1.0).km.astype(float)
    metres = np.rint(km * 1000) + np.where(lat[:, None] < lat[None, :], 7, 0)
    part = metres[np.ix_(rows, columns)]
    return part.tolist(), (part / 15.0).tolist()


def send(handler: BaseHTTPRequestHandler, body: bytes, status: int = 200, said: int | None = None) -> None:
    """Send an answer."""
    handler.send_response(status)
    handler.send_header("Content-Length", str(len(body) if said is None else said))
    handler.end_headers()
    handler.wfile.write(body)


def good(handler: BaseHTTPRequestHandler, count: int) -> None:
    """Answer as the convention says."""
    metres, seconds = table_of(handler.path)
    send(handler, json.dumps({"code": "Ok", "distances": metres, "durations": seconds}).encode())


def places(n: int, seed: int = 1) -> tuple[list[float], list[float]]:
    """Some places in a valley."""
    rng = np.random.default_rng(seed)
    return np.round(47 + rng.random(n), 5).tolist(), np.round(10 + rng.random(n), 5).tolist()


def test_a_good_service(service: _Service, tmp_path: Path) -> None:
    """Metres and seconds come back as km and hours, each way for itself, in blocks, with the source named."""
    lat, lon = places(23)
    roads = roads_from_service(
        TableService(service.address, most_points=10, attribution="© the map's makers"),
        lat,
        lon,
        tmp_path / "s",
    )
    points = ";".join(f"{b:.6f},{a:.6f}" for a, b in zip(lat, lon, strict=True))
    every = ";".join(map(str, range(23)))
    metres, seconds = table_of(f"/table/v1/x/{points}?sources={every}&destinations={every}")
    assert roads.km == pytest.approx(np.array(metres) / 1000, abs=1e-3)
    assert roads.hours == pytest.approx(np.array(seconds) / 3600, abs=1e-5)
    assert not (roads.km == roads.km.T).all()
    assert roads.attribution == "© the map's makers"
    assert "127.0.0.1" in render(roads.source)
    assert all(len(urlsplit(p).path.split(";")) <= 10 for p in service.asked)


def test_asked_only_once(service: _Service, tmp_path: Path) -> None:
    """A second call asks nothing; one new customer among known ones asks for his row and column alone."""
    lat, lon = places(30)
    ask = TableService(service.address, most_points=40)
    first = roads_from_service(ask, lat[:-1], lon[:-1], tmp_path / "s")
    count = len(service.asked)
    again = roads_from_service(ask, lat[:-1], lon[:-1], tmp_path / "s")
    assert len(service.asked) == count
    assert (again.km == first.km).all() and (again.hours == first.hours).all()
    more = roads_from_service(ask, lat, lon, tmp_path / "s")
    assert len(service.asked) == count + 2
    assert (more.km[:-1, :-1] == first.km).all()
    roads_from_service(TableService(service.address, "lorry"), lat, lon, tmp_path / "s")
    assert len(service.asked) > count + 2


def test_no_address_is_longer_than_8000_characters(service: _Service, tmp_path: Path) -> None:
    """With 600 coordinates allowed in a question, the address is still kept below 8,000 characters."""
    lat, lon = places(420)
    roads_from_service(TableService(service.address, most_points=10_000), lat, lon, tmp_path / "s")
    assert 1 < len(service.asked) < 40
    assert max(len(service.address) + len(p) for p in service.asked) <= 8_000


def test_two_customers_at_one_place_and_an_island(service: _Service, tmp_path: Path) -> None:
    """Null is no road; two customers at one spot are 0 km apart."""

    def island(handler: BaseHTTPRequestHandler, count: int) -> None:
        metres, seconds = table_of(handler.path)
        table = [[None if m > 60_000 else m for m in row] for row in metres]
        times = [[None if s > 4_000 else s for s in row] for row in seconds]
        send(handler, json.dumps({"code": "Ok", "distances": table, "durations": times}).encode())

    service.answer = island
    roads = roads_from_service(TableService(service.address), [47, 47, 48], [10, 10, 10], tmp_path / "s")
    assert roads.km[0, 1] == 0.0
    assert np.isinf(roads.km[0, 2]) and np.isinf(roads.hours[2, 1])
    count = len(service.asked)
    assert np.isinf(
        roads_from_service(TableService(service.address), [47, 47, 48], [10, 10, 10], tmp_path / "s").km[0, 2]
    )
    assert len(service.asked) == count


def test_busy_once(service: _Service, tmp_path: Path) -> None:
    """A service that is busy once is asked a second time; one that stays busy is named after that."""
    service.answer = lambda h, count: send(h, b"busy", 503) if count == 1 else good(h, count)
    lat, lon = places(3)
    assert roads_from_service(TableService(service.address), lat, lon, tmp_path / "s").km.max() > 0
    assert len(service.asked) == 2
    service.answer = lambda h, count: send(h, b"busy", 503)
    with pytest.raises(RoadServiceError, match="error 503; it was asked twice"):
        roads_from_service(TableService(service.address), lat, lon, tmp_path / "t")
    assert len(service.asked) == 4


def _slow(handler: BaseHTTPRequestHandler, count: int) -> None:
    time.sleep(0.6)
    good(handler, count)


def _drip(handler: BaseHTTPRequestHandler, count: int) -> None:
    handler.send_response(200)
    handler.end_headers()
    for _ in range(40):
        handler.wfile.write(b" ")
        handler.wfile.flush()
        time.sleep(0.05)


def _half(handler: BaseHTTPRequestHandler, count: int) -> None:
    send(handler, b'{"code": "Ok", "dist', said=500)


def _huge(handler: BaseHTTPRequestHandler, count: int) -> None:
    send(handler, b"x", said=10**9)


def _endless(handler: BaseHTTPRequestHandler, count: int) -> None:
    handler.send_response(200)
    handler.end_headers()
    while True:
        handler.wfile.write(b"x" * 65_536)


def _elsewhere(handler: BaseHTTPRequestHandler, count: int) -> None:
    handler.send_response(302)
    handler.send_header("Location", "http://192.0.2.1/table")
    handler.end_headers()


def _says(answer: object) -> Callable[[BaseHTTPRequestHandler, int], None]:
    return lambda handler, count: send(handler, json.dumps(answer).encode())


@pytest.mark.parametrize(
    ("answer", "said"),
    [
        (_slow, "did not answer within 0.3 s"),
        (_drip, "within 0.3 s"),
        (_half, "broke off"),
        (_huge, "more than 1 MB"),
        (_endless, "more than 1 MB"),
        (_elsewhere, "sends us on to http://192.0.2.1/table"),
        (lambda h, c: send(h, b"<html>hello</html>"), "is not a table"),
        (lambda h, c: send(h, b"[" * 100_000), "is not a table"),
        (lambda h, c: send(h, b"not here", 404), "error 404"),
        (lambda h, c: send(h, b'{"code": "NoSegment", "message": "no street"}', 400), "says: no street"),
        (_says([1, 2]), "is not a table"),
        (_says({"code": "Ok", "durations": [[0, 1], [1, 0]]}), '"distances" is not for all'),
        (_says({"code": "Ok", "distances": [[0], [1]], "durations": [[0, 1], [1, 0]]}), "another shape"),
        (_says({"code": "Ok", "distances": [[0, -1], [1, 0]], "durations": [[0, 1], [1, 0]]}), "holds -1"),
        (_says({"code": "Ok", "distances": [[0, "x"], [1, 0]], "durations": [[0, 1], [1, 0]]}), "holds x"),
        (
            _says({"code": "Ok", "distances": [[0, 1], [1, 0]], "durations": [[0, True], [1, 0]]}),
            "holds True",
        ),
        (lambda h, c: h.wfile.write(b"\xff\xfe rubbish\r\n\r\n"), "asked twice"),
    ],
)
def test_services_that_answer_badly(
    service: _Service, tmp_path: Path, answer: Callable[[BaseHTTPRequestHandler, int], None], said: str
) -> None:
    """Slow, dripping, broken, huge, redirecting, rubbish: each is one sentence, and nothing bad is kept."""
    service.answer = answer
    ask = TableService(service.address, time_out_s=0.3, largest_answer=1_000_000)
    with pytest.raises(RoadServiceError, match=said):
        roads_from_service(ask, [47.0, 47.1], [10.0, 10.1], tmp_path / "s")
    service.answer = good
    assert roads_from_service(ask, [47.0, 47.1], [10.0, 10.1], tmp_path / "s").km[0, 1] > 0


def test_what_was_answered_is_kept(service: _Service, tmp_path: Path) -> None:
    """When the third question fails, the answers to the first two are not asked for again."""
    lat, lon = places(20)
    service.answer = lambda h, count: good(h, count) if count <= 2 else send(h, b"", 404)
    ask = TableService(service.address, most_points=20)
    with pytest.raises(RoadServiceError):
        roads_from_service(ask, lat, lon, tmp_path / "s")
    service.answer = good
    before = len(service.asked)
    roads_from_service(ask, lat, lon, tmp_path / "s")
    assert len(service.asked) - before == 2


def test_nobody_listens(tmp_path: Path) -> None:
    """An address where nothing listens is named in one sentence."""
    server = _Service()
    address = server.address
    server.server_close()
    with pytest.raises(RoadServiceError, match="did not answer"):
        roads_from_service(TableService(address), [47.0, 47.1], [10.0, 10.1], tmp_path / "s")


@pytest.mark.parametrize(
    "address",
    [
        "file:///etc/hostname",
        "ftp://127.0.0.1",
        "localhost:5000",
        "http://",
        "http://a:b@127.0.0.1",
        "http://127.0.0.1/?q=1",
        "http://127.0.0.1:99999",
    ],
)
def test_addresses_that_are_refused(tmp_path: Path, address: str) -> None:
    """Only plain http and https addresses are asked, without passwords or queries."""
    with pytest.raises(RoadServiceError):
        roads_from_service(TableService(address), [47.0, 47.1], [10.0, 10.1], tmp_path / "s")
    assert not (tmp_path / "s").exists()


def test_profile_cannot_leave_its_place(service: _Service, tmp_path: Path) -> None:
    """A profile with slashes and question marks stays one piece of the address."""
    roads_from_service(TableService(service.address, "../x?y"), [47.0, 47.1], [10.0, 10.1], tmp_path / "s")
    assert service.asked[0].startswith("/table/v1/..%2Fx%3Fy/")


def test_progress_ends_at_one(service: _Service, tmp_path: Path) -> None:
    """Progress rises to 1."""
    lat, lon = places(20)
    told: list[float] = []
    roads_from_service(TableService(service.address, most_points=10), lat, lon, tmp_path / "s", told.append)
    assert told == sorted(told) and told[-1] == 1.0 and len(told) == len(service.asked)

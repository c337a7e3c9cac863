"""Every request must name this machine, and come from a page of ours: real requests to a real server."""

from __future__ import annotations

import asyncio
import contextvars
import socket
import subprocess
import sys
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest

from fuelplan.pages import own_address
from fuelplan.pages.serve import SETTINGS
from tests.conftest import free_port, wait_until_served
from tests.page_texts import common
from tests.pseudo_language import speak_pseudo

ROOT = Path(__file__).parents[2]
UPLOAD = "/_stcore/upload_file/session/file"
PATHS = (
    ("GET", "/"), ("GET", "/order"), ("GET", "/_stcore/health"), ("GET", "/_stcore/metrics"),
    ("GET", "/media/x.png"), ("GET", "/_stcore/host-config"), ("GET", "/static/js/none.js"), ("HEAD", "/"),
    ("OPTIONS", UPLOAD), ("PUT", UPLOAD), ("POST", UPLOAD), ("DELETE", UPLOAD), ("GET", "/component/x/y"),
    ("GET", "/_stcore/stream"), ("GET", "/nothing/there"),
)  # fmt: skip
STREAM = (
    "Upgrade: websocket", "Connection: Upgrade", "Sec-WebSocket-Version: 13",
    "Sec-WebSocket-Key: MDEyMzQ1Njc4OWFiY2RlZg==",
)  # fmt: skip


def asked(port: int, method: str, path: str, *headers: str) -> tuple[int, bytes]:
    """Status and body of the answer to a request whose every header is given."""
    with socket.create_connection(("127.0.0.1", port), timeout=20) as line:
        rest = () if "Upgrade: websocket" in headers else ("Content-Length: 0", "Connection: close")
        line.sendall("\r\n".join([f"{method} {path} HTTP/1.1", *headers, *rest, "", ""]).encode("latin-1"))
        found = line.recv(4096)
        while b"\r\n\r\n" in found and 101 not in (int(found.split()[1]),) and (more := line.recv(65536)):
            found += more
    head, _, body = found.partition(b"\r\n\r\n")
    return int(head.split()[1]), body


@pytest.fixture(scope="module", params=["fuelplan app", "streamlit run app.py"])
def server(request: pytest.FixtureRequest, own_house: Path) -> Iterator[int]:
    """The port of the pages, started in one of the two ways."""
    port = free_port()
    command = {
        "fuelplan app": ["-m", "fuelplan", "app", str(own_house), "--port", str(port)],
        "streamlit run app.py": [
            "-m", "streamlit", "run", "app.py", f"--server.port={port}", "--", str(own_house),
        ],
    }  # fmt: skip
    started = subprocess.Popen(
        [sys.executable, *command[request.param]], cwd=ROOT,
        stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL,
    )  # fmt: skip
    try:
        wait_until_served(port, started)
        yield port
    finally:
        started.terminate()
        started.wait(timeout=20)


@pytest.mark.parametrize(("method", "path"), PATHS, ids=lambda text: text)
def test_a_foreign_host_is_refused_on_every_request(server: int, method: str, path: str) -> None:
    """Pages, health, metrics, media, uploads, components, the stream: 403 and nothing of it."""
    hosts = (
        "other.example", f"other.example:{server}", "127.0.0.1.other.example", "localhost@other.example",
        "127.0.0.2", f"127.0.0.1:{server}x", "", "[::1]", "0.0.0.0", "localhost/", "127.0.0.1?",
    )  # fmt: skip
    for host in hosts:
        status, body = asked(server, method, path, f"Host: {host}")
        assert status in {400, 403}, (host, status)  # the former by the server itself, of what is no host
        assert body in {b"", f"{common.REFUSED}\n".encode(), b"Invalid HTTP request received."}
    status, _ = asked(server, method, path, f"Host: 127.0.0.1:{server}", "Host: other.example")
    assert status in {400, 403}


@pytest.mark.parametrize(("method", "path"), PATHS, ids=lambda text: text)
def test_a_foreign_origin_is_refused_on_every_request(server: int, method: str, path: str) -> None:
    """Another site, another port of this machine, a page without an address: none gets anything."""
    ours = f"127.0.0.1:{server}"
    origins = (
        "http://other.example", "http://127.0.0.1:9999", "http://localhost:9999", "http://127.0.0.1", "null",
        f"http://localhost:{server}", f"http://{ours}.other.example", f"ftp://{ours}", "file://",
    )  # fmt: skip
    for origin in origins:
        assert asked(server, method, path, f"Host: {ours}", f"Origin: {origin}")[0] == 403, origin


def test_the_page_itself_gets_everything(server: int) -> None:
    """With its own name and port, in either spelling, it is answered; its own origin is accepted."""
    for name in ("127.0.0.1", "localhost", "LOCALHOST"):
        host, origin = f"Host: {name}:{server}", f"Origin: http://{name.lower()}:{server}"
        for more in ((), (origin,)):
            status, body = asked(server, "GET", "/", host, *more)
            assert status == 200 and b"<html" in body
            assert asked(server, "GET", "/_stcore/health", host, *more)[0] == 200
            assert asked(server, "OPTIONS", UPLOAD, host, *more)[0] < 300


def test_the_stream_opens_for_the_page_alone(server: int) -> None:
    """The stream that carries all data: 101 for the page itself, 403 for a foreign Host, origin or port."""
    ours = f"127.0.0.1:{server}"

    def opened(host: str, *origin: str) -> int:
        return asked(server, "GET", "/_stcore/stream", f"Host: {host}", *origin, *STREAM)[0]

    assert opened(ours, f"Origin: http://{ours}") == 101
    assert opened(ours) == 101  # a program: no browser leaves its origin out
    assert opened(ours, "Origin: http://127.0.0.1:9999") == 403
    assert opened(ours, "Origin: null") == 403
    assert opened(f"other.example:{server}", f"Origin: http://other.example:{server}") == 403
    assert opened("other.example") == 403


def test_the_names_are_those_of_the_settings() -> None:
    """What stands in for missing settings is what the settings say."""
    import tomllib

    settings = tomllib.loads(SETTINGS.read_text(encoding="utf-8"))
    assert tuple(settings["server"]["allowedHosts"]) == own_address.NAMES


def test_who_is_refused_is_told_in_the_language_of_the_browser(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The first language that a browser asks for, where a catalogue has it; no name leads to another file."""

    async def refused(asked_for: str) -> str:
        sent: list[dict] = []

        async def send(event: dict) -> None:
            sent.append(event)

        headers = [(b"host", b"elsewhere.example"), (b"accept-language", asked_for.encode())]
        await own_address.OwnAddress(None)({"type": "http", "headers": headers}, None, send)
        assert sent[0]["status"] == 403
        assert dict(sent[0]["headers"])[b"content-length"] == str(len(sent[1]["body"])).encode()
        return sent[1]["body"].decode().strip()

    speak_pseudo(monkeypatch, tmp_path / "catalogues")
    (tmp_path / "elsewhere").symlink_to(tmp_path / "catalogues" / "xx")

    def told(asked_for: str) -> str:
        """Asked in a thread: a browser that other tests keep open has a loop in this one."""
        with ThreadPoolExecutor(1) as pool:
            return pool.submit(contextvars.copy_context().run, asyncio.run, refused(asked_for)).result()

    assert told("xx-AT,en;q=0.5") == f"⟦{common.REFUSED}⟧"
    for other in ("de", "", "../elsewhere", str(tmp_path / "elsewhere"), "xx" * 5000):
        assert told(other) == common.REFUSED

"""What the weather library downloads, bounded: it would take any number of bytes, and unpack them all."""

from __future__ import annotations

import io
import zlib
from typing import Any

MOST_PACKED = 20_000_000
MOST_UNPACKED = 100_000_000
MOST_STATIONS = 200_000_000
"""A year of hours has about 0.2 MB packed and 2 MB unpacked, the list of stations some 20 MB. [B]"""
CHUNK = 1 << 16
PAGE = "what came is a web page, not weather; does this network ask you to sign in?"


SQLITE = b"SQLite format 3\x00"
"""What a list of stations begins with."""


class TooMuch(ValueError):
    """A download that is larger than any file of its kind."""


class WebPage(ValueError):
    """A web page in the place of a file: the sign-in page of a network, or a server's excuse."""


class ServerSaid(RuntimeError):
    """An answer of a server that is no file, by its number."""

    def __init__(self, status: int) -> None:
        """Keep the number."""
        super().__init__(f"the server answers {status}")
        self.status = status


class Arrivals:
    """How many pieces have arrived; who waits sees whether anything still comes."""

    pieces = 0


class BoundedTables:
    """pandas as the library sees it: the same in everything, but a file is read piece by piece to a limit."""

    def __init__(self, pandas: Any) -> None:
        """Keep what everything else goes to."""
        self._pandas = pandas

    def __getattr__(self, name: str) -> Any:
        """Return everything else unchanged."""
        return getattr(self._pandas, name)

    def read_csv(self, address: Any, *given: Any, **more: Any) -> Any:
        """Read a table; one that is packed with gzip and lies at an address, within the limits."""
        if not (isinstance(address, str) and "://" in address and more.get("compression") == "gzip"):
            return self._pandas.read_csv(address, *given, **more)
        more["compression"] = None
        return self._pandas.read_csv(io.BytesIO(unpacked(_downloaded(address))), *given, **more)


def _downloaded(address: str) -> bytes:
    """Return the bytes at an address; errors of the network as they come."""
    from urllib.request import urlopen

    with urlopen(address) as answer:
        body = _taken(answer.read, MOST_PACKED)
    if _is_page(body):
        raise WebPage(PAGE)
    return body


def _is_page(body: bytes) -> bool:
    return body[:512].lstrip(b"\xef\xbb\xbf \t\r\n").startswith(b"<")


def _taken(read: Any, most: int) -> bytes:
    body = bytearray()
    while piece := read(CHUNK):
        Arrivals.pieces += 1
        body += piece
        if len(body) > most:
            raise TooMuch(f"more than {most // 1_000_000:,} MB were sent; no such file is that large")
    return bytes(body)


def unpacked(content: bytes) -> bytes:
    """Return what a gzip file holds.

    Raises
    ------
    EOFError
        Where it breaks off.
    TooMuch
        Where it holds more than any file of its kind.
    """
    import gzip

    try:
        with gzip.GzipFile(fileobj=io.BytesIO(content)) as stream:
            return _taken(stream.read, MOST_UNPACKED)
    except zlib.error as error:
        raise gzip.BadGzipFile(str(error)) from error


class BoundedNetwork:
    """The library's network as its list of stations sees it: an answer is read piece by piece to a limit."""

    def __init__(self, service: Any) -> None:
        """Keep what everything else goes to."""
        self._service = service

    def __getattr__(self, name: str) -> Any:
        """Return everything else unchanged."""
        return getattr(self._service, name)

    def get_from_mirrors(self, mirrors: Any, *given: Any, **more: Any) -> Any:
        """Ask one mirror after the other as the library does, but read the answer here, and keep why not.

        Raises
        ------
        ServerSaid, WebPage, TooMuch, ValueError, OSError
            Whatever the last mirror that was asked did instead of answering.
        """
        more["stream"] = True
        problem: Exception = ValueError("no server is named")
        for mirror in mirrors:
            try:
                answer = self._service.get(mirror, *given, **more)
                if answer.status_code != 200:
                    raise ServerSaid(answer.status_code)
                pieces = answer.iter_content(CHUNK)
                answer._content = _taken(lambda _, pieces=pieces: next(pieces, b""), MOST_STATIONS)
                answer._content_consumed = True
                if _is_page(answer._content):
                    raise WebPage(PAGE)
                if not answer._content.startswith(SQLITE):
                    raise ValueError("what came is no list of stations")
                return answer
            except (ServerSaid, ValueError, OSError) as error:
                problem = error
        raise problem


def bound_downloads() -> None:
    """Let the library read within the limits from now on; doing it twice changes nothing."""
    from meteostat.api import stations
    from meteostat.providers.meteostat import daily, hourly

    for module in (daily, hourly):
        if not isinstance(module.pd, BoundedTables):
            module.pd = BoundedTables(module.pd)
    if not isinstance(stations.network_service, BoundedNetwork):
        stations.network_service = BoundedNetwork(stations.network_service)

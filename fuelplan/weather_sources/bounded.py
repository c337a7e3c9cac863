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


class TooMuch(ValueError):
    """A download that is larger than any file of its kind."""


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
        return _taken(answer.read, MOST_PACKED)


def _taken(read: Any, most: int) -> bytes:
    body = bytearray()
    while piece := read(CHUNK):
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
        """Ask as the library does, but read the answer here."""
        more["stream"] = True
        answer = self._service.get_from_mirrors(mirrors, *given, **more)
        if answer is not None:
            pieces = answer.iter_content(CHUNK)
            answer._content = _taken(lambda _: next(pieces, b""), MOST_STATIONS)
            answer._content_consumed = True
        return answer


def bound_downloads() -> None:
    """Let the library read within the limits from now on; doing it twice changes nothing."""
    from meteostat.api import stations
    from meteostat.providers.meteostat import daily, hourly

    for module in (daily, hourly):
        if not isinstance(module.pd, BoundedTables):
            module.pd = BoundedTables(module.pd)
    if not isinstance(stations.network_service, BoundedNetwork):
        stations.network_service = BoundedNetwork(stations.network_service)

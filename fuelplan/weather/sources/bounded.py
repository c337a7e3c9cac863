"""What is downloaded for the weather library, bounded in bytes: as sent, and as unpacked."""

from __future__ import annotations

import io
import zlib
from collections.abc import Callable, Sequence
from contextvars import ContextVar
from dataclasses import dataclass

from fuelplan.messages import Number, Refusal, message

MOST_PACKED = 20_000_000
MOST_UNPACKED = 100_000_000
MOST_STATIONS = 200_000_000
"""A year of hours has about 0.2 MB packed and 2 MB unpacked, the list of stations some 20 MB. [B]"""
CHUNK = 1 << 16
PAGE = message(
    "station.web_page", "what came is a web page, not weather; does this network ask you to sign in?"
)
NO_LIST = message("station.not_a_list", "what came is no list of stations")


SQLITE = b"SQLite format 3\x00"
"""What a list of stations begins with."""


class TooMuch(Refusal):
    """A download that is larger than any file of its kind."""


class WebPage(Refusal):
    """A web page in the place of a file: the sign-in page of a network, or a server's excuse."""


@dataclass
class DownloadProgress:
    """How many pieces of one download have arrived: whether anything still comes."""

    pieces: int = 0


arrivals: ContextVar[DownloadProgress | None] = ContextVar("arrivals of this download", default=None)


def table(address: str, timeout_s: float) -> bytes:
    """Return what a gzip file at an address holds; errors of the network as they come.

    Parameters
    ----------
    timeout_s
        The longest silence of the server. [s]

    Raises
    ------
    WebPage, TooMuch, EOFError, OSError
        Where it is no such file, is too large, breaks off, or cannot be had.
    """
    return unpacked(_downloaded(address, timeout_s, MOST_PACKED))


def station_list(mirrors: Sequence[str], timeout_s: float) -> bytes:
    """Return the list of stations, an SQLite file, from the first mirror that sends one.

    Raises
    ------
    WebPage, TooMuch, ValueError, OSError
        Whatever the last mirror that was asked did instead of sending it.
    """
    from http.client import HTTPException

    problem: Exception = ValueError("no server is named")  # the library names some
    for mirror in mirrors:
        try:
            body = _downloaded(mirror, timeout_s, MOST_STATIONS)
            if not body.startswith(SQLITE):
                raise Refusal(NO_LIST)
            return body
        except (ValueError, OSError, HTTPException) as error:
            problem = error
    raise problem


def _downloaded(address: str, timeout_s: float, most: int) -> bytes:
    from urllib.request import urlopen

    with urlopen(address, timeout=timeout_s) as answer:
        body = _taken(answer.read, most)
    if body[:512].lstrip(b"\xef\xbb\xbf \t\r\n").startswith(b"<"):
        raise WebPage(PAGE)
    return body


def _taken(read: Callable[[int], bytes], most: int) -> bytes:
    body, seen = bytearray(), arrivals.get() or DownloadProgress()
    while piece := read(CHUNK):
        seen.pieces += 1
        body += piece
        if len(body) > most:
            raise TooMuch(
                message(
                    "station.too_much",
                    "more than {most} MB were sent; no such file is that large",
                    most=Number(most // 1_000_000),
                )
            )
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

"""One careful question to a server: bounded in time and size, never sent on to another host."""

from __future__ import annotations

import contextlib
import http.client
import socket
import threading
import time
from urllib.parse import SplitResult, urlsplit

from fuelplan.dispatch.roads.sources.faults import RoadServiceError
from fuelplan.units import one_line

LARGEST_ANSWER = 64_000_000
_PIECE = 65_536


class TryAgain(Exception):
    """The question may be asked once more: the server was busy, slow, or broke off."""


def checked_address(address: str) -> SplitResult:
    """Return the parts of an address a person gave.

    Raises
    ------
    RoadServiceError
        When it is no http or https address, or holds a password, a query or a fragment.
    """
    try:
        parts = urlsplit(address.strip())
        port = parts.port
    except ValueError:
        raise RoadServiceError(
            f'"{address}" is not a valid address; write one such as "http://localhost:5000"'
        ) from None
    if parts.scheme not in ("http", "https") or not parts.hostname or port == 0:
        raise RoadServiceError(
            f'"{address}" is not a valid address of a table service; write one such as "http://localhost:5000"'
        )
    if parts.username is not None or parts.password is not None:
        raise RoadServiceError("an address with a user name or password is not used; give the address alone")
    if parts.query or parts.fragment:
        raise RoadServiceError(f'"{address}" has a "?" or "#" in it; give the address before it')
    return parts


def get(
    parts: SplitResult,
    path: str,
    time_out_s: float,
    largest: int = LARGEST_ANSWER,
    said_s: float | None = None,
) -> bytes:
    """Return the body of the answer to one GET; `said_s` is the time that a person is told, of all tries.

    Raises
    ------
    TryAgain
        Where asking once more may help.
    RoadServiceError
        Where it may not.
    """
    deadline, said_s = time.monotonic() + time_out_s, said_s or time_out_s
    kind = http.client.HTTPSConnection if parts.scheme == "https" else http.client.HTTPConnection
    connection = kind(str(parts.hostname), parts.port, timeout=time_out_s)
    late = threading.Event()
    watch = threading.Timer(1.05 * time_out_s, _break_off, (connection, late))  # time-outs come first
    watch.daemon = True
    watch.start()
    try:
        connection.request("GET", path, headers={"Accept": "application/json", "User-Agent": "fuelplan"})
        answer = connection.getresponse()
        _refuse_status(answer, parts)
        said = answer.getheader("Content-Length")
        if said is not None and said.isdigit() and int(said) > largest:
            raise RoadServiceError(f"the answer has more than {largest // 1_000_000:,} MB; it was not read")
        body = bytearray()
        while piece := answer.read1(_PIECE):
            body += piece
            if len(body) > largest:
                raise RoadServiceError(
                    f"the answer has more than {largest // 1_000_000:,} MB; it was not read"
                )
            left = deadline - time.monotonic()
            if left <= 0:
                raise TryAgain(f"did not finish its answer within {said_s:g} s")
            if connection.sock is not None:
                connection.sock.settimeout(left)
        if late.is_set():
            raise TryAgain(f"did not finish its answer within {said_s:g} s")
        if said is not None and said.isdigit() and len(body) < int(said):
            raise TryAgain("broke off in the middle of its answer")
        return bytes(body)
    except TimeoutError:
        raise TryAgain(f"did not answer within {said_s:g} s") from None
    except UnicodeError:
        raise RoadServiceError(f"{parts.netloc[:60]} is not a valid address; check it") from None
    except socket.gaierror:
        raise RoadServiceError(f"the host {parts.hostname} is not known; check the address") from None
    except (http.client.HTTPException, OSError) as error:
        if late.is_set():
            raise TryAgain(f"did not finish its answer within {said_s:g} s") from None
        raise TryAgain(f"did not answer ({error.strerror or type(error).__name__})" if isinstance(
            error, OSError) else "answered with something that is no web page") from None  # fmt: skip
    finally:
        watch.cancel()
        connection.close()


def _break_off(connection: http.client.HTTPConnection, late: threading.Event) -> None:
    """End a question whose time is over: no time-out ends one that sends a byte now and then."""
    late.set()
    if connection.sock is not None:
        with contextlib.suppress(OSError):
            connection.sock.shutdown(socket.SHUT_RDWR)


def _refuse_status(answer: http.client.HTTPResponse, parts: SplitResult) -> None:
    """Raise unless the server says that all is well, or sends its own error as JSON."""
    status = answer.status
    if 300 <= status < 400:
        where = answer.getheader("Location") or "nowhere"
        where = one_line(where)[:100]
        raise RoadServiceError(
            f"{parts.netloc} sends us on to {where}, which is not followed; give the final address"
        )
    if status in (408, 425, 429) or status >= 500:
        raise TryAgain(f"answered with error {status}")
    if status not in (200, 400):
        raise RoadServiceError(f"{parts.netloc} answered with error {status}; is this a table service?")

"""One careful question to a server: bounded in time and size, never sent on to another host."""

from __future__ import annotations

import contextlib
import http.client
import socket
import threading
import time
from urllib.parse import SplitResult, urlsplit

from fuelplan.dispatch.roads.sources.faults import RoadServiceError
from fuelplan.messages import Message, Number, Own, Refusal, as_message, message
from fuelplan.units import one_line

LARGEST_ANSWER = 64_000_000
_PIECE = 65_536


class TryAgain(Refusal):
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
        raise _not_an_address(address) from None
    if parts.scheme not in ("http", "https") or not parts.hostname or port == 0:
        raise _not_an_address(address)
    if parts.username is not None or parts.password is not None:
        raise RoadServiceError(
            message(
                "road_service.password",
                "an address with a user name or password is not used; give the address alone",
            )
        )
    if parts.query or parts.fragment:
        raise RoadServiceError(
            message(
                "road_service.query", '"{address}" has a "?" or "#" in it; give the address before it',
                address=Own(address),
            )
        )  # fmt: skip
    return parts


def _not_an_address(address: str) -> RoadServiceError:
    return RoadServiceError(
        message(
            "road_service.address",
            '"{address}" is not a valid address of a table service; write one such as '
            '"http://localhost:5000"', address=Own(address),
        )
    )  # fmt: skip


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
            raise _too_large(largest)
        body = bytearray()
        while piece := answer.read1(_PIECE):
            body += piece
            if len(body) > largest:
                raise _too_large(largest)
            left = deadline - time.monotonic()
            if left <= 0:
                raise _unfinished(parts, said_s)
            if connection.sock is not None:
                connection.sock.settimeout(left)
        if late.is_set():
            raise _unfinished(parts, said_s)
        if said is not None and said.isdigit() and len(body) < int(said):
            raise TryAgain(
                message(
                    "road_service.broke_off", "{host} broke off in the middle of its answer",
                    host=Own(parts.netloc),
                )
            )  # fmt: skip
        return bytes(body)
    except TimeoutError:
        raise TryAgain(
            message(
                "road_service.late", "{host} did not answer within {seconds} s", host=Own(parts.netloc),
                seconds=_seconds(said_s),
            )
        ) from None  # fmt: skip
    except UnicodeError:
        raise _not_an_address(parts.netloc[:60]) from None
    except socket.gaierror:
        raise RoadServiceError(
            message(
                "road_service.unknown_host", "the host {host} is not known; check the address",
                host=Own(str(parts.hostname)),
            )
        ) from None  # fmt: skip
    except (http.client.HTTPException, OSError) as error:
        if late.is_set():
            raise _unfinished(parts, said_s) from None
        raise TryAgain(_no_answer(parts, error)) from None
    finally:
        watch.cancel()
        connection.close()


def _no_answer(parts: SplitResult, error: http.client.HTTPException | OSError) -> Message:
    host = Own(parts.netloc)
    if not isinstance(error, OSError):
        return message(
            "road_service.no_web_page", "{host} answered with something that is not a web page", host=host
        )
    why = as_message(error.strerror or type(error).__name__)
    return message("road_service.silent", "{host} did not answer ({why})", host=host, why=why)


def _unfinished(parts: SplitResult, said_s: float) -> TryAgain:
    return TryAgain(
        message(
            "road_service.unfinished", "{host} did not finish its answer within {seconds} s",
            host=Own(parts.netloc), seconds=_seconds(said_s),
        )
    )  # fmt: skip


def _seconds(seconds: float) -> Number:
    return Number(seconds, 0 if seconds == round(seconds) else 1)


def _too_large(largest: int) -> RoadServiceError:
    return RoadServiceError(
        message(
            "road_service.large", "the answer has more than {n} MB; it was not read", n=largest // 1_000_000
        )
    )


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
            message(
                "road_service.elsewhere",
                "{host} sends us on to {where}, which is not followed; give the final address",
                host=Own(parts.netloc), where=Own(where),
            )
        )  # fmt: skip
    if status in (408, 425, 429) or status >= 500:
        raise TryAgain(
            message(
                "road_service.error", "{host} answered with error {status}", host=Own(parts.netloc),
                status=Own(str(status)),
            )
        )  # fmt: skip
    if status not in (200, 400):
        raise RoadServiceError(
            message(
                "road_service.refused", "{host} answered with error {status}; is this a table service?",
                host=Own(parts.netloc), status=Own(str(status)),
            )
        )  # fmt: skip

"""The workers of a dask scheduler, through the same futures. Needs the extra `cluster`."""

from __future__ import annotations

import platform
import socket
import ssl
import threading
import time
from collections.abc import Callable, Iterator
from concurrent.futures import CancelledError, Future
from contextlib import contextmanager
from typing import Any
from urllib.parse import urlsplit

from fuelplan.messages import Listed, Message, Own, message
from fuelplan.units import one_line
from fuelplan.workers.place import MOST_LOST, WorkersError

ANSWER_S = 10.0
"""How long a scheduler may take to answer. [s]"""

OPEN_S = 15.0
"""How long everything may take until its workers are asked for. [s]"""

LONGEST_WORD = 1 << 32
"""A scheduler begins with a length as eight bytes, the least first; that of its greeting is small. [B]"""

WORKERS_S = 60.0
"""How long to wait for a first worker, or for a new one when all have gone. [s]"""

AHEAD = 2
"""Pieces for each thread of a worker: one under way and one that lies ready."""


def versions() -> tuple[tuple[str, str], ...]:
    """Return what decides the last bits of a result: here and at the worker it must be the same."""
    from importlib.metadata import version

    from fuelplan import __version__

    python = ".".join(platform.python_version_tuple()[:2])
    packages = ((name, version(name)) for name in ("numba", "numpy", "pyvrp", "scipy"))
    return (("fuelplan", __version__), ("python", python), *packages)


def _do(asked: tuple[tuple[str, str], ...], work: Callable[[Any, Any], Any], shared: Any, piece: Any) -> Any:
    """Do a piece at a worker, unless it would come out differently there."""
    own = versions()
    if own != asked:
        differ = [
            message(
                "workers.version", "{package} {there} there, {here} here",
                package=Own(name), there=Own(str(there)), here=Own(str(here)),
            )
            for (name, here), (_, there) in zip(asked, own, strict=True)
            if here != there
        ]  # fmt: skip
        raise WorkersError(
            message(
                "workers.versions",
                "a worker has other versions: {packages}; install the same on all machines",
                packages=Listed(tuple(differ), ", "),
            )
        )
    return work(shared, piece)


class Cluster:
    """All workers of a scheduler, seen as one place. The scheduler gives a dead worker's pieces to others."""

    def __init__(self, client: Any, address: str, work: Callable[[Any, Any], Any], shared: Any) -> None:
        self._client, self._address = client, address
        self._work, self._shared, self._asked = work, shared, versions()
        # Not pure: a piece done again must not be taken for one whose result is lost.
        self._executor = client.get_executor(pure=False)
        self._sent = self._send()

    def _send(self) -> Any:
        """Lay what all pieces share in every worker, so that it crosses once and not with each piece.

        A worker that dies meanwhile breaks it off for all: it is done again with those that are left.
        """
        said = ""
        for _ in range(MOST_LOST):
            try:
                return self._client.scatter(self._shared, broadcast=True, hash=False)
            except Exception as error:
                said = one_line(str(error))[:120]
            self.threads()  # is the scheduler still there?
            self._wait_for_workers()
        raise WorkersError(
            message(
                "workers.take_nothing", "the workers of {address} take nothing: {why}",
                address=Own(self._address), why=Own(said),
            )
        )  # fmt: skip

    def threads(self) -> int:
        """Return the threads of all workers there are now."""
        try:
            if self._client.status == "running":
                return int(sum(self._client.nthreads().values()))
        except OSError:
            pass
        raise WorkersError(
            message(
                "workers.went_away", "the scheduler {address} went away; start it and ask again",
                address=Own(self._address),
            )
        )  # fmt: skip

    def room(self) -> int:
        """Return how many pieces may be under way: more when workers join."""
        return max(1, AHEAD * self.threads())

    def submit(self, piece: Any) -> Future[Any]:
        """Hand a piece over."""
        future: Future[Any] = self._executor.submit(_do, self._asked, self._work, self._sent, piece)
        return future

    def lost(self, error: BaseException) -> int:
        """Return how many workers died with the piece, 1 where what all pieces share died with the last."""
        from distributed import KilledWorker

        if isinstance(error, KilledWorker):
            return int(error.allowed_failures) + 1  # so often the scheduler has tried
        return int(isinstance(error, CancelledError))

    def renew(self) -> None:
        """Send what all pieces share once more: who held it may be gone."""
        self._wait_for_workers()
        self._sent = self._send()

    def watch(self) -> None:
        """Raise WorkersError where the scheduler has gone; that all workers have is told by :meth:`lost`."""
        self.threads()

    def _wait_for_workers(self) -> None:
        try:
            self._client.wait_for_workers(1, timeout=WORKERS_S)
        except TimeoutError as error:
            raise WorkersError(_no_workers(self._address)) from error


@contextmanager
def cluster(address: str, work: Callable[[Any, Any], Any], shared: Any) -> Iterator[Cluster]:
    """Open the workers of a scheduler; they stay when the work is done.

    Raises
    ------
    WorkersError
        Without the extra `cluster`, a scheduler that answers, or a worker.
    """
    try:
        from distributed import Client
    except ImportError as error:
        raise WorkersError(
            message(
                "workers.package",
                'a scheduler needs the package distributed: pip install "fuelplan[cluster]"',
            )
        ) from error
    client = _client(Client, address)
    try:
        with client:
            try:
                client.wait_for_workers(1, timeout=WORKERS_S)
            except TimeoutError as error:
                raise WorkersError(_no_workers(address)) from error
            yield Cluster(client, address, work, shared)
    finally:
        client.close()


def _client(make: Callable[..., Any], address: str) -> Any:
    """Return a client of a scheduler, or raise in one sentence within :data:`OPEN_S`.

    The library itself waits for minutes for one that takes the call and says nothing.
    """
    end = time.monotonic() + OPEN_S
    _listen(address)
    made: list[Any] = []
    failed: list[BaseException] = []

    def work() -> None:
        try:
            made.append(make(address, timeout=ANSWER_S, set_as_default=False))
        except BaseException as error:
            failed.append(error)

    thread = threading.Thread(target=work, daemon=True)
    thread.start()
    thread.join(end - time.monotonic())
    if made:
        return made[0]
    if not failed:
        raise WorkersError(
            message(
                "workers.no_dask",
                "no dask scheduler answers at {address}: what answers is no dask scheduler",
                address=Own(address),
            )
        )
    why = Own(one_line(str(failed[0]))[:120])
    raise WorkersError(_no_answer(address, why))


def _no_answer(address: str, why: Own) -> Message:
    return message(
        "workers.no_answer", "no dask scheduler answers at {address}: {why}", address=Own(address), why=why
    )


def _no_workers(address: str) -> Message:
    return message("workers.none", "the scheduler {address} has no workers; start some", address=Own(address))


def _listen(address: str) -> None:
    """See whether a scheduler speaks at all: it says the first word.

    Raises
    ------
    WorkersError
        Where nobody is there or nothing is said, or the certificates are missing.
    """
    kind, _, place = address.rpartition("://")
    parts = urlsplit(f"//{place}")
    context = _certificates(address) if kind == "tls" else None
    try:
        plain = socket.create_connection((str(parts.hostname), int(parts.port or 0)), ANSWER_S)
        with plain if context is None else context.wrap_socket(plain) as spoken:
            said = spoken.recv(8)
    except TimeoutError as error:
        raise WorkersError(
            message(
                "workers.says_nothing",
                "what answers at {address} says nothing within {seconds} s; it is no dask scheduler, "
                "or it hangs", address=Own(address), seconds=int(ANSWER_S),
            )
        ) from error  # fmt: skip
    except (OSError, ValueError) as error:
        why = Own(one_line(str(error))[:120])
        raise WorkersError(_no_answer(address, why)) from error
    if not said or int.from_bytes(said, "little") >= LONGEST_WORD:
        raise WorkersError(
            message(
                "workers.not_a_scheduler", "what answers at {address} is not a dask scheduler",
                address=Own(address),
            )
        )  # fmt: skip


def _certificates(address: str) -> ssl.SSLContext:
    """Return what a call over TLS needs, as dask's own settings name it."""
    from distributed.security import Security

    try:
        context = Security().get_connection_args("client").get("ssl_context")
    except Exception as error:  # whatever is wrong with the files that the settings name
        said = one_line(str(error))[:120]
        raise WorkersError(
            message(
                "workers.bad_certificates", "{address}: the certificates cannot be used: {why}",
                address=Own(address), why=Own(said),
            )
        ) from error  # fmt: skip
    if not isinstance(context, ssl.SSLContext):
        raise WorkersError(
            message(
                "workers.certificates",
                "{address} needs the certificates of the cluster: name them in dask's settings "
                "(distributed.comm.tls.ca-file, and cert and key under distributed.comm.tls.client)",
                address=Own(address),
            )
        )
    return context

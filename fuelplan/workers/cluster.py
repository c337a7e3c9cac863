"""The workers of a dask scheduler, through the same futures. Needs the extra `cluster`."""

from __future__ import annotations

import platform
from collections.abc import Callable, Iterator
from concurrent.futures import CancelledError, Future
from contextlib import contextmanager
from typing import Any

from fuelplan.workers.crew import WorkersError

ANSWER_S = 10.0
"""How long a scheduler may take to answer. [s]"""

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
        differ = ", ".join(
            f"{name} {there} there, {here} here"
            for (name, here), (_, there) in zip(asked, own, strict=True)
            if here != there
        )
        raise WorkersError(f"a worker has other versions: {differ}; install the same on all machines")
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
        """Lay what all pieces share in every worker, so that it crosses once and not with each piece."""
        try:
            return self._client.scatter(self._shared, broadcast=True, hash=False)
        except Exception as error:
            raise WorkersError(f"the workers of {self._address} take nothing: {error}") from error

    def threads(self) -> int:
        """Return the threads of all workers there are now."""
        try:
            if self._client.status == "running":
                return int(sum(self._client.nthreads().values()))
        except OSError:
            pass
        raise WorkersError(f"the scheduler {self._address} went away; start it and ask again")

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
            raise WorkersError(f"the scheduler {self._address} has no workers; start some") from error


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
            'a scheduler needs the package distributed: pip install "fuelplan[cluster]"'
        ) from error
    try:
        client = Client(address, timeout=ANSWER_S, set_as_default=False)
    except (OSError, TimeoutError, ValueError) as error:
        raise WorkersError(f"no dask scheduler answers at {address}: {error}") from error
    try:
        with client:
            try:
                client.wait_for_workers(1, timeout=WORKERS_S)
            except TimeoutError as error:
                raise WorkersError(f"the scheduler {address} has no workers; start some") from error
            yield Cluster(client, address, work, shared)
    finally:
        client.close()

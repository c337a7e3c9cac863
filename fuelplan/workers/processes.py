"""Processes of this machine, each an executor of its own: who dies takes no other's piece along."""

from __future__ import annotations

import contextlib
import multiprocessing
import os
import signal
import threading
from collections.abc import Callable, Iterator
from concurrent.futures import Future, ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from contextlib import ExitStack, contextmanager
from multiprocessing.connection import Connection
from typing import Any

_HELD: list[tuple[Callable[[Any, Any], Any], Any]] = []
"""In a worker: what it does, and what all its pieces share."""


def _begin(line: Connection) -> None:
    """Begin a new worker, and end it when its parent hangs up."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # of a whole terminal: it is the parent's to decide
    threading.Thread(target=_end_with_parent, args=(line,), daemon=True).start()


def _end_with_parent(line: Connection) -> None:
    """Wait until the parent hangs up, or dies: else a worker would go on with what nobody waits for."""
    with contextlib.suppress(OSError, EOFError):
        line.recv()
    os._exit(1)


def _hold(work: Callable[[Any, Any], Any], shared: Any) -> None:
    """Keep in a new worker what it was made for."""
    _HELD[:] = [(work, shared)]


def _do(piece: Any) -> Any:
    work, shared = _HELD[0]
    return work(shared, piece)


class Lane:
    """One process with one piece at a time.

    A pool of several processes breaks as a whole when one of them is killed, and does not tell at which
    piece; several pools of one process lose one piece and know which.
    """

    def __init__(self, work: Callable[[Any, Any], Any], shared: Any) -> None:
        self._made_for = (work, shared)
        self._executor, self._line, self._far_end = self._new()

    def _new(self) -> tuple[ProcessPoolExecutor, Connection, Connection]:
        # A fork would copy locks that the threads of numpy and numba may hold.
        ways = multiprocessing.get_context("spawn")
        far_end, line = ways.Pipe(duplex=False)
        made = ProcessPoolExecutor(1, ways, initializer=_begin, initargs=(far_end,))
        # Not with the start: whoever starts a process writes to it until all is read, though it be dead.
        made.submit(_hold, *self._made_for)
        return made, line, far_end

    def room(self) -> int:
        """Return one: a process does one piece at a time."""
        return 1

    def submit(self, piece: Any) -> Future[Any]:
        """Hand a piece over."""
        return self._executor.submit(_do, piece)

    def lost(self, error: BaseException) -> int:
        """Return 1 where the process died."""
        return int(isinstance(error, BrokenProcessPool))

    def renew(self) -> None:
        """Put a new process in the place of the dead one."""
        self._executor.shutdown(wait=False)
        self.hang_up()
        self._executor, self._line, self._far_end = self._new()

    def watch(self) -> None:
        """Do nothing: a process that dies says so by its future."""

    def hang_up(self) -> None:
        """End the process, whatever it is at."""
        self._line.close()
        self._far_end.close()

    def close(self) -> None:
        """End the process when it has done what it is at."""
        self._executor.shutdown(wait=True, cancel_futures=True)
        self.hang_up()


@contextmanager
def lanes(count: int, work: Callable[[Any, Any], Any], shared: Any) -> Iterator[list[Lane]]:
    """Open some processes of one piece each, and end them: at once where the work breaks off."""
    with ExitStack() as stack:
        made = []
        for _ in range(count):
            lane = Lane(work, shared)
            stack.callback(lane.close)
            made.append(lane)
        try:
            yield made
        except BaseException:
            for lane in made:
                lane.hang_up()
            raise

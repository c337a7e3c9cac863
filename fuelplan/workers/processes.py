"""Processes of this machine, each an executor of its own: who dies takes no other's piece along."""

from __future__ import annotations

import multiprocessing
import os
import threading
from collections.abc import Callable, Iterator
from concurrent.futures import Future, ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from contextlib import ExitStack, contextmanager
from typing import Any

_HELD: list[tuple[Callable[[Any, Any], Any], Any]] = []
"""In a worker: what it does, and what all its pieces share."""


def _hold(work: Callable[[Any, Any], Any], shared: Any) -> None:
    """Keep in a new worker what it was made for, and end it when its parent dies."""
    _HELD[:] = [(work, shared)]
    threading.Thread(target=_end_with_parent, daemon=True).start()


def _end_with_parent() -> None:
    """Wait for the parent's death; without this a worker whose parent was killed would wait for ever."""
    parent = multiprocessing.parent_process()
    if parent is not None:
        parent.join()
        os._exit(1)


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
        self._executor = self._new()

    def _new(self) -> ProcessPoolExecutor:
        # A fork would copy locks that the threads of numpy and numba may hold.
        return ProcessPoolExecutor(
            1, multiprocessing.get_context("spawn"), initializer=_hold, initargs=self._made_for
        )

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
        self._executor = self._new()

    def watch(self) -> None:
        """Do nothing: a process that dies says so by its future."""

    def close(self) -> None:
        """End the process when it has done what it is at."""
        self._executor.shutdown(wait=True, cancel_futures=True)


@contextmanager
def lanes(count: int, work: Callable[[Any, Any], Any], shared: Any) -> Iterator[list[Lane]]:
    """Open some processes of one piece each, and end them."""
    with ExitStack() as stack:
        made = []
        for _ in range(count):
            lane = Lane(work, shared)
            stack.callback(lane.close)
            made.append(lane)
        yield made

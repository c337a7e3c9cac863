"""One answer is worked out at a time, in the order in which people asked.

Twenty answers worked out at once in one process each take twenty times as long, and more for the changing
about; one after the other, the first is there in the time of one.
"""

from __future__ import annotations

import threading
from collections import deque
from collections.abc import Iterator
from contextlib import contextmanager

from fuelplan.pages.parts.long_work import step
from fuelplan.pages.texts import common as texts

LOOK_S = 0.2  # how often somebody who waits looks whether to stop

_guard = threading.Lock()
_waiting: deque[threading.Event] = deque()


@contextmanager
def serialised() -> Iterator[None]:
    """Wait for one's turn, then have it for the with-block; a stop while waiting gives the place up."""
    mine = threading.Event()
    with _guard:
        _waiting.append(mine)
        if _waiting[0] is mine:
            mine.set()
    try:
        while not mine.wait(LOOK_S):
            step(texts.WAITING)
        yield
    finally:
        with _guard:
            _waiting.remove(mine)
            if _waiting:
                _waiting[0].set()


def anyone_waits() -> bool:
    """Tell whether an answer is being worked out just now, so that another one would have to wait."""
    with _guard:
        return bool(_waiting)

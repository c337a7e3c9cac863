"""What-if answers worked out beside the server, where several ask at once and the machine has more cores.

One person alone never needs it: the server answers itself. A helper is a process of its own that holds what
its last few houses share; it begins when first needed and ends with the server.
"""

from __future__ import annotations

import os
import threading
from collections import OrderedDict
from concurrent.futures import BrokenExecutor, Future, ProcessPoolExecutor
from datetime import date
from functools import lru_cache
from multiprocessing import get_context
from pathlib import Path

from fuelplan import answers
from fuelplan.answers.when_to_order import OrderAnswer
from fuelplan.units import Reader, reader, written_for

MOST_KEPT = 4
HELPERS = max(1, (os.cpu_count() or 2) - 1)
Key = tuple[str, object, date, str]
_kept: OrderedDict[Key, answers.Prepared] = OrderedDict()


def ask(path: str, files: object, as_of: date, what_if: answers.WhatIf) -> Future[OrderAnswer] | None:
    """Ask a helper; None where none is free.

    Parameters
    ----------
    files
        What tells the folder as it is now from the folder as it was.
    """
    try:
        pool = _pool()
        if _asked.count >= HELPERS:
            return None
        asked = pool.submit(_worked_out, path, files, as_of, reader(), what_if)
    except (BrokenExecutor, OSError, RuntimeError):
        return None
    _asked.add(1)
    asked.add_done_callback(lambda _: _asked.add(-1))
    return asked


class _Asked:
    """How many answers the helpers are at."""

    def __init__(self) -> None:
        self.count, self._guard = 0, threading.Lock()

    def add(self, more: int) -> None:
        with self._guard:
            self.count += more


_asked = _Asked()


@lru_cache(maxsize=1)
def _pool() -> ProcessPoolExecutor:
    return ProcessPoolExecutor(HELPERS, get_context("spawn"))


def _worked_out(
    path: str, files: object, as_of: date, written: Reader, what_if: answers.WhatIf
) -> OrderAnswer:
    """Answer in the helper, from what it has kept or prepares now."""
    with written_for(written):
        key = (path, files, as_of, repr(written))
        prepared = _kept.pop(key, None)
        if prepared is None:
            site = answers.open_site(Path(path))
            prepared = answers.prepare(site, answers.weather_for(site, as_of), as_of)
        _kept[key] = prepared
        while len(_kept) > MOST_KEPT:
            _kept.popitem(last=False)
        return answers.answer_prepared(prepared, what_if, whole=False)

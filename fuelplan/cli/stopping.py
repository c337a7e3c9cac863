"""Ctrl-C while something is worked out that is worth having half done."""

from __future__ import annotations

import signal
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from types import FrameType

import click


@contextmanager
def first_one_asks(said: str) -> Iterator[Callable[[], bool]]:
    """Within, the first Ctrl-C says `said` and is told by the call that is yielded; the second one ends the
    program at once, as the first does elsewhere.
    """
    asked = False

    def heard(number: int, frame: FrameType | None) -> None:
        nonlocal asked
        if asked:
            raise KeyboardInterrupt
        asked = True
        click.echo(said, err=True)

    if threading.current_thread() is not threading.main_thread():  # others hear no signals
        yield lambda: False
        return
    before = signal.signal(signal.SIGINT, heard)
    try:
        yield lambda: asked
    finally:
        signal.signal(signal.SIGINT, before)

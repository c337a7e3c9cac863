"""Standard output as results go through it: closed, full, or of few letters, it ends in a sentence."""

from __future__ import annotations

import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager, redirect_stderr, redirect_stdout, suppress
from typing import Any, cast

from fuelplan.units import STEERING


class NotShown(Exception):
    """A result that could not be written to standard output; says why."""


class Shown:
    """Standard output through which no name of a customer steers the terminal."""

    buffer = None  # nobody writes past it

    def __init__(self, stream: Any) -> None:
        """Keep the real one; None where it is closed."""
        self._stream = stream
        self.over = False  # somebody may still hold on to it when the program ends

    def __getattr__(self, name: str) -> Any:
        """Return everything else as it is there."""
        return getattr(self._stream, name)

    def write(self, text: str) -> int:
        """Write a text without its control characters; :class:`NotShown` where it goes nowhere."""
        return self._done("write", STEERING.sub("?", text))

    def flush(self) -> None:
        """Hand over what was written; :class:`NotShown` where it goes nowhere."""
        self._done("flush")

    def can_write(self, text: str) -> bool:
        """Tell whether standard output has all letters of a text."""
        try:
            text.encode(getattr(self._stream, "encoding", None) or "utf-8")
        except UnicodeEncodeError:
            return False
        return True

    def _done(self, what: str, *given: str) -> int:
        try:
            if self._stream is None:
                raise ValueError("standard output is closed")
            return int(getattr(self._stream, what)(*given) or 0)
        except (OSError, ValueError) as error:  # the latter where it was closed meanwhile
            if self.over:
                return 0
            if isinstance(error, BrokenPipeError):
                raise
            raise NotShown(getattr(error, "strerror", None) or str(error)) from error


@contextmanager
def standard_output_kept() -> Iterator[Shown]:
    """Within, results go through :class:`Shown`, and standard error is there."""
    _keep_numbers()
    stream = Shown(sys.stdout)
    if hasattr(sys.stdout, "reconfigure"):
        sys.stdout.reconfigure(errors="replace")
    try:
        with redirect_stdout(cast(Any, stream)), _spoken():
            yield stream
    finally:
        stream.over = True


@contextmanager
def _spoken() -> Iterator[None]:
    """Within, standard error can always be written to."""
    if sys.stderr is not None:
        yield
        return
    with open(os.devnull, "w", encoding="utf-8") as nothing, redirect_stderr(nothing):
        yield


def _keep_numbers() -> None:
    """Occupy the numbers of streams that are closed: no file that is opened later becomes standard output."""
    for number in (0, 1, 2):
        try:
            os.fstat(number)
        except OSError:
            os.open(os.devnull, os.O_RDWR)


def forget_the_rest() -> None:
    """Let what is still held back for standard output go nowhere, so that the end of the program is quiet."""
    with suppress(OSError, ValueError, AttributeError):
        nothing = os.open(os.devnull, os.O_WRONLY)
        os.dup2(nothing, sys.__stdout__.fileno())  # type: ignore[union-attr]
        os.close(nothing)

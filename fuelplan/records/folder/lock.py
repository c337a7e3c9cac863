"""One writer at a time: a folder held against other programs of this kind."""

from __future__ import annotations

import errno
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from fuelplan.files import refuse_to_replace
from fuelplan.records.folder.text_files import EditError, NotWritten, reason, sweep
from fuelplan.records.folder.undo import UNDO_FILE

LOCK_FILE = ".fuelplan.lock"
WRITTEN = (
    "site.toml", "deliveries.csv", "readings.csv", "orders.csv", "published.csv", "wishes.csv",
    "happenings.csv", "customers.csv", "odometer.csv", UNDO_FILE,
)  # fmt: skip
"""Files that are written by holders of the lock alone."""
LONGEST_WAIT_S = 30.0  # for another program that writes; a row takes a few milliseconds
BETWEEN_TRIES_S = 0.005
TAKEN = {errno.EAGAIN, errno.EWOULDBLOCK, errno.EACCES, errno.EDEADLK}


@contextmanager
def locked(folder: Path) -> Iterator[None]:
    """Hold the folder against other programs of this kind while files are read and written.

    Raises
    ------
    NotWritten, EditError
        Where the folder cannot be written to; where another program holds it for longer than half a minute.
    """
    try:
        refuse_to_replace(folder / LOCK_FILE)
        stream = (folder / LOCK_FILE).open("a+b")
    except OSError as error:
        raise NotWritten(f"nothing can be written in {folder.name}", reason(error)) from error
    with stream:
        _lock(stream.fileno(), folder.name)
        sweep(folder, WRITTEN)
        yield  # closing the file lets go


def _lock(handle: int, name: str) -> None:
    end = time.monotonic() + LONGEST_WAIT_S
    while True:
        try:
            _take(handle)
            return
        except OSError as error:
            if error.errno not in TAKEN:
                raise EditError(f"{name} cannot be locked: {error.strerror or error}") from error
            if time.monotonic() > end:
                said = f"another program has been writing into {name} for {LONGEST_WAIT_S:.0f} s"
                raise EditError(f"{said}; end it, and do this again") from None
        time.sleep(BETWEEN_TRIES_S)


def _take(handle: int) -> None:
    """Take the lock, or raise at once."""
    try:
        import fcntl
    except ImportError:  # Windows
        import msvcrt

        msvcrt.locking(handle, msvcrt.LK_NBLCK, 1)  # type: ignore[attr-defined,unused-ignore]
        return
    fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)

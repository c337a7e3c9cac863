"""One writer at a time: a folder held against other programs of this kind."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from fuelplan.files import refuse_to_replace
from fuelplan.messages import Own, message
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


@contextmanager
def locked(folder: Path) -> Iterator[None]:
    """Hold the folder against other programs of this kind while files are read and written.

    The system lets go of it when a program ends, however it ends. On a disk that knows no locks nothing is
    written: a mark of our own in its place would outlive a program that was killed.

    Raises
    ------
    NotWritten, EditError
        Where the folder cannot be written to; where another program holds it for longer than half a minute.
    """
    from filelock import FileLock, Timeout

    try:
        refuse_to_replace(folder / LOCK_FILE)
        lock = FileLock(folder / LOCK_FILE, poll_interval=BETWEEN_TRIES_S, fallback_to_soft=False)
        lock.acquire(LONGEST_WAIT_S)
    except Timeout:
        raise EditError.because(
            "lock.taken",
            "another program has been writing into {folder} for {seconds} s; end it, and do this again",
            folder=Own(folder.name), seconds=int(LONGEST_WAIT_S),
        ) from None  # fmt: skip
    except OSError as error:
        raise NotWritten(
            message("lock.nothing_written", "nothing can be written in {folder}", folder=Own(folder.name)),
            reason(error),
        ) from error
    try:
        sweep(folder, WRITTEN)
        yield
    finally:
        lock.release()

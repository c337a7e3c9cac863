"""Work for other processes in tests, in a module of its own so that they find it; a small dask cluster."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parent.parent


@dataclass(frozen=True)
class Killing:
    """Shared by all pieces: at which piece the worker is killed, and a file that says it was done."""

    at: int
    flag: Path
    always: bool = False
    seconds: float = 0.0

    def strike(self, piece: int) -> None:
        """Kill this very process at the piece: in the middle of its work, with no chance to say so."""
        if piece == self.at and (self.always or not self.flag.exists()):
            self.flag.touch()
            os.kill(os.getpid(), signal.SIGKILL)


@dataclass(frozen=True)
class KillingOnArrival:
    """Shared by all pieces: the first worker that it reaches dies of it, before any piece."""

    flag: Path
    home: int

    def __reduce__(self) -> tuple[Any, ...]:
        """Be made anew where it arrives."""
        return _arrived, (self.flag, self.home)


def _arrived(flag: Path, home: int) -> KillingOnArrival:
    if os.getpid() != home and not flag.exists():
        flag.touch()
        os.kill(os.getpid(), signal.SIGKILL)
    return KillingOnArrival(flag, home)


def tripled(shared: KillingOnArrival, piece: int) -> int:
    """A piece of work that only counts."""
    return 3 * piece


def squared(shared: Killing, piece: int) -> tuple[int, int]:
    """The piece squared and who did it."""
    shared.strike(piece)
    time.sleep(shared.seconds)
    return piece * piece, os.getpid()


def refused(shared: str, piece: int) -> int:
    """A piece that is refused for what it is."""
    if piece == 3:
        raise ValueError(f"{shared} {piece}")
    return piece


def doubled_table(shared: Any, piece: int) -> int:
    """Work whose memory is known: what is shared is counted, not copied."""
    return int(shared[piece]) * 2


@contextmanager
def small_cluster(folder: Path, workers: int = 2) -> Iterator[str]:
    """A dask scheduler and workers on loopback, processes of their own that nobody starts anew."""
    from distributed import Client

    with ExitStack() as stack:
        scheduler = _started(
            stack, folder, "scheduler",
            "--host", "127.0.0.1", "--port", "0", "--no-dashboard", "--scheduler-file", "scheduler.json",
        )  # fmt: skip
        address = _address(folder / "scheduler.json", scheduler)
        for n in range(workers):
            _started(
                stack, folder, "worker", address, "--nthreads", "1", "--no-nanny", "--no-dashboard",
                "--host", "127.0.0.1", "--name", str(n),
                "--local-directory", str(folder / str(n)), "--death-timeout", "60",
            )  # fmt: skip
        with Client(address, timeout=30, set_as_default=False) as client:
            client.wait_for_workers(workers, timeout=60)
        yield address


def _started(stack: ExitStack, folder: Path, *words: str) -> subprocess.Popen[bytes]:
    paths = os.pathsep.join([str(ROOT), *filter(None, [os.environ.get("PYTHONPATH")])])
    process = subprocess.Popen(
        [sys.executable, "-m", "dask", *words], cwd=folder, stdin=subprocess.DEVNULL,
        stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, env={**os.environ, "PYTHONPATH": paths},
    )  # fmt: skip
    stack.callback(process.wait)
    stack.callback(process.kill)
    return process


def _address(file: Path, scheduler: subprocess.Popen[bytes]) -> str:
    """The address that a scheduler of any free port has written down."""
    import json

    until = time.monotonic() + 60
    while time.monotonic() < until and scheduler.poll() is None:
        try:
            return str(json.loads(file.read_text(encoding="utf-8"))["address"])
        except (OSError, ValueError):
            time.sleep(0.05)
    raise AssertionError("the scheduler did not start")

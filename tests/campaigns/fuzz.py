"""Odd files for every reader: `python -m tests.campaigns.fuzz --seconds 300`.

Each input ends in one of three ways: the file is read (sound), it is refused by an error of ours with a
sentence (refused), or something else happens (broken): another kind of exception, more than 20 seconds, more
memory than a limit allows, or an exit status that is not documented.
"""

from __future__ import annotations

import argparse
import os
import resource
import signal
import sys
import tempfile
import time
import traceback
import warnings
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from types import FrameType

from hypothesis import HealthCheck, Phase, given, seed, settings
from hypothesis.errors import NonInteractiveExampleWarning

from fuelplan.weather.sources import WeatherUnavailable
from tests.campaigns.readers import SOUND, Reader, readers

LONGEST_S = 20
MOST_MEMORY = 4_000_000_000  # more than the program has when it begins [B]
BATCH = 50
NOT_OURS = (
    "invalid literal", "could not convert", "not enough values", "too many values", "Exceeds the limit",
    "out of range", "codec can't", "substring not found", "unconverted data", "embedded null", "math domain",
    "cannot convert", "Length mismatch", "arrays must", "shape mismatch", "surrogates not allowed",
)  # fmt: skip
"""Words of Python's and the libraries' own errors: a person cannot do anything with them."""


class TooLong(Exception):
    """An input that took longer than it may."""


@dataclass
class Tried:
    """What came of one reader's inputs."""

    tried: int = 0
    sound: int = 0
    refused: int = 0
    slowest_s: float = 0.0
    broken: dict[str, tuple[int, bytes]] = field(default_factory=dict)
    """By what happened: how often, and the shortest input that did it."""

    def note(self, what: str, data: bytes) -> None:
        """Keep what broke."""
        count, shortest = self.broken.get(what, (0, data))
        self.broken[what] = (count + 1, min(shortest, data, key=len))


def try_one(reader: Reader, place: Path, data: bytes, into: Tried) -> None:
    """Give one input to a reader and note what came of it."""
    into.tried += 1
    start = time.monotonic()
    try:
        with _no_longer_than(LONGEST_S):
            outcome = reader.call(place, data)
        if outcome == SOUND:
            into.sound += 1
        else:
            into.refused += 1
    except (ValueError, WeatherUnavailable) as error:
        strange = _strange(error)
        if strange:
            into.note(strange, data)
        else:
            into.refused += 1
    except Exception as error:
        into.note(_where(error), data)
    into.slowest_s = max(into.slowest_s, time.monotonic() - start)


def _strange(error: BaseException) -> str:
    """Say why an error is none of ours: raised elsewhere, or in words that are not meant for people."""
    frames = traceback.extract_tb(error.__traceback__)
    ours = "/fuelplan/" in frames[-1].filename
    text = str(error)
    if not ours or len(text) < 10 or any(words in text for words in NOT_OURS):
        return _where(error)
    return ""


def _where(error: BaseException) -> str:
    frames = traceback.extract_tb(error.__traceback__)
    last = next((f for f in reversed(frames) if "/fuelplan/" in f.filename), frames[-1])
    return (
        f"{type(error).__name__} in {Path(last.filename).name}:{last.lineno} {last.name}: {str(error)[:90]!r}"
    )


@contextmanager
def _no_longer_than(seconds: float) -> Iterator[None]:
    def ring(_: int, __: FrameType | None) -> None:
        raise TooLong(f"more than {seconds} s")

    before = signal.signal(signal.SIGALRM, ring)
    signal.setitimer(signal.ITIMER_REAL, seconds)
    try:
        yield
    finally:
        signal.setitimer(signal.ITIMER_REAL, 0)
        signal.signal(signal.SIGALRM, before)


def try_many(reader: Reader, place: Path, count: int, number: int, into: Tried) -> None:
    """Give a reader so many inputs drawn by hypothesis; the same number gives the same ones."""

    @seed(number)
    @settings(
        max_examples=count,
        phases=[Phase.generate],
        database=None,
        deadline=None,
        suppress_health_check=list(HealthCheck),
    )
    @given(data=reader.inputs)
    def one(data: bytes) -> None:
        try_one(reader, place, data, into)

    one()


def bounded_memory() -> None:
    """Let this program take no more memory than it may: what wants more fails, and is seen."""
    used = int(Path("/proc/self/statm").read_text().split()[0]) * resource.getpagesize()
    resource.setrlimit(resource.RLIMIT_AS, (used + MOST_MEMORY, used + MOST_MEMORY))


def table_of(found: dict[str, Tried]) -> str:
    """Return the results as a table."""
    lines = [f"{'reader':32}{'tried':>8}{'sound':>8}{'refused':>9}{'broken':>8}{'slowest':>10}"]
    total = Tried()
    for name, one in found.items():
        broken = sum(count for count, _ in one.broken.values())
        lines.append(f"{name:32}{one.tried:8}{one.sound:8}{one.refused:9}{broken:8}{one.slowest_s:8.2f} s")
        total.tried, total.sound = total.tried + one.tried, total.sound + one.sound
        total.refused += one.refused
    broken = sum(count for one in found.values() for count, _ in one.broken.values())
    lines.append(f"{'all':32}{total.tried:8}{total.sound:8}{total.refused:9}{broken:8}")
    return "\n".join(lines)


def main() -> int:
    """Run the campaign for so many seconds and print its table."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--seconds", type=float, default=300.0)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--only", default="", help="readers whose name holds this")
    parser.add_argument("--keep", help="folder for the shortest input of each kind that broke something")
    given_ = parser.parse_args()
    warnings.simplefilter("ignore", NonInteractiveExampleWarning)
    with tempfile.TemporaryDirectory() as name:
        place = Path(name)
        tempfile.tempdir = name
        chosen = [reader for reader in readers(place) if given_.only in reader.name]
        found = {reader.name: Tried() for reader in chosen}
        bounded_memory()
        end, turn = time.monotonic() + given_.seconds, 0
        while time.monotonic() < end:
            turn += 1
            for at, reader in enumerate(chosen):
                count = max(1, round(BATCH * reader.weight))
                try_many(reader, place, count, given_.seed * 10**6 + turn * 100 + at, found[reader.name])
                if time.monotonic() > end:
                    break
    print(table_of(found))
    for name, one in found.items():
        for what, (count, data) in one.broken.items():
            print(f"{name}: {count} × {what}\n    {data[:200]!r}{' …' if len(data) > 200 else ''}")
            if given_.keep:
                os.makedirs(given_.keep, exist_ok=True)
                word = "".join(c if c.isalnum() else "_" for c in f"{name}_{what}")[:120]
                (Path(given_.keep) / word).write_bytes(data)
    return 1 if any(one.broken for one in found.values()) else 0


if __name__ == "__main__":
    sys.exit(main())

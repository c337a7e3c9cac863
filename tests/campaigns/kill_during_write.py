"""Programs killed while they write: `python -m tests.campaigns.kill_during_write --rounds 2000`.

Two ways. *At random moments*: one or two programs add rows to a site and a round and acknowledge each one
after the call has returned; the parent kills them (SIGKILL) at a random moment. *At every step*: a program is
killed at each line of the modules that write, and in the middle of each file's bytes. After every round each
acknowledged row must be there, once, every file sound, and the next row must go in as if nothing had
happened.
"""

from __future__ import annotations

import argparse
import os
import random
import signal
import sys
import tempfile
import time
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path
from types import FrameType
from typing import Any, NoReturn

from tests.campaigns import writers
from tests.campaigns.writers import WRITERS, Books, token_of
from tests.torn_files import torn

MOST_ROWS = 100  # of one program; it is killed long before
FRESH_AFTER = 60  # rounds; then new folders, so that files stay as small as a house's
WHOLE_EVERY = 10  # rounds; the round folder is then opened as the program opens it
LONGEST_WAIT_S = 0.1
MOST_STEPS = 5000
WRITING = (
    "records/folder/text_files.py",
    "records/folder/undo.py",
    "records/folder/lock.py",
    "records/folder/table_text.py",
    "records/folder/books.py",
    "records/round/edit.py",
)
"""Modules whose every line is a step."""
QUICK = {"write_bytes", "write_remembered", "replace_text", "last_look", "_put_beside", "_keep", "sweep"}
"""The functions that hold a file in their hands: the steps of the short profile."""


@dataclass
class Tally:
    """What a campaign did and found."""

    rounds: int = 0
    acknowledged: int = 0
    killed_writing: int = 0
    left_behind: int = 0
    wrong: list[str] = field(default_factory=list)


def kill_at_random(rounds: int, seed: int, place: Path) -> Tally:
    """Kill writers at random moments, in every fifth round one of two that write at once."""
    rng, tally, books, n = random.Random(seed), Tally(), None, 0
    for number in range(rounds):
        if books is None or number % FRESH_AFTER == 0:
            books, n = writers.new_books(place / f"books_{number}"), 0
        programs = []
        for _ in range(2 if number % 5 == 4 else 1):
            programs.append(_start(books, rng.choice(list(WRITERS)), n, rng.randrange(10**6)))
            n += MOST_ROWS
        for _, pipe in programs:
            pipe.first_row()
        for pid, _ in sorted(programs, key=lambda _: rng.random()):
            time.sleep(rng.uniform(0.0, LONGEST_WAIT_S))
            os.kill(pid, signal.SIGKILL)
        for pid, pipe in programs:
            _gather(books, pid, pipe, tally)
        tally.rounds += 1
        _look(books, tally, f"round {number}", whole=number % WHOLE_EVERY == 0 or number == rounds - 1)
    return tally


def _start(books: Books, first: str, n: int, seed: int) -> tuple[int, Told]:
    """Start a program of its own that writes one row after the other until it is killed."""

    def work(out: int) -> None:
        rng, kind = random.Random(seed), first
        for at in range(n, n + MOST_ROWS):
            token = token_of(kind, at)
            os.write(out, f"begun\t{kind}\t{token}\n".encode())
            WRITERS[kind](books, at, token)
            os.write(out, f"done\t{kind}\t{token}\n".encode())
            kind = rng.choice(list(WRITERS))

    return _fork(work)


class Told:
    """What a program tells on its pipe, line by line: begun, done or failed, the kind of row, its token."""

    def __init__(self, inlet: int) -> None:
        self.stream = os.fdopen(inlet, "rb")
        self.lines: list[list[str]] = []

    def _next(self) -> bool:
        line = self.stream.readline()
        if line.endswith(b"\n"):
            self.lines.append(line.decode().rstrip("\n").split("\t"))
        return bool(line)

    def first_row(self) -> None:
        """Wait until a row was acknowledged, so that the program is at work when it is killed."""
        while not any(word != "begun" for word, _, _ in self.lines) and self._next():
            pass

    def all(self) -> list[list[str]]:
        """Return everything up to the program's end."""
        while self._next():
            pass
        self.stream.close()
        return self.lines


def _fork(work: Callable[[int], None]) -> tuple[int, Told]:
    """Return the id of a new process and what it tells."""
    inlet, outlet = os.pipe()
    pid = os.fork()
    if pid:
        os.close(outlet)
        return pid, Told(inlet)
    _child(work, inlet, outlet)


def _child(work: Callable[[int], None], inlet: int, outlet: int) -> NoReturn:
    status = 1
    try:
        os.close(inlet)
        work(outlet)
        status = 0
    except BaseException as error:
        os.write(outlet, f"failed\t{type(error).__name__}\t{' '.join(str(error).split())[:300]}\n".encode())
    finally:
        os._exit(status)


def _gather(books: Books, pid: int, pipe: Told, tally: Tally) -> int:
    """Note what a program began and acknowledged; return how it ended."""
    lines = pipe.all()
    _, status = os.waitpid(pid, 0)
    said = {"begun": 0, "done": 0}
    for word, kind, token in lines:
        if word == "failed":
            tally.wrong.append(f"a writer failed: {kind}: {token}")
            continue
        said[word] += 1
        (books.begun if word == "begun" else books.done).setdefault(kind, set()).add(token)
    stops = [(word, token) for word, kind, token in lines if kind == "round published" and word != "failed"]
    finished = max((i for i, (word, _) in enumerate(stops) if word == "done"), default=-1)
    books.latest |= {token for _, token in stops[max(finished, 0) :]}
    tally.acknowledged += said["done"]
    tally.killed_writing += said["begun"] > said["done"]
    return status


def _look(books: Books, tally: Tally, where: str, *, whole: bool) -> None:
    """Look at what is on the disk after a kill."""
    tally.left_behind += bool(writers.rubbish(books))
    tally.wrong += [f"{where}: {said}" for said in writers.wrong_with(books, whole=whole)]


def kill_at_every_step(
    kinds: list[str], place: Path, *, quick: bool = False, every: int = 1
) -> dict[str, tuple[int, Tally]]:
    """Kill a program that writes one row at its first step, another at its second, and so on.

    With `every` 3 it is every third step. Returns the number of kills and what was found, by kind of row.
    After every fourth kill a row is written by a program that is left alone.
    """
    found = {}
    for at, kind in enumerate(kinds):
        tally, books = Tally(), writers.new_books(place / f"steps_{at}")
        as_it_was = writers.contents(books)
        n = 1000 * at + 1
        for step in range(1, MOST_STEPS, every):
            status = _gather(books, *_fork_stepping(books, kind, n, step, quick), tally)
            tally.rounds += 1
            _look(books, tally, f"{kind}, step {step}", whole=tally.rounds % 50 == 0)
            if not os.WIFSIGNALED(status):
                break
            n += 1
            if tally.rounds % 4 == 0:  # the next one must be able to write
                _gather(books, *_fork(_one_row(books, kind, n)), tally)
                if writers.rubbish(books):
                    tally.wrong.append(f"{kind}, step {step}: half-written files outlive the next row")
                n += 1
            writers.put_back(
                books, as_it_was
            )  # each kill meets the same files, so that no step is passed over
        found[kind] = (tally.rounds - 1, tally)
    return found


def _one_row(books: Books, kind: str, n: int) -> Callable[[int], None]:
    def work(out: int) -> None:
        token = token_of(kind, n)
        os.write(out, f"begun\t{kind}\t{token}\n".encode())
        WRITERS[kind](books, n, token)
        os.write(out, f"done\t{kind}\t{token}\n".encode())

    return work


def _fork_stepping(books: Books, kind: str, n: int, step: int, quick: bool) -> tuple[int, Told]:
    def work(out: int) -> None:
        token = token_of(kind, n)
        os.write(out, f"begun\t{kind}\t{token}\n".encode())
        die_at_step(step, quick)
        WRITERS[kind](books, n, token)
        sys.settrace(None)
        os.write(out, f"done\t{kind}\t{token}\n".encode())

    return _fork(work)


def die_at_step(step: int, quick: bool) -> None:
    """Let this process kill itself at the `step`-th line that writes; half of a file's bytes is one, too."""
    left = step

    def stepped() -> None:
        nonlocal left
        left -= 1
        if left == 0:
            os.kill(os.getpid(), signal.SIGKILL)

    def lines(frame: FrameType, event: str, _: Any) -> Any:
        if event == "line":
            stepped()
        return lines

    def calls(frame: FrameType, event: str, _: Any) -> Any:
        code = frame.f_code
        ours = code.co_filename.endswith(WRITING) and (not quick or code.co_name in QUICK)
        ours = ours and not code.co_name.startswith("<")  # expressions over all rows touch no file
        return lines if ours else None

    os.fdopen = torn(os.fdopen, stepped)  # type: ignore[assignment]
    sys.settrace(calls)


def main() -> int:
    """Run the campaign and print what it found."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else "")
    parser.add_argument("--rounds", type=int, default=2000)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--place", help="folder on the disk to try; left out: the usual one")
    parser.add_argument("--no-steps", action="store_true", help="leave the kill at every step out")
    given = parser.parse_args()
    with tempfile.TemporaryDirectory(dir=given.place) as place:
        os.environ["TMPDIR"] = tempfile.tempdir = place  # what the killed leave there goes with it
        start = time.monotonic()
        tally = kill_at_random(given.rounds, given.seed, Path(place))
        print(
            f"{tally.rounds} rounds of random kills in {time.monotonic() - start:.0f} s: "
            f"{tally.acknowledged} rows acknowledged, {tally.killed_writing} programs killed while writing, "
            f"half-written files there after {tally.left_behind} rounds; lost or broken: {len(tally.wrong)}"
        )
        wrong = tally.wrong
        if not given.no_steps:
            start = time.monotonic()
            found = kill_at_every_step(list(WRITERS), Path(place))
            for kind, (steps, one) in found.items():
                print(f"  {kind:16} killed at each of {steps:4} steps; lost or broken: {len(one.wrong)}")
                wrong += one.wrong
            steps = sum(s for s, _ in found.values())
            print(f"{steps} kills, one at every step, in {time.monotonic() - start:.0f} s")
    for said in wrong[:40]:
        print(said)
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main())

"""How the benchmarks measure: one row for each thing, as ratios to the plain way and to the floor in one run.

The *plain way* is what a practitioner would write first, in pandas or plain Python; where it would take too
long, it does a part of the work and is scaled up. The *floor* is reading and writing the same arrays once
with numpy. Ratios are of processor time, which other work on the machine hardly changes.
"""

from __future__ import annotations

import json
import os
import platform
import resource
import subprocess
import sys
import time
from collections.abc import Callable
from dataclasses import dataclass
from importlib.metadata import version
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parents[2]
PACKAGES = ("numpy", "pandas", "scipy", "numba", "pyarrow", "pyvrp", "streamlit")


@dataclass(frozen=True)
class Time:
    """What something took: of the clock, and of the processors, those of its own processes included. [s]"""

    clock: float
    busy: float


@dataclass(frozen=True)
class Row:
    """One line of the table.

    Attributes
    ----------
    what
        What was measured, with its sizes.
    seconds, busy_s
        Time of the clock and of the processors; the latter None where only waits are measured.
    plain, floor
        What the plain way and the floor did, in words.
    times_quicker
        Processor time of the plain way over ours; None where there is no plain way.
    times_floor
        Processor time of ours over the floor; None where there is none.
    more
        Further figures, e.g. how many results were held against the plain ones.
    """

    what: str
    seconds: float
    busy_s: float | None
    plain: str = ""
    times_quicker: float | None = None
    floor: str = ""
    times_floor: float | None = None
    more: tuple[tuple[str, float], ...] = ()

    def as_dict(self) -> dict[str, Any]:
        """The row as it goes into a document."""
        return {**vars(self), "more": dict(self.more)}


def busy_s() -> float:
    """Processor time of this process and of those it has started and seen end. [s]"""
    t = os.times()
    return t.user + t.system + t.children_user + t.children_system


def timed(work: Callable[[], Any], repeats: int = 3) -> Time:
    """Least times of some runs."""
    found = []
    for _ in range(repeats):
        begin, before = time.perf_counter(), _busy_fine()
        work()
        found.append((time.perf_counter() - begin, _busy_fine() - before))
    return Time(min(c for c, _ in found), max(1e-9, min(b for _, b in found)))


def _busy_fine() -> float:
    """As :func:`busy_s`, with the finer clock for this process's own part."""
    t = os.times()
    return time.process_time() + t.children_user + t.children_system


def timed_many(work: Callable[[], Any], least_s: float = 0.05) -> Time:
    """Time of one run of something short, from as many runs as take `least_s` together."""
    runs, begin, before = 0, time.perf_counter(), time.process_time()
    while time.process_time() - before < least_s or runs < 3:
        work()
        runs += 1
    return Time((time.perf_counter() - begin) / runs, max(1e-9, (time.process_time() - before) / runs))


def compared(
    what: str,
    ours: Time,
    plain: tuple[str, Time | None, float] = ("", None, 1.0),
    floor: tuple[str, Time | None] = ("", None),
    **more: float,
) -> Row:
    """Return the row; `plain` is (in words, its time, how many times that work ours did)."""
    words, slow, times = plain
    said, least = floor
    return Row(
        what, ours.clock, ours.busy, words, None if slow is None else times * slow.busy / ours.busy, said,
        None if least is None else ours.busy / least.busy, tuple(more.items()),
    )  # fmt: skip


def peak_mb(children: bool = False) -> float:
    """Most memory this process has held, or the largest of those it started. [MB]"""
    who = resource.RUSAGE_CHILDREN if children else resource.RUSAGE_SELF
    per_mb = 1024 if sys.platform != "darwin" else 1024**2
    return resource.getrusage(who).ru_maxrss / per_mb


def machine() -> dict[str, Any]:
    """What the figures were measured on: nothing that names the machine itself."""
    import fuelplan

    return {
        "processors": os.cpu_count(),
        "memory_gib": round(os.sysconf("SC_PAGE_SIZE") * os.sysconf("SC_PHYS_PAGES") / 2**30, 1),
        "kind": platform.machine(),
        "system": platform.system(),
        "python": platform.python_version(),
        "fuelplan": fuelplan.__version__,
        "packages": {name: version(name) for name in PACKAGES},
        "load_before": round(os.getloadavg()[0], 1),
    }


def apart(*words: str) -> Any:
    """Run `python -m tests.benchmarks.one WORDS` in a process of its own and return the document it prints.

    So the memory it tells of is that of this one thing.
    """
    done = subprocess.run(
        [sys.executable, "-m", "tests.benchmarks.one", *words], cwd=ROOT, capture_output=True, text=True
    )
    if done.returncode:
        raise RuntimeError(f"the benchmark {' '.join(words)} failed:\n{done.stderr[-3000:]}")
    return json.loads(done.stdout.splitlines()[-1])


def table(rows: list[dict[str, Any]]) -> list[str]:
    """The rows as people read them."""
    width = max(len(row["what"]) for row in rows)
    lines = [
        f"{'what':<{width}}{'seconds':>10}{'processor s':>13}{'× as quick as plain':>21}"
        f"{'× the floor':>13}{'peak MB':>9}"
    ]
    for row in rows:
        lines.append(
            f"{row['what']:<{width}}{short(row['seconds']):>10}{short(row['busy_s']):>13}"
            f"{short(row['times_quicker']):>21}{short(row['times_floor']):>13}{short(row.get('peak_mb')):>9}"
        )
        lines += [f"    {words}" for words in _words(row)]
    return lines


def _words(row: dict[str, Any]) -> list[str]:
    """What the plain way and the floor did, and further figures."""
    out = [f"plain: {row['plain']}"] if row["plain"] else []
    out += [f"floor: {row['floor']}"] if row["floor"] else []
    out += ["; ".join(f"{name.replace('_', ' ')} {short(value)}" for name, value in row["more"].items())]
    return [words for words in out if words]


def short(value: float | None) -> str:
    """Three figures that count, or a dash."""
    if value is None:
        return "–"
    if value == 0 or abs(value) >= 100:
        return f"{value:,.0f}"
    return f"{value:.3g}"


def table_of(rows: list[Row]) -> list[str]:
    """The rows of one benchmark, with the memory of this process."""
    memory = round(max(peak_mb(), peak_mb(children=True)))
    return table([{**row.as_dict(), "peak_mb": memory} for row in rows])

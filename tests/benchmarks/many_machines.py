"""The outlook handed to processes and to dask workers of this machine: time, memory, the same bytes.

Run `python -m tests.benchmarks.many_machines [--quick]`. All workers are of this machine, so this tells what
handing over costs, not what more machines bring.
"""

from __future__ import annotations

import json
import sys
import tempfile
from collections.abc import Callable
from pathlib import Path

import psutil

from fuelplan import answers
from fuelplan.workers import HERE, Crew
from tests.benchmarks import outlook
from tests.benchmarks.measure import Row, Time, compared, table_of, timed
from tests.worker_pieces import small_cluster


def asking(customers: int, folder: Path) -> Callable[[Crew, LargestWorker], str]:
    """Write a big round; what it gives asks for the outlook 14 days ahead, and returns the document."""
    outlook.write_big_round(folder, customers)
    round_ = answers.open_round(folder)
    day = round_.table.example_date
    assert day is not None
    weather = answers.weather_for_round(round_, day)

    def ask(crew: Crew, told: LargestWorker) -> str:
        found = answers.outlook(round_, weather, day, days=14, crew=crew, progress=told)
        return json.dumps(found.to_json())

    return ask


class LargestWorker:
    """The most memory that any process started from this one holds, looked at with each block done."""

    def __init__(self) -> None:
        self.mb = 0.0

    def __call__(self, *_: object) -> None:
        for process in psutil.Process().children(recursive=True):
            try:
                self.mb = max(self.mb, process.memory_info().rss / 2**20)
            except psutil.Error:
                continue


def living_s() -> float:
    """Processor time of the workers that live on when the work is done: those of the cluster. [s]"""
    found = 0.0
    for process in psutil.Process().children(recursive=True):
        times = process.cpu_times()
        found += times.user + times.system
    return found


def rows(quick: bool) -> list[Row]:
    """One line each for this process, two processes, and a dask scheduler with two workers."""
    customers = 4_096 if quick else 40_000
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        ask = asking(customers, folder)
        said: list[str] = []

        def once(crew: Crew, told: LargestWorker) -> None:
            said.append(ask(crew, told))

        here = timed(lambda: once(HERE, LargestWorker()), 1)
        found = [compared(f"outlook, {customers:,} customers, two threads of this process", here)]
        with small_cluster(folder) as address:
            for words, crew in (("two processes", Crew(2)), ("two dask workers", Crew(scheduler=address))):
                largest, before = LargestWorker(), living_s()
                took = timed(lambda c=crew, m=largest: once(c, m), 1)  # type: ignore[misc]
                took = Time(took.clock, took.busy + living_s() - before)
                found.append(
                    compared(
                        f"outlook, {customers:,} customers, {words}",
                        took,
                        more_clock_time_than_threads=took.clock / here.clock,
                        largest_worker_mb=largest.mb,
                        same_bytes=float(said[-1] == said[0]),
                    )
                )
    return found


if __name__ == "__main__":
    print("\n".join(table_of(rows(quick="--quick" in sys.argv))))

"""How time and memory grow with customers, sites, years and winters, each point in a process of its own."""

from __future__ import annotations

import sys
import tempfile
from collections.abc import Callable
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd

from tests.benchmarks.measure import Time, apart, peak_mb, timed, timed_many

Ways = dict[str, Time]

AXES: dict[str, tuple[str, tuple[int, ...], tuple[int, ...]]] = {
    "customers": (
        "run-out days × 120 winters × 90 days, Parquet to Parquet",
        (1_000, 10_000, 100_000, 1_000_000), (300, 3_000),
    ),
    "sites": ("signatures learned together, 12 readings each", (100, 1_000, 10_000, 100_000), (50, 500)),
    "years": ("years on record, for the possible winters of 550 days", (10, 20, 40, 80, 160), (10, 20)),
    "winters": ("winters × 20,000 customers × 90 days", (30, 120, 480, 1_920), (30, 60)),
}  # fmt: skip
"""Of each axis: what is measured, its sizes, and its sizes with --quick."""

OURS, PLAIN, FLOOR = "fuelplan", "plain pandas", "numpy reads and writes once"
FEW = 30


def point(axis: str, size: int) -> dict[str, Any]:
    """Measure one size of one axis in this process: seconds of each way, memory, and that of Python alone."""
    from_start = peak_mb()
    work = {"customers": _customers, "sites": _sites, "years": _years, "winters": _winters}[axis]
    found, memory = work(size)
    return {
        "axis": axis, "size": size, "peak_mb": round(memory, 1), "start_mb": round(from_start, 1),
        "ways": {way: {"seconds": t.clock, "busy_s": t.busy} for way, t in found.items()},
    }  # fmt: skip


def measured_growth(quick: bool) -> list[dict[str, Any]]:
    """All points of all axes, in order."""
    found = []
    for axis, (_, sizes, small) in AXES.items():
        for size in small if quick else sizes:
            print(f"measuring growth, {size:,} {axis} …", file=sys.stderr, flush=True)
            found.append(apart("growth", axis, str(size)))
    return found


def exponent(points: list[dict[str, Any]], axis: str, way: str = OURS) -> float:
    """Slope of processor time against size in the log-log picture, over the larger half of the sizes."""
    mine = sorted((p["size"], p["ways"][way]["busy_s"]) for p in points if p["axis"] == axis)
    size, busy = np.log(np.array(mine[-max(2, len(mine) // 2) :])).T
    return float(np.polyfit(size, busy, 1)[0])


def words_of(points: list[dict[str, Any]]) -> list[str]:
    """Growth as people read it."""
    heads = f"{'processor s':>13}{'plain pandas':>14}{'numpy floor':>13}{'peak MB':>9}"
    lines = [f"{'growth with':<12}{'size':>10}{heads}"]
    for p in points:
        ours, plain, floor = (p["ways"][way]["busy_s"] for way in (OURS, PLAIN, FLOOR))
        lines.append(
            f"{p['axis']:<12}{p['size']:>10,}{ours:>13.3g}{plain:>14.3g}{floor:>13.3g}{p['peak_mb']:>9,.0f}"
        )
    for axis in AXES:
        lines.append(f"processor time grows with {axis} as n^{exponent(points, axis):.2f}")
    return lines


def _scaled(time: Time, times: float) -> Time:
    return Time(time.clock * times, time.busy * times)


def _run_out(customers: int, winters: int) -> tuple[Ways, float]:
    from tests.benchmarks import outlook

    tables = outlook.invented_tables(winters)
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        outlook.invented_customers(200).to_parquet(folder / "few.parquet", index=False)
        outlook.invented_customers(customers).to_parquet(folder / "in.parquet", index=False)
        outlook.file_to_file(folder / "few.parquet", folder / "out.parquet", tables)
        ours = timed(
            lambda: outlook.file_to_file(folder / "in.parquet", folder / "out.parquet", tables),
            1 if customers * winters > 10**7 else 3,
        )
        memory = peak_mb()
        table = pd.read_parquet(folder / "in.parquet")
        plain = timed(lambda: outlook.pandas_way(table.iloc[:FEW], tables), 1)
        floor = timed(lambda: outlook.floor(table, folder))
    return {OURS: ours, PLAIN: _scaled(plain, customers / FEW), FLOOR: floor}, memory


def _customers(size: int) -> tuple[Ways, float]:
    return _run_out(size, 120)


def _winters(size: int) -> tuple[Ways, float]:
    return _run_out(20_000, size)


def _sites(size: int) -> tuple[Ways, float]:
    from fuelplan.learning.bulk import learn_many
    from tests.benchmarks import signature_speed as speed
    from tests.signature_worlds import FIRST_DAY, invent

    world = invent(min(2000, size), 12, 5, days=speed.DAYS)
    priors, many = speed.many_of(world, size)
    as_of = FIRST_DAY + timedelta(speed.DAYS - 1)
    ours = timed(lambda: learn_many(priors, FIRST_DAY, world.mean_c, many, as_of, workers=2), 1)
    memory = peak_mb()
    plain = timed(lambda: speed.plain(world, FEW), 1)
    floor = timed_many(lambda: [getattr(many, name).copy() for name in vars(many)])
    return {OURS: ours, PLAIN: _scaled(plain, size / FEW), FLOOR: floor}, memory


def _years(size: int) -> tuple[Ways, float]:
    from fuelplan.weather import possible_winters
    from tests.benchmarks.weather import plain_winters, record

    weather = record(size)
    first = date(2001 + size, 1, 1)

    def ours() -> Any:
        return possible_winters(weather, first, 550, seed=1)

    made = ours()
    took = timed(ours)
    memory = peak_mb()
    slow: Callable[[], Any] = lambda: plain_winters(weather, 550)  # noqa: E731
    return {OURS: took, PLAIN: timed(slow, 1), FLOOR: timed_many(made.mean_c.copy)}, memory

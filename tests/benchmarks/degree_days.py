"""Speed of degree-days of many winters and bases, as ratios within one run.

Against two yardsticks: the plain pandas loop over bases and winters (what one would write first), and the
floor, one read and one write of arrays of the same size by numpy.
Run `python -m tests.benchmarks.degree_days`.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from typing import Any

import numpy as np
import pandas as pd

from fuelplan.degree_days import degree_days_many, running_sums

CASES = (
    ("30 years x 365 days x 8 bases", 30, 365, 8),
    ("300 paths x 365 days x 8 bases", 300, 365, 8),
)


def best_s(work: Callable[[], Any], repeats: int) -> float:
    """Least processor time of several runs; other programs on the machine do not count. [s]"""
    times = []
    for _ in range(repeats):
        start = time.process_time()
        work()
        times.append(time.process_time() - start)
    return min(times)


def plain(mean: pd.DataFrame, bases: np.ndarray, sums: bool) -> dict[float, pd.DataFrame]:
    """The plain way: for every base and every winter one Series, collected into frames."""
    result = {}
    for base in bases:
        columns = {}
        for winter in mean.columns:
            daily = (base - mean[winter]).clip(lower=0)
            columns[winter] = daily.cumsum() if sums else daily
        result[float(base)] = pd.DataFrame(columns)
    return result


def one_case(name: str, paths: int, days: int, k: int, sums: bool) -> dict[str, Any]:
    """Time ours, the plain loop and the floor on the same made-up winters, and check that all agree."""
    rng = np.random.default_rng(0)
    mean = rng.normal(8.0, 8.0, (paths, days))
    bases = np.linspace(10.0, 20.0, k)
    frame = pd.DataFrame(mean.T)
    out, copy = np.empty((k, paths, days)), np.empty((k, paths, days))

    def ours() -> np.ndarray:
        daily = degree_days_many(mean, bases, out=out)
        return running_sums(daily, out=out) if sums else daily

    def floor() -> None:
        np.copyto(copy, mean)  # reads the means once for every base and writes as much as the answer holds

    expected = np.stack([f.to_numpy().T for f in plain(frame, bases, sums).values()])
    np.testing.assert_allclose(ours(), expected)
    repeats = 50 if paths < 100 else 7
    ours_s, floor_s = best_s(ours, repeats), best_s(floor, repeats)
    plain_s = best_s(lambda: plain(frame, bases, sums), 1 if paths > 100 else 3)
    return {
        "name": name + (", running sums" if sums else ""),
        "ours_s": ours_s,
        "plain_s": plain_s,
        "floor_s": floor_s,
        "ratio_plain": plain_s / ours_s,
        "ratio_floor": ours_s / floor_s,
    }


def run() -> list[dict[str, Any]]:
    """Return one row for each case: name, ours_s, plain_s, floor_s, ratio_plain, ratio_floor."""
    return [one_case(*case, sums=sums) for case in CASES for sums in (False, True)]


def main() -> None:
    """Print the rows as a table."""
    print(f"{'case':48} {'ours ms':>9} {'plain ms':>9} {'floor ms':>9} {'plain/ours':>11} {'ours/floor':>11}")
    for row in run():
        ms = [row[key] * 1e3 for key in ("ours_s", "plain_s", "floor_s")]
        ratios = row["ratio_plain"], row["ratio_floor"]
        print("{:48} {:9.2f} {:9.1f} {:9.2f} {:11.0f} {:11.1f}".format(row["name"], *ms, *ratios))


if __name__ == "__main__":
    main()

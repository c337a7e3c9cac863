"""Speed of degree-days of many winters and bases, as ratios within one run.

Against two yardsticks: the plain pandas loop over bases and winters (what one would write first), and the
floor, one read and one write of arrays of the same size by numpy.
Run `python -m tests.benchmarks.degree_days`.
"""

from __future__ import annotations

import numpy as np
import pandas as pd

from fuelplan.weather.degree_days import degree_days_many, running_sums
from tests.benchmarks.measure import Row, compared, table_of, timed, timed_many

CASES = (
    ("30 years x 365 days x 8 bases", 30, 365, 8),
    ("300 paths x 365 days x 8 bases", 300, 365, 8),
)


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


def one_case(name: str, paths: int, days: int, k: int, sums: bool) -> Row:
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
    return compared(
        name + (", running sums" if sums else ""),
        timed_many(ours),
        ("a pandas Series for every base and winter", timed(lambda: plain(frame, bases, sums), 1), 1.0),
        ("the means read and as much written as the answer holds", timed_many(floor)),
    )


def rows(quick: bool) -> list[Row]:
    """One row for each case."""
    return [one_case(*case, sums=sums) for case in CASES[: 1 if quick else 2] for sums in (False, True)]


if __name__ == "__main__":
    print("\n".join(table_of(rows(quick=False))))

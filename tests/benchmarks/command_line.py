"""How long the command line takes, cold, and how much memory: `python -m tests.benchmarks.command_line`."""

from __future__ import annotations

import functools
import statistics
import subprocess
import sys

from tests.benchmarks.measure import ROOT, Row, Time, compared, table_of, timed

DEMO = ROOT / "demo_sites" / "family_house"
ORDER = ["-m", "fuelplan.cli", "order", str(DEMO), "--as-of", "2026-01-15", "--json"]
CALLS = {
    "`fuelplan --help`, cold": ["-m", "fuelplan.cli", "--help"],
    "`fuelplan check` demo house, cold": ["-m", "fuelplan.cli", "check", str(DEMO)],
    "`fuelplan order` demo house, cold": ORDER,
}

PLAIN = """
import sys
from pathlib import Path
import pandas as pd
folder = Path(sys.argv[1])
mean_c = pd.read_csv(folder / "weather.csv", parse_dates=["date"], index_col="date")["mean_c"]
first = {}
for year in range(2001, 2025):
    winter = mean_c[f"{year}-01-16" : f"{year + 1}-07-15"]
    left = 1900 - (2.0 * (15 - winter).clip(lower=0) + 2.0).cumsum()
    low = left[left < 300]
    first[year] = (low.index[0] - winter.index[0]).days if len(low) else None
print(pd.Series(first).quantile([0.02, 0.1, 0.5, 0.9]))
"""
"""A practitioner's first script: the run-out day in each past winter. No learning, no price, no order."""

FLOOR = """
import sys
from pathlib import Path
import numpy as np
for path in Path(sys.argv[1]).glob("*.csv"):
    np.fromfile(path, np.uint8).tofile("/dev/null")
"""


def cold(call: list[str], repeats: int) -> Time:
    """Median times of a call in a process of its own."""
    run = functools.partial(
        subprocess.run, [sys.executable, *call], stdout=subprocess.DEVNULL, check=True, cwd=ROOT
    )
    found = [timed(run, 1) for _ in range(repeats)]
    return Time(statistics.median(t.clock for t in found), statistics.median(t.busy for t in found))


def rows(quick: bool) -> list[Row]:
    """One row for each call."""
    repeats = 2 if quick else 5
    plain = (
        "a pandas script for the run-out day in each past winter",
        cold(["-c", PLAIN, str(DEMO)], repeats),
        1.0,
    )
    floor = (
        "Python, numpy, and the files' bytes read and written once",
        cold(["-c", FLOOR, str(DEMO)], repeats),
    )
    return [compared(name, cold(call, repeats), plain, floor) for name, call in CALLS.items()]


if __name__ == "__main__":
    print("\n".join(table_of(rows(quick=False))))

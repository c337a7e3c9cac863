"""How long the command line takes, cold, and how much memory: `python -m tests.benchmarks.command_line`.

The ratio is to starting Python and importing numpy, which nothing here can be quicker than.
"""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

DEMO = Path(__file__).resolve().parents[2] / "demo_sites" / "family_house"
CALLS = {
    "fuelplan --help": ["-m", "fuelplan.cli", "--help"],
    "fuelplan check, demo house": ["-m", "fuelplan.cli", "check", str(DEMO)],
    "fuelplan order, demo house": [
        "-m",
        "fuelplan.cli",
        "order",
        str(DEMO),
        "--as-of",
        "2026-01-15",
        "--json",
    ],
}
FLOOR = ["-c", "import numpy"]
ROUNDS = 5

MEASURE = """
import json, resource, subprocess, sys, time
start = time.perf_counter()
subprocess.run([sys.executable, *json.loads(sys.argv[1])], stdout=subprocess.DEVNULL, check=True)
seconds = time.perf_counter() - start
print(json.dumps([seconds, resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss]))
"""


def measured(call: list[str]) -> tuple[float, float]:
    """Return the median seconds and the peak memory of one call in its own process. [s, MB]"""
    results = []
    for _ in range(ROUNDS):
        done = subprocess.run(
            [sys.executable, "-c", MEASURE, json.dumps(call)], capture_output=True, text=True, check=True
        )
        results.append(json.loads(done.stdout))
    per_mb = 1024 if sys.platform != "darwin" else 1024**2
    return sorted(r[0] for r in results)[ROUNDS // 2], max(r[1] for r in results) / per_mb


def run() -> list[dict[str, float | str]]:
    """Return one row a call."""
    floor_s, _ = measured(FLOOR)
    rows: list[dict[str, float | str]] = []
    for name, call in CALLS.items():
        seconds, peak_mb = measured(call)
        rows.append(
            {
                "name": name,
                "ours_s": seconds,
                "floor_s": floor_s,
                "ratio_floor": seconds / floor_s,
                "peak_mb": peak_mb,
            }
        )
    return rows


def main() -> None:
    """Print the table."""
    print(f"{'call':<30}{'seconds':>9}{'× numpy import':>16}{'peak MB':>9}")
    for row in run():
        print(f"{row['name']:<30}{row['ours_s']:>9.2f}{row['ratio_floor']:>16.1f}{row['peak_mb']:>9.0f}")


if __name__ == "__main__":
    main()

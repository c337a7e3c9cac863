"""The planner's core on every instance of a folder.

Run `python -m tests.benchmarks.inventory_routing FOLDER --seconds 60 --seed 1 --out plans.json`.

Each instance is searched by two chains on two cores (seeds n and n + 1); the better one counts. Every plan
is checked and
priced by `evaluator`, which shares no code with the planner. Exit status 1 if a plan may not be driven.
"""

from __future__ import annotations

import argparse
import json
import sys
import time
from collections.abc import Sequence
from concurrent.futures import ProcessPoolExecutor
from fnmatch import fnmatch
from pathlib import Path
from typing import Any

import numpy as np

from fuelplan.dispatch.run_plan import Budget, Solution, search
from tests.benchmarks.inventory_routing.evaluator import Plan, evaluate
from tests.benchmarks.inventory_routing.instance import best_known, problem_of, read

CHAINS = 2
DEVELOPMENT = (
    "S_abs1n5_2_H6", "S_abs1n10_3_L3", "S_abs1n10_5_H6", "S_abs1n10_2_L6",
    "S_abs1n20_2_L3", "S_abs1n20_5_L6", "S_abs1n20_3_H6", "S_abs1n20_4_L6",
    "S_abs1n30_3_L6", "S_abs1n30_2_H3", "S_abs1n30_4_H6", "S_abs1n30_5_L3",
    "S_abs1n40_4_L6", "S_abs1n40_2_L6", "S_abs1n40_5_H6", "S_abs1n40_3_L3",
    "S_abs1n50_5_L6", "S_abs1n50_3_H6", "S_abs1n50_2_L6", "S_abs1n50_5_H3",
    "L_abs1n50_4_L", "L_abs1n100_3_L", "L_abs1n100_5_H", "L_abs1n200_4_L",
)  # fmt: skip
"""The subset that settings are compared on; the full table is made once."""

Task = tuple[str, float | None, int | None, int]


def solve(task: Task) -> Solution:
    """Search one instance with one chain."""
    path, seconds, moves, seed = task
    problem, _ = problem_of(read(Path(path)))
    return search(problem, Budget(moves=moves, seconds=seconds), seed=seed)


def plan_of(path: Path, solution: Solution) -> Plan:
    """Return the solution as the file's customers and amounts, empty routes left out."""
    instance = read(path)
    slots = instance.vehicles
    return [
        [
            [[int(float(instance.ids[v.customer])), v.kg] for v in route]
            for route in solution.routes[t * slots : (t + 1) * slots]
            if route
        ]
        for t in range(instance.periods)
    ]


def main(arguments: Sequence[str]) -> int:
    """Run the benchmark; return the exit status."""
    ask = argparse.ArgumentParser(description=__doc__)
    ask.add_argument("folder", type=Path)
    ask.add_argument("--seconds", type=float, default=60.0)
    ask.add_argument("--moves", type=int, help="a budget that repeats exactly, instead of --seconds")
    ask.add_argument("--seed", type=int, default=1)
    ask.add_argument("--out", type=Path)
    ask.add_argument("--only", default="*", help="a pattern of names, or 'development' for the fixed subset")
    given = ask.parse_args(arguments)
    names = sorted(path for path in given.folder.glob("*.dat") if _asked(path.stem, given.only))
    if not names:
        print(f"{given.folder} holds no instance (*.dat) that fits '{given.only}'.", file=sys.stderr)
        return 2
    known = best_known(given.folder)
    solve((str(names[0]), None, 10, 0))  # compiled before the clock runs
    rows: list[dict[str, Any]] = []
    bad = 0
    print(f"{'instance':<22}{'cost':>12}{'best known':>12}{'gap':>9}{'seconds':>9}{'moves':>10}")
    with ProcessPoolExecutor(CHAINS) as pool:
        for path in names:
            started = time.perf_counter()
            seconds = None if given.moves else given.seconds
            tasks = [(str(path), seconds, given.moves, given.seed + k) for k in range(CHAINS)]
            row, wrong = _better(path, list(pool.map(solve, tasks)), time.perf_counter() - started)
            if given.moves is None:
                row["seconds"] = time.perf_counter() - started
            bad += bool(wrong)
            rows.append(row)
            print(_line(row, known.get(path.stem), wrong), flush=True)
    _summary(rows, known)
    if given.out:
        keys = ("instance", "cost", "seconds", "periods")
        given.out.write_text(json.dumps([{k: row[k] for k in keys} for row in rows]), encoding="utf-8")
    return 1 if bad else 0


def _asked(name: str, only: str) -> bool:
    return name in DEVELOPMENT if only == "development" else fnmatch(name, only)


def _better(path: Path, found: list[Solution], seconds: float) -> tuple[dict[str, Any], list[str]]:
    """Return the better of the chains' plans as a row, and what is wrong with it."""
    judged = []
    for solution in found:
        plan = plan_of(path, solution)
        cost, wrong = evaluate(path, plan)
        judged.append((bool(wrong), cost, plan, wrong))
    judged.sort(key=lambda j: j[:2])
    _, cost, plan, wrong = judged[0]
    moves = sum(solution.moves for solution in found)
    return {"instance": path.stem, "cost": cost, "seconds": seconds, "periods": plan, "moves": moves}, wrong


def _line(row: dict[str, Any], known: float | None, wrong: list[str]) -> str:
    gap = "" if known is None else f"{100 * (row['cost'] / known - 1):8.2f}%"
    best = "" if known is None else f"{known:.2f}"
    text = (
        f"{row['instance']:<22}{row['cost']:>12.2f}{best:>12}{gap:>9}{row['seconds']:>9.1f}{row['moves']:>10}"
    )
    return text + ("  NOT DRIVABLE: " + "; ".join(wrong[:3]) if wrong else "")


def _summary(rows: list[dict[str, Any]], known: dict[str, float]) -> None:
    """Print mean and worst gap by size of instance."""
    groups: dict[str, list[float]] = {}
    for row in rows:
        if row["instance"] in known:
            kind = row["instance"].split("n")[0][:1] + " n" + row["instance"].split("n")[1].split("_")[0]
            gap = 100 * (row["cost"] / known[row["instance"]] - 1)
            groups.setdefault(kind, []).append(gap)
    for kind, gaps in sorted(groups.items()):
        print(
            f"{kind:<8} {len(gaps):>3} instances: mean gap {np.mean(gaps):5.2f} %, worst {max(gaps):5.2f} %"
        )
    middle = [
        g for k, gs in groups.items() if k.startswith("S") and k[3:] in ("20", "30", "40", "50") for g in gs
    ]
    large = [g for k, gs in groups.items() if k.startswith("L") for g in gs]
    for name, gaps in (("S with 20–50 customers", middle), ("L", large)):
        if gaps:
            print(f"{name}: {len(gaps)} instances, mean {np.mean(gaps):.2f} %, worst {max(gaps):.2f} %")


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))

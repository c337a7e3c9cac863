"""Measure the outlook: `python -m tests.benchmarks.outlook days|growth|files [CUSTOMERS] [--json]`.

days
    Run-out days (2, 10, 50, 90 %, empty and below the reserve) of a million customers × 120 winters ×
    90 days, Parquet in to Parquet out on two threads, with learned uncertainty: seconds and memory, as
    ratios to the plain way a practitioner would write in pandas (on a few customers, times their number)
    and to the floor: numpy reading and writing the same numbers once. A sample is held against the plain
    calculation to the day.
growth
    The same for 1,000 to 1,000,000 customers: seconds for each, in a process of its own.
files
    A round of 100,000 customers, from files to the list of who must be served within ten days: seconds and
    memory of the whole command.
"""

from __future__ import annotations

import argparse
import json
import os
import resource
import shutil
import subprocess
import sys
import tempfile
import time
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd

from fuelplan.dispatch.outlook import (
    SHARES,
    CustomerStores,
    OutlookSettings,
    Summary,
    WinterTables,
    deviates,
    draws_of_summary,
    outlook_of,
    winter_tables,
)

WINTERS, DAYS, AREAS, SEED = 120, 90, 3, 1
BASE_C = np.arange(9.0, 21.25, 0.25)
ASKED = OutlookSettings(WINTERS, SEED, weekly=False)
DEMO = Path(__file__).resolve().parents[2] / "demo_sites" / "round_quellmark"
ROOT = [f"root_{j}{m}" for j in range(4) for m in range(j + 1)]
MEAN = ["kg_per_degree_day", "kg_per_day", "base_c", "level_kg"]
ON_MAC = sys.platform == "darwin"


def invented_tables(winters: int = WINTERS) -> WinterTables:
    """Tables of invented winters."""
    rng = np.random.default_rng(SEED)
    noise = rng.normal(0, 2.2, (winters, DAYS))
    for t in range(1, DAYS):
        noise[:, t] += 0.7 * noise[:, t - 1]
    season = 3 - 5 * np.sin(np.pi * np.arange(DAYS) / DAYS)
    return winter_tables(np.stack([season + noise - 0.8 * a for a in range(AREAS)]), BASE_C)


def invented_customers(n: int) -> pd.DataFrame:
    """What has been learned of n customers, as a table."""
    rng = np.random.default_rng(2)
    fill = rng.uniform(3000, 9000, n)
    columns: dict[str, Any] = {
        "customer": np.arange(n),
        "area": rng.integers(0, AREAS, n),
        "fill_kg": fill,
        "reserve_kg": 0.1 * fill,
        "day_noise": rng.uniform(0.08, 0.4, n),
        "kg_per_degree_day": rng.uniform(0.8, 3.5, n),
        "kg_per_day": rng.uniform(0.5, 5, n),
        "base_c": rng.normal(15, 1.2, n),
        "level_kg": rng.uniform(0.05, 0.95, n) * fill,
    }
    columns |= {name: np.zeros(n) for name in ROOT}
    columns["root_00"] = 0.12 * columns["kg_per_degree_day"]
    columns["root_11"] = 0.4 * columns["kg_per_day"]
    columns["root_20"], columns["root_22"] = np.full(n, -0.3), np.full(n, 0.6)
    columns["root_30"], columns["root_33"] = -0.03 * fill, 0.07 * fill
    return pd.DataFrame(columns)


def believed(table: pd.DataFrame) -> tuple[CustomerStores, Summary]:
    """The arrays of a table."""
    root = np.zeros((len(table), 4, 4))
    for name in ROOT:
        root[:, int(name[-2]), int(name[-1])] = table[name].to_numpy()
    fill = table["fill_kg"].to_numpy()
    store = CustomerStores(table["area"].to_numpy(np.int64), table["reserve_kg"].to_numpy(), fill)
    mean = np.ascontiguousarray(table[MEAN].to_numpy())
    number = table["customer"].to_numpy(np.int64)
    return store, Summary(number, mean, root, table["day_noise"].to_numpy(), fill)


def file_to_file(source: Path, target: Path, tables: WinterTables) -> None:
    """Read what was learned, work out run-out days, write them."""
    table = pd.read_parquet(source)
    found = outlook_of(tables, *believed(table), ASKED)
    out: dict[str, Any] = {"customer": table["customer"]}
    for i, share in enumerate(SHARES):
        out[f"empty_day_p{100 * share:02.0f}"] = found.empty_day[:, i]
        out[f"below_day_p{100 * share:02.0f}"] = found.below_day[:, i]
    pd.DataFrame(out).to_parquet(target, index=False)


def pandas_way(table: pd.DataFrame, tables: WinterTables) -> np.ndarray:
    """Run-out days as a practitioner would write them: for each customer a frame of winters × days."""
    store, summary = believed(table)
    draws = draws_of_summary(summary, deviates(SEED), tables.winters, BASE_C[0], BASE_C[-1])
    row = tables.row_of(draws.base_c)
    out = np.empty((len(table), len(SHARES)))
    for i in range(len(table)):
        sums = pd.DataFrame(tables.sum_kd[store.area[i], row[i], np.arange(tables.winters)])
        heating = sums.mul(draws.kg_per_degree_day[i], axis=0)
        use = heating.add(np.outer(draws.kg_per_day[i], np.arange(DAYS + 1)))
        daily = use.diff(axis=1).iloc[:, 1:]
        shake = draws.shake[i] * np.sqrt((daily**2).sum(axis=1) / use.iloc[:, -1])
        gone = use.add(np.sqrt(use).mul(shake, axis=0)).clip(lower=0)
        empty = gone.ge(draws.level_kg[i], axis=0)
        first = empty.idxmax(axis=1).where(empty.any(axis=1), DAYS + 1)
        out[i] = first.quantile(list(SHARES), interpolation="higher")
    return out


def differing(table: pd.DataFrame, found: pd.DataFrame, tables: WinterTables) -> int:
    """How many run-out days differ from the plain calculation on the same draws."""
    plain = outlook_of(tables, *believed(table), ASKED, compiled=False)
    columns = [f"empty_day_p{100 * s:02.0f}" for s in SHARES]
    return int((found[columns].to_numpy() != plain.empty_day).sum())


def floor(table: pd.DataFrame, folder: Path) -> float:
    """Seconds to read the same numbers once and to write the results once, with numpy."""
    numbers = table.to_numpy(float)
    np.save(folder / "in.npy", numbers)
    days = np.zeros((len(table), 2 * len(SHARES) + 1), np.int64)
    begin = time.perf_counter()
    np.load(folder / "in.npy").sum()
    np.save(folder / "out.npy", days)
    return time.perf_counter() - begin


def peak_gb() -> float:
    """Most memory this process has held. [GB]"""
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss * (1 if ON_MAC else 1024) / 1e9


def run_days(n: int) -> dict[str, Any]:
    """Return seconds, memory, ratios and how many of a sample differ from the plain calculation."""
    tables = invented_tables()
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        invented_customers(n).to_parquet(folder / "in.parquet", index=False)
        invented_customers(2000).to_parquet(folder / "few.parquet", index=False)
        file_to_file(folder / "few.parquet", folder / "few_out.parquet", tables)  # compiles where needed
        begin, busy = time.perf_counter(), time.process_time()
        file_to_file(folder / "in.parquet", folder / "out.parquet", tables)
        seconds, busy = time.perf_counter() - begin, time.process_time() - busy
        memory = peak_gb()
        table = pd.read_parquet(folder / "in.parquet")
        few = table.iloc[:60]
        begin = time.process_time()
        pandas_way(few, tables)
        slow = (time.process_time() - begin) / len(few) * n
        least = floor(table, folder)
        found = pd.read_parquet(folder / "out.parquet")
        sample = min(n, 20_000)
        differ = differing(table.iloc[:sample], found.iloc[:sample], tables)
    return {
        "customers": n,
        "seconds": seconds,
        "processor_seconds": busy,
        "peak_gb": memory,
        "times_quicker_than_pandas": slow / busy,
        "times_the_floor": seconds / least,
        "days_held_against_plain": sample * len(SHARES),
        "days_that_differ": differ,
    }


def run_growth() -> list[dict[str, Any]]:
    """Return the same for growing rounds, each in a process of its own."""
    rows = []
    for n in (1000, 10_000, 100_000, 1_000_000):
        call = [sys.executable, "-m", "tests.benchmarks.outlook", "days", str(n), "--json"]
        rows.append(json.loads(subprocess.run(call, capture_output=True, check=True, text=True).stdout))
    return rows


def write_big_round(folder: Path, n: int, kind: str = "csv") -> None:
    """Write a round of n customers: the demo round again and again, each customer under its own name."""
    for path in [*DEMO.glob("weather_*.csv"), DEMO / "round.toml"]:
        shutil.copy(path, folder)
    times = -(-n // 120)
    for name in ("customers", "deliveries", "readings"):
        one = pd.read_csv(DEMO / f"{name}.csv", dtype=str, keep_default_na=False)
        big = pd.concat([one] * times, ignore_index=True)
        copy = pd.Series(np.repeat(np.arange(times), len(one))).astype(str)
        big["customer"] = big["customer"] + "-" + copy
        if name == "customers":
            big = big.iloc[:n]
            kept = set(big["customer"])
        big = big[big["customer"].isin(kept)]
        if kind == "csv":
            big.to_csv(folder / f"{name}.csv", index=False)
        else:
            big.to_parquet(folder / f"{name}.parquet", index=False)


def run_files(n: int) -> dict[str, Any]:
    """Return seconds and memory of the whole command, and the size of its list."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        write_big_round(folder, n)
        out = folder / "out.parquet"
        call = [sys.executable, "-m", "fuelplan.cli", "outlook", str(folder), "--days", "14", "--json"]
        begin, before = time.perf_counter(), os.times()
        done = subprocess.run([*call, "--out", str(out)], capture_output=True, text=True, check=True)
        seconds, after = time.perf_counter() - begin, os.times()
        megabytes = sum(p.stat().st_size for p in folder.glob("*.csv")) / 1e6
        begin = time.perf_counter()
        for path in folder.glob("*.csv"):
            pd.read_csv(path)
        reading = time.perf_counter() - begin
    memory = resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss * (1 if ON_MAC else 1024) / 1e9
    return {
        "customers": n,
        "csv_mb": megabytes,
        "seconds": seconds,
        "processor_seconds": after.children_user
        + after.children_system
        - before.children_user
        - before.children_system,
        "peak_gb": memory,
        "times_reading_the_files_with_pandas": seconds / reading,
        "due": len(json.loads(done.stdout)["due"]),
    }


def main() -> None:
    """Run what is asked for and print it."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawTextHelpFormatter)
    parser.add_argument("what", choices=["days", "growth", "files"])
    parser.add_argument("customers", nargs="?", type=int)
    parser.add_argument("--json", action="store_true")
    given = parser.parse_args()
    if given.what == "growth":
        rows = run_growth()
    elif given.what == "days":
        rows = [run_days(given.customers or 1_000_000)]
    else:
        rows = [run_files(given.customers or 100_000)]
    if given.json:
        print(json.dumps(rows if given.what == "growth" else rows[0]))
        return
    for row in rows:
        for key, value in row.items():
            print(f"{key:<38}{value:>14,.2f}" if isinstance(value, float) else f"{key:<38}{value:>14,}")
        print()


if __name__ == "__main__":
    main()

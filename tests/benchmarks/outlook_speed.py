"""Speed of the outlook: a million customers, and a round from files to the list of who is due.

Run `python -m tests.benchmarks.outlook_speed`; the parts stand in `tests.benchmarks.outlook`.
"""

from __future__ import annotations

import subprocess
import sys
import tempfile
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pandas as pd

from fuelplan.dispatch.outlook import CustomersLearned, season_of, summary_of
from tests.benchmarks import outlook
from tests.benchmarks.measure import ROOT, Row, compared, peak_mb, table_of, timed

PLAIN_CUSTOMERS = 60
WORDS = {"csv": "CSV", "parquet": "Parquet"}


def rows(quick: bool) -> list[Row]:
    """Run-out days of very many customers, Parquet to Parquet, then `fuelplan outlook` on files."""
    many = 1_000 if quick else 100_000
    most = 20_000 if quick else 1_000_000
    return [days_row(most), season_row(most), files_row(many), files_row(many, "parquet")]


def season_row(customers: int) -> Row:
    """What this winter is like, from all customers of three areas, and counted for each of them; against the
    weighted mean of each area in pandas, which knows no outliers and is counted for nobody.
    """
    rng = np.random.default_rng(3)
    area = rng.integers(0, 3, customers)
    root = rng.normal(0, 0.3, (customers, 6, 6)) + np.eye(6)
    sd = rng.uniform(0.05, 0.3, customers)
    told = 0.1 * area + sd * rng.standard_normal(customers)
    one = np.ones(customers)
    learned = CustomersLearned(
        np.arange(customers), np.abs(root[:, 0]) + 1, root @ np.swapaxes(root, 1, 2), told, sd,
        np.full((customers, 2), 0.01), 0.2 * one, 5000 * one,
    )  # fmt: skip
    del root

    def ours() -> None:
        summary_of(season_of(learned, area).with_it(learned), 90)

    def plain() -> pd.Series:
        frame = pd.DataFrame({"area": area, "told": told, "w": sd**-2.0})
        frame["both"] = frame.told * frame.w
        sums = frame.groupby("area")[["both", "w"]].sum()
        return sums.both / sums.w

    took = timed(ours, 1)
    return compared(
        f"this winter's factor of three areas, {customers:,} customers, counted for each",
        took,
        ("weighted means by area in pandas", timed(plain, 1), 1.0),
        ("the customers' covariances copied once", timed(lambda: learned.cov.copy(), 1)),
        peak_mb_of_it=peak_mb(),
    )


def days_row(customers: int) -> Row:
    """Run-out quantiles of customers × 120 winters × 90 days, held against the plain calculation."""
    tables = outlook.invented_tables()
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        source, target, few = folder / "in.parquet", folder / "out.parquet", folder / "few.parquet"
        outlook.invented_customers(customers).to_parquet(source, index=False)
        outlook.invented_customers(2000).to_parquet(few, index=False)
        outlook.file_to_file(few, folder / "few_out.parquet", tables)  # compiled where needed
        ours = timed(lambda: outlook.file_to_file(source, target, tables), 1)
        memory = peak_mb()
        table = pd.read_parquet(source)
        plain = timed(lambda: outlook.pandas_way(table.iloc[:PLAIN_CUSTOMERS], tables), 1)
        floor = timed(lambda: outlook.floor(table, folder))
        sample = min(customers, 20_000)
        differ = outlook.differing(table.iloc[:sample], pd.read_parquet(target).iloc[:sample], tables)
    return compared(
        f"run-out days, {customers:,} customers × 120 winters × 90 days, Parquet to Parquet",
        ours,
        ("a pandas frame of winters × days for each customer", plain, customers / PLAIN_CUSTOMERS),
        ("the same numbers read and the answers written once with numpy", floor),
        peak_mb_of_it=memory, days_held_against_plain=float(4 * sample), of_them_differ=float(differ),
    )  # fmt: skip


def files_row(customers: int, kind: str = "csv") -> Row:
    """`fuelplan outlook` on a round of CSV or Parquet files, a process of its own: books to who is due in 10
    days, its customers written to Parquet.
    """
    read: dict[str, Callable[[Path], pd.DataFrame]] = {"csv": pd.read_csv, "parquet": pd.read_parquet}
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        outlook.write_big_round(folder, customers, kind)
        call = [sys.executable, "-m", "fuelplan.cli", "outlook", str(folder), "--days", "14", "--json"]
        call += ["--out", str(folder / "out.parquet")]
        ours = timed(lambda: subprocess.run(call, cwd=ROOT, capture_output=True, check=True), 1)
        files = sorted(p for p in folder.glob(f"*.{kind}") if p.stem != "out")
        sizes = sum(path.stat().st_size for path in files) / 1e6
        reading = timed(lambda: [read[kind](path) for path in files], 1)
        floor = timed(lambda: [(folder / "copy").write_bytes(path.read_bytes()) for path in files])
    return compared(
        f"`fuelplan outlook`, {customers:,} customers, {WORDS[kind]} files to the list of who is due",
        ours,
        ("pandas reading the files, nothing more", reading, 1.0),
        ("the files' bytes read and written once", floor),
        files_mb=sizes,
    )


if __name__ == "__main__":
    print("\n".join(table_of(rows(quick=False))))

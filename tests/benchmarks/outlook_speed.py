"""Speed of the outlook: a million customers, and a round from files to the list of who is due.

Run `python -m tests.benchmarks.outlook_speed`; the parts stand in `tests.benchmarks.outlook`.
"""

from __future__ import annotations

import subprocess
import sys
import tempfile
from collections.abc import Callable
from pathlib import Path

import pandas as pd

from tests.benchmarks import outlook
from tests.benchmarks.measure import ROOT, Row, compared, peak_mb, table_of, timed

PLAIN_CUSTOMERS = 60
WORDS = {"csv": "CSV", "parquet": "Parquet"}


def rows(quick: bool) -> list[Row]:
    """Run-out days of very many customers, Parquet to Parquet, then `fuelplan outlook` on files."""
    many = 1_000 if quick else 100_000
    return [days_row(20_000 if quick else 1_000_000), files_row(many), files_row(many, "parquet")]


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

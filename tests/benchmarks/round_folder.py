"""How fast a round of 100,000 customers is read and checked: `python -m tests.benchmarks.round_folder`.

Beside `pandas.read_csv` of the same files as text without looking at any cell, and beside the parsing by
numpy of the number columns alone, from texts that are in memory already.
"""

from __future__ import annotations

import sys
import tempfile
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd

from fuelplan.records.round import check_round, open_round
from tests.benchmarks.measure import Row, compared, table_of, timed
from tests.round_folders import ROUND
from tests.site_folders import wave_c, write_weather

CUSTOMERS = 100_000
DELIVERIES_EACH = 6
READINGS_EACH = 2
BAD_EVERY = 20


def big_round(folder: Path, n: int = CUSTOMERS, *, faulty: bool = False) -> Path:
    """Write a round of n customers as CSV; faulty: every twentieth row has a bad cell."""
    folder.mkdir(parents=True, exist_ok=True)
    rng = np.random.default_rng(1)
    (folder / "round.toml").write_text(ROUND, encoding="utf-8")
    for name in ("weather.csv", "weather_upland.csv"):
        write_weather(folder / name, pd.Timestamp("2024-01-01").date(), wave_c(740))
    ids = np.array([f"K-{i:06d}" for i in range(n)])
    store = rng.integers(40, 120, n) * 100
    customers = pd.DataFrame(
        {
            "customer": ids,
            "name": [f"House {i}" for i in range(n)],
            "area": rng.choice(["valley", "upland"], n),
            "depot": rng.choice(["north", "south", ""], n),
            "latitude": np.round(47.2 + rng.normal(0, 0.2, n), 5).astype(str),
            "longitude": np.round(11.4 + rng.normal(0, 0.3, n), 5).astype(str),
            "elevation_m": rng.integers(500, 1200, n).astype(str),
            "classes": rng.choice(["A1", "A1", "A1;A2"], n),
            "store_kg": store.astype(str),
            "reserve_kg": "",
            "contract": rng.choice(["top-up", "on request"], n),
            "hose_m": rng.integers(5, 30, n).astype(str),
            "max_width_m": rng.choice(["", "2.4"], n),
            "max_weight_t": rng.choice(["", "18"], n),
            "trailer_ok": rng.choice(["yes", "no"], n),
            "weekdays": rng.choice(["", "Mon;Tue;Wed", "Thu;Fri"], n),
            "from": rng.choice(["", "08:00", "09:30"], n),
            "to": rng.choice(["", "16:00"], n),
            "kg_per_year": np.round(rng.gamma(4, 1500, n) + 500).astype(int).astype(str),
            "phone": [f"555 {i:06d}" for i in range(n)],
        }
    )
    at = np.repeat(np.arange(n), DELIVERIES_EACH)
    day = np.datetime64("2020-01-01") + rng.integers(0, 2190, len(at))
    kg = (store[at] * rng.uniform(0.4, 0.9, len(at))).astype(int)
    deliveries = pd.DataFrame(
        {"customer": ids[at], "date": day.astype(str), "kg": kg.astype(str), "class": "A1", "tanker": "T1"}
    )
    at = np.repeat(np.arange(n), READINGS_EACH)
    day = np.datetime64("2025-01-01") + rng.integers(0, 365, len(at))
    percent = rng.integers(5, 100, len(at)).astype(str)
    readings = pd.DataFrame({"customer": ids[at], "date": day.astype(str), "percent": percent})
    if faulty:
        customers.loc[::BAD_EVERY, "store_kg"] = [f"{kg} litres" for kg in store[::BAD_EVERY]]
        deliveries.loc[::BAD_EVERY, "date"] = "31.12.2024"
        deliveries.loc[1::BAD_EVERY, "customer"] = "nobody"
    for name, frame in (("customers", customers), ("deliveries", deliveries), ("readings", readings)):
        frame.drop_duplicates().to_csv(folder / f"{name}.csv", index=False)
    return folder


def as_parquet(source: Path, folder: Path) -> Path:
    """Write the same round with its three big tables as Parquet, numbers and dates typed."""
    folder.mkdir(parents=True, exist_ok=True)
    for path in source.iterdir():
        if path.stem in {"customers", "deliveries", "readings"}:
            frame = pd.read_csv(path)
            if "date" in frame:
                frame["date"] = pd.to_datetime(frame["date"])
            frame.to_parquet(folder / f"{path.stem}.parquet", index=False)
        else:
            (folder / path.name).write_bytes(path.read_bytes())
    return folder


def _read_all(folder: Path) -> None:
    for name in ("customers", "deliveries", "readings"):
        pd.read_csv(folder / f"{name}.csv", dtype=str, na_filter=False)


def _floor(folder: Path) -> Callable[[], None]:
    """Return the parsing of the plain number columns alone, by numpy, of texts that are in memory already."""
    frames = [
        pd.read_csv(folder / f"{name}.csv", dtype=str) for name in ("customers", "deliveries", "readings")
    ]
    columns = [
        frame[name].to_numpy(dtype="S12")
        for frame in frames
        for name in ("latitude", "longitude", "store_kg", "kg", "percent", "kg_per_year", "hose_m")
        if name in frame
    ]
    return lambda: [column.astype(np.float64) for column in columns] and None


def rows(quick: bool) -> list[Row]:
    """Reading and checking as CSV and Parquet, sound and faulty."""
    return _rows(2_000 if quick else CUSTOMERS)


def _rows(n: int) -> list[Row]:
    with tempfile.TemporaryDirectory() as place:
        sound = big_round(Path(place) / "sound", n)
        parquet = as_parquet(sound, Path(place) / "parquet")
        faulty = big_round(Path(place) / "faulty", n, faulty=True)
        plain = "pandas.read_csv of the same files, text only", timed(lambda: _read_all(sound)), 1.0
        floor = "numpy parsing the number columns alone, from memory", timed(_floor(sound))
        found = len(check_round(faulty))
        name = f"{n:,} customers, {DELIVERIES_EACH * n:,} deliveries"
        cases: list[tuple[str, Callable[[], Any]]] = [
            (f"a round's folder read, CSV, {name}", lambda: open_round(sound)),
            (f"a round's folder read, Parquet, {name}", lambda: open_round(parquet)),
            (f"a round's folder checked, {found:,} faults and warnings", lambda: check_round(faulty)),
            (f"a round's sound rows read, CSV, {name}", lambda: open_round(faulty, sound_only=True)),
        ]
        return [compared(what, timed(work, 2), plain, floor) for what, work in cases]


if __name__ == "__main__":
    print("\n".join(table_of(_rows(int(sys.argv[1]) if len(sys.argv) > 1 else CUSTOMERS))))

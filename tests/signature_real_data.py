"""Open metered data that lie inside installed packages; their files are read, none of their code is run."""

from __future__ import annotations

import csv
import gzip
import importlib.util
import io
import tarfile
from datetime import date, datetime
from pathlib import Path
from zoneinfo import ZoneInfo

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

CHICAGO = ZoneInfo("America/Chicago")


def package_folder(name: str) -> Path:
    """Where an installed package lies, without importing it."""
    spec = importlib.util.find_spec(name)
    assert spec is not None and spec.submodule_search_locations, f"the package {name} is not installed"
    return Path(next(iter(spec.submodule_search_locations)))


def whiteside() -> tuple[NDArray[np.str_], Floats, Floats]:
    """Before/after, temperature [degC] and gas of MASS `whiteside`, 56 weeks."""
    with tarfile.open(package_folder("pydataset") / "resources.tar.gz", "r:gz") as tar:
        member = tar.extractfile("resources/rdata/csv/MASS/whiteside.csv")
        assert member is not None
        rows = list(csv.DictReader(io.TextIOWrapper(member, "utf-8")))
    return (
        np.array([r["Insul"] for r in rows]),
        np.array([float(r["Temp"]) for r in rows]),
        np.array([float(r["Gas"]) for r in rows]),
    )


def sample(name: str) -> list[dict[str, str]]:
    path = package_folder("eemeter") / "eemeter" / "samples" / name
    if not path.exists():
        path = package_folder("eemeter") / "samples" / name
    with gzip.open(path, "rt", encoding="utf-8") as f:
        return list(csv.DictReader(f))


def illinois_days() -> tuple[date, Floats]:
    """First day and daily means of the Illinois sample, days of Chicago. [degC]"""
    sums: dict[date, list[float]] = {}
    for row in sample("il-tempF.csv.gz"):
        day = datetime.fromisoformat(row["dt"]).astimezone(CHICAGO).date()
        sums.setdefault(day, []).append((float(row["tempF"]) - 32) / 1.8)
    days = sorted(sums)
    assert (days[-1] - days[0]).days + 1 == len(days), "a day is missing"
    return days[0], np.array([np.mean(sums[d]) for d in days])


def illinois_gas(kind: str) -> tuple[list[date], Floats]:
    """Begin of each period and its gas in therms ("daily", "billing_monthly" …); the last is NaN."""
    rows = sample(f"il-gas-hdd-only-{kind}.csv.gz")
    days = [datetime.fromisoformat(r["start"]).astimezone(CHICAGO).date() for r in rows]
    return days, np.array([float(r["value"]) for r in rows])


def british_house() -> tuple[date, Floats, Floats]:
    """First day, daily means [degC] and daily gas [kWh] of a real house, days of UTC."""
    gas: dict[date, list[float]] = {}
    temperature: dict[date, list[float]] = {}
    for row in sample("uk-gas-hdd-only-hourly-sample-0.csv.gz"):
        gas.setdefault(datetime.fromisoformat(row["start"]).date(), []).append(float(row["value"] or "nan"))
    for row in sample("uk-tempC-sample-0.csv.gz"):
        temperature.setdefault(datetime.fromisoformat(row["dt"]).date(), []).append(float(row["tempC"]))
    days = sorted(set(gas) & set(temperature))[1:-1]  # whole days only
    assert (days[-1] - days[0]).days + 1 == len(days), "a day is missing"
    return (
        days[0],
        np.array([np.mean(temperature[d]) for d in days]),
        np.array([np.sum(gas[d]) for d in days]),
    )

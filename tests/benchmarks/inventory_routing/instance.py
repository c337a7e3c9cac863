"""Instances of the classical problem: read from a file, turned into the planner's arrays.

The format is the public one of the 12th DIMACS Implementation Challenge (inventory routing; after Archetti,
Bertazzi,
Laporte & Speranza 2007): a line `nodes periods capacity vehicles`, a line of the depot `id x y stock made
holding`,
a line for each customer `id x y stock most least use holding`.
"""

from __future__ import annotations

import csv
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from fuelplan.dispatch.run_plan import NEVER, Problem

Floats = NDArray[np.float64]

FINEST = 1000
"""Decimals of amounts are kept as thousandths, where a file has any."""


@dataclass(frozen=True)
class Instance:
    """One instance. Arrays have a row for each customer, in the order of the file."""

    name: str
    periods: int
    capacity: float
    vehicles: int
    depot_xy: tuple[float, float]
    depot_stock: float
    made: float
    depot_holding: float
    ids: list[str]
    xy: Floats
    stock: Floats
    most: Floats
    least: Floats
    use: Floats
    holding: Floats


def read(path: Path) -> Instance:
    """Read an instance file."""
    lines = [line.split() for line in path.read_text(encoding="utf-8").splitlines() if line.strip()]
    head, depot, rows = lines[0], [float(v) for v in lines[1][1:6]], lines[2:]
    nodes, periods, vehicles = int(float(head[0])), int(float(head[1])), int(float(head[3]))
    if len(rows) != nodes - 1:
        raise ValueError(f"{path.name}: {nodes} nodes are promised, {len(rows) + 1} are there.")
    numbers = np.array([[float(v) for v in row[1:8]] for row in rows]).reshape(len(rows), 7)
    return Instance(
        path.stem, periods, float(head[2]), vehicles, (depot[0], depot[1]), depot[2], depot[3], depot[4],
        [row[0] for row in rows], numbers[:, 0:2], numbers[:, 2], numbers[:, 3], numbers[:, 4], numbers[:, 5],
        numbers[:, 6],
    )  # fmt: skip


def best_known(folder: Path) -> dict[str, float]:
    """Return the best costs known of a folder's instances, empty if it has no such table."""
    path = folder / "best_known.csv"
    if not path.exists():
        return {}
    with path.open(encoding="utf-8", newline="") as file:
        return {row["instance"]: float(row["best_known"]) for row in csv.DictReader(file)}


def problem_of(x: Instance) -> tuple[Problem, float]:
    """Return the planner's arrays and the cost that no plan can change.

    The depot's stock falls by what is delivered, so a unit delivered in a period saves its holding there
    from then on.
    """
    amounts = np.concatenate([x.stock, x.most, x.least, x.use])
    fine = next(
        (f for f in (1, 10, 100, FINEST) if np.allclose(amounts * f, np.rint(amounts * f), atol=1e-6)), FINEST
    )
    n, days, k = len(x.ids), x.periods, x.vehicles
    start = np.floor((x.stock - x.least) * fine + 1e-6).astype(np.int64)
    top = np.floor((x.most - x.least) * fine + 1e-6).astype(np.int64)
    use = np.ceil(x.use * fine - 1e-6).astype(np.int64)
    places = np.vstack([x.xy, [x.depot_xy]])
    apart = places[:, None, :] - places[None, :, :]
    way = np.floor(np.hypot(apart[..., 0], apart[..., 1]) + 0.5)
    tables, at = [], np.zeros(n, np.int64)
    for i in range(n):
        at[i] = sum(table.size for table in tables[-1:]) + (at[i - 1] if i else 0)
        level = (np.arange(top[i] + 1) / fine + x.least[i]) * x.holding[i]
        tables.append(np.tile(level, days))
    t = np.arange(days)
    problem = Problem(
        step_kg=np.full(n, 1 / fine),
        start=start,
        top=top,
        use=np.repeat(use[:, None], days, axis=1),
        fit=np.repeat(top[:, None], days, axis=1),
        least=np.ones(n, np.int64),
        level_cost=np.concatenate(tables),
        level_at=at,
        give_cost=np.repeat((-x.depot_holding * (days - t) / fine)[None, :], n, axis=0),
        may=np.ones((n, days * k), bool),
        stop_cost=np.zeros((n, days * k)),
        must=np.zeros((n, days), bool),
        grade=np.zeros(n, np.int64),
        stop_h=np.zeros(n),
        kg_h=np.zeros(n),
        drive_cost=way[None],
        drive_h=np.zeros_like(way),
        slow=np.ones(days),
        slot_type=np.zeros(k, np.int64),
        slot_depot=np.zeros(k, np.int64),
        slot_tanker=np.arange(k),
        slot_cost=np.zeros(k),
        slot_h=np.zeros(k),
        chambers_kg=np.full((k, 1, 1), x.capacity),
        day_h=np.full((k, days), NEVER),
        supply_kg=(x.depot_stock + x.made * t)[None, None, :].astype(float),
    )
    fixed = x.depot_holding * float((x.depot_stock + x.made * (t + 1)).sum())
    return problem, fixed

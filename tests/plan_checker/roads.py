"""Kilometres and hours between two places, by the rule that the reference page states."""

from __future__ import annotations

import csv
import math
from dataclasses import dataclass
from datetime import date
from typing import Any

from tests.plan_checker import quantities as q
from tests.plan_checker.folder import Folder

EARTH_KM = 6371.0088
DETOUR = 1.343
NEAR_KM_H, FAR_KM_H, NEAR_KM = 30.0, 65.0, 8.0
LEAST_TOURS = 5

Place = tuple[float, float]


@dataclass(frozen=True)
class Roads:
    """The way from one stop to the next; `factor` is None where the round learns it from odometers."""

    folder: Folder
    factor: float | None
    speed_km_h: float | None
    matrix: dict[tuple[str, str], tuple[float, float]] | None

    def km(self, a: tuple[str, Place], b: tuple[str, Place], factor: float) -> float:
        """Return the kilometres between two named places."""
        if self.matrix is not None:
            return self.matrix[a[0], b[0]][0] if a[0] != b[0] else 0.0
        return factor * great_circle_km(a[1], b[1])

    def hours(self, a: tuple[str, Place], b: tuple[str, Place], factor: float) -> float:
        """Return the driving time between two named places on usual roads. [h]"""
        if self.matrix is not None:
            return self.matrix[a[0], b[0]][1] if a[0] != b[0] else 0.0
        km = self.km(a, b, factor)
        if self.speed_km_h is not None:
            return km / self.speed_km_h
        slower_h = (1 / NEAR_KM_H - 1 / FAR_KM_H) * NEAR_KM * (1 - math.exp(-km / NEAR_KM))
        return km / FAR_KM_H + slower_h

    def slow(self, day: date) -> float:
        """Return how many times longer driving takes on a day."""
        factor = 1.0
        for row in self.folder.happenings:
            if row["what"] == "slow roads" and covers(row, day):
                factor *= float((row.get("factor") or "1").replace(",", "."))
        return factor


def covers(row: dict[str, str], day: date) -> bool:
    """Tell whether a happening falls on a day."""
    first = q.day(row["date"])
    return first <= day <= (q.day(row["until"]) if row.get("until") else first)


def great_circle_km(a: Place, b: Place) -> float:
    """Return the shortest way over a sphere. [km]"""
    lat_a, lon_a, lat_b, lon_b = map(math.radians, (*a, *b))
    h = (
        math.sin((lat_b - lat_a) / 2) ** 2
        + math.cos(lat_a) * math.cos(lat_b) * math.sin((lon_b - lon_a) / 2) ** 2
    )
    return 2 * EARTH_KM * math.asin(math.sqrt(h))


def roads_of(folder: Folder) -> Roads | None:
    """Return a round's roads; None where they come from a service, which the checker does not ask."""
    own: dict[str, Any] = folder.toml.get("distances", {})
    kind = own.get("kind", "great circle")
    if kind == "service":
        return None
    if kind == "file":
        return Roads(folder, 1.0, None, _matrix(folder, own))
    speed = q.km_per_hour(own["speed"]) if "speed" in own else None
    learned = len({(r["date"], r["tanker"]) for r in folder.odometer}) >= LEAST_TOURS
    factor = float(own["detour"]) if "detour" in own else None if learned else DETOUR
    return Roads(folder, factor, speed, None)


def _matrix(folder: Folder, own: dict[str, Any]) -> dict[tuple[str, str], tuple[float, float]]:
    """Return a matrix file with a line per pair; a pair given one way counts for the way back."""
    found: dict[tuple[str, str], tuple[float, float]] = {}
    with (folder.path / own["file"]).open(encoding="utf-8-sig", newline="") as stream:
        for row in csv.DictReader(stream):
            if not row["km"]:
                continue
            way = (float(row["km"]), float(row["minutes"]) / 60)
            found[row["from"], row["to"]] = way
            found.setdefault((row["to"], row["from"]), way)
    return found

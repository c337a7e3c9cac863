"""The villages of the round, its yard and its customers as the supplier knows them; all of it made up.

The valley lies, so that nobody's house is meant, in the middle of an ocean.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

SEED = 2026
LATITUDE, LONGITUDE = 47.0, -30.0  # of Quellmark's origin, out at sea
KM_PER_DEGREE = 111.2

Area = Literal["valley", "north", "south"]
Kind = Literal["house", "trade", "school", "hotel", "heat network"]

# village: (east km, north km, height m, area, customers)
VILLAGES: dict[str, tuple[float, float, float, Area, int]] = {
    "Quellmark": (10.0, 0.0, 520, "valley", 18),
    "Lower Ford": (2.0, -1.0, 470, "valley", 9),
    "Wester End": (-6.0, 0.5, 450, "valley", 7),
    "Alder Flats": (5.5, 2.0, 495, "valley", 6),
    "Sunny Bank": (8.0, 4.0, 680, "valley", 2),
    "Millbend": (15.0, 1.0, 560, "valley", 12),
    "Three Elms": (20.0, 0.0, 600, "valley", 9),
    "Stonecross": (26.0, 1.5, 660, "valley", 11),
    "Upper Gate": (33.0, 0.5, 720, "valley", 8),
    "Head of the Dale": (39.0, -1.0, 780, "valley", 4),
    "Linden Mouth": (14.0, 5.0, 620, "north", 6),
    "Linden Fold": (15.0, 9.0, 740, "north", 7),
    "High Linden": (16.5, 13.0, 900, "north", 4),
    "Cold Spring": (17.5, 15.0, 1040, "north", 1),
    "Shade Bridge": (24.0, -4.0, 690, "south", 6),
    "Shade Mill": (25.5, -8.0, 780, "south", 6),
    "Far Shade": (27.0, -11.0, 880, "south", 4),
}
AREA_ELEVATION_M: dict[Area, float] = {"valley": 540.0, "north": 760.0, "south": 780.0}
YARD = (9.2, -0.6, 515.0)  # east km, north km, height m
SMALL_DEPOT = (25.4, 1.1, 655.0)

# which number in the order of the villages is something larger than a house, and what it burns in a year
LARGE: dict[int, tuple[Kind, str, float, float]] = {  # kind, name, kg a year, store kg
    3: ("school", "Valley school", 46_000, 24_000),
    11: ("hotel", "Hotel at the spring", 88_000, 34_000),
    45: ("heat network", "Heat network", 150_000, 40_000),
    70: ("hotel", "Hotel on the pass road", 62_000, 28_000),
    80: ("school", "Upper school", 30_000, 20_000),
}
TRADE_NAMES = ("Bakery", "Joinery", "Inn", "Guest house", "Dairy", "Smithy", "Nursery garden", "Flats")
HOUSE_NAMES = (
    "Lime tree house", "Well house", "Corner house", "Barn house", "Brook house", "Hill house",
    "Garden house", "Old mill", "Bridge house", "Orchard house", "Lark house", "Wren cottage",
    "Stone house", "Pine lodge", "Ash cottage", "Weaver's house", "Cooper's house", "Meadow house",
    "Lane end", "Green gate", "Red gate", "Chapel house", "Potter's house", "Quarry house",
)  # fmt: skip
TRADES = {5, 14, 20, 27, 33, 36, 41, 47, 52, 56, 59, 63, 68, 74, 78, 84, 92, 101, 107, 113}
SAME_PLACE = (46, 48)  # a double house: two customers at one place
NEIGHBOURS = (25, 22)  # who order together and get two tickets
NO_HISTORY = (58, 104)  # customers since this month
NARROW = {9, 23, 39, 43, 62, 66, 90, 93, 98, 105, 115}
LONG_HOSE = {12, 25, 49, 72, 88, 96, 110}
MORNINGS = {3, 16, 34, 57, 80, 94}
CERTAIN_DAYS = {7: (1, 3), 29: (2, 4), 51: (1, 2), 76: (3, 4, 5), 99: (2, 5), 112: (1, 5)}  # 1 = Monday
NO_FIGURES = 104  # of whom not even a usual year's use is known
CREDIT_STOP = 79
CALL_AHEAD = {1, 22, 40, 61, 73, 85, 97, 103}


@dataclass(frozen=True)
class Told:
    """What the supplier knows of a customer. [m, kg, t, km]"""

    number: int
    key: str
    name: str
    village: str
    area: Area
    kind: Kind
    east_km: float
    north_km: float
    elevation_m: float
    classes: tuple[str, ...]
    store_kg: float
    reserve_kg: float
    top_up: bool
    hose_m: int
    max_width_m: float | None
    max_weight_t: int | None
    trailer_ok: bool
    weekdays: tuple[int, ...]
    opens: str
    closes: str
    smallest_drop_kg: float
    year_kg: float  # what the customer burns in a usual year, about
    hot_water_share: float

    @property
    def latitude(self) -> float:
        """Latitude. [degrees]"""
        return position(self.east_km, self.north_km)[0]

    @property
    def longitude(self) -> float:
        """Longitude. [degrees]"""
        return position(self.east_km, self.north_km)[1]


def position(east_km: float, north_km: float) -> tuple[float, float]:
    """Return latitude and longitude of a place in the valley. [degrees]"""
    east_per_degree = KM_PER_DEGREE * math.cos(math.radians(LATITUDE))
    return LATITUDE + north_km / KM_PER_DEGREE, LONGITUDE + east_km / east_per_degree


def customers() -> tuple[Told, ...]:
    """Return the 120 customers, the same ones each time."""
    where = [(village, nth) for village, row in VILLAGES.items() for nth in range(row[4])]
    out = [_customer(number, village, nth) for number, (village, nth) in enumerate(where)]
    at, upstairs = SAME_PLACE
    out[upstairs] = _moved(out[upstairs], out[at])
    return tuple(out)


def _moved(one: Told, to: Told) -> Told:
    return replace(
        one,
        name=f"{to.name}, upper flat",
        village=to.village,
        area=to.area,
        east_km=to.east_km,
        north_km=to.north_km,
        elevation_m=to.elevation_m,
    )


def _customer(number: int, village: str, nth: int) -> Told:
    """Return one customer; each draws from a seed of its own."""
    rng = np.random.default_rng([SEED, number])
    east, north, height, area, _ = VILLAGES[village]
    kind, name, year_kg, store_kg = _kind(number, village, nth, rng)
    spread = 0.35 + 0.5 * rng.random()
    scattered = rng.random() < 0.25  # a lone farm above the village
    away = rng.normal(0, 0.5 * spread, 2) + (rng.choice([-1, 1], 2) * rng.uniform(0.4, 1.1, 2)) * scattered
    up = 10 + 25 * rng.random() + (60 + 90 * rng.random()) * scattered
    hard = village == "Cold Spring"
    narrow = number in NARROW or hard
    large = kind not in ("house", "trade")
    both = rng.random() < 0.12
    grade = "A2" if large or rng.random() < 0.14 else "A1"
    reserve = max(150.0, round(store_kg * rng.uniform(0.05, 0.10), -1))
    return Told(
        number=number,
        key=f"Q{number + 1:03d}",
        name=name,
        village=village,
        area=area,
        kind=kind,
        east_km=round(east + float(away[0]), 3),
        north_km=round(north + float(away[1]), 3),
        elevation_m=min(1050.0, float(round(height + up))),
        classes=("A1", "A2") if both and grade == "A2" else (grade,),
        store_kg=store_kg,
        reserve_kg=reserve,
        top_up=number % 3 != 1 or large,
        hose_m=48 if hard else int(rng.integers(40, 48)) if number in LONG_HOSE else int(rng.integers(8, 31)),
        max_width_m=2.4 if narrow else None,
        max_weight_t=18 if hard else 26 if rng.random() < 0.15 else None,
        trailer_ok=bool(large or (not narrow and rng.random() < 0.7)),
        weekdays=(2, 3, 4) if hard else CERTAIN_DAYS.get(number, ()),
        opens="08:00" if number in MORNINGS or hard else "",
        closes="12:00" if number in MORNINGS or hard else "",
        smallest_drop_kg=5000.0 if large else 2000.0 if store_kg > 9000 else 1000.0,
        year_kg=year_kg,
        hot_water_share=round(float(rng.uniform(0.06, 0.26)), 2),
    )


def _kind(number: int, village: str, nth: int, rng: np.random.Generator) -> tuple[Kind, str, float, float]:
    """Return kind, name, a usual year's use and the size of the store. [kg]"""
    if number in LARGE:
        kind, name, year_kg, store_kg = LARGE[number]
        return kind, f"{name}, {village}", year_kg, store_kg
    if number in TRADES:
        year_kg = float(rng.uniform(16_000, 38_000))
        store_kg = float(np.clip(round(year_kg * rng.uniform(0.25, 0.55), -2), 6000, 12_000))
        return "trade", f"{TRADE_NAMES[number % len(TRADE_NAMES)]}, {village}", year_kg, store_kg
    year_kg = float(np.clip(rng.lognormal(np.log(6_200), 0.35), 2600, 14_000))
    store_kg = float(np.clip(round(year_kg * rng.uniform(0.45, 1.15), -2), 3000, 12_000))
    name = HOUSE_NAMES[(7 * nth + 5 * list(VILLAGES).index(village)) % len(HOUSE_NAMES)]
    return "house", f"{name}, {village}", year_kg, store_kg

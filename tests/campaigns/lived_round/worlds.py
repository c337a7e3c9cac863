"""The two rounds that are lived in: a copy of the invented valley, and one made from a seed."""

from __future__ import annotations

import math
import random
import shutil
from datetime import date, timedelta
from pathlib import Path

from tests.campaigns.lived_round import tables
from tests.campaigns.lived_round.tables import Row, iso
from tests.campaigns.lived_round.truth import USUAL_DEGREE_DAYS, House, Sky, Truth, usual_c

DEMO = Path(__file__).parents[3] / "demo_sites" / "round_quellmark"
START = date(2026, 1, 15)
CUSTOMERS, TANKERS, DEPOTS = 400, 6, 2
YEARS = 12
KM_PER_DEGREE = 111.2
HEADS = {
    "published": "date,tanker,trip,position,customer,class,kg,arrive",
    "wishes": "customer,wish,date,tanker,by,why",
    "happenings": "date,what,customer,tanker,depot,until,factor,class,reason",
    "orders": "order,customer,kg,class,from,to,price_per_t,credit_stop,call_ahead,already_empty,split_with",
    "readings": "customer,date,kg,percent",
    "deliveries": "customer,date,kg,class,tanker,filled_full",
    "odometer": "date,tanker,km",
}


def demo_world(folder: Path, seed: int) -> Truth:
    """Copy the invented valley, and let another truth go on from its books."""
    shutil.copytree(DEMO, folder)
    rng = random.Random(f"demo {seed}")
    for area in ("valley", "north", "south"):
        path = folder / f"weather_{area}.csv"
        names, rows = tables.read(path)
        tables.write(path, names, [r for r in rows if r["date"] <= iso(START)])
    skies = {
        a: Sky(random.Random(f"{a} {seed}"), c) for a, c in (("valley", 0.0), ("north", 1.5), ("south", 1.5))
    }
    return _truth_of(folder, rng, skies)


def made_world(folder: Path, seed: int, customers: int = CUSTOMERS) -> Truth:
    """Make a round of 400 customers, six tankers and two depots, with two winters of books."""
    rng = random.Random(f"made {seed}")
    folder.mkdir()
    sky = Sky(random.Random(f"sky {seed}"))
    first = date(START.year - YEARS, 7, 1)
    weather: list[Row] = []
    for n in range((START - first).days + 1):
        day = first + timedelta(days=n)
        weather.append({"date": iso(day), "mean_c": str(sky.next_c(day))})
    tables.write(folder / "weather.csv", ["date", "mean_c"], weather)
    (folder / "round.toml").write_text(_toml(), encoding="utf-8")
    rows = [_customer(rng, n) for n in range(1, customers + 1)]
    tables.write(folder / "customers.csv", list(rows[0]), rows)
    deliveries, readings = _past(rng, rows, {r["date"]: float(r["mean_c"]) for r in weather})
    tables.write(folder / "deliveries.csv", HEADS["deliveries"].split(","), deliveries)
    tables.write(folder / "readings.csv", HEADS["readings"].split(","), readings)
    return _truth_of(folder, rng, {"valley": sky})


def _toml() -> str:
    depots = "".join(
        f'[[depot]]\nname = "depot {n}"\nlatitude = 47.0\nlongitude = {-29.9 + 0.45 * n}\n'
        'stock = {A1 = "250 t", A2 = "60 t"}\n'
        for n in range(DEPOTS)
    )
    kinds = ((("5 t", "5 t", "5 t"), "40 m", "2.55 m", "26 t", "false", "7 t/h"),
             (("5 t", "6 t"), "50 m", "2.30 m", "18 t", "false", "5.5 t/h"),
             (("6 t", "6 t", "6 t"), "35 m", "2.55 m", "34 t", "true", "8 t/h"))  # fmt: skip
    tankers = ""
    for n in range(TANKERS):
        chambers, hose, width, weight, trailer, rate = kinds[n % len(kinds)]
        held = ", ".join(f'"{c}"' for c in chambers)
        tankers += (
            f'[[tanker]]\nname = "M{n + 1}"\ndepot = "depot {n % DEPOTS}"\nchambers = [{held}]\n'
            f'hose = "{hose}"\n'
            f'width = "{width}"\nladen_weight = "{weight}"\ntrailer = {trailer}\ncost_per_km = "1.3 EUR/km"\n'
            f'cost_per_hour = "52 EUR/h"\nblow_rate = "{rate}"\n'
        )
    return (
        'format = 2\nname = "Made round"\ncurrency = "EUR"\nclasses = ["A1", "A2"]\n'
        '[place]\ncountry = "AT"\ntime_zone = "Europe/Vienna"\nelevation = "500 m"\n'
        '[weather]\nsource = "file"\nfile = "weather.csv"\ninvented = true\n'
        f'[[area]]\nname = "valley"\nelevation = "500 m"\n{depots}{tankers}'
        '[rules]\nspare_a_day = "2 t"\nempty_cost = "400 EUR"\n[prices]\nA1 = "262 EUR/t"\nA2 = "241 EUR/t"\n'
    )


def _customer(rng: random.Random, n: int) -> Row:
    """Return one customer as the supplier knows him."""
    year = math.exp(rng.gauss(math.log(5500), 0.45)) * (6 if rng.random() < 0.04 else 1)
    store = round(year * rng.uniform(0.55, 1.1), -2) + 1500
    away, turn = 18 * math.sqrt(rng.random()), 2 * math.pi * rng.random()
    east = rng.choice((-29.9, -29.45)) + away * math.cos(turn) / (KM_PER_DEGREE * math.cos(math.radians(47)))
    return {
        "customer": f"M{n:03d}",
        "name": f"House {n}",
        "latitude": f"{47 + away * math.sin(turn) / KM_PER_DEGREE:.5f}",
        "longitude": f"{east:.5f}",
        "classes": rng.choices(("A1", "A2", "A1;A2"), (85, 10, 5))[0],
        "store_kg": f"{store:.0f}",
        "reserve_kg": f"{0.1 * store:.0f}" if rng.random() < 0.5 else "",
        "contract": "top-up" if rng.random() < 0.65 else "on request",
        "hose_m": f"{rng.uniform(8, 29):.0f}",
        "max_width_m": "2.4" if rng.random() < 0.05 else "",
        "max_weight_t": "26" if rng.random() < 0.07 else "",
        "trailer_ok": "no" if rng.random() < 0.2 else "",
        "weekdays": "Mon;Tue;Wed;Thu" if rng.random() < 0.05 else "",
        "from": "",
        "to": "13:00" if rng.random() < 0.05 else "",
        "smallest_drop_kg": "1000",
        "kg_per_year": f"{year * rng.uniform(0.85, 1.15):.0f}" if rng.random() < 0.7 else "",
        "call_ahead": "",
        "credit_stop": "",
        "phone": f"555 {n:04d}",
        "note": "",
    }


def _past(rng: random.Random, rows: list[Row], mean_c: dict[str, float]) -> tuple[list[Row], list[Row]]:
    """Return two winters of deliveries and of looks at the stores."""
    deliveries: list[Row] = []
    readings: list[Row] = []
    first = START - timedelta(days=560)
    for row in rows:
        house = _house(rng, row, rng.uniform(0.3, 0.9) * float(row["store_kg"]))
        for n in range(560):
            day = first + timedelta(days=n)
            house.burn(mean_c[iso(day)])
            if house.level_kg < 0.22 * house.store_kg and day.weekday() < 5 and rng.random() < 0.3:
                kg = round(house.fits_kg() * rng.uniform(0.8, 1.0), -1)
                house.level_kg += kg
                deliveries.append(
                    _delivery(row["customer"], day, kg, row["classes"][:2], "M1", kg > 0.97 * house.fits_kg())
                )
            if rng.random() < 0.004:
                readings.append(_reading(rng, row["customer"], day, house))
        row["x_level"] = f"{house.level_kg:.0f}"
    for row in rows:
        row.pop("x_level")
    return sorted(deliveries, key=lambda r: r["date"]), sorted(readings, key=lambda r: r["date"])


def _house(rng: random.Random, row: Row, level_kg: float) -> House:
    """Return what a customer's house really is: near what is said of it, where anything is."""
    store = float(row["store_kg"])
    said = float(row.get("kg_per_year") or 0.0) or 0.9 * store
    share = rng.uniform(0.08, 0.22)
    return House(store, said * math.exp(rng.gauss(0.0, 0.12)), share, min(level_kg, 0.98 * store))


def _delivery(name: str, day: date, kg: float, grade: str, tanker: str, full: bool) -> Row:
    return {"customer": name, "date": iso(day), "kg": f"{kg:.0f}", "class": grade, "tanker": tanker,
            "filled_full": "yes" if full else "no"}  # fmt: skip


def _reading(rng: random.Random, name: str, day: date, house: House) -> Row:
    """Return a look at a store: by eye to 5 %, or measured to about 3 % of the store."""
    share = house.level_kg / house.store_kg
    if rng.random() < 0.6:
        seen = min(100.0, max(0.0, 5 * round(20 * (share + rng.gauss(0.0, 0.04)))))
        return {"customer": name, "date": iso(day), "kg": "", "percent": f"{seen:.0f}"}
    kg = min(house.store_kg, max(0.0, house.level_kg + rng.gauss(0.0, 0.02) * house.store_kg))
    return {"customer": name, "date": iso(day), "kg": f"{kg:.0f}", "percent": ""}


def _truth_of(folder: Path, rng: random.Random, skies: dict[str, Sky]) -> Truth:
    """Return a truth that agrees with the books: what lay there by the last entry, less what burned since."""
    _, rows = tables.read(folder / "customers.csv")
    known: dict[str, tuple[str, float]] = {}
    for row in tables.read(folder / "deliveries.csv")[1]:
        known[row["customer"]] = (row["date"], float(row["kg"]) + 0.2 * _store(rows, row["customer"]))
    for row in tables.read(folder / "readings.csv")[1]:
        kg = float(row["kg"]) if row["kg"] else _store(rows, row["customer"]) * float(row["percent"]) / 100
        if row["date"] > known.get(row["customer"], ("", 0.0))[0]:
            known[row["customer"]] = (row["date"], kg)
    houses, areas = {}, {}
    for row in rows:
        name, store = row["customer"], float(row["store_kg"])
        when, kg = known.get(name, (iso(START), store * rng.uniform(0.2, 0.9)))
        house = _house(rng, row, kg)
        day = max(date.fromisoformat(when), START - timedelta(days=400))
        while day < START:
            day += timedelta(days=1)
            house.burn(usual_c(day))
        house.empty_days = 0
        house.level_kg = max(house.level_kg, 0.04 * store)
        houses[name] = house
        areas[name] = row.get("area") or next(iter(skies))
    stock = {
        (d["name"], grade): 1000 * float(str(kg).split()[0])
        for d in tables.read_toml(folder / "round.toml")["depot"]
        for grade, kg in d["stock"].items()
    }
    assert USUAL_DEGREE_DAYS > 0
    return Truth(rng, START, skies, houses, areas, stock)


def _store(rows: list[Row], name: str) -> float:
    return next((float(r["store_kg"]) for r in rows if r["customer"] == name), 0.0)

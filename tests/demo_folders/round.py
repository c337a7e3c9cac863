"""The round of the Quellmark fuel yard: 120 customers, three blower tankers, two classes of pellets.

What lies behind it is in `round_places`, `round_truth` and `round_past`; this file
writes the supplier's books.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from pathlib import Path

import numpy as np

from tests.demo_folders.round_past import Past, play
from tests.demo_folders.round_places import (
    AREA_ELEVATION_M,
    CALL_AHEAD,
    CREDIT_STOP,
    NEIGHBOURS,
    NO_FIGURES,
    NO_HISTORY,
    SMALL_DEPOT,
    YARD,
    Told,
    customers,
    position,
)
from tests.demo_folders.round_truth import weather_rows

EXAMPLE_DATE = date(2026, 1, 15)
HISTORY_FROM = date(2020, 9, 1)
READINGS_SINCE_DAYS = 563  # before that nobody wrote readings down
SEED = 911
WEEKDAYS = ("Mon", "Tue", "Wed", "Thu", "Fri")

RULES = """\
[rules]
horizon_days = 10
spare_a_day = "2 t"
overtime = "30 EUR/h"
empty_cost = "400 EUR"

[prices]
A1 = "262 EUR/t"
A2 = "241 EUR/t"
"""


@dataclass(frozen=True)
class Tanker:
    """A blower tanker as `round.toml` has it. [kg, m, t, EUR]"""

    name: str
    chambers_kg: tuple[int, ...]
    hose_m: int
    width_m: float
    laden_t: int
    trailer: bool
    blow_t_h: float
    per_km: float
    per_hour: int

    def can_serve(self, one: Told) -> bool:
        """Tell whether it gets there with enough hose."""
        return (
            self.hose_m >= one.hose_m
            and (one.max_width_m is None or self.width_m <= one.max_width_m)
            and (one.max_weight_t is None or self.laden_t <= one.max_weight_t)
            and (one.trailer_ok or not self.trailer)
        )


TANKERS = (
    Tanker("Heron", (4500, 5500, 5000), 40, 2.55, 26, False, 6.5, 1.35, 52),
    Tanker("Wren", (5000, 6000), 50, 2.30, 18, False, 5.5, 1.10, 50),
    Tanker("Stork", (6000, 6000, 6000), 35, 2.55, 34, True, 8.0, 1.70, 54),
)


def history(
    first_day: date = HISTORY_FROM, last_day: date = EXAMPLE_DATE
) -> tuple[tuple[Told, ...], tuple[Past, ...]]:
    """Return the customers, and what happened to each from one day to the evening of another."""
    told = customers()
    return told, tuple(play(one, first_day, last_day) for one in told)


def write(folder: Path, first_day: date = HISTORY_FROM, today: date = EXAMPLE_DATE) -> None:
    """Write the folder: round.toml, customers, deliveries, readings, orders and a weather file for each
    area.

    Other days than the demo's own give the books that the same supplier would have had in another winter.
    """
    folder.mkdir(parents=True, exist_ok=True)
    told, pasts = history(first_day, today)
    for area in AREA_ELEVATION_M:
        _lines(folder / f"weather_{area}.csv", weather_rows(area))
    (folder / "round.toml").write_text(round_toml(today), encoding="utf-8")
    _lines(folder / "customers.csv", _customer_rows(told))
    _lines(folder / "deliveries.csv", _delivery_rows(told, pasts))
    _lines(folder / "readings.csv", _reading_rows(told, pasts, first_day))
    _lines(folder / "orders.csv", _order_rows(told, pasts, today))


def _lines(path: Path, lines: Sequence[str]) -> None:
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")


def round_toml(today: date = EXAMPLE_DATE) -> str:
    """Return the text of `round.toml`."""
    parts = [
        f"""\
# An invented fuel supplier in the invented valley of Quellmark, with invented customers and weather.
# The valley lies, so that nobody's house is meant, in the middle of an ocean.
format = 2
name = "Quellmark fuel yard"
note = "Everything in this folder is made up."
currency = "EUR"
example_date = {today}
classes = ["A1", "A2"]

[place]
country = "AT"
time_zone = "Europe/Vienna"
elevation = "{AREA_ELEVATION_M["valley"]:.0f} m"

[weather]
source = "file"
file = "weather_valley.csv"
invented = true
attribution = "Invented weather of the invented valley of Quellmark"
"""
    ]
    parts += [_area(name, height) for name, height in AREA_ELEVATION_M.items()]
    yard_stock = f"""\
stock = {{A1 = "90 t", A2 = "45 t"}}
arriving = [{{on = {today + timedelta(days=5)}, class = "A1", amount = "60 t"}}]
"""
    parts += [_depot("yard", YARD, yard_stock), _depot("small", SMALL_DEPOT, 'stock = {A1 = "14 t"}\n')]
    parts += [_tanker(tanker) for tanker in TANKERS]
    parts += [RULES]
    return "\n".join(parts)


def _area(name: str, height_m: float) -> str:
    return f"""\
[[area]]
name = "{name}"
file = "weather_{name}.csv"
elevation = "{height_m:.0f} m"
"""


def _depot(name: str, place: tuple[float, float, float], stock: str) -> str:
    latitude, longitude = position(place[0], place[1])
    return f"""\
[[depot]]
name = "{name}"
latitude = {latitude:.5f}
longitude = {longitude:.5f}
{stock}"""


def _tanker(tanker: Tanker) -> str:
    sizes = ", ".join(f'"{kg} kg"' for kg in tanker.chambers_kg)
    return f"""\
[[tanker]]
name = "{tanker.name}"
depot = "yard"
chambers = [{sizes}]
hose = "{tanker.hose_m} m"
width = "{tanker.width_m:.2f} m"
laden_weight = "{tanker.laden_t} t"
trailer = {str(tanker.trailer).lower()}
cost_per_km = "{tanker.per_km} EUR/km"
cost_per_hour = "{tanker.per_hour} EUR/h"
blow_rate = "{tanker.blow_t_h} t/h"
"""


def _customer_rows(told: Sequence[Told]) -> list[str]:
    rng = np.random.default_rng([SEED, 1])
    rows = [
        "customer,name,area,depot,latitude,longitude,elevation_m,classes,store_kg,reserve_kg,contract,hose_m,"
        "max_width_m,max_weight_t,trailer_ok,weekdays,from,to,smallest_drop_kg,kg_per_year,hot_water_share,"
        "call_ahead,credit_stop,phone,note"
    ]
    for one in told:
        figure = round(one.year_kg * float(rng.lognormal(0, 0.15)), -2)
        known = one.number != NO_FIGURES and (rng.random() < 0.85 or one.number in NO_HISTORY)
        share = f"{one.hot_water_share:.2f}" if rng.random() < 0.4 else ""
        cells = (
            one.key, f'"{one.name}"', one.area, "", f"{one.latitude:.5f}", f"{one.longitude:.5f}",
            f"{one.elevation_m:.0f}", ";".join(one.classes), f"{one.store_kg:.0f}", f"{one.reserve_kg:.0f}",
            "top-up" if one.top_up else "on request", str(one.hose_m),
            "" if one.max_width_m is None else f"{one.max_width_m:g}",
            "" if one.max_weight_t is None else f"{one.max_weight_t:g}",
            "yes" if one.trailer_ok else "no",
            ";".join(WEEKDAYS[d - 1] for d in one.weekdays), one.opens, one.closes,
            f"{one.smallest_drop_kg:.0f}", f"{figure:.0f}" if known else "", share,
            "yes" if one.number in CALL_AHEAD else "no", "no", f"000 0{one.number + 1:03d}", _note(one),
        )  # fmt: skip
        rows.append(",".join(cells))
    return rows


def _note(one: Told) -> str:
    if one.village == "Cold Spring":
        return "steep lane; chains in winter"
    if one.number in NO_HISTORY:
        return "customer since this month"
    return "boiler off an hour before" if one.number % 9 == 4 else ""


def _delivery_rows(told: Sequence[Told], pasts: Sequence[Past]) -> list[str]:
    rng = np.random.default_rng([SEED, 2])
    rows = []
    for one, past in zip(told, pasts, strict=True):
        for ticket in past.deliveries:
            able = [t.name for t in TANKERS if t.can_serve(one)]
            tanker = able[int(rng.integers(len(able)))]
            if one.number in NO_HISTORY:
                continue
            full = "yes" if ticket.filled_full else "no"
            rows.append(
                (ticket.day, f"{one.key},{ticket.day},{ticket.kg:.0f},{ticket.fuel_class},{tanker},{full}")
            )
    return ["customer,date,kg,class,tanker,filled_full", *(text for _, text in sorted(rows))]


def _reading_rows(told: Sequence[Told], pasts: Sequence[Past], first_day: date) -> list[str]:
    """Percentages by eye from some who ring or write, kilograms from the few with weighing cells."""
    rows = []
    begin = max(0, len(pasts[0].levels_kg) - 1 - READINGS_SINCE_DAYS)
    for one, past in zip(told, pasts, strict=True):
        rng = np.random.default_rng([SEED, 3, one.number])
        if one.number in NO_HISTORY:
            continue
        if one.kind != "house" and rng.random() < 0.25:  # weighing cells, read about monthly
            for at in range(begin + int(rng.integers(0, 30)), len(past.levels_kg), int(rng.integers(26, 36))):
                kg = max(0.0, round(past.levels_kg[at] * (1 + rng.normal(0, 0.015)), -1))
                rows.append((first_day + timedelta(days=at), one.key, f"{kg:.0f} kg"))
            continue
        bias = rng.normal(0, 0.04)
        days = [r.day for r in past.rings if r.seen > 0 and rng.random() < 0.35]
        if rng.random() < 0.3:
            span = len(past.levels_kg)
            extra = rng.choice(np.arange(begin, span), int(rng.integers(1, 7)), replace=False)
            days += [first_day + timedelta(days=int(i)) for i in extra]
        for day in sorted(set(days)):
            if day < first_day + timedelta(days=begin):
                continue
            share = past.levels_kg[(day - first_day).days] / one.store_kg + bias + rng.normal(0, 0.06)
            rows.append((day, one.key, f"{min(100, max(0, 5 * round(20 * share)))} %"))
    lines = []
    for day, key, text in sorted(rows):
        kg, percent = (text[:-3], "") if text.endswith("kg") else ("", text[:-2])
        lines.append(f"{key},{day},{kg},{percent}")
    return ["customer,date,kg,percent", *lines]


def _order_rows(told: Sequence[Told], pasts: Sequence[Past], today: date) -> list[str]:
    """Open promises of on-request customers; two neighbours share, one is empty, one is stopped."""
    rows = [
        "order,customer,kg,class,from,to,price_per_t,credit_stop,call_ahead,already_empty,split_with",
    ]
    first, second = NEIGHBOURS
    for one, past in zip(told, pasts, strict=True):
        ring, level = past.open_ring, float(past.levels_kg[-1])
        if one.number == second:
            ring = pasts[first].open_ring  # his neighbour rang for both
        if one.top_up or ring is None:
            continue
        room = 100 * round((0.95 * one.store_kg - level) / 100)
        kg = ring.kg if ring.kg > 0 and one.number != second else room
        begin = max(ring.due - timedelta(days=1), today + timedelta(days=1))
        begin = ring.due if begin.isoweekday() > 5 else begin
        until = ring.due + timedelta(days=2 if level > 0 and ring.due.isoweekday() < 4 else 0)
        split = told[second].key if one.number == first else told[first].key if one.number == second else ""
        rows.append(
            f"B{len(rows):03d},{one.key},{min(kg, room):.0f},{one.classes[0]},"
            f"{begin},{until},"
            f"{329 if kg < 4000 else 314},{'yes' if one.number == CREDIT_STOP else 'no'},"
            f"{'yes' if one.number in CALL_AHEAD else 'no'},{'yes' if level == 0 else 'no'},{split}"
        )
    return rows

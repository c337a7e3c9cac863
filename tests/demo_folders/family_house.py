"""The family house by the lime tree: a bulk store with two sloped floors, three winters of history."""

from __future__ import annotations

from datetime import date, timedelta
from pathlib import Path

import numpy as np

from tests.demo_folders.folders import (
    TrueHouse,
    mean_between,
    true_levels_kg,
    true_use_kg,
    weather_at,
    write_weather,
)

ELEVATION_M = 640.0
TRUTH = TrueHouse(kg_per_degree_day=1.42, kg_per_day=1.9, base_c=15.4, day_noise=0.12)
START, START_KG = date(2023, 6, 15), 5400.0
EXAMPLE_DATE = date(2026, 1, 15)
SEED = 41

# ordered on, due from, due to, ordered, delivered on, delivered, weighed, note
ORDERS = (
    ("2023-05-31", "2023-06-08", "2023-06-20", "4 t", "2023-06-15", "4.06 t", "filled to the top"),
    ("2024-08-19", "2024-08-26", "2024-09-09", "3.5 t", "2024-09-03", "3.54 t", ""),
    ("2025-02-10", "2025-02-17", "2025-02-28", "2.5 t", "2025-02-20", "2.47 t", ""),
    ("2025-08-25", "2025-09-01", "2025-09-12", "2 t", "2025-09-09", "2.02 t", ""),
)
READ_ON = (
    ("2023-10-28", "percent"), ("2024-02-04", "percent"), ("2024-04-30", "mark"), ("2024-08-18", "percent"),
    ("2024-12-27", "mark"), ("2025-02-09", "percent"), ("2025-05-04", "kg"), ("2025-08-24", "percent"),
    ("2025-11-15", "mark"), ("2026-01-03", "mark"),
)  # fmt: skip

SITE_TOML = f"""\
# An invented family house in the invented valley of Quellmark, with invented weather.
format = 1
name = "House by the lime tree"
note = "Everything in this folder is made up."
currency = "EUR"
example_date = {EXAMPLE_DATE}

[place]
country = "AT"
time_zone = "Europe/Vienna"
elevation = "{ELEVATION_M:.0f} m"

[weather]
source = "file"
file = "weather.csv"
invented = true
attribution = "Invented weather of the invented valley of Quellmark"

[building]
pellets_a_year = "5.6 t"
indoor = "20.5 degC"
gains = "420 W"
people = 4

[boiler]
rated = "15 kW"
installed = 2016

[pellets]
class = "A1"
energy = "4.8 kWh/kg"

[store]
shape = "two slopes"
length = "2.9 m"
width = "2.0 m"
height = "2.4 m"
slope = 45
reserve = "350 kg"

[supply]
lead_time = "4 to 12 working days"
smallest_drop = "2 t"
step = "100 kg"
delivery_pause = "4 h"
hose = "22 m"
other_heat = "0.31 EUR/kWh"

[[offer]]
supplier = "Quellmark fuel yard"
prices = [{{from = "2 t", price = "336 EUR/t"}}, {{from = "4 t", price = "319 EUR/t"}}]
blow_in_charge = "38 EUR"
pay_within_days = 14

[[offer]]
supplier = "Upper mill co-operative"
prices = [{{from = "3 t", price = "322 EUR/t"}}, {{from = "5 t", price = "309 EUR/t"}}]
blow_in_charge = "32 EUR"
hose_included = "20 m"
hose_charge = "2 EUR"
shared_orders = true
valid_until = 2026-02-28

[risk]
per_order = "1 in 50"
look_again_days = 7

[[away]]
from = 2026-02-07
to = 2026-02-14
indoor = "15 degC"
"""


def write(folder: Path) -> None:
    """Write the folder: site.toml, weather.csv, deliveries.csv and readings.csv."""
    from fuelplan.records.folder.toml_file import site_of_text
    from fuelplan.records.site.to_domain import store_of

    folder.mkdir(parents=True, exist_ok=True)
    (folder / "site.toml").write_text(SITE_TOML, encoding="utf-8")
    days = weather_at(ELEVATION_M)
    write_weather(folder / "weather.csv", days)
    rows = ["fuel,ordered_on,due_from,due_to,ordered,delivered_on,delivered,weighed,filled_full,outcome,note"]
    for ordered_on, due_from, due_to, ordered, came, amount, note in ORDERS:
        full = "yes" if note.startswith("filled") else "no"
        rows.append(
            f"pellets,{ordered_on},{due_from},{due_to},{ordered},{came},{amount},yes,{full},delivered,{note}"
        )
    (folder / "deliveries.csv").write_text("\n".join(rows) + "\n", encoding="utf-8")

    rng = np.random.default_rng(SEED)
    use = true_use_kg(TRUTH, mean_between(days, START + timedelta(days=1), EXAMPLE_DATE), rng)
    arrivals = {date.fromisoformat(o[4]): 1000 * float(o[5].split()[0]) for o in ORDERS[1:]}
    level = true_levels_kg(START_KG, use, START + timedelta(days=1), arrivals)
    table, _ = site_of_text((folder / "site.toml").read_text(encoding="utf-8"))
    assert table is not None
    store = store_of(table)
    lines = ["date,reading,how,fuel,note"]
    for day_text, kind in READ_ON:
        kg = level[(date.fromisoformat(day_text) - START).days - 1]
        if kind == "percent":
            share = kg / store.capacity_kg() + rng.normal(0, 0.05)
            lines.append(f"{day_text},{5 * round(20 * max(share, 0.05))} %,by eye,pellets,")
        elif kind == "mark":
            cm = store.mark_from_kg(kg, "top") + rng.normal(0, 4)
            lines.append(f"{day_text},{cm:.0f} cm from top,measured,pellets,")
        else:
            lines.append(f"{day_text},{round(kg / 100 + rng.normal(0, 1)) / 10:.1f} t,by eye,pellets,")
    (folder / "readings.csv").write_text("\n".join(lines) + "\n", encoding="utf-8")

"""The village school: a large store, a day hopper filled by suction, and quiet hours from 22 to 6."""

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

ELEVATION_M = 560.0
TRUTH = TrueHouse(kg_per_degree_day=10.4, kg_per_day=1.5, base_c=14.6, day_noise=0.18)
START, START_KG = date(2024, 8, 20), 22_000.0
EXAMPLE_DATE = date(2026, 1, 20)
SEED = 73

# ordered on, due from, due to, ordered, delivered on, delivered
ORDERS = (
    ("2024-08-05", "2024-08-12", "2024-08-23", "14 t", "2024-08-20", "14.1 t"),
    ("2024-12-02", "2024-12-09", "2024-12-18", "12 t", "2024-12-12", "11.9 t"),
    ("2025-06-30", "2025-07-07", "2025-07-18", "13 t", "2025-07-10", "13.05 t"),
    ("2025-11-24", "2025-12-01", "2025-12-12", "9 t", "2025-12-04", "9.02 t"),
)
READ_ON = ("2024-10-21", "2025-01-07", "2025-02-24", "2025-04-22", "2025-10-06", "2025-11-17", "2026-01-07")

SITE_TOML = f"""\
# An invented village school in the invented valley of Quellmark, with invented weather.
format = 1
name = "School at the ford"
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
design_loss = "75 kW"
design_outdoor = "-14 degC"
indoor = "18 degC"          # averaged over class rooms, nights and weekends
gains = "6 kW"
hot_water = false

[boiler]
rated = "100 kW"
installed = 2019

[pellets]
class = "A1"
energy = "4.8 kWh/kg"

[store]
shape = "two slopes"
length = "6.0 m"
width = "3.2 m"
height = "3.0 m"
slope = 40
channel = "0.3 m"
reserve = "1500 kg"

[supply]
lead_time = "4 to 10 working days"
smallest_drop = "5 t"
step = "500 kg"
price = "298 EUR/t"
delivery_pause = "5 h"

[risk]
per_order = "1 in 50"

[hopper]
size = "300 kg"

[conveying]
how = "suction"
line = "15 m"
rise = "3 m"
rate = "600 kg/h"
burn_out = "30 min"
ignite = "15 min"
quiet_from = 22
quiet_to = 6

[buffer]
volume = "1500 litre"
spread = "20 K"
time_constant = "60 h"

[access]
hose = "22 m"
road_width = "3.5 m"
road_height = "4.5 m"
fill_outdoors = true
exhaust_outdoors = true
fill_height = "1.2 m"
exhaust_height = "1.2 m"
metal_pipes = true
mat = true
inlet_below_ceiling = "20 cm"
electrics_inside = true     # an old lamp: to be taken out
suction_floors = 1

[ventilation]
vent_line = "3 m"

[sizing]
store_per_m3 = "220 EUR/m3"
store_fixed = "4000 EUR"
largest_drop = "15 t"

[sizing.cellar]
length = "5.0 m"
width = "3.0 m"
height = "2.6 m"
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
    for ordered_on, due_from, due_to, ordered, came, amount in ORDERS:
        rows.append(f"pellets,{ordered_on},{due_from},{due_to},{ordered},{came},{amount},yes,no,delivered,")
    (folder / "deliveries.csv").write_text("\n".join(rows) + "\n", encoding="utf-8")

    rng = np.random.default_rng(SEED)
    use = true_use_kg(TRUTH, mean_between(days, START + timedelta(days=1), EXAMPLE_DATE), rng)
    arrivals = {date.fromisoformat(o[4]): 1000 * float(o[5].split()[0]) for o in ORDERS[1:]}
    level = true_levels_kg(START_KG, use, START + timedelta(days=1), arrivals)
    table, _ = site_of_text((folder / "site.toml").read_text(encoding="utf-8"))
    assert table is not None
    store = store_of(table)
    lines = [
        "date,reading,how,fuel,note",
        f"{START},{START_KG / 1000:g} t,measured,pellets,after the delivery",
    ]
    for day_text in READ_ON:
        kg = level[(date.fromisoformat(day_text) - START).days - 1]
        cm = store.mark_from_kg(kg, "top") + rng.normal(0, 5)
        lines.append(f"{day_text},{cm:.0f} cm from top,measured,pellets,")
    (folder / "readings.csv").write_text("\n".join(lines) + "\n", encoding="utf-8")

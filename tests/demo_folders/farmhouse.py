"""The farmhouse at the ford: one boiler for logs and pellets, a buffer, a pile of beech."""

from __future__ import annotations

from datetime import date, timedelta
from pathlib import Path

import numpy as np

from fuelplan.heat.building import HeatNeed
from fuelplan.records.folder.toml_file import site_of_text
from fuelplan.records.site import Site, loading_rule, plant_of
from fuelplan.records.site.to_domain import store_of
from tests.demo_folders.folders import Floats, mean_between, true_levels_kg, weather_at, write_weather
from tests.log_heating_played import play

ELEVATION_M = 780.0
EXAMPLE_DATE = date(2026, 1, 15)

SITE_TOML = f"""\
# An invented farmhouse in the invented valley of Quellmark, with invented weather.
format = 1
name = "Farmhouse at the ford"
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
design_loss = "13 kW"
design_outdoor = "-15 degC"
indoor = "20 degC"
gains = "500 W"
people = 5

[boiler]
kind = "logs and pellets"
rated = "25 kW"
installed = 2021

[buffer]
volume = "2000 litre"

[logs]
wood = "beech"
water = "18 % wet"
load = "24 kg"
burn = "5 h"

[loading]
weekdays = ["17:00 to 21:00"]
weekends = ["8:00 to 21:00"]
cold_below = "-6 degC"
cold_hours = ["6:00 to 8:00", "17:00 to 22:00"]
months = [10, 11, 12, 1, 2, 3, 4]
most_loads_a_day = 2

[[log_pile]]
name = "south wall"
wood = "beech"
amount = "12 stacked m3"
since = 2024-02-20
kept = "covered"

[[log_pile]]
name = "behind the barn"
wood = "beech"
amount = "10 stacked m3"
since = 2025-03-10
kept = "covered"

[pellets]
class = "A1"

[store]
shape = "two slopes"
length = "2.8 m"
width = "2.0 m"
height = "2.3 m"
slope = 42
reserve = "300 kg"

[supply]
lead_time = "5 to 12 working days"
smallest_drop = "2 t"
step = "100 kg"
delivery_pause = "4 h"
price = "318 EUR/t"

[[fuel_price]]
name = "pellets, blown in"
fuel = "pellets"
price = "318 EUR/t"

[[fuel_price]]
name = "beech, split and dry"
fuel = "logs"
wood = "beech"
water = "18 % wet"
price = "98 EUR/stacked m3"

[[fuel_price]]
name = "electric heaters"
fuel = "electricity"
price = "0.31 EUR/kWh"
efficiency = 1.0

[upkeep]
ash_box = "45 litre"
ash_emptied = 2026-01-06
sweepings_a_year = 3
last_swept = 2025-11-20
store_cleaned = 2024-06-02

[[away]]
from = 2026-02-14
to = 2026-02-22
indoor = "15 degC"
"""

DELIVERIES = (("2024-09-02", "2024-09-09", "2024-09-20", "3 t", "2024-09-12", "3.04 t"),
              ("2025-09-08", "2025-09-15", "2025-09-26", "2.5 t", "2025-09-17", "2.48 t"))  # fmt: skip
READ_ON = ("2024-09-12", "2024-12-08", "2025-02-16", "2025-05-18", "2025-09-07", "2025-11-23", "2026-01-10")
START, START_KG = date(2024, 9, 11), 1900.0
TRUE_LOSS_W_PER_K, TRUE_BASE_C, TRUE_WATER_KWH = 350.0, 16.8, 9.5  # what the owner does not know
LOGS_COUNTED = "2026-01-10,8 stacked m3,measured,logs,,south wall"
SEED = 43


def write(folder: Path) -> None:
    """Write the folder: site.toml, weather.csv, deliveries.csv and readings.csv."""
    folder.mkdir(parents=True, exist_ok=True)
    (folder / "site.toml").write_text(SITE_TOML, encoding="utf-8")
    days = weather_at(ELEVATION_M)
    write_weather(folder / "weather.csv", days)
    rows = ["fuel,ordered_on,due_from,due_to,ordered,delivered_on,delivered,weighed,filled_full,outcome,note"]
    rows += [
        f"pellets,{a},{b},{c},{kg},{day},{came},yes,no,delivered," for a, b, c, kg, day, came in DELIVERIES
    ]
    (folder / "deliveries.csv").write_text("\n".join(rows) + "\n", encoding="utf-8")
    table, _ = site_of_text((folder / "site.toml").read_text(encoding="utf-8"))
    assert table is not None
    first = START + timedelta(days=1)
    level = _true_levels(Site(folder, table, (), (), folder), mean_between(days, first, EXAMPLE_DATE), first)
    rng, capacity_kg = np.random.default_rng(SEED), store_of(table).capacity_kg()
    lines = ["date,reading,how,fuel,note,stack"]
    for day in READ_ON:
        share = level[(date.fromisoformat(day) - first).days] / capacity_kg + rng.normal(0, 0.04)
        lines.append(f"{day},{5 * round(20 * max(share, 0.05))} %,by eye,pellets,,")
    (folder / "readings.csv").write_text("\n".join([*lines, LOGS_COUNTED]) + "\n", encoding="utf-8")


def _true_levels(site: Site, mean_c: Floats, first: date) -> Floats:
    """Return the pellets in store each evening, from the boiler run hour by hour. [kg]"""
    need = HeatNeed(TRUE_LOSS_W_PER_K, TRUE_BASE_C, TRUE_WATER_KWH, 0.0, "invented")
    plant, rule = plant_of(site.table, 4.8), loading_rule(site)
    dates = np.datetime64(first, "D") + np.arange(len(mean_c))
    played = play(plant, rule, dates, mean_c, need.space_kwh(mean_c), need.hot_water_kwh_per_day)
    arrivals = {date.fromisoformat(row[4]): 1000 * float(row[5].split()[0]) for row in DELIVERIES}
    return true_levels_kg(START_KG, played.pellets_kg[0], first, arrivals)

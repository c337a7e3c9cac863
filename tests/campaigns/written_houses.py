"""Houses written to differ: boiler, fuel, every way of reading, open orders, prices, faults."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from tests.site_folders import make_site

LOGS = (
    ('[boiler]\nseasonal_efficiency = "80 %"', '[boiler]\nkind = "logs and pellets"\nrated = "25 kW"'),
    (
        "[pellets]",
        '[buffer]\nvolume = "1500 litre"\n[logs]\nwood = "{wood}"\nwater = "{water}"\nload = "25 kg"\n'
        "[pellets]",
    ),
)
READINGS = (
    "2020-11-01,4 t,measured,,",
    "2020-10-20,60 %,by eye,,\n2020-11-03,45 %,,pellets,after delivery",
    "2020-10-01,full,,,\n2020-11-02,160 bags,,,",
    "2020-09-01,1200 kg,boiler counter,,\n2020-10-15,3 t,,,\n2020-11-05,2000 kg,boiler counter,,",
    "2020-10-10,empty,,,\n2020-11-04,8000 lb,estimated,,",
)
DELIVERIES = (
    "pellets,,,,,2020-10-12,3 t,yes,,",
    ",2020-10-25,2020-11-12,2020-11-16,2 t,,,,,",
    "pellets,2020-09-01,,,2 t,2020-09-12,1980 kg,no,,\npellets,2020-10-01,,,3 t,,,,failed,",
    ",2020-10-05,,,2500 kg,,,,,",
)
PRICES = """
[[fuel_price]]
name = "pellets"
fuel = "pellets"
price = "320 EUR/t"
[[fuel_price]]
name = "chips"
fuel = "chips"
wood = "spruce"
water = "30 % wet"
price = "28 EUR/loose m3"
[[fuel_price]]
name = "logs"
fuel = "logs"
wood = "beech"
water = "18 % wet"
price = "95 EUR/stacked m3"
[upkeep]
ash_box = "40 litre"
"""


def written_houses(parent: Path, count: int) -> Iterator[tuple[Path, str]]:
    """Yield folders that differ in boiler, fuel, readings, deliveries and prices, and the day to ask for."""
    for number in range(count):
        changes: list[tuple[str, str]] = []
        readings = READINGS[number % len(READINGS)]
        deliveries = DELIVERIES[number % len(DELIVERIES)]
        if number % 3 == 1:
            wood, water = ("beech", "18 % wet") if number % 2 else ("spruce", "22 % dry")
            changes += [(old, new.format(wood=wood, water=water)) for old, new in LOGS]
            readings += "\n2020-11-06,8 stacked m3,,logs," if number % 2 else "\n2020-11-06,2 cord,,logs,"
            deliveries += "\nlogs,,,,,2020-11-07,3 stacked m3,no,,"
        if number % 4 == 2:
            changes.append(('energy = "4.8 kWh/kg"', 'class = "A2"\nbulk_density = "620 kg/m3"'))
        if number % 5 == 3 and number % 3 != 1:
            changes.append(('seasonal_efficiency = "80 %"', f"installed = {1990 + 2 * number}"))
        if number % 7 == 6:
            deliveries += "\nchips,,,,,2020-11-08,4 loose m3,no,,"
        if number % 2:
            changes.append(('price = "300 EUR/t"\n', f'price = "300 EUR/t"\n{PRICES}'))
        made = make_site(
            parent / f"written_{number:02d}",
            readings="date,reading,how,fuel,when\n" + readings + "\n",
            deliveries="fuel,ordered_on,due_from,due_to,ordered,delivered_on,delivered,weighed,outcome,note\n"
            + deliveries
            + "\n",
            changes=changes,
        )
        yield made, "2020-11-09"

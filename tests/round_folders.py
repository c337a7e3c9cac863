"""Round folders made by tests: a small sound one that tests change in places."""

from __future__ import annotations

import tempfile
from collections.abc import Mapping, Sequence
from datetime import date
from functools import cache
from pathlib import Path

from tests.site_folders import wave_c, write_weather

ROUND = """\
format = 2
name = "Test round"
currency = "EUR"
example_date = 2026-01-12
classes = ["A1", "A2"]
[place]
country = "AT"
time_zone = "Europe/Vienna"
latitude = 47.2
longitude = 11.4
[weather]
source = "file"
file = "weather.csv"
[[area]]
name = "valley"
elevation = "560 m"
[[area]]
name = "upland"
file = "weather_upland.csv"
elevation = "1050 m"
[[depot]]
name = "north"
latitude = 47.25
longitude = 11.40
opens = "06:00"
closes = "18:00"
stock = { A1 = "120 t", A2 = "40 t" }
[[depot.arriving]]
on = 2026-01-14
class = "A1"
amount = "24 t"
[[depot]]
name = "south"
latitude = 47.10
longitude = 11.45
[[tanker]]
name = "T1"
depot = "north"
chambers = ["5 t", "5 t", "5 t"]
hose = "40 m"
width = "2.5 m"
laden_weight = "26 t"
cost_per_km = "1.10 EUR/km"
cost_per_hour = "48 EUR/h"
blow_rate = "8 t/h"
set_up = "18 min"
reload = "35 min"
[[tanker]]
name = "T2"
depot = "south"
chambers = ["4 t", "3 t", "3 t"]
payload = "9 t"
hose = "30 m"
width = "2.3 m"
laden_weight = "18 t"
cost_per_km = "0.90 EUR/km"
cost_per_hour = "45 EUR/h"
[rules]
horizon_days = 10
reserve = "10 %"
risk = "1 in 50"
ring_at = "20 %"
spare_a_day = "3 t"
smallest_drop = "1500 kg"
[prices]
A1 = "265 EUR/t"
A2 = "240 EUR/t"
"""

CUSTOMERS = """\
customer,name,area,depot,latitude,longitude,elevation_m,classes,store_kg,reserve_kg,contract,hose_m,\
max_width_m,max_weight_t,trailer_ok,weekdays,from,to,smallest_drop_kg,kg_per_year,hot_water_share,call_ahead,\
credit_stop,phone,note,split_with
K-01,Hofer,valley,north,47.252,11.391,575,A1,5200,500,top-up,25,,,,,08:00,16:00,2000,6100,15 %,,,555 0101,,
K-02,Mill Lane 4,valley,north,47.243,11.412,570,A1,7000,,top-up,15,,,,Mon;Tue;Wed,,,,8200,,,,555 0102,\
boiler off 1 h before,K-03
K-03,Mill Lane 6,valley,north,47.2431,11.4122,570,A1,4500,,on request,20,,,,,,,,4300,,yes,,555 0103,,K-02
K-04,School,valley,,47.230,11.380,590,A1;A2,12000,1500,top-up,30,,,,Mon;Thu;Fri,07:00,11:30,4000,21000,\
10 %,,,555 0104,ring the caretaker,
K-05,Zöller,valley,,47.221,11.402,600,A1,5000,,on request,10,2.4,18,no,,,,,5600,,,,555 0105,,
K-06,Upper farm,upland,,47.160,11.300,1060,A2,9000,900,top-up,20,,,,,,,,11000,,,,555 0106,,
K-07,Chapel house,upland,south,47.120,11.420,980,A1,3800,,on request,28,,18,no,,,,,3900,,yes,,555 0107,,
K-08,Bauer,upland,south,47.112,11.440,930,A1,6000,600,top-up,12,,,,,,,,7400,,,,555 0108,,
K-09,Inn,upland,south,47.095,11.470,900,A1,10000,1000,top-up,18,,,,Tue;Wed,09:00,11:00,3000,16500,30 %,\
,,555 0109,,
K-10,Weir 1,valley,south,47.080,11.455,640,A1,5000,,on request,20,,,,,,,,5100,,,yes,555 0110,,
K-11,Weir 2,valley,south,47.0801,11.4551,640,A1,5000,,on request,20,,,,,,,,,,,,555 0111,,
K-12,New house,valley,,47.200,11.430,620,A1,4000,400,top-up,15,,,,,,,,,,,,555 0112,,
"""

DELIVERIES = """\
customer,date,kg,class,tanker,filled_full
K-01,2024-10-14,3900,A1,T1,yes
K-01,2025-10-06,4120,A1,T1,yes
K-02,2025-03-03,4800,A1,T1,no
K-02,2025-11-10,5200,A1,T1,yes
K-03,2025-09-15,3600,A1,T1,yes
K-04,2025-11-20,9800,A1,T1,yes
K-05,2025-08-25,4100,A1,T2,yes
K-06,2025-12-01,7400,A2,T1,yes
K-07,2025-10-20,3000,A1,T2,yes
K-08,2025-11-03,4700,A1,T2,yes
K-09,2025-12-09,8000,A1,T2,yes
K-10,2025-07-07,4200,A1,T2,yes
K-11,2025-10-01,3900,A1,T2,yes
"""

READINGS = """\
customer,date,kg,percent
K-01,2026-01-04,2400,
K-04,2026-01-09,,40
K-12,2026-01-10,2600,
"""

ORDERS = """\
order,customer,kg,class,from,to,price_per_t,credit_stop,call_ahead,already_empty,split_with
2026-0117,K-03,3000,A1,2026-01-13,2026-01-16,318,no,yes,no,
2026-0118,K-07,full,A1,,2026-01-15,322,no,yes,no,
"""

FILES = {
    "round.toml": ROUND,
    "customers.csv": CUSTOMERS,
    "deliveries.csv": DELIVERIES,
    "readings.csv": READINGS,
    "orders.csv": ORDERS,
}


def make_round(
    folder: Path,
    *,
    files: Mapping[str, str | None] | None = None,
    changes: Sequence[tuple[str, str, str]] = (),
    weather_days: int = 365 * 6,
    weather_first: date = date(2020, 1, 15),
) -> Path:
    """Write a sound round: 12 customers, 2 tankers, 2 depots, 2 areas, as on the evening of 12 January 2026.

    Parameters
    ----------
    files
        Further files, or others instead of the usual; None leaves a file out.
    changes
        (file, old text, new text): pieces to replace.
    """
    folder.mkdir(parents=True, exist_ok=True)
    texts = {**FILES, **(files or {})}
    for name, old, new in changes:
        text = texts[name]
        assert text is not None and old in text, (name, old)
        texts[name] = text.replace(old, new)
    for name, text in texts.items():
        if text is not None:
            (folder / name).write_text(text, encoding="utf-8")
    for name, mean_c in (("weather.csv", 8.0), ("weather_upland.csv", 5.0)):
        (folder / name).write_bytes(_weather(weather_first, weather_days, mean_c))
    return folder


@cache
def _weather(first: date, days: int, mean_c: float) -> bytes:
    """Return a weather file: a plain yearly wave."""
    with tempfile.TemporaryDirectory() as place:
        write_weather(Path(place) / "weather.csv", first, wave_c(days, mean=mean_c))
        return (Path(place) / "weather.csv").read_bytes()

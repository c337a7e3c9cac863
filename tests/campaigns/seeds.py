"""Sound files to begin with, of every kind that a reader of the program takes."""

from __future__ import annotations

import io
import sqlite3
from datetime import date
from pathlib import Path

from fuelplan.dispatch.roads.sources.leg_store import LegStore
from fuelplan.weather.sources.store import Rows, Station, WeatherStore
from tests.round_folders import FILES as ROUND_FILES

STATION = Station("T0001", "Lower mill", 47.0, 9.0, 500.0, 1.0)


SHEET = (
    '<row r="1"><c r="A1" t="s"><v>0</v></c><c r="B1" t="s"><v>1</v></c></row>'
    '<row r="2"><c r="A2"><v>44166</v></c><c r="B2" t="inlineStr"><is><t>3 t</t></is></c></row>'
    '<row r="3"><c r="A3"><v>44180</v></c><c r="B3"><v>2.45</v></c></row>'
)
TABLE = (
    '<table:table-row><table:table-cell office:value-type="string"><text:p>Date</text:p></table:table-cell>'
    '<table:table-cell office:value-type="string"><text:p>Level</text:p></table:table-cell></table:table-row>'
    '<table:table-row table:number-rows-repeated="2"><table:table-cell office:value-type="date" '
    'office:date-value="2020-12-01"/><table:table-cell office:value-type="float" office:value="2.45"/>'
    "</table:table-row>"
)
SHARED = "<si><t>Date</t></si><si><r><t>Level </t></r><r><t>(t)</t></r></si>"


def epw_file() -> bytes:
    """Return a short file of hours in the format of weather for building simulation."""
    head = ["LOCATION,Mill,-,-,-,0,47.0,9.0,1.0,500.0", *["HEAD"] * 7]
    rows = [
        f"2023,{m},{d},{h},0,?,{m / 2 + h / 24:.1f},1.0,80,98000"
        for m in (1, 2)
        for d in (1, 2)
        for h in range(1, 25)
    ]
    return "\n".join([*head, *rows]).encode()


def parquet_of(kind: str) -> bytes:
    """Return a table of the small round as Parquet."""
    import pandas as pd

    frame = pd.read_csv(
        io.StringIO(str(ROUND_FILES[f"{kind}.csv"])), dtype={"split_with": str, "classes": str}
    )
    if "date" in frame:
        frame["date"] = pd.to_datetime(frame["date"])
    stream = io.BytesIO()
    frame.to_parquet(stream, index=False)
    return stream.getvalue()


def databases(place: Path) -> tuple[bytes, bytes, bytes]:
    """Return a station list, a weather store and a store of distances."""
    import numpy as np

    from tests.weather_bulk_files import station_list_bytes

    kept = place / "seed.sqlite"
    with WeatherStore(kept) as store:
        n = 40
        some = np.arange(float(n))
        rows = Rows(
            np.arange(n),
            some,
            some - 4,
            some + 4,
            some + 50,
            np.array(["isd"] * n, object),
            np.zeros(n, bool),
        )
        store.keep_year("T0001", "daily", 1970, rows, rows, date(2026, 1, 1), "me")
        store.keep_nearby("47.000,9.000,50", (STATION,), date(2026, 1, 1))
    legs = LegStore(place / "seed_legs.sqlite", "http://localhost:5000", "driving")
    table = np.ones((2, 2), np.float32)
    legs.write([47.0, 47.1], [9.0, 9.1], [47.0, 47.1], [9.0, 9.1], table, table)
    for path in (kept, legs.path):
        db = sqlite3.connect(path)
        db.execute("PRAGMA journal_mode=DELETE")
        db.close()
    return station_list_bytes(place), kept.read_bytes(), legs.path.read_bytes()


LISTS = {
    "published.csv": b"date,tanker,trip,position,customer,class,kg,arrive\n"
    b"2026-01-13,T1,1,1,K-03,A1,2500,09:00\n",
    "wishes.csv": b"customer,wish,date,tanker,by,why\nK-04,pin,2026-01-14,T1,Anna,exam\nK-01,forbid,,T2,,\n",
    "happenings.csv": b"date,what,customer,tanker,depot,until,factor,class,reason\n"
    b"2026-01-13,tanker out,,T2,,2026-01-14,,,brakes\n2026-01-13,slow roads,,,,,2,,snow\n",
    "odometer.csv": b"date,tanker,km\n2026-01-09,T1,118\n2026-01-09,T2,88.5\n",
}


def gz(data: bytes) -> bytes:
    """Return bytes packed with gzip, always the same way."""
    import gzip

    return gzip.compress(data, mtime=0)


def gunzip(data: bytes) -> bytes:
    """Return what a gzip file holds."""
    import gzip

    return gzip.decompress(data)

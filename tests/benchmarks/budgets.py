"""What thousands of faults cost beside a quarter of them: `python -m tests.benchmarks.budgets`.

Each row holds the larger folder against four times the smaller one as the plain way: what grows in proportion
shows a ratio of 1, n log n about 0.9, and a search for every pair 0.25.
"""

from __future__ import annotations

import random
import tempfile
from collections.abc import Callable
from datetime import date, timedelta
from pathlib import Path

from fuelplan import answers
from fuelplan.weather import Place
from fuelplan.weather.sources import FileRequest, WeatherFault, load
from tests.benchmarks.measure import Row, compared, table_of, timed
from tests.site_folders import make_site

FACTOR = 4
ROWS = {
    "unsorted readings": 10_000,
    "weather days that are there twice": 20_000,
    "readings that contradict": 3_200,
}


def unsorted(folder: Path, n: int) -> Callable[[], object]:
    """A look at a site whose readings are in no order."""
    rng = random.Random(1)
    days = [date(2000, 1, 16) + timedelta(days=rng.randrange(7000)) for _ in range(n)]
    rows = [f"{day},{rng.randrange(400, 5000)} kg" for day in days]
    make_site(folder, mean_c=[3.0] * 30, readings="\n".join(["date,reading", *rows]) + "\n")
    return lambda: answers.check_folder(folder)


def twice(folder: Path, n: int) -> Callable[[], object]:
    """A look at a weather file that holds each day twice, the second time with another value."""
    days = [date(1950, 1, 1) + timedelta(days=i) for i in range(n)]
    folder.mkdir(parents=True)
    lines = ["date,mean_c", *(f"{day},{value}" for value in (3.0, 4.0) for day in days)]
    (folder / "weather.csv").write_text("\n".join(lines) + "\n", encoding="utf-8")

    def read() -> None:
        try:
            load(FileRequest(folder / "weather.csv"), Place())
        except WeatherFault:
            return

    return read


def contradictory(folder: Path, n: int) -> Callable[[], object]:
    """An order answer from readings of which every other one contradicts the one before."""
    first = date(2012, 1, 1)
    rows = [f"{first + timedelta(days=i)},{1 + 4 * (i % 2)} t,by eye" for i in range(n)]
    make_site(folder, readings="\n".join(["date,reading,how", *rows]) + "\n")
    day = first + timedelta(days=n + 1)

    def ask() -> None:
        site = answers.open_site(folder)
        answers.order(site, answers.weather_for(site, day), day)

    return ask


def rows(quick: bool) -> list[Row]:
    """The growth of each, by a factor of four."""
    made = (unsorted, twice, contradictory)
    found = []
    for (what, size), make in zip(ROWS.items(), made, strict=True):
        n = size // 10 if quick else size
        with tempfile.TemporaryDirectory() as place:
            small, large = make(Path(place) / "small", n // FACTOR), make(Path(place) / "large", n)
            small()  # what is imported on the way is no part of it
            plain = f"a quarter of them, {FACTOR} times", timed(small, 2), float(FACTOR)
            found.append(compared(f"{n:,} {what}", timed(large, 2), plain))
    return found


if __name__ == "__main__":
    print("\n".join(table_of(rows(quick=False))))

"""Site folders made by tests."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, timedelta
from pathlib import Path

import numpy as np

SITE = """\
format = 1
name = "Test house"
[place]
country = "DE"
time_zone = "Europe/Berlin"
[weather]
source = "file"
file = "weather.csv"
[building]
{building}
[boiler]
seasonal_efficiency = "80 %"
[pellets]
energy = "4.8 kWh/kg"
[store]
capacity = "6 t"
reserve = "300 kg"
residue = "100 kg"
[supply]
lead_time = "4 to 10 working days"
smallest_drop = "1.5 t"
price = "300 EUR/t"
"""

HEAT = 'pellets_a_year = "4 t"\nindoor = "20 degC"\ngains = "400 W"\nhot_water = false'


def write_weather(path: Path, first: date, mean_c: Sequence[float]) -> None:
    """Write a weather file of daily means."""
    rows = [f"{first + timedelta(days=i)},{value:.3f}" for i, value in enumerate(mean_c)]
    path.write_text("\n".join(["date,mean_c", *rows]) + "\n", encoding="utf-8")


def wave_c(days: int, *, mean: float = 8.0, swing: float = 10.0) -> np.ndarray:
    """Return a plain yearly wave of daily means, coldest on the first day; with a two-week ripple."""
    t = np.arange(days)
    return mean - swing * np.cos(2 * np.pi * t / 365.25) + 2.0 * np.sin(2 * np.pi * t / 14.3)


def make_site(
    folder: Path,
    *,
    building: str = HEAT,
    readings: str = "date,reading,how\n2020-11-01,4 t,measured\n",
    deliveries: str | None = None,
    first: date = date(2000, 1, 15),
    mean_c: Sequence[float] | None = None,
    changes: Sequence[tuple[str, str]] = (),
) -> Path:
    """Write a sound folder, then replace pieces of `site.toml` by others."""
    folder.mkdir(parents=True, exist_ok=True)
    text = SITE.format(building=building)
    for old, new in changes:
        assert old in text, old
        text = text.replace(old, new)
    (folder / "site.toml").write_text(text, encoding="utf-8")
    (folder / "readings.csv").write_text(readings, encoding="utf-8")
    if deliveries is not None:
        (folder / "deliveries.csv").write_text(deliveries, encoding="utf-8")
    write_weather(folder / "weather.csv", first, wave_c(365 * 21) if mean_c is None else mean_c)
    return folder

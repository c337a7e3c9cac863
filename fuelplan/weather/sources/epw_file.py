"""Hourly weather from an EPW file: a real year, or a reference year put together of typical months."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from pathlib import Path

import numpy as np

from fuelplan.messages import Fault, Message, Own, message
from fuelplan.weather.hours import daily_from_hourly
from fuelplan.weather.record import Floats, Place
from fuelplan.weather.sources.csv_file import MOST_FAULTS, file_source, record_of
from fuelplan.weather.sources.csv_words import more_faults
from fuelplan.weather.sources.requests import FileRequest, Loaded, WeatherFault
from fuelplan.weather.sources.text_rows import lines_of

HEADER_LINES = 8
DRY_BULB, HUMIDITY = 6, 8
MISSING_C, MISSING_PCT = 99.9, 999.0
LOWEST_C, HIGHEST_C = -70.0, 70.0
"""Range of dry-bulb temperature that the format allows (EnergyPlus weather file format). [degC]"""


def load_epw(request: FileRequest, place: Place, as_of: date | None) -> Loaded:
    """Return the daily and hourly weather of an EPW file.

    Hours are in local standard time all year, hour 1 ending at 1:00; the value of hour 24 belongs to the
    day of its row (EnergyPlus weather file format). Where the months come from different years the dates
    are those of no real year: the record is a reference year on the calendar of 2001 (2000 with a leap day)
    and says so.

    Raises
    ------
    WeatherFault
        With every fault found.
    """
    stamps, values = _rows(request.path, request.folder)
    order = np.lexsort((stamps[:, 3], stamps[:, 2], stamps[:, 1]))
    years = np.unique(stamps[:, 0])
    # A typical year takes its months from several years; one real year has one number throughout.
    reference = len(years) > 1
    leap = bool(((stamps[:, 1] == 2) & (stamps[:, 2] == 29)).any())
    year = (2000 if leap else 2001) if reference else int(years[0])
    stamps, values = stamps[order], values[order]
    days = np.array([date(year, m, d).toordinal() for m, d in stamps[:, 1:3].tolist()])
    table = np.full((days[-1] - days[0] + 1, 24, 2), np.nan)
    table[days - days[0], stamps[:, 3] - 1] = values
    mean, low, high = daily_from_hourly(table[:, :, 0])
    humidity = daily_from_hourly(table[:, :, 1])[0]
    first = date.fromordinal(int(days[0]))
    record = record_of(first, mean, low, high, humidity, table[:, :, 0], file_source(request), place)
    if not reference:
        return Loaded(record if as_of is None else record.until(as_of))
    note = message(
        "weather_file.reference_year",
        "{file} is a reference year put together of months from {first} to {last}: its dates are those of no "
        "real year, and it holds no winter to count.",
        file=Own(request.path.name),
        first=Own(str(years[0])),
        last=Own(str(years[-1])),
    )
    return Loaded(replace(record, reference_year=True), None, (note,))


def epw_place(path: Path, folder: Path | None = None) -> Place:
    """Return the place an EPW file names in its first line; its time zone as hours, e.g. Etc/GMT+6.

    Raises
    ------
    WeatherFault
        If the first line is no LOCATION line.
    """
    line, text = next(lines_of(path, folder), (0, ""))
    cells = text.split(",")
    try:
        if cells[0].strip().upper() != "LOCATION":
            raise ValueError
        hours = round(float(cells[8]))
        zone = "UTC" if hours == 0 else f"Etc/GMT{'-' if hours > 0 else '+'}{abs(hours)}"
        return Place(float(cells[6]), float(cells[7]), float(cells[9]), zone)
    except (ValueError, IndexError, OverflowError):
        said = message("weather_file.no_location", "an EPW file begins with LOCATION,…; give such a file")
        raise WeatherFault(path, [Fault(path.name, line or None, "", said)]) from None


def _rows(
    path: Path, folder: Path | None = None
) -> tuple[np.ndarray[tuple[int, ...], np.dtype[np.int64]], Floats]:
    """Return (year, month, day, hour) and (temperature, humidity) of each row, or raise with every fault."""
    epw_place(path, folder)
    stamps, values, faults, more = [], [], list[Fault](), 0

    def add(line: int | None, column: str, said: Message) -> None:
        nonlocal more
        if len(faults) < MOST_FAULTS:
            faults.append(Fault(path.name, line, column, said))
        else:
            more += 1

    for i, (line, text) in enumerate(lines_of(path, folder)):
        if i < HEADER_LINES:
            continue
        cells = text.split(",")
        try:
            year, month, day, hour = (int(cell) for cell in cells[:4])
            temperature, humidity = float(cells[DRY_BULB]), float(cells[HUMIDITY])
            date(year, month, day)
        except (ValueError, IndexError, OverflowError):
            said = message(
                "weather_file.not_an_epw_row",
                "the row is no EPW row: year, month, day, hour, minute, source, temperature, …",
            )
            add(line, "", said)
            continue
        if not 1 <= hour <= 24:
            said = message(
                "weather_file.impossible_hour",
                "the hour {hour} cannot be; hours run from 1 to 24",
                hour=Own(str(hour)),
            )
            add(line, "hour", said)
            continue
        if temperature != MISSING_C and not LOWEST_C < temperature < HIGHEST_C:
            said = message(
                "weather_file.impossible_epw_temperature",
                "{temperature} °C cannot be; write 99.9 where it is not known",
                temperature=Own(str(temperature)),
            )
            add(line, "temperature", said)
        stamps.append((year, month, day, hour))
        values.append((np.nan if temperature == MISSING_C else temperature,
                       humidity if 0.0 <= humidity < MISSING_PCT else np.nan))  # fmt: skip
    if not stamps and not faults:
        said = message(
            "weather_file.no_hours",
            "the file has no hours; an EPW file has 8760 rows after its eight header lines",
        )
        faults.append(Fault(path.name, None, "", said))
    if more:
        faults.append(Fault(path.name, None, "", more_faults(more)))
    if faults:
        raise WeatherFault(path, faults)
    return np.array(stamps, dtype=np.int64), np.array(values)

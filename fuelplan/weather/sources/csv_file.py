"""Daily or hourly weather from a CSV file: any column names, any of three units, all faults at once."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta

import numpy as np

from fuelplan.messages import (
    Fault,
    Limits,
    Message,
    Own,
    Quantity,
    counted_message,
    message,
)
from fuelplan.weather.gaps import HIGHEST_C, LOWEST_C
from fuelplan.weather.hours import (
    bridge_short_gaps,
    daily_from_hourly,
    local_clock_hours,
    standard_offset_h,
    table_of_days,
)
from fuelplan.weather.record import DailyWeather, Floats, Origin, Place, Source
from fuelplan.weather.sources import csv_words as words
from fuelplan.weather.sources.requests import FileRequest, Loaded, WeatherFault
from fuelplan.weather.sources.text_rows import cells, guess_separator, lines_of

DAILY = ("mean_c", "min_c", "max_c", "humidity_pct")
HOURLY = ("temp_c", "humidity_pct")
NOT_KNOWN = {"", "na", "nan", "null", "none", "-", "--", "n/a"}
KNOWN_COLUMNS = ("date", *DAILY, "time", "temp_c")
MOST_FAULTS = 1000
FEWEST_TO_JUDGE, WARMEST_MEDIAN_C = 60, 33.0  # rows, and a middle that no heated place has in °C
EPOCH_DAY = date(1970, 1, 1).toordinal()
NAN = float("nan")

TO_C: dict[str, Callable[[float], float]] = {
    "degC": lambda x: x,
    "degF": lambda x: (x - 32.0) / 1.8,
    "K": lambda x: x - 273.15,
}


@dataclass
class _Rows:
    """Rows as read: a key (day or hour number) and the values, with the faults met on the way."""

    file: str
    names: tuple[str, ...]
    width: int
    stamp: str
    stamp_at: int
    columns: tuple[tuple[str, int | None], ...]
    keys: list[int] = field(default_factory=list)
    values: list[tuple[float, ...]] = field(default_factory=list)
    in_utc: list[bool] = field(default_factory=list)
    line_of: dict[int, int] = field(default_factory=dict)
    place_of: dict[int, int] = field(default_factory=dict)
    faults: list[Fault] = field(default_factory=list)
    more_faults: int = 0
    repeats: int = 0
    out_of_order: int = 0

    def fault(self, line: int | None, column: str, said: Message) -> None:
        if len(self.faults) < MOST_FAULTS:
            self.faults.append(Fault(self.file, line, column, said))
        else:
            self.more_faults += 1


def load_csv(request: FileRequest, place: Place, as_of: date | None) -> Loaded:
    """Return the weather of a CSV file.

    Raises
    ------
    WeatherFault
        With every fault of the file: unreadable numbers and dates, decimal commas, repeated days that differ,
        impossible values.
    """
    if request.unit not in TO_C:
        said = message(
            "weather_file.unknown_unit",
            'the unit "{unit}" is not known; write degC, degF or K',
            unit=Own(request.unit),
        )
        raise _whole_file(request, said)
    lines = lines_of(request.path, request.folder)
    header_line, header = next(lines, (0, ""))
    if not header_line:
        raise _whole_file(
            request,
            message("weather_file.no_rows", "the file has no rows; give a header line and a line per day"),
        )
    separator = request.separator or guess_separator(header)
    headings = cells(header, separator)
    wanted = _find_columns(request, headings, header_line)
    hourly = "time" in wanted
    names, stamp = (HOURLY, "time") if hourly else (DAILY, "date")
    columns = tuple((name, wanted.get(name)) for name in names)
    rows = _Rows(request.path.name, names, len(headings), stamp, wanted[stamp], columns)
    for number, text in lines:
        _read_row(rows, request, number, cells(text, separator))
    if _looks_like_fahrenheit(rows, request):
        raise _whole_file(
            request,
            message(
                "weather_file.looks_like_fahrenheit",
                'the temperatures look like °F, not °C; write unit = "degF" under [weather]',
            ),
        )
    if rows.more_faults:
        rows.faults.append(Fault(rows.file, None, "", words.more_faults(rows.more_faults)))
    if not rows.keys and not rows.faults:
        said = message("weather_file.header_alone", "the file has a header but no rows; give a line per day")
        rows.fault(None, "", said)
    if rows.faults:
        raise WeatherFault(request.path, rows.faults)
    weather = _hourly_record(rows, request, place) if hourly else _daily_record(rows, request, place)
    return Loaded(weather if as_of is None else weather.until(as_of), None, _notes(rows, request))


def _whole_file(request: FileRequest, said: Message) -> WeatherFault:
    return WeatherFault(request.path, [Fault(request.path.name, None, "", said)])


def _looks_like_fahrenheit(rows: _Rows, request: FileRequest) -> bool:
    """Tell whether a file said to be in °C is in °F: warmer in the middle than any heated place is."""
    if request.unit != "degC" or len(rows.values) < FEWEST_TO_JUDGE:
        return False
    columns = [i for i, (name, _) in enumerate(rows.columns) if name != "humidity_pct"]
    found = np.array(rows.values, dtype=float)[:, columns]
    found = found[~np.isnan(found)]
    if not len(found) or float(np.median(found)) <= WARMEST_MEDIAN_C:
        return False
    as_f = (found - 32.0) / 1.8
    return bool((as_f >= LOWEST_C).all() and (as_f <= HIGHEST_C).all())


def _find_columns(request: FileRequest, header: list[str], line: int) -> dict[str, int]:
    """Return the position of each column we know; all that are missing are told at once."""
    mapping = dict(request.columns or {})
    known = {"date", "time", *DAILY, *HOURLY}
    faults = [
        Fault(request.path.name, None, key, words.unknown_key(KNOWN_COLUMNS))
        for key in mapping
        if key not in known
    ]
    names = {name.lower(): i for i, name in reversed(list(enumerate(header)))}
    found = {}
    for key in ("date", "time", *DAILY, "temp_c"):
        name = mapping.get(key, key)
        if name.lower() in names:
            found[key] = names[name.lower()]
        elif key in mapping:
            said = message(
                "weather_file.no_such_column",
                "the file has no such column; its columns are {columns}",
                columns=words.names_said(header),
            )
            faults.append(Fault(request.path.name, line, name, said))
    if not faults and not ({"date", "mean_c"} <= set(found) or {"time", "temp_c"} <= set(found) or
                           {"date", "min_c", "max_c"} <= set(found)):  # fmt: skip
        said = message(
            "weather_file.columns_missing",
            "the header needs the columns date and mean_c (or min_c and max_c), or time and temp_c; it has "
            "{columns}. Name them in the header or map them to their names in the file.",
            columns=words.names_said(header[:20]),
        )
        faults.append(Fault(request.path.name, line, "", said))
    if faults:
        raise WeatherFault(request.path, faults)
    if "time" in found and "temp_c" in found and not ({"date", "mean_c"} <= set(found)):
        return {key: found[key] for key in ("time", *HOURLY) if key in found}
    return {key: found[key] for key in ("date", *DAILY) if key in found}


def _read_row(rows: _Rows, request: FileRequest, line: int, row: list[str]) -> None:
    """Read one row, or add its faults."""
    most = max(rows.stamp_at, *(at for _, at in rows.columns if at is not None))
    if len(row) <= most:
        rows.fault(line, "", words.too_few_cells(len(row), most + 1, point=request.decimal == "."))
        return
    if len(row) > rows.width and any(row[rows.width :]):
        # "1,5" under one heading in a file with commas would be read as 1.
        said = message(
            "weather_file.too_many_cells",
            "{count} cells under {headings} headings (a decimal comma? write 1.5, put the number in quotes, "
            "or separate the columns with semicolons)",
            count=len(row),
            headings=rows.width,
        )
        rows.fault(line, "", said)
        return
    key = _read_key(rows, request, row[rows.stamp_at], line)
    values = tuple(
        [NAN if at is None else _read_value(rows, request, name, row[at], line) for name, at in rows.columns]
    )
    if key is None:
        return
    if rows.stamp == "date":
        values = _checked_day(rows, values, line)
        if key in rows.line_of:
            _repeated(rows, key, values, line)
            return
        rows.line_of[key], rows.place_of[key] = line, len(rows.keys)
    if rows.keys and key < rows.keys[-1]:
        rows.out_of_order += 1
    rows.keys.append(key)
    rows.values.append(values)


def _repeated(rows: _Rows, key: int, values: tuple[float, ...], line: int) -> None:
    """Let a row that says the same twice pass; one that differs is a fault."""
    first = rows.line_of[key]
    same = np.array_equal(np.array(rows.values[rows.place_of[key]]), np.array(values), equal_nan=True)
    if same:
        rows.repeats += 1
        return
    day = date(1970, 1, 1) + timedelta(days=key)
    said = message(
        "weather_file.day_twice",
        "{day} is in line {line} already, with other values; keep one of the two",
        day=Own(str(day)),
        line=Own(str(first)),
    )
    rows.fault(line, "date", said)


def _read_key(rows: _Rows, request: FileRequest, text: str, line: int) -> int | None:
    """Return the day number, or the hour number: in UTC where the text has an offset, else by its clock."""
    stamp = rows.stamp
    try:
        # 2026/01/31 can be read in one way only; 31/01/2026 cannot, so it needs its format.
        plain = text.replace("/", "-", 2) if text[4:5] == "/" else text
        when = (
            datetime.strptime(text, request.date_format)
            if request.date_format
            else datetime.fromisoformat(plain)
        )
    except (ValueError, OverflowError, re.error):  # the last from a form of dates that names a part twice
        rows.fault(line, stamp, words.unreadable_stamp(stamp, text[:40]))
        return None
    if not 1700 <= when.year <= 2200:
        said = message(
            "weather_file.impossible_year",
            "the year {year} cannot be; write the date as 2026-01-31",
            year=Own(str(when.year)),
        )
        rows.fault(line, stamp, said)
        return None
    day = when.toordinal() - EPOCH_DAY
    if stamp == "date":
        return day
    offset = when.utcoffset()
    rows.in_utc.append(offset is not None)
    if offset is None:
        return day * 24 + when.hour
    return int((day * 86400 + when.hour * 3600 + when.minute * 60 - offset.total_seconds()) // 3600)


def _read_value(rows: _Rows, request: FileRequest, name: str, text: str, line: int) -> float:
    """Return one number in our unit, NaN where the cell says that it is not known."""
    try:
        value = float(text)
        if "_" in text:  # 1_0 is a number to the language alone
            raise ValueError
    except ValueError:
        return _read_odd_value(rows, request, name, text, line)
    return value if value != value else _checked_value(rows, request, name, text, line, value)


def _read_odd_value(rows: _Rows, request: FileRequest, name: str, text: str, line: int) -> float:
    """Read what is no plain number: a cell left empty, a decimal comma, or a fault."""
    if text.lower() in NOT_KNOWN:
        return NAN
    if request.decimal == "," and re.fullmatch(r"[+-]?\d+,\d+", text):
        return _checked_value(rows, request, name, text, line, float(text.replace(",", ".")))
    if request.decimal == "." and re.fullmatch(r"[+-]?\d+,\d+", text):
        said = message(
            "weather_file.decimal_comma",
            '"{text}" has a decimal comma; write {instead}, or set decimal to a comma',
            text=Own(text),
            instead=Own(text.replace(",", ".")),
        )
    else:
        said = message(
            "weather_file.not_a_number",
            '"{text}" is not a valid number; write e.g. 3.5, or leave the cell empty',
            text=Own(text[:40]),
        )
    rows.fault(line, name, said)
    return NAN


def _checked_value(rows: _Rows, request: FileRequest, name: str, text: str, line: int, value: float) -> float:
    """Bring a number to our unit; one that cannot be is a fault."""
    if name == "humidity_pct":
        if not 0.0 <= value <= 100.0:
            said = message(
                "weather_file.impossible_humidity",
                "{text} cannot be a relative humidity; it lies between 0 and 100 %",
                text=Own(text),
            )
            rows.fault(line, name, said)
        return value
    if request.unit != "degC":
        value = TO_C[request.unit](value)
    if not LOWEST_C <= value <= HIGHEST_C:
        said = message(
            "weather_file.impossible_temperature",
            "{text} {unit} is {value}, which cannot be; leave the cell empty where the station failed, or "
            "correct the unit (a value lies between {bounds})",
            text=Own(text),
            unit=Own(request.unit),
            value=_c(value),
            bounds=Limits.written(LOWEST_C, HIGHEST_C, "degC", "g", "and"),
        )
        rows.fault(line, name, said)
    return value


def _checked_day(rows: _Rows, values: tuple[float, ...], line: int) -> tuple[float, ...]:
    """Check a day's minimum against its maximum; the mean of both stands in for a mean that is not given."""
    mean, low, high, humidity = values
    if low > high:
        said = message(
            "weather_file.minimum_above_maximum",
            "the minimum {low} lies above the maximum {high}; exchange them",
            low=_c(low),
            high=_c(high),
        )
        rows.fault(line, "min_c", said)
    elif mean < low - 0.05 or mean > high + 0.05:
        said = message(
            "weather_file.mean_outside",
            "the mean {mean} does not lie between {bounds}; correct one",
            mean=_c(mean),
            bounds=Limits.written(low, high, "degC", ".1f", "and"),
        )
        rows.fault(line, "mean_c", said)
    return ((low + high) / 2.0 if np.isnan(mean) else mean), low, high, humidity


def _c(value: float) -> Quantity:
    return Quantity.written(value, "degC", ".1f")


def file_source(request: FileRequest) -> Source:
    """Return what is said of a file's data: its name, never where it lies."""
    name = request.name or request.path.name
    return Source(name, request.licence, request.attribution, request.invented)


def record_of(
    first: date,
    mean: Floats,
    low: Floats,
    high: Floats,
    humidity: Floats,
    hourly: Floats | None,
    source: Source,
    place: Place,
) -> DailyWeather:
    """Put observed arrays into a record."""
    origin = np.where(np.isfinite(mean), Origin.OBSERVED, Origin.MISSING).astype(np.uint8)
    index = np.zeros(len(mean), np.uint8)
    return DailyWeather(first, mean, low, high, humidity, origin, index, (source,), place, hourly)


def _daily_record(rows: _Rows, request: FileRequest, place: Place) -> DailyWeather:
    keys = np.array(rows.keys)
    table = np.full((keys.max() - keys.min() + 1, len(DAILY)), np.nan)
    table[keys - keys.min()] = np.array(rows.values)
    first = date(1970, 1, 1) + timedelta(days=int(keys.min()))
    mean, low, high, humidity = table.T
    return record_of(first, mean, low, high, humidity, None, file_source(request), place)


def _hourly_record(rows: _Rows, request: FileRequest, place: Place) -> DailyWeather:
    """Put hours into local days; a file in winter time or UTC is moved to the local clock first."""
    keys, values = np.array(rows.keys), np.array(rows.values)
    in_utc = np.array(rows.in_utc)
    if request.clock == "utc":
        in_utc[:] = True
    elif request.clock == "standard":
        keys = np.where(in_utc, keys, keys - standard_offset_h(place.time_zone, int(keys.min())))
        in_utc[:] = True
    if in_utc.any():
        keys[in_utc] = local_clock_hours(keys[in_utc], place.time_zone)
    first, temperature = table_of_days(keys, values[:, 0])
    _, humidity = table_of_days(keys, values[:, 1])
    table = bridge_short_gaps(temperature)
    mean, low, high = daily_from_hourly(table)
    return record_of(
        first, mean, low, high, daily_from_hourly(humidity)[0], table, file_source(request), place
    )


def _notes(rows: _Rows, request: FileRequest) -> tuple[Message, ...]:
    file, notes = Own(request.path.name), []
    if rows.out_of_order:
        notes.append(
            counted_message(
                "weather_file.sorted",
                "{file}: {n} row was not in the order of the dates; the rows were sorted.",
                "{file}: {n} rows were not in the order of their dates; they were sorted.",
                rows.out_of_order,
                file=file,
            )
        )
    if rows.names == HOURLY:
        again = len(rows.keys) - len(set(rows.keys))
        # One hour of each autumn is there twice by the local clock, and rightly so.
        if again > 1 + (max(rows.keys) - min(rows.keys)) / (24 * 365):
            notes.append(
                message(
                    "weather_file.hours_twice",
                    "{file}: {count} hours are given more than once; their means are used.",
                    file=file,
                    count=again,
                )
            )
    if rows.repeats:
        notes.append(
            counted_message(
                "weather_file.repeated",
                "{file}: {n} row says the same as an earlier one; it was counted once.",
                "{file}: {n} rows say the same as an earlier one; they were counted once.",
                rows.repeats,
                file=file,
            )
        )
    return tuple(notes)
